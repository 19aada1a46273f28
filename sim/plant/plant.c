// SPDX-License-Identifier: MIT
// The plant at one moment. All rates are hourly means: a unit that carries half the load it could
// runs half the hour, and backup stages deliver their share of the hour the same way, so nothing
// here switches and the integrator sees continuous functions.
//
// Interpolated loads may ask for heating and cooling in the same hour. Each unit then serves
// heating first and cooling with the run time that is left, so its run fractions add to 1 at most.
#include "coilbed/plant.h"

#include "plant/curve.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>

struct cb_plant {
    int units;
    cbx_curve heating[CB_MAX_UNITS], cooling[CB_MAX_UNITS];
    double backup_w; ///< all stages
    bool pump_always;
};

/// Sums over the units as dispatch goes on.
typedef struct tally {
    cbx_dual remaining; ///< load not yet carried [W]
    cbx_dual output;    ///< by compressors [W]
    cbx_dual power;     ///< of compressors [W]
} tally;

static bool is_usable(const cb_design *design)
{
    return design && design->heat_pump_count >= 0 && design->heat_pump_count <= CB_MAX_UNITS &&
           design->backup.stage_count >= 0 && design->backup.stage_count <= CB_MAX_STAGES;
}

static bool tables_fit(const cb_design_heat_pump *pump)
{
    return pump->heating.count >= 0 && pump->heating.count <= CB_MAX_POINTS &&
           pump->cooling.count >= 0 && pump->cooling.count <= CB_MAX_POINTS &&
           pump->table_margin_k >= 0.0 && isfinite(pump->table_margin_k) &&
           !isnan(pump->low_lockout_c) && !isnan(pump->high_lockout_c);
}

static cb_status prepare_units(cb_plant *plant, const cb_design *design, cb_error *error)
{
    cb_status status = CB_OK;
    plant->units = design->heat_pump_count;
    for (int i = 0; i < plant->units && status == CB_OK; i++) {
        if (!tables_fit(&design->heat_pump[i])) {
            return cb_fail(error, CB_BAD_CALL,
                           "heat pump %d: table counts, margin or lockouts are not set", i + 1);
        }
        status = cbx_curve_prepare(&plant->heating[i], design, i, false, error);
        if (status == CB_OK) {
            status = cbx_curve_prepare(&plant->cooling[i], design, i, true, error);
        }
    }
    return status;
}

cb_status cb_plant_create(cb_plant **out, const cb_design *design, cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "cb_plant_create needs a place for its result");
    }
    *out = NULL;
    if (!is_usable(design)) {
        return cb_fail(error, CB_BAD_CALL, "cb_plant_create needs a whole design");
    }
    cb_plant *plant = calloc(1, sizeof *plant);
    if (!plant) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the heat pumps");
    }
    const cb_status status = prepare_units(plant, design, error);
    if (status != CB_OK) {
        cb_plant_destroy(plant);
        return status;
    }
    for (int i = 0; i < design->backup.stage_count; i++) {
        plant->backup_w += design->backup.stage_w[i];
    }
    plant->pump_always = design->pumps.control == CB_PUMP_ALWAYS;
    *out = plant;
    return CB_OK;
}

cb_plant *cb_plant_destroy(cb_plant *plant)
{
    free(plant);
    return NULL;
}

/// Lets one unit carry what it can of the remaining load in the time it has; returns its run
/// fraction.
static cbx_dual serve(const cbx_curve *curve, double entering_c, cbx_dual free_time, tally *sum)
{
    if (curve->count == 0 || !(sum->remaining.value > 0.0)) {
        return cbx_constant(0.0);
    }
    cbx_dual capacity, power;
    cbx_curve_at(curve, entering_c, &capacity, &power);
    const cbx_dual time = cbx_multiply(cbx_curve_share(curve, entering_c), free_time);
    const cbx_dual most = cbx_multiply(time, capacity);
    const bool enough = most.value >= sum->remaining.value;
    const cbx_dual output = enough ? sum->remaining : most;
    const cbx_dual run = enough ? cbx_divide(output, capacity) : time;

    sum->remaining = enough ? cbx_constant(0.0) : cbx_subtract(sum->remaining, output);
    sum->output = cbx_add(sum->output, output);
    sum->power = cbx_add(sum->power, cbx_multiply(run, power));
    return run;
}

/// Returns the largest run fraction of the units, both modes together.
static cbx_dual dispatch(const cb_plant *plant, double entering_c, tally *heating, tally *cooling)
{
    cbx_dual longest = cbx_constant(0.0);
    for (int i = 0; i < plant->units; i++) {
        const cbx_dual warm = serve(&plant->heating[i], entering_c, cbx_constant(1.0), heating);
        const cbx_dual left = cbx_subtract(cbx_constant(1.0), warm);
        const cbx_dual run = cbx_add(warm, serve(&plant->cooling[i], entering_c, left, cooling));
        if (run.value > longest.value) {
            longest = run;
        }
    }
    return longest;
}

/// Heat to the loop, its pump's included, per unit of run time of the first unit with that mode:
/// what heat over run fraction tends to when a load, or a unit's share, vanishes.
static cbx_dual lead_heat(const cb_plant *plant, bool cooling, double entering_c,
                          cbx_dual pump_heat)
{
    for (int i = 0; i < plant->units; i++) {
        const cbx_curve *curve = cooling ? &plant->cooling[i] : &plant->heating[i];
        if (curve->count > 0) {
            cbx_dual capacity, power;
            cbx_curve_at(curve, entering_c, &capacity, &power);
            const cbx_dual heat =
                cooling ? cbx_add(capacity, power) : cbx_subtract(power, capacity);
            return cbx_add(heat, pump_heat);
        }
    }
    return cbx_constant(0.0);
}

static cbx_dual loop_rise(const cb_plant *plant, const cb_plant_point *point, cbx_dual heat,
                          cbx_dual pump_fraction)
{
    const cb_loop_point *loop = &point->loop;
    const cbx_dual flow = cbx_of_fluid(loop->capacity_flow_w_k, loop->capacity_flow_slope);
    const cbx_dual pump_heat = cbx_of_fluid(loop->pump_heat_w, loop->pump_heat_slope);
    // Below this a quotient of two tiny numbers would lose its digits.
    if (pump_fraction.value > DBL_MIN / DBL_EPSILON) {
        return cbx_divide(cbx_divide(heat, pump_fraction), flow);
    }
    if (point->heating_load_w == 0.0 && point->cooling_load_w == 0.0) {
        return cbx_constant(0.0);
    }
    const bool cooling = point->cooling_load_w > point->heating_load_w;
    return cbx_divide(lead_heat(plant, cooling, point->entering_c, pump_heat), flow);
}

void cb_plant_evaluate(const cb_plant *plant, const cb_plant_point *point, cb_plant_rates *out)
{
    tally heating = {.remaining = cbx_constant(point->heating_load_w)};
    tally cooling = {.remaining = cbx_constant(point->cooling_load_w)};
    const cbx_dual longest_run = dispatch(plant, point->entering_c, &heating, &cooling);

    const cb_loop_point *loop = &point->loop;
    const cbx_dual pump_fraction = plant->pump_always ? cbx_constant(1.0) : longest_run;
    const cbx_dual pump_heat =
        cbx_multiply(pump_fraction, cbx_of_fluid(loop->pump_heat_w, loop->pump_heat_slope));
    const cbx_dual taken = cbx_subtract(heating.output, heating.power);
    const cbx_dual rejected = cbx_add(cooling.output, cooling.power);
    const cbx_dual heat = cbx_add(cbx_subtract(rejected, taken), pump_heat);
    const cbx_dual rise = loop_rise(plant, point, heat, pump_fraction);
    const double backup_w = fmin(heating.remaining.value, plant->backup_w);

    *out = (cb_plant_rates){
        .heating_output_w = heating.output.value,
        .cooling_output_w = cooling.output.value,
        .compressor_power_w = heating.power.value + cooling.power.value,
        .pump_power_w = loop->pump_power_w * pump_fraction.value,
        .backup_power_w = backup_w,
        .unmet_load_w = heating.remaining.value - backup_w + cooling.remaining.value,
        .heat_to_loop_w = heat.value,
        .pump_fraction = pump_fraction.value,
        .loop_rise_k = rise.value,
        .heat_to_loop_by = heat.by,
        .pump_fraction_by = pump_fraction.by,
        .loop_rise_by = rise.by,
    };
}

double cb_plant_tank_capacity_j_k(const cb_plant *plant)
{
    (void)plant;
    return 0.0;
}

void cb_plant_unit_at(const cb_plant *plant, int unit, bool cooling, double entering_c,
                      double *capacity_w, double *power_w)
{
    *capacity_w = *power_w = 0.0;
    if (unit < 0 || unit >= plant->units) {
        return;
    }
    const cbx_curve *curve = cooling ? &plant->cooling[unit] : &plant->heating[unit];
    if (curve->count > 0) {
        cbx_dual capacity, power;
        cbx_curve_at(curve, entering_c, &capacity, &power);
        const double share = cbx_curve_share(curve, entering_c).value;
        *capacity_w = share * capacity.value;
        *power_w = share * power.value;
    }
}
