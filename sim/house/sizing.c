// SPDX-License-Identifier: MIT
// Design loads: what the units have to be chosen for. Method: coilbed/house.h.
#include "house/envelope.h"
#include "house/loads.h"

#include <math.h>
#include <stdlib.h>

static const double pi = 3.14159265358979323846;

/// What the typical weather says about one month, and about its extremes.
typedef struct climate {
    double mean_c[CB_MONTHS], range_k[CB_MONTHS], wind_m_s[CB_MONTHS];
    int coldest, warmest;      ///< months, 0..11
    double colder_c, warmer_c; ///< 1 % of the hours lie beyond each
} climate;

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

typedef struct day_range {
    double low_c, high_c;
} day_range;

static void read_months(climate *out, const cb_design *design, const cb_run_weather *weather,
                        double *air_c, long hours)
{
    double count[CB_MONTHS] = {0};
    day_range day = {0};
    for (long hour = 0; hour < hours; hour++) {
        const cb_weather_hour w = cb_typical_weather_at(weather, hour);
        const int month = cb_run_moment(&design->run, hour).month - 1;
        air_c[hour] = w.air_temperature_c;
        out->mean_c[month] += w.air_temperature_c;
        out->wind_m_s[month] += w.wind_m_s;
        count[month]++;
        day.low_c = hour % 24 ? fmin(day.low_c, w.air_temperature_c) : w.air_temperature_c;
        day.high_c = hour % 24 ? fmax(day.high_c, w.air_temperature_c) : w.air_temperature_c;
        if (hour % 24 == 23) {
            out->range_k[month] += 24.0 * (day.high_c - day.low_c);
        }
    }
    for (int month = 0; month < CB_MONTHS; month++) {
        out->mean_c[month] /= count[month];
        out->wind_m_s[month] /= count[month];
        out->range_k[month] /= count[month];
        out->coldest = out->mean_c[month] < out->mean_c[out->coldest] ? month : out->coldest;
        out->warmest = out->mean_c[month] > out->mean_c[out->warmest] ? month : out->warmest;
    }
}

static cb_status read_climate(climate *out, const cb_design *design, const cb_run_weather *weather,
                              cb_error *error)
{
    const long hours = cb_run_weather_cycle_hours(weather);
    double *air_c = calloc((size_t)hours, sizeof *air_c);
    if (!air_c) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for %ld hours of air", hours);
    }
    *out = (climate){0};
    read_months(out, design, weather, air_c, hours);
    qsort(air_c, (size_t)hours, sizeof *air_c, compare);
    out->colder_c = air_c[hours / 100];
    out->warmer_c = air_c[hours - 1 - hours / 100];
    free(air_c);
    return CB_OK;
}

// The usual sum: every loss at the design temperature, no sun and no gains.
static void size_heating(cb_design_loads *out, const cbx_envelope *e, const climate *c)
{
    const cb_envelope *given = e->given;
    const double indoor_c = given->heating_day_c, outdoor_c = out->heating_outdoor_c;
    const double difference_k = fmax(0.0, indoor_c - outdoor_c);
    const cb_weather_hour still = {.air_temperature_c = outdoor_c,
                                   .wind_m_s = c->wind_m_s[c->coldest]};
    const double leak_m3_s =
        cbx_envelope_leakage_m3_s(e, &still, indoor_c, fmax(indoor_c, given->cooling_day_c));
    cb_house_losses *losses = &out->losses;
    losses->leakage_w_k = CBX_AIR_J_M3K * leak_m3_s;
    losses->leakage_air_changes_1_h = 3600.0 * leak_m3_s / e->volume_m3;
    const double per_k = losses->walls_w_k + losses->roof_w_k + losses->windows_w_k +
                         losses->doors_w_k + losses->ventilation_w_k + losses->leakage_w_k;
    const double coldest_soil_c = e->floor.mean_c - e->floor.swing_k;
    out->heating_w = per_k * difference_k + e->floor.h_w_k * fmax(0.0, indoor_c - coldest_soil_c);
}

// Hour of a clear day of the warmest month.
static cbx_outdoors clear_hour(const cbx_envelope *e, const climate *c, double highest_c, int hour)
{
    const cb_site *site = &e->design->site;
    const int day = cb_day_of_year(c->warmest + 1, 21);
    const double range_k = c->range_k[c->warmest];
    const double cosine = cos(2.0 * pi * (hour + 0.5 - 15.0) / 24.0);
    cbx_outdoors out = {.day_of_year = day, .hour = hour};
    const cb_design_run *run = &e->design->run;
    out.run_hour = 24L * (day - cb_day_of_year(run->start_month, run->start_day)) + hour;
    out.weather = (cb_weather_hour){
        .air_temperature_c = highest_c - 0.5 * range_k * (1.0 - cosine),
        .dew_point_c = highest_c - range_k,
        .solar_w_m2 = cbx_clear_sky_share(site) * cb_extraterrestrial_w_m2(site, day, hour),
        .wind_m_s = c->wind_m_s[c->warmest],
    };
    out.weather.longwave_w_m2 =
        cb_sky_longwave_w_m2(out.weather.air_temperature_c, out.weather.dew_point_c, 0.0);
    return out;
}

static void size_cooling(cb_design_loads *out, const cbx_envelope *e, const climate *c)
{
    enum { DAYS = 60 }; // longer than any mass of the classes remembers
    double mass_c = e->given->cooling_day_c, largest_w = 0.0;
    for (int hour = 0; hour < 24 * DAYS; hour++) {
        const cbx_outdoors outdoors = clear_hour(e, c, out->cooling_outdoor_c, hour % 24);
        const cbx_drive drive = cbx_envelope_drive(e, &outdoors);
        const cbx_hour result = cbx_network_hour(&e->network, &drive, mass_c);
        mass_c = result.mass_end_c;
        if (hour >= 24 * (DAYS - 1)) {
            largest_w = fmax(largest_w, -result.need_w);
        }
    }
    out->sensible_share = 1.0 - e->given->latent_share;
    out->cooling_w = largest_w / out->sensible_share;
}

static cb_status size_envelope(cb_design_loads *out, const cb_design *design,
                               const cb_run_weather *weather, cb_error *error)
{
    cbx_envelope envelope;
    climate c = {0};
    cb_status status = cbx_envelope_prepare(&envelope, design, error);
    if (status == CB_OK) {
        status = read_climate(&c, design, weather, error);
    }
    if (status != CB_OK) {
        return status;
    }
    cbx_envelope_season(&envelope, weather);
    const cb_envelope *given = envelope.given;
    out->basis = CB_BASIS_ENVELOPE;
    out->losses = cbx_envelope_losses(&envelope);
    out->heating_outdoor_c = isnan(given->heating_design_c) ? c.colder_c : given->heating_design_c;
    out->cooling_outdoor_c = isnan(given->cooling_design_c) ? c.warmer_c : given->cooling_design_c;
    size_heating(out, &envelope, &c);
    size_cooling(out, &envelope, &c);
    return CB_OK;
}

static void size_line(cb_design_loads *out, const cb_load_line *line)
{
    out->basis = CB_BASIS_LOAD_LINE;
    out->heating_w = line->heating_design_w;
    out->cooling_w = line->cooling_design_w;
    out->heating_outdoor_c = line->heating_design_w > 0.0 ? line->heating_design_c : NAN;
    out->cooling_outdoor_c = line->cooling_design_w > 0.0 ? line->cooling_design_c : NAN;
}

static void size_file(cb_design_loads *out, const cb_house *house)
{
    out->basis = CB_BASIS_FILE;
    for (long hour = 0; hour < house->hours; hour++) {
        out->heating_w = fmax(out->heating_w, house->heating_w[hour]);
        out->cooling_w = fmax(out->cooling_w, house->cooling_w[hour]);
    }
}

cb_status cb_house_design_loads(cb_design_loads *out, const cb_design *design,
                                const cb_run_weather *weather, const cb_house *house,
                                cb_error *error)
{
    if (!out || !design || !weather || !house) {
        return cb_fail(error, CB_BAD_CALL,
                       "cb_house_design_loads needs a place, a design, its weather and its house");
    }
    *out = (cb_design_loads){
        .heating_outdoor_c = NAN, .cooling_outdoor_c = NAN, .sensible_share = NAN};
    cb_status status = CB_OK;
    double share = cbx_house_share(design);
    switch (design->house.model) {
        case CB_HOUSE_ENVELOPE:
            status = size_envelope(out, design, weather, error);
            break;
        case CB_HOUSE_LOAD_LINE:
            size_line(out, &design->house.line);
            break;
        case CB_HOUSE_LOAD_FILE:
            size_file(out, house);
            share = 1.0; // the house has it already
            break;
    }
    out->heating_w *= share;
    out->cooling_w *= share;
    return status;
}
