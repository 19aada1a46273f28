// SPDX-License-Identifier: MIT
#include "engine/soil_solver.h"

#include "engine/dense.h"
#include "engine/reach.h"

#include <stdlib.h>

// Two slices, or one.
typedef struct group {
    cbx_incomplete factor;
    int first, count; // slices
    float *x;         // as the factor's numbers: right-hand side, then solution
    cbx_reach *reach; // [runs]
    bool factored;
} group;

struct cbx_soil_solver {
    const cbx_system *system;
    double gamma_s;
    int group_count;
    group *group;
    cb_section_state **state; // [slices] what the factors are made of
    double **capacity_j_m3k;  // [slices][cells] dH/dT there
    double *response;         // [slices][runs][runs]
    // Of the linearisation or solution under way.
    const double *y, *flow_j;
    const cbx_forcing_point *forcing;
    double *asked_k, *out;
    double scale, surface_w[CBX_MAX_SLICES];
};

// ---- making ----------------------------------------------------------------------------------

static bool fill_group(const cbx_soil_solver *solver, group *g)
{
    const cbx_system *system = solver->system;
    g->x = cbx_lanes_create(cbx_incomplete_room(&g->factor));
    g->reach = calloc((size_t)system->run_count + 1, sizeof *g->reach);
    bool ok = g->x && g->reach;
    for (int r = 0; ok && r < system->run_count; r++) {
        ok = cbx_reach_create(&g->reach[r], system->section, &system->run[r]);
    }
    return ok;
}

static bool make_arrays(cbx_soil_solver *solver)
{
    const cbx_system *system = solver->system;
    const int slices = system->slices, cells = system->section->cells;
    const size_t runs = (size_t)system->run_count;
    solver->capacity_j_m3k = cbx_rows_create(slices, cells);
    solver->state = calloc((size_t)slices, sizeof(cb_section_state *));
    solver->response = calloc((size_t)slices * runs * runs + 1, sizeof *solver->response);
    solver->group_count = cbx_soil_solver_groups(slices);
    solver->group = calloc((size_t)solver->group_count, sizeof *solver->group);
    bool ok = solver->capacity_j_m3k && solver->state && solver->response && solver->group;
    for (int s = 0; ok && s < slices; s++) {
        ok = cb_section_state_create(&solver->state[s], system->section, NULL) == CB_OK;
    }
    return ok;
}

cb_status cbx_soil_solver_create(cbx_soil_solver **out, const cbx_system *system, cb_error *error)
{
    *out = NULL;
    cbx_soil_solver *solver = calloc(1, sizeof *solver);
    bool ok = solver != NULL;
    if (ok) {
        solver->system = system;
        ok = make_arrays(solver);
    }
    for (int n = 0; ok && n < solver->group_count; n++) {
        group *g = &solver->group[n];
        g->first = n * CBX_LANES;
        g->count = system->slices - g->first < CBX_LANES ? system->slices - g->first : CBX_LANES;
        ok = cbx_incomplete_create(&g->factor, system->section->nx, system->section->nz, error) ==
                 CB_OK &&
             fill_group(solver, g);
    }
    if (!ok) {
        cbx_soil_solver_destroy(solver);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the linear solver");
    }
    *out = solver;
    return CB_OK;
}

static void free_group(group *g, int runs)
{
    for (int r = 0; g->reach && r < runs; r++) {
        cbx_reach_free(&g->reach[r]);
    }
    free(g->reach);
    free(g->x);
    cbx_incomplete_free(&g->factor);
}

cbx_soil_solver *cbx_soil_solver_destroy(cbx_soil_solver *solver)
{
    if (solver) {
        for (int n = 0; solver->group && n < solver->group_count; n++) {
            free_group(&solver->group[n], solver->system->run_count);
        }
        free(solver->group);
        cbx_rows_free(solver->capacity_j_m3k, solver->system->slices);
        for (int s = 0; solver->state && s < solver->system->slices; s++) {
            cb_section_state_destroy(solver->state[s]);
        }
        free(solver->state);
        free(solver->response);
        free(solver);
    }
    return NULL;
}

int cbx_soil_solver_groups(int slices)
{
    return (slices + CBX_LANES - 1) / CBX_LANES;
}

// ---- factors ---------------------------------------------------------------------------------

static void linearise_slice(void *context, int slice)
{
    const cbx_soil_solver *solver = context;
    const cbx_system *system = solver->system;
    cb_section_state *state = solver->state[slice];
    cb_section_update(system->section, solver->y + cbx_section_at(system, slice),
                      solver->forcing->surface.h_w_m2k, solver->forcing->dryness, state);
    for (int c = 0; c < system->section->cells; c++) {
        solver->capacity_j_m3k[slice][c] = 1.0 / state->slope_k_m3_j[c];
    }
}

void cbx_soil_solver_linearise(cbx_soil_solver *solver, const double *y,
                               const cbx_forcing_point *forcing)
{
    solver->y = y;
    solver->forcing = forcing;
    cbx_run_slices(solver->system, linearise_slice, solver);
}

static void fill_matrix(const cbx_soil_solver *solver, group *g, int lane)
{
    const cbx_system *system = solver->system;
    const cb_section *section = system->section;
    const int slice = g->first + lane, nz = section->nz;
    const double gamma = solver->gamma_s;
    const cb_section_state *state = solver->state[slice];
    const double *capacity = solver->capacity_j_m3k[slice], *down = state->down_w_k;
    const double *across = state->across_w_k, *volume = system->volume_m3[slice];
    for (int i = 0; i < section->nx; i++) {
        size_t at = cbx_incomplete_at(&g->factor, i) + (size_t)lane;
        const bool left = i < g->factor.steps;
        for (int k = 0; k < nz; k++, at += CBX_QUAD) {
            const int c = cb_cell(section, i, k);
            const double above = k > 0 ? down[c - 1] : state->top_w_k[i];
            const double west = i > 0 ? across[c - nz] : 0.0;
            g->factor.diagonal[at] =
                (float)(volume[c] * capacity[c] + gamma * (above + down[c] + west + across[c]));
            g->factor.down[at] = (float)(gamma * down[c]);
            g->factor.inward[at] = (float)(gamma * (left ? across[c] : west));
        }
    }
}

static void fill_response(cbx_soil_solver *solver, const group *g, int r, int other)
{
    const size_t runs = (size_t)solver->system->run_count;
    double mean[CBX_LANES];
    cbx_reach_mean(&g->reach[r], &solver->system->run[other], mean);
    for (int lane = 0; lane < g->count; lane++) {
        double *response = solver->response + (size_t)(g->first + lane) * runs * runs;
        response[(size_t)r * runs + (size_t)other] = mean[lane];
        response[(size_t)other * runs + (size_t)r] = mean[lane];
    }
}

static void factor_group(void *context, int index)
{
    cbx_soil_solver *solver = context;
    group *g = &solver->group[index];
    for (int lane = 0; lane < g->count; lane++) {
        fill_matrix(solver, g, lane);
    }
    g->factored = cbx_incomplete_factor(&g->factor);
    for (int r = 0; g->factored && r < solver->system->run_count; r++) {
        cbx_reach_fill(&g->reach[r], &g->factor, g->x);
        for (int other = 0; other <= r; other++) {
            fill_response(solver, g, r, other);
        }
    }
}

bool cbx_soil_solver_factor(cbx_soil_solver *solver, double gamma_s)
{
    solver->gamma_s = gamma_s;
    cbx_crew_run(solver->system->crew, factor_group, solver, solver->group_count);
    bool factored = true;
    for (int n = 0; n < solver->group_count; n++) {
        factored = factored && solver->group[n].factored;
    }
    return factored;
}

double cbx_soil_solver_response(const cbx_soil_solver *solver, int slice, int run, int other)
{
    const int runs = solver->system->run_count;
    return solver
        ->response[((size_t)slice * (size_t)runs + (size_t)run) * (size_t)runs + (size_t)other];
}

// ---- solutions -------------------------------------------------------------------------------

void cbx_soil_solver_put(cbx_soil_solver *solver, int slice, int column, const double *right)
{
    const int nz = solver->system->section->nz;
    const group *g = &solver->group[slice / CBX_LANES];
    float *x = g->x + cbx_incomplete_at(&g->factor, column) + slice % CBX_LANES;
    for (int k = 0; k < nz; k++) {
        x[(ptrdiff_t)k * CBX_QUAD] = (float)right[k];
    }
}

static void ask_group(void *context, int index)
{
    const cbx_soil_solver *solver = context;
    const cbx_system *system = solver->system;
    group *g = &solver->group[index];
    cbx_incomplete_solve(&g->factor, g->x);
    for (int r = 0; r < system->run_count; r++) {
        const cbx_run *run = &system->run[r];
        float sum[CBX_LANES] = {0.0F};
        for (int n = 0; n < run->block_cells; n++) {
            const float *x = g->x + cbx_incomplete_place(&g->factor, run->cell[n]);
            for (int lane = 0; lane < CBX_LANES; lane++) {
                sum[lane] += (float)run->weight[n] * x[lane];
            }
        }
        for (int lane = 0; lane < g->count; lane++) {
            const int node = cbx_node(system, g->first + lane, r);
            solver->asked_k[node] = system->share[node] > 0.0 ? (double)sum[lane] : 0.0;
        }
    }
}

void cbx_soil_solver_ask(cbx_soil_solver *solver, double *asked_k)
{
    solver->asked_k = asked_k;
    cbx_crew_run(solver->system->crew, ask_group, solver, solver->group_count);
}

static void let_runs_in(const cbx_soil_solver *solver, group *g)
{
    const cbx_system *system = solver->system;
    for (int r = 0; r < system->run_count; r++) {
        float heat[CBX_LANES] = {0.0F};
        for (int lane = 0; lane < g->count; lane++) {
            heat[lane] = (float)solver->flow_j[cbx_node(system, g->first + lane, r)];
        }
        cbx_reach_take(&g->reach[r], &g->factor, heat, g->x);
    }
}

// Turns temperatures into enthalpies.
static void unload_slice(cbx_soil_solver *solver, int slice)
{
    const cb_section *section = solver->system->section;
    const group *g = &solver->group[slice / CBX_LANES];
    double *out = solver->out + cbx_section_at(solver->system, slice);
    const double *capacity = solver->capacity_j_m3k[slice];
    double heat_w = 0.0;
    for (int i = 0; i < section->nx; i++) {
        const float *x = g->x + cbx_incomplete_at(&g->factor, i) + slice % CBX_LANES;
        heat_w -= solver->state[slice]->top_w_k[i] * (double)x[0];
        for (int k = 0; k < section->nz; k++) {
            out[k] = solver->scale * capacity[k] * (double)x[(ptrdiff_t)k * CBX_QUAD];
        }
        out += section->nz;
        capacity += section->nz;
    }
    solver->surface_w[slice] = heat_w;
}

static void finish_group(void *context, int index)
{
    cbx_soil_solver *solver = context;
    group *g = &solver->group[index];
    let_runs_in(solver, g);
    for (int lane = 0; lane < g->count; lane++) {
        unload_slice(solver, g->first + lane);
    }
}

double cbx_soil_solver_finish(cbx_soil_solver *solver, const double *flow_j, double scale,
                              double *x)
{
    solver->flow_j = flow_j;
    solver->out = x;
    solver->scale = scale;
    cbx_crew_run(solver->system->crew, finish_group, solver, solver->group_count);
    double heat_w = 0.0;
    for (int s = 0; s < solver->system->slices; s++) {
        heat_w += solver->surface_w[s];
    }
    return heat_w;
}
