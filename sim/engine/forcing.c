// SPDX-License-Identifier: MIT
#include "engine/forcing.h"

#include <limits.h>
#include <math.h>

static double load_at(const double *series, long hours, long hour)
{
    return series[hour < 0 ? 0 : hour >= hours ? hours - 1 : hour];
}

// Running water does not freeze in the main, even where the ground beside it does.
static double mains_c(const cbx_forcing *forcing, long hour)
{
    static const double least_c = 1.0;
    const cbx_undisturbed *ground = forcing->ground;
    const long day = (hour < 0 ? 0 : hour / 24) % CB_YEAR_DAYS;
    return ground->daily_c ? fmax(least_c, ground->daily_c[day * ground->nz + forcing->mains_row])
                           : least_c;
}

static cbx_forcing_point hour_point(const cbx_forcing *forcing, long hour)
{
    const cb_yard_hour *ground = cbx_undisturbed_hour(forcing->ground, hour);
    cbx_forcing_point point = {.surface = ground->exchange,
                               .dryness = ground->dryness,
                               .outdoor_c =
                                   cb_run_weather_at(forcing->weather, hour).air_temperature_c};
    if (forcing->plant) {
        const double hour_of_day = (double)((hour % 24 + 24) % 24) + 0.5;
        point.draw_m3_s = cb_plant_draw_m3_s(forcing->plant, hour_of_day);
        point.mains_c = mains_c(forcing, hour);
        point.heating_air_c = cb_house_set_point_c(forcing->design, false, hour_of_day);
        point.cooling_air_c = cb_house_set_point_c(forcing->design, true, hour_of_day);
    }
    if (forcing->house) {
        point.heating_w = load_at(forcing->house->heating_w, forcing->house->hours, hour);
        point.cooling_w = load_at(forcing->house->cooling_w, forcing->house->hours, hour);
    }
    return point;
}

void cbx_forcing_start(cbx_forcing *forcing, const cb_run_weather *weather, const cb_house *house)
{
    *forcing = (cbx_forcing){.weather = weather, .house = house, .cached_hour = LONG_MIN};
}

static double between(double a, double b, double share)
{
    return a + share * (b - a);
}

cbx_forcing_point cbx_forcing_at(cbx_forcing *forcing, double time_s)
{
    const double place = time_s / 3600.0 - 0.5;
    const long hour = (long)floor(place);
    if (hour != forcing->cached_hour) {
        forcing->before =
            hour == forcing->cached_hour + 1 ? forcing->after : hour_point(forcing, hour);
        forcing->after = hour_point(forcing, hour + 1);
        forcing->cached_hour = hour;
    }
    const cbx_forcing_point *a = &forcing->before, *b = &forcing->after;
    const double s = place - (double)hour;
    return (cbx_forcing_point){
        .surface = {between(a->surface.intake_w_m2, b->surface.intake_w_m2, s),
                    between(a->surface.h_w_m2k, b->surface.h_w_m2k, s)},
        .dryness = between(a->dryness, b->dryness, s),
        .heating_w = between(a->heating_w, b->heating_w, s),
        .cooling_w = between(a->cooling_w, b->cooling_w, s),
        .outdoor_c = between(a->outdoor_c, b->outdoor_c, s),
        .draw_m3_s = between(a->draw_m3_s, b->draw_m3_s, s),
        .mains_c = between(a->mains_c, b->mains_c, s),
        .heating_air_c = between(a->heating_air_c, b->heating_air_c, s),
        .cooling_air_c = between(a->cooling_air_c, b->cooling_air_c, s),
    };
}
