// SPDX-License-Identifier: MIT
// The plant at one moment. All rates are hourly means: a unit that carries half the load it could
// runs half the hour, and backup stages deliver their share of the hour the same way, so nothing
// here switches and the integrator sees continuous functions.
//
// Interpolated loads may ask for heating and cooling in the same hour. Each unit then serves
// heating first and cooling with the run time that is left, so its run fractions add to 1 at most.
// A unit with lower levels would like to heat long and low; it then keeps back the time that the
// cooling needs.
#include "coilbed/plant.h"

#include "plant/hot_water.h"
#include "plant/mode.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>

static const double BACKUP_FADE_K = 1.0;

typedef struct unit {
    cbx_mode heating, cooling;
    double flow_share; ///< of the loop's flow
} unit;

struct cb_plant {
    int units;
    unit unit[CB_MAX_UNITS];
    double design_flow_m3_s; ///< wanted, of the whole field
    double backup_w;         ///< all stages
    double backup_limit_c;   ///< outdoors; INFINITY: none
    double emergency_share;
    bool pump_always;
    cbx_hot_water water;
};

/// What one unit meets.
typedef struct moment {
    const cbx_mode *mode;
    cbx_working at;
    cbx_dual tank_share; ///< of the unit's heat, into the tank
    cbx_dual most_w;     ///< to the house at the highest level
} moment;

/// Sums over the units as dispatch goes on.
typedef struct tally {
    cbx_dual remaining;     ///< load not yet carried [W]
    cbx_dual output;        ///< by compressors, to the house [W]
    cbx_dual power;         ///< of units, fans included [W]
    cbx_dual desuperheater; ///< [W]
    double fan_w;
    double locked; ///< sum over units of the share of time they may not run
    int units;     ///< with this mode
} tally;

// ---- preparation -----------------------------------------------------------------------------

static bool is_usable(const cb_design *design)
{
    return design && design->heat_pump_count >= 0 && design->heat_pump_count <= CB_MAX_UNITS &&
           design->backup.stage_count >= 0 && design->backup.stage_count <= CB_MAX_STAGES &&
           design->hot_water.desuperheater_count >= 0 &&
           design->hot_water.desuperheater_count <= CB_MAX_UNITS;
}

static bool counts_fit(const cb_performance_table *heating, const cb_performance_table *cooling)
{
    return heating->count >= 0 && heating->count <= CB_MAX_TABLE_POINTS && cooling->count >= 0 &&
           cooling->count <= CB_MAX_TABLE_POINTS;
}

static bool tables_fit(const cb_design_heat_pump *pump)
{
    bool fit = counts_fit(&pump->heating, &pump->cooling) && pump->level_count >= 0 &&
               pump->level_count <= CB_MAX_LEVELS;
    for (int k = 0; fit && k < pump->level_count; k++) {
        fit = counts_fit(&pump->level[k].heating, &pump->level[k].cooling);
    }
    return fit && pump->table_margin_k >= 0.0 && isfinite(pump->table_margin_k) &&
           !isnan(pump->low_lockout_c) && !isnan(pump->high_lockout_c);
}

static cb_status check_numbers(const cb_design *design, int index, cb_error *error)
{
    const cb_design_heat_pump *pump = &design->heat_pump[index];
    if (!tables_fit(pump)) {
        return cb_fail(error, CB_BAD_CALL,
                       "heat pump %d: table counts, margin or lockouts are not set", index + 1);
    }
    if (!(pump->cycling_loss >= 0.0 && pump->cycling_loss <= 0.5)) {
        return cb_fail(error, CB_BAD_INPUT, "heat pump %d: cycling loss %g; expected 0 to 0.5",
                       index + 1, pump->cycling_loss);
    }
    if (!(pump->fan_w >= 0.0 && isfinite(pump->fan_w) && !isnan(pump->lockout_recovery_k))) {
        return cb_fail(error, CB_BAD_INPUT,
                       "heat pump %d: fan %g W and lockout recovery %g K; expected 0 or more",
                       index + 1, pump->fan_w, pump->lockout_recovery_k);
    }
    return CB_OK;
}

static double mean_capacity(const cb_design_heat_pump *pump)
{
    const cb_performance_table *table = pump->heating.count > 0 ? &pump->heating : &pump->cooling;
    double sum = 0.0;
    for (int k = 0; k < table->count; k++) {
        sum += table->point[k].capacity_w / table->count;
    }
    return sum;
}

static void share_flow(cb_plant *plant, const cb_design *design)
{
    double sum = 0.0;
    for (int i = 0; i < plant->units; i++) {
        sum += mean_capacity(&design->heat_pump[i]);
    }
    for (int i = 0; i < plant->units; i++) {
        plant->unit[i].flow_share = sum > 0.0 ? mean_capacity(&design->heat_pump[i]) / sum : 0.0;
    }
    const int circuits = design->field.circuit_count > 0 ? design->field.circuit_count : 1;
    plant->design_flow_m3_s =
        design->field.trenches * circuits * design->pumps.flow_per_circuit_m3_s;
}

static cb_status prepare_units(cb_plant *plant, const cb_design *design, cb_error *error)
{
    cb_status status = CB_OK;
    plant->units = design->heat_pump_count;
    for (int i = 0; i < plant->units && status == CB_OK; i++) {
        status = check_numbers(design, i, error);
        if (status == CB_OK) {
            status = cbx_mode_prepare(&plant->unit[i].heating, design, i, false, error);
        }
        if (status == CB_OK) {
            status = cbx_mode_prepare(&plant->unit[i].cooling, design, i, true, error);
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
    cb_status status = prepare_units(plant, design, error);
    if (status == CB_OK) {
        status = cbx_hot_water_prepare(&plant->water, design, error);
    }
    if (status != CB_OK) {
        cb_plant_destroy(plant);
        return status;
    }
    share_flow(plant, design);
    const cb_design_backup *backup = &design->backup;
    for (int i = 0; i < backup->stage_count; i++) {
        plant->backup_w += backup->stage_w[i];
    }
    plant->backup_limit_c = backup->has_outdoor_limit ? backup->outdoor_limit_c : INFINITY;
    plant->emergency_share = backup->emergency_share;
    plant->pump_always = design->pumps.control == CB_PUMP_ALWAYS;
    *out = plant;
    return CB_OK;
}

cb_plant *cb_plant_destroy(cb_plant *plant)
{
    free(plant);
    return NULL;
}

// ---- one unit --------------------------------------------------------------------------------

/// False if the unit has no such mode.
static bool meet(const cb_plant *plant, int index, bool cooling, const cb_plant_point *point,
                 moment *now)
{
    const unit *of = &plant->unit[index];
    now->mode = cooling ? &of->cooling : &of->heating;
    if (now->mode->levels == 0) {
        return false;
    }
    const cbx_dual flow =
        cbx_scale(of->flow_share, cbx_of_fluid(point->loop.flow_m3_s, point->loop.flow_slope));
    const double indoor_c = cooling ? point->cooling_air_c : point->heating_air_c;
    const cbx_condition condition = {point->entering_c, flow, cbx_mode_air_c(now->mode, indoor_c)};
    cbx_mode_at(now->mode, &condition, &now->at);
    const int full = now->at.levels - 1;
    const cbx_dual capacity = now->at.capacity[full];
    const cbx_dual heat = cooling ? cbx_add(capacity, now->at.power[full]) : capacity;
    now->tank_share = plant->water.given ? cbx_desuperheater_share(&plant->water.of_unit[index],
                                                                   point->tank_c, heat)
                                         : cbx_constant(0.0);
    // In heating the tank's part is the house's loss, at every level alike.
    for (int k = 0; !cooling && now->tank_share.value > 0.0 && k <= full; k++) {
        const cbx_dual left = cbx_subtract(cbx_constant(1.0), now->tank_share);
        now->at.capacity[k] = cbx_multiply(left, now->at.capacity[k]);
    }
    now->most_w = now->at.capacity[full];
    return true;
}

/// To the tank, from what a unit gives the house and what it takes.
static cbx_dual tank_heat(const moment *now, cbx_dual output, cbx_dual power)
{
    if (now->mode->cooling) {
        return cbx_multiply(now->tank_share, cbx_add(output, power));
    }
    const cbx_dual left = cbx_subtract(cbx_constant(1.0), now->tank_share);
    return cbx_multiply(cbx_divide(now->tank_share, left), output);
}

/// Lets one unit carry what it can of the remaining load in the time it has; returns its run
/// fraction.
static cbx_dual serve(const moment *now, cbx_dual time, tally *sum)
{
    if (!(sum->remaining.value > 0.0 && time.value > 0.0)) {
        return cbx_constant(0.0);
    }
    const cbx_dual most = cbx_multiply(time, now->most_w);
    const bool enough = most.value >= sum->remaining.value;
    const cbx_dual output = enough ? sum->remaining : most;
    const cbx_dual rate = enough ? cbx_divide(output, time) : now->most_w;
    const cbx_pace pace = cbx_mode_pace(now->mode, &now->at, rate);
    const cbx_dual run = cbx_multiply(time, pace.run);
    const cbx_dual power = cbx_multiply(run, pace.power);

    sum->remaining = enough ? cbx_constant(0.0) : cbx_subtract(sum->remaining, output);
    sum->output = cbx_add(sum->output, output);
    sum->power = cbx_add(sum->power, power);
    sum->desuperheater = cbx_add(sum->desuperheater, tank_heat(now, output, power));
    sum->fan_w += run.value * now->mode->fan_w;
    return run;
}

/// Time that a unit with several levels leaves for cooling, where one level would leave it anyway.
static cbx_dual kept_back(const moment *warm, const moment *cool, const tally *heating,
                          const tally *cooling)
{
    if (warm->at.levels < 2 || !(cooling->remaining.value > 0.0)) {
        return cbx_constant(0.0);
    }
    const cbx_dual heat = cbx_least(warm->at.share, cbx_divide(heating->remaining, warm->most_w));
    const cbx_dual cold = cbx_least(cool->at.share, cbx_divide(cooling->remaining, cool->most_w));
    return cbx_least(cbx_subtract(cbx_constant(1.0), heat), cold);
}

static void count_locked(const moment *now, tally *sum)
{
    sum->locked += 1.0 - now->at.share.value;
    sum->units++;
}

/// Run fraction of one unit, both modes together.
static cbx_dual run_unit(const cb_plant *plant, int index, const cb_plant_point *point,
                         tally *heating, tally *cooling)
{
    moment warm, cool;
    const cbx_dual whole = cbx_constant(1.0);
    const bool heats = meet(plant, index, false, point, &warm);
    const bool cools = meet(plant, index, true, point, &cool);
    cbx_dual run = cbx_constant(0.0);
    if (heats) {
        cbx_dual time = warm.at.share;
        if (cools) {
            time = cbx_least(time, cbx_subtract(whole, kept_back(&warm, &cool, heating, cooling)));
        }
        run = serve(&warm, time, heating);
        count_locked(&warm, heating);
    }
    if (cools) {
        const cbx_dual left = cbx_subtract(whole, run);
        run = cbx_add(run, serve(&cool, cbx_multiply(cool.at.share, left), cooling));
    }
    return run;
}

/// Returns the largest run fraction of the units, both modes together.
static cbx_dual dispatch(const cb_plant *plant, const cb_plant_point *point, tally *heating,
                         tally *cooling)
{
    cbx_dual longest = cbx_constant(0.0);
    for (int i = 0; i < plant->units; i++) {
        const cbx_dual run = run_unit(plant, i, point, heating, cooling);
        if (run.value > longest.value) {
            longest = run;
        }
    }
    return longest;
}

// ---- the loop's side -------------------------------------------------------------------------

/// Into the loop, without pumps.
static cbx_dual loop_heat(const tally *heating, const tally *cooling)
{
    const cbx_dual taken = cbx_subtract(heating->output, heating->power);
    const cbx_dual rejected = cbx_add(cooling->output, cooling->power);
    const cbx_dual tank = cbx_add(heating->desuperheater, cooling->desuperheater);
    return cbx_subtract(cbx_subtract(rejected, taken), tank);
}

/// Heat to the loop per unit of run time that a unit tends to when the load, or its share of the
/// time, vanishes.
static cbx_dual vanishing_heat(const moment *now, double load_w)
{
    const bool at_ease = now->at.share.value * now->most_w.value > load_w;
    const cbx_pace pace =
        cbx_mode_pace(now->mode, &now->at, at_ease ? cbx_constant(0.0) : now->most_w);
    const tally none = {.units = 0};
    const tally lead = {.output = pace.capacity,
                        .power = pace.power,
                        .desuperheater = tank_heat(now, pace.capacity, pace.power)};
    return now->mode->cooling ? loop_heat(&none, &lead) : loop_heat(&lead, &none);
}

/// That of the first unit with the mode, the pump's heat included.
static cbx_dual lead_heat(const cb_plant *plant, bool cooling, const cb_plant_point *point,
                          cbx_dual pump_heat)
{
    const double load_w = cooling ? point->cooling_load_w : point->heating_load_w;
    for (int i = 0; i < plant->units; i++) {
        moment now;
        if (meet(plant, i, cooling, point, &now)) {
            return cbx_add(vanishing_heat(&now, load_w), pump_heat);
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
    return cbx_divide(lead_heat(plant, cooling, point, pump_heat), flow);
}

// ---- the whole plant -------------------------------------------------------------------------

/// What the stages may give: all below the outdoor limit; above it the emergency share as far as
/// units are locked out.
static double backup_at_hand(const cb_plant *plant, double outdoor_c, const tally *heating)
{
    if (isinf(plant->backup_limit_c)) {
        return plant->backup_w;
    }
    const double allowed = cbx_fade(plant->backup_limit_c - outdoor_c, BACKUP_FADE_K, -1.0).value;
    const double locked = heating->units > 0 ? heating->locked / heating->units : 1.0;
    return plant->backup_w * (allowed + (1.0 - allowed) * plant->emergency_share * locked);
}

void cb_plant_evaluate(const cb_plant *plant, const cb_plant_point *point, cb_plant_rates *out)
{
    tally heating = {.remaining = cbx_constant(point->heating_load_w)};
    tally cooling = {.remaining = cbx_constant(point->cooling_load_w)};
    const cbx_dual longest_run = dispatch(plant, point, &heating, &cooling);

    const cb_loop_point *loop = &point->loop;
    const cbx_dual pump_fraction = plant->pump_always ? cbx_constant(1.0) : longest_run;
    const cbx_dual pump_heat =
        cbx_multiply(pump_fraction, cbx_of_fluid(loop->pump_heat_w, loop->pump_heat_slope));
    const cbx_dual heat = cbx_add(loop_heat(&heating, &cooling), pump_heat);
    const cbx_dual rise = loop_rise(plant, point, heat, pump_fraction);
    const double backup_w =
        fmin(heating.remaining.value, backup_at_hand(plant, point->outdoor_c, &heating));
    const double fan_w = heating.fan_w + cooling.fan_w;

    *out = (cb_plant_rates){
        .heating_output_w = heating.output.value,
        .cooling_output_w = cooling.output.value,
        .compressor_power_w = heating.power.value + cooling.power.value - fan_w,
        .fan_power_w = fan_w,
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
    if (plant->water.given) {
        cbx_hot_water_at(&plant->water, point,
                         cbx_add(heating.desuperheater, cooling.desuperheater), out);
    }
}

// ---- questions -------------------------------------------------------------------------------

bool cb_plant_unit_air(const cb_plant *plant, int unit_index, bool cooling, double indoor_c,
                       double *air_c)
{
    if (unit_index < 0 || unit_index >= plant->units) {
        return false;
    }
    const unit *of = &plant->unit[unit_index];
    const cbx_mode *mode = cooling ? &of->cooling : &of->heating;
    const bool has = cbx_mode_has_air(mode);
    if (has) {
        *air_c = cbx_mode_air_c(mode, indoor_c);
    }
    return has;
}

double cb_plant_tank_capacity_j_k(const cb_plant *plant)
{
    return plant->water.capacity_j_k;
}

double cb_plant_tank_start_c(const cb_plant *plant)
{
    return plant->water.set_point_c;
}

double cb_plant_draw_m3_s(const cb_plant *plant, double hour_of_day)
{
    const int hour = (int)fmax(0.0, fmin(floor(hour_of_day), CB_DAY_HOURS - 1));
    return plant->water.draw_m3_s[hour];
}

void cb_plant_unit_at(const cb_plant *plant, int unit_index, bool cooling, double entering_c,
                      double *capacity_w, double *power_w)
{
    *capacity_w = *power_w = 0.0;
    if (unit_index < 0 || unit_index >= plant->units) {
        return;
    }
    const unit *of = &plant->unit[unit_index];
    const cbx_mode *mode = cooling ? &of->cooling : &of->heating;
    if (mode->levels > 0) {
        cbx_working at;
        const cbx_condition condition = {entering_c,
                                         cbx_constant(of->flow_share * plant->design_flow_m3_s),
                                         cbx_mode_air_c(mode, NAN)};
        cbx_mode_at(mode, &condition, &at);
        *capacity_w = at.share.value * at.capacity[at.levels - 1].value;
        *power_w = at.share.value * at.power[at.levels - 1].value;
    }
}
