// SPDX-License-Identifier: MIT
#include "plant/mode.h"

#include <math.h>
#include <stdio.h>

enum { PATH_SIZE = 96 };

static const double USUAL_RECOVERY_K = 0.5;
// Common practice, no source: 70 and 76 degF, as the set points of an envelope where none are said.
static const double USUAL_HEATING_C = 21.111111111111111, USUAL_COOLING_C = 24.444444444444444;
static const double USUAL_HUMIDITY = 0.5;
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

static bool has_air(const cb_performance_point *point)
{
    return point->air_c > 0.0;
}

static bool same_flow(const cb_performance_point *a, const cb_performance_point *b)
{
    return has_flow(a) == has_flow(b) &&
           (!has_flow(a) || fabs(a->flow_m3_s - b->flow_m3_s) <= 1e-9 * a->flow_m3_s);
}

static bool same_air(const cb_performance_point *a, const cb_performance_point *b)
{
    return has_air(a) == has_air(b) && (!has_air(a) || fabs(a->air_c - b->air_c) <= 1e-6);
}

/// One group of equal flow and air, from point `first` on, corrected by the unit's factors.
static int take_group(cbx_curve_source *from, const cb_performance_table *table, int first)
{
    const cb_unit_correction *by = &from->design->heat_pump[from->unit].correction;
    const double capacity = factor(from->cooling ? by->cooling_capacity : by->heating_capacity);
    const double power = factor(from->cooling ? by->cooling_power : by->heating_power);
    from->first = first;
    from->count = 0;
    int end = first;
    const cb_performance_point *lead = &table->point[first];
    for (; end < table->count && same_flow(lead, &table->point[end]) &&
           same_air(lead, &table->point[end]);
         end++) {
        if (from->count < CB_MAX_POINTS) {
            cb_performance_point *point = &from->point[from->count++];
            *point = table->point[end];
            point->capacity_w *= capacity;
            point->power_w *= power;
        }
    }
    return end;
}

/// What keeps the group that starts at this point from following the one before it; NULL: nothing.
static const char *order_fault(const cb_performance_point *point, bool next_air)
{
    if (has_flow(point) != has_flow(point - 1) || has_air(point) != has_air(point - 1)) {
        return "every point of a table has a flow or none, and an entering air or none";
    }
    if (next_air && !(point->air_c > point[-1].air_c)) {
        return "entering air must rise from group to group";
    }
    if (!next_air && !(point->flow_m3_s > point[-1].flow_m3_s)) {
        return "flow must rise from group to group";
    }
    return NULL;
}

/// Opens the sheet that the group starting at point `first` belongs to; NULL and a message if none.
static cbx_sheet *sheet_for(cbx_level *level, const cbx_curve_source *from,
                            const cb_performance_table *table, int first, cb_error *error)
{
    const cb_performance_point *point = &table->point[first];
    const bool next_air = first == 0 || !same_air(point, point - 1);
    const char *fault = first > 0 ? order_fault(point, next_air) : NULL;
    if (fault) {
        cb_design_fail(from->design, from->path, error, "point %d: %s", first + 1, fault);
        return NULL;
    }
    if (next_air && level->airs == CB_MAX_AIRS) {
        cb_design_fail(from->design, from->path, error, "more than %d entering airs",
                       (int)CB_MAX_AIRS);
        return NULL;
    }
    if (next_air) {
        level->air_c[level->airs++] = point->air_c;
    }
    return &level->sheet[level->airs - 1];
}

static cb_status prepare_level(cbx_level *level, cbx_curve_source *from,
                               const cb_performance_table *table, cb_error *error)
{
    cb_status status = CB_OK;
    for (int first = 0, end; status == CB_OK && first < table->count; first = end) {
        end = take_group(from, table, first);
        cbx_sheet *sheet = sheet_for(level, from, table, first, error);
        if (!sheet) {
            return CB_BAD_INPUT;
        }
        if (end - first > CB_MAX_POINTS || sheet->flows == CB_MAX_FLOWS) {
            return cb_design_fail(from->design, from->path, error,
                                  "more than %d points of one flow, or more than %d flows",
                                  (int)CB_MAX_POINTS, (int)CB_MAX_FLOWS);
        }
        sheet->flow_m3_s[sheet->flows] = table->point[first].flow_m3_s;
        status = cbx_curve_prepare(&sheet->curve[sheet->flows++], from, error);
    }
    if (status == CB_OK && level->airs == 1 && has_air(&table->point[0])) {
        return cb_design_fail(from->design, from->path, error,
                              "one entering air is no table over it, two or more are wanted, or "
                              "none");
    }
    return status;
}

// ---- levels against each other ---------------------------------------------------------------

/// What is wrong at one entering water and flow.
static cb_status check_at(const cbx_mode *mode, const cbx_curve_source *from,
                          const cbx_condition *condition, cb_error *error)
{
    cbx_working at;
    cbx_mode_at(mode, condition, &at);
    char path[PATH_SIZE];
    for (int k = 0; k < at.levels; k++) {
        const double capacity_w = at.capacity[k].value, power_w = at.power[k].value;
        if (!(power_w > mode->fan_w && capacity_w > 0.0)) {
            snprintf(path, sizeof path, "heat_pumps[%d].fan", from->unit);
            return cb_design_fail(from->design, path, error,
                                  "%g W leave nothing of the %g W of power or of the cooling with "
                                  "water of %g degC",
                                  mode->fan_w, power_w, condition->entering_c);
        }
        if (k > 0 && !(capacity_w >= (1.0 + LEAST_STEP) * at.capacity[k - 1].value)) {
            snprintf(path, sizeof path, "heat_pumps[%d].part_load[%d]", from->unit, k - 1);
            return cb_design_fail(
                from->design, path, error,
                "%g W of %s with water of %g degC, where the level above it gives "
                "%g W; expected each level to give at least 1 %% more than the "
                "one below",
                at.capacity[k - 1].value, mode->cooling ? "cooling" : "heating",
                condition->entering_c, capacity_w);
        }
    }
    return CB_OK;
}

/// What the tables of one mode are given for, all together.
typedef struct grid {
    int flows, airs;
    double flow_m3_s[CBX_LEVELS * CB_MAX_AIRS * CB_MAX_FLOWS], air_c[CBX_LEVELS * CB_MAX_AIRS];
    double low_c, high_c; ///< entering water
} grid;

static void add_once(double *list, int *count, double value)
{
    for (int i = 0; i < *count; i++) {
        if (list[i] == value) {
            return;
        }
    }
    list[(*count)++] = value;
}

static void add_sheet(grid *all, const cbx_sheet *sheet)
{
    for (int i = 0; i < sheet->flows; i++) {
        const cbx_monotone *x = &sheet->curve[i].capacity;
        add_once(all->flow_m3_s, &all->flows, sheet->flows > 1 ? sheet->flow_m3_s[i] : 0.0);
        all->low_c = fmin(all->low_c, x->x[0]);
        all->high_c = fmax(all->high_c, x->x[x->count - 1]);
    }
}

static grid grid_of(const cbx_mode *mode)
{
    grid all = {.low_c = INFINITY, .high_c = -INFINITY};
    for (int k = 0; k < mode->levels; k++) {
        const cbx_level *level = &mode->level[k];
        for (int a = 0; a < level->airs; a++) {
            add_once(all.air_c, &all.airs, level->airs > 1 ? level->air_c[a] : 0.0);
            add_sheet(&all, &level->sheet[a]);
        }
    }
    return all;
}

/// Capacity is straight between flows and between airs, so those of all tables are enough.
static cb_status check_span(const cbx_mode *mode, const cbx_curve_source *from, double beyond_k,
                            cb_error *error)
{
    const grid all = grid_of(mode);
    const double low_c = all.low_c - beyond_k, high_c = all.high_c + beyond_k;
    cb_status status = CB_OK;
    const int steps = (int)((high_c - low_c) / SAMPLE_K) + 1;
    for (int i = 0; i < all.flows * all.airs; i++) {
        cbx_condition at = {.flow_m3_s = cbx_constant(all.flow_m3_s[i % all.flows]),
                            .air_c = all.air_c[i / all.flows]};
        for (int n = 0; status == CB_OK && n <= steps; n++) {
            at.entering_c = fmin(low_c + n * SAMPLE_K, high_c);
            status = check_at(mode, from, &at, error);
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

static double usual_air_c(const cb_design *design, double fixed_c, bool cooling)
{
    if (fixed_c > 0.0) {
        return fixed_c;
    }
    const cb_envelope *house = &design->house.envelope;
    if (design->house.model == CB_HOUSE_ENVELOPE) {
        return cooling ? house->cooling_day_c : house->heating_day_c;
    }
    return cooling ? USUAL_COOLING_C : USUAL_HEATING_C;
}

static void set_air(cbx_mode *mode, const cb_design *design, const cb_design_heat_pump *pump)
{
    const double fixed_c = mode->cooling ? pump->cooling_air_c : pump->heating_air_c;
    mode->air_is_fixed = fixed_c > 0.0;
    mode->usual_air_c = usual_air_c(design, fixed_c, mode->cooling);
    mode->wet_bulb = mode->cooling && !pump->air_dry_bulb;
    mode->humidity = pump->air_humidity > 0.0 ? pump->air_humidity : USUAL_HUMIDITY;
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
    set_air(mode, design, pump);
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
