// SPDX-License-Identifier: MIT
#include "coilbed/plant.h"
#include "design/memory.h"
#include "design/read.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

// Tank surface of a cylinder three times as high as wide; common practice, no source.
static const double SLENDERNESS = 3.0;
static const double STANDBY_K = 45.0;
static const double PI = 3.14159265358979323846;

void cbx_plant_derive(cb_design *d)
{
    cb_design_hot_water *w = &d->hot_water;
    if (!w->given) {
        return;
    }
    if (!isnan(w->standby_loss_w)) {
        w->loss_w_k = w->standby_loss_w / STANDBY_K;
        return;
    }
    if (isnan(w->surface_m2)) {
        const double width_m = cbrt(w->volume_m3 / (PI / 4 * SLENDERNESS));
        w->surface_m2 = PI * width_m * width_m * (SLENDERNESS + 0.5);
    }
    w->loss_w_k = w->surface_m2 / w->insulation_m2k_w;
}

// ---- ratings ---------------------------------------------------------------------------------

typedef struct machine { // full load or a level
    bool has_rating;
    const cb_design_rating *rating;
    cb_performance_table *heating, *cooling;
    char path[CBX_PATH_SIZE];
} machine;

// A unit, or a level of it, known by its rating points gets its tables from them.
static cb_status fill_rating(const cb_design *d, const machine *m, cb_error *error)
{
    char path[CBX_PATH_SIZE + 16];
    if (!m->has_rating) {
        return CB_OK;
    }
    if (m->heating->count + m->cooling->count > 0) {
        snprintf(path, sizeof path, "%s.rating", m->path);
        return cb_design_fail(d, path, error, "a table is given too, one of them is wanted");
    }
    cb_status status = CB_OK;
    for (int cooling = 0; status == CB_OK && cooling < 2; cooling++) {
        const int count = cooling ? m->rating->cooling_count : m->rating->heating_count;
        cb_error why = {0};
        if (count > 0) {
            status = cb_generic_table(cooling ? m->cooling : m->heating,
                                      cooling ? m->rating->cooling : m->rating->heating, count,
                                      cooling, &why);
        }
        if (status != CB_OK) {
            snprintf(path, sizeof path, "%s.rating.%s", m->path, cooling ? "cooling" : "heating");
            status = cb_design_fail(d, path, error, "%s", why.message);
        }
    }
    return status;
}

cb_status cbx_ratings_fill(cb_design *d, cb_error *error)
{
    cb_status status = CB_OK;
    for (int i = 0; status == CB_OK && i < d->heat_pump_count; i++) {
        cb_design_heat_pump *h = &d->heat_pump[i];
        machine m = {h->has_rating, &h->rating, &h->heating, &h->cooling, ""};
        snprintf(m.path, sizeof m.path, "heat_pumps[%d]", i);
        status = fill_rating(d, &m, error);
        for (int k = 0; status == CB_OK && k < h->level_count; k++) {
            cb_design_level *l = &h->level[k];
            machine part = {l->has_rating, &l->rating, &l->heating, &l->cooling, ""};
            snprintf(part.path, sizeof part.path, "heat_pumps[%d].part_load[%d]", i, k);
            status = fill_rating(d, &part, error);
        }
    }
    return status;
}

// ---- tables ----------------------------------------------------------------------------------

// The key of a point that does not fit the one before it of the same flow, NULL if it does.
static const char *misfit(const cb_performance_point *p, const cb_performance_point *before,
                          bool cooling, const char **problem)
{
    if (before && !(p->entering_c > before->entering_c)) {
        *problem = "must rise from point to point";
        return "entering_water";
    }
    if (before && !cooling && !(p->capacity_w > before->capacity_w)) {
        *problem = "must rise with the entering water in heating";
        return "capacity";
    }
    if (before && cooling && !(p->capacity_w < before->capacity_w)) {
        *problem = "must fall with the entering water in cooling";
        return "capacity";
    }
    if (!cooling && !(p->power_w < p->capacity_w)) {
        *problem = "must be below the heat delivered";
        return "power";
    }
    return NULL;
}

static bool same_flow(const cb_performance_point *a, const cb_performance_point *b)
{
    return (isnan(a->flow_m3_s) && isnan(b->flow_m3_s)) ||
           fabs(a->flow_m3_s - b->flow_m3_s) <= 1e-9 * a->flow_m3_s;
}

static bool same_air(const cb_performance_point *a, const cb_performance_point *b)
{
    return (isnan(a->air_c) && isnan(b->air_c)) || fabs(a->air_c - b->air_c) <= 1e-6;
}

static bool same_group(const cb_performance_point *a, const cb_performance_point *b)
{
    return same_flow(a, b) && same_air(a, b);
}

// The key of a point whose group must not follow the one before it, NULL if it may.
static const char *disorder(const cb_performance_point *p, const char **problem)
{
    const bool next_air = !same_air(p - 1, p);
    if (isnan(p->air_c) != isnan(p[-1].air_c)) {
        *problem = "every point of a table has one, or none has";
        return "entering_air";
    }
    if (next_air && !(p->air_c > p[-1].air_c)) {
        *problem = "must rise from group to group";
        return "entering_air";
    }
    if (isnan(p->flow_m3_s) != isnan(p[-1].flow_m3_s)) {
        *problem = "every point of a table has one, or none has";
        return "flow";
    }
    if (!next_air && !(p->flow_m3_s > p[-1].flow_m3_s)) {
        *problem = "must rise from group to group";
        return "flow";
    }
    return NULL;
}

typedef struct numbers {
    const char *key;
    cb_kind kind;
    size_t offset;
} numbers;

// Names the value, and that of the point before it where there are both.
static cb_status refuse_key(const cb_design *d, const char *path, const cb_performance_point *p,
                            const cb_performance_point *before, const char *problem,
                            cb_error *error)
{
    static const numbers known[] = {
        {"entering_water", CB_TEMPERATURE, offsetof(cb_performance_point, entering_c)},
        {"entering_air", CB_TEMPERATURE, offsetof(cb_performance_point, air_c)},
        {"flow", CB_VOLUME_FLOW, offsetof(cb_performance_point, flow_m3_s)},
        {"capacity", CB_POWER, offsetof(cb_performance_point, capacity_w)},
    };
    for (size_t i = 0; before && i < sizeof known / sizeof *known; i++) {
        const double now = *(const double *)((const char *)p + known[i].offset);
        const double was = *(const double *)((const char *)before + known[i].offset);
        if (strcmp(strrchr(path, '.') + 1, known[i].key) == 0 && !isnan(now) && !isnan(was)) {
            return cb_design_fail(d, path, error, "%s: %s after %s", problem,
                                  cbx_show(known[i].kind, now).text,
                                  cbx_show(known[i].kind, was).text);
        }
    }
    return cb_design_fail(d, path, error, "%s", problem);
}

// path: of the table, e.g. "heat_pumps[0].heating".
static cb_status check_table(const cb_design *d, const char *path, const cb_performance_table *t,
                             bool cooling, cb_error *error)
{
    char key_path[CBX_PATH_SIZE + 40];
    int of_flow = 0; // points of this flow so far
    for (int i = 0; i < t->count; i++) {
        const cb_performance_point *p = &t->point[i];
        const bool follows = of_flow > 0 && same_group(p - 1, p);
        of_flow = follows ? of_flow + 1 : 1;
        const char *problem = NULL;
        const char *key = i > 0 && !follows ? disorder(p, &problem) : NULL;
        const bool alone = of_flow == 1 && (i + 1 == t->count || !same_group(p, p + 1));
        if (!key && alone) {
            static const char *const of[2][2] = {
                {"", "of a flow "}, {"of an entering air ", "of an entering air and flow "}};
            return cb_design_fail(d, path, error, "one point %sis no table, two or more are wanted",
                                  of[p->air_c > 0.0][p->flow_m3_s > 0.0]);
        }
        key = key ? key : misfit(p, follows ? p - 1 : NULL, cooling, &problem);
        if (key) {
            snprintf(key_path, sizeof key_path, "%s[%d].%s", path, i, key);
            return refuse_key(d, key_path, p, i > 0 ? p - 1 : NULL, problem, error);
        }
    }
    return CB_OK;
}

static cb_status check_tables(const cb_design *d, const char *path,
                              const cb_performance_table *heating,
                              const cb_performance_table *cooling, cb_error *error)
{
    char mode[CBX_PATH_SIZE];
    snprintf(mode, sizeof mode, "%s.heating", path);
    const cb_status status = check_table(d, mode, heating, false, error);
    snprintf(mode, sizeof mode, "%s.cooling", path);
    return status == CB_OK ? check_table(d, mode, cooling, true, error) : status;
}

static bool has_air(const cb_performance_table *table)
{
    return table->count > 0 && table->point[0].air_c > 0.0;
}

// What is said of entering air without a table that depends on it would be passed over.
static cb_status check_air_keys(const cb_design *d, int unit, cb_error *error)
{
    static const char *const key[] = {"return_air_heating", "return_air_cooling", "cooling_air",
                                      "return_humidity"};
    const cb_design_heat_pump *h = &d->heat_pump[unit];
    bool heating = has_air(&h->heating), cooling = has_air(&h->cooling);
    for (int k = 0; k < h->level_count; k++) {
        heating = heating || has_air(&h->level[k].heating);
        cooling = cooling || has_air(&h->level[k].cooling);
    }
    char path[CBX_PATH_SIZE];
    for (int i = 0; i < 4; i++) {
        snprintf(path, sizeof path, "heat_pumps[%d].%s", unit, key[i]);
        if (cbx_given(d->memory, path) && !(i == 0 ? heating : cooling)) {
            return cb_design_fail(d, path, error, "no %s table of this unit has entering_air",
                                  i == 0 ? "heating" : "cooling");
        }
    }
    return CB_OK;
}

static cb_status check_heat_pump(const cb_design *d, int unit, cb_error *error)
{
    const cb_design_heat_pump *h = &d->heat_pump[unit];
    char path[64];
    snprintf(path, sizeof path, "heat_pumps[%d]", unit);
    if (h->heating.count == 0 && h->cooling.count == 0) {
        return cb_design_fail(d, path, error,
                              "a unit needs a heating or a cooling table, or a rating");
    }
    if (!(h->low_lockout_c < h->high_lockout_c)) {
        return cb_design_fail(d, path, error, "low_lockout %s is not below high_lockout %s",
                              cbx_show(CB_TEMPERATURE, h->low_lockout_c).text,
                              cbx_show(CB_TEMPERATURE, h->high_lockout_c).text);
    }
    cb_status status = check_air_keys(d, unit, error);
    if (status == CB_OK) {
        status = check_tables(d, path, &h->heating, &h->cooling, error);
    }
    for (int k = 0; status == CB_OK && k < h->level_count; k++) {
        snprintf(path, sizeof path, "heat_pumps[%d].part_load[%d]", unit, k);
        status = check_tables(d, path, &h->level[k].heating, &h->level[k].cooling, error);
    }
    return status;
}

cb_status cbx_plant_check(const cb_design *d, cb_error *error)
{
    cb_status status = CB_OK;
    for (int i = 0; status == CB_OK && i < d->heat_pump_count; i++) {
        status = check_heat_pump(d, i, error);
    }
    cb_plant *plant = NULL;
    if (status == CB_OK) {
        status = cb_plant_create(&plant, d, error); // knows the rest
        cb_plant_destroy(plant);
    }
    return status;
}
