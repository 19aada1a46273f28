// SPDX-License-Identifier: MIT
#include "house/envelope_solar.h"
#include "coilbed/weather.h"

#include <math.h>
#include <stdbool.h>

static const double degree = 3.14159265358979323846 / 180.0;

double cbx_diffuse_share(double clearness)
{
    const double k = clearness;
    if (k <= 0.22) {
        return 1.0 - 0.09 * k;
    }
    if (k > 0.80) {
        return 0.165;
    }
    return 0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)));
}

cbx_direction cbx_plane(double azimuth_deg, double tilt_deg)
{
    const double level = sin(tilt_deg * degree);
    return (cbx_direction){.east = level * sin(azimuth_deg * degree),
                           .north = level * cos(azimuth_deg * degree),
                           .up = cos(tilt_deg * degree)};
}

typedef struct interval {
    double from_h, to_h;
} interval;

// Where the sun crosses the horizon between two times of which one is day, one is night.
static double horizon_h(const cb_site *site, int day_of_year, double day_h, double night_h)
{
    for (int i = 0; i < 30; i++) {
        const double middle_h = 0.5 * (day_h + night_h);
        *(cbx_sun_direction(site, day_of_year, middle_h).up > 0.0 ? &day_h : &night_h) = middle_h;
    }
    return day_h;
}

// The part of an hour with the sun up. A sun that comes and goes within it is lost;
// that is a day of polar winter.
static interval lit_part(const cb_site *site, int day_of_year, int hour)
{
    const double from_h = hour, to_h = hour + 1.0;
    const bool early = cbx_sun_direction(site, day_of_year, from_h).up > 0.0;
    const bool late = cbx_sun_direction(site, day_of_year, to_h).up > 0.0;
    if (early == late) {
        return (interval){from_h, early ? to_h : from_h};
    }
    return early ? (interval){from_h, horizon_h(site, day_of_year, from_h, to_h)}
                 : (interval){horizon_h(site, day_of_year, to_h, from_h), to_h};
}

cbx_sun_hour cbx_sun_split(const cb_site *site, int day_of_year, int hour, double global_w_m2)
{
    cbx_sun_hour out = {.global_w_m2 = global_w_m2, .diffuse_w_m2 = global_w_m2};
    if (!(global_w_m2 > 0.0)) {
        return out;
    }
    const interval lit = lit_part(site, day_of_year, hour);
    out.lit = lit.to_h - lit.from_h;
    double up = 0.0;
    for (int i = 0; i < CBX_SUN_POINTS; i++) {
        const double at_h = lit.from_h + out.lit * (i + 0.5) / CBX_SUN_POINTS;
        out.sun[i] = cbx_sun_direction(site, day_of_year, at_h);
        up += out.lit * fmax(0.0, out.sun[i].up) / CBX_SUN_POINTS;
    }
    const double outside_w_m2 = cb_extraterrestrial_w_m2(site, day_of_year, hour);
    if (!(up > 0.0 && outside_w_m2 > 0.0)) {
        return out;
    }
    const double beam_w_m2 =
        fmin(global_w_m2 * (1.0 - cbx_diffuse_share(global_w_m2 / outside_w_m2)),
             CBX_SOLAR_CONSTANT_W_M2 * up);
    out.normal_w_m2 = beam_w_m2 / up;
    out.diffuse_w_m2 = global_w_m2 - beam_w_m2;
    return out;
}

double cbx_sun_on(const cbx_sun_hour *hour, const cbx_direction *normal, double reflectance)
{
    double facing = 0.0;
    for (int i = 0; hour->normal_w_m2 > 0.0 && i < CBX_SUN_POINTS; i++) {
        const cbx_direction *sun = &hour->sun[i];
        const double cosine =
            normal->east * sun->east + normal->north * sun->north + normal->up * sun->up;
        facing += hour->lit * fmax(0.0, cosine) / CBX_SUN_POINTS;
    }
    return hour->normal_w_m2 * facing + hour->diffuse_w_m2 * 0.5 * (1.0 + normal->up) +
           hour->global_w_m2 * reflectance * 0.5 * (1.0 - normal->up);
}
