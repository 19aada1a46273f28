// SPDX-License-Identifier: MIT
// A performance table from rating points. Shape and sources: coilbed/plant.h.
#include "coilbed/plant.h"

#include <math.h>

static const double heating_sink_c = 40.0, cooling_source_c = 5.0;
static const double cooling_fall_1_k = 0.010, cooling_reference_c = 25.0;
static const double step_k = 5.0, apart_k = 2.0;

double cb_generic_cop(double lift_k)
{
    return 8.77 + lift_k * (-0.150 + lift_k * 0.000734);
}

// Capacity and power up to a factor each.
static cb_performance_point shape_at(double entering_c, bool cooling)
{
    cb_performance_point shape = {.entering_c = entering_c};
    if (cooling) {
        shape.capacity_w = 1.0 - cooling_fall_1_k * (entering_c - cooling_reference_c);
        shape.power_w = shape.capacity_w / (cb_generic_cop(entering_c - cooling_source_c) - 1.0);
    } else {
        shape.capacity_w = cb_generic_cop(heating_sink_c - entering_c);
        shape.power_w = 1.0;
    }
    return shape;
}

static cb_performance_point factors_of(const cb_performance_point *rated, bool cooling)
{
    const cb_performance_point shape = shape_at(rated->entering_c, cooling);
    return (cb_performance_point){.entering_c = rated->entering_c,
                                  .capacity_w = rated->capacity_w / shape.capacity_w,
                                  .power_w = rated->power_w / shape.power_w};
}

// Shape times factors: straight lines between the rating points, the nearest one's beyond.
static cb_performance_point point_at(double entering_c, const cb_performance_point *rating,
                                     int count, bool cooling)
{
    int next = 0;
    while (next < count && rating[next].entering_c < entering_c) {
        next++;
    }
    const cb_performance_point low = factors_of(&rating[next > 0 ? next - 1 : 0], cooling);
    const cb_performance_point high = factors_of(&rating[next < count ? next : count - 1], cooling);
    const double between_k = high.entering_c - low.entering_c;
    const double share = between_k > 0.0 ? (entering_c - low.entering_c) / between_k : 0.0;
    cb_performance_point point = shape_at(entering_c, cooling);
    point.capacity_w *= low.capacity_w + share * (high.capacity_w - low.capacity_w);
    point.power_w *= low.power_w + share * (high.power_w - low.power_w);
    return point;
}

static cb_status check_rating(const cb_performance_point *rating, int count, bool cooling,
                              cb_error *error)
{
    const double least_c = cooling ? CB_GENERIC_COOLING_LEAST_C : CB_GENERIC_HEATING_LEAST_C;
    const double most_c = cooling ? CB_GENERIC_COOLING_MOST_C : CB_GENERIC_HEATING_MOST_C;
    for (int i = 0; i < count; i++) {
        const cb_performance_point *p = &rating[i];
        if (!(p->entering_c >= least_c && p->entering_c <= most_c)) {
            return cb_fail(error, CB_BAD_INPUT,
                           "rating point %d at %g degC; expected %g to %g degC", i + 1,
                           p->entering_c, least_c, most_c);
        }
        if (i > 0 && !(p->entering_c >= rating[i - 1].entering_c + apart_k)) {
            return cb_fail(error, CB_BAD_INPUT,
                           "rating point %d at %g degC; expected %g degC or more, %g K above the "
                           "point before",
                           i + 1, p->entering_c, rating[i - 1].entering_c + apart_k, apart_k);
        }
        if (!(p->capacity_w > 0.0 && p->power_w > 0.0 && isfinite(p->capacity_w) &&
              isfinite(p->power_w)) ||
            (!cooling && !(p->capacity_w > p->power_w))) {
            return cb_fail(error, CB_BAD_INPUT,
                           "rating point %d has a capacity of %g W and a power of %g W; expected "
                           "both above 0%s",
                           i + 1, p->capacity_w, p->power_w,
                           cooling ? "" : " and the heat above the power");
        }
    }
    return CB_OK;
}

// Points that pull the curve out of the shape of a machine are no rating of one.
static cb_status check_table(const cb_performance_table *table, bool cooling, cb_error *error)
{
    for (int i = 0; i < table->count; i++) {
        const cb_performance_point *p = &table->point[i];
        const double step_w = i > 0 ? p->capacity_w - p[-1].capacity_w : cooling ? -1.0 : 1.0;
        if (!(cooling ? step_w < 0.0 : step_w > 0.0) ||
            (!cooling && !(p->capacity_w > p->power_w))) {
            return cb_fail(error, CB_BAD_INPUT,
                           "the rating points make %g W of %s from %g W at %g degC: capacity must "
                           "%s with warmer water%s; points of another load do not belong here",
                           p->capacity_w, cooling ? "cooling" : "heat", p->power_w, p->entering_c,
                           cooling ? "fall" : "rise", cooling ? "" : " and exceed the power");
        }
    }
    return CB_OK;
}

cb_status cb_generic_table(cb_performance_table *out, const cb_performance_point *rating, int count,
                           bool cooling, cb_error *error)
{
    if (!out || !rating || count < 1 || count > CB_MAX_RATINGS) {
        return cb_fail(error, CB_BAD_CALL,
                       "cb_generic_table needs a place and 1 to %d rating points, not %d",
                       (int)CB_MAX_RATINGS, count);
    }
    *out = (cb_performance_table){0};
    cb_status status = check_rating(rating, count, cooling, error);
    if (status != CB_OK) {
        return status;
    }
    const double least_c = cooling ? CB_GENERIC_COOLING_LEAST_C : CB_GENERIC_HEATING_LEAST_C;
    const double most_c = cooling ? CB_GENERIC_COOLING_MOST_C : CB_GENERIC_HEATING_MOST_C;
    cb_performance_table table = {0};
    int next = 0;
    const int steps = (int)((most_c - least_c) / step_k + 0.5);
    for (int step = 0; step <= steps; step++) {
        const double at_c = least_c + step * step_k;
        while (next < count && rating[next].entering_c < at_c + apart_k) {
            table.point[table.count++] = rating[next++];
        }
        const double behind_c = next > 0 ? rating[next - 1].entering_c : -INFINITY;
        if (at_c >= behind_c + apart_k) {
            table.point[table.count++] = point_at(at_c, rating, count, cooling);
        }
    }
    status = check_table(&table, cooling, error);
    if (status == CB_OK) {
        *out = table;
    }
    return status;
}
