// SPDX-License-Identifier: MIT
// Newton's matrix I - gamma J in the form the physics gives it.
//
// The soil's part is soil_solver.h's. Shells, fluid and entering water form a small dense border. A
// run's heat flow q to its block is an unknown of the border, so that
//     B t = r - sum over runs of w q,      q = gamma g (w . t - outermost shell),
// and with P = w . B^-1 w the border closes on itself:
//     q / (gamma g) + sum P q + outermost shell = w . B^-1 r.
// All shells of a piece but the innermost are its sleeve: q and the innermost shell give them.
#ifndef COILBED_ENGINE_NEWTON_MATRIX_H
#define COILBED_ENGINE_NEWTON_MATRIX_H

#include "engine/border.h"
#include "engine/soil_solver.h"

enum { CBX_SLEEVE = CBX_SHELLS - 1 };
typedef struct cbx_sleeve {
    double inverse[CBX_SLEEVE][CBX_SLEEVE]; // of their part of the matrix [K/J]
    double link;                            // to the innermost shell [J/K]
} cbx_sleeve;

typedef struct cbx_newton_matrix {
    cbx_system *system;
    cbx_soil_solver *soil;
    // The linearisation at one state.
    cbx_piece *piece; // [nodes]
    cb_plant_rates plant;
    double entering_c;
    // The factors for one gamma.
    double gamma;
    cbx_sleeve *sleeve; // [nodes]
    cbx_border *border; // NULL without runs
    double *border_rhs; // [border size]
    double *node_value; // [nodes] what the soil is asked, then the heat flows
} cbx_newton_matrix;

cb_status cbx_newton_matrix_create(cbx_newton_matrix **out, cbx_system *system, cb_error *error);
cbx_newton_matrix *cbx_newton_matrix_destroy(cbx_newton_matrix *matrix);

// Takes the derivatives at a state.
void cbx_newton_matrix_linearise(cbx_newton_matrix *matrix, double time_s, const double *y);

// Factors I - gamma J for the last linearisation. False if it is not positive definite.
bool cbx_newton_matrix_factor(cbx_newton_matrix *matrix, double gamma);

// Solves (I - gamma J) x = b. x and b may be the same array [system size].
void cbx_newton_matrix_solve(cbx_newton_matrix *matrix, const double *b, double *x);

// The same where the soil's right-hand side was put already (cbx_soil_solver_put of matrix->soil)
// and is not read from b. Gives scale x.
void cbx_newton_matrix_solve_put(cbx_newton_matrix *matrix, const double *b, double scale,
                                 double *x);

// The last solution's mean fluid temperature, which is no state.
double cbx_newton_matrix_mean_fluid(const cbx_newton_matrix *matrix);

#endif
