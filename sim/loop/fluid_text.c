// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

typedef struct fluid_text {
    const char *name, *hazard, *freezing;
} fluid_text;

// Glycol mixtures below their freezing point are slush that still gives way; the ice of the
// others, and of weak glycol, sets hard. From memory, as are the hazards.
#define SLUSH                                                                                      \
    "Below its freezing point it turns to slush: a pipe may not burst, but slush does not flow, "  \
    "and what stands still in the exchanger freezes on and can split it. The burst protection "    \
    "printed on a drum is not a freezing point. The freezing points here are those of the pure "   \
    "mixture; inhibited products differ by a kelvin or so: measure with a tester made for them."
#define ALCOHOL_ICE                                                                                \
    "Below its freezing point ice grows in it until it sets: there is no burst protection. Some "  \
    "alcohol is lost to the air with every opening of the loop, so measure the freezing point "    \
    "again after the filling and each service."
#define SALT_ICE                                                                                   \
    "Below its freezing point ice grows in it until it sets: there is no burst protection. Much "  \
    "stronger than needed, salt itself comes out of it in the cold."

static const fluid_text texts[] = {
    [CB_WATER] =
        {"water",
         "Not hazardous to handle, but it freezes at 0 degC: ice can burst pipes and split "
         "the heat exchanger of the heat pump. Without antifreeze the coldest water inside "
         "the unit must stay above freezing with margin. Follow the equipment maker's "
         "limits and warranty terms for entering water temperature.",
         "It grows by nine per cent as it freezes and bursts what holds it. The wall of the "
         "exchanger "
         "is colder than the water that leaves it."},
    [CB_PROPYLENE_GLYCOL] =
        {"propylene glycol",
         "Low toxicity, but the corrosion inhibitors mixed into it may not be: do not drink it or "
         "let it reach drinking water, and do not treat it as food grade unless its maker says so. "
         "Thick when cold. Too little of it can grow bacteria and lose its inhibitors, so keep "
         "to its maker's minimum. Local codes and the equipment maker's warranty terms decide "
         "whether and how it may be used.",
         SLUSH},
    [CB_ETHYLENE_GLYCOL] =
        {"ethylene glycol",
         "Poisonous when swallowed, and its sweet taste attracts children and animals; small "
         "amounts can kill. Keep it away from drinking water, wells and drains, label the loop, "
         "and collect every spill. Many places forbid it in ground loops: local codes and the "
         "equipment maker's warranty terms decide.",
         SLUSH},
    [CB_METHANOL] =
        {"methanol",
         "Toxic when swallowed, breathed or absorbed through the skin (it can blind or kill), and "
         "the concentrate is highly flammable, burning with a flame that is hard to see. Mix it "
         "outdoors, away from flames and sparks, with gloves and eye protection; keep it out of "
         "drinking water. Local fire and water codes and the equipment maker's warranty terms "
         "decide whether and how it may be used.",
         ALCOHOL_ICE},
    [CB_ETHANOL] =
        {"ethanol",
         "The concentrate is highly flammable and its vapour can ignite: mix it outdoors, away "
         "from flames and sparks. It is usually denatured with additives that make it poisonous "
         "to drink and may attack seals. Local fire and water codes and the equipment maker's "
         "warranty terms decide whether and how it may be used.",
         ALCOHOL_ICE},
    [CB_POTASSIUM_FORMATE] =
        {"potassium formate",
         "Low toxicity, but alkaline: it irritates eyes and skin. It creeps through threads and "
         "shaft seals that hold glycol, and corrodes zinc, soft solder and aluminium; every part "
         "of the loop must be named fit for it by its maker. Never mix it with another fluid. "
         "Local codes and the equipment maker's warranty terms decide whether it may be used.",
         SALT_ICE},
    [CB_CALCIUM_CHLORIDE] =
        {"calcium chloride",
         "Low toxicity, but it gets hot when dissolved, irritates eyes and skin, kills plants and "
         "corrodes steel, copper and even stainless steel where air gets in. Few makers of heat "
         "pumps allow it: their warranty terms and local codes decide, and every part of the loop "
         "must be named fit for it.",
         SALT_ICE},
};

static const fluid_text *text_of(cb_fluid_type type)
{
    static const fluid_text unknown = {
        "unknown fluid", "Unknown fluid: obtain its safety data sheet before handling it.",
        "Unknown fluid: ask its maker what it does when it freezes."};
    const size_t index = (size_t)type;
    return index < sizeof texts / sizeof *texts ? &texts[index] : &unknown;
}

const char *cb_fluid_name(cb_fluid_type type)
{
    return text_of(type)->name;
}

const char *cb_fluid_hazard(cb_fluid_type type)
{
    return text_of(type)->hazard;
}

const char *cb_fluid_freezing(cb_fluid_type type)
{
    return text_of(type)->freezing;
}
