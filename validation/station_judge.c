// SPDX-License-Identifier: MIT
#include "station_judge.h"

#include "coilbed/ground.h"

#include "station_fill.h"
#include "station_run.h"

#include <math.h>
#include <stdlib.h>

static const double year_days = 365.2425;
static const double usual_depth_m = 15.0, deep_column_m = 20.0;

static void override(station_ground *ground, const station_choice *choice)
{
    for (int n = 0; n < ground->layers; n++) {
        cb_soil *soil = &ground->soil[n];
        const cb_material *material = cb_material_find(choice->material);
        soil->material = choice->material ? choice->material : soil->material;
        if (material) { // its pores may hold less than the rule's
            soil->water_fraction = fmin(soil->water_fraction, cb_porosity(material));
            soil->dry_water_fraction = fmin(soil->dry_water_fraction, soil->water_fraction);
        }
        if (isfinite(choice->water)) {
            soil->water_fraction = choice->water;
            soil->dry_water_fraction = fmin(soil->dry_water_fraction, choice->water);
        }
        if (isfinite(choice->dry_water)) {
            soil->dry_water_fraction = choice->dry_water;
        }
        if (choice->no_freezing) {
            soil->freezing_exponent = 1e-9; // all water stays unfrozen
        }
    }
    ground->surface.cover = choice->cover ? choice->cover : ground->surface.cover;
    ground->surface.snow_kept = choice->no_snow ? 0.0 : ground->surface.snow_kept;
    ground->surface.evaporation_share =
        choice->no_evaporation ? 0.0 : ground->surface.evaporation_share;
}

// Whole years where that is what the series is; several years begin with those of their first.
static long settle_hours(int days, int spin_up)
{
    const int whole_years = (int)(days / (year_days - 1.0));
    int years = spin_up;
    if (spin_up == STATION_SPIN_NONE) {
        return 0;
    }
    if (spin_up == STATION_SPIN_BY_LENGTH) {
        const int first_years = 3;
        years = days <= 1.5 * year_days ? 1 : first_years;
    }
    if (spin_up == STATION_SPIN_CYCLE || years > whole_years) {
        years = whole_years > 1 ? whole_years : 1;
    }
    const int one_year = days < 373 ? days : 365; // a year and a few days is one cycle
    return 24L * (years == 1 ? one_year : (long)floor(years * year_days));
}

static int days_measured(const double *value, int days)
{
    int count = 0;
    for (int day = 0; day < days; day++) {
        count += isfinite(value[day]);
    }
    return count;
}

static bool add_depth(station_verdict *out, int d, int days)
{
    station_depth *depth = &out->depth[out->depths++];
    *depth = (station_depth){.depth_m = out->one->depth_m[d],
                             .measured_c = out->one->daily_c[d],
                             .modelled_c = calloc((size_t)days, sizeof(double))};
    return depth->modelled_c != NULL;
}

static cb_status no_memory(const station *one, cb_error *error)
{
    return cb_fail(error, CB_NO_MEMORY, "no memory for station %s", one->name);
}

// ---- weather ---------------------------------------------------------------------------------

static cb_status run_weather(station_verdict *out, const station_weather *weather,
                             const station_choice *choice, cb_error *error)
{
    const station *one = out->one;
    for (int d = 0; d < one->depths; d++) {
        if (days_measured(one->daily_c[d], one->days) > 0 && !add_depth(out, d, weather->days)) {
            return no_memory(one, error);
        }
    }
    if (out->depths == 0) {
        return cb_fail_at(error, CB_BAD_INPUT, one->file, 0, 0,
                          "station %s has no day of soil temperature", one->name);
    }
    const double deepest_m = out->depth[out->depths - 1].depth_m;
    out->days_filled = weather->days_filled;
    out->site = weather->site;
    out->latitude_estimated = weather->latitude_estimated;
    out->solar_from = weather->solar_from;
    out->climate = station_climate_of(weather, one->value[STATION_SURFACE_C] != NULL);
    out->ground = station_rule(&out->climate);
    override(&out->ground, choice);
    const station_run_plan plan = {
        .drive = {.hours = 24L * weather->days, .weather = weather->hour},
        .ground = &out->ground,
        .elevation_m = weather->site.elevation_m,
        .depth_m = deepest_m > 4.0 ? fmax(deep_column_m, 2.0 * deepest_m) : usual_depth_m,
        .settle_hours = settle_hours(weather->days, choice->spin_up)};
    return station_run(out, &plan, one->days, error);
}

static cb_status judge_weather(station_verdict *out, const station_choice *choice, cb_error *error)
{
    station_weather weather;
    cb_status status = station_weather_make(&weather, out->one, &choice->site, error);
    if (status == CB_OK) {
        status = run_weather(out, &weather, choice, error);
    }
    station_weather_free(&weather);
    return status;
}

// ---- driven ----------------------------------------------------------------------------------

// The probe's hours without gaps: straight lines over a few hours (of days: from noon to noon),
// days by the rule for weather.
// work: [2 * days], of which the second half marks the days filled.
// NOLINTNEXTLINE(readability-non-const-parameter): station_fill writes to it
static bool drive_by(const station *one, int d, double *hour_c, bool *work)
{
    const int per_day = one->per_day;
    double *value = calloc((size_t)one->days * (size_t)per_day, sizeof *value);
    bool ok = value != NULL;
    for (long n = 0; n < (long)one->days * per_day && ok; n++) {
        value[n] = one->soil_c[d][n];
    }
    for (int n = 0; n < per_day && ok; n++) {
        const station_gaps gaps = {value + n,      one->days, per_day,
                                   one->first_day, work,      work + one->days};
        ok = station_fill(&gaps);
    }
    for (long n = 0; n < 24L * one->days && ok; n++) {
        const double at = ((double)n + 0.5) * per_day / 24.0 - 0.5;
        const double place = fmin(one->days * per_day - 1.0, fmax(0.0, at));
        const long before = (long)place;
        const long after = before + 1 < (long)one->days * per_day ? before + 1 : before;
        hour_c[n] = value[before] + (place - (double)before) * (value[after] - value[before]);
    }
    free(value);
    return ok;
}

// The first measured day within the first ten, for each depth.
static void first_profile(const station_verdict *out, double *start_c)
{
    enum { FIRST_DAYS = 10 };
    for (int d = 0; d < out->depths; d++) {
        start_c[d] = NAN;
        for (int day = 0; day < FIRST_DAYS && day < out->one->days; day++) {
            if (isfinite(out->depth[d].measured_c[day])) {
                start_c[d] = out->depth[d].measured_c[day];
                break;
            }
        }
    }
}

static cb_status run_driven(station_verdict *out, int top, int bottom, const station_choice *choice,
                            const station_drive *drive, cb_error *error)
{
    const station *one = out->one;
    for (int d = top; d <= bottom; d++) { // the ends too: the start needs them
        if (!add_depth(out, d, one->days)) {
            return no_memory(one, error);
        }
    }
    double start_c[STATION_MOST_DEPTHS];
    first_profile(out, start_c);
    out->ground = station_rule_driven();
    override(&out->ground, choice);
    const station_run_plan plan = {.drive = *drive,
                                   .ground = &out->ground,
                                   .elevation_m = 0.0,
                                   .depth_m = one->depth_m[bottom] - one->depth_m[top],
                                   .offset_m = one->depth_m[top],
                                   .start_c = start_c};
    return station_run(out, &plan, one->days, error);
}

// What drove the model is no result.
static void drop_ends(station_verdict *out)
{
    free(out->depth[0].modelled_c);
    free(out->depth[out->depths - 1].modelled_c);
    out->depths -= 2;
    for (int d = 0; d < out->depths; d++) {
        out->depth[d] = out->depth[d + 1];
    }
}

static cb_status judge_driven(station_verdict *out, const station_choice *choice, cb_error *error)
{
    const station *one = out->one;
    int top = -1, bottom = -1;
    for (int d = 0; d < one->depths; d++) {
        const int days = days_measured(one->daily_c[d], one->days);
        if (days >= STATION_LEAST_DAYS && 2 * days > one->days) {
            top = top < 0 ? d : top;
            bottom = d;
        }
    }
    if (bottom - top < 2) {
        return cb_fail_at(error, CB_BAD_INPUT, one->file, 0, 0,
                          "station %s has neither %d days of air temperature nor a probe between "
                          "two others that are measured on most of at least %d days",
                          one->name, STATION_LEAST_DAYS, STATION_LEAST_DAYS);
    }
    const size_t days = (size_t)one->days;
    double *hours = calloc(48 * days, sizeof *hours);
    bool *work = calloc(2 * days, sizeof *work);
    const station_drive drive = {
        .hours = 24L * one->days, .surface_c = hours, .bottom_c = hours + 24 * days};
    const bool ok = hours && work && drive_by(one, top, hours, work) &&
                    drive_by(one, bottom, hours + 24 * days, work);
    cb_status status = ok ? CB_OK : no_memory(one, error);
    for (size_t day = 0; day < days && ok; day++) {
        out->days_filled += work[days + day];
    }
    if (status == CB_OK) {
        status = run_driven(out, top, bottom, choice, &drive, error);
    }
    free(hours);
    free(work);
    if (status == CB_OK) {
        drop_ends(out);
    }
    return status;
}

// ---- both ------------------------------------------------------------------------------------

static void compare(station_depth *depth, int days, long first_day)
{
    double sum = 0.0, squares = 0.0;
    depth->low_measured_c = depth->low_modelled_c = INFINITY;
    for (int day = 0; day < days; day++) {
        const double measured_c = depth->measured_c[day], modelled_c = depth->modelled_c[day];
        if (!isfinite(measured_c)) {
            continue;
        }
        const double off_k = modelled_c - measured_c;
        sum += off_k;
        squares += off_k * off_k;
        depth->days++;
        if (measured_c < depth->low_measured_c) {
            depth->low_measured_c = measured_c;
            depth->low_measured_day = first_day + day;
        }
        if (modelled_c < depth->low_modelled_c) {
            depth->low_modelled_c = modelled_c;
            depth->low_modelled_day = first_day + day;
        }
    }
    depth->bias_k = sum / depth->days;
    depth->rmse_k = sqrt(squares / depth->days);
}

cb_status station_judge(station_verdict *out, const station *one, const station_choice *choice,
                        cb_error *error)
{
    *out = (station_verdict){.one = one};
    out->driven = choice->driven || !station_has_weather(one);
    const cb_status status =
        out->driven ? judge_driven(out, choice, error) : judge_weather(out, choice, error);
    for (int d = 0; d < out->depths && status == CB_OK; d++) {
        compare(&out->depth[d], one->days, one->first_day);
    }
    return status;
}

void station_verdict_free(station_verdict *verdict)
{
    for (int d = 0; d < verdict->depths; d++) {
        free(verdict->depth[d].modelled_c);
    }
    verdict->depths = 0;
}
