// SPDX-License-Identifier: MIT
#include "engine/soil_solver.h"

#include "base/wide.h"
#include "engine/bundle.h"
#include "engine/dense.h"

#include <stdlib.h>
#include <string.h>

// The panels on a run's way through the elimination, ascending.
typedef struct way {
    int *panel;
    int count;
} way;

// Two slices, or one.
typedef struct group {
    cbx_bundle bundle;
    int first, count; // slices
    float *x;         // [places][lanes] right-hand side, then solution
    float **u, **v;   // [runs][panels of its way][CBX_PANEL][lanes] L^-1 w, and D^-1 of it
    bool factored;
} group;

struct cbx_soil_solver {
    const cbx_system *system;
    double gamma_s;
    const cbx_dissection *order; // the system's
    way *way;                    // [runs]
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

// Walks up from each cell of a run's block; a panel's parent is the panel of its first row.
static bool find_way(const cbx_dissection *order, const cbx_run *run, way *found)
{
    bool *on_it = calloc((size_t)order->panels, sizeof *on_it);
    if (!on_it) {
        return false;
    }
    for (int c = 0; c < run->block_cells; c++) {
        int panel = order->place[run->cell[c]] / CBX_PANEL;
        while (!on_it[panel]) {
            on_it[panel] = true;
            found->count++;
            if (order->first[panel] < order->first[panel + 1]) {
                panel = order->row[order->first[panel]] / CBX_PANEL;
            }
        }
    }
    found->panel = malloc((size_t)found->count * sizeof *found->panel + 1);
    for (int panel = 0, n = 0; found->panel && panel < order->panels; panel++) {
        if (on_it[panel]) {
            found->panel[n++] = panel;
        }
    }
    free(on_it);
    return found->panel != NULL;
}

static bool fill_group(const cbx_soil_solver *solver, group *g)
{
    const size_t runs = (size_t)solver->system->run_count;
    g->x = cbx_lanes_create((size_t)cbx_dissection_room(solver->order));
    g->u = calloc(runs + 1, sizeof *g->u);
    g->v = calloc(runs + 1, sizeof *g->v);
    bool ok = g->x && g->u && g->v;
    for (size_t r = 0; ok && r < runs; r++) {
        const size_t count = (size_t)solver->way[r].count * CBX_PANEL;
        g->u[r] = cbx_lanes_create(count);
        g->v[r] = cbx_lanes_create(count);
        ok = g->u[r] && g->v[r];
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
    solver->way = calloc(runs + 1, sizeof *solver->way);
    solver->group_count = cbx_soil_solver_groups(slices);
    solver->group = calloc((size_t)solver->group_count, sizeof *solver->group);
    bool ok =
        solver->capacity_j_m3k && solver->state && solver->response && solver->way && solver->group;
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
        solver->order = &system->order;
        ok = make_arrays(solver);
    }
    for (int r = 0; ok && r < system->run_count; r++) {
        ok = find_way(solver->order, &system->run[r], &solver->way[r]);
    }
    for (int n = 0; ok && n < solver->group_count; n++) {
        group *g = &solver->group[n];
        g->first = n * CBX_LANES;
        g->count = system->slices - g->first < CBX_LANES ? system->slices - g->first : CBX_LANES;
        ok = cbx_bundle_create(&g->bundle, solver->order, system->section->nz, error) == CB_OK &&
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
    for (int r = 0; r < runs; r++) {
        free(g->u ? g->u[r] : NULL);
        free(g->v ? g->v[r] : NULL);
    }
    free(g->u);
    free(g->v);
    free(g->x);
    cbx_bundle_free(&g->bundle);
}

cbx_soil_solver *cbx_soil_solver_destroy(cbx_soil_solver *solver)
{
    if (solver) {
        for (int n = 0; solver->group && n < solver->group_count; n++) {
            free_group(&solver->group[n], solver->system->run_count);
        }
        for (int r = 0; solver->way && r < solver->system->run_count; r++) {
            free(solver->way[r].panel);
        }
        free(solver->group);
        free(solver->way);
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
        for (int k = 0; k < nz; k++) {
            const int c = cb_cell(section, i, k);
            const size_t at = (size_t)c * CBX_LANES + (size_t)lane;
            const double above = k > 0 ? down[c - 1] : state->top_w_k[i];
            const double west = i > 0 ? across[c - nz] : 0.0;
            g->bundle.diagonal[at] =
                (float)(volume[c] * capacity[c] + gamma * (above + down[c] + west + across[c]));
            g->bundle.down[at] = (float)(gamma * down[c]);
            g->bundle.across[at] = (float)(gamma * across[c]);
        }
    }
}

// u and v of one run.
static void fill_run(const cbx_soil_solver *solver, group *g, int r)
{
    const cbx_run *run = &solver->system->run[r];
    const way *path = &solver->way[r];
    for (int n = 0; n < path->count; n++) {
        memset(g->x + (size_t)path->panel[n] * CBX_PANEL_LANES, 0, CBX_PANEL_LANES * sizeof *g->x);
    }
    for (int c = 0; c < run->block_cells; c++) {
        float *x = g->x + (size_t)solver->order->place[run->cell[c]] * CBX_LANES;
        for (int lane = 0; lane < CBX_LANES; lane++) {
            x[lane] += (float)run->weight[c];
        }
    }
    cbx_bundle_forward_along(&g->bundle, path->panel, path->count, g->x);
    for (int n = 0; n < path->count; n++) {
        const float *x = g->x + (size_t)path->panel[n] * CBX_PANEL_LANES;
        const float *inverse = cbx_bundle_inverse(&g->bundle, path->panel[n]);
        for (int e = 0; e < CBX_PANEL_LANES; e++) {
            g->u[r][n * CBX_PANEL_LANES + e] = x[e];
            g->v[r][n * CBX_PANEL_LANES + e] = x[e] * inverse[e];
        }
    }
}

// Sum over the panels that two ways share.
static void fill_response(cbx_soil_solver *solver, const group *g, int r, int other)
{
    const way *a = &solver->way[r], *b = &solver->way[other];
    double sum[CBX_LANES] = {0.0};
    for (int n = 0, m = 0; n < a->count && m < b->count;) {
        if (a->panel[n] != b->panel[m]) {
            *(a->panel[n] < b->panel[m] ? &n : &m) += 1;
            continue;
        }
        for (int e = 0; e < CBX_PANEL_LANES; e++) {
            sum[e % CBX_LANES] += (double)g->u[r][n * CBX_PANEL_LANES + e] *
                                  (double)g->v[other][m * CBX_PANEL_LANES + e];
        }
        n++;
        m++;
    }
    const size_t runs = (size_t)solver->system->run_count;
    for (int lane = 0; lane < g->count; lane++) {
        double *response = solver->response + (size_t)(g->first + lane) * runs * runs;
        response[(size_t)r * runs + (size_t)other] = sum[lane];
        response[(size_t)other * runs + (size_t)r] = sum[lane];
    }
}

static void factor_group(void *context, int index)
{
    cbx_soil_solver *solver = context;
    group *g = &solver->group[index];
    for (int lane = 0; lane < g->count; lane++) {
        fill_matrix(solver, g, lane);
    }
    g->factored = cbx_bundle_factor(&g->bundle);
    for (int r = 0; g->factored && r < solver->system->run_count; r++) {
        fill_run(solver, g, r);
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
    const int nz = solver->system->section->nz,
              *place = solver->order->place + (ptrdiff_t)column * nz;
    float *x = solver->group[slice / CBX_LANES].x + slice % CBX_LANES;
    for (int k = 0; k < nz; k++) {
        x[(ptrdiff_t)place[k] * CBX_LANES] = (float)right[k];
    }
}

static void ask_group(void *context, int index)
{
    const cbx_soil_solver *solver = context;
    const cbx_system *system = solver->system;
    group *g = &solver->group[index];
    cbx_bundle_forward(&g->bundle, g->x);
    for (int r = 0; r < system->run_count; r++) {
        const way *path = &solver->way[r];
        float sum[CBX_PANEL_LANES] = {0.0F};
        for (int n = 0; n < path->count; n++) {
            const float *x = g->x + (size_t)path->panel[n] * CBX_PANEL_LANES;
            const float *v = g->v[r] + (size_t)n * CBX_PANEL_LANES;
            for (int e = 0; e < CBX_PANEL_LANES; e++) {
                sum[e] += v[e] * x[e];
            }
        }
        for (int lane = 0; lane < g->count; lane++) {
            const double *const share = &system->share[cbx_node(system, g->first + lane, r)];
            solver->asked_k[cbx_node(system, g->first + lane, r)] =
                *share > 0.0 ? (double)((sum[lane] + sum[lane + CBX_LANES]) +
                                        (sum[lane + 2 * CBX_LANES] + sum[lane + 3 * CBX_LANES]))
                             : 0.0;
        }
    }
}

void cbx_soil_solver_ask(cbx_soil_solver *solver, double *asked_k)
{
    solver->asked_k = asked_k;
    cbx_crew_run(solver->system->crew, ask_group, solver, solver->group_count);
}

CBX_WIDE static void let_runs_in(const cbx_soil_solver *solver, group *g)
{
    const cbx_system *system = solver->system;
    for (int r = 0; r < system->run_count; r++) {
        const way *path = &solver->way[r];
        float flow[CBX_LANES] = {0.0F};
        for (int lane = 0; lane < g->count; lane++) {
            flow[lane] = (float)solver->flow_j[cbx_node(system, g->first + lane, r)];
        }
        for (int n = 0; n < path->count; n++) {
            float *x = g->x + (size_t)path->panel[n] * CBX_PANEL_LANES;
            const float *u = g->u[r] + (size_t)n * CBX_PANEL_LANES;
            for (int e = 0; e < CBX_PANEL_LANES; e++) {
                x[e] -= u[e] * flow[e % CBX_LANES];
            }
        }
    }
}

// Turns temperatures into enthalpies.
CBX_WIDE static void unload(int cells, const int *restrict place, const float *restrict x,
                            const double *restrict capacity_j_m3k, double scale,
                            double *restrict out)
{
    for (int c = 0; c < cells; c++) {
        out[c] = scale * capacity_j_m3k[c] * (double)x[(ptrdiff_t)place[c] * CBX_LANES];
    }
}

static void unload_slice(cbx_soil_solver *solver, int slice)
{
    const cb_section *section = solver->system->section;
    const int *place = solver->order->place;
    const float *x = solver->group[slice / CBX_LANES].x + slice % CBX_LANES;
    unload(section->cells, place, x, solver->capacity_j_m3k[slice], solver->scale,
           solver->out + cbx_section_at(solver->system, slice));
    double heat_w = 0.0;
    for (int i = 0; i < section->nx; i++) {
        const ptrdiff_t at = place[cb_cell(section, i, 0)];
        heat_w -= solver->state[slice]->top_w_k[i] * (double)x[at * CBX_LANES];
    }
    solver->surface_w[slice] = heat_w;
}

static void finish_group(void *context, int index)
{
    cbx_soil_solver *solver = context;
    group *g = &solver->group[index];
    let_runs_in(solver, g);
    cbx_bundle_backward(&g->bundle, g->x);
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
