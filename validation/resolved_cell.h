// SPDX-License-Identifier: MIT
/// A three-dimensional finite-volume model of half a turn of buried pipe and the soil around it.
///
/// Any centre line that mirrors itself at the middle of a turn (pipe_path.h without lift) also
/// mirrors itself half a pitch further on: an endless row is half a turn between two mirrors.
/// Strands that cross are merged: each gives off its heat, both at the same place.
///
/// A point of the centre line gives its heat to the cells around it, which are cubes, by the
/// weights (1 + cos(pi r / 2 w)) / 4 w along each axis, r and w in cells, and the wall temperature
/// is read back by the same weights. A straight line so spread and so read has the temperature that
/// the lattice's own potential gives at 1.042 cells from an ideal line for w = 1, at 2.180 for w =
/// 2, wherever it lies between the cells, to 1 % (0.0016 in k x rise per W/m) and 0.1 %. With cells
/// of a radius / 1.042, or / 2.180, that is the pipe wall, and strands that cross see each other
/// from as far as from the top of the pipe. Of other cells the ring between the two radii is added
/// as a steady resistance in the soil read at the pipe.
#ifndef COILBED_VALIDATION_RESOLVED_CELL_H
#define COILBED_VALIDATION_RESOLVED_CELL_H

#include "coilbed/ground.h"
#include "pipe_path.h"

/// Radius in cells that a line spread by w = 1 or 2 is read at; mean over places between the cells.
double resolved_radius_cells(int spread);

/// What drives it. The surface and heat must be continuous.
typedef struct resolved_drive {
    cb_surface_exchange (*surface)(const void *context, double time_s);
    double (*pipe_w_m)(const void *context, double time_s); ///< heat put into each metre of pipe
    const void *context;
} resolved_drive;

enum { RESOLVED_MAX_PATHS = 8, RESOLVED_MAX_SOILS = 8 };

typedef struct resolved_plan {
    pipe_path path[RESOLVED_MAX_PATHS]; ///< all of one pitch; straight pipes make a slice
    int paths;
    double pipe_radius_m;
    double cell_m;            ///< wanted around the pipe
    int spread;               ///< w: 1 or 2
    double surface_cell_m;    ///< wanted at the surface
    double growth, largest_m; ///< of cells away from the pipe, as cb_axis_rule
    double side_m, bottom_m;  ///< from the outermost pipe to the insulated sides; depth of the cell
    bool mirror;              ///< the trench's two sides mirror each other: model one
    cb_soil soil[RESOLVED_MAX_SOILS]; ///< resolved, from the surface down
    double soil_bottom_m[RESOLVED_MAX_SOILS];
    int soils;
    double geothermal_flux_w_m2;
    resolved_drive drive;
} resolved_plan;

/// All that is known at a state. Arrays [cells] unless said otherwise.
typedef struct resolved_cell {
    resolved_plan plan;
    int nx, ny, nz, cells; ///< cell (i, j, k) has index (i ny + j) nz + k: a column is contiguous
    cb_axis axis[3];       ///< along, across, down
    cb_soil_curve *curve[RESOLVED_MAX_SOILS];
    int *curve_of_row; ///< [nz]
    double *volume_m3;
    int *pipe_cell;       ///< [pipe_cells] that hold pipe
    double *pipe_share_m; ///< [pipe_cells] metres of pipe in each
    int pipe_cells;
    double pipe_m;
    double *temperature_c, *conductivity_w_mk, *slope_k_m3_j;
    double *along_w_k, *across_w_k, *down_w_k; ///< to the next cell of each axis; 0 at the end
    double *top_w_k;                           ///< [nx * ny] to the air
} resolved_cell;

/// NULL, with a message, if memory runs out or a path leaves the cell.
resolved_cell *resolved_cell_create(const resolved_plan *plan, cb_error *error);
resolved_cell *resolved_cell_destroy(resolved_cell *cell);

/// Uniform, or by depth: enthalpies [cells].
void resolved_cell_start(const resolved_cell *cell,
                         double (*profile_c)(const void *context, double z_m), const void *context,
                         double *enthalpy_j_m3);

/// Brings temperatures and conductances to a state.
void resolved_cell_update(resolved_cell *cell, const double *enthalpy_j_m3, double time_s);

/// Rates of the enthalpies, of an updated cell; returns the heat through the surface [W].
double resolved_cell_rates(const resolved_cell *cell, double time_s, double *rate);

/// Mean of the pipe wall [degC] of an updated cell.
double resolved_cell_wall_c(const resolved_cell *cell, double time_s);

double resolved_cell_stored_j(const resolved_cell *cell, const double *enthalpy_j_m3);

#endif
