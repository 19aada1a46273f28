// SPDX-License-Identifier: MIT
#include "coilbed/ground.h"

#include <math.h>
#include <string.h>

// Columns: dry and solids density [kg/m3], quartz, specific surface [m2/g], conductivity
// [W/(m K)] and volumetric heat capacity [J/(m3 K)] of the solids, default saturation, coarse,
// organic, stony.
//
// The twelve classes. Dry densities are usual ones (common practice, no source). Specific surface:
// 240 m2/g for the clay and 30 for the silt of the class's middle (from memory; within the range of
// Anderson & Tice 1972), sand set to 5. Default saturation: water held at -33 kPa ("field
// capacity", what drained ground holds most of the year) by Rawls, Brakensiek & Saxton 1982, from
// memory, over the porosity that the densities here give; silt, which they leave out, as silt loam.
#define QUARTZ "quartz: Peters-Lidard et al. 1998, from memory"
#define QUARTZ_USUAL "quartz: common practice, no source"
#define CLASS                                                                                      \
    "; moisture: field capacity, Rawls et al. 1982, from memory; specific surface: from memory; "  \
    "density: common practice, no source"
#define USUAL "common practice, no source"
#define MINERAL NAN, 1.92e6 // Johansen 1975 from the quartz; de Vries 1963

static const cb_material materials[] = {
    {"sand", "clean sand", 1600, 2700, 0.90, 5, MINERAL, 0.22, true, false, false,
     QUARTZ_USUAL CLASS},
    {"loamy_sand", "sand that just holds together when moist", 1600, 2700, 0.82, 18, MINERAL, 0.31,
     true, false, false, QUARTZ CLASS},
    {"sandy_loam", "gritty, breaks when rolled", 1550, 2700, 0.60, 30, MINERAL, 0.49, true, false,
     false, QUARTZ CLASS},
    {"loam", "sand, silt and clay in balance", 1400, 2700, 0.40, 60, MINERAL, 0.56, false, false,
     false, QUARTZ CLASS},
    {"silt_loam", "floury when dry, smooth when wet", 1400, 2700, 0.25, 55, MINERAL, 0.69, false,
     false, false, QUARTZ CLASS},
    {"silt", "almost all silt", 1400, 2700, 0.10, 40, MINERAL, 0.69, false, false, false,
     QUARTZ CLASS "; moisture as silt loam"},
    {"sandy_clay_loam", "sand bound by some clay", 1500, 2700, 0.60, 70, MINERAL, 0.57, false,
     false, false, QUARTZ CLASS},
    {"clay_loam", "rolls into a short ribbon", 1350, 2700, 0.35, 90, MINERAL, 0.64, false, false,
     false, QUARTZ CLASS},
    {"silty_clay_loam", "smooth, rolls into a ribbon", 1300, 2700, 0.10, 100, MINERAL, 0.71, false,
     false, false, QUARTZ CLASS},
    {"sandy_clay", "sticky with grit", 1450, 2700, 0.52, 100, MINERAL, 0.73, false, false, false,
     QUARTZ CLASS},
    {"silty_clay", "sticky and smooth", 1250, 2700, 0.10, 125, MINERAL, 0.72, false, false, false,
     QUARTZ CLASS},
    {"clay", "sticky, rolls into a long ribbon", 1200, 2700, 0.20, 150, MINERAL, 0.71, false, false,
     false, QUARTZ_USUAL CLASS},
    {"topsoil", "dark garden loam, a tenth of its solids organic", 1150, 2600, 0.35, 80, NAN,
     1.98e6, 0.55, false, false, false,
     USUAL "; heat capacity: a tenth organic, de Vries 1963, from memory"},
    // No freezing curve of Anderson & Tice was made for peat: this surface leaves 8 % of a wet
    // peat's volume unfrozen at -1 degC (from memory of usual values).
    {"peat", "bog or fen peat, fibrous", 150, 1500, 0.0, 4, 0.25, 2.5e6, 0.80, false, true, false,
     "solids: de Vries 1963, Farouki 1981, from memory; density and moisture: " USUAL},
    {"gravel", "natural gravel with sand in it", 1800, 2700, 0.50, 1, MINERAL, 0.15, true, false,
     true, USUAL},
    {"bedding_sand", "washed sand laid round the pipe", 1700, 2700, 0.80, 5, MINERAL, 0.22, true,
     false, false, USUAL "; moisture as sand"},
    {"crushed_stone", "broken stone of one size, drained", 1550, 2700, 0.30, 1, MINERAL, 0.08, true,
     false, true, USUAL},
    {"weathered_rock", "rock that a machine can still dig", 2100, 2650, 0.30, 20, MINERAL, 0.70,
     true, false, true, USUAL},
    {"sound_rock", "granite or gneiss", 2650, 2670, 0.30, 1, 3.0, 2.1e6, 1.00, true, false, true,
     "conductivity and heat capacity: granite, from memory; the rest: " USUAL},
    {"concrete", "plain dense concrete", 2200, 2600, 0.30, 30, 2.3, 2.1e6, 0.50, false, false, true,
     "conductivity and heat capacity: from memory; the rest: " USUAL},
};
enum { MATERIALS = sizeof materials / sizeof *materials };

const cb_material *cb_material_at(int n)
{
    return n >= 0 && n < MATERIALS ? &materials[n] : NULL;
}

const cb_material *cb_material_find(const char *name)
{
    for (int n = 0; n < MATERIALS; n++) {
        if (name && strcmp(materials[n].name, name) == 0) {
            return &materials[n];
        }
    }
    return NULL;
}

double cb_porosity(const cb_material *material)
{
    return 1.0 - material->dry_density_kg_m3 / material->solids_density_kg_m3;
}

// The triangle's lines as the Soil Survey Manual (US Department of Agriculture, Handbook 18) gives
// them, taken one after the other so that no soil falls between two classes. In per cent.
static const char *class_of(double sand, double silt, double clay)
{
    if (silt + 1.5 * clay < 15) {
        return "sand";
    }
    if (silt + 2 * clay < 30) {
        return "loamy_sand";
    }
    if (clay >= 35 && sand > 45) {
        return "sandy_clay";
    }
    if (clay >= 40) {
        return silt >= 40 ? "silty_clay" : "clay";
    }
    if (clay >= 20 && silt < 28 && sand > 45) {
        return "sandy_clay_loam";
    }
    if (clay >= 27) {
        return sand > 20 ? "clay_loam" : "silty_clay_loam";
    }
    if (silt >= 50) {
        return silt >= 80 && clay < 12 ? "silt" : "silt_loam";
    }
    return clay >= 7 && sand <= 52 ? "loam" : "sandy_loam";
}

const cb_material *cb_material_of_shares(double sand, double silt, double clay)
{
    return cb_material_find(class_of(100 * sand, 100 * silt, 100 * clay));
}
