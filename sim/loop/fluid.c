// SPDX-License-Identifier: MIT
#include "loop/fluid_table.h"

#include <math.h>

static const double water_density_20c = 998.207; // IAPWS-95 at 20 degC, 101.325 kPa [kg/m3]
static const double kelvin = 273.15;

static double polynomial(const double *coefficient, int count, double u)
{
    double sum = 0.0;
    for (int i = count - 1; i >= 0; i--) {
        sum = sum * u + coefficient[i];
    }
    return sum;
}

static double surface(const cbx_surface coefficient, double t, double u)
{
    double sum = 0.0;
    for (int i = CBX_TEMPERATURE_TERMS - 1; i >= 0; i--) {
        // Terms with i + j > 5 do not exist in the 18-term form.
        sum = sum * t + polynomial(coefficient[i], CBX_CONCENTRATION_TERMS - i, u);
    }
    return sum;
}

// The tables hold degC to one decimal and percent to one decimal: no limit is met exactly after
// a conversion, so limits are compared with this much slack.
static const double slack = 1e-9;

static double solution_volume_fraction(const cbx_brine *brine, double mass_fraction)
{
    const double density =
        surface(brine->density, 20.0 - brine->base_c, mass_fraction - brine->base_fraction);
    return mass_fraction * density / brine->additive_density_kg_m3;
}

static double volume_fraction(const cbx_brine *brine, double mass_fraction)
{
    if (brine->volume_basis == CBX_OF_SOLUTION) {
        return solution_volume_fraction(brine, mass_fraction);
    }
    const double additive = mass_fraction / brine->additive_density_kg_m3;
    return additive / (additive + (1.0 - mass_fraction) / water_density_20c);
}

// Inside the data the volume of additive rises with its mass, so bisection cannot miss; it runs
// only when a design is read.
static double mass_fraction_of_volume(const cbx_brine *brine, double volume)
{
    double low = brine->lowest_fraction, high = brine->highest_fraction;
    for (int i = 0; i < 60; i++) {
        const double middle = 0.5 * (low + high);
        if (volume_fraction(brine, middle) < volume) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return 0.5 * (low + high);
}

static cb_status define_water(cb_fluid *out, const cb_design_fluid *design, cb_error *error)
{
    if (!(design->concentration == 0.0)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "concentration %g %% does not fit water; write 0 %% or choose an antifreeze",
                       100.0 * design->concentration);
    }
    const cbx_water *water = cbx_water_table();
    *out = (cb_fluid){.type = CB_WATER,
                      .mass_fraction = 0.0,
                      .freeze_c = 0.0,
                      .minimum_c = water->lowest_c,
                      .maximum_c = water->highest_c};
    return CB_OK;
}

static cb_status define_brine(cb_fluid *out, const cbx_brine *brine, const cb_design_fluid *design,
                              cb_error *error)
{
    double low = brine->lowest_fraction, high = brine->highest_fraction;
    if (design->by_volume) {
        low = volume_fraction(brine, low);
        high = volume_fraction(brine, high);
    }
    const double given = design->concentration;
    if (!(low - slack <= given && given <= high + slack)) {
        return cb_fail(
            error, CB_BAD_INPUT,
            "concentration %g %% by %s is outside the data for %s: %.1f to %.1f %% by %s",
            100.0 * given, design->by_volume ? "volume" : "mass", cb_fluid_name(brine->type),
            100.0 * low, 100.0 * high, design->by_volume ? "volume" : "mass");
    }
    const double fraction = design->by_volume ? mass_fraction_of_volume(brine, given) : given;
    const double freeze_c =
        polynomial(brine->freeze_k, CBX_CONCENTRATION_TERMS, fraction - brine->base_fraction) -
        kelvin;
    *out = (cb_fluid){.type = brine->type,
                      .mass_fraction = fraction,
                      .freeze_c = freeze_c,
                      .minimum_c = fmax(freeze_c, brine->lowest_c),
                      .maximum_c = brine->highest_c};
    return CB_OK;
}

cb_status cb_fluid_define(cb_fluid *out, const cb_design_fluid *design, cb_error *error)
{
    if (!out || !design) {
        return cb_fail(error, CB_BAD_CALL, "cb_fluid_define needs a result and a design");
    }
    *out = (cb_fluid){0};
    if (design->type == CB_WATER) {
        return define_water(out, design, error);
    }
    const cbx_brine *brine = cbx_brine_find(design->type);
    if (!brine) {
        return cb_fail(error, CB_BAD_CALL, "fluid type %d does not exist", (int)design->type);
    }
    return define_brine(out, brine, design, error);
}

static void water_at(double temperature_c, cb_fluid_properties *out)
{
    const cbx_water *water = cbx_water_table();
    const double u = (temperature_c - water->base_c) / water->scale_k;
    *out = (cb_fluid_properties){
        .density_kg_m3 = polynomial(water->density, CBX_WATER_TERMS, u),
        .heat_capacity_j_kgk = polynomial(water->heat_capacity, CBX_WATER_TERMS, u),
        .conductivity_w_mk = polynomial(water->conductivity, CBX_WATER_TERMS, u),
        .viscosity_pa_s = exp(polynomial(water->log_viscosity, CBX_WATER_TERMS, u))};
}

static void brine_at(const cbx_brine *brine, double mass_fraction, double temperature_c,
                     cb_fluid_properties *out)
{
    const double t = temperature_c - brine->base_c;
    const double u = mass_fraction - brine->base_fraction;
    *out = (cb_fluid_properties){.density_kg_m3 = surface(brine->density, t, u),
                                 .heat_capacity_j_kgk = surface(brine->heat_capacity, t, u),
                                 .conductivity_w_mk = surface(brine->conductivity, t, u),
                                 .viscosity_pa_s = exp(surface(brine->log_viscosity, t, u))};
}

bool cb_fluid_at(const cb_fluid *fluid, double temperature_c, cb_fluid_properties *out)
{
    const double low = fluid->minimum_c, high = fluid->maximum_c;
    const double held = temperature_c < low ? low : temperature_c > high ? high : temperature_c;
    const cbx_brine *brine = cbx_brine_find(fluid->type);
    if (brine) {
        brine_at(brine, fluid->mass_fraction, held, out);
    } else {
        water_at(held, out);
    }
    return low <= temperature_c && temperature_c <= high;
}

typedef struct fluid_text {
    const char *name, *hazard;
} fluid_text;

static const fluid_text texts[] = {
    [CB_WATER] =
        {"water",
         "Not hazardous to handle, but it freezes at 0 degC: ice can burst pipes and split "
         "the heat exchanger of the heat pump. Without antifreeze the coldest water inside "
         "the unit must stay above freezing with margin. Follow the equipment maker's "
         "limits and warranty terms for entering water temperature."},
    [CB_PROPYLENE_GLYCOL] =
        {"propylene glycol",
         "Low toxicity, but the corrosion inhibitors mixed into it may not be: do not drink it or "
         "let it reach drinking water, and do not treat it as food grade unless its maker says so. "
         "Thick when cold. Too little of it can grow bacteria and lose its inhibitors, so keep "
         "to its maker's minimum. Local codes and the equipment maker's warranty terms decide "
         "whether and how it may be used."},
    [CB_ETHYLENE_GLYCOL] =
        {"ethylene glycol",
         "Poisonous when swallowed, and its sweet taste attracts children and animals; small "
         "amounts can kill. Keep it away from drinking water, wells and drains, label the loop, "
         "and collect every spill. Many places forbid it in ground loops: local codes and the "
         "equipment maker's warranty terms decide."},
    [CB_METHANOL] =
        {"methanol",
         "Toxic when swallowed, breathed or absorbed through the skin (it can blind or kill), and "
         "the concentrate is highly flammable, burning with a flame that is hard to see. Mix it "
         "outdoors, away from flames and sparks, with gloves and eye protection; keep it out of "
         "drinking water. Local fire and water codes and the equipment maker's warranty terms "
         "decide whether and how it may be used."},
    [CB_ETHANOL] =
        {"ethanol",
         "The concentrate is highly flammable and its vapour can ignite: mix it outdoors, away "
         "from flames and sparks. It is usually denatured with additives that make it poisonous "
         "to drink and may attack seals. Local fire and water codes and the equipment maker's "
         "warranty terms decide whether and how it may be used."},
};

static const fluid_text *text_of(cb_fluid_type type)
{
    static const fluid_text unknown = {
        "unknown fluid", "Unknown fluid: obtain its safety data sheet before handling it."};
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
