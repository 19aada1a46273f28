// SPDX-License-Identifier: MIT
#include "design/read.h"

#include <math.h>
#include <stdio.h>

// Power of the pumps where their curve has the wanted flow, straight between points.
static double power_of_curve(const cb_design *d)
{
    const cb_design_pumps *p = &d->pumps;
    const double flow = d->field.trenches * p->flow_per_circuit_m3_s / p->in_parallel;
    int n = 0;
    while (n + 2 < p->curve_count && p->curve[n + 1].flow_m3_s < flow) {
        n++;
    }
    const cb_pump_point *low = &p->curve[n], *high = low + (p->curve_count > 1);
    const double span = high->flow_m3_s - low->flow_m3_s;
    const double along = span > 0 ? fmin(fmax((flow - low->flow_m3_s) / span, 0), 1) : 0;
    return p->in_series * p->in_parallel * (low->power_w + along * (high->power_w - low->power_w));
}

void cbx_hydraulics_derive(cb_design *d)
{
    if (d->pumps.curve_count > 0) {
        d->pumps.power_w = power_of_curve(d);
    }
    if (d->piping.header_size_count > 0 && isnan(d->piping.take_off_spacing_m)) {
        d->piping.take_off_spacing_m = d->field.trenches > 1 ? d->field.spacing_m : 0;
    }
}

// Both numbers of a step that goes the wrong way.
static cb_status refuse_step(const cb_design *d, const char *path, cb_kind kind,
                             const double step[2], const char *problem, cb_error *error)
{
    return cb_design_fail(d, path, error, "%s: %s after %s", problem, cbx_show(kind, step[1]).text,
                          cbx_show(kind, step[0]).text);
}

static cb_status check_curve(const cb_design *d, cb_error *error)
{
    const cb_design_pumps *p = &d->pumps;
    if (p->curve_count == 1) {
        return cb_design_fail(d, "pumps.curve", error,
                              "one point is no curve, two or more are "
                              "wanted");
    }
    for (int i = 1; i < p->curve_count; i++) {
        const cb_pump_point *now = &p->curve[i], *before = now - 1;
        char path[CBX_PATH_SIZE];
        if (!(now->flow_m3_s > before->flow_m3_s)) {
            snprintf(path, sizeof path, "pumps.curve[%d].flow", i);
            return refuse_step(d, path, CB_VOLUME_FLOW,
                               (double[2]){before->flow_m3_s, now->flow_m3_s},
                               "must rise from point to point", error);
        }
        if (!(now->head_m <= before->head_m)) {
            snprintf(path, sizeof path, "pumps.curve[%d].head", i);
            return refuse_step(d, path, CB_LENGTH, (double[2]){before->head_m, now->head_m},
                               "must not rise with the flow: such a pump can run at two flows",
                               error);
        }
    }
    if (p->curve_count > 0 && p->variable_speed && p->lowest_speed > p->speed) {
        return cb_design_fail(d, "pumps.lowest_speed", error, "%g %% is above speed, %g %%",
                              100 * p->lowest_speed, 100 * p->speed);
    }
    return CB_OK;
}

static cb_status check_take_offs(const cb_design *d, cb_error *error)
{
    const cb_design_piping *p = &d->piping;
    char path[CBX_PATH_SIZE];
    int served = 0;
    for (int i = 0; i < p->header_size_count; i++) {
        snprintf(path, sizeof path, "piping.headers.sizes[%d].take_offs", i);
        served += p->header_size[i].take_offs;
        if (p->header_size[i].take_offs == 0) {
            return i + 1 == p->header_size_count
                       ? CB_OK
                       : cb_design_fail(d, path, error, "only the last size may serve the rest");
        }
    }
    const int circuits =
        d->field.trenches * (d->field.circuit_count > 1 ? d->field.circuit_count : 1);
    return p->header_size_count == 0 || served >= circuits
               ? CB_OK
               : cb_design_fail(d, path, error,
                                "all sizes together serve %d circuits, and the field has %d; leave "
                                "the last one out or write rest",
                                served, circuits);
}

static cb_status check_piping(const cb_design *d, cb_error *error)
{
    const cb_design_piping *p = &d->piping;
    for (int i = 1; i < p->unit_drop_count; i++) {
        const cb_flow_point *now = &p->unit_drop[i], *before = now - 1;
        char path[CBX_PATH_SIZE];
        if (!(now->flow_m3_s > before->flow_m3_s)) {
            snprintf(path, sizeof path, "piping.units[%d].flow", i);
            return refuse_step(d, path, CB_VOLUME_FLOW,
                               (double[2]){before->flow_m3_s, now->flow_m3_s},
                               "must rise from point to point", error);
        }
        if (!(now->drop_pa / now->flow_m3_s >= before->drop_pa / before->flow_m3_s)) {
            snprintf(path, sizeof path, "piping.units[%d].drop", i);
            return refuse_step(d, path, CB_PRESSURE, (double[2]){before->drop_pa, now->drop_pa},
                               "must rise in proportion to the flow or faster", error);
        }
    }
    return check_take_offs(d, error);
}

cb_status cbx_hydraulics_check(const cb_design *design, cb_error *error)
{
    const cb_status status = check_curve(design, error);
    return status == CB_OK ? check_piping(design, error) : status;
}
