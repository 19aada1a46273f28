// SPDX-License-Identifier: MIT
#include "cli/explain.h"
#include "coilbed/ground.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

static const double year_s = 365.0 * 86400.0;
static const double pi = 3.14159265358979323846;

/// The values of a soil that its texture gives where the file does not.
typedef struct soil_value {
    const char *key, *label;
    cb_kind kind;
    size_t offset;
} soil_value;

static const soil_value soil_values[] = {
    {"conductivity", "  conductivity, unfrozen", CB_CONDUCTIVITY,
     offsetof(cb_soil, conductivity_w_mk)},
    {"frozen_conductivity", "  conductivity, frozen", CB_CONDUCTIVITY,
     offsetof(cb_soil, frozen_conductivity_w_mk)},
    {"heat_capacity", "  heat capacity, unfrozen", CB_HEAT_CAPACITY,
     offsetof(cb_soil, heat_capacity_j_m3k)},
    {"frozen_heat_capacity", "  heat capacity, frozen", CB_HEAT_CAPACITY,
     offsetof(cb_soil, frozen_heat_capacity_j_m3k)},
    {"freezing_start", "  begins to freeze at", CB_TEMPERATURE,
     offsetof(cb_soil, freezing_start_c)},
    {"freezing_exponent", "  freezing exponent", CB_NUMBER, offsetof(cb_soil, freezing_exponent)},
};
enum { SOIL_VALUES = sizeof soil_values / sizeof soil_values[0] };

static double value_of(const cb_soil *soil, const soil_value *value)
{
    return *(const double *)((const char *)soil + value->offset);
}

bool cli_soil_value(const cb_design_ground *ground, const char *path, cb_kind *kind, double *si)
{
    int layer = -1;
    const char *key = strrchr(path, '.');
    cb_soil soil = ground->backfill;
    if (sscanf(path, "ground.layers[%d].", &layer) == 1) {
        if (layer < 0 || layer >= ground->layer_count) {
            return false;
        }
        soil = ground->layer[layer].soil;
    } else if (strncmp(path, "ground.backfill.", strlen("ground.backfill.")) != 0) {
        return false;
    }
    for (int n = 0; n < SOIL_VALUES; n++) {
        if (strcmp(key + 1, soil_values[n].key) == 0 && cb_soil_resolve(&soil, NULL) == CB_OK) {
            *kind = soil_values[n].kind;
            *si = value_of(&soil, &soil_values[n]);
            return true;
        }
    }
    return false;
}

static void add_soil(cli_facts *facts, const char *name, cb_soil soil)
{
    char key[CLI_KEY_SIZE];
    cb_error error = {0};
    if (cb_soil_resolve(&soil, &error) != CB_OK) {
        snprintf(key, sizeof key, "%s.soil", name);
        cli_fact_text(facts, key, "soil", "%s", error.message);
        return;
    }
    snprintf(key, sizeof key, "%s.water", name);
    cli_fact_quantity(facts, key, "  water by volume", CB_FRACTION, soil.water_fraction);
    for (int n = 0; n < SOIL_VALUES; n++) {
        const soil_value *value = &soil_values[n];
        snprintf(key, sizeof key, "%s.%s", name, value->key);
        cli_fact_quantity(facts, key, value->label, value->kind, value_of(&soil, value));
    }
    const double diffusivity_m2_s = soil.conductivity_w_mk / soil.heat_capacity_j_m3k;
    snprintf(key, sizeof key, "%s.annual_depth", name);
    cli_fact_note(cli_fact_quantity(facts, key, "  yearly wave falls to 1/e", CB_LENGTH,
                                    sqrt(diffusivity_m2_s * year_s / pi)),
                  "in so much depth: sqrt(a t / pi), a = %.3g m2/s", diffusivity_m2_s);
}

void cli_explain_ground(cli_facts *facts, const cli_subject *subject)
{
    const cb_design_ground *ground = &subject->inputs->design->ground;
    facts->section = "ground";
    double top_m = 0.0;
    for (int n = 0; n < ground->layer_count; n++) {
        const cb_layer *layer = &ground->layer[n];
        char name[CLI_KEY_SIZE / 2];
        char label[CLI_LABEL_SIZE];
        char top[CLI_LABEL_SIZE / 2];
        char bottom[CLI_LABEL_SIZE / 2];
        snprintf(name, sizeof name, "layers[%d]", n);
        snprintf(label, sizeof label, "layer %d", n + 1);
        cb_units_format(CB_LENGTH, facts->system, top_m, 3, top, sizeof top);
        cb_units_format(CB_LENGTH, facts->system, layer->bottom_m, 3, bottom, sizeof bottom);
        if (n + 1 < ground->layer_count) {
            cli_fact_text(facts, name, label, "%s, %s to %s", layer->soil.material, top, bottom);
        } else {
            cli_fact_text(facts, name, label, "%s, from %s down", layer->soil.material, top);
        }
        add_soil(facts, name, layer->soil);
        top_m = layer->bottom_m;
    }
    if (ground->has_backfill) {
        char width[CLI_LABEL_SIZE / 2];
        char height[CLI_LABEL_SIZE / 2];
        cb_units_format(CB_LENGTH, facts->system, ground->backfill_width_m, 3, width, sizeof width);
        cb_units_format(CB_LENGTH, facts->system, ground->backfill_height_m, 3, height,
                        sizeof height);
        cli_fact_text(facts, "backfill", "backfill", "%s, %s wide, %s high from the floor",
                      ground->backfill.material, width, height);
        add_soil(facts, "backfill", ground->backfill);
    }
    cli_fact_quantity(facts, "bottom_depth", "modelled down to", CB_LENGTH, ground->bottom_depth_m);
    const cb_grid_size *grid = subject->grid;
    cli_fact_text(facts, "grid", "grid", "%d slices of %d by %d cells%s", grid->slices, grid->nx,
                  grid->nz, grid->half ? ", half of a symmetric field" : "");
}
