// SPDX-License-Identifier: MIT
#include "coilbed/ground.h"

#include <math.h>

static const double air_w_mk = 0.025;

// Johansen 1975: quartz 7.7 W/(m K), other minerals 2.0, or 3.0 in soil with little quartz.
static double solids_w_mk(const cb_material *material)
{
    const double q = material->quartz;
    return isnan(material->solids_conductivity_w_mk)
               ? pow(7.7, q) * pow(q > 0.2 ? 2.0 : 3.0, 1.0 - q)
               : material->solids_conductivity_w_mk;
}

static double saturated_w_mk(const cb_material *material, double pore_w_mk)
{
    const double n = cb_porosity(material);
    return pow(solids_w_mk(material), 1.0 - n) * pow(pore_w_mk, n);
}

// Published with 2700 kg/m3 for the solids.
static double johansen_dry_w_mk(const cb_material *material)
{
    const double rho = material->dry_density_kg_m3;
    return (0.135 * rho + 64.7) / (material->solids_density_kg_m3 - 0.947 * rho);
}

double cb_johansen_w_mk(const cb_material *material, double saturation, bool frozen)
{
    const double dry = johansen_dry_w_mk(material);
    const double saturated = saturated_w_mk(material, frozen ? 2.2 : 0.57);
    double kersten = saturation;
    if (!frozen) {
        const double floor = material->coarse ? 0.05 : 0.1;
        const double slope = material->coarse ? 0.7 : 1.0;
        kersten = saturation > floor ? fmax(0.0, slope * log10(saturation) + 1.0) : 0.0;
    }
    return dry + kersten * (saturated - dry);
}

typedef struct cote_konrad {
    double chi, eta;       // of the dry soil
    double thawed, frozen; // kappa
} cote_konrad;

// From memory of the paper's tables.
static cote_konrad cote_konrad_of(const cb_material *material)
{
    if (material->organic) {
        return (cote_konrad){0.30, 0.87, 0.60, 0.25};
    }
    if (material->stony) {
        return (cote_konrad){1.70, 1.80, 4.60, 1.70};
    }
    return material->coarse ? (cote_konrad){0.75, 1.20, 3.55, 0.95}
                            : (cote_konrad){0.75, 1.20, 1.90, 0.85};
}

double cb_cote_konrad_w_mk(const cb_material *material, double saturation, bool frozen)
{
    const cote_konrad c = cote_konrad_of(material);
    const double kappa = frozen ? c.frozen : c.thawed;
    const double kersten = kappa * saturation / (1.0 + (kappa - 1.0) * saturation);
    const double dry = c.chi * pow(10.0, -c.eta * cb_porosity(material));
    const double saturated = saturated_w_mk(material, frozen ? 2.24 : 0.60);
    return dry + kersten * (saturated - dry);
}

double cb_lu_w_mk(const cb_material *material, double saturation)
{
    const double alpha = material->coarse ? 0.96 : 0.27;
    const double kersten = exp(alpha * (1.0 - pow(saturation, alpha - 1.33)));
    // The line was fitted to porosities up to 0.6 and would fall below still air near 0.9.
    const double dry = fmax(air_w_mk, 0.51 - 0.56 * cb_porosity(material));
    return dry + kersten * (saturated_w_mk(material, 0.594) - dry);
}

double cb_soil_conductivity_w_mk(const cb_material *material, cb_conductivity_model model,
                                 double saturation, bool frozen)
{
    if (model == CB_COTE_KONRAD) {
        return cb_cote_konrad_w_mk(material, saturation, frozen);
    }
    if (model == CB_LU && !frozen) {
        return cb_lu_w_mk(material, saturation);
    }
    return cb_johansen_w_mk(material, saturation, frozen);
}
