// SPDX-License-Identifier: MIT
#include "coilbed/field.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
// What a digger's bucket leaves beside the outer pipes of a run-out; common practice, no source.
static const double runout_beside_m = 0.3;

static cb_leg coil_of(const cb_design_field *field, bool outward)
{
    const double d = field->coil_diameter_m, p = field->coil_pitch_m;
    return (cb_leg){.depth_m = outward ? field->depth_m : field->coil_return_depth_m,
                    .coil_diameter_m = d,
                    .coil_pitch_m = p,
                    .upright = field->layout == CB_UPRIGHT_COIL,
                    .rings = field->coil_rings,
                    .pipe_per_metre =
                        (field->coil_rings ? pi * d : cb_coil_turn_length_m(d, p)) / p,
                    .outward = outward};
}

// One circuit on the trench's centre line.
static int legs_of_circuit(const cb_design_field *field, cb_leg legs[CB_MAX_PIPES])
{
    if (field->layout == CB_STRAIGHT) {
        for (int p = 0; p < field->straight_pipes; p++) {
            legs[p] = (cb_leg){.across_m = field->straight[p].across_m,
                               .depth_m = field->straight[p].depth_m,
                               .pipe_per_metre = 1.0,
                               .outward = p % 2 == 0};
        }
        return field->straight_pipes;
    }
    legs[0] = coil_of(field, true);
    if (field->coil_return == CB_RETURN_COIL) {
        legs[1] = coil_of(field, false);
    } else if (field->coil_return == CB_RETURN_STRAIGHT) {
        legs[1] = (cb_leg){.across_m = field->coil_return_across_m,
                           .depth_m = field->coil_return_depth_m,
                           .pipe_per_metre = 1.0};
    }
    return field->coil_return == CB_RETURN_NONE ? 1 : 2;
}

int cb_field_legs(const cb_design_field *field, cb_leg legs[CB_MAX_LEGS])
{
    static const cb_circuit_place middle = {0.0, 0.0};
    int count = 0;
    for (int c = 0; c < field->circuit_count || c == 0; c++) {
        const cb_circuit_place *place = field->circuit_count > 0 ? &field->circuit[c] : &middle;
        const int here = legs_of_circuit(field, legs + count);
        for (int l = count; l < count + here; l++) {
            legs[l].circuit = c;
            legs[l].across_m += place->across_m;
            legs[l].depth_m -= place->raised_m;
        }
        count += here;
    }
    return count;
}

double cb_trench_length_m(const cb_design_field *field, int trench)
{
    return field->length_count > 0 ? field->length_m[trench] : field->trench_length_m;
}

cb_trench_circuits cb_field_trench_circuits(const cb_design_field *field)
{
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(field, leg);
    cb_trench_circuits circuits = {.count = leg[legs - 1].circuit + 1};
    for (int l = 0; l < legs && leg[l].circuit == 0; l++) {
        circuits.pipe_per_metre += leg[l].pipe_per_metre;
        circuits.coiled_per_metre += leg[l].coil_diameter_m > 0.0 ? leg[l].pipe_per_metre : 0.0;
    }
    return circuits;
}

// ---- bill ------------------------------------------------------------------------------------

static double inside_m2(const cb_pipe *pipe)
{
    return 0.25 * pi * pipe->inside_diameter_m * pipe->inside_diameter_m;
}

static void add_runout(cb_field_bill *bill, const cb_runout *runout, const cb_pipe *pipe)
{
    bill->runout_pipe_m = 2.0 * runout->length_m;
    bill->runout_dug_m3 = runout->length_m * (runout->apart_m + runout_beside_m) *
                          (runout->depth_m + 0.5 * pipe->outside_diameter_m);
    bill->fluid_m3 += bill->runout_pipe_m * inside_m2(pipe);
}

void cb_field_bill_of(cb_field_bill *out, const cb_design_field *field, const cb_pipe *pipe,
                      const cb_pipe *runout_pipe)
{
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(field, leg);
    const double radius_m = 0.5 * pipe->outside_diameter_m;
    *out = (cb_field_bill){.shortest_circuit_m = INFINITY, .shallowest_m = INFINITY};
    for (int l = 0; l < legs; l++) {
        const double half_m = (leg[l].upright ? 0.5 * leg[l].coil_diameter_m : 0.0) + radius_m;
        out->deepest_m = fmax(out->deepest_m, leg[l].depth_m + half_m);
        out->shallowest_m = fmin(out->shallowest_m, leg[l].depth_m - half_m);
    }
    const cb_trench_circuits circuits = cb_field_trench_circuits(field);
    for (int t = 0; t < field->trenches; t++) {
        const double length_m = cb_trench_length_m(field, t),
                     circuit_m = circuits.pipe_per_metre * length_m;
        out->trench_m += length_m;
        out->pipe_m += circuits.count * circuit_m;
        out->longest_circuit_m = fmax(out->longest_circuit_m, circuit_m);
        out->shortest_circuit_m = fmin(out->shortest_circuit_m, circuit_m);
        out->longest_coiled_m = fmax(out->longest_coiled_m, circuits.coiled_per_metre * length_m);
    }
    out->circuits = circuits.count * field->trenches;
    out->dug_m3 = out->trench_m * field->trench_width_m * out->deepest_m;
    out->fluid_m3 = field->header_volume_m3 + out->pipe_m * inside_m2(pipe);
    if (field->runout.given && runout_pipe) {
        add_runout(out, &field->runout, runout_pipe);
    }
}
