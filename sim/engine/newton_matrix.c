// SPDX-License-Identifier: MIT
#include "engine/newton_matrix.h"

#include <stdlib.h>
#include <string.h>

enum { LAST_ENTERING, LAST_MEAN, LAST_TANK, LAST }; // the border's unknowns of the whole loop

cb_status cbx_newton_matrix_create(cbx_newton_matrix **out, cbx_system *system, cb_error *error)
{
    *out = NULL;
    const int nodes = cbx_node_count(system);
    cbx_newton_matrix *matrix = calloc(1, sizeof *matrix);
    if (!matrix) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the linear solver");
    }
    matrix->system = system;
    matrix->piece = calloc((size_t)nodes + 1, sizeof *matrix->piece);
    matrix->sleeve = calloc((size_t)nodes + 1, sizeof *matrix->sleeve);
    matrix->node_value = calloc((size_t)nodes + 1, sizeof *matrix->node_value);
    cb_status status = cbx_soil_solver_create(&matrix->soil, system, error);
    if (status == CB_OK && nodes > 0) {
        status = cbx_border_create(&matrix->border, system->slices, system->run_count, LAST, error);
    }
    const int border = matrix->border ? cbx_border_size(matrix->border) : 0;
    matrix->border_rhs = calloc((size_t)border + 1, sizeof *matrix->border_rhs);
    if (status == CB_OK &&
        (!matrix->piece || !matrix->sleeve || !matrix->border_rhs || !matrix->node_value)) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory for the linear solver");
    }
    if (status != CB_OK) {
        cbx_newton_matrix_destroy(matrix);
        return status;
    }
    *out = matrix;
    return CB_OK;
}

cbx_newton_matrix *cbx_newton_matrix_destroy(cbx_newton_matrix *matrix)
{
    if (matrix) {
        cbx_soil_solver_destroy(matrix->soil);
        cbx_border_destroy(matrix->border);
        free(matrix->piece);
        free(matrix->sleeve);
        free(matrix->border_rhs);
        free(matrix->node_value);
        free(matrix);
    }
    return NULL;
}

void cbx_newton_matrix_linearise(cbx_newton_matrix *matrix, double time_s, const double *y)
{
    cbx_system *system = matrix->system;
    const cbx_forcing_point forcing = cbx_forcing_at(&system->forcing, time_s);
    matrix->plant = cbx_plant_at(system, &forcing, y);
    matrix->entering_c = system->run_count > 0 ? y[cbx_entering_at(system)] : 0.0;
    cbx_pieces(system, y, forcing.dryness, &matrix->plant, matrix->piece);
    cbx_soil_solver_linearise(matrix->soil, y, &forcing);
}

static int fluid_at(const cbx_newton_matrix *matrix, int node)
{
    return cbx_fluid_row(matrix->border, node);
}

static int last_at(const cbx_newton_matrix *matrix, int which)
{
    return cbx_loop_row(matrix->border, which);
}

// Adds factor times derivatives over entering water, mean fluid and tank to a row.
static void add_slopes(const cbx_newton_matrix *matrix, int row, double factor,
                       const cb_plant_slopes *by)
{
    cbx_border_add(matrix->border, row, last_at(matrix, LAST_ENTERING), factor * by->entering);
    cbx_border_add(matrix->border, row, last_at(matrix, LAST_MEAN), factor * by->fluid);
    cbx_border_add(matrix->border, row, last_at(matrix, LAST_TANK), factor * by->tank);
}

// Adds factor times the derivatives of a piece's outlet to a row.
static void add_outlet(const cbx_newton_matrix *matrix, int row, int node, double factor)
{
    const cbx_piece *piece = &matrix->piece[node];
    cbx_border_add(matrix->border, row, fluid_at(matrix, node), factor * piece->outlet_by_fluid);
    cbx_border_add(matrix->border, row, cbx_shell_row(node), factor * piece->outlet_by_shell);
    const double by_gradient =
        factor * piece->outlet_by_gradient * cbx_gradient_weight(matrix->system, node);
    cbx_border_add(matrix->border, row, cbx_shell_row(matrix->system->ahead[node]), by_gradient);
    cbx_border_add(matrix->border, row, cbx_shell_row(matrix->system->behind[node]), -by_gradient);
    add_slopes(matrix, row, factor * piece->outlet_by_flow, &piece->flow_by);
}

static void add_inlet(const cbx_newton_matrix *matrix, int row, int node, double factor)
{
    const cbx_system *system = matrix->system;
    const int before = system->upstream[node];
    if (before == CBX_SUPPLY) {
        cbx_border_add(matrix->border, row, last_at(matrix, LAST_ENTERING), factor);
        add_slopes(matrix, row, factor, &matrix->plant.loop_rise_by);
    } else if (before != CBX_MIXED) {
        add_outlet(matrix, row, before, factor);
    }
    for (int end = 0; before == CBX_MIXED && end < cbx_node_count(system); end++) {
        if (system->end_of_circuit[end]) {
            const cbx_piece *piece = &matrix->piece[end];
            add_outlet(matrix, row, end, factor * piece->mixing);
            cbx_border_add(matrix->border, row, last_at(matrix, LAST_MEAN),
                           factor * piece->mixing_slope * piece->outlet_c);
        }
    }
}

// Inverts a symmetric matrix that needs no pivoting.
static void invert(double a[CBX_SLEEVE][CBX_SLEEVE])
{
    for (int p = 0; p < CBX_SLEEVE; p++) {
        const double pivot = 1.0 / a[p][p];
        a[p][p] = 1.0;
        for (int n = 0; n < CBX_SLEEVE; n++) {
            a[p][n] *= pivot;
        }
        for (int row = 0; row < CBX_SLEEVE; row++) {
            const double factor = a[row][p];
            for (int n = 0; row != p && n < CBX_SLEEVE; n++) {
                a[row][n] = (n == p ? 0.0 : a[row][n]) - factor * a[p][n];
            }
        }
    }
}

static void fill_sleeve(cbx_newton_matrix *matrix, int node)
{
    const cbx_run *run = cbx_run_of(matrix->system, node);
    const cbx_piece *piece = &matrix->piece[node];
    const double share = matrix->system->share[node];
    cbx_sleeve *sleeve = &matrix->sleeve[node];
    *sleeve = (cbx_sleeve){.link = matrix->gamma * piece->shell_w_k[1]};
    for (int n = 0; n < CBX_SLEEVE; n++) {
        const double outward = n + 1 < CBX_SLEEVE ? matrix->gamma * piece->shell_w_k[n + 2] : 0.0;
        sleeve->inverse[n][n] = share * run->shell_volume_m3[n + 1] / piece->shell_slope[n + 1] +
                                matrix->gamma * piece->shell_w_k[n + 1] + outward;
        if (n + 1 < CBX_SLEEVE) {
            sleeve->inverse[n][n + 1] = sleeve->inverse[n + 1][n] = -outward;
        }
    }
    invert(sleeve->inverse);
}

// The innermost shell's. Those around it follow from it and from q.
static void fill_shell_row(const cbx_newton_matrix *matrix, int node)
{
    const cbx_run *run = cbx_run_of(matrix->system, node);
    const cbx_piece *piece = &matrix->piece[node];
    const cbx_sleeve *sleeve = &matrix->sleeve[node];
    const double share = matrix->system->share[node], gamma = matrix->gamma, link = sleeve->link;
    const double drop = piece->shell_c[0] - piece->fluid_c;
    const int row = cbx_shell_row(node);
    cbx_border_add(matrix->border, row, row,
                   share * run->shell_volume_m3[0] / piece->shell_slope[0] +
                       gamma * piece->exchange_w_k + link * (1.0 - sleeve->inverse[0][0] * link));
    cbx_border_add(matrix->border, row, cbx_flow_row(node),
                   -link * sleeve->inverse[0][CBX_SLEEVE - 1]);
    cbx_border_add(matrix->border, row, fluid_at(matrix, node),
                   gamma * (piece->exchange_slope * drop - piece->exchange_w_k));
}

static void fill_fluid_row(const cbx_newton_matrix *matrix, int node)
{
    const cbx_run *run = cbx_run_of(matrix->system, node);
    const cbx_piece *piece = &matrix->piece[node];
    const double gamma = matrix->gamma, flow = piece->flow_w_k;
    const double drop = piece->shell_c[0] - piece->fluid_c;
    const int row = fluid_at(matrix, node);
    cbx_border_add(matrix->border, row, row,
                   matrix->system->share[node] * run->fluid_capacity_j_k +
                       gamma * (piece->exchange_w_k - piece->exchange_slope * drop));
    cbx_border_add(matrix->border, row, cbx_shell_row(node), -gamma * piece->exchange_w_k);
    const double standing = gamma * cbx_standing_w_k(matrix->system, node);
    cbx_border_add(matrix->border, row, row, standing);
    cbx_border_add(matrix->border, row, last_at(matrix, LAST_ENTERING), -standing);
    add_inlet(matrix, row, node, -gamma * flow);
    add_outlet(matrix, row, node, gamma * flow);
    add_slopes(matrix, row, -gamma * (piece->inlet_c - piece->outlet_c), &piece->flow_by);
}

static void fill_entering_row(const cbx_newton_matrix *matrix)
{
    const cbx_system *system = matrix->system;
    const int row = last_at(matrix, LAST_ENTERING);
    cbx_border_add(matrix->border, row, row, system->header_capacity_j_k);
    for (int node = 0; node < cbx_node_count(system); node++) {
        if (!system->returns[node]) {
            continue;
        }
        const cbx_piece *piece = &matrix->piece[node];
        const double flow = matrix->gamma * piece->flow_w_k;
        const double standing = matrix->gamma * cbx_standing_w_k(system, node);
        add_outlet(matrix, row, node, -flow);
        cbx_border_add(matrix->border, row, fluid_at(matrix, node), -standing);
        cbx_border_add(matrix->border, row, row, flow + standing);
        add_slopes(matrix, row, -matrix->gamma * (piece->outlet_c - matrix->entering_c),
                   &piece->flow_by);
    }
}

// The mean fluid is no state of its own: its row says what it is made of.
static void fill_mean_row(const cbx_newton_matrix *matrix)
{
    const int row = last_at(matrix, LAST_MEAN);
    cbx_border_add(matrix->border, row, row, 1.0);
    for (int node = 0; node < cbx_node_count(matrix->system); node++) {
        cbx_border_add(matrix->border, row, fluid_at(matrix, node),
                       -matrix->system->fluid_weight[node]);
    }
}

static void fill_tank_row(const cbx_newton_matrix *matrix)
{
    const int row = last_at(matrix, LAST_TANK);
    cbx_border_add(matrix->border, row, row, matrix->system->tank_capacity_j_k);
    add_slopes(matrix, row, -matrix->gamma, &matrix->plant.tank_heat_by);
}

static void fill_flow_row(const cbx_newton_matrix *matrix, int node)
{
    const cbx_system *system = matrix->system;
    const int slice = node / system->run_count, row = cbx_flow_row(node);
    cbx_border_add(matrix->border, row, row,
                   1.0 / (matrix->gamma * matrix->piece[node].shell_w_k[CBX_SHELLS]));
    const cbx_sleeve *sleeve = &matrix->sleeve[node];
    cbx_border_add(matrix->border, row, row, sleeve->inverse[CBX_SLEEVE - 1][CBX_SLEEVE - 1]);
    cbx_border_add(matrix->border, row, cbx_shell_row(node),
                   sleeve->inverse[CBX_SLEEVE - 1][0] * sleeve->link);
    for (int r = 0; r < system->run_count; r++) {
        const int other = cbx_node(system, slice, r);
        cbx_border_add(matrix->border, row, cbx_flow_row(other),
                       cbx_soil_solver_response(matrix->soil, slice, node % system->run_count, r));
    }
}

// A piece without pipe: its states stay as they are and give no heat.
static void fill_resting_rows(const cbx_newton_matrix *matrix, int node)
{
    const int row[] = {cbx_flow_row(node), cbx_shell_row(node), fluid_at(matrix, node)};
    for (size_t n = 0; n < sizeof row / sizeof *row; n++) {
        cbx_border_add(matrix->border, row[n], row[n], 1.0);
    }
}

static bool factor_border(cbx_newton_matrix *matrix)
{
    cbx_border_clear(matrix->border);
    for (int node = 0; node < cbx_node_count(matrix->system); node++) {
        if (matrix->system->share[node] > 0.0) {
            fill_sleeve(matrix, node);
            fill_flow_row(matrix, node);
            fill_shell_row(matrix, node);
            fill_fluid_row(matrix, node);
        } else {
            fill_resting_rows(matrix, node);
        }
    }
    fill_entering_row(matrix);
    fill_mean_row(matrix);
    fill_tank_row(matrix);
    return cbx_border_factor(matrix->border);
}

bool cbx_newton_matrix_factor(cbx_newton_matrix *matrix, double gamma)
{
    matrix->gamma = gamma;
    return cbx_soil_solver_factor(matrix->soil, gamma) &&
           (!matrix->border || factor_border(matrix));
}

// Right-hand sides of the shells around the innermost.
static void sleeve_right(const cbx_newton_matrix *matrix, int node, const double *b, double *right)
{
    const cbx_system *system = matrix->system;
    const cbx_run *run = cbx_run_of(system, node);
    for (int n = 0; n < CBX_SLEEVE; n++) {
        right[n] = system->share[node] * run->shell_volume_m3[n + 1] *
                   b[cbx_shell_at(system, node) + n + 1];
    }
}

static void fill_node_right(cbx_newton_matrix *matrix, int node, const double *b)
{
    const cbx_system *system = matrix->system;
    const cbx_run *run = cbx_run_of(system, node);
    const cbx_sleeve *sleeve = &matrix->sleeve[node];
    const double share = system->share[node];
    double around[CBX_SLEEVE], *right = matrix->border_rhs, first = 0.0, last = 0.0;
    sleeve_right(matrix, node, b, around);
    for (int n = 0; n < CBX_SLEEVE; n++) {
        first += sleeve->inverse[0][n] * around[n];
        last += sleeve->inverse[CBX_SLEEVE - 1][n] * around[n];
    }
    right[cbx_flow_row(node)] = matrix->node_value[node] - last;
    right[cbx_shell_row(node)] =
        share * run->shell_volume_m3[0] * b[cbx_shell_at(system, node)] + sleeve->link * first;
    right[fluid_at(matrix, node)] = share * run->fluid_capacity_j_k * b[cbx_fluid_at(system, node)];
}

static void take_node(const cbx_newton_matrix *matrix, int node, const double *b, double *x)
{
    const cbx_system *system = matrix->system;
    const cbx_sleeve *sleeve = &matrix->sleeve[node];
    const double *slope = matrix->piece[node].shell_slope, *found = matrix->border_rhs;
    double around[CBX_SLEEVE], *shell = x + cbx_shell_at(system, node);
    sleeve_right(matrix, node, b, around); // before x is written: it may be b
    around[0] += sleeve->link * found[cbx_shell_row(node)];
    around[CBX_SLEEVE - 1] += found[cbx_flow_row(node)];
    shell[0] = found[cbx_shell_row(node)] / slope[0];
    for (int n = 0; n < CBX_SLEEVE; n++) {
        double sum = 0.0;
        for (int m = 0; m < CBX_SLEEVE; m++) {
            sum += sleeve->inverse[n][m] * around[m];
        }
        shell[n + 1] = sum / slope[n + 1];
    }
    x[cbx_fluid_at(system, node)] = found[fluid_at(matrix, node)];
}

static void rest_node(const cbx_system *system, int node, const double *b, double *x)
{
    memmove(x + cbx_shell_at(system, node), b + cbx_shell_at(system, node), CBX_SHELLS * sizeof *x);
    x[cbx_fluid_at(system, node)] = b[cbx_fluid_at(system, node)];
}

static void solve_border(cbx_newton_matrix *matrix, const double *b, double *x)
{
    const cbx_system *system = matrix->system;
    double *right = matrix->border_rhs;
    for (int node = 0; node < cbx_node_count(system); node++) {
        if (system->share[node] > 0.0) {
            fill_node_right(matrix, node, b);
        } else {
            right[cbx_flow_row(node)] = right[cbx_shell_row(node)] = 0.0;
            right[fluid_at(matrix, node)] = 0.0;
        }
    }
    right[last_at(matrix, LAST_ENTERING)] =
        system->header_capacity_j_k * b[cbx_entering_at(system)];
    right[last_at(matrix, LAST_MEAN)] = 0.0;
    right[last_at(matrix, LAST_TANK)] = system->tank_capacity_j_k * b[cbx_tank_at(system)];
    cbx_border_solve(matrix->border, right);
    for (int node = 0; node < cbx_node_count(system); node++) {
        if (system->share[node] > 0.0) {
            take_node(matrix, node, b, x);
        } else {
            rest_node(system, node, b, x);
        }
    }
    x[cbx_entering_at(system)] = right[last_at(matrix, LAST_ENTERING)];
    x[cbx_tank_at(system)] = right[last_at(matrix, LAST_TANK)];
}

void cbx_newton_matrix_solve_put(cbx_newton_matrix *matrix, const double *b, double scale,
                                 double *x)
{
    const cbx_system *system = matrix->system;
    const double b_surface = b[cbx_surface_heat_at(system)], b_loop = b[cbx_loop_heat_at(system)];
    cbx_soil_solver_ask(matrix->soil, matrix->node_value);
    if (matrix->border) {
        solve_border(matrix, b, x);
    }
    for (int node = 0; node < cbx_node_count(system); node++) {
        matrix->node_value[node] = matrix->border_rhs[cbx_flow_row(node)];
    }
    const double surface_w = cbx_soil_solver_finish(matrix->soil, matrix->node_value, scale, x);
    x[cbx_surface_heat_at(system)] = b_surface + matrix->gamma * surface_w;
    x[cbx_loop_heat_at(system)] = b_loop;
    if (matrix->border) {
        const cb_plant_slopes *by = &matrix->plant.heat_to_loop_by;
        const double *last = matrix->border_rhs + last_at(matrix, 0);
        x[cbx_loop_heat_at(system)] +=
            matrix->gamma * (by->entering * last[LAST_ENTERING] + by->fluid * last[LAST_MEAN] +
                             by->tank * last[LAST_TANK]);
    }
    for (int n = system->slices * system->section->cells; n < system->size; n++) {
        x[n] *= scale;
    }
}

void cbx_newton_matrix_solve(cbx_newton_matrix *matrix, const double *b, double *x)
{
    const cbx_system *system = matrix->system;
    const int nz = system->section->nz;
    double *column = system->sweep_work[0];
    for (int s = 0; s < system->slices; s++) {
        for (int i = 0; i < system->section->nx; i++) {
            const double *volume_m3 = system->volume_m3[s] + cb_cell(system->section, i, 0);
            const double *right = b + cbx_section_at(system, s) + cb_cell(system->section, i, 0);
            for (int k = 0; k < nz; k++) {
                column[k] = volume_m3[k] * right[k];
            }
            cbx_soil_solver_put(matrix->soil, s, i, column);
        }
    }
    cbx_newton_matrix_solve_put(matrix, b, 1.0, x);
}

double cbx_newton_matrix_mean_fluid(const cbx_newton_matrix *matrix)
{
    return matrix->border ? matrix->border_rhs[last_at(matrix, LAST_MEAN)] : 0.0;
}
