// SPDX-License-Identifier: MIT
// Stands in for the library's soil curve in one program: water that freezes evenly between 0 degC
// and `freezing_start_c`, with one heat capacity and three conductivities, as the three-zone
// solution wants. The linker takes these functions before it looks for the library's.
#include "ground/soil_curve.h"

#include <stdlib.h>

struct cb_soil_curve {
    double capacity, slushy_capacity, lowest_c, thawed_k, slushy_k, frozen_k;
};

cb_status cb_soil_curve_create(cb_soil_curve **out, const cb_soil *soil, cb_error *error)
{
    *out = malloc(sizeof **out);
    if (!*out) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a soil curve");
    }
    const double latent_j_m3 = 334e6 * soil->water_fraction;
    **out = (cb_soil_curve){
        .capacity = soil->heat_capacity_j_m3k,
        .slushy_capacity = soil->heat_capacity_j_m3k - latent_j_m3 / soil->freezing_start_c,
        .lowest_c = soil->freezing_start_c,
        .thawed_k = soil->conductivity_w_mk,
        .slushy_k = 0.5 * (soil->conductivity_w_mk + soil->frozen_conductivity_w_mk),
        .frozen_k = soil->frozen_conductivity_w_mk,
    };
    return CB_OK;
}

cb_soil_curve *cb_soil_curve_destroy(cb_soil_curve *curve)
{
    free(curve);
    return NULL;
}

cb_soil_state cb_soil_at(const cb_soil_curve *curve, double enthalpy_j_m3)
{
    const double lowest_j_m3 = curve->slushy_capacity * curve->lowest_c;
    if (!(enthalpy_j_m3 < 0.0)) {
        return (cb_soil_state){enthalpy_j_m3 / curve->capacity, 1.0 / curve->capacity,
                               curve->thawed_k, 0.0};
    }
    if (enthalpy_j_m3 > lowest_j_m3) {
        return (cb_soil_state){enthalpy_j_m3 / curve->slushy_capacity, 1.0 / curve->slushy_capacity,
                               curve->slushy_k, enthalpy_j_m3 / lowest_j_m3};
    }
    return (cb_soil_state){curve->lowest_c + (enthalpy_j_m3 - lowest_j_m3) / curve->capacity,
                           1.0 / curve->capacity, curve->frozen_k, 1.0};
}

cb_soil_state cb_soil_dried_at(const cb_soil_curve *curve, double enthalpy_j_m3, double dryness)
{
    (void)dryness;
    return cb_soil_at(curve, enthalpy_j_m3);
}

cbx_thawed cbx_soil_thawed(const cb_soil_curve *curve, double dryness)
{
    (void)dryness;
    return (cbx_thawed){0.0, 1.0 / curve->capacity, curve->thawed_k};
}

cbx_cell_range cbx_soil_freeze(const cb_soil_curve *curve, int count, const double *enthalpy_j_m3,
                               double dryness, double *temperature_c, double *conductivity_w_mk,
                               double *slope_k_m3_j)
{
    for (int n = 0; n < count; n++) {
        const cb_soil_state state = cb_soil_dried_at(curve, enthalpy_j_m3[n], dryness);
        temperature_c[n] = state.temperature_c;
        conductivity_w_mk[n] = state.conductivity_w_mk;
        if (slope_k_m3_j) {
            slope_k_m3_j[n] = state.slope_k_m3_j;
        }
    }
    return (cbx_cell_range){0, count};
}

double cbx_soil_mean_c(cb_soil_curve *const *curves, const cbx_soil_patch *patch,
                       const double *enthalpy_j_m3)
{
    double sum = 0.0;
    for (int n = 0; n < patch->count; n++) {
        const int c = patch->cell[n];
        sum +=
            patch->weight[n] * cb_soil_at(curves[patch->soil[c]], enthalpy_j_m3[c]).temperature_c;
    }
    return sum;
}

double cb_soil_enthalpy_j_m3(const cb_soil_curve *curve, double temperature_c)
{
    if (temperature_c >= 0.0) {
        return curve->capacity * temperature_c;
    }
    return temperature_c > curve->lowest_c
               ? curve->slushy_capacity * temperature_c
               : curve->slushy_capacity * curve->lowest_c +
                     curve->capacity * (temperature_c - curve->lowest_c);
}

double cb_soil_unfrozen_capacity_j_m3k(const cb_soil_curve *curve)
{
    return curve->capacity;
}
