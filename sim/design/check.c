// SPDX-License-Identifier: MIT
#include "design/memory.h"
#include "design/read.h"

#include "coilbed/field.h"

#include <math.h>
#include <stdio.h>

// 3 ft and 36 in differ in the last bit.
static const double SLACK = 1e-9;
// Ground that must lie under the deepest pipe for the bottom to be out of its reach; common
// practice, no source.
static const double LEAST_BELOW_PIPE_M = 3.0;
static const double RETURN_ABOVE_COIL_M = 0.3;
static const double RETURN_ABOVE_UPRIGHT_M = 0.1;

// ---- what follows from the values given ------------------------------------------------------

static double longest_of(const cb_design_field *f)
{
    double longest_m = 0;
    for (int i = 0; i < f->length_count; i++) {
        longest_m = fmax(longest_m, f->length_m[i]);
    }
    return longest_m;
}

static void derive(cb_design *d)
{
    cb_design_ground *g = &d->ground;
    cb_layer *last = &g->layer[g->layer_count - 1];
    if (isnan(last->bottom_m)) {
        last->bottom_m = g->bottom_depth_m;
    }
    cb_design_field *f = &d->field;
    if (isnan(f->coil_return_depth_m)) {
        f->coil_return_depth_m =
            f->depth_m - (f->layout == CB_UPRIGHT_COIL
                              ? 0.5 * f->coil_diameter_m + RETURN_ABOVE_UPRIGHT_M
                              : RETURN_ABOVE_COIL_M);
    }
    if (f->circuit_count == 0) {
        f->circuit_count = 1; // on the centre line, as deep as the layout says
    }
    // A --set may list lengths over the one length of the file.
    if (f->length_count > 0 && (!cbx_given(d->memory, "field.length") ||
                                cb_design_where(d, "field.lengths").origin != CB_ORIGIN_FILE)) {
        f->trench_length_m = longest_of(f);
    }
    if (f->layout == CB_STRAIGHT && !cbx_given(d->memory, "field.depth")) {
        f->depth_m = 0;
        for (int i = 0; i < f->straight_pipes; i++) {
            f->depth_m = fmax(f->depth_m, f->straight[i].depth_m);
        }
    }
    d->house.model = cbx_given(d->memory, "house.loads")      ? CB_HOUSE_LOAD_FILE
                     : cbx_given(d->memory, "house.envelope") ? CB_HOUSE_ENVELOPE
                                                              : CB_HOUSE_LOAD_LINE;
    cb_envelope *e = &d->house.envelope;
    e->heating_night_c = isnan(e->heating_night_c) ? e->heating_day_c : e->heating_night_c;
    e->cooling_night_c = isnan(e->cooling_night_c) ? e->cooling_day_c : e->cooling_night_c;
    cbx_hydraulics_derive(d);
    cbx_plant_derive(d);
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
                                  cbx_show(CB_TEMPERATURE, n->dew_point_c[month]).text,
                                  cbx_show(CB_TEMPERATURE, n->air_temperature_c[month]).text);
        }
    }
    return CB_OK;
}

static cb_status check_house(const cb_design *d, cb_error *error)
{
    const bool line = cbx_given(d->memory, "house.load_line");
    const bool loads = cbx_given(d->memory, "house.loads");
    const bool envelope = cbx_given(d->memory, "house.envelope");
    if (line + loads + envelope == 0) {
        return cb_design_fail(d, "house", error,
                              "neither load_line nor loads nor envelope is given, one is needed");
    }
    if (line + loads + envelope > 1) {
        return cb_design_fail(d, loads ? "house.loads" : "house.envelope", error,
                              "%s is given too, one of them is wanted",
                              line ? "load_line" : "envelope");
    }
    const cb_load_line *l = &d->house.line;
    if (line && !(l->heating_design_c < l->heating_balance_c)) {
        return cb_design_fail(d, "house.load_line.heating_design_temperature", error,
                              "%s is not below the heating balance point, %s",
                              cbx_show(CB_TEMPERATURE, l->heating_design_c).text,
                              cbx_show(CB_TEMPERATURE, l->heating_balance_c).text);
    }
    if (line && !(l->cooling_design_c > l->cooling_balance_c)) {
        return cb_design_fail(d, "house.load_line.cooling_design_temperature", error,
                              "%s is not above the cooling balance point, %s",
                              cbx_show(CB_TEMPERATURE, l->cooling_design_c).text,
                              cbx_show(CB_TEMPERATURE, l->cooling_balance_c).text);
    }
    if (line && !(l->heating_balance_c <= l->cooling_balance_c)) {
        return cb_design_fail(d, "house.load_line.cooling_balance", error,
                              "%s is below the heating balance point, %s: heating and cooling "
                              "would run together",
                              cbx_show(CB_TEMPERATURE, l->cooling_balance_c).text,
                              cbx_show(CB_TEMPERATURE, l->heating_balance_c).text);
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
                                  cbx_show(CB_LENGTH, g->layer[i].bottom_m).text,
                                  cbx_show(CB_LENGTH, above).text);
        }
    }
    return CB_OK;
}

typedef struct extent {
    double across_m, height_m; // half of the leg's, pipe left out
} extent;

static extent extent_of(const cb_leg *leg)
{
    const double radius_m = 0.5 * leg->coil_diameter_m;
    return leg->upright ? (extent){0.0, radius_m} : (extent){radius_m, 0.0};
}

// The key that puts a leg where it is, in depth or across.
static void key_of(const cb_design *d, const cb_leg *leg, int leg_of_circuit, bool across,
                   char path[CBX_PATH_SIZE])
{
    const cb_design_field *f = &d->field;
    const cb_circuit_place *place = &f->circuit[leg->circuit];
    if (leg->circuit > 0 || (across ? place->across_m != 0 : place->raised_m != 0)) {
        snprintf(path, CBX_PATH_SIZE, "field.circuits[%d]", leg->circuit);
    } else if (f->layout == CB_STRAIGHT) {
        snprintf(path, CBX_PATH_SIZE, "field.straight[%d]", leg_of_circuit);
    } else if (leg_of_circuit == 0) {
        snprintf(path, CBX_PATH_SIZE, across ? "field.width" : "field.depth");
    } else {
        snprintf(path, CBX_PATH_SIZE, "field.coil.return_%s",
                 across && f->coil_return == CB_RETURN_STRAIGHT ? "across" : "depth");
    }
}

static cb_status check_leg(const cb_design *d, const cb_leg *leg, int leg_of_circuit,
                           cb_error *error)
{
    char path[CBX_PATH_SIZE];
    key_of(d, leg, leg_of_circuit, false, path);
    const extent half = extent_of(leg);
    const double lowest = d->ground.bottom_depth_m - LEAST_BELOW_PIPE_M;
    const double top = leg->depth_m - half.height_m, bottom = leg->depth_m + half.height_m;
    if (!(top > 0)) {
        return cb_design_fail(d, path, error, "%s %s reaches the surface: its top would lie at %s",
                              leg->coil_diameter_m > 0 ? "a coil at" : "a pipe at",
                              cbx_show(CB_LENGTH, leg->depth_m).text,
                              cbx_show(CB_LENGTH, top).text);
    }
    if (bottom > lowest + SLACK) {
        return cb_design_fail(d, path, error,
                              "%s is not between the surface and %s, %s above "
                              "ground.bottom",
                              cbx_show(CB_LENGTH, bottom).text, cbx_show(CB_LENGTH, lowest).text,
                              cbx_show(CB_LENGTH, LEAST_BELOW_PIPE_M).text);
    }
    const double reach = fabs(leg->across_m) + half.across_m;
    if (reach > d->field.trench_width_m / 2 + SLACK) {
        key_of(d, leg, leg_of_circuit, true, path);
        const bool coil = leg->across_m == 0;
        return cb_design_fail(d, path, error, "a trench %s wide does not hold %s%s%s",
                              cbx_show(CB_SMALL_LENGTH, d->field.trench_width_m).text,
                              coil ? "a coil of " : "pipe that reaches ",
                              cbx_show(CB_SMALL_LENGTH, coil ? 2 * reach : reach).text,
                              coil ? "" : " from its middle");
    }
    return CB_OK;
}

// Coils of one trench may lie side by side or one above the other.
static cb_status check_apart(const cb_design *d, const char *path, const cb_leg *leg,
                             const cb_leg *other, cb_error *error)
{
    const extent a = extent_of(leg), b = extent_of(other);
    const double across = fabs(leg->across_m - other->across_m) - a.across_m - b.across_m;
    const double height = fabs(leg->depth_m - other->depth_m) - a.height_m - b.height_m;
    const bool coils = leg->coil_diameter_m > 0 && other->coil_diameter_m > 0;
    if (across > -SLACK && (coils || across > SLACK)) {
        return CB_OK;
    }
    if (height > SLACK) {
        return CB_OK;
    }
    // A straight pipe may lie along an upright coil's side, or under or over a flat one's turns.
    if (!coils && leg->coil_diameter_m + other->coil_diameter_m > 0 &&
        fabs(leg->depth_m - other->depth_m) + fabs(leg->across_m - other->across_m) > SLACK) {
        return CB_OK;
    }
    return cb_design_fail(
        d, path, error, "it lies where %s of circuit [%d] lies, %s deep and %s %s",
        other->coil_diameter_m > 0 ? "the coil" : "a pipe", other->circuit,
        cbx_show(CB_LENGTH, other->depth_m).text,
        cbx_show(CB_SMALL_LENGTH, fabs(other->across_m)).text,
        other->across_m < 0 ? "left of the centre line" : "right of the centre line");
}

static cb_status check_legs(const cb_design *d, cb_error *error)
{
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(&d->field, leg);
    char path[CBX_PATH_SIZE];
    for (int l = 0, first = 0; l < legs; l++) {
        first = l > 0 && leg[l].circuit == leg[l - 1].circuit ? first : l;
        cb_status status = check_leg(d, &leg[l], l - first, error);
        key_of(d, &leg[l], l - first, false, path);
        for (int k = 0; status == CB_OK && k < l; k++) {
            status = check_apart(d, path, &leg[l], &leg[k], error);
        }
        if (status != CB_OK) {
            return status;
        }
    }
    return CB_OK;
}

static cb_status check_pipe_at_hand(const cb_design *d, cb_error *error)
{
    const cb_design_field *f = &d->field;
    if (isnan(f->pipe.per_circuit_m)) {
        return CB_OK;
    }
    cb_field_bill bill;
    const cb_pipe pipe = {0}; // lengths do not depend on it
    cb_field_bill_of(&bill, f, &pipe, NULL);
    if (bill.longest_circuit_m > f->pipe.per_circuit_m + SLACK) {
        return cb_design_fail(d, "field.pipe.per_circuit", error,
                              "the layout needs %s in a circuit and %s is at hand: %s",
                              cbx_show(CB_LENGTH, bill.longest_circuit_m).text,
                              cbx_show(CB_LENGTH, f->pipe.per_circuit_m).text,
                              f->layout == CB_STRAIGHT
                                  ? "shorter trenches would do"
                                  : "a wider pitch or shorter trenches would do");
    }
    return CB_OK;
}

static cb_status check_runout(const cb_design *d, cb_error *error)
{
    const cb_runout *r = &d->field.runout;
    const double lowest = d->ground.bottom_depth_m - LEAST_BELOW_PIPE_M;
    return r->given && r->depth_m > lowest + SLACK
               ? cb_design_fail(d, "field.runout.depth", error,
                                "%s is not between the surface and %s, %s above ground.bottom",
                                cbx_show(CB_LENGTH, r->depth_m).text,
                                cbx_show(CB_LENGTH, lowest).text,
                                cbx_show(CB_LENGTH, LEAST_BELOW_PIPE_M).text)
               : CB_OK;
}

static cb_status check_field(const cb_design *d, cb_error *error)
{
    const cb_design_field *f = &d->field;
    if (f->trenches > 1 && f->spacing_m < f->trench_width_m - SLACK) {
        return cb_design_fail(d, "field.spacing", error, "trenches %s apart and %s wide overlap",
                              cbx_show(CB_LENGTH, f->spacing_m).text,
                              cbx_show(CB_LENGTH, f->trench_width_m).text);
    }
    if (f->length_count > 0 && f->length_count != f->trenches) {
        return cb_design_fail(d, "field.lengths", error,
                              "%d lengths are given for %d trenches: one each is wanted",
                              f->length_count, f->trenches);
    }
    if (f->length_count > 0 && fabs(f->trench_length_m - longest_of(f)) > SLACK) {
        return cb_design_fail(d, "field.length", error,
                              "lengths are given too, and the longest is %s: leave one of them out",
                              cbx_show(CB_LENGTH, longest_of(f)).text);
    }
    if (f->layout == CB_UPRIGHT_COIL && f->coil_return == CB_RETURN_COIL) {
        return cb_design_fail(d, "field.coil.return", error,
                              "only a flat coil comes back as a coil; write in_trench or none");
    }
    cb_status status = check_legs(d, error);
    if (status == CB_OK) {
        status = check_pipe_at_hand(d, error);
    }
    return status == CB_OK ? check_runout(d, error) : status;
}

static cb_status check_backfill(const cb_design *d, cb_error *error)
{
    const cb_design_ground *g = &d->ground;
    if (!g->has_backfill) {
        return CB_OK;
    }
    if (g->backfill_height_m > d->field.depth_m + SLACK) {
        return cb_design_fail(d, "ground.backfill.height", error,
                              "%s stands out of a trench %s deep",
                              cbx_show(CB_LENGTH, g->backfill_height_m).text,
                              cbx_show(CB_LENGTH, d->field.depth_m).text);
    }
    if (d->field.trenches > 1 && g->backfill_width_m > d->field.spacing_m + SLACK) {
        return cb_design_fail(d, "ground.backfill.width", error,
                              "%s is more than the trenches' spacing, %s",
                              cbx_show(CB_LENGTH, g->backfill_width_m).text,
                              cbx_show(CB_LENGTH, d->field.spacing_m).text);
    }
    return CB_OK;
}

// ---- fluid, limits --------------------------------------------------------------------

static cb_status check_fluid_and_limits(const cb_design *d, cb_error *error)
{
    if (d->fluid.type == CB_WATER && d->fluid.concentration > 0) {
        return cb_design_fail(d, "fluid.concentration", error, "water holds no antifreeze");
    }
    if (!(d->limits.entering_minimum_c < d->limits.entering_maximum_c)) {
        return cb_design_fail(d, "limits.entering_minimum", error,
                              "%s is not below entering_maximum, %s",
                              cbx_show(CB_TEMPERATURE, d->limits.entering_minimum_c).text,
                              cbx_show(CB_TEMPERATURE, d->limits.entering_maximum_c).text);
    }
    return CB_OK;
}

cbx_both cbx_show(cb_kind kind, double si)
{
    char us[40], metric[40];
    cbx_both out;
    snprintf(out.text, sizeof out.text, "%s (%s)",
             cb_units_format(kind, CB_UNITS_US, si, 3, us, sizeof us),
             cb_units_format(kind, CB_UNITS_SI, si, 3, metric, sizeof metric));
    return out;
}

cb_status cbx_design_complete(cb_design *design, cb_error *error)
{
    static cb_status (*const check[])(const cb_design *d, cb_error *error) = {
        check_weather,          check_columns,       check_normals,  check_house,
        check_layers,           check_field,         check_backfill, cbx_plant_check,
        check_fluid_and_limits, cbx_hydraulics_check};
    derive(design);
    cb_status status = cbx_ratings_fill(design, error);
    for (size_t i = 0; status == CB_OK && i < sizeof check / sizeof *check; i++) {
        status = check[i](design, error);
    }
    return status;
}
