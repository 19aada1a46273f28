// SPDX-License-Identifier: MIT
#include "record/sample.h"

#include "record/writer.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static void fill_weather(cb_weather *weather)
{
    for (long h = 0; h < CB_YEAR_HOURS; h++) {
        const double season = -cos(2.0 * 3.14159265358979 * (double)h / CB_YEAR_HOURS);
        weather->hour[h] = (cb_weather_hour){.air_temperature_c = 5.0 + 15.0 * season,
                                             .dew_point_c = 1.0 + 13.0 * season,
                                             .solar_w_m2 = 150.0 + 100.0 * season,
                                             .wind_m_s = 3.0,
                                             .longwave_w_m2 = 290.0 + 60.0 * season};
    }
    snprintf(weather->description, sizeof weather->description, "invented sine weather");
    memset(weather->sha256, 'a', sizeof weather->sha256 - 1);
}

static double *ramp(int count, double first, double step)
{
    double *values = calloc((size_t)count, sizeof *values);
    for (int i = 0; i < count; i++) {
        values[i] = first + step * i;
    }
    return values;
}

static void fill_sections(sample *s, int nz, int nx)
{
    s->sections = (cb_sections){.slices = SAMPLE_SLICES,
                                .nz = nz,
                                .nx = nx,
                                .trenches = 1,
                                .half = true,
                                .z_m = ramp(nz, 0.25, 0.5),
                                .x_m = ramp(nx, 0.15, 0.3),
                                .z_edge_m = ramp(nz + 1, 0.0, 0.5),
                                .x_edge_m = ramp(nx + 1, 0.0, 0.3),
                                .slice_m = ramp(SAMPLE_SLICES, 10.0, 20.0)};
    s->undisturbed_c = calloc((size_t)CB_YEAR_DAYS * (size_t)nz, sizeof(double));
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        for (int k = 0; k < nz; k++) {
            s->undisturbed_c[day * nz + k] =
                -5.0 + 4.0 * s->sections.z_m[k] + 0.05 * abs(day - 100);
        }
    }
}

cb_ground_depth sample_ground_depth(int k)
{
    return (cb_ground_depth){.depth_m = k ? 0.5 * k - 0.25 : 0.0,
                             .mean_c = 6.0 + 0.1 * k,
                             .amplitude_k = 12.0 / (1 + k),
                             .coldest_day = 20.5 + 15.0 * k,
                             .lowest_c = -7.0 + k,
                             .highest_c = 21.0 - k,
                             .run_lowest_c = -9.0 + k,
                             .run_highest_c = 23.0 - k};
}

static void fill_ground(sample *s)
{
    s->ground = (cb_ground_summary){.count = s->sections.nz + 1,
                                    .typical_frost_m = 0.75,
                                    .typical_snow_m = 0.25,
                                    .typical_snow_days = 61.5,
                                    .run_frost_m = 1.25,
                                    .run_frost_hour = 12345,
                                    .run_snow_m = 0.5,
                                    .run_snow_hour = 11111,
                                    .run_snow_days = 99.25,
                                    .run_snow_begins = 10101,
                                    .precipitation = true,
                                    .weather_years = 1,
                                    .cycles = 8,
                                    .residual_k = 0.001};
    s->ground.depth = calloc((size_t)s->ground.count, sizeof *s->ground.depth);
    for (int k = 0; k < s->ground.count; k++) {
        s->ground.depth[k] = sample_ground_depth(k);
    }
}

sample *sample_create(int every_days, int nz, int nx)
{
    sample *s = calloc(1, sizeof *s);
    s->weather = cb_weather_blank(1);
    fill_weather(s->weather);
    fill_sections(s, nz, nx);
    fill_ground(s);
    s->design.name = "invented sample";
    s->design.path = "yard/sample.yaml";
    s->design.site = (cb_site){45.0, -100.0, 300.0, -6.0};
    s->design.run = (cb_design_run){
        .years = 3, .start_month = 10, .start_day = 1, .section_every_days = every_days};
    s->design.weather.winter_deviation_k = 2.0;
    s->design.weather.hard_winter_count = 1;
    s->design.weather.hard_winter[0] =
        (cb_hard_winter){.year = 2, .one_in_years = 20.0, .snow_share = 1.0};
    cb_error error;
    if (cb_run_weather_create(&s->run_weather, s->weather, &s->design, &error) != CB_OK) {
        fprintf(stderr, "%s\n", error.message);
        exit(1);
    }
    s->header = (cb_record_header){.design = &s->design,
                                   .weather = s->weather,
                                   .run_weather = s->run_weather,
                                   .sections = &s->sections,
                                   .undisturbed_c = s->undisturbed_c,
                                   .ground = &s->ground,
                                   .freeze_c = -8.5,
                                   .libraries = "solver 6.4"};
    snprintf(s->folder, sizeof s->folder, "/tmp/coilbed-record-XXXXXX");
    if (!mkdtemp(s->folder)) {
        perror("mkdtemp");
        exit(1);
    }
    snprintf(s->path, sizeof s->path, "%s/run.h5", s->folder);
    return s;
}

void sample_destroy(sample *s)
{
    char command[100];
    snprintf(command, sizeof command, "rm -rf '%s'", s->folder);
    if (system(command) != 0) {
        fprintf(stderr, "cannot remove %s\n", s->folder);
    }
    free((double *)s->sections.z_m);
    free((double *)s->sections.x_m);
    free((double *)s->sections.z_edge_m);
    free((double *)s->sections.x_edge_m);
    free((double *)s->sections.slice_m);
    free(s->undisturbed_c);
    free(s->ground.depth);
    cb_run_weather_destroy(s->run_weather);
    cb_weather_destroy(s->weather);
    free(s);
}

cb_hour sample_hour(long run_hour)
{
    const double t = (double)run_hour;
    const double wave = sin(2.0 * 3.14159265358979 * t / CB_YEAR_HOURS) + 0.1 * sin(t);
    const double load_w = fmax(0.0, 4000.0 * wave);
    return (cb_hour){
        .run_hour = run_hour,
        .entering_water_c = 6.0 - 8.0 * wave,
        .leaving_water_c = 3.0 - 8.0 * wave,
        .coldest_fluid_c = 2.5 - 8.0 * wave,
        .hottest_fluid_c = 6.5 - 8.0 * wave,
        .flow_kg_s = 0.4 + 0.001 * (double)(run_hour % 7),
        .reynolds = run_hour % 5 == 0 ? (double)NAN : 2500.0 + wave,
        .heat_from_ground_w = 3000.0 * wave,
        .pump_fraction = (double)(run_hour % 5) / 4.0,
        .heating_output_w = 0.9 * load_w,
        .cooling_output_w = 11.0,
        .compressor_power_w = 0.25 * load_w,
        .pump_power_w = 120.0,
        .backup_power_w = 0.1 * load_w,
        .unmet_load_w = run_hour % 1000 == 999 ? 50.0 : 0.0,
        .heating_load_w = load_w,
        .cooling_load_w = 61.0,
        .weather = {.air_temperature_c = 5.0 - 15.0 * wave,
                    .dew_point_c = 1.0 - 13.0 * wave,
                    .solar_w_m2 = 150.0,
                    .wind_m_s = 3.0 + 0.5 * wave,
                    .longwave_w_m2 = 290.0,
                    .precipitation_kg_m2 = run_hour % 3 == 0 ? (double)NAN : 0.5 + 0.1 * wave},
        .yard_surface_c = 4.0 - 11.0 * wave,
        .snow_depth_m = 0.1 + 0.05 * wave,
        .root_dryness = 0.5 + 0.3 * wave};
}

double sample_temperature_c(long run_day, size_t i)
{
    return 8.0 + 0.01 * (double)i + sin(0.1 * (double)run_day);
}

double sample_ice_fraction(long run_day, size_t i)
{
    return (double)((run_day + (long)i) % 11) / 10.0;
}

double sample_slice_value(int which, long run_day, int slice)
{
    return which + 0.001 * (double)run_day + 0.25 * slice;
}

static cb_status feed_day(const sample *s, const cb_sink *sink, long run_day, cb_error *error)
{
    const size_t cells = (size_t)(SAMPLE_SLICES * s->sections.nz * s->sections.nx);
    double *temperature_c = calloc(cells, sizeof(double));
    double *ice_fraction = calloc(cells, sizeof(double));
    double slice[3][SAMPLE_SLICES];
    for (size_t i = 0; i < cells; i++) {
        temperature_c[i] = sample_temperature_c(run_day, i);
        ice_fraction[i] = sample_ice_fraction(run_day, i);
    }
    for (int which = 0; which < 3; which++) {
        for (int k = 0; k < SAMPLE_SLICES; k++) {
            slice[which][k] = sample_slice_value(which, run_day, k);
        }
    }
    const cb_day day = {.run_day = run_day,
                        .temperature_c = temperature_c,
                        .ice_fraction = ice_fraction,
                        .coil_depth_c = slice[0],
                        .pipe_wall_c = slice[1],
                        .ice_radius_m = slice[2]};
    const cb_status status = sink->day(sink->context, &day, error);
    free(temperature_c);
    free(ice_fraction);
    return status;
}

double sample_checkpoint_value(long hours_done, size_t i)
{
    return (double)hours_done + 0.001 * (double)i;
}

static cb_status feed_checkpoint(const cb_sink *sink, long hours_done, cb_error *error)
{
    double *value = calloc(SAMPLE_CHECKPOINT, sizeof *value);
    for (size_t i = 0; i < SAMPLE_CHECKPOINT; i++) {
        value[i] = sample_checkpoint_value(hours_done, i);
    }
    const cb_checkpoint checkpoint = {hours_done, SAMPLE_CHECKPOINT, value};
    const cb_status status = sink->month(sink->context, &checkpoint, error);
    free(value);
    return status;
}

static bool ends_month(const sample *s, long day)
{
    return cb_run_moment(&s->design.run, day * 24).month !=
           cb_run_moment(&s->design.run, (day - 1) * 24).month;
}

cb_status sample_feed(const sample *s, const cb_sink *sink, long first_day, long end_day,
                      cb_error *error)
{
    cb_status status = CB_OK;
    for (long day = first_day; status == CB_OK && day < end_day; day++) {
        status = feed_day(s, sink, day, error);
        for (long h = day * 24; status == CB_OK && h < day * 24 + 24; h++) {
            const cb_hour hour = sample_hour(h);
            status = sink->hour(sink->context, &hour, error);
        }
        if (status == CB_OK && ends_month(s, day + 1)) {
            status = feed_checkpoint(sink, day * 24 + 24, error);
        }
    }
    return status;
}

void sample_append_monthly(cb_record *record)
{
    record->patience_s = 0.0;
}

long sample_month_end(const sample *s, int count)
{
    long day = 0;
    while (count > 0) {
        count -= ends_month(s, ++day);
    }
    return day;
}

cb_quality sample_quality(void)
{
    return (cb_quality){.energy_audit_relative = 2.5e-7,
                        .surface_heat_mismatch_relative = 3.5e-9,
                        .estimated_discretisation_error_k = 0.03,
                        .steps = 12345,
                        .rhs_evaluations = 23456,
                        .linear_setups = 345,
                        .newton_iterations = 20000,
                        .error_test_failures = 12,
                        .newton_failures = 3,
                        .wall_seconds = 4.5,
                        .cells = 60,
                        .slices = SAMPLE_SLICES,
                        .spin_up_years = 8.0,
                        .spin_up_residual_k = 0.001};
}

static void pause_s(double seconds)
{
    nanosleep(&(struct timespec){.tv_sec = (time_t)seconds,
                                 .tv_nsec = (long)(1e9 * (seconds - (double)(time_t)seconds))},
              NULL);
}

static void write_on(const sample *s, long days, bool from_file)
{
    cb_error error;
    cb_record *record = NULL;
    cb_checkpoint from = {0};
    const cb_status status = from_file
                                 ? cb_record_resume(&record, s->path, &s->header, &from, &error)
                                 : cb_record_create(&record, s->path, &s->header, &error);
    if (status == CB_OK) {
        sample_append_monthly(record);
        const cb_sink sink = cb_record_sink(record);
        sample_feed(s, &sink, from.hours_done / 24, days, &error);
    }
    pause();
    _exit(1);
}

void sample_write_and_kill(const sample *s, long days, bool from_file, double delay_s)
{
    const pid_t child = fork();
    if (child == 0) {
        write_on(s, days, from_file);
    }
    struct stat facts;
    while (stat(s->path, &facts) != 0) {
        pause_s(0.0005);
    }
    pause_s(delay_s);
    kill(child, SIGKILL);
    int status = 0;
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
}

bool sample_opens_plainly(const sample *s)
{
    H5E_auto2_t printer;
    void *printer_data;
    H5Eget_auto2(H5E_DEFAULT, &printer, &printer_data);
    H5Eset_auto2(H5E_DEFAULT, NULL, NULL);
    const hid_t file = H5Fopen(s->path, H5F_ACC_RDONLY, H5P_DEFAULT);
    H5Eset_auto2(H5E_DEFAULT, printer, printer_data);
    if (file >= 0) {
        H5Fclose(file);
    }
    return file >= 0;
}
