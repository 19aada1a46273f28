// SPDX-License-Identifier: MIT
#include "cli/explain.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const double cubic_yard_m3 = 0.764554857984; // 0.9144^3, exact

cli_layout cli_layout_of(const cb_design *design, const cb_pipe *pipe)
{
    const cb_design_field *field = &design->field;
    cli_layout layout = {.trench_m = field->trenches * field->trench_length_m,
                         .deepest_m = field->depth_m};
    if (field->layout == CB_FLAT_COIL) {
        const double turns = field->trench_length_m / field->coil_pitch_m;
        layout.coil_m = turns * cb_coil_turn_length_m(field->coil_diameter_m, field->coil_pitch_m);
        layout.circuit_m = layout.coil_m;
        if (field->coil_return_in_trench) {
            layout.circuit_m += field->trench_length_m;
            layout.deepest_m = fmax(layout.deepest_m, field->coil_return_depth_m);
        }
    } else {
        layout.circuit_m = field->straight_pipes * field->trench_length_m;
        layout.deepest_m = 0.0;
        for (int n = 0; n < field->straight_pipes; n++) {
            layout.deepest_m = fmax(layout.deepest_m, field->straight[n].depth_m);
        }
    }
    layout.pipe_m = field->trenches * layout.circuit_m;
    layout.fluid_m3 = field->header_volume_m3 +
                      layout.pipe_m * pi / 4.0 * pipe->inside_diameter_m * pipe->inside_diameter_m;
    return layout;
}

static void add_volume(cli_facts *facts, const char *key, const char *label, double volume_m3,
                       const char *note)
{
    const bool us = facts->system == CB_UNITS_US;
    cli_fact_note(cli_fact_value(facts, key, label, volume_m3, "m3", "%.1f %s",
                                 us ? volume_m3 / cubic_yard_m3 : volume_m3, us ? "yd3" : "m3"),
                  "%s", note);
}

static void add_trenches(cli_facts *facts, const cli_subject *subject)
{
    const cb_design_field *field = &subject->inputs->design->field;
    char length[CLI_LABEL_SIZE];
    char spacing[CLI_LABEL_SIZE];
    cb_units_format(CB_LENGTH, facts->system, field->trench_length_m, 3, length, sizeof length);
    cb_units_format(CB_LENGTH, facts->system, field->spacing_m, 3, spacing, sizeof spacing);
    if (field->trenches == 1) {
        cli_fact_text(facts, "trenches", "trenches", "1 of %s", length);
    } else {
        cli_fact_text(facts, "trenches", "trenches", "%d of %s, %s centre to centre",
                      field->trenches, length, spacing);
    }
    const double dug_m3 =
        subject->layout.trench_m * field->trench_width_m *
        (subject->layout.deepest_m + subject->inputs->pipe.outside_diameter_m / 2.0);
    cli_fact_quantity(facts, "trench_total", "trench in all", CB_LENGTH, subject->layout.trench_m);
    cli_fact_quantity(facts, "depth", "deepest pipe", CB_LENGTH, subject->layout.deepest_m);
    add_volume(facts, "excavation", "to dig", dug_m3,
               "to the underside of the pipe, in the ground, upright sides; loosened soil takes "
               "more room");
    const cb_design_ground *ground = &subject->inputs->design->ground;
    if (ground->has_backfill) {
        add_volume(facts, "backfill", "backfill to bring",
                   subject->layout.trench_m * ground->backfill_width_m * ground->backfill_height_m,
                   "in place, before settling");
    }
}

static void add_pipe(cli_facts *facts, const cli_subject *subject)
{
    const cb_design_field *field = &subject->inputs->design->field;
    const cb_pipe *pipe = &subject->inputs->pipe;
    char outside[CLI_LABEL_SIZE];
    char inside[CLI_LABEL_SIZE];
    cb_units_format(CB_SMALL_LENGTH, facts->system, pipe->outside_diameter_m, 4, outside,
                    sizeof outside);
    cb_units_format(CB_SMALL_LENGTH, facts->system, pipe->inside_diameter_m, 4, inside,
                    sizeof inside);
    cli_fact_text(facts, "pipe", "pipe", "%s, SDR %g: %s outside, %s inside", field->pipe.nominal,
                  field->pipe.sdr, outside, inside);
    cli_fact *circuit = cli_fact_quantity(facts, "pipe_per_circuit", "pipe in each circuit",
                                          CB_LENGTH, subject->layout.circuit_m);
    if (field->layout == CB_FLAT_COIL) {
        char pitch[CLI_LABEL_SIZE];
        char diameter[CLI_LABEL_SIZE];
        cb_units_format(CB_SMALL_LENGTH, facts->system, field->coil_pitch_m, 3, pitch,
                        sizeof pitch);
        cb_units_format(CB_SMALL_LENGTH, facts->system, field->coil_diameter_m, 3, diameter,
                        sizeof diameter);
        cli_fact_note(circuit, "%.1f turns of %s, pitch %s%s",
                      field->trench_length_m / field->coil_pitch_m, diameter, pitch,
                      field->coil_return_in_trench ? ", and a straight return" : "");
    } else {
        cli_fact_note(circuit, "%d straight pipes", field->straight_pipes);
    }
    cli_fact_note(
        cli_fact_quantity(facts, "pipe_total", "pipe in all", CB_LENGTH, subject->layout.pipe_m),
        "%d circuit%s, one in each trench; headers not counted", field->trenches,
        field->trenches == 1 ? "" : "s");
    const double ratio = subject->layout.pipe_m / subject->layout.trench_m;
    const bool us = facts->system == CB_UNITS_US;
    cli_fact_value(facts, "pipe_per_trench", "pipe per length of trench", ratio, "1", "%.2f %s",
                   ratio, us ? "ft/ft" : "m/m");
}

static void add_ratios(cli_facts *facts, const cli_subject *subject)
{
    const cli_capacity capacity = cli_capacity_at(subject->inputs->design, subject->plant, 0.0);
    if (!(capacity.heating_w > 0.0)) {
        return;
    }
    const bool us = facts->system == CB_UNITS_US;
    const double per_w = subject->layout.pipe_m / capacity.heating_w;
    const double feet_per_ton = per_w * CLI_TON_W / CLI_FOOT_M;
    cli_fact *per_ton = us ? cli_fact_value(facts, "pipe_per_capacity", "pipe per ton of heating",
                                            per_w, "m W-1", "%.0f ft/ton", feet_per_ton)
                           : cli_fact_value(facts, "pipe_per_capacity", "pipe per kW of heating",
                                            per_w, "m W-1", "%.1f m/kW", 1e3 * per_w);
    cli_fact_note(per_ton,
                  "capacity at 32 degF = 0 degC entering water; in coils 600 ft/ton = 52.0 m/kW: "
                  "common practice, no source");
    const double taken_w_m =
        (capacity.heating_w - capacity.heating_power_w) / subject->layout.pipe_m;
    cli_fact *taken = us ? cli_fact_value(facts, "extraction", "heat taken at full output",
                                          taken_w_m, "W m-1", "%.1f BTU/h per ft of pipe",
                                          taken_w_m * CLI_FOOT_M * 12000.0 / CLI_TON_W)
                         : cli_fact_value(facts, "extraction", "heat taken at full output",
                                          taken_w_m, "W m-1", "%.1f W per m of pipe", taken_w_m);
    cli_fact_note(taken, "all units on, entering water as above");
}

void cli_explain_field(cli_facts *facts, const cli_subject *subject)
{
    facts->section = "field";
    add_trenches(facts, subject);
    add_pipe(facts, subject);
    add_ratios(facts, subject);
}
