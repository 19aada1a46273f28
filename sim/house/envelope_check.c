// SPDX-License-Identifier: MIT
#include "house/envelope.h"

#include <math.h>
#include <stdio.h>

// A number of the envelope that must lie in a range; designs made by hand come here unchecked.
typedef struct bound {
    const char *key;
    double value, least, most;
    const char *unit;
} bound;

static cb_status check_bounds(const cb_design *design, const char *place, const bound *bounds,
                              size_t count, cb_error *error)
{
    for (size_t i = 0; i < count; i++) {
        const bound *b = &bounds[i];
        if (!(b->value >= b->least && b->value <= b->most)) {
            char path[96];
            snprintf(path, sizeof path, "%s.%s", place, b->key);
            return cb_design_fail(design, path, error, "%s is %.6g%s%s; expected %.6g to %.6g",
                                  b->key, b->value, *b->unit ? " " : "", b->unit, b->least,
                                  b->most);
        }
    }
    return CB_OK;
}

static cb_status check_parts(const cb_design *design, cb_error *error)
{
    const cb_envelope *e = &design->house.envelope;
    const bool slab = e->slab_area_m2 != 0.0, doors = e->doors.area_m2 != 0.0;
    const bound bounds[] = {
        {"floor_area", e->floor_area_m2, 10, 10000, "m2"},
        {"ceiling_height", e->ceiling_height_m, 2, 10, "m"},
        {"storeys", e->storeys, 1, 3, ""},
        {"mass", e->mass, CB_MASS_VERY_LIGHT, CB_MASS_VERY_HEAVY, ""},
        {"walls.area", e->walls.area_m2, 0.1, 10000, "m2"},
        {"walls.u_value", e->walls.u_w_m2k, 0.02, 10, "W/m2/K"},
        {"roof.area", e->roof.area_m2, 0.1, 10000, "m2"},
        {"roof.u_value", e->roof.u_w_m2k, 0.02, 10, "W/m2/K"},
        {"doors.area", e->doors.area_m2, 0, 10000, "m2"},
        {"doors.u_value", doors ? e->doors.u_w_m2k : 1, 0.02, 10, "W/m2/K"},
        {"slab.area", e->slab_area_m2, 0, 10000, "m2"},
        {"slab.perimeter", slab ? e->slab_perimeter_m : 1, 1, 2000, "m"},
        {"slab.resistance", slab ? e->slab_resistance_m2k_w : 0, 0, 30, "m2.K/W"},
        {"slab.soil_conductivity", slab ? e->slab_soil_w_mk : 1, 0.3, 5, "W/m/K"},
        {"slab.depth", slab ? e->slab_depth_m : 0, 0, 5, "m"},
        {"slab.wall_resistance", slab ? e->basement_resistance_m2k_w : 0, 0, 30, "m2.K/W"},
        {"windows", e->window_count, 0, CB_MAX_WINDOWS, ""},
        {"solar_absorptance", e->solar_absorptance, 0, 1, ""},
        {"ground_reflectance", e->ground_reflectance, 0, 1, ""},
    };
    return check_bounds(design, "house.envelope", bounds, sizeof bounds / sizeof *bounds, error);
}

static cb_status check_use(const cb_design *design, cb_error *error)
{
    const cb_envelope *e = &design->house.envelope;
    const bound bounds[] = {
        {"air_changes_at_50_pa", e->air_changes_50pa_1_h, 0, 40, "1/h"},
        {"shelter", e->shelter, CB_SHELTER_NONE, CB_SHELTER_FULL, ""},
        {"ventilation", e->ventilation_m3_s, 0, 10, "m3/s"},
        {"heat_recovery", e->heat_recovery, 0, 0.98, ""},
        {"airing", e->airing_1_h, 0, 20, "1/h"},
        {"gains", e->gains_w, 0, 1e5, "W"},
        {"heating_setpoint", e->heating_day_c, 5, 28, "degC"},
        {"heating_night", e->heating_night_c, 5, 28, "degC"},
        {"cooling_setpoint", e->cooling_day_c, 18, 40, "degC"},
        {"cooling_night", e->cooling_night_c, 18, 40, "degC"},
        {"night_from", e->night_from_h, 0, 24, "h"},
        {"night_to", e->night_to_h, 0, 24, "h"},
        {"recovery", e->recovery_h, 0, 12, "h"},
        {"latent_share", e->latent_share, 0, 0.6, ""},
    };
    return check_bounds(design, "house.envelope", bounds, sizeof bounds / sizeof *bounds, error);
}

static cb_status check_windows(const cb_design *design, cb_error *error)
{
    const cb_envelope *e = &design->house.envelope;
    cb_status status = CB_OK;
    for (int i = 0; i < e->window_count && status == CB_OK; i++) {
        const cb_window *w = &e->window[i];
        const bound bounds[] = {
            {"area", w->area_m2, 0.05, 1000, "m2"}, {"azimuth", w->azimuth_deg, 0, 360, "deg"},
            {"tilt", w->tilt_deg, 0, 90, "deg"},    {"u_value", w->u_w_m2k, 0.1, 10, "W/m2/K"},
            {"g_value", w->g_value, 0, 1, ""},      {"frame", w->frame_share, 0, 0.9, ""},
            {"shade", w->shade, 0, 1, ""},
        };
        char place[48];
        snprintf(place, sizeof place, "house.envelope.windows[%d]", i);
        status = check_bounds(design, place, bounds, sizeof bounds / sizeof *bounds, error);
    }
    return status;
}

// Windows and doors must leave some of the part they stand in.
static cb_status check_openings(const cb_design *design, cb_error *error)
{
    const cb_envelope *e = &design->house.envelope;
    double in_walls_m2 = e->doors.area_m2, in_roof_m2 = 0.0;
    for (int i = 0; i < e->window_count; i++) {
        *(e->window[i].tilt_deg < CBX_ROOF_TILT_DEG ? &in_roof_m2 : &in_walls_m2) +=
            e->window[i].area_m2;
    }
    if (in_walls_m2 > e->walls.area_m2) {
        return cb_design_fail(design, "house.envelope.walls.area", error,
                              "windows and doors take %.4g m2 of walls of %.4g m2 in all; the "
                              "area is that of the walls with their openings",
                              in_walls_m2, e->walls.area_m2);
    }
    if (in_roof_m2 > e->roof.area_m2) {
        return cb_design_fail(design, "house.envelope.roof.area", error,
                              "roof windows take %.4g m2 of a roof of %.4g m2 in all; the area is "
                              "that of the roof with its openings",
                              in_roof_m2, e->roof.area_m2);
    }
    return CB_OK;
}

// Set points move between day and night together, so it is enough to look at both ends.
static cb_status check_set_points(const cb_design *design, cb_error *error)
{
    const cb_envelope *e = &design->house.envelope;
    const struct {
        const char *key;
        double heating_c, cooling_c;
    } end[] = {{"house.envelope.cooling_setpoint", e->heating_day_c, e->cooling_day_c},
               {"house.envelope.cooling_night", e->heating_night_c, e->cooling_night_c}};
    for (size_t i = 0; i < sizeof end / sizeof *end; i++) {
        if (!(end[i].heating_c < end[i].cooling_c)) {
            return cb_design_fail(design, end[i].key, error,
                                  "cooling down to %.4g degC while heating up to %.4g degC: the "
                                  "cooling set point must be the higher one",
                                  end[i].cooling_c, end[i].heating_c);
        }
    }
    if (isfinite(e->heating_design_c) && isfinite(e->cooling_design_c) &&
        !(e->heating_design_c < e->cooling_design_c)) {
        return cb_design_fail(design, "house.envelope.heating_design_temperature", error,
                              "%.4g degC is not below the cooling design temperature, %.4g degC",
                              e->heating_design_c, e->cooling_design_c);
    }
    return CB_OK;
}

static cb_status check_gains(const cb_design *design, cb_error *error)
{
    const cb_envelope *e = &design->house.envelope;
    double sum = 0.0;
    if (e->gain_weight_count != 0 && e->gain_weight_count != CB_DAY_HOURS) {
        return cb_design_fail(design, "house.envelope.gains_by_hour", error,
                              "%d hours; expected none or 24", e->gain_weight_count);
    }
    for (int i = 0; i < e->gain_weight_count; i++) {
        if (!(e->gain_weight[i] >= 0.0 && e->gain_weight[i] <= 1000.0)) {
            return cb_design_fail(design, "house.envelope.gains_by_hour", error,
                                  "%.6g for hour %d; expected 0 to 1000", e->gain_weight[i], i);
        }
        sum += e->gain_weight[i];
    }
    if (e->gain_weight_count > 0 && !(sum > 0.0)) {
        return cb_design_fail(design, "house.envelope.gains_by_hour", error,
                              "no hour has a share of the gains");
    }
    return CB_OK;
}

cb_status cbx_envelope_check(const cb_design *design, cb_error *error)
{
    static cb_status (*const check[])(const cb_design *d, cb_error *error) = {
        check_parts, check_use, check_windows, check_openings, check_set_points, check_gains};
    cb_status status = CB_OK;
    for (size_t i = 0; i < sizeof check / sizeof *check && status == CB_OK; i++) {
        status = check[i](design, error);
    }
    return status;
}
