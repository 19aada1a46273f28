// SPDX-License-Identifier: MIT
// The near field: radial shells of soil between a pipe's wall and the section's cells that hold it.
//
// The section sees a pipe leg as heat put into a block of cells. It cannot see how the pipe lies
// inside the block, so shells from the pipe's radius r_o out to r_e carry that. r_e is chosen so
// that, in steady state and uniform soil under an isothermal surface, wall temperature is the exact
// one: R_offset = (exact rise - the discrete section's own rise), r_e = r_o exp(2 pi k R_offset).
// The exact rise of a coil is the line-source kernel along its own curve (cb_coil_steady_rise), not
// a row of parallel pipes; of a straight pipe it is the line source (Carslaw & Jaeger sec. 10).
// Where turns cross and bend they warm each other within hours, which shells as wide as that would
// let come late. So shells end at 1 / (2 pi lambda), the offset of a row of pipes as dense as the
// coil is on average (lambda metres of pipe per m2 of its plane), and what is left of the offset is
// a resistance at the wall: it is the same from the first day to the steady state. Both rises are
// taken with the same image plane, so depth drops out of r_e to a good approximation.
#ifndef COILBED_LOOP_NEAR_FIELD_H
#define COILBED_LOOP_NEAR_FIELD_H

#include "coilbed/loop.h"

enum { CBX_SHELLS = 4, CBX_MAX_BLOCK = 256, CBX_MAX_PARTS = 2 * CB_MAX_LEGS };

// What has one temperature in a slice: a leg, or the upper or lower half of upright turns, for the
// ground is colder above than below.
typedef struct cbx_part {
    cb_leg leg;
    double low_m, high_m; // of the turns' height, downwards from their middle; 0, 0: all of the leg
    double pipe_per_metre; // metres of pipe per metre of trench
    int pass;              // parts of one pass are visited slice by slice, others one after another
} cbx_part;

// The block of equal cells that stands for a leg in the section.
typedef struct cbx_block {
    int across, rows;         // cells; the middle lies on an edge if across is even
    double width_m, height_m; // of the whole block
} cbx_block;

// How a pipe is joined to its block.
typedef struct cbx_near_field {
    double inner_m;                  // pipe outer radius r_o
    double outer_m;                  // of the shells
    double radius_m[CBX_SHELLS + 1]; // shell edges, logarithmic
    double crossing; // resistance at the wall, times the soil's conductivity and per metre of pipe
    double shell_share; // volume of pipe and shells over volume of the block
} cbx_near_field;

// Parts of one trench in the order the water visits them. Returns their number.
int cbx_parts(const cb_design_field *field, cbx_part parts[CBX_MAX_PARTS]);

// Exact steady rise of the pipe wall per unit heat per metre of pipe, times k, in uniform soil
// under an isothermal surface.
double cbx_steady_rise(const cb_leg *leg, double pipe_radius_m);

// Cell sizes wanted at the pipe.
typedef struct cbx_cell_wish {
    double across_m, height_m;
    bool one_column; // of a straight pipe; otherwise it lies between two
} cbx_cell_wish;

// Chooses block and near field of a whole leg. Blocks grow thicker where turns are so dense that
// shells would have no room.
void cbx_near_field_choose(const cb_leg *leg, double pipe_radius_m, const cbx_cell_wish *wish,
                           cbx_block *block, cbx_near_field *near_field);

// Share of a leg's pipe between two distances across or down from its middle. A coil carries more
// pipe on the side where its arcs run with the trench; which side that is the layer of the pipe
// decides, so both are taken alike.
double cbx_share_across(const cb_leg *leg, const cbx_block *block, double low_m, double high_m);
double cbx_share_down(const cb_leg *leg, const cbx_block *block, double low_m, double high_m);

#endif
