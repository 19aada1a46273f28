// SPDX-License-Identifier: MIT
#include "plant/hot_water.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

// Water near 40 degC: 992.2 kg/m3 x 4179 J/kg/K (IAPWS values, from memory). One value for the tank
// and the draw, so that what is drawn is what the tank loses.
static const double WATER_J_M3K = 992.2 * 4179.0;
static const double LIMIT_FADE_K = 2.0;
static const double HOUR_S = 3600.0;

// A morning and an evening peak, from midnight on; common practice, no source.
static const double usual_draw[CB_DAY_HOURS] = {1, 1, 1, 1, 1, 2, 7, 10, 8, 6, 4, 4,
                                                4, 3, 3, 3, 4, 7, 9, 8,  6, 4, 2, 1};

static cb_status check(const cb_design *design, cb_error *error)
{
    const cb_design_hot_water *w = &design->hot_water;
    const char *path = "hot_water";
    if (!(w->volume_m3 > 0.0 && isfinite(w->volume_m3))) {
        return cb_design_fail(design, "hot_water.volume", error, "%g m3; expected more than 0",
                              w->volume_m3);
    }
    if (!(w->loss_w_k >= 0.0 && w->draw_m3 >= 0.0 && w->element_w >= 0.0 &&
          isfinite(w->loss_w_k + w->draw_m3 + w->element_w))) {
        return cb_design_fail(design, path, error,
                              "loss %g W/K, draw %g m3 a day, element %g W; expected 0 or more",
                              w->loss_w_k, w->draw_m3, w->element_w);
    }
    if (!(w->band_k > 0.0 && isfinite(w->band_k + w->set_point_c + w->draw_c + w->room_c))) {
        return cb_design_fail(design, path, error,
                              "band %g K, set point %g degC, draw %g degC, room %g degC; expected "
                              "temperatures and a band above 0",
                              w->band_k, w->set_point_c, w->draw_c, w->room_c);
    }
    return CB_OK;
}

static cb_status spread_draw(cbx_hot_water *water, const cb_design *design, cb_error *error)
{
    const cb_design_hot_water *w = &design->hot_water;
    const char *path = "hot_water.draw_by_hour";
    if (w->draw_weight_count != 0 && w->draw_weight_count != CB_DAY_HOURS) {
        return cb_design_fail(design, path, error, "%d hours; expected none or %d",
                              w->draw_weight_count, (int)CB_DAY_HOURS);
    }
    const double *weight = w->draw_weight_count ? w->draw_weight : usual_draw;
    double sum = 0.0;
    for (int hour = 0; hour < CB_DAY_HOURS; hour++) {
        if (!(weight[hour] >= 0.0 && weight[hour] <= 1000.0)) {
            return cb_design_fail(design, path, error, "%g for hour %d; expected 0 to 1000",
                                  weight[hour], hour);
        }
        sum += weight[hour];
    }
    if (!(sum > 0.0)) {
        return cb_design_fail(design, path, error,
                              "all 24 hours are 0; expected at least one above 0");
    }
    for (int hour = 0; hour < CB_DAY_HOURS; hour++) {
        water->draw_m3_s[hour] = w->draw_m3 * weight[hour] / sum / HOUR_S;
    }
    return CB_OK;
}

static cb_status refuse_unit(const cb_design *design, int index, int found, cb_error *error)
{
    char names[CB_MESSAGE_SIZE / 2] = "", path[64];
    size_t used = 0;
    for (int i = 0; i < design->heat_pump_count && used < sizeof names; i++) {
        used += (size_t)snprintf(names + used, sizeof names - used, "%s\"%s\"", i ? ", " : "",
                                 design->heat_pump[i].name);
    }
    snprintf(path, sizeof path, "hot_water.desuperheaters[%d].unit", index);
    const char *unit = design->hot_water.desuperheater[index].unit;
    return cb_design_fail(design, path, error, "\"%s\" is %s heat pump; %s %s", unit ? unit : "",
                          found ? "more than one" : "no", found ? "the names are" : "there are",
                          names);
}

static int find_unit(const cb_design *design, const char *name, int *found)
{
    int unit = -1;
    *found = 0;
    for (int i = 0; name && i < design->heat_pump_count; i++) {
        const char *has = design->heat_pump[i].name;
        if (has && strcmp(has, name) == 0) {
            unit = i;
            ++*found;
        }
    }
    return unit;
}

static cb_status place_desuperheater(cbx_hot_water *water, const cb_design *design, int index,
                                     cb_error *error)
{
    const cb_desuperheater *d = &design->hot_water.desuperheater[index];
    char path[64];
    int found;
    const int unit = find_unit(design, d->unit, &found);
    if (found != 1) {
        return refuse_unit(design, index, found, error);
    }
    snprintf(path, sizeof path, "hot_water.desuperheaters[%d]", index);
    cbx_desuperheater *place = &water->of_unit[unit];
    if (place->heat_w > 0.0) {
        return cb_design_fail(design, path, error, "\"%s\" has one already", d->unit);
    }
    if (!(d->heat_w > 0.0 && d->most_share >= 0.0 && d->most_share <= 0.5)) {
        return cb_design_fail(design, path, error,
                              "heat %g W, most %g; expected a heat above 0 and a share of 0 to 0.5",
                              d->heat_w, d->most_share);
    }
    if (!(d->rated_c < d->hot_gas_c && isfinite(d->hot_gas_c - d->rated_c + d->limit_c))) {
        return cb_design_fail(design, path, error,
                              "hot_gas %g degC; expected more than rated_at, %g degC", d->hot_gas_c,
                              d->rated_c);
    }
    *place = (cbx_desuperheater){d->heat_w, d->rated_c, d->hot_gas_c, d->limit_c, d->most_share};
    return CB_OK;
}

cb_status cbx_hot_water_prepare(cbx_hot_water *water, const cb_design *design, cb_error *error)
{
    const cb_design_hot_water *w = &design->hot_water;
    *water = (cbx_hot_water){.given = w->given};
    if (!w->given) {
        return CB_OK;
    }
    cb_status status = check(design, error);
    if (status != CB_OK) {
        return status;
    }
    water->capacity_j_k = WATER_J_M3K * w->volume_m3;
    water->loss_w_k = w->loss_w_k;
    water->room_c = w->room_c;
    water->draw_c = w->draw_c;
    water->element_w = w->element_w;
    water->set_point_c = w->set_point_c;
    water->band_k = w->band_k;
    status = spread_draw(water, design, error);
    for (int i = 0; status == CB_OK && i < w->desuperheater_count; i++) {
        status = place_desuperheater(water, design, i, error);
    }
    return status;
}

/// Smooth step from 0 at 0 and below to 1 at 1 and above; slope by x.
static double step(double x, double *slope)
{
    if (!(x > 0.0) || x >= 1.0) {
        *slope = 0.0;
        return x >= 1.0 ? 1.0 : 0.0;
    }
    *slope = 6.0 * x * (1.0 - x);
    return x * x * (3.0 - 2.0 * x);
}

cbx_dual cbx_desuperheater_share(const cbx_desuperheater *from, double tank_c, cbx_dual full_heat_w)
{
    if (!(from->heat_w > 0.0) || tank_c >= from->hot_gas_c || tank_c >= from->limit_c) {
        return cbx_constant(0.0);
    }
    const double fall_w_k = from->heat_w / (from->hot_gas_c - from->rated_c);
    const cbx_dual heat = cbx_of_tank(fall_w_k * (from->hot_gas_c - tank_c), -fall_w_k);
    const cbx_dual share = cbx_least(cbx_divide(heat, full_heat_w), cbx_constant(from->most_share));
    double slope;
    const double below = step((from->limit_c - tank_c) / LIMIT_FADE_K, &slope);
    return cbx_multiply(share, cbx_of_tank(below, -slope / LIMIT_FADE_K));
}

/// Drawn from the tank: a mixing valve takes no more than the tap's temperature needs. Where the
/// mains are warmer than tank or tap the tank is passed by.
static cbx_dual drawn(const cbx_hot_water *water, const cb_plant_point *point)
{
    const double flow_w_k = WATER_J_M3K * point->draw_m3_s;
    const double most_w = flow_w_k * (water->draw_c - point->mains_c);
    const double tank_w = flow_w_k * (point->tank_c - point->mains_c);
    if (most_w <= 0.0 || tank_w <= 0.0) {
        return cbx_constant(0.0);
    }
    return cbx_least(cbx_constant(most_w), cbx_of_tank(tank_w, flow_w_k));
}

void cbx_hot_water_at(const cbx_hot_water *water, const cb_plant_point *point,
                      cbx_dual desuperheater_w, cb_plant_rates *out)
{
    double slope;
    const double share = step((water->set_point_c - point->tank_c) / water->band_k, &slope);
    const cbx_dual element =
        cbx_of_tank(water->element_w * share, -water->element_w * slope / water->band_k);
    const cbx_dual loss =
        cbx_of_tank(water->loss_w_k * (point->tank_c - water->room_c), water->loss_w_k);
    const cbx_dual draw = drawn(water, point);
    const cbx_dual net = cbx_subtract(cbx_add(desuperheater_w, element), cbx_add(draw, loss));
    const double wanted_w =
        fmax(0.0, WATER_J_M3K * point->draw_m3_s * (water->draw_c - point->mains_c));
    out->desuperheater_w = desuperheater_w.value;
    out->element_power_w = element.value;
    out->hot_water_w = draw.value;
    out->tank_loss_w = loss.value;
    out->tank_heat_w = net.value;
    out->tank_heat_by = net.by;
    out->hot_water_unmet_w = wanted_w - draw.value;
}
