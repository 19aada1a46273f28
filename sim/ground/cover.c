// SPDX-License-Identifier: MIT
#include "coilbed/yard.h"

#include <stddef.h>
#include <string.h>

// Albedo, height and canopy resistance of grass are those of the FAO-56 reference surface; the
// other values are typical of the cover (from memory, or common practice without a source).
static const cb_cover covers[] = {
    {.name = "short_grass",
     .description = "lawn or meadow kept short, a thin thatch under it",
     .albedo = 0.23,
     .emissivity = 0.97,
     .height_m = 0.12,
     .insulation_m2k_w = 0.05,
     .green_share = 0.85,
     .leaf_resistance_s_m = 70.0,
     .soil_resistance_s_m = 300.0,
     .root_water_kg_m2 = 100.0,
     .top_water_kg_m2 = 15.0,
     .source = "Allen et al. 1998 (FAO-56) reference surface; thatch and water from memory"},
    {.name = "sparse_grass",
     .description = "dry range: bunch grass and brush with bare soil between",
     .albedo = 0.22,
     .emissivity = 0.96,
     .height_m = 0.10,
     .insulation_m2k_w = 0.02,
     .green_share = 0.35,
     .leaf_resistance_s_m = 100.0,
     .soil_resistance_s_m = 200.0,
     .root_water_kg_m2 = 80.0,
     .top_water_kg_m2 = 15.0,
     .source = "from memory"},
    {.name = "bare_soil",
     .description = "bare soil",
     .albedo = 0.20,
     .emissivity = 0.95,
     .height_m = 0.01,
     .insulation_m2k_w = 0.0,
     .green_share = 0.0,
     .leaf_resistance_s_m = 70.0,
     .soil_resistance_s_m = 100.0,
     .root_water_kg_m2 = 0.0,
     .top_water_kg_m2 = 20.0,
     .source = "from memory; evaporable water as Allen et al. 1998 (FAO-56) table 19, loam"},
    {.name = "mulch",
     .description = "bark or chips, 3 in (75 mm)",
     .albedo = 0.15,
     .emissivity = 0.95,
     .height_m = 0.03,
     .insulation_m2k_w = 0.6,
     .green_share = 0.0,
     .leaf_resistance_s_m = 70.0,
     .soil_resistance_s_m = 500.0,
     .root_water_kg_m2 = 0.0,
     .top_water_kg_m2 = 5.0,
     .source = "from memory: 75 mm at 0.12 W/(m K)"},
    {.name = "gravel",
     .description = "gravel, 2 in (50 mm)",
     .albedo = 0.25,
     .emissivity = 0.93,
     .height_m = 0.02,
     .insulation_m2k_w = 0.1,
     .green_share = 0.0,
     .leaf_resistance_s_m = 70.0,
     .soil_resistance_s_m = 300.0,
     .root_water_kg_m2 = 0.0,
     .top_water_kg_m2 = 5.0,
     .source = "from memory: 50 mm at 0.5 W/(m K)"},
    {.name = "pavement",
     .description = "asphalt, 4 in (100 mm)",
     .albedo = 0.12,
     .emissivity = 0.93,
     .height_m = 0.01,
     .insulation_m2k_w = 0.1,
     .green_share = 0.0,
     .leaf_resistance_s_m = 70.0,
     .soil_resistance_s_m = 50.0,
     .root_water_kg_m2 = 0.0,
     .top_water_kg_m2 = 1.0,
     .source = "from memory: 100 mm at 1 W/(m K); rain runs off"},
};
enum { COVERS = sizeof covers / sizeof *covers };

const cb_cover *cb_cover_at(int n)
{
    return n >= 0 && n < COVERS ? &covers[n] : NULL;
}

const cb_cover *cb_cover_find(const char *name)
{
    for (int n = 0; n < COVERS; n++) {
        if (name && strcmp(covers[n].name, name) == 0) {
            return &covers[n];
        }
    }
    return NULL;
}
