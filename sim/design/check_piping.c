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

static cb_status check_curve(const cb_design *d, cb_error *error)
{
    const cb_design_pumps *p = &d->pumps;
    if (p->curve_count == 1) {
        return cb_design_fail(d, "pumps.curve", error,
                              "one point is no curve, two or more are "
                              "wanted");
    }
    for (int i = 1; i < p->curve_count; i++) {
        const bool flow = p->curve[i].flow_m3_s > p->curve[i - 1].flow_m3_s;
        if (!flow || !(p->curve[i].head_m <= p->curve[i - 1].head_m)) {
            char path[CBX_PATH_SIZE];
            snprintf(path, sizeof path, "pumps.curve[%d].%s", i, flow ? "head" : "flow");
            return cb_design_fail(d, path, error,
                                  flow ? "must not rise with the flow: such a pump can run at two "
                                         "flows"
                                       : "must rise from point to point");
        }
    }
    if (p->curve_count > 0 && p->variable_speed && p->lowest_speed > p->speed) {
        return cb_design_fail(d, "pumps.lowest_speed", error, "%g %% is above speed, %g %%",
                              100 * p->lowest_speed, 100 * p->speed);
    }
    return CB_OK;
}

static cb_status check_piping(const cb_design *d, cb_error *error)
{
    const cb_design_piping *p = &d->piping;
    for (int i = 1; i < p->unit_drop_count; i++) {
        const cb_flow_point *now = &p->unit_drop[i], *before = now - 1;
        const bool flow = now->flow_m3_s > before->flow_m3_s;
        if (!flow || !(now->drop_pa / now->flow_m3_s >= before->drop_pa / before->flow_m3_s)) {
            char path[CBX_PATH_SIZE];
            snprintf(path, sizeof path, "piping.units[%d].%s", i, flow ? "drop" : "flow");
            return cb_design_fail(d, path, error,
                                  flow ? "must rise in proportion to the flow or faster"
                                       : "must rise from point to point");
        }
    }
    for (int i = 0; i + 1 < p->header_size_count; i++) {
        if (p->header_size[i].take_offs == 0) {
            char path[CBX_PATH_SIZE];
            snprintf(path, sizeof path, "piping.headers.sizes[%d].take_offs", i);
            return cb_design_fail(d, path, error, "only the last size may serve the rest");
        }
    }
    return CB_OK;
}

cb_status cbx_hydraulics_check(const cb_design *design, cb_error *error)
{
    const cb_status status = check_curve(design, error);
    return status == CB_OK ? check_piping(design, error) : status;
}
