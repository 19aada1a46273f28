// SPDX-License-Identifier: MIT
#include "coilbed/ground.h"

#include <math.h>
#include <stdio.h>

static const double water_density_kg_m3 = 1000.0;
// Laboratories round each share to a whole per cent.
static const double share_slack = 0.0101;
static const double coldest_start_c = -2.0, warmest_start_c = -0.1;
static const double water_slack = 1e-9;

double cb_soil_heat_capacity_j_m3k(const cb_material *material, double water_fraction, bool frozen)
{
    const double solids = material->dry_density_kg_m3 / material->solids_density_kg_m3;
    return solids * material->solids_heat_capacity_j_m3k +
           water_fraction * (frozen ? 1.93e6 : 4.18e6);
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
    const double start =
        water_percent > 0.0 ? -pow(at_minus_one / water_percent, 1.0 / b) : coldest_start_c;
    *start_c = fmin(warmest_start_c, fmax(coldest_start_c, start));
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

double cb_saturation_of(cb_moisture moisture)
{
    static const double share[] = {[CB_MOISTURE_GIVEN] = NAN,
                                   [CB_DRY] = 0.2,
                                   [CB_DAMP] = 0.5,
                                   [CB_WET] = 0.8,
                                   [CB_SATURATED] = 1.0};
    return share[moisture];
}

cb_material cb_material_of_soil(const cb_soil *soil)
{
    const cb_material *entry = cb_material_find(soil->material);
    cb_material material = *entry;
    if (!isnan(soil->dry_density_kg_m3)) {
        material.dry_density_kg_m3 = soil->dry_density_kg_m3;
    }
    if (!isnan(soil->quartz_share) && soil->quartz_share != entry->quartz) {
        material.quartz = soil->quartz_share;
        material.solids_conductivity_w_mk = NAN;
    }
    return material;
}

// ---- resolving -------------------------------------------------------------------------------

// A soil on its way, and the key of a design that is at fault should it fail.
typedef struct resolver {
    cb_soil *soil;
    cb_material material;
    const char *key;
    cb_error *error;
} resolver;

typedef struct shown {
    char text[48];
} shown;

static shown percent(double share)
{
    shown out;
    cb_units_format(CB_FRACTION, CB_UNITS_SI, share, 3, out.text, sizeof out.text);
    return out;
}

static shown density(double kg_m3)
{
    shown out;
    snprintf(out.text, sizeof out.text, "%.0f kg/m3 (%.1f lb/ft3)", kg_m3,
             cb_units_value(CB_DENSITY, CB_UNITS_US, kg_m3));
    return out;
}

static void fill(double *value, double by_default)
{
    if (isnan(*value)) {
        *value = by_default;
    }
}

#define REFUSE(R, KEY, ...) ((R)->key = (KEY), cb_fail((R)->error, CB_BAD_INPUT, __VA_ARGS__))

static cb_status check_shares(resolver *r)
{
    static const char *const name[] = {"sand", "silt", "clay"};
    const double share[] = {r->soil->sand_share, r->soil->silt_share, r->soil->clay_share};
    for (int n = 0; n < 3; n++) {
        if (isnan(share[n])) {
            return REFUSE(r, name[(n + 1) % 3],
                          "sand, silt and clay are given together: %s is missing", name[n]);
        }
        if (!(share[n] >= 0.0 && share[n] <= 1.0)) {
            return REFUSE(r, name[n], "%s is outside 0 %% to 100 %%", percent(share[n]).text);
        }
    }
    const double sum = share[0] + share[1] + share[2];
    if (!(fabs(sum - 1.0) <= share_slack)) {
        return REFUSE(r, "clay", "sand, silt and clay sum to %s: 99 %% to 101 %% is accepted",
                      percent(sum).text);
    }
    return CB_OK;
}

static cb_status take_shares(resolver *r)
{
    cb_soil *soil = r->soil;
    const cb_status status = check_shares(r);
    if (status != CB_OK) {
        return status;
    }
    const cb_material *texture =
        cb_material_of_shares(soil->sand_share, soil->silt_share, soil->clay_share);
    if (soil->material && cb_material_find(soil->material) != texture) {
        return REFUSE(r, "material",
                      "%s, but the shares of sand, silt and clay are those of %s; "
                      "leave one of them out",
                      soil->material, texture->name);
    }
    soil->material = texture->name;
    fill(&soil->quartz_share, soil->sand_share);
    return CB_OK;
}

static cb_status fail_material(resolver *r)
{
    if (!r->soil->material) {
        return REFUSE(r, "material",
                      "material is missing, and so are the shares of sand, silt and "
                      "clay; one of the two is needed");
    }
    char list[512];
    size_t used = 0;
    for (int n = 0; cb_material_at(n) && used < sizeof list; n++) {
        used += (size_t)snprintf(list + used, sizeof list - used, "%s%s", n ? ", " : "",
                                 cb_material_at(n)->name);
    }
    return REFUSE(r, "material", "unknown soil material \"%s\"; known: %s", r->soil->material,
                  list);
}

static cb_status take_material(resolver *r)
{
    cb_soil *soil = r->soil;
    if (!isnan(soil->sand_share) || !isnan(soil->silt_share) || !isnan(soil->clay_share)) {
        const cb_status status = take_shares(r);
        if (status != CB_OK) {
            return status;
        }
    }
    const cb_material *entry = cb_material_find(soil->material);
    if (!entry) {
        return fail_material(r);
    }
    fill(&soil->dry_density_kg_m3, entry->dry_density_kg_m3);
    fill(&soil->quartz_share, entry->quartz);
    const double rho = soil->dry_density_kg_m3, solids = entry->solids_density_kg_m3;
    if (!(rho > 0.0 && rho < solids)) {
        return REFUSE(r, "dry_density", "%s is not between 0 and that of the solids of %s, %s",
                      density(rho).text, entry->name, density(solids).text);
    }
    if (!(soil->quartz_share >= 0.0 && soil->quartz_share <= 1.0)) {
        return REFUSE(r, "quartz", "%s is outside 0 %% to 100 %%",
                      percent(soil->quartz_share).text);
    }
    if (soil->model == CB_LU && entry->organic) {
        return REFUSE(r, "conductivity_model",
                      "lu is for mineral soil, not for %s: write johansen "
                      "or cote_konrad",
                      entry->name);
    }
    r->material = cb_material_of_soil(soil);
    return CB_OK;
}

static cb_status refuse_water(resolver *r, const char *key, double water, double most,
                              const char *of)
{
    return water > most ? REFUSE(r, key, "%s holds at most %s of its %s as water, not %s",
                                 r->material.name, percent(most).text, of, percent(water).text)
                        : REFUSE(r, key, "%s holds 0 %% to %s of its %s as water, not %s",
                                 r->material.name, percent(most).text, of, percent(water).text);
}

static cb_status check_one_water(resolver *r)
{
    const cb_soil *soil = r->soil;
    const bool word = soil->moisture != CB_MOISTURE_GIVEN, by_mass = !isnan(soil->water_by_mass);
    if (word + by_mass + !isnan(soil->water_fraction) < 2) {
        return CB_OK;
    }
    const char *other = !isnan(soil->water_fraction) ? "water" : "moisture";
    return REFUSE(r, by_mass ? "water_by_mass" : "moisture",
                  "%s is given too, one of them is wanted", other);
}

static cb_status take_water(resolver *r)
{
    cb_soil *soil = r->soil;
    const double pores = cb_porosity(&r->material);
    const double by_mass = soil->water_by_mass;
    cb_status status = check_one_water(r);
    if (status != CB_OK) {
        return status;
    }
    if (!isnan(by_mass)) {
        const double most = pores * water_density_kg_m3 / soil->dry_density_kg_m3;
        if (!(by_mass >= 0.0 && by_mass <= most + water_slack)) {
            return refuse_water(r, "water_by_mass", by_mass, most, "dry mass");
        }
        soil->water_fraction = by_mass * soil->dry_density_kg_m3 / water_density_kg_m3;
    }
    if (soil->moisture != CB_MOISTURE_GIVEN) {
        soil->water_fraction = pores * cb_saturation_of(soil->moisture);
    }
    fill(&soil->water_fraction, pores * r->material.default_saturation);
    if (!(soil->water_fraction >= 0.0 && soil->water_fraction <= pores + water_slack)) {
        return refuse_water(r, "water", soil->water_fraction, pores, "volume");
    }
    soil->water_fraction = fmin(pores, soil->water_fraction);
    soil->water_by_mass = NAN;
    soil->moisture = CB_MOISTURE_GIVEN;
    return CB_OK;
}

static cb_status take_dry_season(resolver *r)
{
    cb_soil *soil = r->soil;
    fill(&soil->dry_water_fraction, soil->water_fraction);
    const double dry = soil->dry_water_fraction, water = soil->water_fraction;
    if (!(dry >= 0.0 && dry <= water + water_slack)) {
        return REFUSE(r, "dry_season_water", "%s is outside 0 %% to the water otherwise, %s",
                      percent(dry).text, percent(water).text);
    }
    return CB_OK;
}

static void take_properties(resolver *r)
{
    cb_soil *soil = r->soil;
    const cb_material *material = &r->material;
    const double pores = cb_porosity(material), water = soil->water_fraction;
    const double thawed = cb_soil_conductivity_w_mk(material, soil->model, water / pores, false);
    const double dry =
        cb_soil_conductivity_w_mk(material, soil->model, soil->dry_water_fraction / pores, false);
    double start_c, exponent;
    cb_freezing_curve(material, water, &start_c, &exponent);
    fill(&soil->conductivity_w_mk, thawed);
    fill(&soil->frozen_conductivity_w_mk,
         cb_soil_conductivity_w_mk(material, soil->model, water / pores, true));
    fill(&soil->dry_conductivity_w_mk, soil->conductivity_w_mk * dry / thawed);
    fill(&soil->heat_capacity_j_m3k, cb_soil_heat_capacity_j_m3k(material, water, false));
    fill(&soil->frozen_heat_capacity_j_m3k, cb_soil_heat_capacity_j_m3k(material, water, true));
    fill(&soil->freezing_start_c, start_c);
    fill(&soil->freezing_exponent, exponent);
}

static cb_status check_properties(resolver *r)
{
    const cb_soil *soil = r->soil;
    const struct {
        const char *key;
        double value;
    } positive[] = {{"conductivity", soil->conductivity_w_mk},
                    {"frozen_conductivity", soil->frozen_conductivity_w_mk},
                    {"dry_season_conductivity", soil->dry_conductivity_w_mk},
                    {"heat_capacity", soil->heat_capacity_j_m3k},
                    {"frozen_heat_capacity", soil->frozen_heat_capacity_j_m3k},
                    {"freezing_exponent", soil->freezing_exponent}};
    for (size_t n = 0; n < sizeof positive / sizeof *positive; n++) {
        if (!(positive[n].value > 0.0 && positive[n].value < INFINITY)) {
            return REFUSE(r, positive[n].key, "%g is not positive", positive[n].value);
        }
    }
    if (!(soil->freezing_start_c < 0.0 && soil->freezing_start_c > -INFINITY)) {
        return REFUSE(r, "freezing_start", "%g degC is not below 0 degC", soil->freezing_start_c);
    }
    return CB_OK;
}

static cb_status resolve(resolver *r)
{
    cb_status status = take_material(r);
    if (status == CB_OK) {
        status = take_water(r);
    }
    if (status == CB_OK) {
        status = take_dry_season(r);
    }
    if (status == CB_OK) {
        take_properties(r);
        status = check_properties(r);
    }
    return status;
}

cb_status cb_soil_resolve(cb_soil *soil, cb_error *error)
{
    cb_soil filled = *soil;
    const cb_status status = resolve(&(resolver){.soil = &filled, .error = error});
    if (status == CB_OK) {
        *soil = filled;
    }
    return status;
}

cb_status cb_soil_of_layer(cb_soil *out, const cb_design *design, int n, cb_error *error)
{
    const cb_design_ground *ground = &design->ground;
    const bool layer = n < ground->layer_count;
    cb_error reason = {0};
    *out = layer ? ground->layer[n].soil : ground->backfill;
    resolver r = {.soil = out, .error = &reason};
    const cb_status status = resolve(&r);
    if (status != CB_BAD_INPUT) {
        return status;
    }
    char path[64];
    if (layer) {
        snprintf(path, sizeof path, "ground.layers[%d].%s", n, r.key);
    } else {
        snprintf(path, sizeof path, "ground.backfill.%s", r.key);
    }
    return cb_design_fail(design, path, error, "%s", reason.message);
}
