// SPDX-License-Identifier: MIT
#include "record/sample.h"

#include "record/h5.h"
#include "record/layout.h"
#include "record/summary.h"
#include "record/tables.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void check(const char *what, double got, double want, double tolerance)
{
    const bool both_missing = isnan(got) && isnan(want);
    if (!both_missing && !(fabs(got - want) <= tolerance)) {
        fail_msg("%s: got %.17g, want %.17g", what, got, want);
    }
}

static void must(cb_status status, const cb_error *error)
{
    if (status != CB_OK) {
        fail_msg("%s: %s", error->file, error->message);
    }
}

// Writes `days` days; finished or not.
static void write_run(const sample *s, long days, bool finish, bool complete)
{
    cb_error error = {0};
    cb_record *record = NULL;
    must(cb_record_create(&record, s->path, &s->header, &error), &error);
    const cb_sink sink = cb_record_sink(record);
    assert_null(sink.stop);
    must(sample_feed(s, &sink, 0, days, &error), &error);
    if (finish) {
        const cb_quality quality = sample_quality();
        must(cb_record_finish(record, &quality, complete, &error), &error);
    }
    assert_null(cb_record_close(record));
}

static cb_run_data *read_run(const sample *s)
{
    cb_error error = {0};
    cb_run_data *data = NULL;
    must(cb_record_read(&data, s->path, &error), &error);
    return data;
}

static void every_series_reads_back_bit_for_bit(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 400, true, true);
    cb_run_data *data = read_run(s);
    assert_true(data->complete);
    assert_int_equal(data->hours, 9600);
    for (int i = 0; i < CBX_SERIES_COUNT; i++) {
        const cbx_series *series = &cbx_series_table[i];
        if (series->data_offset == CBX_NOT_READ) {
            continue;
        }
        const double *got = *(double *const *)((const char *)data + series->data_offset);
        for (long h = 0; h < data->hours; h++) {
            const cb_hour hour = sample_hour(h);
            check(series->name, got[h], cbx_series_value(series, &hour), 0.0);
        }
    }
    // Not through the table, so that two swapped rows of it would show.
    const cb_hour at = sample_hour(777);
    check("entering", data->entering_water_c[777], at.entering_water_c, 0.0);
    check("leaving", data->leaving_water_c[777], at.leaving_water_c, 0.0);
    check("coldest", data->coldest_fluid_c[777], at.coldest_fluid_c, 0.0);
    check("flow", data->flow_kg_s[777], at.flow_kg_s, 0.0);
    check("compressor", data->compressor_power_w[777], at.compressor_power_w, 0.0);
    check("unmet", data->unmet_load_w[999], 50.0, 0.0);
    check("cooling load", data->cooling_load_w[777], 61.0, 0.0);
    check("air", data->air_temperature_c[777], at.weather.air_temperature_c, 0.0);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

static void daily_states_and_facts_read_back(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 100, true, true);
    cb_run_data *data = read_run(s);
    assert_int_equal(data->days, 100);
    assert_int_equal(data->slices, SAMPLE_SLICES);
    for (long d = 0; d < data->days; d++) {
        check("day", data->day_number[d], (double)d, 0.0);
        // 32-bit floats near 2.4: half a unit in the last place is 1.2e-7
        check("ice", data->ice_radius_m[d], sample_slice_value(2, d, SAMPLE_SLICES - 1), 2e-7);
        const double coil = (sample_slice_value(0, d, 0) + sample_slice_value(0, d, 1)) / 2.0;
        check("coil", data->coil_depth_c[d], coil, 2e-7);
    }
    check("freeze", data->freeze_c, -8.5, 0.0);
    check("frost depth", data->frost_depth_m, 0.75, 0.0);
    check("frost depth of the run", data->run_frost_depth_m, 1.25, 0.0);
    assert_int_equal(data->run_frost_hour, 12345);
    check("snow of the run", data->run_snow_depth_m, 0.5, 0.0);
    char *text = cb_design_echo(&s->design);
    assert_string_equal(data->design_text, text);
    free(text);
    char note[400];
    cb_run_weather_note(s->run_weather, 0, CB_UNITS_SI, note, sizeof note);
    assert_string_equal(data->weather_notes, note);
    char note_us[400];
    cb_run_weather_note(s->run_weather, 0, CB_UNITS_US, note_us, sizeof note_us);
    assert_string_equal(data->weather_notes_us, note_us);
    assert_string_not_equal(note, note_us);
    assert_string_equal(data->design_path, "yard/sample.yaml");
    const cb_quality want = sample_quality();
    check("audit", data->quality.energy_audit_relative, want.energy_audit_relative, 0.0);
    check("grid error", data->quality.estimated_discretisation_error_k,
          want.estimated_discretisation_error_k, 0.0);
    check("surface heat", data->quality.surface_heat_mismatch_relative,
          want.surface_heat_mismatch_relative, 0.0);
    check("residual", data->quality.spin_up_residual_k, want.spin_up_residual_k, 0.0);
    check("spin-up", data->quality.spin_up_years, want.spin_up_years, 0.0);
    check("wall time", data->quality.wall_seconds, want.wall_seconds, 0.0);
    assert_int_equal(data->quality.steps, want.steps);
    assert_int_equal(data->quality.rhs_evaluations, want.rhs_evaluations);
    assert_int_equal(data->quality.linear_setups, want.linear_setups);
    assert_int_equal(data->quality.newton_iterations, want.newton_iterations);
    assert_int_equal(data->quality.error_test_failures, want.error_test_failures);
    assert_int_equal(data->quality.newton_failures, want.newton_failures);
    assert_int_equal(data->quality.cells, want.cells);
    assert_int_equal(data->quality.slices, want.slices);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

static void undisturbed_ground_stands_by_depth(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 31, true, true);
    cbx_h5 h5;
    cbx_h5_begin(&h5, s->path);
    cbx_h5_open_read(&h5);
    static const struct {
        const char *path;
        size_t offset;
    } row[] = {
        {"/ground/undisturbed_mean", offsetof(cb_ground_depth, mean_c)},
        {"/ground/undisturbed_amplitude", offsetof(cb_ground_depth, amplitude_k)},
        {"/ground/undisturbed_coldest_day", offsetof(cb_ground_depth, coldest_day)},
        {"/ground/undisturbed_lowest", offsetof(cb_ground_depth, lowest_c)},
        {"/ground/undisturbed_highest", offsetof(cb_ground_depth, highest_c)},
        {"/ground/undisturbed_run_lowest", offsetof(cb_ground_depth, run_lowest_c)},
        {"/ground/undisturbed_run_highest", offsetof(cb_ground_depth, run_highest_c)},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double got[SAMPLE_NZ];
        cbx_h5_read_rows(&h5, row[i].path, H5T_NATIVE_DOUBLE, SAMPLE_NZ, 1, got);
        for (int k = 0; k < SAMPLE_NZ; k++) {
            const cb_ground_depth want = sample_ground_depth(k + 1); // the first is the surface
            check(row[i].path, got[k], *(const double *)((const char *)&want + row[i].offset), 0.0);
        }
    }
    static const struct {
        const char *path;
        double want;
    } scalar[] = {
        {"/ground/frost_depth", 0.75},
        {"/ground/frost_depth_of_run", 1.25},
        {"/ground/frost_depth_hour", 12345.0},
        {"/ground/deepest_snow", 0.25},
        {"/ground/deepest_snow_of_run", 0.5},
        {"/ground/deepest_snow_hour", 11111.0},
        {"/ground/longest_snow_cover", 61.5},
        {"/ground/longest_snow_cover_of_run", 99.25},
        {"/ground/longest_snow_cover_begins", 10101.0},
    };
    for (size_t i = 0; i < sizeof scalar / sizeof *scalar; i++) {
        double got;
        cbx_h5_read_rows(&h5, scalar[i].path, H5T_NATIVE_DOUBLE, 1, 1, &got);
        check(scalar[i].path, got, scalar[i].want, 0.0);
    }
    cb_error error;
    if (cbx_h5_end(&h5, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    sample_destroy(s);
}

static void the_yards_hours_are_stored_and_rain_may_be_missing(void **state)
{
    (void)state;
    enum { HOURS = 31 * 24 };
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 31, true, true);
    static double rain[HOURS], surface_c[HOURS], snow_m[HOURS], dryness[HOURS];
    cbx_h5 h5;
    cbx_h5_begin(&h5, s->path);
    cbx_h5_open_read(&h5);
    cbx_h5_read_rows(&h5, "/weather/precipitation", H5T_NATIVE_DOUBLE, HOURS, 1, rain);
    cbx_h5_read_rows(&h5, "/ground/surface_temperature", H5T_NATIVE_DOUBLE, HOURS, 1, surface_c);
    cbx_h5_read_rows(&h5, "/ground/snow_depth", H5T_NATIVE_DOUBLE, HOURS, 1, snow_m);
    cbx_h5_read_rows(&h5, "/ground/root_zone_dryness", H5T_NATIVE_DOUBLE, HOURS, 1, dryness);
    cb_error error;
    if (cbx_h5_end(&h5, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    for (long h = 0; h < HOURS; h++) {
        const cb_hour want = sample_hour(h);
        if (h % 3 == 0) {
            assert_true(isnan(rain[h]));
        } else {
            check("rain", rain[h], want.weather.precipitation_kg_m2, 0.0);
        }
        check("surface", surface_c[h], want.yard_surface_c, 0.0);
        check("snow", snow_m[h], want.snow_depth_m, 0.0);
        check("dryness", dryness[h], want.root_dryness, 0.0);
    }
    sample_destroy(s);
}

static void unfinished_run_holds_its_whole_months(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 100, false, false); // October, November, December are 92 days
    cb_run_data *data = read_run(s);
    assert_false(data->complete);
    assert_int_equal(data->hours, 92 * 24);
    assert_int_equal(data->days, 92);
    check("last hour", data->entering_water_c[92 * 24 - 1],
          sample_hour(92 * 24 - 1).entering_water_c, 0.0);
    assert_int_equal(data->quality.steps, 0);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

static void stopped_run_keeps_every_hour_and_says_incomplete(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 100, true, false);
    cb_run_data *data = read_run(s);
    assert_false(data->complete);
    assert_int_equal(data->hours, 2400);
    assert_int_equal(data->quality.steps, 12345);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

static void run_of_no_hours_reads_back(void **state)
{
    (void)state;
    sample *s = sample_create(1, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 0, false, false);
    cb_run_data *data = read_run(s);
    assert_false(data->complete);
    assert_int_equal(data->hours, 0);
    assert_int_equal(data->days, 0);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

// A run that starts within a month ends its years within one; the file still ends on months.
static void run_year_within_a_month_waits_for_its_end(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    s->design.run.start_day = 15;
    write_run(s, 370, false, false); // a year ends on 14 October, day 365
    cb_run_data *data = read_run(s);
    assert_int_equal(data->hours, 24 * sample_month_end(s, 12)); // 30 September
    cb_run_data_destroy(data);
    sample_destroy(s);
}

// A run can be judged again, and run again, from its file alone.
static void stored_design_reads_to_the_same_design(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    char climate[100];
    char name[100];
    snprintf(climate, sizeof climate, "%s/cold-plain.yaml", s->folder);
    snprintf(name, sizeof name, "%s/design.yaml", s->folder);
    FILE *file = fopen(climate, "w");
    fputs(cb_starter_climate(), file);
    fclose(file);
    cb_error error = {0};
    cb_units *units = NULL;
    cb_design *first = NULL;
    cb_design *second = NULL;
    must(cb_units_create(&units, &error), &error);
    must(cb_design_parse(&first, cb_starter_design(), name, NULL, 0, units, &error), &error);
    s->header.design = first;
    write_run(s, 1, true, false);
    cb_run_data *data = read_run(s);
    must(cb_design_parse(&second, data->design_text, "run.h5", NULL, 0, units, &error), &error);
    char *again = cb_design_echo(second);
    assert_string_equal(again, data->design_text);
    free(again);
    cb_run_data_destroy(data);
    cb_design_destroy(first);
    cb_design_destroy(second);
    cb_units_destroy(units);
    sample_destroy(s);
}

// ---- summaries -------------------------------------------------------------------------------

static double read_cell(cbx_h5 *h5, const char *group, const char *name, int row)
{
    double values[64] = {0};
    char path[120];
    snprintf(path, sizeof path, "%s/%s", group, name);
    cbx_h5_read_rows(h5, path, H5T_NATIVE_DOUBLE, (hsize_t)row + 1, 1, values);
    if (h5->status != CB_OK) {
        fail_msg("%s", h5->reason);
    }
    return values[row];
}

static void check_summary(cbx_h5 *h5, const char *group, int row, long first, long end)
{
    double least_c = INFINITY;
    double most_c = -INFINITY;
    long least_hour = -1;
    long most_hour = -1;
    double heating_j = 0.0;
    double pump_h = 0.0;
    int unmet_h = 0;
    for (long h = first; h < end; h++) {
        const cb_hour hour = sample_hour(h);
        least_hour = hour.coldest_fluid_c < least_c ? h : least_hour;
        least_c = fmin(least_c, hour.coldest_fluid_c);
        most_hour = hour.entering_water_c > most_c ? h : most_hour;
        most_c = fmax(most_c, hour.entering_water_c);
        heating_j += hour.heating_output_w * 3600.0;
        pump_h += hour.pump_fraction;
        unmet_h += hour.unmet_load_w > 0.0;
    }
    const struct {
        const char *name;
        double want;
    } cell[] = {
        {"hours", (double)(end - first)},
        {"coldest_fluid_temperature_minimum", least_c},
        {"coldest_fluid_temperature_minimum_hour", (double)least_hour},
        {"entering_water_temperature_maximum", most_c},
        {"entering_water_temperature_maximum_hour", (double)most_hour},
        {"heating_energy", heating_j},
        {"pump_run_hours", pump_h},
        {"unmet_hours", unmet_h},
        {"pump_energy", 120.0 * 3600.0 * (double)(end - first)},
    };
    for (size_t i = 0; i < sizeof cell / sizeof *cell; i++) {
        const double got = read_cell(h5, group, cell[i].name, row);
        check(cell[i].name, got, cell[i].want, 1e-12 * fabs(cell[i].want)); // sums of equal terms
    }
}

static void summaries_are_those_of_the_hours(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 365 + 100, true, false);
    cbx_h5 h5;
    cbx_h5_begin(&h5, s->path);
    cbx_h5_open_read(&h5);
    assert_int_equal(cbx_h5_length(&h5, "/annual/hours", 0), 2);
    check_summary(&h5, "/annual", 0, 0, CB_YEAR_HOURS);
    check_summary(&h5, "/annual", 1, CB_YEAR_HOURS, CB_YEAR_HOURS + 2400);
    check("year", read_cell(&h5, "/annual", "year", 1), 2.0, 0.0);
    assert_int_equal(cbx_h5_length(&h5, "/monthly/hours", 0), 16);
    for (int m = 0; m < 16; m++) {
        const long end = m == 15 ? 365 + 100 : sample_month_end(s, m + 1);
        check_summary(&h5, "/monthly", m, 24 * sample_month_end(s, m), 24 * end);
        check("month", read_cell(&h5, "/monthly", "month", m), m + 1.0, 0.0);
        check("calendar", read_cell(&h5, "/monthly", "calendar_month", m), (m + 9) % 12 + 1.0, 0.0);
        check("run year", read_cell(&h5, "/monthly", "run_year", m), m / 12 + 1.0, 0.0);
    }
    cb_error error;
    must(cbx_h5_end(&h5, &error), &error);
    sample_destroy(s);
}

// ---- sections --------------------------------------------------------------------------------

static void sections_are_kept_as_often_as_asked(void **state)
{
    (void)state;
    enum { DAYS = 70, EVERY = 3, CELLS = SAMPLE_SLICES * SAMPLE_NZ * SAMPLE_NX };
    sample *s = sample_create(EVERY, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, DAYS, true, true);
    cbx_h5 h5;
    cbx_h5_begin(&h5, s->path);
    cbx_h5_open_read(&h5);
    double *got = calloc(2 * DAYS * CELLS, sizeof *got);
    cbx_h5_read_rows(&h5, "/ground/section_temperature", H5T_NATIVE_DOUBLE, DAYS, CELLS, got);
    cbx_h5_read_rows(&h5, "/ground/section_ice_fraction", H5T_NATIVE_DOUBLE, DAYS, CELLS,
                     got + DAYS * CELLS);
    for (long d = 0; d < DAYS; d++) {
        check("kept", read_cell(&h5, "/ground", "section_kept", (int)(d % 60)), d % 60 % EVERY == 0,
              0.0);
        for (size_t i = 0; i < CELLS; i++) {
            const bool kept = d % EVERY == 0;
            const size_t at = (size_t)d * CELLS + i;
            // 32-bit floats below 16: half a unit in the last place is 4.8e-7
            check("temperature", got[at], kept ? sample_temperature_c(d, i) : (double)NAN, 5e-7);
            check("ice", got[DAYS * CELLS + at], kept ? sample_ice_fraction(d, i) : (double)NAN,
                  5e-8);
        }
    }
    double undisturbed_c[DAYS * SAMPLE_NZ];
    cbx_h5_read_rows(&h5, "/ground/undisturbed_temperature", H5T_NATIVE_DOUBLE, DAYS, SAMPLE_NZ,
                     undisturbed_c);
    for (int i = 0; i < DAYS * SAMPLE_NZ; i++) {
        check("undisturbed", undisturbed_c[i], s->undisturbed_c[i], 5e-7);
    }
    double bounds_m[2 * SAMPLE_NZ];
    cbx_h5_read_rows(&h5, "/ground/z_bounds", H5T_NATIVE_DOUBLE, SAMPLE_NZ, 2, bounds_m);
    check("last edge", bounds_m[2 * SAMPLE_NZ - 1], 0.5 * SAMPLE_NZ, 0.0);
    free(got);
    cb_error error;
    must(cbx_h5_end(&h5, &error), &error);
    sample_destroy(s);
}

// ---- findings --------------------------------------------------------------------------------

static void findings_are_replaced(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 31, true, true);
    cb_error error;
    cb_finding finding[20];
    for (int i = 0; i < 20; i++) {
        finding[i] = (cb_finding){.severity = i % 3,
                                  .value = i,
                                  .limit = NAN,
                                  .margin = -i,
                                  .kind = CB_TEMPERATURE,
                                  .run_hour = i - 1};
        snprintf(finding[i].code, sizeof finding[i].code, "code_%d", i);
        memset(finding[i].sentence, 'x', sizeof finding[i].sentence - 1);
    }
    must(cb_record_write_findings(s->path, finding, 20, &error), &error);
    must(cb_record_write_findings(s->path, finding, 0, &error), &error);
    must(cb_record_write_findings(s->path, finding, 3, &error), &error);
    cbx_h5 h5;
    cbx_h5_begin(&h5, s->path);
    cbx_h5_open_read(&h5);
    assert_int_equal(cbx_h5_length(&h5, "/findings/sentence", 0), 3);
    check("severity", read_cell(&h5, "/findings", "severity", 2), 2.0, 0.0);
    check("limit", read_cell(&h5, "/findings", "limit", 2), (double)NAN, 0.0);
    check("margin", read_cell(&h5, "/findings", "margin", 2), -2.0, 0.0);
    check("no time", read_cell(&h5, "/findings", "time", 0), (double)NAN, 0.0);
    check("time", read_cell(&h5, "/findings", "time", 2), 3600.0, 0.0);
    check("run hour", read_cell(&h5, "/findings", "run_hour", 0), -1.0, 0.0);
    char text[3][CBX_CODE_SIZE];
    const hid_t type = cbx_h5_text_type(CBX_CODE_SIZE);
    cbx_h5_read_rows(&h5, "/findings/code", type, 3, 1, text);
    H5Tclose(type);
    assert_string_equal(text[2], "code_2");
    char unit[3][CBX_UNIT_SIZE];
    const hid_t unit_type = cbx_h5_text_type(CBX_UNIT_SIZE);
    cbx_h5_read_rows(&h5, "/findings/unit", unit_type, 3, 1, unit);
    H5Tclose(unit_type);
    assert_string_equal(unit[0], "degree_Celsius");
    must(cbx_h5_end(&h5, &error), &error);
    cb_run_data *data = read_run(s); // and the run itself is as it was
    assert_true(data->complete);
    assert_int_equal(data->hours, 31 * 24);
    cb_run_data_destroy(data);
    sample_destroy(s);
}

static cb_run_effects some_effects(int count)
{
    cb_run_effects made = {.number = "freeze_margin", .count = count};
    for (int i = 0; i < count; i++) {
        made.effect[i] = (cb_run_effect){.kind = i == 1 ? CB_LENGTH : CB_FRACTION,
                                         .value = 0.2 + i,
                                         .step = 0.01,
                                         .spread = 0.05,
                                         .slope = 40.0 / (i + 1),
                                         .bend = NAN,
                                         .blur = 1e-4};
        snprintf(made.effect[i].path, sizeof made.effect[i].path, "block.value[%d]", i);
    }
    return made;
}

static void effects_are_replaced_and_read_back(void **state)
{
    (void)state;
    sample *s = sample_create(30, SAMPLE_NZ, SAMPLE_NX);
    write_run(s, 31, true, true);
    cb_run_data *data = read_run(s);
    assert_int_equal(data->effects.count, 0);
    cb_run_data_destroy(data);
    cb_error error;
    const cb_run_effects many = some_effects(CB_MAX_RUN_EFFECTS), three = some_effects(3);
    must(cb_record_write_effects(s->path, &many, &error), &error);
    must(cb_record_write_effects(s->path, &three, &error), &error);
    data = read_run(s);
    const cb_run_effects *got = &data->effects;
    assert_int_equal(got->count, 3);
    assert_string_equal(got->number, "freeze_margin");
    for (int i = 0; i < 3; i++) {
        const cb_run_effect *effect = &got->effect[i], *want = &three.effect[i];
        assert_string_equal(effect->path, want->path);
        assert_int_equal(effect->kind, want->kind);
        check("value", effect->value, want->value, 0.0);
        check("step", effect->step, want->step, 0.0);
        check("spread", effect->spread, want->spread, 0.0);
        check("slope", effect->slope, want->slope, 0.0);
        check("bend", effect->bend, (double)NAN, 0.0);
        check("blur", effect->blur, want->blur, 0.0);
    }
    assert_true(data->complete);
    assert_int_equal(data->hours, 31 * 24);
    cb_run_data_destroy(data);
    assert_int_equal(cb_record_write_effects("/nowhere/run.h5", &three, &error), CB_IO);
    sample_destroy(s);
}

static void every_kind_has_a_unit_that_fits(void **state)
{
    (void)state;
#define CB_AS_SI(kind, name, si, us, us_example, si_example) si,
    static const char *const unit[] = {CB_KIND_LIST(CB_AS_SI)};
#undef CB_AS_SI
    for (size_t i = 0; i < sizeof unit / sizeof *unit; i++) {
        assert_true(strlen(unit[i]) < CBX_UNIT_SIZE);
    }
    assert_int_equal(sizeof((cb_finding *)0)->code, CBX_CODE_SIZE);
    assert_int_equal(sizeof((cb_finding *)0)->sentence, CBX_SENTENCE_SIZE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_series_reads_back_bit_for_bit),
        cmocka_unit_test(daily_states_and_facts_read_back),
        cmocka_unit_test(undisturbed_ground_stands_by_depth),
        cmocka_unit_test(the_yards_hours_are_stored_and_rain_may_be_missing),
        cmocka_unit_test(unfinished_run_holds_its_whole_months),
        cmocka_unit_test(stopped_run_keeps_every_hour_and_says_incomplete),
        cmocka_unit_test(run_of_no_hours_reads_back),
        cmocka_unit_test(run_year_within_a_month_waits_for_its_end),
        cmocka_unit_test(stored_design_reads_to_the_same_design),
        cmocka_unit_test(summaries_are_those_of_the_hours),
        cmocka_unit_test(sections_are_kept_as_often_as_asked),
        cmocka_unit_test(findings_are_replaced),
        cmocka_unit_test(effects_are_replaced_and_read_back),
        cmocka_unit_test(every_kind_has_a_unit_that_fits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
