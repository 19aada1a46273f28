// SPDX-License-Identifier: MIT
// What an hour of weather does to a house. Sources: coilbed/house.h.
#include "house/envelope.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const double outer_film_m2k_w = 0.04;                  // R_se
static const double stefan_boltzmann_w_m2k4 = 5.670374419e-8; // CODATA 2018

// 0 by day, 1 by night, between while the set points move.
static double night_share(const cb_envelope *given, double middle_h)
{
    double length_h = given->night_to_h - given->night_from_h;
    length_h += length_h < 0.0 ? 24.0 : 0.0;
    double into_h = fmod(middle_h - given->night_from_h + 24.0, 24.0);
    const double left_h = length_h - into_h;
    if (into_h < 0.0 || left_h <= 0.0) {
        return 0.0;
    }
    return given->recovery_h > 0.0 ? fmin(1.0, fmin(into_h, left_h) / given->recovery_h) : 1.0;
}

static double set_point_c(const cb_envelope *given, bool cooling, double hour_of_day)
{
    const double day_c = cooling ? given->cooling_day_c : given->heating_day_c;
    const double night_c = cooling ? given->cooling_night_c : given->heating_night_c;
    return day_c + night_share(given, hour_of_day) * (night_c - day_c);
}

double cb_house_set_point_c(const cb_design *design, bool cooling, double hour_of_day)
{
    return design->house.model == CB_HOUSE_ENVELOPE
               ? set_point_c(&design->house.envelope, cooling, hour_of_day)
               : NAN;
}

static double internal_w(const cb_envelope *given, int hour)
{
    if (given->gain_weight_count == 0) {
        return given->gains_w;
    }
    double sum = 0.0;
    for (int i = 0; i < CB_DAY_HOURS; i++) {
        sum += given->gain_weight[i];
    }
    return given->gains_w * given->gain_weight[hour] * CB_DAY_HOURS / sum;
}

double cbx_envelope_leakage_m3_s(const cbx_envelope *envelope, const cb_weather_hour *weather,
                                 double heating_set_c, double cooling_set_c)
{
    // Indoor air is taken where it must be: at the nearer set point, or as outdoors between.
    const double outdoor_c = weather->air_temperature_c;
    const double difference_k =
        fmax(0.0, fmax(heating_set_c - outdoor_c, outdoor_c - cooling_set_c));
    return 1e-3 * envelope->leak_l_s *
           sqrt(envelope->stack * difference_k +
                envelope->wind * weather->wind_m_s * weather->wind_m_s);
}

static double floor_side_c(const cbx_floor *floor, long run_hour)
{
    return floor->mean_c + floor->swing_k * cos(2.0 * pi / CB_YEAR_HOURS *
                                                ((double)run_hour + 0.5 - floor->warmest_h));
}

typedef struct outside {
    const cbx_sun_hour *sun;
    double reflectance;
    double sky_w_m2; ///< what a black level plane at air temperature loses to the sky
} outside;

// Sun taken up and longwave lost by an opaque part, ISO 13790 11.3.
static double opaque_w(const outside *o, double part_w_k, const cbx_direction *plane,
                       double absorptance)
{
    const double sun_w_m2 = cbx_sun_on(o->sun, plane, o->reflectance);
    return outer_film_m2k_w * part_w_k *
           (absorptance * sun_w_m2 - 0.9 * 0.5 * (1.0 + plane->up) * o->sky_w_m2);
}

static double window_w(const outside *o, const cb_window *window, const cbx_direction *plane)
{
    const double glass_m2 = window->area_m2 * (1.0 - window->frame_share);
    const double sun_w_m2 = cbx_sun_on(o->sun, plane, o->reflectance);
    const double lost_w = outer_film_m2k_w * window->area_m2 * window->u_w_m2k * 0.9 * 0.5 *
                          (1.0 + plane->up) * o->sky_w_m2;
    return (1.0 - window->shade) * 0.9 * window->g_value * glass_m2 * sun_w_m2 - lost_w;
}

static double solar_w(const cbx_envelope *e, const cbx_outdoors *outdoors)
{
    const cb_envelope *given = e->given;
    const cb_weather_hour *weather = &outdoors->weather;
    const cbx_sun_hour sun =
        cbx_sun_split(&e->design->site, outdoors->day_of_year, outdoors->hour, weather->solar_w_m2);
    const double air_k = weather->air_temperature_c + 273.15;
    const outside o = {
        .sun = &sun,
        .reflectance = weather->snow_depth_m > 0.01 ? 0.7 : given->ground_reflectance,
        .sky_w_m2 =
            stefan_boltzmann_w_m2k4 * air_k * air_k * air_k * air_k - weather->longwave_w_m2,
    };
    double sum_w = 0.0;
    for (int i = 0; i < given->window_count; i++) {
        sum_w += window_w(&o, &given->window[i], &e->window[i]);
    }
    for (int side = 0; side < CBX_WALL_SIDES; side++) {
        sum_w +=
            opaque_w(&o, e->walls_w_k / CBX_WALL_SIDES, &e->wall[side], given->solar_absorptance);
    }
    const cbx_direction level = {.up = 1.0};
    return sum_w + opaque_w(&o, e->roof_w_k, &level, given->solar_absorptance);
}

cbx_drive cbx_envelope_drive(const cbx_envelope *envelope, const cbx_outdoors *outdoors)
{
    const cb_envelope *given = envelope->given;
    const double outdoor_c = outdoors->weather.air_temperature_c;
    cbx_drive drive = {.outdoor_c = outdoor_c,
                       .internal_w = internal_w(given, outdoors->hour),
                       .solar_w = solar_w(envelope, outdoors)};
    drive.heating_set_c = set_point_c(given, false, outdoors->hour + 0.5);
    drive.cooling_set_c = set_point_c(given, true, outdoors->hour + 0.5);

    const bool worth_keeping = outdoor_c < drive.heating_set_c || outdoor_c > drive.cooling_set_c;
    const double fans_m3_s =
        given->ventilation_m3_s * (worth_keeping ? 1.0 - given->heat_recovery : 1.0);
    drive.h_ve_w_k =
        CBX_AIR_J_M3K *
        (fans_m3_s + cbx_envelope_leakage_m3_s(envelope, &outdoors->weather, drive.heating_set_c,
                                               drive.cooling_set_c));
    const double in_air_w_k = envelope->walls_w_k + envelope->roof_w_k;
    const double opaque_w_k = in_air_w_k + envelope->floor.h_w_k;
    drive.opaque_side_c =
        opaque_w_k > 0.0
            ? (in_air_w_k * outdoor_c +
               envelope->floor.h_w_k * floor_side_c(&envelope->floor, outdoors->run_hour)) /
                  opaque_w_k
            : outdoor_c;
    return drive;
}

// What open windows take from air that is kept at its cooling set point, at most [W].
static double airing_w(const cbx_envelope *e, const cbx_drive *drive)
{
    const double air_m3_s = e->given->airing_1_h * e->volume_m3 / 3600.0;
    return CBX_AIR_J_M3K * air_m3_s * fmax(0.0, drive->cooling_set_c - drive->outdoor_c);
}

cb_status cbx_envelope_loads(cb_house *house, const cb_design *design,
                             const cb_run_weather *weather, cb_error *error)
{
    cbx_envelope envelope;
    const cb_status status = cbx_envelope_prepare(&envelope, design, error);
    if (status != CB_OK) {
        return status;
    }
    cbx_envelope_season(&envelope, weather);
    const int start_day = cb_day_of_year(design->run.start_month, design->run.start_day);
    double mass_c = design->house.envelope.heating_day_c;
    for (long hour = -CB_YEAR_HOURS; hour < house->hours; hour++) {
        const long day = (hour + CB_YEAR_HOURS) / 24;
        const cbx_outdoors outdoors = {.weather = cb_run_weather_at(weather, hour),
                                       .run_hour = hour,
                                       .day_of_year = (int)((start_day + day) % CB_YEAR_DAYS),
                                       .hour = (int)((hour + CB_YEAR_HOURS) % 24)};
        const cbx_drive drive = cbx_envelope_drive(&envelope, &outdoors);
        const cbx_hour result = cbx_network_hour(&envelope.network, &drive, mass_c);
        mass_c = result.mass_end_c;
        if (hour >= 0) {
            house->heating_w[hour] = fmax(0.0, result.need_w);
            house->cooling_w[hour] = fmax(0.0, -result.need_w - airing_w(&envelope, &drive)) /
                                     (1.0 - design->house.envelope.latent_share);
        }
    }
    return CB_OK;
}
