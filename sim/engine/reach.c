// SPDX-License-Identifier: MIT
#include "engine/reach.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// Of e times less in every 0.03 to 0.08 m. What is left out beyond is heat lost.
static const double furthest_m = 1.5;
static const float least = 1e-8F; // of what the run's own cells feel

static cbx_area around(const cb_section *section, const cbx_run *run)
{
    double left = INFINITY, right = -INFINITY, top = INFINITY, bottom = -INFINITY;
    for (int n = 0; n < run->block_cells; n++) {
        const int i = run->cell[n] / section->nz, k = run->cell[n] % section->nz;
        left = fmin(left, section->x_edge_m[i] - furthest_m);
        right = fmax(right, section->x_edge_m[i + 1] + furthest_m);
        top = fmin(top, section->z_edge_m[k] - furthest_m);
        bottom = fmax(bottom, section->z_edge_m[k + 1] + furthest_m);
    }
    cbx_area area = {0, section->nx, 0, section->nz};
    while (section->x_edge_m[area.first_column + 1] < left) {
        area.first_column++;
    }
    while (section->x_edge_m[area.end_column - 1] > right) {
        area.end_column--;
    }
    while (section->z_edge_m[area.first_row + 1] < top) {
        area.first_row++;
    }
    while (section->z_edge_m[area.end_row - 1] > bottom) {
        area.end_row--;
    }
    return area;
}

static size_t cells_of(const cbx_area *area)
{
    return (size_t)(area->end_column - area->first_column) *
           (size_t)(area->end_row - area->first_row);
}

bool cbx_reach_create(cbx_reach *out, const cb_section *section, const cbx_run *run)
{
    *out = (cbx_reach){.section = section, .run = run, .most = around(section, run)};
    out->value = cbx_lanes_create(cells_of(&out->most) * CBX_LANES);
    return out->value != NULL;
}

void cbx_reach_free(cbx_reach *reach)
{
    free(reach->value);
    reach->value = NULL;
}

static size_t place_of(const cbx_incomplete *factor, int column, int row)
{
    return cbx_incomplete_at(factor, column) + (size_t)row * CBX_QUAD;
}

// Leaves what a unit of the run's heat does in x, as far as `most` goes, and returns the largest.
static float spread_heat(const cbx_reach *reach, const cbx_incomplete *factor, float *x)
{
    const cbx_run *run = reach->run;
    int first = factor->steps, last = 0;
    for (int i = reach->most.first_column; i < reach->most.end_column; i++) {
        const int step = cbx_incomplete_step(factor, i);
        first = step < first ? step : first;
        last = step > last ? step : last;
    }
    const size_t step_size = (size_t)factor->nz * CBX_QUAD;
    memset(x + (size_t)first * step_size, 0, (size_t)(last + 1 - first) * step_size * sizeof *x);
    for (int n = 0; n < run->block_cells; n++) {
        float *cell = x + cbx_incomplete_place(factor, run->cell[n]);
        for (int lane = 0; lane < CBX_LANES; lane++) {
            cell[lane] += (float)run->weight[n];
        }
    }
    cbx_incomplete_solve_within(factor, first, last, x);
    float most = 0.0F;
    for (int n = 0; n < run->block_cells; n++) {
        const float *cell = x + cbx_incomplete_place(factor, run->cell[n]);
        for (int lane = 0; lane < CBX_LANES; lane++) {
            most = fmaxf(most, cell[lane]);
        }
    }
    return most;
}

static bool felt(const cbx_incomplete *factor, const float *x, cbx_area area, float threshold)
{
    for (int i = area.first_column; i < area.end_column; i++) {
        for (int k = area.first_row; k < area.end_row; k++) {
            const float *cell = x + place_of(factor, i, k);
            if (cell[0] > threshold || cell[1] > threshold) {
                return true;
            }
        }
    }
    return false;
}

// Leaves out columns and rows at the edges where nothing is felt.
static cbx_area shrink(cbx_area area, const cbx_incomplete *factor, const float *x, float threshold)
{
    const cbx_area all = area;
    while (area.first_column + 1 < area.end_column &&
           !felt(factor, x,
                 (cbx_area){area.first_column, area.first_column + 1, all.first_row, all.end_row},
                 threshold)) {
        area.first_column++;
    }
    while (area.first_column + 1 < area.end_column &&
           !felt(factor, x,
                 (cbx_area){area.end_column - 1, area.end_column, all.first_row, all.end_row},
                 threshold)) {
        area.end_column--;
    }
    while (area.first_row + 1 < area.end_row &&
           !felt(factor, x,
                 (cbx_area){area.first_column, area.end_column, area.first_row, area.first_row + 1},
                 threshold)) {
        area.first_row++;
    }
    while (area.first_row + 1 < area.end_row &&
           !felt(factor, x,
                 (cbx_area){area.first_column, area.end_column, area.end_row - 1, area.end_row},
                 threshold)) {
        area.end_row--;
    }
    return area;
}

void cbx_reach_fill(cbx_reach *reach, const cbx_incomplete *factor, float *x)
{
    const float most = spread_heat(reach, factor, x);
    reach->area = shrink(reach->most, factor, x, least * most);
    float *value = reach->value;
    for (int i = reach->area.first_column; i < reach->area.end_column; i++) {
        for (int k = reach->area.first_row; k < reach->area.end_row; k++, value += CBX_LANES) {
            memcpy(value, x + place_of(factor, i, k), CBX_LANES * sizeof *value);
        }
    }
}

void cbx_reach_mean(const cbx_reach *reach, const cbx_run *run, double *mean)
{
    const cbx_area *area = &reach->area;
    const size_t rows = (size_t)(area->end_row - area->first_row);
    memset(mean, 0, CBX_LANES * sizeof *mean);
    for (int n = 0; n < run->block_cells; n++) {
        const int i = run->cell[n] / reach->section->nz, k = run->cell[n] % reach->section->nz;
        if (i < area->first_column || i >= area->end_column || k < area->first_row ||
            k >= area->end_row) {
            continue;
        }
        const size_t at = (size_t)(i - area->first_column) * rows + (size_t)(k - area->first_row);
        for (int lane = 0; lane < CBX_LANES; lane++) {
            mean[lane] += run->weight[n] * (double)reach->value[at * CBX_LANES + (size_t)lane];
        }
    }
}

void cbx_reach_take(const cbx_reach *reach, const cbx_incomplete *factor, const float *heat,
                    float *x)
{
    const cbx_area *area = &reach->area;
    const float *value = reach->value;
    for (int i = area->first_column; i < area->end_column; i++) {
        float *cell = x + place_of(factor, i, area->first_row);
        for (int k = area->first_row; k < area->end_row; k++) {
            for (int lane = 0; lane < CBX_LANES; lane++) {
                cell[lane] -= value[lane] * heat[lane];
            }
            cell += CBX_QUAD;
            value += CBX_LANES;
        }
    }
}
