// SPDX-License-Identifier: MIT
// The coupled ODE system: what its states are, where they stand, and their rates.
//
// State vector: soil enthalpies of each slice's section; then, for each slice and pipe run, the
// enthalpies of its shells [J/m3]; then, for each slice and run, the mean fluid temperature of that
// piece of pipe [degC]; then the entering water temperature [degC] and how far the hot water tank
// is above its start [K], so that a relative tolerance binds it tightly; all but the soil only
// where there are runs; last the heat taken in so far through the surface and from the plant [J].
//
// Those two are states, and not integrals of the finished solution, so that Newton's method carries
// them along: what the energy audit then finds missing was lost between cells, shells, fluid and
// the halves of a section, and not in an iteration stopped at its tolerance.
//
// Trenches may be shorter than the slices reach: a piece is there with a share of its slice, 0
// to 1. Without any it keeps its states, which rest.
//
// How much water flows, and how it splits among the circuits, follows the mean temperature of the
// fluid in the pipes: one number that every flow has its slope over.
//
// A half section of a symmetric field is scaled by 2 and a mirrored trench's pipe by 2, so that all
// heat flows are those of the whole field.
#ifndef COILBED_ENGINE_SYSTEM_H
#define COILBED_ENGINE_SYSTEM_H

#include "coilbed/hydraulics.h"
#include "coilbed/plant.h"
#include "engine/crew.h"
#include "engine/forcing.h"
#include "ground/sweep.h"
#include "loop/near_field.h"

// Film resistance against fluid temperature, on a uniform table. The flow is that of a loop which
// is as warm throughout: a piece a kelvin off the mean has its flow a percent off, and its film
// less.
enum { CBX_FILM_NODES = 256 };
typedef struct cbx_film_table {
    double low_c, step_k;
    double resistance_mk_w[CBX_FILM_NODES];
} cbx_film_table;

// One part of one trench in the section, or a pipe of the run-out.
typedef struct cbx_run {
    int trench; // of the section; the run-out's comes after the field's
    bool runout;
    double multiplicity; // real trenches it stands for
    double length_m;     // of one of them
    cb_leg leg;
    double pipe_per_metre; // of trench
    cbx_near_field near_field;
    int block_cells;
    int *cell;                          // [block_cells] section cells that hold the pipe
    double *weight;                     // [block_cells] share of the pipe in each, sums to 1
    int soil;                           // curve of the shells
    double shell_volume_m3[CBX_SHELLS]; // in one whole slice, all real trenches
    double
        shell_half_log[CBX_SHELLS]; // log(outer / middle radius), the same as log(middle / inner)
    double pipe_m;                  // in one whole slice, all real trenches
    double fluid_capacity_j_k;      // fluid and pipe wall in one whole slice
    double circuits;                // real ones whose flow it carries
    bool leads;                     // the first of its circuits' runs
    int circuit, mirrored;          // their numbers in the network; the second may be -1
    cbx_film_table film;
    double wall_resistance_mk_w;
} cbx_run;

// Heat capacity flow while the circulators run [W/K], and its slope over the mean fluid.
typedef struct cbx_flow {
    double value, slope;
} cbx_flow;

// What flows at a state, were the circulators running.
typedef struct cbx_water {
    double mean_c;
    cbx_flow *run; // [run_count], all real trenches of each
    cbx_flow all;
    cb_plant_point point; // what the plant was asked, and its answer
    cb_plant_rates plant;
} cbx_water;

enum { CBX_MAX_SLICES = 64, CBX_TOGETHER = 2 };
enum { CBX_SUPPLY = -1, CBX_MIXED = -2 }; // upstream: of the heat pumps; of all circuits' ends

typedef struct cbx_system {
    const cb_design *design;
    cbx_crew *crew; // shares out the slices; not owned; NULL: the caller alone
    int slices, run_count;
    int trenches;        // of the field, in the section
    cb_section *section; // one geometry for all slices
    double **volume_m3;  // [slices][cells] of soil, without pipe and shells
    double *pipe_heat_w; // [slices * cells] workspace: into the soil, 0 where no pipe is
    double **sweep_work; // [slices][cbx_sweep_room]
    cbx_run *run;        // [run_count]
    double *share;       // [nodes] of the slice that the piece lies in
    int *upstream;       // [nodes] fluid node before each, or one of the two below
    int *path;           // [path_length] nodes with pipe, upstream first
    int path_length;
    bool *end_of_circuit; // [nodes]
    bool *returns;        // [nodes] whose outlet is what enters the heat pumps
    int *behind, *ahead;  // [nodes] neighbours on the same part in the direction of flow; the
                          // node itself at the part's ends
    cb_soil_curve **curves;
    int curve_count;
    double volume_capacity_j_m3k; // of the fluid
    double wanted_flow_w_k;       // of one circuit
    double header_capacity_j_k;
    double circuits; // real ones, of the whole field
    cb_network *network;
    double *fluid_weight; // [nodes] in the mean fluid temperature; they add up to 1
    cbx_water *water;     // workspace: of the last cbx_plant_at
    cb_plant *plant;
    double tank_capacity_j_k; // 1 without a tank, whose temperature then rests
    double tank_start_c;
    cbx_forcing forcing;
    int size; // of the state vector
} cbx_system;

// Calls task(context, slice) for all slices, on the crew. What is moved from one processor to
// another costs more than working on it: those that are solved side by side are always one
// thread's.
static inline void cbx_run_slices(const cbx_system *system, cbx_crew_task *task, void *context)
{
    cbx_crew_run_together(system->crew, task, context, system->slices, CBX_TOGETHER);
}

static inline int cbx_section_at(const cbx_system *system, int slice)
{
    return slice * system->section->cells;
}
static inline int cbx_node_count(const cbx_system *system)
{
    return system->slices * system->run_count;
}
static inline int cbx_node(const cbx_system *system, int slice, int run)
{
    return slice * system->run_count + run;
}
static inline const cbx_run *cbx_run_of(const cbx_system *system, int node)
{
    return &system->run[node % system->run_count];
}
static inline int cbx_shell_at(const cbx_system *system, int node)
{
    return system->slices * system->section->cells + node * CBX_SHELLS;
}
static inline int cbx_fluid_at(const cbx_system *system, int node)
{
    return system->slices * (system->section->cells + system->run_count * CBX_SHELLS) + node;
}
static inline int cbx_entering_at(const cbx_system *system)
{
    return system->size - 4;
}
static inline int cbx_tank_at(const cbx_system *system)
{
    return system->size - 3;
}
static inline int cbx_surface_heat_at(const cbx_system *system)
{
    return system->size - 2;
}
static inline int cbx_loop_heat_at(const cbx_system *system)
{
    return system->size - 1;
}

static inline double cbx_tank_c(const cbx_system *system, const double *y)
{
    return system->tank_start_c + y[cbx_tank_at(system)];
}

// The wall's change along a piece is this times (ahead - behind): central inside a leg, one-sided
// at its ends.
static inline double cbx_gradient_weight(const cbx_system *system, int node)
{
    return system->ahead[node] != node && system->behind[node] != node ? 0.5 : 1.0;
}

// Everything the rates of one pipe piece depend on, at a state.
typedef struct cbx_piece {
    double block_c;                                      // weighted mean of the block's cells
    double shell_c[CBX_SHELLS], shell_slope[CBX_SHELLS]; // T and dT/dH
    double shell_w_k[CBX_SHELLS + 1]; // [0] unused; [n] between shell n-1 and n; last: to block
    double fluid_c, inlet_c, outlet_c;
    double exchange_w_k;     // fluid to first shell
    double exchange_slope;   // its derivative by fluid temperature
    double flow_w_k;         // heat capacity flow, all real trenches, hour's mean
    cb_plant_slopes flow_by; // its derivatives
    double mixing;           // share of all circuits' water, and its slope over the mean fluid
    double mixing_slope;
    double gradient_k; // change of wall temperature along the piece, with the flow
    double alike;      // 1: its neighbours hold ice alike, 0: one is thawing and the other not
    double outlet_by_fluid, outlet_by_shell, outlet_by_flow, outlet_by_gradient; // of outlet_c
    double wall_c;                                                               // outer pipe wall
} cbx_piece;

// Fills all pieces [nodes] from a state vector.
void cbx_pieces(const cbx_system *system, const double *y, double dryness,
                const cb_plant_rates *plant, cbx_piece *piece);

// Outer pipe wall of one piece at a state [degC].
double cbx_wall_c(const cbx_system *system, int node, double dryness, const double *y);

// Plant and flows at a state; those go to system->water. Zero rates without runs.
cb_plant_rates cbx_plant_at(const cbx_system *system, const cbx_forcing_point *forcing,
                            const double *y);

// dy/dt. `piece` is workspace [nodes]. Returns 0, or 1 if a state is not finite.
int cbx_system_rates(cbx_system *system, double time_s, const double *y, double *rate,
                     cbx_piece *piece);

// Its two parts. First what is not a slice's: the rates of entering water, tank and the plant's
// heat; all pieces are filled. Returns what drives the soil.
cbx_forcing_point cbx_loop_rates(cbx_system *system, double time_s, const double *y, double *rate,
                                 cbx_piece *piece);

// Then a slice: the rates of its shells and fluid, and its soil column by column. The heat of the
// pipes (pipe_heat_w) is not in what `take` gets. Slices may be taken at the same time. Returns the
// heat through the surface [W].
typedef struct cbx_slice_point {
    const double *y; // [size]
    const cbx_forcing_point *forcing;
    const cbx_piece *piece; // [nodes]
    double *rate;           // [size], its soil is left alone
} cbx_slice_point;
double cbx_slice_rates(const cbx_system *system, int slice, const cbx_slice_point *at,
                       cbx_column_taker *take, void *context);

// The tank's step in Newton's method for BDF, nonlinear as it is: x with
//     C x - gamma (Q(y + x) - Q(y)) = C right,
// the other unknowns' steps given, from the last cbx_plant_at. Its element and draw bend within
// minutes, while a matrix serves for hours; and among thousands of states in a root mean square the
// tank's error would not be noticed.
typedef struct cbx_tank_request {
    double gamma_s, right_k;
    double entering_k, fluid_k; // steps of entering water and mean fluid
} cbx_tank_request;
double cbx_tank_step(const cbx_system *system, const cbx_tank_request *ask);

// Between the headers' water and the last piece of a circuit while nothing is pumped [W/K]: slow
// natural circulation and conduction, taken as 0.2 % of the flow (no source; it only keeps resting
// headers from remembering last winter, and is lost beside the pumped flow).
double cbx_standing_w_k(const cbx_system *system, int node);

// Heat stored in soil, shells, fluid [J].
double cbx_system_stored_j(const cbx_system *system, const double *y);

// Geothermal heat into all slices [W].
double cbx_bottom_heat_w(const cbx_system *system);

// Film resistance and its slope from a table; constant beyond its ends.
double cbx_film_at(const cbx_film_table *table, double temperature_c, double *slope);

// Volume flow in one of a run's real circuits, the mean of two where it stands for both, with the
// whole loop at a temperature [m3/s].
double cbx_run_flow_m3_s(const cbx_system *system, const cbx_run *run, double temperature_c,
                         double *slope);

#endif
