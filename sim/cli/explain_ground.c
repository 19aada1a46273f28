// SPDX-License-Identifier: MIT
#include "cli/explain.h"
#include "coilbed/ground.h"

#include <math.h>

static const double year_s = 365.0 * 86400.0;
static const double pi = 3.14159265358979323846;

static void add_soil(cli_facts *facts, const char *name, cb_soil soil)
{
    char key[CLI_KEY_SIZE];
    cb_error error = {0};
    if (cb_soil_resolve(&soil, &error) != CB_OK) {
        snprintf(key, sizeof key, "%s.soil", name);
        cli_fact_text(facts, key, "soil", "%s", error.message);
        return;
    }
    const double diffusivity_m2_s = soil.conductivity_w_mk / soil.heat_capacity_j_m3k;
    snprintf(key, sizeof key, "%s.water", name);
    cli_fact_quantity(facts, key, "  water by volume", CB_FRACTION, soil.water_fraction);
    snprintf(key, sizeof key, "%s.conductivity", name);
    cli_fact_quantity(facts, key, "  conductivity, unfrozen", CB_CONDUCTIVITY,
                      soil.conductivity_w_mk);
    snprintf(key, sizeof key, "%s.frozen_conductivity", name);
    cli_fact_quantity(facts, key, "  conductivity, frozen", CB_CONDUCTIVITY,
                      soil.frozen_conductivity_w_mk);
    snprintf(key, sizeof key, "%s.heat_capacity", name);
    cli_fact_quantity(facts, key, "  heat capacity, unfrozen", CB_HEAT_CAPACITY,
                      soil.heat_capacity_j_m3k);
    snprintf(key, sizeof key, "%s.frozen_heat_capacity", name);
    cli_fact_quantity(facts, key, "  heat capacity, frozen", CB_HEAT_CAPACITY,
                      soil.frozen_heat_capacity_j_m3k);
    snprintf(key, sizeof key, "%s.freezing_start", name);
    cli_fact_note(cli_fact_quantity(facts, key, "  begins to freeze at", CB_TEMPERATURE,
                                    soil.freezing_start_c),
                  "unfrozen water = water x (start / T)^%.3g, T in degC", soil.freezing_exponent);
    snprintf(key, sizeof key, "%s.annual_depth", name);
    cli_fact_note(cli_fact_quantity(facts, key, "  annual wave falls to 1/e in", CB_LENGTH,
                                    sqrt(diffusivity_m2_s * year_s / pi)),
                  "sqrt(a t / pi), a = %.3g m2/s", diffusivity_m2_s);
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
            cli_fact_text(facts, name, label, "%s, %s to %s", layer->soil.texture, top, bottom);
        } else {
            cli_fact_text(facts, name, label, "%s, from %s down", layer->soil.texture, top);
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
                      ground->backfill.texture, width, height);
        add_soil(facts, "backfill", ground->backfill);
    }
    cli_fact_quantity(facts, "bottom_depth", "modelled down to", CB_LENGTH, ground->bottom_depth_m);
}
