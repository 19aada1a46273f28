// SPDX-License-Identifier: MIT
/// Hydraulics of the loop: friction, pump curves, and the network of circuits, headers, house pipe
/// and units that a pump drives.
///
/// Flows are volume flows [m3/s], drops pressures [Pa]; a head [m] is a height of the fluid itself.
/// Friction factors are Darcy's.
#ifndef COILBED_HYDRAULICS_H
#define COILBED_HYDRAULICS_H

#include "coilbed/loop.h"

#ifdef __cplusplus
extern "C" {
#endif

// ---- friction --------------------------------------------------------------------------------

/// Straight pipe, all Reynolds numbers: S. W. Churchill, Chemical Engineering 84 (1977) no. 24, 91.
/// @param reynolds > 0 @param relative_roughness over inside diameter, >= 0
double cb_friction_factor(double reynolds, double relative_roughness);

/// Coiled pipe. Laminar: C. M. White, Proc. Royal Society A 123 (1929) 645, the straight pipe's
/// 64/Re over 1 - (1 - (11.6/De)^0.45)^(1/0.45) above a Dean number De = Re sqrt(d/D) of 11.6.
/// Turbulent: the straight pipe's factor and 0.03 sqrt(d/D), P. Mishra, S. N. Gupta, Ind. Eng.
/// Chem. Process Des. Dev. 18 (1979) 130. Between them a smooth blend in ln Re about
/// cb_coil_transition.
/// @param curvature inside diameter over the coil's centre-line diameter; 0 or less: straight
double cb_coil_friction_factor(double reynolds, double relative_roughness, double curvature);

/// Reynolds number at which flow in a coiled pipe turns turbulent, 2300 (1 + 8.6 (d/D)^0.45):
/// E. F. Schmidt, Chemie Ingenieur Technik 39 (1967) 781; as cb_nusselt.
double cb_coil_transition(double curvature);

/// Flow at which trapped air is swept along, 2 ft/s = 0.61 m/s: common practice, no source.
double cb_purge_flow_m3_s(double inside_diameter_m);

// ---- network ---------------------------------------------------------------------------------

/// `count` equal circuits at neighbouring take-offs.
typedef struct cb_network_circuit {
    double length_m;        ///< of the pipe of one, > 0
    double coiled_length_m; ///< of it coiled, 0..length_m
    double coil_diameter_m; ///< to the middle of the pipe; unused without coiled length
    int count;              ///< >= 1
} cb_network_circuit;

/// What a network is made of; copied, nothing needs to outlive the call.
typedef struct cb_network_setup {
    const cb_network_circuit *circuit; ///< [circuit_count], in the order of their take-offs, the
                                       ///< one next to the house first
    int circuit_count;
    const cb_pipe *pipe; ///< of the circuits
    const cb_fluid *fluid;
    const cb_design *design; ///< its piping, run-out and pumps are used, and it places failures
} cb_network_setup;

/// The circuits of a field in the order of their trenches, the first one next to the house: one
/// entry for each trench. Returns their number.
int cb_network_circuits_of(const cb_design_field *field, cb_network_circuit out[CB_MAX_TRENCHES]);

typedef struct cb_network cb_network;

/// Prepares the network and solves it over the span of the fluid's data.
/// Errors: CB_BAD_INPUT with the place in the design: no circuit, lengths that are not positive, a
/// pump curve of one point, one that rises, one that meets the loop at no temperature (with
/// numbers), a drop of the units that does not grow with the flow, negative loss coefficients, pipe
/// sizes that do not exist. CB_NO_MEMORY.
cb_status cb_network_create(cb_network **out, const cb_network_setup *setup, cb_error *error);
/// The same with the circuits of the design's field (cb_network_circuits_of). @param pipe of them
cb_status cb_network_of_design(cb_network **out, const cb_design *design, const cb_pipe *pipe,
                               const cb_fluid *fluid, cb_error *error);
/// NULL is fine; returns NULL.
cb_network *cb_network_destroy(cb_network *network);

/// Circuits, each counted.
int cb_network_circuits(const cb_network *network);

/// The loop while its pumps run, or the slopes of all that over fluid temperature [1/K].
typedef struct cb_network_state {
    double flow_m3_s;           ///< of all circuits together
    double drop_pa;             ///< all round the loop = what the pumps lift
    double head_m;              ///< the same as a height of the fluid
    double pump_power_w;        ///< electric
    double heat_to_fluid_w;     ///< from the pumps
    double least_reynolds;      ///< of all circuits, in straight pipe
    double header_velocity_m_s; ///< highest in headers and house pipe; 0 without either
    double least_circuit_m3_s;  ///< flow of the circuit that has least
    double most_circuit_m3_s;
    double speed; ///< of the pumps, 1 = that of their curve; 1 without a curve
} cb_network_state;

typedef struct cb_network_result {
    cb_network_state value, slope;
} cb_network_result;

/// The operating point at a fluid temperature, the same all round the loop: from a table, by cubic
/// pieces with continuous slope that hold the solved values and slopes at most 1 K apart (where a
/// variable speed meets its end, the bend is rounded over that far). Below and above the fluid's
/// data the values at their ends, reached within 1 K; the result is then false.
bool cb_network_at(const cb_network *network, double temperature_c, cb_network_result *out);

/// Flow of the n-th circuit from the house (0 ..), from the same table: they add up to flow_m3_s.
/// @param slope receives the slope over temperature; may be NULL
double cb_network_circuit_flow_m3_s(const cb_network *network, double temperature_c, int n,
                                    double *slope);

/// Where the drop is spent, and how hard each part is driven.
typedef struct cb_network_report {
    cb_network_state state;
    /// Mean over the water that passes, so that they add up to drop_pa and, times the flow, to the
    /// power the pumps give to the fluid. The house part holds the pipe between take-offs and
    /// units, the run-out's too.
    double circuits_pa, headers_pa, house_pa, units_pa;
    double circuit_velocity_m_s, header_velocity_m_s, house_velocity_m_s; ///< highest; 0 without
    /// Friction of straight pipe, metres of head per metre, highest; 0 without such a part.
    double circuit_gradient, header_gradient, house_gradient;
    double wanted_m3_s; ///< flow the design asks for
    double hydraulic_w; ///< flow times drop
    bool beyond_curve;  ///< the pumps run where their curve has no points
    bool outside_fluid; ///< the temperature lies outside the fluid's data; solved at their end
} cb_network_report;

/// Solves anew at one temperature, to round-off.
/// @param flow_m3_s  receives the flow of each circuit, [cb_network_circuits]; may be NULL
/// Errors: CB_NO_MEMORY.
cb_status cb_network_solve(const cb_network *network, double temperature_c, cb_network_report *out,
                           double *flow_m3_s, cb_error *error);

/// Drop of a given flow all round the loop, or round the field alone, past the units as a flushing
/// cart is joined. NaN if memory runs out.
double cb_network_drop_pa(const cb_network *network, double temperature_c, double flow_m3_s,
                          bool with_units);

#ifdef __cplusplus
}
#endif
#endif
