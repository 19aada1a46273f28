// SPDX-License-Identifier: MIT
#include "ground/snow.h"

#include <math.h>

static const double ice_heat_j_kgk = 2100.0, fusion_j_kg = 334e3;
static const double melting_spread_k = 0.02;
static const double fresh_albedo = 0.85, old_albedo = 0.50, settled_kg_m3 = 250.0;
static const double least_layer_kg_m2 = 0.2;
static const double refresh_kg_m2 = 5.0; // so much new snow makes the surface fully white again

double cbx_snow_cell_c(double mass_kg_m2, double heat_j_m2, double *slope_k_m2_j)
{
    *slope_k_m2_j = heat_j_m2 <= 0.0 ? 1.0 / (mass_kg_m2 * ice_heat_j_kgk)
                                     : melting_spread_k / (mass_kg_m2 * fusion_j_kg);
    return heat_j_m2 * *slope_k_m2_j;
}

double cbx_snow_share(double air_c)
{
    return fmin(1.0, fmax(0.0, 1.0 - air_c / 2.0));
}

// Cuts parts (from the top down) into cells of equal mass, heat going with the mass.
static void cut(cbx_snow *snow, const double *mass, const double *heat, int parts)
{
    double total = 0.0;
    for (int n = 0; n < parts; n++) {
        total += mass[n];
    }
    snow->mass_kg_m2 = total;
    const double each = total / CBX_SNOW_CELLS;
    int part = 0;
    double left = parts > 0 ? mass[0] : 0.0;
    for (int n = 0; n < CBX_SNOW_CELLS; n++) {
        double wanted = each;
        snow->heat_j_m2[n] = 0.0;
        while (part < parts) {
            const double taken = n == CBX_SNOW_CELLS - 1 ? left : fmin(left, wanted);
            if (mass[part] > 0.0) {
                snow->heat_j_m2[n] += heat[part] * taken / mass[part];
            }
            left -= taken;
            wanted -= taken;
            if (left > 0.0) {
                break;
            }
            part++;
            left = part < parts ? mass[part] : 0.0;
        }
    }
}

void cbx_snow_fall(cbx_snow *snow, double mass_kg_m2, double air_c)
{
    snow->waiting_kg_m2 += mass_kg_m2;
    if (snow->mass_kg_m2 + snow->waiting_kg_m2 < least_layer_kg_m2) {
        return;
    }
    mass_kg_m2 = snow->waiting_kg_m2;
    if (!(mass_kg_m2 > 0.0)) {
        return;
    }
    snow->waiting_kg_m2 = 0.0;
    const double fresh = cb_fresh_snow_density_kg_m3(air_c);
    const double depth_m = cbx_snow_depth_m(snow) + mass_kg_m2 / fresh;
    if (snow->mass_kg_m2 <= 0.0) {
        snow->albedo = old_albedo;
    }
    snow->albedo += (fresh_albedo - snow->albedo) * fmin(1.0, mass_kg_m2 / refresh_kg_m2);
    double mass[CBX_SNOW_CELLS + 1] = {mass_kg_m2}, heat[CBX_SNOW_CELLS + 1];
    heat[0] = mass_kg_m2 * ice_heat_j_kgk * fmin(0.0, air_c);
    for (int n = 0; n < CBX_SNOW_CELLS; n++) {
        mass[n + 1] = snow->mass_kg_m2 / CBX_SNOW_CELLS;
        heat[n + 1] = snow->heat_j_m2[n];
    }
    cut(snow, mass, heat, CBX_SNOW_CELLS + 1);
    snow->density_kg_m3 = snow->mass_kg_m2 / depth_m;
}

void cbx_snow_take(cbx_snow *snow, double mass_kg_m2)
{
    double mass[CBX_SNOW_CELLS], heat[CBX_SNOW_CELLS], left = mass_kg_m2;
    const double each = snow->mass_kg_m2 / CBX_SNOW_CELLS;
    if (!(mass_kg_m2 < 0.999999 * snow->mass_kg_m2)) { // all but rounding
        *snow = (cbx_snow){.waiting_kg_m2 = snow->waiting_kg_m2};
        return;
    }
    for (int n = 0; n < CBX_SNOW_CELLS; n++) {
        const double taken = fmin(left, each);
        mass[n] = each - taken;
        heat[n] = each > 0.0 ? snow->heat_j_m2[n] * mass[n] / each : 0.0;
        left -= taken;
    }
    cut(snow, mass, heat, CBX_SNOW_CELLS);
}

void cbx_snow_age(cbx_snow *snow, bool melting)
{
    if (snow->mass_kg_m2 <= 0.0) {
        return;
    }
    if (snow->density_kg_m3 < settled_kg_m3) {
        snow->density_kg_m3 = settled_kg_m3 + (snow->density_kg_m3 - settled_kg_m3) * exp(-0.01);
    }
    if (melting) {
        snow->albedo = old_albedo + (snow->albedo - old_albedo) * exp(-0.24 / 24.0);
    } else {
        snow->albedo = fmax(old_albedo, snow->albedo - 0.008 / 24.0);
    }
}

double cbx_snow_drain(cbx_snow *snow, double *surplus_j_m2)
{
    *surplus_j_m2 = 0.0;
    double mass[CBX_SNOW_CELLS], heat[CBX_SNOW_CELLS], water = 0.0;
    for (int n = 0; n < CBX_SNOW_CELLS; n++) {
        const double before = snow->mass_kg_m2 / CBX_SNOW_CELLS;
        const double melted = fmin(before, fmax(0.0, snow->heat_j_m2[n]) / fusion_j_kg);
        mass[n] = before - melted;
        heat[n] = snow->heat_j_m2[n] - melted * fusion_j_kg;
        if (mass[n] <= 0.0) {
            *surplus_j_m2 += heat[n];
            heat[n] = 0.0;
        }
        water += melted;
    }
    if (water > 0.0) {
        cut(snow, mass, heat, CBX_SNOW_CELLS);
    }
    return water;
}
