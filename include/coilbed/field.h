// SPDX-License-Identifier: MIT
/// The geometry of the buried field, from the design alone: where pipe lies, how much of it there
/// is, what has to be dug. It knows the design's structs and nothing else, so that the design's own
/// checks can use it.
#ifndef COILBED_FIELD_H
#define COILBED_FIELD_H

#include "coilbed/design.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cb_pipe {
    double outside_diameter_m;
    double inside_diameter_m; ///< with the average wall (inch: 1.06 x the minimum; mm: mean)
} cb_pipe;

// ---- coil geometry ---------------------------------------------------------------------------

/// Length of pipe in one turn of the flat coil x = p t/2pi + R cos t, y = R sin t [m], exact by the
/// complete elliptic integral of the second kind (arithmetic-geometric mean).
/// @param coil_diameter_m 2R > 0; @param pitch_m p > 0
double cb_coil_turn_length_m(double coil_diameter_m, double pitch_m);

/// Share of the coil's pipe length that lies between y_low and y_high across the trench (0..1),
/// from the exact curve. Whole width gives 1, an empty or reversed span 0, NaN gives NaN.
double cb_coil_share(double coil_diameter_m, double pitch_m, double y_low_m, double y_high_m);

// ---- layout ----------------------------------------------------------------------------------

enum { CB_MAX_LEGS = CB_MAX_CIRCUITS * CB_MAX_PIPES };

/// One leg of a circuit in its trench: where its pipe lies across the trench and how much there is.
typedef struct cb_leg {
    int circuit;            ///< of its trench
    double across_m;        ///< centre, from the trench centre line
    double depth_m;         ///< centre, below the surface
    double coil_diameter_m; ///< 0 for a straight pipe
    double coil_pitch_m;
    bool upright;          ///< of a coil
    bool rings;            ///< closed, as cb_design_field's coil_rings
    double pipe_per_metre; ///< metres of pipe per metre of trench
    bool outward;          ///< away from the header end
} cb_leg;

/// Legs of one trench, circuit by circuit, each in the order the water visits them. Returns their
/// number.
int cb_field_legs(const cb_design_field *field, cb_leg legs[CB_MAX_LEGS]);

/// Length of trench number 0 .. trenches - 1 [m].
double cb_trench_length_m(const cb_design_field *field, int trench);

/// A trench's circuits, which are all alike.
typedef struct cb_trench_circuits {
    int count;
    double pipe_per_metre;   ///< of one circuit, metres of pipe per metre of trench ...
    double coiled_per_metre; ///< ... and of it, coiled
} cb_trench_circuits;

cb_trench_circuits cb_field_trench_circuits(const cb_design_field *field);

/// What has to be bought and dug.
typedef struct cb_field_bill {
    int circuits;             ///< of the whole field
    double trench_m;          ///< all trenches, without the run-out
    double pipe_m;            ///< all circuits
    double longest_circuit_m; ///< pipe of the longest circuit ...
    double shortest_circuit_m;
    double longest_coiled_m; ///< ... and of it, coiled
    double runout_pipe_m;    ///< supply and return
    double deepest_m;        ///< underside of the deepest pipe
    double shallowest_m;     ///< top of the shallowest pipe of the trenches
    double dug_m3;           ///< upright sides, to the underside of the pipe
    double runout_dug_m3;    ///< as wide as the pipes are apart plus 0.3 m
    double fluid_m3;         ///< pipe, run-out and what the design gives for the headers
} cb_field_bill;

/// Adds up a field. @param runout_pipe of the run-out; NULL if there is none
void cb_field_bill_of(cb_field_bill *out, const cb_design_field *field, const cb_pipe *pipe,
                      const cb_pipe *runout_pipe);

#ifdef __cplusplus
}
#endif
#endif
