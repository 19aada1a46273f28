// SPDX-License-Identifier: MIT
#include "design/schema.h"

#include <assert.h>
#include <math.h>

#define FROM_MODEL "from the material and the water by the conductivity model"
#define FROM_PARTS "from the material and the water: sum of the constituents, de Vries 1963"
#define FROM_CURVE                                                                                 \
    "from the material's freezing curve: Anderson & Tice 1972, coefficients from memory"
#define FROM_COVER "of the cover"

// The names of cb_material_at and cb_cover_at.
static const char *const materials[] = {"sand",
                                        "loamy_sand",
                                        "sandy_loam",
                                        "loam",
                                        "silt_loam",
                                        "silt",
                                        "sandy_clay_loam",
                                        "clay_loam",
                                        "silty_clay_loam",
                                        "sandy_clay",
                                        "silty_clay",
                                        "clay",
                                        "topsoil",
                                        "peat",
                                        "gravel",
                                        "bedding_sand",
                                        "crushed_stone",
                                        "weathered_rock",
                                        "sound_rock",
                                        "concrete",
                                        NULL};
static const char *const covers[] = {"short_grass", "sparse_grass", "bare_soil", "mulch",
                                     "gravel",      "pavement",     NULL};
static const char *const moistures[] = {"dry", "damp", "wet", "saturated", NULL};
static const char *const models[] = {"johansen", "cote_konrad", "lu", NULL};

// The rows of a soil count from a cb_soil; those of a layer too.
static_assert(offsetof(cb_layer, soil) == 0, "a layer begins with its soil");

static bool water_unsaid(const void *base)
{
    const cb_soil *soil = base;
    return soil->moisture == CB_MOISTURE_GIVEN && isnan(soil->water_by_mass);
}

// The keys of one soil, in a layer or in the backfill.
#define SOIL_ROWS                                                                                  \
    {.name = "material",                                                                           \
     .type = CBX_WORD,                                                                             \
     .offset = offsetof(cb_soil, material),                                                        \
     .choices = materials,                                                                         \
     .reason = "the class that holds the shares of sand, silt and clay",                           \
     .help = "what the ground is made of; coilbed check --materials describes each"},              \
        {.name = "sand",                                                                           \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, sand_share),                                                  \
         .minimum = 0,                                                                             \
         .maximum = 1,                                                                             \
         .help = "share of the dry mass, 0.05 to 2 mm; with silt and clay it finds the material"}, \
        {.name = "silt",                                                                           \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, silt_share),                                                  \
         .minimum = 0,                                                                             \
         .maximum = 1,                                                                             \
         .help = "share of the dry mass, 0.002 to 0.05 mm"},                                       \
        {.name = "clay",                                                                           \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, clay_share),                                                  \
         .minimum = 0,                                                                             \
         .maximum = 1,                                                                             \
         .help = "share of the dry mass, below 0.002 mm"},                                         \
        {.name = "dry_density",                                                                    \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_DENSITY,                                                                       \
         .offset = offsetof(cb_soil, dry_density_kg_m3),                                           \
         .minimum = 50,                                                                            \
         .maximum = 3000,                                                                          \
         .reason = "of the material",                                                              \
         .help = "mass of dry soil per volume in place"},                                          \
        {.name = "quartz",                                                                         \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, quartz_share),                                                \
         .minimum = 0,                                                                             \
         .maximum = 1,                                                                             \
         .reason = "of the material, or as much as the sand where shares are given",               \
         .help = "share of the solids; quartz conducts four times as well as other minerals"},     \
        {.name = "moisture",                                                                       \
         .type = CBX_CHOICE,                                                                       \
         .offset = offsetof(cb_soil, moisture),                                                    \
         .choices = moistures,                                                                     \
         .first = CB_DRY,                                                                          \
         .help = "water in a word, in place of water: 20, 50, 80 or 100 % of the pores; common "   \
                 "practice, no source"},                                                           \
        {.name = "water_by_mass",                                                                  \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, water_by_mass),                                               \
         .minimum = 0,                                                                             \
         .maximum = 20,                                                                            \
         .help =                                                                                   \
             "mass of water per mass of dry soil, as a laboratory gives it; in place of water"},   \
        {.name = "water",                                                                          \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, water_fraction),                                              \
         .minimum = 0,                                                                             \
         .maximum = 0.97,                                                                          \
         .applies = water_unsaid,                                                                  \
         .reason = "the usual moisture of the material in drained ground; coilbed check "          \
                   "--materials names its source",                                                 \
         .otherwise = "; for a word write moisture: dry, damp, wet or saturated",                  \
         .help = "volume of water per volume of soil, unfrozen"},                                  \
        {.name = "dry_season_water",                                                               \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_FRACTION,                                                                      \
         .offset = offsetof(cb_soil, dry_water_fraction),                                          \
         .minimum = 0,                                                                             \
         .maximum = 0.97,                                                                          \
         .reason = "as moist as otherwise",                                                        \
         .help = "the same when the summer has fully dried the root zone"},                        \
        {.name = "conductivity_model",                                                             \
         .type = CBX_CHOICE,                                                                       \
         .offset = offsetof(cb_soil, model),                                                       \
         .choices = models,                                                                        \
         .standard = "johansen",                                                                   \
         .reason = "in long use for frozen and unfrozen ground; Farouki 1981, from memory",        \
         .help = "what conductivities are worked out by where they are not given"},                \
        {.name = "conductivity",                                                                   \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_CONDUCTIVITY,                                                                  \
         .offset = offsetof(cb_soil, conductivity_w_mk),                                           \
         .minimum = 0.02,                                                                          \
         .maximum = 8,                                                                             \
         .reason = FROM_MODEL,                                                                     \
         .help = "unfrozen; give it where it was measured"},                                       \
        {.name = "frozen_conductivity",                                                            \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_CONDUCTIVITY,                                                                  \
         .offset = offsetof(cb_soil, frozen_conductivity_w_mk),                                    \
         .minimum = 0.02,                                                                          \
         .maximum = 8,                                                                             \
         .reason = FROM_MODEL,                                                                     \
         .help = "with all freezable water frozen"},                                               \
        {.name = "dry_season_conductivity",                                                        \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_CONDUCTIVITY,                                                                  \
         .offset = offsetof(cb_soil, dry_conductivity_w_mk),                                       \
         .minimum = 0.02,                                                                          \
         .maximum = 8,                                                                             \
         .reason = "the conductivity above, times the model's ratio of dry season to otherwise",   \
         .help = "unfrozen, with the dry season's water"},                                         \
        {.name = "heat_capacity",                                                                  \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_HEAT_CAPACITY,                                                                 \
         .offset = offsetof(cb_soil, heat_capacity_j_m3k),                                         \
         .minimum = 0.1e6,                                                                         \
         .maximum = 4.5e6,                                                                         \
         .reason = FROM_PARTS,                                                                     \
         .help = "unfrozen, per volume"},                                                          \
        {.name = "frozen_heat_capacity",                                                           \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_HEAT_CAPACITY,                                                                 \
         .offset = offsetof(cb_soil, frozen_heat_capacity_j_m3k),                                  \
         .minimum = 0.1e6,                                                                         \
         .maximum = 4.5e6,                                                                         \
         .reason = FROM_PARTS,                                                                     \
         .help = "with all freezable water frozen, per volume"},                                   \
        {.name = "freezing_start",                                                                 \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_TEMPERATURE,                                                                   \
         .offset = offsetof(cb_soil, freezing_start_c),                                            \
         .minimum = -3,                                                                            \
         .maximum = -0.001,                                                                        \
         .reason = FROM_CURVE,                                                                     \
         .help = "temperature T_f at which the soil's water begins to freeze"},                    \
    {                                                                                              \
        .name = "freezing_exponent", .type = CBX_QUANTITY, .kind = CB_NUMBER,                      \
        .offset = offsetof(cb_soil, freezing_exponent), .minimum = 0.1, .maximum = 5,              \
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
    SOIL_ROWS,
    {.name = NULL},
};

static const cbx_row backfill[] = {
    SOIL_ROWS,
    {.name = "width",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_ground, backfill_width_m) - offsetof(cb_design_ground, backfill),
     .minimum = 0.05,
     .maximum = 5,
     .required = true,
     .help = "across the trench"},
    {.name = "height",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_ground, backfill_height_m) - offsetof(cb_design_ground, backfill),
     .minimum = 0.05,
     .maximum = 8,
     .required = true,
     .help = "from the trench floor up"},
    {.name = NULL},
};

static const cbx_row surface[] = {
    {.name = "cover",
     .type = CBX_WORD,
     .offset = offsetof(cb_surface, cover),
     .choices = covers,
     .standard = "short_grass",
     .reason = "most yards; common practice, no source",
     .help = "what lies or grows on the yard"},
    {.name = "albedo",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, albedo),
     .minimum = 0,
     .maximum = 0.95,
     .reason = FROM_COVER,
     .help = "share of the sun's radiation sent back, without snow"},
    {.name = "emissivity",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, emissivity),
     .minimum = 0.5,
     .maximum = 1,
     .reason = FROM_COVER,
     .help = "longwave emissivity, without snow"},
    {.name = "shade",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, shade),
     .minimum = 0,
     .maximum = 1,
     .standard = "0 %",
     .reason = "an open yard",
     .help = "share of the sun that trees and walls keep off"},
    {.name = "snow_kept",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_surface, snow_kept),
     .minimum = 0,
     .maximum = 1,
     .standard = "100 %",
     .reason = "snow lies where it falls",
     .help = "share of the snowfall that stays; 0 % for a yard that is cleared or windswept, where "
             "frost goes deepest"},
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
     .offset = offsetof(cb_design_ground, backfill),
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
