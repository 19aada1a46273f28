// SPDX-License-Identifier: MIT
#include "coilbed/sensitivity.h"

#include "coilbed/ground.h"
#include "study/inputs.h"
#include "study/kept_effects.h"
#include "study/lever.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Shares of a length, far above its rounding: by the first nothing but noise moves the number; by
// the second the straight part of the move cancels between longer and shorter, and its bend is far
// below the noise.
static const double TINY = 1e-6, SMALL = 1e-3;

// ---- what may matter -------------------------------------------------------------------------

/// Steps and spreads are marks of this program, no source: a step is large beside the noise of a
/// run and small beside the bend of the curve; a spread is what is not known before digging, or
/// what another choice would make.
typedef struct mark {
    double step, spread;
    bool relative; ///< to the value
} mark;

static const mark of_conductivity = {0.05, 0.25, true}, of_water = {0.01, 0.05, false},
                  of_depth = {0.15, 0.3, false}, of_pitch = {0.05, 0.25, true},
                  of_length = {0.05, 0.2, true}, of_spacing = {0.05, 0.25, true},
                  of_flow = {0.05, 0.25, true}, of_concentration = {0.01, 0.05, false},
                  of_load = {0.05, 0.2, true}, of_winter = {0.1, 0.25, true};

static cb_effect *add(cb_sensitivity *out, const char *path, const char *title, double value,
                      const mark *by)
{
    if (out->count == CB_MAX_EFFECTS) {
        return NULL;
    }
    cb_effect *effect = &out->effect[out->count++];
    const double scale = by->relative ? fabs(value) : 1.0;
    *effect = (cb_effect){.title = title,
                          .value = value,
                          .step = by->step * scale,
                          .spread = by->spread * scale,
                          .slope = NAN,
                          .effect = NAN,
                          .bend = NAN,
                          .blur = NAN};
    snprintf(effect->path, sizeof effect->path, "%s", path);
    return effect;
}

/// The soil the coil lies in: the backfill where there is one, else the layer at its depth.
static int soil_round_coil(const cb_design *design)
{
    const cb_design_ground *ground = &design->ground;
    if (ground->has_backfill) {
        return ground->layer_count;
    }
    const cb_design_field *field = &design->field;
    const double depth_m =
        field->layout == CB_STRAIGHT ? field->straight[0].depth_m : field->depth_m;
    int n = 0;
    while (n + 1 < ground->layer_count && depth_m > ground->layer[n].bottom_m) {
        n++;
    }
    return n;
}

static cb_status list_soil(cb_sensitivity *out, const cb_design *design, cb_error *error)
{
    const int n = soil_round_coil(design);
    cb_soil soil;
    const cb_status status = cb_soil_of_layer(&soil, design, n, error);
    if (status != CB_OK) {
        return status;
    }
    char block[32], path[CB_EFFECT_TEXT];
    if (n == design->ground.layer_count) {
        snprintf(block, sizeof block, "ground.backfill");
    } else {
        snprintf(block, sizeof block, "ground.layers[%d]", n);
    }
    snprintf(path, sizeof path, "%s.conductivity", block);
    add(out, path, "Conductivity of the soil round the coil, unfrozen", soil.conductivity_w_mk,
        &of_conductivity);
    snprintf(path, sizeof path, "%s.water", block);
    add(out, path, "Water in it", soil.water_fraction, &of_water);
    return CB_OK;
}

static void list_field(cb_sensitivity *out, const cb_design_field *field)
{
    const bool coil = field->layout != CB_STRAIGHT;
    if (coil) {
        add(out, "field.depth", "Depth of the coil", field->depth_m, &of_depth);
        add(out, "field.coil.pitch", "Pitch of the coil", field->coil_pitch_m, &of_pitch);
    }
    if (field->length_count == 0) {
        add(out, "field.length", "Length of the trenches", field->trench_length_m, &of_length);
    }
    if (field->trenches > 1) {
        add(out, "field.spacing", "Spacing of the trenches", field->spacing_m, &of_spacing);
    }
}

static cb_status list_candidates(cb_sensitivity *out, const cb_design *design, cb_error *error)
{
    const cb_status status = list_soil(out, design, error);
    if (status != CB_OK) {
        return status;
    }
    list_field(out, &design->field);
    add(out, "pumps.flow_per_circuit", "Flow in a circuit", design->pumps.flow_per_circuit_m3_s,
        &of_flow);
    if (design->fluid.type != CB_WATER) {
        add(out, "fluid.concentration", "Antifreeze", design->fluid.concentration,
            &of_concentration);
    }
    if (design->house.model == CB_HOUSE_LOAD_LINE) {
        add(out, "house.load_line.heating_design", "Heating design load",
            design->house.line.heating_design_w, &of_load);
    }
    if (design->weather.hard_winter_count > 0) {
        add(out, "weather.winter_deviation", "How much winters differ",
            design->weather.winter_deviation_k, &of_winter);
    }
    return CB_OK;
}

// ---- running ---------------------------------------------------------------------------------

typedef struct probe {
    const cb_sensitivity_order *order;
    const cb_units *units;
    const cb_design *design;
    cb_sensitivity *out;
    cb_override *set; ///< [source.set_count + 1]: the order's, then the value
} probe;

/// The number with `path` set to `text`; with NULL, of the design as it is.
static cb_status number_at(probe *p, const char *path, const char *text, double *number,
                           cb_error *error)
{
    const cb_case_source *given = &p->order->source;
    p->set[given->set_count] = (cb_override){.path = path, .value = text};
    const cb_case_source source = {.path = given->path,
                                   .text = given->text,
                                   .set = p->set,
                                   .set_count = given->set_count + (path ? 1 : 0)};
    char what[CBX_LEVER_TEXT + CB_EFFECT_TEXT] = "as it is";
    if (path) {
        snprintf(what, sizeof what, "%s=%s", path, text);
    }
    cb_case *got = NULL;
    const cb_status status = p->order->get(p->order->context, &source, what, &got, error);
    if (status == CB_OK) {
        *number = cb_headline_value(&got->headline, p->out->number);
        cb_case_destroy(got);
    }
    return status;
}

/// The number with the value moved; NaN, the reason noted, where the design refuses it.
static cb_status number_moved(probe *p, const cbx_lever *lever, cb_effect *effect, double by,
                              double *number, cb_error *error)
{
    char text[CBX_LEVER_TEXT];
    cb_error why = {0};
    *number = NAN;
    cbx_lever_write(lever, effect->value + by, text);
    const cb_status status = number_at(p, lever->path, text, number, &why);
    if (status == CB_BAD_INPUT) {
        snprintf(effect->refused, sizeof effect->refused, "%.*s", (int)sizeof effect->refused - 1,
                 why.message);
        return CB_OK;
    }
    if (status != CB_OK && error) {
        *error = why;
    }
    return status;
}

static void settle(cb_effect *effect, double base, double below, double above, double noise)
{
    const double down = (base - below) / effect->step, up = (above - base) / effect->step;
    effect->central = !isnan(down) && !isnan(up);
    effect->slope = effect->central ? 0.5 * (down + up) : isnan(down) ? up : down;
    effect->effect = effect->slope * effect->spread;
    // Half the second derivative times the square of the spread.
    effect->bend = 0.5 * fabs(up - down) / effect->step * effect->spread * effect->spread;
    // Each run is off by up to the noise, half of it to either side.
    effect->blur = noise / effect->step * effect->spread * (effect->central ? 0.5 : 1.0);
}

static cb_status measure(probe *p, cb_effect *effect, cb_error *error)
{
    cbx_lever lever = {.path = effect->path, .option = "sensitivity to"};
    cb_error why = {0};
    cb_status status = cbx_lever_open(&lever, p->design, p->units, &why);
    if (status == CB_BAD_INPUT) {
        snprintf(effect->refused, sizeof effect->refused, "%.*s", (int)sizeof effect->refused - 1,
                 why.message);
        status = CB_OK;
    } else if (status == CB_OK) {
        double below = NAN, above = NAN;
        effect->kind = lever.kind;
        status = number_moved(p, &lever, effect, -effect->step, &below, error);
        if (status == CB_OK) {
            status = number_moved(p, &lever, effect, effect->step, &above, error);
        }
        if (status == CB_OK) {
            settle(effect, p->out->base, below, above, p->out->noise);
        }
    } else if (error) {
        *error = why;
    }
    cbx_lever_close(&lever);
    return status;
}

static cb_status nudge(probe *p, const cbx_lever *lever, double share, double change[2],
                       cb_error *error)
{
    cb_effect nudged = {.value = lever->now};
    cb_status status = CB_OK;
    for (int side = 0; status == CB_OK && side < 2; side++) {
        double number = NAN;
        const double by = (side ? share : -share) * lever->now;
        status = number_moved(p, lever, &nudged, by, &number, error);
        change[side] = number - p->out->base;
    }
    return status;
}

static cb_status measure_noise(probe *p, cb_error *error)
{
    cbx_lever lever = {.path =
                           p->design->field.length_count > 0 ? "field.lengths[0]" : "field.length",
                       .option = "sensitivity to"};
    double tiny[2] = {NAN, NAN}, small[2] = {NAN, NAN};
    cb_status status = cbx_lever_open(&lever, p->design, p->units, error);
    if (status == CB_OK) {
        status = nudge(p, &lever, TINY, tiny, error);
    }
    if (status == CB_OK) {
        status = nudge(p, &lever, SMALL, small, error);
    }
    const double seen[] = {fabs(tiny[0]), fabs(tiny[1]), 0.5 * fabs(small[0] + small[1])};
    for (size_t i = 0; i < sizeof seen / sizeof *seen; i++) {
        p->out->noise = fmax(p->out->noise, seen[i]); // passes over NaN
    }
    cbx_lever_close(&lever);
    return status;
}

static bool ranks_before(const cb_effect *a, const cb_effect *b)
{
    if (isnan(a->effect) || isnan(b->effect)) {
        return !isnan(a->effect) && isnan(b->effect);
    }
    return fabs(a->effect) > fabs(b->effect);
}

/// By insertion: few effects, and equals keep their order.
static void rank(cb_sensitivity *out)
{
    for (int i = 1; i < out->count; i++) {
        const cb_effect moving = out->effect[i];
        int at = i;
        for (; at > 0 && ranks_before(&moving, &out->effect[at - 1]); at--) {
            out->effect[at] = out->effect[at - 1];
        }
        out->effect[at] = moving;
    }
}

static cb_status choose_number(cb_sensitivity *out, const cb_sensitivity_order *order,
                               cb_error *error)
{
    const char *name = order->number ? order->number : "freeze_margin";
    out->number = cb_headline_find(name);
    const cb_headline_row *row = cb_headline_row_of(out->number);
    if (row && !row->moment && strcmp(name, "verdict") != 0) {
        return CB_OK;
    }
    char list[CB_MESSAGE_SIZE - 100] = "";
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        row = cb_headline_row_of(i);
        if (!row->moment && strcmp(row->name, "verdict") != 0) {
            const size_t used = strlen(list);
            snprintf(list + used, sizeof list - used, "%s%s", used > 0 ? ", " : "", row->name);
        }
    }
    return cb_fail(error, CB_BAD_INPUT, "--of %.60s: take one of %s", name, list);
}

static cb_status measure_all(probe *p, cb_error *error)
{
    cb_sensitivity *out = p->out;
    const double factor = p->order->step_factor > 0 ? p->order->step_factor : 1.0;
    cb_status status = number_at(p, NULL, NULL, &out->base, error);
    if (status == CB_OK && isnan(out->base)) {
        return cb_fail(error, CB_BAD_INPUT, "--of %s: the run of this design has no such number",
                       cb_headline_row_of(out->number)->name);
    }
    if (status == CB_OK && p->order->into) {
        status = cbx_check_same_run(p->order->into, out, p->units, error);
    }
    if (status == CB_OK) {
        status = list_candidates(out, p->design, error);
    }
    if (status == CB_OK) {
        status = measure_noise(p, error);
    }
    for (int i = 0; status == CB_OK && i < out->count; i++) {
        out->effect[i].step *= factor;
        status = measure(p, &out->effect[i], error);
    }
    rank(out);
    return status;
}

cb_status cb_sensitivity_run(cb_sensitivity *out, const cb_sensitivity_order *order,
                             const cb_units *units, cb_error *error)
{
    if (!out || !order || !units || !order->get) {
        return cb_fail(error, CB_BAD_CALL, "cb_sensitivity_run needs units and a way to run");
    }
    *out = (cb_sensitivity){.base = NAN};
    const cb_case_source *given = &order->source;
    cb_override *set = calloc(given->set_count + 1, sizeof *set);
    if (!set) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the values to set");
    }
    for (size_t i = 0; i < given->set_count; i++) {
        set[i] = given->set[i];
    }
    cb_design *design = NULL;
    cb_status status = choose_number(out, order, error);
    if (status == CB_OK) {
        status = cbx_source_design(&design, given, units, error);
    }
    if (status == CB_OK && order->into) {
        status = cbx_check_run_of(order->into, out, design, error);
    }
    if (status == CB_OK) {
        probe p = {.order = order, .units = units, .design = design, .out = out, .set = set};
        status = measure_all(&p, error);
    }
    if (status == CB_OK && order->into) {
        status = cbx_keep_effects(order->into, out, error);
    }
    cb_design_destroy(design);
    free(set);
    return status;
}
