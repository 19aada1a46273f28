// SPDX-License-Identifier: MIT
#include "coilbed/ground.h"

#include <math.h>
#include <string.h>

// Dry density, quartz and the coarse/fine split are typical values of the class (common practice,
// no source); specific surface from memory, within the range of Anderson & Tice 1972.
static const cb_material materials[] = {
    {"sand", "clean sand", 1600.0, 2700.0, 0.90, 5.0, NAN, 1.92e6, 0.5, true, false, ""},
    {"loam", "loam", 1400.0, 2700.0, 0.40, 60.0, NAN, 1.92e6, 0.5, false, false, ""},
    {"clay", "clay", 1200.0, 2700.0, 0.20, 150.0, NAN, 1.92e6, 0.5, false, false, ""},
};
enum { MATERIALS = sizeof materials / sizeof *materials };

static const double solids_density_kg_m3 = 2700.0;
static const double water_density_kg_m3 = 1000.0;

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

static double porosity(const cb_material *material)
{
    return 1.0 - material->dry_density_kg_m3 / solids_density_kg_m3;
}

double cb_johansen_w_mk(const cb_material *material, double saturation, bool frozen)
{
    const double q = material->quartz, n = porosity(material), rho = material->dry_density_kg_m3;
    const double solids = pow(7.7, q) * pow(q > 0.2 ? 2.0 : 3.0, 1.0 - q);
    const double dry = (0.135 * rho + 64.7) / (solids_density_kg_m3 - 0.947 * rho);
    const double pore = frozen ? 2.2 : 0.57;
    const double saturated = pow(solids, 1.0 - n) * pow(pore, n);
    double kersten = saturation;
    if (!frozen) {
        const double floor = material->coarse ? 0.05 : 0.1;
        const double slope = material->coarse ? 0.7 : 1.0;
        kersten = saturation > floor ? fmax(0.0, slope * log10(saturation) + 1.0) : 0.0;
    }
    return dry + kersten * (saturated - dry);
}

double cb_soil_heat_capacity_j_m3k(const cb_material *material, double water_fraction, bool frozen)
{
    const double solids = material->dry_density_kg_m3 / solids_density_kg_m3;
    return solids * 1.92e6 + water_fraction * (frozen ? 1.93e6 : 4.18e6);
}

void cb_freezing_curve(const cb_material *material, double water_fraction, double *start_c,
                       double *exponent)
{
    const double surface = material->specific_surface_m2_g;
    const double at_minus_one = exp(0.2618 + 0.5519 * log(surface)); // per cent of dry mass
    const double b = 1.449 * pow(surface, -0.264);
    const double water_percent =
        100.0 * water_fraction * water_density_kg_m3 / material->dry_density_kg_m3;
    *exponent = b;
    // Nearly dry soil would only freeze far below zero; its latent heat is then negligible.
    *start_c = water_percent > 0.0 ? fmax(-2.0, -pow(at_minus_one / water_percent, 1.0 / b)) : -2.0;
}

cb_soil cb_soil_of(const char *material, double water_fraction)
{
    return (cb_soil){
        .material = material,
        .sand_share = NAN,
        .silt_share = NAN,
        .clay_share = NAN,
        .dry_density_kg_m3 = NAN,
        .quartz_share = NAN,
        .water_fraction = water_fraction,
        .water_by_mass = NAN,
        .dry_water_fraction = NAN,
        .conductivity_w_mk = NAN,
        .frozen_conductivity_w_mk = NAN,
        .dry_conductivity_w_mk = NAN,
        .heat_capacity_j_m3k = NAN,
        .frozen_heat_capacity_j_m3k = NAN,
        .freezing_start_c = NAN,
        .freezing_exponent = NAN,
    };
}

static void fill(double *value, double by_default)
{
    if (isnan(*value)) {
        *value = by_default;
    }
}

cb_status cb_soil_resolve(cb_soil *soil, cb_error *error)
{
    const cb_material *material = cb_material_find(soil->material);
    if (!material) {
        return cb_fail(error, CB_BAD_INPUT, "unknown soil material \"%s\"; known: sand, loam, clay",
                       soil->material ? soil->material : "");
    }
    const double pores = porosity(material), water = soil->water_fraction;
    if (!(water >= 0.0 && water <= pores)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "%s holds at most %.0f %% of its volume as water, not %.0f %%",
                       material->name, 100.0 * pores, 100.0 * water);
    }
    double start_c, exponent;
    cb_freezing_curve(material, water, &start_c, &exponent);
    fill(&soil->conductivity_w_mk, cb_johansen_w_mk(material, water / pores, false));
    fill(&soil->frozen_conductivity_w_mk, cb_johansen_w_mk(material, water / pores, true));
    fill(&soil->heat_capacity_j_m3k, cb_soil_heat_capacity_j_m3k(material, water, false));
    fill(&soil->frozen_heat_capacity_j_m3k, cb_soil_heat_capacity_j_m3k(material, water, true));
    fill(&soil->freezing_start_c, start_c);
    fill(&soil->freezing_exponent, exponent);
    return CB_OK;
}
