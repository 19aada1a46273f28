// SPDX-License-Identifier: MIT
#include "findings/fixture.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double TWO_PI = 6.283185307179586;

static cb_design invented_design(int years)
{
    return (cb_design){
        .name = "Invented house",
        .field = {.trenches = 3,
                  .spacing_m = 3.0,
                  .trench_length_m = 30.0,
                  .depth_m = 1.8,
                  .layout = CB_FLAT_COIL,
                  .coil_diameter_m = 0.8,
                  .coil_pitch_m = 0.4},
        .fluid = {.type = CB_PROPYLENE_GLYCOL, .concentration = 0.23},
        .pumps = {.flow_per_circuit_m3_s = 2e-4},
        .limits = {.freeze_margin_k = 3.0,
                   .entering_minimum_c = -4.0,
                   .entering_maximum_c = 35.0,
                   .pipe_maximum_c = 50.0,
                   .drift_k_per_year = 0.05,
                   .minimum_reynolds = 2500.0,
                   .close_k = 1.0},
        .run = {.years = years, .start_month = 10, .start_day = 1},
    };
}

static void fill_hour(cb_run_data *data, long h)
{
    const double season = cos(TWO_PI * (double)(h - COLDEST_HOUR) / YEAR); // 1 in midwinter
    data->entering_water_c[h] = 8.0 - 6.0 * season;
    data->leaving_water_c[h] = data->entering_water_c[h] - 3.0 * season;
    data->coldest_fluid_c[h] = data->entering_water_c[h] - 3.0;
    data->hottest_fluid_c[h] = data->entering_water_c[h] + 4.0;
    data->mean_fluid_c[h] = data->entering_water_c[h] - 1.5 * season;
    data->air_temperature_c[h] = 8.0 - 20.0 * season;
    data->flow_kg_s[h] = 0.6;
    data->reynolds[h] = 3000.0;
    data->pump_fraction[h] = 0.5;
    data->heating_load_w[h] = data->heating_output_w[h] = 5000.0 * fmax(0.0, season);
    data->cooling_load_w[h] = data->cooling_output_w[h] = 2000.0 * fmax(0.0, -season);
    data->compressor_power_w[h] = 0.25 * (data->heating_output_w[h] + data->cooling_output_w[h]);
    data->pump_power_w[h] = 75.0;
}

void fixture_open(fixture *f, int years)
{
    const size_t hours = (size_t)years * YEAR, days = (size_t)years * 365;
    *f = (fixture){.design = invented_design(years)};
    cb_run_data *data = &f->data;
    double **series[] = {
        &data->entering_water_c, &data->leaving_water_c,    &data->coldest_fluid_c,
        &data->hottest_fluid_c,  &data->flow_kg_s,          &data->reynolds,
        &data->pump_fraction,    &data->heat_from_ground_w, &data->heating_output_w,
        &data->cooling_output_w, &data->compressor_power_w, &data->pump_power_w,
        &data->backup_power_w,   &data->unmet_load_w,       &data->heating_load_w,
        &data->cooling_load_w,   &data->air_temperature_c,  &data->mean_fluid_c,
        &data->fan_power_w,      &data->desuperheater_w,    &data->element_power_w,
        &data->hot_water_w,      &data->hot_water_unmet_w,  &data->tank_c};
    const size_t count = sizeof series / sizeof *series;
    f->block = calloc(count * hours + 3 * days, sizeof *f->block);
    assert_non_null(f->block);
    for (size_t i = 0; i < count; i++) {
        *series[i] = f->block + i * hours;
    }
    data->hours = (long)hours;
    data->days = (long)days;
    data->day_number = f->block + count * hours;
    data->ice_radius_m = data->day_number + days;
    data->coil_depth_c = data->ice_radius_m + days;
    data->complete = true;
    data->design_path = "house.yaml";
    data->freeze_c = -9.0;
    data->slices = 1;
    data->frost_depth_m = 0.6;
    data->run_frost_depth_m = 0.9;
    data->run_frost_hour = (long)hours / 2;
    data->quality = (cb_quality){
        .energy_audit_relative = 2e-7, .estimated_discretisation_error_k = 0.03, .steps = 1000};
    for (long h = 0; h < data->hours; h++) {
        fill_hour(data, h);
    }
    for (long d = 0; d < data->days; d++) {
        data->day_number[d] = (double)d;
    }
}

void fixture_close(fixture *f)
{
    free(f->block);
}

void fixture_shift_year(fixture *f, int year, double kelvin)
{
    for (long h = (long)year * YEAR; h < (long)(year + 1) * YEAR; h++) {
        f->data.entering_water_c[h] += kelvin;
        f->data.coldest_fluid_c[h] += kelvin;
        f->data.hottest_fluid_c[h] += kelvin;
    }
}

cb_findings *fixture_judge(const fixture *f)
{
    cb_findings *findings = NULL;
    cb_error error = {0};
    if (cb_findings_create(&findings, &f->data, &f->design, &error) != CB_OK) {
        fail_msg("cb_findings_create: %s", error.message);
    }
    return findings;
}

const cb_finding *fixture_find(const cb_findings *findings, const char *code)
{
    for (size_t i = 0; i < findings->count; i++) {
        if (strcmp(findings->finding[i].code, code) == 0) {
            return &findings->finding[i];
        }
    }
    fail_msg("no finding \"%s\"", code);
    return NULL;
}

void fixture_expect(const char *what, double got, double want, double tolerance)
{
    const bool both_missing = isnan(got) && isnan(want);
    if (!both_missing && !(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.12g, want %.12g +- %g", what, got, want, tolerance);
    }
}
