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
    if (brine->volume_basis == CBX_MASS_ONLY) {
        return NAN;
    }
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

static cb_fluid pure_water(void)
{
    const cbx_water *water = cbx_water_table();
    return (cb_fluid){.type = CB_WATER,
                      .mass_fraction = 0.0,
                      .freeze_c = 0.0,
                      .minimum_c = water->lowest_c,
                      .maximum_c = water->highest_c};
}

static cb_status define_water(cb_fluid *out, const cb_design_fluid *design, cb_error *error)
{
    if (!(design->concentration == 0.0)) {
        return cb_fail(error, CB_BAD_INPUT,
                       "concentration %g %% does not fit water; write 0 %% or choose an antifreeze",
                       100.0 * design->concentration);
    }
    *out = pure_water();
    return CB_OK;
}

static cb_fluid mixture(const cbx_brine *brine, double mass_fraction)
{
    const double u = mass_fraction - brine->base_fraction;
    const double freeze_c = polynomial(brine->freeze_k, CBX_CONCENTRATION_TERMS, u) - kelvin;
    return (cb_fluid){.type = brine->type,
                      .mass_fraction = mass_fraction,
                      .freeze_c = freeze_c,
                      .minimum_c = fmax(freeze_c, brine->lowest_c),
                      .maximum_c = brine->highest_c};
}

static cb_status define_brine(cb_fluid *out, const cbx_brine *brine, const cb_design_fluid *design,
                              cb_error *error)
{
    if (design->by_volume && brine->volume_basis == CBX_MASS_ONLY) {
        return cb_fail(error, CB_BAD_INPUT,
                       "%s is a salt and has no share by volume; write basis: mass",
                       cb_fluid_name(brine->type));
    }
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
    *out = mixture(brine, design->by_volume ? mass_fraction_of_volume(brine, given) : given);
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

void cb_fluid_span(cb_fluid_type type, double *lowest, double *highest)
{
    const cbx_brine *brine = cbx_brine_find(type);
    *lowest = brine ? brine->lowest_fraction : 0.0;
    *highest = brine ? brine->highest_fraction : 0.0;
}

double cb_fluid_volume_fraction(const cb_fluid *fluid)
{
    const cbx_brine *brine = cbx_brine_find(fluid->type);
    return brine ? volume_fraction(brine, fluid->mass_fraction) : 0.0;
}

double cb_fluid_additive_density_kg_m3(cb_fluid_type type)
{
    const cbx_brine *brine = cbx_brine_find(type);
    return brine ? brine->additive_density_kg_m3 : NAN;
}

// The freezing point falls with the concentration all over the data (a test holds that), so
// bisection finds the weakest mixture.
bool cb_fluid_for_freezing(cb_fluid *out, cb_fluid_type type, double freeze_c)
{
    const cbx_brine *brine = cbx_brine_find(type);
    if (!brine) {
        *out = pure_water();
        return freeze_c >= out->freeze_c;
    }
    double low = brine->lowest_fraction, high = brine->highest_fraction;
    *out = mixture(brine, low);
    if (out->freeze_c <= freeze_c) {
        return true;
    }
    for (int i = 0; i < 60; i++) {
        const double middle = 0.5 * (low + high);
        *(mixture(brine, middle).freeze_c <= freeze_c ? &high : &low) = middle;
    }
    *out = mixture(brine, high);
    return out->freeze_c <= freeze_c;
}
