// SPDX-License-Identifier: MIT
#include "design/schema.h"

#define FROM_TEXTURE "from the texture and the water: Johansen 1975 (as in Farouki 1981)"
#define FROM_PARTS "from the texture and the water: sum of the constituents, de Vries 1963"
#define FROM_CURVE "from the texture's soil freezing curve"

static const char *const textures[] = {"sand", "loam", "clay", NULL};

// The keys of one soil, in a layer or in the backfill; BASE is the offset of its cb_soil.
#define SOIL_ROWS(BASE)                                                                            \
    {.name = "material",                                                                           \
     .type = CBX_WORD,                                                                             \
     .offset = (BASE) + offsetof(cb_soil, material),                                               \
     .choices = textures,                                                                          \
     .required = true,                                                                             \
     .help = "soil by its feel between the fingers"},                                              \
        {.name = "water",                                                                          \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = (BASE) + offsetof(cb_soil, water_fraction),                                     \
         .minimum = 0.01,                                                                          \
         .maximum = 0.60,                                                                          \
         .standard = "25 %",                                                                       \
         .reason = "moist soil; common practice, no source",                                       \
         .help = "volume of water per volume of soil, unfrozen"},                                  \
        {.name = "conductivity",                                                                   \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_CONDUCTIVITY,                                                                  \
         .offset = (BASE) + offsetof(cb_soil, conductivity_w_mk),                                  \
         .minimum = 0.1,                                                                           \
         .maximum = 8,                                                                             \
         .reason = FROM_TEXTURE,                                                                   \
         .help = "unfrozen; give it where it was measured"},                                       \
        {.name = "frozen_conductivity",                                                            \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_CONDUCTIVITY,                                                                  \
         .offset = (BASE) + offsetof(cb_soil, frozen_conductivity_w_mk),                           \
         .minimum = 0.1,                                                                           \
         .maximum = 8,                                                                             \
         .reason = FROM_TEXTURE,                                                                   \
         .help = "with all freezable water frozen"},                                               \
        {.name = "heat_capacity",                                                                  \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_HEAT_CAPACITY,                                                                 \
         .offset = (BASE) + offsetof(cb_soil, heat_capacity_j_m3k),                                \
         .minimum = 0.5e6,                                                                         \
         .maximum = 4.5e6,                                                                         \
         .reason = FROM_PARTS,                                                                     \
         .help = "unfrozen, per volume"},                                                          \
        {.name = "frozen_heat_capacity",                                                           \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_HEAT_CAPACITY,                                                                 \
         .offset = (BASE) + offsetof(cb_soil, frozen_heat_capacity_j_m3k),                         \
         .minimum = 0.5e6,                                                                         \
         .maximum = 4.5e6,                                                                         \
         .reason = FROM_PARTS,                                                                     \
         .help = "with all freezable water frozen, per volume"},                                   \
        {.name = "freezing_start",                                                                 \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_TEMPERATURE,                                                                   \
         .offset = (BASE) + offsetof(cb_soil, freezing_start_c),                                   \
         .minimum = -3,                                                                            \
         .maximum = -0.001,                                                                        \
         .reason = FROM_CURVE,                                                                     \
         .help = "temperature T_f at which the soil's water begins to freeze"},                    \
    {                                                                                              \
        .name = "freezing_exponent", .type = CBX_QUANTITY, .kind = CB_NUMBER,                      \
        .offset = (BASE) + offsetof(cb_soil, freezing_exponent), .minimum = 0.1, .maximum = 5,     \
        .reason = FROM_CURVE, .help = "b of the unfrozen water, theta (T_f / T)^b"                 \
    }

static const cbx_row layer[] = {
    {.name = "down_to",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_layer, bottom_m),
     .minimum = 0.01,
     .maximum = 200,
     .reason = "the last layer runs on to the bottom",
     .help = "depth of the layer's lower edge; the last layer may leave it out"},
    SOIL_ROWS(offsetof(cb_layer, soil)),
    {.name = NULL},
};

static const cbx_row backfill[] = {
    SOIL_ROWS(offsetof(cb_design_ground, backfill)),
    {.name = "width",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_ground, backfill_width_m),
     .minimum = 0.05,
     .maximum = 5,
     .required = true,
     .help = "across the trench"},
    {.name = "height",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_ground, backfill_height_m),
     .minimum = 0.05,
     .maximum = 8,
     .required = true,
     .help = "from the trench floor up"},
    {.name = NULL},
};

static const cbx_row surface[] = {
    {.name = "albedo",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, albedo),
     .minimum = 0,
     .maximum = 0.95,
     .standard = "0.23",
     .reason = "grass; Allen et al. 1998 (FAO-56), reference crop",
     .help = "share of the sun's radiation sent back"},
    {.name = "emissivity",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, emissivity),
     .minimum = 0.5,
     .maximum = 1,
     .standard = "0.95",
     .reason = "soil and short vegetation, from memory",
     .help = "longwave emissivity"},
    {.name = "evaporation",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, evaporation_share),
     .minimum = 0,
     .maximum = 1,
     .standard = "100 %",
     .reason = "all that is computed",
     .help = "share of the computed evaporation that takes place"},
    {.name = NULL},
};

static bool is_backfilled(const void *base)
{
    return ((const cb_design_ground *)base)->has_backfill;
}

const cbx_row cbx_ground_rows[] = {
    {.name = "layers",
     .type = CBX_LIST,
     .offset = offsetof(cb_design_ground, layer),
     .counted = true,
     .offset_2 = offsetof(cb_design_ground, layer_count),
     .stride = sizeof(cb_layer),
     .least = 1,
     .most = CB_MAX_LAYERS,
     .required = true,
     .rows = layer,
     .help = "soil from the surface down"},
    {.name = "backfill",
     .type = CBX_BLOCK,
     .optional_block = true,
     .flagged = true,
     .flag = offsetof(cb_design_ground, has_backfill),
     .applies = is_backfilled,
     .rows = backfill,
     .help = "soil put back around the pipe where it differs from the native ground"},
    {.name = "surface",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_ground, surface),
     .rows = surface,
     .help = "what the sun and wind see"},
    {.name = "bottom",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_ground, bottom_depth_m),
     .minimum = 8,
     .maximum = 100,
     .standard = "15 m",
     .reason = "the yearly wave has died out there; common practice, no source",
     .help = "depth to which the ground is modelled"},
    {.name = "side_margin",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_ground, side_margin_m),
     .minimum = 1,
     .maximum = 60,
     .standard = "6 m",
     .reason = "far enough for a yearly wave; common practice, no source",
     .help = "ground modelled beside the outermost pipe"},
    {.name = "geothermal_flux",
     .type = CBX_QUANTITY,
     .kind = CB_HEAT_FLUX,
     .offset = offsetof(cb_design_ground, geothermal_flux_w_m2),
     .minimum = 0,
     .maximum = 1,
     .standard = "0.06 W/m2",
     .reason = "usual on continents; common practice, no source",
     .help = "heat rising through the bottom"},
    {.name = NULL},
};
