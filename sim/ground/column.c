// SPDX-License-Identifier: MIT
#include "ground/column.h"

#include "base/wide.h"
#include "ground/soil_curve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// Nodes from the top down: snow cells (or none), then soil. Energies in J/m2.
enum { MOST_ITERATIONS = 40, MOST_HALVINGS = 8, ARRAYS = 13 };
static const double stage = 0.29289321881345254; // 1 - 1/sqrt 2
static const double settled_k = 1e-5;            // of Newton's method, in terms of unfrozen soil

struct cbx_column {
    const cb_section *section;
    int nz, most;                            // most nodes: nz + snow cells
    double *enthalpy_j_m3, *soil_c;          // [nz]
    double *onset_j_m2;                      // [nz] below it a cell holds ice
    double *trial_j_m3;                      // [nz] enthalpies of Newton's present state
    double *energy, *base, *start, *rate;    // [most] J/m2, J/m2, J/m2, W/m2
    double *t, *capacity, *conduct, *length; // [most] degC, J/(m2 K), W/(m K), m
    double *link;                            // [most] W/(m2 K) to the node below
    double *diagonal, *right;                // [most]; in the end 1/pivot and the correction
    double *half;                            // [most] m2 K/W from a node's middle to its edge
    double *slope;                           // [most] dT/dH of soil, K m3/J
};

typedef struct solve {
    cbx_column *column;
    const cbx_snow *snow;
    const cbx_drive *drive;
    int snow_cells, nodes;
    double step_s; // a stage's share of the step
} solve;

static const cb_soil_curve *curve_of(const cb_section *section, int k)
{
    return section->curves[section->soil[k]];
}

cb_status cbx_column_make(cbx_column **out, const cb_section *section, cb_error *error)
{
    *out = NULL;
    cbx_column *column = calloc(1, sizeof *column);
    const int nz = section->nz, most = nz + CBX_SNOW_CELLS;
    const size_t soil = 4 * (size_t)nz;
    double *block = calloc(soil + ARRAYS * (size_t)most, sizeof *block);
    if (!column || !block) {
        free(column);
        free(block);
        return cb_fail(error, CB_NO_MEMORY, "no memory for a column of soil");
    }
    column->section = section;
    column->nz = nz;
    column->most = most;
    column->enthalpy_j_m3 = block;
    column->soil_c = block + nz;
    column->onset_j_m2 = block + 2 * (size_t)nz;
    column->trial_j_m3 = block + 3 * (size_t)nz;
    for (int k = 0; k < nz; k++) {
        column->onset_j_m2[k] =
            cbx_soil_thawed(curve_of(section, k), 0.0).onset_j_m3 * section->dz_m[k];
    }
    double **const array[] = {&column->energy, &column->base,     &column->start,   &column->rate,
                              &column->t,      &column->capacity, &column->conduct, &column->length,
                              &column->link,   &column->diagonal, &column->right,   &column->half,
                              &column->slope};
    for (size_t n = 0; n < ARRAYS; n++) {
        *array[n] = block + soil + n * (size_t)most;
    }
    *out = column;
    return CB_OK;
}

cbx_column *cbx_column_unmake(cbx_column *column)
{
    if (column) {
        free(column->enthalpy_j_m3); // the one block that holds all arrays
        free(column);
    }
    return NULL;
}

double *cbx_column_enthalpy_j_m3(cbx_column *column)
{
    return column->enthalpy_j_m3;
}

const double *cbx_column_temperature_c(cbx_column *column)
{
    for (int k = 0; k < column->nz; k++) {
        column->soil_c[k] =
            cb_soil_at(curve_of(column->section, k), column->enthalpy_j_m3[k]).temperature_c;
    }
    return column->soil_c;
}

static void look_up_soil(const solve *s)
{
    cbx_column *c = s->column;
    const cb_section *section = c->section;
    for (int k = 0; k < c->nz; k++) {
        c->trial_j_m3[k] = c->energy[s->snow_cells + k] / section->dz_m[k];
    }
    cbx_soil_rows(section->curves, section->soil, section->cells, c->trial_j_m3, s->drive->dryness,
                  c->t + s->snow_cells, c->conduct + s->snow_cells, c->slope + s->snow_cells);
    for (int n = s->snow_cells; n < s->nodes; n++) {
        c->capacity[n] = c->length[n] / c->slope[n];
    }
}

CBX_WIDE static void fill_links(int nodes, const double *restrict length,
                                const double *restrict conduct, double *restrict half,
                                double *restrict link)
{
    for (int n = 0; n < nodes; n++) {
        half[n] = 0.5 * length[n] / conduct[n];
    }
    for (int n = 0; n < nodes - 1; n++) {
        link[n] = 1.0 / (half[n] + half[n + 1]);
    }
}

static void look_up(const solve *s)
{
    cbx_column *c = s->column;
    const double mass = s->snow->mass_kg_m2 / CBX_SNOW_CELLS;
    for (int n = 0; n < s->snow_cells; n++) {
        double slope;
        c->t[n] = cbx_snow_cell_c(mass, c->energy[n], &slope);
        c->capacity[n] = 1.0 / slope;
    }
    look_up_soil(s);
    fill_links(s->nodes, c->length, c->conduct, c->half, c->link);
    if (s->snow_cells > 0) {
        const int n = s->snow_cells - 1;
        c->link[n] = 1.0 / (c->half[n] + s->drive->cover_m2k_w + c->half[n + 1]);
    }
}

// From the first node to where intake - h T = 0.
static double top_link(const solve *s)
{
    const cbx_column *c = s->column;
    const double cover = s->snow_cells ? 0.0 : s->drive->cover_m2k_w;
    return 1.0 / (1.0 / s->drive->top.h_w_m2k + cover + 0.5 * c->length[0] / c->conduct[0]);
}

static double bottom_link(const solve *s)
{
    const cbx_column *c = s->column;
    return s->drive->bottom_given ? 2.0 * c->conduct[s->nodes - 1] / c->length[s->nodes - 1] : 0.0;
}

// Residual base + a heat - energy of each node into right, the matrix's diagonal beside it, all but
// what passes through top and bottom.
CBX_WIDE static void balance_inside(int nodes, double a, const cbx_column *c)
{
    const double *restrict t = c->t, *restrict link = c->link, *restrict base = c->base;
    const double *restrict energy = c->energy, *restrict capacity = c->capacity;
    double *restrict right = c->right, *restrict diagonal = c->diagonal;
    const int last = nodes - 1;
    for (int n = 1; n < last; n++) {
        right[n] = base[n] - energy[n] +
                   a * (link[n - 1] * (t[n - 1] - t[n]) - link[n] * (t[n] - t[n + 1]));
        diagonal[n] = capacity[n] + a * (link[n - 1] + link[n]);
    }
    const double first_w = last > 0 ? link[0] * (t[0] - t[1]) : 0.0;
    const double last_w = last > 0 ? link[last - 1] * (t[last - 1] - t[last]) : 0.0;
    right[0] = base[0] - energy[0] - a * first_w;
    diagonal[0] = capacity[0] + (last > 0 ? a * link[0] : 0.0);
    if (last > 0) {
        right[last] = base[last] - energy[last] + a * last_w;
        diagonal[last] = capacity[last] + a * link[last - 1];
    }
}

static void balance(const solve *s)
{
    cbx_column *c = s->column;
    const int last = s->nodes - 1;
    const double a = s->step_s, top = top_link(s), bottom = bottom_link(s);
    balance_inside(s->nodes, a, c);
    c->right[0] += a * top * (s->drive->top.intake_w_m2 / s->drive->top.h_w_m2k - c->t[0]);
    c->diagonal[0] += a * top;
    c->right[last] += a * (s->drive->bottom_given ? bottom * (s->drive->bottom_c - c->t[last])
                                                  : c->section->geothermal_flux_w_m2);
    c->diagonal[last] += a * bottom;
}

// Takes a node that is done, `from`, out of its neighbour's row.
static inline void take_out(double *restrict diagonal, double *restrict right, int from, int to,
                            double off)
{
    const double factor = off * diagonal[from];
    right[to] += factor * right[from];
    diagonal[to] -= factor * off;
}

// Newton's correction of the temperatures, into `right`: elimination from both ends to the middle
// and back, two chains that need not wait for each other.
static void eliminate(const solve *s)
{
    cbx_column *c = s->column;
    double *restrict right = c->right, *restrict diagonal = c->diagonal;
    const double *restrict link = c->link;
    const double a = s->step_s;
    const int last = s->nodes - 1, middle = s->nodes / 2;
    for (int up = 0, down = last; up < middle || down > middle; up++, down--) {
        if (up < middle) {
            diagonal[up] = 1.0 / diagonal[up];
            take_out(diagonal, right, up, up + 1, a * link[up]);
        }
        if (down > middle) {
            diagonal[down] = 1.0 / diagonal[down];
            take_out(diagonal, right, down, down - 1, a * link[down - 1]);
        }
    }
    right[middle] /= diagonal[middle];
    for (int up = middle - 1, down = middle + 1; up >= 0 || down <= last; up--, down++) {
        if (up >= 0) {
            right[up] = (right[up] + a * link[up] * right[up + 1]) * diagonal[up];
        }
        if (down <= last) {
            right[down] = (right[down] + a * link[down - 1] * right[down - 1]) * diagonal[down];
        }
    }
}

// Without snow and ice a stage is linear, and the first correction is all.
static bool all_unfrozen(const solve *s)
{
    const cbx_column *c = s->column;
    bool unfrozen = s->snow_cells == 0;
    for (int k = 0; k < c->nz && unfrozen; k++) {
        unfrozen = c->energy[k] >= c->onset_j_m2[k];
    }
    return unfrozen;
}

// Returns the largest change, in kelvin of unfrozen soil; the sum is finite if all are.
static double correct(int nodes, cbx_column *c, double *sum)
{
    const double *restrict right = c->right, *restrict capacity = c->capacity;
    const double *restrict length = c->length;
    double *restrict energy = c->energy, *restrict t = c->t;
    double worst = 0.0;
    for (int n = 0; n < nodes; n++) {
        const double change = capacity[n] * right[n], size = fabs(change), mark = 2e6 * length[n];
        energy[n] += change;
        t[n] += right[n];
        *sum += change;
        worst = size > worst * mark ? size / mark : worst;
    }
    return worst;
}

// Solves energy = base + step_s * heat(energy) from the present energy; the rate that belongs to it
// is (energy - base) / step_s, so that what one stage gives the next holds exactly.
static bool solve_stage(const solve *s)
{
    cbx_column *c = s->column;
    bool linear = all_unfrozen(s);
    for (int iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
        look_up(s);
        balance(s);
        eliminate(s);
        double sum = 0.0;
        const double worst = correct(s->nodes, c, &sum);
        if (!isfinite(sum)) { // a comparison passes over NaN
            return false;
        }
        linear = linear && all_unfrozen(s);
        if (linear || worst < settled_k) {
            return true;
        }
    }
    return false;
}

static void load(const solve *s)
{
    cbx_column *c = s->column;
    const double thickness = cbx_snow_depth_m(s->snow) / CBX_SNOW_CELLS;
    const double conductivity =
        s->snow_cells ? cb_snow_conductivity_w_mk(s->snow->density_kg_m3) : 0.0;
    for (int n = 0; n < s->snow_cells; n++) {
        c->length[n] = thickness;
        c->conduct[n] = conductivity;
        c->energy[n] = s->snow->heat_j_m2[n];
    }
    for (int k = 0; k < c->nz; k++) {
        c->length[s->snow_cells + k] = c->section->dz_m[k];
        c->energy[s->snow_cells + k] = c->enthalpy_j_m3[k] * c->section->dz_m[k];
    }
}

// Sums over nodes from `first`: heat they gained per second in a stage.
static double gained_w_m2(const solve *s, int first, const double *rate)
{
    double sum = 0.0;
    for (int n = first; n < s->nodes; n++) {
        sum += rate[n];
    }
    const double bottom = s->drive->bottom_given
                              ? bottom_link(s) * (s->drive->bottom_c - s->column->t[s->nodes - 1])
                              : s->column->section->geothermal_flux_w_m2;
    return sum - bottom;
}

typedef struct means {
    double top_w_m2, soil_w_m2, cell_c, half_m2k_w;
} means;

static void add_means(const solve *s, means *sum, double weight)
{
    const cbx_column *c = s->column;
    const int first = s->snow_cells;
    sum->top_w_m2 += weight * gained_w_m2(s, 0, c->rate);
    sum->soil_w_m2 += weight * gained_w_m2(s, first, c->rate);
    sum->cell_c += weight * c->t[first];
    sum->half_m2k_w += weight * 0.5 * c->length[first] / c->conduct[first];
}

static bool both_stages(const solve *s, means *sum, double weight)
{
    cbx_column *c = s->column;
    const size_t bytes = (size_t)s->nodes * sizeof(double);
    memcpy(c->start, c->energy, bytes);
    memcpy(c->base, c->energy, bytes);
    if (!solve_stage(s)) {
        return false;
    }
    const double whole_s = s->step_s / stage;
    for (int n = 0; n < s->nodes; n++) {
        c->rate[n] = (c->energy[n] - c->base[n]) / s->step_s;
        c->base[n] = c->start[n] + (1.0 - stage) * whole_s * c->rate[n];
    }
    add_means(s, sum, weight * (1.0 - stage));
    if (!solve_stage(s)) {
        return false;
    }
    for (int n = 0; n < s->nodes; n++) {
        c->rate[n] = (c->energy[n] - c->base[n]) / s->step_s;
    }
    add_means(s, sum, weight * stage);
    return true;
}

static void store(const solve *s, cbx_snow *snow)
{
    cbx_column *c = s->column;
    for (int n = 0; n < s->snow_cells; n++) {
        snow->heat_j_m2[n] = c->energy[n];
    }
    for (int k = 0; k < c->nz; k++) {
        c->enthalpy_j_m3[k] = c->energy[s->snow_cells + k] / c->section->dz_m[k];
    }
}

bool cbx_column_advance(cbx_column *column, cbx_snow *snow, const cbx_drive *drive, cbx_step *step)
{
    const int cells = snow->mass_kg_m2 > 0.0 ? CBX_SNOW_CELLS : 0;
    solve s = {column, snow, drive, cells, column->nz + cells, 0.0};
    for (int halving = 0, parts = 1; halving <= MOST_HALVINGS; halving++, parts *= 2) {
        means sum = {0};
        bool ok = true;
        s.step_s = stage * drive->duration_s / parts;
        load(&s);
        for (int part = 0; part < parts && ok; part++) {
            ok = both_stages(&s, &sum, 1.0 / parts);
        }
        if (ok) {
            store(&s, snow);
            *step = (cbx_step){
                .top_c = (drive->top.intake_w_m2 - sum.top_w_m2) / drive->top.h_w_m2k,
                .soil_w_m2 = sum.soil_w_m2,
                .soil_surface_c = sum.cell_c + sum.soil_w_m2 * sum.half_m2k_w,
            };
            return true;
        }
    }
    return false;
}
