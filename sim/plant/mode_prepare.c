// SPDX-License-Identifier: MIT
#include "plant/mode.h"

#include <math.h>
#include <stdio.h>

enum { PATH_SIZE = 96 };

static const double USUAL_RECOVERY_K = 0.5;
// Levels nearer to each other than this would make a unit jump from one to the next.
static const double LEAST_STEP = 0.01;
static const double SAMPLE_K = 0.25;

static double factor(double given)
{
    return given > 0.0 ? given : 1.0;
}

static bool has_flow(const cb_performance_point *point)
{
    return point->flow_m3_s > 0.0;
}

static bool same_flow(const cb_performance_point *a, const cb_performance_point *b)
{
    return has_flow(a) == has_flow(b) &&
           (!has_flow(a) || fabs(a->flow_m3_s - b->flow_m3_s) <= 1e-9 * a->flow_m3_s);
}

/// One group of equal flow, from point `first` on, corrected by the unit's factors.
static int take_group(cbx_curve_source *from, const cb_performance_table *table, int first)
{
    const cb_unit_correction *by = &from->design->heat_pump[from->unit].correction;
    const double capacity = factor(from->cooling ? by->cooling_capacity : by->heating_capacity);
    const double power = factor(from->cooling ? by->cooling_power : by->heating_power);
    from->first = first;
    from->count = 0;
    int end = first;
    for (; end < table->count && same_flow(&table->point[first], &table->point[end]); end++) {
        if (from->count < CB_MAX_POINTS) {
            cb_performance_point *point = &from->point[from->count++];
            *point = table->point[end];
            point->capacity_w *= capacity;
            point->power_w *= power;
        }
    }
    return end;
}

static cb_status prepare_level(cbx_level *level, cbx_curve_source *from,
                               const cb_performance_table *table, cb_error *error)
{
    cb_status status = CB_OK;
    for (int first = 0, end; status == CB_OK && first < table->count; first = end) {
        end = take_group(from, table, first);
        const cb_performance_point *point = &table->point[first];
        if (end - first > CB_MAX_POINTS || level->flows == CB_MAX_FLOWS) {
            return cb_design_fail(from->design, from->path, error,
                                  "more than %d points of one flow, or more than %d flows",
                                  (int)CB_MAX_POINTS, (int)CB_MAX_FLOWS);
        }
        if (first > 0 && !(has_flow(&point[-1]) && point->flow_m3_s > point[-1].flow_m3_s)) {
            return cb_design_fail(from->design, from->path, error,
                                  "point %d: every point of a table has a flow or none, and flow "
                                  "must rise from group to group",
                                  first + 1);
        }
        level->flow_m3_s[level->flows] = point->flow_m3_s;
        status = cbx_curve_prepare(&level->curve[level->flows++], from, error);
    }
    return status;
}

// ---- levels against each other ---------------------------------------------------------------

/// What is wrong at one entering water and flow.
static cb_status check_at(const cbx_mode *mode, const cbx_curve_source *from, double entering_c,
                          double flow_m3_s, cb_error *error)
{
    cbx_working at;
    cbx_mode_at(mode, entering_c, cbx_constant(flow_m3_s), &at);
    char path[PATH_SIZE];
    for (int k = 0; k < at.levels; k++) {
        const double capacity_w = at.capacity[k].value, power_w = at.power[k].value;
        if (!(power_w > mode->fan_w && capacity_w > 0.0)) {
            snprintf(path, sizeof path, "heat_pumps[%d].fan", from->unit);
            return cb_design_fail(from->design, path, error,
                                  "%g W leave nothing of the %g W of power or of the cooling with "
                                  "water of %g degC",
                                  mode->fan_w, power_w, entering_c);
        }
        if (k > 0 && !(capacity_w >= (1.0 + LEAST_STEP) * at.capacity[k - 1].value)) {
            snprintf(path, sizeof path, "heat_pumps[%d].part_load[%d]", from->unit, k - 1);
            return cb_design_fail(
                from->design, path, error,
                "%g W of %s with water of %g degC, where the level above it gives "
                "%g W; expected each level to give at least 1 %% more than the "
                "one below",
                at.capacity[k - 1].value, mode->cooling ? "cooling" : "heating", entering_c,
                capacity_w);
        }
    }
    return CB_OK;
}

/// Capacity is straight between flows, so the flows of all tables are enough.
static cb_status check_span(const cbx_mode *mode, const cbx_curve_source *from, double beyond_k,
                            cb_error *error)
{
    double low_c = INFINITY, high_c = -INFINITY;
    for (int k = 0; k < mode->levels; k++) {
        for (int i = 0; i < mode->level[k].flows; i++) {
            const cbx_monotone *x = &mode->level[k].curve[i].capacity;
            low_c = fmin(low_c, x->x[0] - beyond_k);
            high_c = fmax(high_c, x->x[x->count - 1] + beyond_k);
        }
    }
    cb_status status = CB_OK;
    const int steps = (int)((high_c - low_c) / SAMPLE_K) + 1;
    for (int k = 0; k < mode->levels; k++) {
        for (int i = 0; i < mode->level[k].flows; i++) {
            for (int n = 0; status == CB_OK && n <= steps; n++) {
                const double entering_c = fmin(low_c + n * SAMPLE_K, high_c);
                status = check_at(mode, from, entering_c, mode->level[k].flow_m3_s[i], error);
            }
        }
    }
    return status;
}

/// First within the tables, so that a refusal speaks of water that they hold.
static cb_status check_levels(const cbx_mode *mode, const cbx_curve_source *from, cb_error *error)
{
    const cb_status status = check_span(mode, from, 0.0, error);
    return status == CB_OK ? check_span(mode, from, from->margin_k + 1.0, error) : status;
}

// ---- a whole mode ----------------------------------------------------------------------------

static const cb_performance_table *table_of(const cb_design_heat_pump *pump, int level,
                                            bool cooling)
{
    if (level == pump->level_count) {
        return cooling ? &pump->cooling : &pump->heating;
    }
    return cooling ? &pump->level[level].cooling : &pump->level[level].heating;
}

static cb_status check_presence(const cb_design *design, int unit, int level, bool cooling,
                                cb_error *error)
{
    const cb_design_heat_pump *pump = &design->heat_pump[unit];
    const bool full = table_of(pump, pump->level_count, cooling)->count > 0;
    if (full == (table_of(pump, level, cooling)->count > 0)) {
        return CB_OK;
    }
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "heat_pumps[%d].part_load[%d]", unit, level);
    const char *mode = cooling ? "cooling" : "heating";
    return cb_design_fail(design, path, error,
                          full ? "%s is missing: at full load the unit has it"
                               : "%s is given, but at full load the unit has none",
                          mode);
}

static void set_path(char path[PATH_SIZE], const cb_design_heat_pump *pump, int unit, int level,
                     bool cooling)
{
    const char *mode = cooling ? "cooling" : "heating";
    if (level < pump->level_count) {
        snprintf(path, PATH_SIZE, "heat_pumps[%d].part_load[%d].%s", unit, level, mode);
    } else {
        snprintf(path, PATH_SIZE, "heat_pumps[%d].%s", unit, mode);
    }
}

cb_status cbx_mode_prepare(cbx_mode *mode, const cb_design *design, int unit, bool cooling,
                           cb_error *error)
{
    const cb_design_heat_pump *pump = &design->heat_pump[unit];
    *mode = (cbx_mode){
        .cooling = cooling,
        .low_lockout_c = cooling ? -INFINITY : pump->low_lockout_c,
        .high_lockout_c = cooling ? pump->high_lockout_c : INFINITY,
        .recovery_k = pump->lockout_recovery_k > 0.0 ? pump->lockout_recovery_k : USUAL_RECOVERY_K,
        .cycling_loss = pump->cycling_loss,
        .fan_w = pump->fan_w,
        .added_w = pump->fan_beside ? pump->fan_w : 0.0,
    };
    char path[PATH_SIZE];
    cbx_curve_source from = {.design = design,
                             .path = path,
                             .unit = unit,
                             .cooling = cooling,
                             .margin_k = pump->table_margin_k};
    cb_status status = CB_OK;
    for (int k = 0; k <= pump->level_count && status == CB_OK; k++) {
        status = check_presence(design, unit, k, cooling, error);
        const cb_performance_table *table = table_of(pump, k, cooling);
        if (status == CB_OK && table->count > 0) {
            set_path(path, pump, unit, k, cooling);
            status = prepare_level(&mode->level[mode->levels++], &from, table, error);
        }
    }
    return status == CB_OK ? check_levels(mode, &from, error) : status;
}
