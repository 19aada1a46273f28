// SPDX-License-Identifier: MIT
#include "design/memory.h"
#include "design/read.h"

#include <math.h>
#include <stdio.h>

// 3 ft and 36 in differ in the last bit.
static const double SLACK = 1e-9;
// Ground that must lie under the deepest pipe for the bottom to be out of its reach; common
// practice, no source.
static const double LEAST_BELOW_PIPE_M = 3.0;
static const double RETURN_ABOVE_COIL_M = 0.3;

typedef struct shown {
    char text[96];
} shown;

// "6.00 ft (1.83 m)"
static shown show(cb_kind kind, double si)
{
    char us[40], metric[40];
    shown out;
    snprintf(out.text, sizeof out.text, "%s (%s)",
             cb_units_format(kind, CB_UNITS_US, si, 3, us, sizeof us),
             cb_units_format(kind, CB_UNITS_SI, si, 3, metric, sizeof metric));
    return out;
}

// ---- what follows from the values given ------------------------------------------------------

static void derive(cb_design *d)
{
    cb_design_ground *g = &d->ground;
    cb_layer *last = &g->layer[g->layer_count - 1];
    if (isnan(last->bottom_m)) {
        last->bottom_m = g->bottom_depth_m;
    }
    cb_design_field *f = &d->field;
    if (isnan(f->coil_return_depth_m)) {
        f->coil_return_depth_m = f->depth_m - RETURN_ABOVE_COIL_M;
    }
    if (f->layout == CB_STRAIGHT && !cbx_given(d->memory, "field.depth")) {
        f->depth_m = 0;
        for (int i = 0; i < f->straight_pipes; i++) {
            f->depth_m = fmax(f->depth_m, f->straight[i].depth_m);
        }
    }
    cbx_hydraulics_derive(d);
    d->house.model = cbx_given(d->memory, "house.loads") ? CB_HOUSE_LOAD_FILE : CB_HOUSE_LOAD_LINE;
}

// ---- weather and house -----------------------------------------------------------------------

static cb_status check_year(const cb_design *d, const char *list, int index, int year,
                            cb_error *error)
{
    if (year <= d->run.years) {
        return CB_OK;
    }
    char path[CBX_PATH_SIZE];
    snprintf(path, sizeof path, "%s[%d].year", list, index);
    return cb_design_fail(d, path, error,
                          "the run has %d years, there is no year %d; write last or 1 to %d",
                          d->run.years, year, d->run.years);
}

static cb_status check_weather(const cb_design *d, cb_error *error)
{
    const cb_design_weather *w = &d->weather;
    const bool normals = cbx_given(d->memory, "weather.normals");
    if (normals == (w->file != NULL)) {
        return cb_design_fail(d, normals ? "weather.file" : "weather", error,
                              normals ? "normals are given too, one of them is wanted"
                                      : "neither normals nor file is given, one is needed");
    }
    if (w->file && w->format == CB_WEATHER_NORMALS) {
        return cb_design_fail(
            d, "weather.format", error,
            "a weather file is tmy3, nsrdb, pvgis or columns; normals have no file");
    }
    cb_status status = CB_OK;
    for (int i = 0; status == CB_OK && i < w->hard_winter_count; i++) {
        status = check_year(d, "weather.hard_winters", i, w->hard_winter[i].year, error);
    }
    for (int i = 0; status == CB_OK && i < w->hot_summer_count; i++) {
        status = check_year(d, "weather.hot_summers", i, w->hot_summer[i].year, error);
    }
    return status;
}

static cb_status check_columns(const cb_design *d, cb_error *error)
{
    const cb_weather_columns *c = &d->weather.columns;
    if (d->weather.format != CB_WEATHER_COLUMNS) {
        return CB_OK;
    }
    if (!c->air_temperature) {
        return cb_design_fail(d, "weather.columns", error, "air_temperature is missing");
    }
    if (!c->dew_point == !c->relative_humidity) {
        return cb_design_fail(d, "weather.columns", error,
                              "dew_point or relative_humidity is needed, and only one of them");
    }
    if (!c->solar) {
        return cb_design_fail(d, "weather.columns", error, "solar is missing");
    }
    return CB_OK;
}

static cb_status check_normals(const cb_design *d, cb_error *error)
{
    const cb_normals *n = &d->weather.normals;
    for (int month = 0; !d->weather.file && month < CB_MONTHS; month++) {
        if (n->dew_point_c[month] > n->air_temperature_c[month]) {
            char path[CBX_PATH_SIZE];
            snprintf(path, sizeof path, "weather.normals.dew_point[%d]", month);
            return cb_design_fail(d, path, error, "%s is above that month's air, %s",
                                  show(CB_TEMPERATURE, n->dew_point_c[month]).text,
                                  show(CB_TEMPERATURE, n->air_temperature_c[month]).text);
        }
    }
    return CB_OK;
}

static cb_status check_house(const cb_design *d, cb_error *error)
{
    const bool line = cbx_given(d->memory, "house.load_line");
    if (line == cbx_given(d->memory, "house.loads")) {
        return cb_design_fail(d, line ? "house.loads" : "house", error,
                              line ? "load_line is given too, one of them is wanted"
                                   : "neither load_line nor loads is given, one is needed");
    }
    const cb_load_line *l = &d->house.line;
    if (line && !(l->heating_design_c < l->heating_balance_c)) {
        return cb_design_fail(d, "house.load_line.heating_design_temperature", error,
                              "%s is not below the heating balance point, %s",
                              show(CB_TEMPERATURE, l->heating_design_c).text,
                              show(CB_TEMPERATURE, l->heating_balance_c).text);
    }
    if (line && !(l->cooling_design_c > l->cooling_balance_c)) {
        return cb_design_fail(d, "house.load_line.cooling_design_temperature", error,
                              "%s is not above the cooling balance point, %s",
                              show(CB_TEMPERATURE, l->cooling_design_c).text,
                              show(CB_TEMPERATURE, l->cooling_balance_c).text);
    }
    if (line && !(l->heating_balance_c <= l->cooling_balance_c)) {
        return cb_design_fail(d, "house.load_line.cooling_balance", error,
                              "%s is below the heating balance point, %s: heating and cooling "
                              "would run together",
                              show(CB_TEMPERATURE, l->cooling_balance_c).text,
                              show(CB_TEMPERATURE, l->heating_balance_c).text);
    }
    return CB_OK;
}

// ---- ground and field ------------------------------------------------------------------------

static cb_status check_layers(const cb_design *d, cb_error *error)
{
    const cb_design_ground *g = &d->ground;
    for (int i = 0; i < g->layer_count; i++) {
        char path[CBX_PATH_SIZE];
        snprintf(path, sizeof path, "ground.layers[%d].down_to", i);
        const double above = i ? g->layer[i - 1].bottom_m : 0;
        if (isnan(g->layer[i].bottom_m)) {
            return cb_design_fail(d, path, error, "only the last layer may leave it out");
        }
        if (!(g->layer[i].bottom_m > above)) {
            return cb_design_fail(d, path, error, "%s is not below the layer above, %s",
                                  show(CB_LENGTH, g->layer[i].bottom_m).text,
                                  show(CB_LENGTH, above).text);
        }
    }
    return CB_OK;
}

static cb_status check_pipe(const cb_design *d, const char *path, double depth_m, double across_m,
                            cb_error *error)
{
    char full[CBX_PATH_SIZE];
    const double lowest = d->ground.bottom_depth_m - LEAST_BELOW_PIPE_M;
    if (!(depth_m > 0) || depth_m > lowest + SLACK) {
        snprintf(full, sizeof full, "%s", path);
        return cb_design_fail(d, full, error,
                              "%s is not between the surface and %s, %s above "
                              "ground.bottom",
                              show(CB_LENGTH, depth_m).text, show(CB_LENGTH, lowest).text,
                              show(CB_LENGTH, LEAST_BELOW_PIPE_M).text);
    }
    if (fabs(across_m) > d->field.trench_width_m / 2 + SLACK) {
        return cb_design_fail(d, path, error, "%s from the centre line is outside a trench %s wide",
                              show(CB_SMALL_LENGTH, fabs(across_m)).text,
                              show(CB_SMALL_LENGTH, d->field.trench_width_m).text);
    }
    return CB_OK;
}

static cb_status check_straight(const cb_design *d, cb_error *error)
{
    cb_status status = CB_OK;
    for (int i = 0; status == CB_OK && i < d->field.straight_pipes; i++) {
        const cb_pipe_position *p = &d->field.straight[i];
        char path[CBX_PATH_SIZE];
        snprintf(path, sizeof path, "field.straight[%d]", i);
        status = check_pipe(d, path, p->depth_m, p->across_m, error);
        for (int k = 0; status == CB_OK && k < i; k++) {
            const cb_pipe_position *other = &d->field.straight[k];
            if (fabs(p->depth_m - other->depth_m) < SLACK &&
                fabs(p->across_m - other->across_m) < SLACK) {
                status = cb_design_fail(d, path, error, "lies where pipe [%d] lies", k);
            }
        }
    }
    return status;
}

static cb_status check_coil(const cb_design *d, cb_error *error)
{
    const cb_design_field *f = &d->field;
    if (f->coil_diameter_m > f->trench_width_m + SLACK) {
        return cb_design_fail(d, "field.width", error, "%s does not hold a coil of %s",
                              show(CB_SMALL_LENGTH, f->trench_width_m).text,
                              show(CB_SMALL_LENGTH, f->coil_diameter_m).text);
    }
    cb_status status = check_pipe(d, "field.depth", f->depth_m, 0, error);
    if (status == CB_OK && f->coil_return_in_trench) {
        status = check_pipe(d, "field.coil.return_depth", f->coil_return_depth_m, 0, error);
    }
    if (status == CB_OK && f->coil_return_in_trench) {
        status = check_pipe(d, "field.coil.return_across", f->coil_return_depth_m,
                            f->coil_return_across_m, error);
    }
    return status;
}

static cb_status check_field(const cb_design *d, cb_error *error)
{
    const cb_design_field *f = &d->field;
    if (f->trenches > 1 && f->spacing_m < f->trench_width_m - SLACK) {
        return cb_design_fail(d, "field.spacing", error, "trenches %s apart and %s wide overlap",
                              show(CB_LENGTH, f->spacing_m).text,
                              show(CB_LENGTH, f->trench_width_m).text);
    }
    return f->layout == CB_STRAIGHT ? check_straight(d, error) : check_coil(d, error);
}

static cb_status check_backfill(const cb_design *d, cb_error *error)
{
    const cb_design_ground *g = &d->ground;
    if (!g->has_backfill) {
        return CB_OK;
    }
    if (g->backfill_height_m > d->field.depth_m + SLACK) {
        return cb_design_fail(
            d, "ground.backfill.height", error, "%s stands out of a trench %s deep",
            show(CB_LENGTH, g->backfill_height_m).text, show(CB_LENGTH, d->field.depth_m).text);
    }
    if (d->field.trenches > 1 && g->backfill_width_m > d->field.spacing_m + SLACK) {
        return cb_design_fail(
            d, "ground.backfill.width", error, "%s is more than the trenches' spacing, %s",
            show(CB_LENGTH, g->backfill_width_m).text, show(CB_LENGTH, d->field.spacing_m).text);
    }
    return CB_OK;
}

// ---- plant, fluid, limits --------------------------------------------------------------------

static cb_status check_table(const cb_design *d, int unit, bool cooling, cb_error *error)
{
    const cb_design_heat_pump *h = &d->heat_pump[unit];
    const cb_performance_table *t = cooling ? &h->cooling : &h->heating;
    const char *mode = cooling ? "cooling" : "heating";
    char path[CBX_PATH_SIZE];
    if (t->count == 1) {
        snprintf(path, sizeof path, "heat_pumps[%d].%s", unit, mode);
        return cb_design_fail(d, path, error, "one point is no table, two or more are wanted");
    }
    for (int i = 0; i < t->count; i++) {
        const cb_performance_point *p = &t->point[i], *before = i ? p - 1 : NULL;
        const char *key = NULL, *problem = NULL;
        if (before && !(p->entering_c > before->entering_c)) {
            key = "entering_water", problem = "must rise from point to point";
        } else if (before && !cooling && !(p->capacity_w > before->capacity_w)) {
            key = "capacity", problem = "must rise with the entering water in heating";
        } else if (before && cooling && !(p->capacity_w < before->capacity_w)) {
            key = "capacity", problem = "must fall with the entering water in cooling";
        } else if (!cooling && !(p->power_w < p->capacity_w)) {
            key = "power", problem = "must be below the heat delivered";
        }
        if (key) {
            snprintf(path, sizeof path, "heat_pumps[%d].%s[%d].%s", unit, mode, i, key);
            return cb_design_fail(d, path, error, "%s", problem);
        }
    }
    return CB_OK;
}

static cb_status check_heat_pumps(const cb_design *d, cb_error *error)
{
    cb_status status = CB_OK;
    for (int i = 0; status == CB_OK && i < d->heat_pump_count; i++) {
        const cb_design_heat_pump *h = &d->heat_pump[i];
        char path[CBX_PATH_SIZE];
        snprintf(path, sizeof path, "heat_pumps[%d]", i);
        if (h->heating.count == 0 && h->cooling.count == 0) {
            return cb_design_fail(d, path, error, "a unit needs a heating or a cooling table");
        }
        if (!(h->low_lockout_c < h->high_lockout_c)) {
            return cb_design_fail(d, path, error, "low_lockout %s is not below high_lockout %s",
                                  show(CB_TEMPERATURE, h->low_lockout_c).text,
                                  show(CB_TEMPERATURE, h->high_lockout_c).text);
        }
        status = check_table(d, i, false, error);
        status = status == CB_OK ? check_table(d, i, true, error) : status;
    }
    return status;
}

static cb_status check_fluid_and_limits(const cb_design *d, cb_error *error)
{
    if (d->fluid.type == CB_WATER && d->fluid.concentration > 0) {
        return cb_design_fail(d, "fluid.concentration", error, "water holds no antifreeze");
    }
    if (!(d->limits.entering_minimum_c < d->limits.entering_maximum_c)) {
        return cb_design_fail(d, "limits.entering_minimum", error,
                              "%s is not below entering_maximum, %s",
                              show(CB_TEMPERATURE, d->limits.entering_minimum_c).text,
                              show(CB_TEMPERATURE, d->limits.entering_maximum_c).text);
    }
    return CB_OK;
}

cb_status cbx_design_complete(cb_design *design, cb_error *error)
{
    static cb_status (*const check[])(const cb_design *d, cb_error *error) = {
        check_weather,          check_columns,       check_normals,  check_house,
        check_layers,           check_field,         check_backfill, check_heat_pumps,
        check_fluid_and_limits, cbx_hydraulics_check};
    derive(design);
    cb_status status = CB_OK;
    for (size_t i = 0; status == CB_OK && i < sizeof check / sizeof *check; i++) {
        status = check[i](design, error);
    }
    return status;
}
