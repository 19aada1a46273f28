// SPDX-License-Identifier: MIT
#include "engine/newton_right.h"

#include "base/wide.h"

#include <math.h>

typedef struct sweep_work {
    const cbx_newton_matrix *matrix;
    const cbx_newton_step *step;
    cbx_slice_point at;
    int slice;
    double surface_w, check; // sum of the right-hand sides
} sweep_work;

// What a column's right-hand side is made of, [cells] each.
typedef struct column_terms {
    double gamma, factor;
    const double *pipe_w, *volume_m3, *history, *correction;
} column_terms;

// heat becomes volume times the residual, negative. Returns a sum that is finite if all are, in
// four chains of additions.
CBX_WIDE static double column_right(int count, const column_terms *terms, double *restrict heat)
{
    const double *restrict pipe_w = terms->pipe_w, *restrict volume_m3 = terms->volume_m3;
    const double *restrict history = terms->history;
    const double gamma = terms->gamma, factor = terms->factor;
    double sum[4] = {0.0};
    for (int n = 0; n < count; n++) {
        heat[n] = gamma * (heat[n] + pipe_w[n]) - volume_m3[n] * (factor * history[n]);
    }
    int n = 0;
    for (; n + 3 < count; n += 4) {
        for (int k = 0; k < 4; k++) {
            sum[k] += heat[n + k];
        }
    }
    for (; n < count; n++) {
        sum[0] += heat[n];
    }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

CBX_WIDE static void take_correction(int count, const column_terms *terms, double *restrict right)
{
    const double *restrict volume_m3 = terms->volume_m3, *restrict correction = terms->correction;
    for (int n = 0; n < count; n++) {
        right[n] -= volume_m3[n] * correction[n];
    }
}

static void put_column(void *context, int column, double *heat_w)
{
    sweep_work *work = context;
    const cbx_newton_step *step = work->step;
    const cbx_system *system = work->matrix->system;
    const int nz = system->section->nz, first = column * nz;
    const int at = cbx_section_at(system, work->slice) + first;
    const column_terms terms = {.gamma = step->gamma,
                                .factor = step->history_factor,
                                .pipe_w = system->pipe_heat_w + at,
                                .volume_m3 = system->volume_m3[work->slice] + first,
                                .history = step->history + at,
                                .correction = step->correction ? step->correction + at : NULL};
    work->check += column_right(nz, &terms, heat_w);
    if (step->correction) {
        take_correction(nz, &terms, heat_w);
    }
    cbx_soil_solver_put(work->matrix->soil, work->slice, column, heat_w);
}

static void sweep_slice(void *context, int slice)
{
    sweep_work *work = (sweep_work *)context + slice;
    work->surface_w = cbx_slice_rates(work->matrix->system, slice, &work->at, put_column, work);
}

bool cbx_newton_right(const cbx_newton_matrix *matrix, const cbx_newton_step *step,
                      cbx_piece *piece, double *right)
{
    cbx_system *system = matrix->system;
    const cbx_forcing_point forcing =
        cbx_loop_rates(system, step->time_s, step->state, right, piece);
    sweep_work work[CBX_MAX_SLICES];
    for (int s = 0; s < system->slices; s++) {
        work[s] = (sweep_work){matrix, step, {step->state, &forcing, piece, right}, s, 0.0, 0.0};
    }
    cbx_run_slices(system, sweep_slice, work);
    double surface_w = 0.0, check = 0.0;
    for (int s = 0; s < system->slices; s++) {
        surface_w += work[s].surface_w;
        check += work[s].check;
    }
    right[cbx_surface_heat_at(system)] = surface_w;
    for (int n = system->slices * system->section->cells; n < system->size; n++) {
        right[n] = step->gamma * right[n] - step->history_factor * step->history[n] -
                   (step->correction ? step->correction[n] : 0.0);
        check += right[n];
    }
    return isfinite(check);
}
