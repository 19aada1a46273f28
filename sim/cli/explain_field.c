// SPDX-License-Identifier: MIT
#include "cli/explain.h"

#include <math.h>

static const double cubic_yard_m3 = 0.764554857984; // 0.9144^3, exact
// Radius of turns over outside diameter; common practice, no source.
static const double least_bend = 25.0;

static void add_volume(cli_facts *facts, const char *key, const char *label, double volume_m3,
                       const char *note)
{
    const bool us = facts->system == CB_UNITS_US;
    cli_fact_note(cli_fact_value(facts, key, label, volume_m3, "m3", "%.1f %s",
                                 us ? volume_m3 / cubic_yard_m3 : volume_m3, us ? "yd3" : "m3"),
                  "%s", note);
}

enum { LENGTH_SIZE = 32 };

typedef struct length_text {
    char text[2 * LENGTH_SIZE + 8];
} length_text;

static length_text as_text(const cli_facts *facts, cb_kind kind, double si)
{
    length_text out;
    cb_units_format(kind, facts->system, si, 3, out.text, LENGTH_SIZE);
    return out;
}

// "150 ft", or "100 ft to 150 ft".
static length_text span_text(const cli_facts *facts, double low_m, double high_m)
{
    length_text out = as_text(facts, CB_LENGTH, high_m);
    if (high_m - low_m > 1e-9 * high_m) {
        snprintf(out.text, sizeof out.text, "%.*s to %.*s", LENGTH_SIZE,
                 as_text(facts, CB_LENGTH, low_m).text, LENGTH_SIZE,
                 as_text(facts, CB_LENGTH, high_m).text);
    }
    return out;
}

static void add_trenches(cli_facts *facts, const cli_subject *subject)
{
    const cb_design_field *field = &subject->inputs->design->field;
    const cb_field_bill *bill = &subject->bill;
    double shortest_m = field->trench_length_m;
    for (int t = 0; t < field->trenches; t++) {
        shortest_m = fmin(shortest_m, cb_trench_length_m(field, t));
    }
    const length_text length = span_text(facts, shortest_m, field->trench_length_m);
    if (field->trenches == 1) {
        cli_fact_text(facts, "trenches", "trenches", "1 of %s", length.text);
    } else {
        cli_fact_text(facts, "trenches", "trenches", "%d of %s, %s centre to centre",
                      field->trenches, length.text,
                      as_text(facts, CB_LENGTH, field->spacing_m).text);
    }
    cli_fact_quantity(facts, "trench_total", "trench in all", CB_LENGTH, bill->trench_m);
    cli_fact_quantity(facts, "depth", "trench floor", CB_LENGTH, bill->deepest_m);
    add_volume(facts, "excavation", "to dig", bill->dug_m3,
               "to the underside of the pipe, in the ground, upright sides; loosened soil takes "
               "more room");
    const cb_design_ground *ground = &subject->inputs->design->ground;
    if (ground->has_backfill) {
        add_volume(facts, "backfill", "backfill to bring",
                   bill->trench_m * ground->backfill_width_m * ground->backfill_height_m,
                   "in place, before settling");
    }
}

static void add_runout(cli_facts *facts, const cli_subject *subject)
{
    const cb_runout *runout = &subject->inputs->design->field.runout;
    if (!runout->given) {
        return;
    }
    cli_fact_note(cli_fact_quantity(facts, "runout", "run-out trench", CB_LENGTH, runout->length_m),
                  "supply and return of %s, SDR %g, %s apart, %s deep: %s of pipe",
                  runout->pipe.nominal, runout->pipe.sdr,
                  as_text(facts, CB_SMALL_LENGTH, runout->apart_m).text,
                  as_text(facts, CB_LENGTH, runout->depth_m).text,
                  as_text(facts, CB_LENGTH, subject->bill.runout_pipe_m).text);
    add_volume(facts, "runout_excavation", "to dig for it", subject->bill.runout_dug_m3,
               "1 ft (0.3 m) wider than the pipes are apart");
}

static void add_turns(cli_facts *facts, const cli_subject *subject, cli_fact *circuit)
{
    const cb_design_field *field = &subject->inputs->design->field;
    static const char *const back[] = {[CB_RETURN_NONE] = "",
                                       [CB_RETURN_STRAIGHT] = ", and a straight return",
                                       [CB_RETURN_COIL] = ", and as many back"};
    cli_fact_note(
        circuit, "%.1f turns of %s, pitch %s, %s%s", field->trench_length_m / field->coil_pitch_m,
        as_text(facts, CB_SMALL_LENGTH, field->coil_diameter_m).text,
        as_text(facts, CB_SMALL_LENGTH, field->coil_pitch_m).text,
        field->layout == CB_UPRIGHT_COIL ? "standing" : "lying flat", back[field->coil_return]);
    const double radius_m = 0.5 * field->coil_diameter_m;
    const double outside_m = subject->inputs->pipe.outside_diameter_m;
    if (radius_m < least_bend * outside_m) {
        cli_fact_note(cli_fact_quantity(facts, "bend_radius", "CAUTION: bend radius",
                                        CB_SMALL_LENGTH, radius_m),
                      "tighter than %.0f times the outside diameter, %s (common practice, no "
                      "source): ask the pipe's maker, and lay it warm",
                      least_bend, as_text(facts, CB_SMALL_LENGTH, least_bend * outside_m).text);
    }
    if (field->coil_pitch_m < outside_m) {
        cli_fact_text(facts, "pitch", "CAUTION: pitch",
                      "%s, less than the pipe's outside diameter: turns lie on one another all "
                      "around",
                      as_text(facts, CB_SMALL_LENGTH, field->coil_pitch_m).text);
    }
}

static void add_pipe(cli_facts *facts, const cli_subject *subject)
{
    const cb_design_field *field = &subject->inputs->design->field;
    const cb_pipe *pipe = &subject->inputs->pipe;
    const cb_field_bill *bill = &subject->bill;
    cli_fact_text(facts, "pipe", "pipe", "%s, SDR %g: %s outside, %s inside", field->pipe.nominal,
                  field->pipe.sdr, as_text(facts, CB_SMALL_LENGTH, pipe->outside_diameter_m).text,
                  as_text(facts, CB_SMALL_LENGTH, pipe->inside_diameter_m).text);
    cli_fact *circuit = cli_fact_quantity(facts, "pipe_per_circuit", "pipe in each circuit",
                                          CB_LENGTH, bill->longest_circuit_m);
    if (bill->longest_circuit_m - bill->shortest_circuit_m > 1e-9 * bill->longest_circuit_m) {
        cli_fact_quantity(facts, "pipe_per_shortest_circuit", "pipe in the shortest", CB_LENGTH,
                          bill->shortest_circuit_m);
    }
    if (field->layout == CB_STRAIGHT) {
        cli_fact_note(circuit, "%d straight pipe%s", field->straight_pipes,
                      field->straight_pipes == 1 ? "" : "s");
    } else {
        add_turns(facts, subject, circuit);
    }
    const int each = bill->circuits / field->trenches;
    cli_fact_note(cli_fact_quantity(facts, "pipe_total", "pipe in all", CB_LENGTH, bill->pipe_m),
                  "%d circuit%s, %d in each trench; headers not counted", bill->circuits,
                  bill->circuits == 1 ? "" : "s", each);
    const double ratio = bill->pipe_m / bill->trench_m;
    cli_fact_value(facts, "pipe_per_trench", "pipe per length of trench", ratio, "1", "%.2f %s",
                   ratio, facts->system == CB_UNITS_US ? "ft/ft" : "m/m");
}

// Widest thing in the trench, which its ends relieve.
static void add_ends(cli_facts *facts, const cli_subject *subject)
{
    const cb_design_field *field = &subject->inputs->design->field;
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(field, leg);
    double low_m = INFINITY, high_m = -INFINITY, depth_m = 0.0;
    for (int l = 0; l < legs; l++) {
        const double half_m =
            fmax(0.5 * leg[l].coil_diameter_m, 0.5 * subject->inputs->pipe.outside_diameter_m);
        low_m = fmin(low_m, leg[l].across_m - half_m);
        high_m = fmax(high_m, leg[l].across_m + half_m);
        depth_m += leg[l].depth_m / legs;
    }
    const double share = cb_trench_end_share(field->trench_length_m, depth_m, high_m - low_m);
    cli_fact_note(
        cli_fact_quantity(facts, "trench_ends", "heat by the trench ends", CB_FRACTION, share),
        "by so much the ends relieve a trench in steady state; left out, on the safe "
        "side");
}

static void add_ratios(cli_facts *facts, const cli_subject *subject)
{
    const cli_capacity capacity = cli_capacity_at(subject->inputs->design, subject->plant, 0.0);
    if (!(capacity.heating_w > 0.0)) {
        return;
    }
    const bool us = facts->system == CB_UNITS_US;
    const double per_w = subject->bill.pipe_m / capacity.heating_w;
    const double feet_per_ton = per_w * CLI_TON_W / CLI_FOOT_M;
    cli_fact *per_ton = us ? cli_fact_value(facts, "pipe_per_capacity", "pipe per ton of heating",
                                            per_w, "m W-1", "%.0f ft/ton", feet_per_ton)
                           : cli_fact_value(facts, "pipe_per_capacity", "pipe per kW of heating",
                                            per_w, "m W-1", "%.1f m/kW", 1e3 * per_w);
    cli_fact_note(per_ton,
                  "capacity at 32 degF = 0 degC entering water; in coils 600 ft/ton = 52.0 m/kW: "
                  "common practice, no source");
    const double taken_w_m = (capacity.heating_w - capacity.heating_power_w) / subject->bill.pipe_m;
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
    add_runout(facts, subject);
    add_pipe(facts, subject);
    add_ratios(facts, subject);
    add_ends(facts, subject);
}
