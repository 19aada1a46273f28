// SPDX-License-Identifier: MIT
#include "weather/sky.h"
#include "coilbed/weather.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const double stefan_boltzmann_w_m2k4 = 5.670374419e-8; // CODATA 2018

// Saturation vapour pressure, Magnus form with the constants of FAO-56 eq. 11:
//     e = 0.6108 kPa exp(17.27 T / (T + 237.3))
static const double magnus_kpa = 0.6108, magnus_a = 17.27, magnus_b_c = 237.3;

double cb_saturation_kpa(double air_temperature_c)
{
    return magnus_kpa * exp(magnus_a * air_temperature_c / (air_temperature_c + magnus_b_c));
}

double cb_saturation_slope_kpa_k(double air_temperature_c)
{
    const double above = air_temperature_c + magnus_b_c;
    return 4098.0 * cb_saturation_kpa(air_temperature_c) / (above * above); // eq. 13, as printed
}

double cb_sky_longwave_w_m2(double air_temperature_c, double dew_point_c, double cloud_fraction)
{
    const double air_k = air_temperature_c + 273.15;
    const double vapour_hpa = 10.0 * cb_saturation_kpa(dew_point_c);
    // Brutsaert 1975, Water Resources Research 11, 742-744.
    const double clear = 1.24 * pow(vapour_hpa / air_k, 1.0 / 7.0);
    // Crawford & Duchon 1999, Journal of Applied Meteorology 38, 474-480.
    const double emissivity = cloud_fraction + (1.0 - cloud_fraction) * clear;
    return emissivity * stefan_boltzmann_w_m2k4 * air_k * air_k * air_k * air_k;
}

double cbx_dew_point_c(double air_temperature_c, double relative_humidity)
{
    const double exponent =
        log(relative_humidity) + magnus_a * air_temperature_c / (air_temperature_c + magnus_b_c);
    return magnus_b_c * exponent / (magnus_a - exponent);
}

double cbx_clear_sky_share(const cb_site *site)
{
    return 0.75 + 2e-5 * site->elevation_m;
}

// cos z = sin phi sin delta + cos phi cos delta cos omega = level + swing cos omega
typedef struct sun_course {
    double latitude, declination;
    double level, swing;
    double sunset; // hour angle, 0 (polar night) .. pi (polar day); eq. 25
} sun_course;

static sun_course course_of(double latitude_deg, int day_of_year)
{
    const double latitude = latitude_deg * pi / 180.0;
    const double declination = 0.409 * sin(2.0 * pi * (day_of_year + 1) / 365.0 - 1.39); // eq. 24
    sun_course sun = {.latitude = latitude,
                      .declination = declination,
                      .level = sin(latitude) * sin(declination),
                      .swing = fmax(cos(latitude) * cos(declination), 1e-12)};
    sun.sunset = acos(fmin(1.0, fmax(-1.0, -sun.level / sun.swing)));
    return sun;
}

double cbx_sunset_angle_rad(double latitude_deg, int day_of_year)
{
    return course_of(latitude_deg, day_of_year).sunset;
}

// Integral of cos z over the part of the hour angles [from, to] between sunrise and sunset of the
// day whose noon is given.
static double lit_integral(const sun_course *sun, double from, double to, double noon)
{
    from = fmax(from, noon - sun->sunset);
    to = fmin(to, noon + sun->sunset);
    return to > from ? sun->level * (to - from) + sun->swing * (sin(to) - sin(from)) : 0.0;
}

// Hour angle of the sun [rad], 0 at solar noon.
static double hour_angle(const cb_site *site, int day_of_year, double hour)
{
    const double day = day_of_year + 1;
    const double b = 2.0 * pi * (day - 81.0) / 364.0;                                 // eq. 33
    const double season_h = 0.1645 * sin(2.0 * b) - 0.1255 * cos(b) - 0.025 * sin(b); // eq. 32
    // Eq. 31 with longitudes east positive: 0.06667 h per degree is 1/15.
    const double solar_h =
        hour + (site->longitude_deg - 15.0 * site->time_zone_h) / 15.0 + season_h;
    return pi / 12.0 * (solar_h - 12.0);
}

cbx_direction cbx_sun_direction(const cb_site *site, int day_of_year, double hour)
{
    const sun_course sun = course_of(site->latitude_deg, day_of_year);
    const double angle = hour_angle(site, day_of_year, hour);
    return (cbx_direction){
        .east = -cos(sun.declination) * sin(angle),
        .north = cos(sun.latitude) * sin(sun.declination) -
                 sin(sun.latitude) * cos(sun.declination) * cos(angle),
        .up = sun.level + sun.swing * cos(angle),
    };
}

double cb_sun_cos_zenith(const cb_site *site, int day_of_year, int hour)
{
    const double from = hour_angle(site, day_of_year, hour), to = from + pi / 12.0;
    const sun_course sun = course_of(site->latitude_deg, day_of_year);
    double integral = 0.0;
    for (int turn = -2; turn <= 2; turn++) { // a zone far from its meridian runs over midnight
        integral += lit_integral(&sun, from, to, 2.0 * pi * turn);
    }
    return fmax(0.0, integral / (pi / 12.0));
}

double cb_extraterrestrial_w_m2(const cb_site *site, int day_of_year, int hour)
{
    const double distance = 1.0 + 0.033 * cos(2.0 * pi * (day_of_year + 1) / 365.0); // eq. 23
    return CBX_SOLAR_CONSTANT_W_M2 * distance * cb_sun_cos_zenith(site, day_of_year, hour);
}
