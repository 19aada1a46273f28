// SPDX-License-Identifier: MIT
// One column of soil, with or without snow on it, stepped implicitly in time.
#ifndef GROUND_COLUMN_H
#define GROUND_COLUMN_H

#include "ground/snow.h"

typedef struct cbx_column cbx_column;

// What drives the column through a step; constant during it.
typedef struct cbx_drive {
    double duration_s;
    cb_surface_exchange top; // of what the sun sees: snow, or the cover
    double cover_m2k_w;      // between that and the soil
    double dryness;
    bool bottom_given;
    double bottom_c; // of the lower side of the deepest cell; otherwise the section's flux
} cbx_drive;

// Means over a step.
typedef struct cbx_step {
    double top_c;     // what the sun sees
    double soil_w_m2; // into the soil
    double soil_surface_c;
} cbx_step;

// Errors: CB_NO_MEMORY.
cb_status cbx_column_make(cbx_column **out, const cb_section *section, cb_error *error);
cbx_column *cbx_column_unmake(cbx_column *column);

double *cbx_column_enthalpy_j_m3(cbx_column *column);       // [nz], may be set
const double *cbx_column_temperature_c(cbx_column *column); // [nz], of the enthalpies

// Advances soil and snow heat by the two-stage singly diagonally implicit Runge-Kutta method of
// order two that is L-stable and stiffly accurate (gamma = 1 - 1/sqrt 2; Alexander 1977), Newton's
// method in each stage on the enthalpies. Heat is conserved to round-off whatever Newton leaves. A
// step that does not converge is halved. False if that does not help either.
bool cbx_column_advance(cbx_column *column, cbx_snow *snow, const cbx_drive *drive, cbx_step *step);

#endif
