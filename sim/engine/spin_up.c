// SPDX-License-Identifier: MIT
#include "engine/spin_up.h"

#include "engine/integrator.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SAMPLES_A_DAY = 4, MOST_YEARS = 30 };
static const double settled_k = 0.01;
static const double skin_m = 0.5; // above it the state is last week's weather, to loose tolerances
static const double frost_reach_m = 4.0; // below it the ground never freezes and k is constant

typedef struct spin_up {
    cbx_system *column;
    cbx_undisturbed *out;
    double *enthalpy, *tolerance; // [column->size]
} spin_up;

static const cb_soil_curve *curve_of(const cb_section *section, int k)
{
    return section->curves[section->soil[k]];
}

// A first guess: the steady temperature under the year's mean exchange, warming with depth.
static void guess(const spin_up *spin)
{
    const cb_section *section = spin->column->section;
    double heat = 0.0, film = 0.0;
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        const cbx_forcing_point point =
            cbx_forcing_at(&spin->column->forcing, ((double)hour + 0.5) * 3600.0);
        heat += point.surface.intake_w_m2;
        film += point.surface.h_w_m2k;
    }
    double mean_c = heat / film;
    for (int k = 0; k < section->nz; k++) {
        const double conductivity = cb_soil_at(curve_of(section, k), 0.0).conductivity_w_mk;
        const double half = 0.5 * section->dz_m[k] * section->geothermal_flux_w_m2 / conductivity;
        mean_c += half;
        spin->enthalpy[k] = cb_soil_enthalpy_j_m3(curve_of(section, k), mean_c);
        mean_c += half;
    }
}

static cb_status step_year(const spin_up *spin, cb_error *error)
{
    const cb_section *section = spin->column->section;
    const int nz = section->nz;
    const cbx_integrator_plan plan = {
        .system = spin->column,
        .start = spin->enthalpy,
        .tolerance = spin->tolerance,
        .relative_tolerance = cbx_accuracy_of(spin->column->design->run.accuracy).relative,
    };
    cbx_integrator *integrator;
    cb_status status = cbx_integrator_create(&integrator, &plan, error);
    const double *y = spin->enthalpy;
    for (int sample = 0; status == CB_OK && sample < CB_YEAR_DAYS * SAMPLES_A_DAY; sample++) {
        status = cbx_integrator_advance(integrator, (sample + 1) * 86400.0 / SAMPLES_A_DAY, &y,
                                        NULL, error);
        double *mean = spin->out->daily_c + (size_t)(sample / SAMPLES_A_DAY) * (size_t)nz;
        for (int k = 0; k < nz && status == CB_OK; k++) {
            const double t = cb_soil_at(curve_of(section, k), y[k]).temperature_c;
            mean[k] = (sample % SAMPLES_A_DAY ? mean[k] : 0.0) + t / SAMPLES_A_DAY;
        }
    }
    if (status == CB_OK) {
        memcpy(spin->enthalpy, y, (size_t)nz * sizeof *y);
    }
    cbx_integrator_destroy(integrator);
    return status;
}

static double annual_mean(const cbx_undisturbed *undisturbed, int k)
{
    double sum = 0.0;
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        sum += undisturbed->daily_c[(size_t)day * (size_t)undisturbed->nz + (size_t)k];
    }
    return sum / CB_YEAR_DAYS;
}

static void shift_deep(const spin_up *spin)
{
    const cb_section *section = spin->column->section;
    int top = 0;
    while (top < section->nz - 1 && cb_row_depth_m(section, top) < frost_reach_m) {
        top++;
    }
    double wanted_c = annual_mean(spin->out, top);
    for (int k = top + 1; k < section->nz; k++) {
        const double above = cb_soil_at(curve_of(section, k - 1), 0.0).conductivity_w_mk;
        const double here = cb_soil_at(curve_of(section, k), 0.0).conductivity_w_mk;
        wanted_c += section->geothermal_flux_w_m2 * 0.5 *
                    (section->dz_m[k - 1] / above + section->dz_m[k] / here);
        const double now_c = cb_soil_at(curve_of(section, k), spin->enthalpy[k]).temperature_c;
        spin->enthalpy[k] = cb_soil_enthalpy_j_m3(curve_of(section, k),
                                                  now_c + wanted_c - annual_mean(spin->out, k));
    }
}

static double change_k(const spin_up *spin, const double *before)
{
    const cb_section *section = spin->column->section;
    double most = 0.0;
    for (int k = 0; k < section->nz; k++) {
        if (cb_row_depth_m(section, k) < skin_m) {
            continue;
        }
        const double a = cb_soil_at(curve_of(section, k), before[k]).temperature_c;
        const double b = cb_soil_at(curve_of(section, k), spin->enthalpy[k]).temperature_c;
        most = fmax(most, fabs(b - a));
    }
    return most;
}

static cb_status settle(const spin_up *spin, double *before, cb_error *error)
{
    const cb_section *section = spin->column->section;
    const size_t bytes = (size_t)section->nz * sizeof(double);
    cbx_undisturbed *out = spin->out;
    guess(spin);
    for (int year = 1; year <= MOST_YEARS; year++) {
        memcpy(before, spin->enthalpy, bytes);
        const cb_status status = step_year(spin, error);
        if (status != CB_OK) {
            return status;
        }
        out->years = year;
        out->residual_k = change_k(spin, before);
        if (out->residual_k < settled_k) {
            for (int k = 0; k < section->nz; k++) {
                out->start_c[k] = cb_soil_at(curve_of(section, k), spin->enthalpy[k]).temperature_c;
            }
            return CB_OK;
        }
        shift_deep(spin);
    }
    return cb_fail(error, CB_NUMERICS,
                   "the undisturbed ground still moved by %.3f K a year after %d years",
                   out->residual_k, MOST_YEARS);
}

cb_status cbx_spin_up(cbx_undisturbed *out, const cbx_system *field, cb_error *error)
{
    *out = (cbx_undisturbed){.nz = field->section->nz};
    const size_t nz = (size_t)out->nz;
    spin_up spin = {.out = out};
    cb_status status = cbx_column_create(&spin.column, field, error);
    if (status != CB_OK) {
        return status;
    }
    out->start_c = calloc(nz, sizeof(double));
    out->daily_c = calloc(nz * CB_YEAR_DAYS, sizeof(double));
    spin.enthalpy = calloc((size_t)spin.column->size, sizeof(double));
    spin.tolerance = calloc((size_t)spin.column->size, sizeof(double));
    double *before = calloc(nz, sizeof(double));
    if (!out->start_c || !out->daily_c || !spin.enthalpy || !spin.tolerance || !before) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the undisturbed ground");
    } else {
        cbx_tolerances(spin.column, spin.tolerance);
        status = settle(&spin, before, error);
    }
    cbx_system_destroy(spin.column);
    free(spin.enthalpy);
    free(spin.tolerance);
    free(before);
    if (status != CB_OK) {
        cbx_undisturbed_free(out);
    }
    return status;
}

void cbx_undisturbed_free(cbx_undisturbed *undisturbed)
{
    free(undisturbed->start_c);
    free(undisturbed->daily_c);
    *undisturbed = (cbx_undisturbed){0};
}
