// SPDX-License-Identifier: MIT
#include "resolved_cell.h"

#include <math.h>
#include <stdlib.h>

static const double pi = 3.14159265358979323846;
enum { ALONG, ACROSS, DOWN, AXES };

double resolved_radius_cells(int spread)
{
    return spread == 1 ? 1.042 : 2.180;
}

// ---- axes ------------------------------------------------------------------------------------

/// Least and greatest place of the pipe along an axis.
typedef struct reach {
    double low_m, high_m;
} reach;

static double place_on(path_point at, int axis)
{
    return axis == ALONG ? at.x_m : axis == ACROSS ? at.y_m : at.z_m;
}

static reach reach_of(const pipe_path *path, int axis)
{
    enum { STEPS = 720 };
    reach of = {INFINITY, -INFINITY};
    for (int n = 0; n <= STEPS; n++) {
        const double at_m = place_on(pipe_path_at(path, pi * n / STEPS), axis);
        of.low_m = fmin(of.low_m, at_m);
        of.high_m = fmax(of.high_m, at_m);
    }
    return of;
}

// Fine cells go so far beyond the centre line that none of its heat falls on others.
static double margin_of(const resolved_plan *plan)
{
    return (2.0 * plan->spread + 2.0) * plan->cell_m;
}

// Spans of fine cells around every path, joined where they touch.
static int fine_spans(const resolved_plan *plan, int axis, cb_fine_span *span)
{
    const double margin_m = margin_of(plan);
    int count = 0;
    for (int p = 0; p < plan->paths; p++) {
        reach of = reach_of(&plan->path[p], axis);
        of.low_m -= margin_m;
        of.high_m += margin_m;
        for (int n = 0; n < count;) { // swallow those it touches
            if (span[n].low_m <= of.high_m && of.low_m <= span[n].high_m) {
                of.low_m = fmin(of.low_m, span[n].low_m);
                of.high_m = fmax(of.high_m, span[n].high_m);
                span[n] = span[--count];
                n = 0;
            } else {
                n++;
            }
        }
        span[count++] = (cb_fine_span){of.low_m, of.high_m, 0};
    }
    for (int n = 0; n < count; n++) { // few: sort by exchange
        for (int m = n + 1; m < count; m++) {
            if (span[m].low_m < span[n].low_m) {
                const cb_fine_span kept = span[n];
                span[n] = span[m];
                span[m] = kept;
            }
        }
    }
    return count;
}

static cb_status graded_axis(const resolved_plan *plan, int axis, cb_axis *out, cb_error *error)
{
    cb_fine_span span[RESOLVED_MAX_PATHS];
    const int count = fine_spans(plan, axis, span);
    cb_axis_rule rule = {.first_m = 0.0,
                         .last_m = plan->bottom_m,
                         .first_size_m = plan->surface_cell_m,
                         .growth = plan->growth,
                         .largest_m = plan->largest_m};
    if (axis == ACROSS) {
        const double beyond_m = plan->side_m - margin_of(plan);
        rule.first_m = plan->mirror ? 0.0 : span[0].low_m - beyond_m;
        rule.last_m = span[count - 1].high_m + beyond_m;
        rule.first_size_m = 0.0;
    }
    int kept = 0;
    for (int n = 0; n < count; n++) {
        if (span[n].high_m > rule.first_m) {
            span[kept] = span[n];
            span[kept].low_m = fmax(span[n].low_m, rule.first_m);
            span[kept].cells =
                (int)ceil((span[kept].high_m - span[kept].low_m) / plan->cell_m - 1e-6);
            kept++;
        }
    }
    return cb_axis_create(out, &rule, span, kept, plan->soil_bottom_m,
                          axis == DOWN ? plan->soils - 1 : 0, error);
}

static cb_status even_axis(double last_m, int cells, cb_axis *out, cb_error *error)
{
    *out = (cb_axis){cells, calloc((size_t)cells + 1, sizeof(double))};
    if (!out->edge_m) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the resolved cell");
    }
    for (int n = 0; n <= cells; n++) {
        out->edge_m[n] = last_m * n / cells;
    }
    return CB_OK;
}

static cb_status make_axes(resolved_cell *cell, cb_error *error)
{
    const resolved_plan *plan = &cell->plan;
    const double half_m = 0.5 * plan->path[0].pitch_m;
    const bool straight = plan->path[0].kind == PATH_STRAIGHT;
    cb_status status = even_axis(half_m, straight ? 1 : (int)ceil(half_m / plan->cell_m - 1e-6),
                                 &cell->axis[0], error);
    for (int axis = ACROSS; status == CB_OK && axis < AXES; axis++) {
        status = graded_axis(plan, axis, &cell->axis[axis], error);
    }
    cell->nx = cell->axis[ALONG].cells;
    cell->ny = cell->axis[ACROSS].cells;
    cell->nz = cell->axis[DOWN].cells;
    cell->cells = cell->nx * cell->ny * cell->nz;
    return status;
}

// ---- pipe in cells ---------------------------------------------------------------------------

/// Cells of one axis that share a point, and how.
typedef struct spread {
    int cell[8];
    double share[8];
    int count;
} spread;

// Beyond a mirror the cells are those before it.
static int mirrored(int n, int cells, bool low_mirror, bool high_mirror)
{
    if (n < 0) {
        return low_mirror ? -1 - n : -1;
    }
    if (n >= cells) {
        return high_mirror ? 2 * cells - 1 - n : -1;
    }
    return n;
}

static bool spread_on(const resolved_cell *cell, int axis, double at_m, spread *out)
{
    const cb_axis *on = &cell->axis[axis];
    out->count = 0;
    if (on->cells == 1) {
        *out = (spread){{0}, {1.0}, 1};
        return true;
    }
    const bool low_mirror = axis == ALONG || (axis == ACROSS && cell->plan.mirror);
    const bool high_mirror = axis == ALONG;
    int here = 0;
    while (here < on->cells - 1 && on->edge_m[here + 1] <= at_m) {
        here++;
    }
    const double size_m = on->edge_m[here + 1] - on->edge_m[here];
    const double place = (at_m - on->edge_m[here]) / size_m + here - 0.5; // in cells
    const int wide = cell->plan.spread, first = (int)floor(place) + 1 - 2 * wide;
    for (int n = first; n < first + 4 * wide; n++) {
        const double share = 0.25 / wide * (1.0 + cos(0.5 * pi * (n - place) / wide));
        const int c = mirrored(n, on->cells, low_mirror, high_mirror);
        if (c < 0 || fabs(on->edge_m[c + 1] - on->edge_m[c] - size_m) > 0.01 * size_m) {
            return share < 1e-12; // out of the fine cells
        }
        out->cell[out->count] = c;
        out->share[out->count++] = share;
    }
    return true;
}

// By the mirrors and the pitch every point has its like between 0 and half a pitch.
static double folded(double x_m, double pitch_m)
{
    return fabs(remainder(x_m, pitch_m));
}

static bool add_point(const resolved_cell *cell, path_point at, double pipe_m, double *metres)
{
    spread on[AXES];
    const double across_m = cell->plan.mirror ? fabs(at.y_m) : at.y_m;
    if (!spread_on(cell, ALONG, folded(at.x_m, cell->plan.path[0].pitch_m), &on[ALONG]) ||
        !spread_on(cell, ACROSS, across_m, &on[ACROSS]) ||
        !spread_on(cell, DOWN, at.z_m, &on[DOWN])) {
        return false;
    }
    for (int a = 0; a < on[ALONG].count; a++) {
        for (int b = 0; b < on[ACROSS].count; b++) {
            for (int c = 0; c < on[DOWN].count; c++) {
                metres[(on[ALONG].cell[a] * cell->ny + on[ACROSS].cell[b]) * cell->nz +
                       on[DOWN].cell[c]] +=
                    pipe_m * on[ALONG].share[a] * on[ACROSS].share[b] * on[DOWN].share[c];
            }
        }
    }
    return true;
}

// Half of the turn, a = 0 .. pi, is all the pipe there is between the mirrors.
static bool add_path(const resolved_cell *cell, const pipe_path *path, double *metres)
{
    const double share = cell->plan.mirror ? 0.5 : 1.0;
    const int steps = (int)ceil(20.0 * pipe_path_turn_m(path) / cell->plan.cell_m);
    for (int n = 0; n < steps; n++) {
        const double a = pi * (n + 0.5) / steps;
        const double part_m = share * pipe_path_speed_m(path, a) * pi / steps;
        if (!add_point(cell, pipe_path_at(path, a), part_m, metres)) {
            return false;
        }
    }
    return true;
}

static cb_status gather_pipe(resolved_cell *cell, const double *metres, cb_error *error)
{
    for (int c = 0; c < cell->cells; c++) {
        cell->pipe_cells += metres[c] > 0.0;
    }
    cell->pipe_cell = calloc((size_t)cell->pipe_cells, sizeof *cell->pipe_cell);
    cell->pipe_share_m = calloc((size_t)cell->pipe_cells, sizeof *cell->pipe_share_m);
    if (!cell->pipe_cell || !cell->pipe_share_m) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the resolved cell");
    }
    int kept = 0;
    for (int c = 0; c < cell->cells; c++) {
        if (metres[c] > 0.0) {
            cell->pipe_cell[kept] = c;
            cell->pipe_share_m[kept++] = metres[c];
            cell->pipe_m += metres[c];
        }
    }
    return CB_OK;
}

static cb_status lay_pipe(resolved_cell *cell, cb_error *error)
{
    double *metres = calloc((size_t)cell->cells, sizeof *metres);
    if (!metres) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the resolved cell");
    }
    cb_status status = CB_OK;
    for (int p = 0; status == CB_OK && p < cell->plan.paths; p++) {
        if (!add_path(cell, &cell->plan.path[p], metres)) {
            status = cb_fail(error, CB_BAD_CALL, "pipe %d leaves the fine cells", p + 1);
        }
    }
    if (status == CB_OK) {
        status = gather_pipe(cell, metres, error);
    }
    free(metres);
    return status;
}

// ---- making one ------------------------------------------------------------------------------

static double size_of(const resolved_cell *cell, int axis, int n)
{
    return cell->axis[axis].edge_m[n + 1] - cell->axis[axis].edge_m[n];
}

static cb_status make_arrays(resolved_cell *cell, cb_error *error)
{
    double **const arrays[] = {&cell->volume_m3,    &cell->temperature_c, &cell->conductivity_w_mk,
                               &cell->slope_k_m3_j, &cell->along_w_k,     &cell->across_w_k,
                               &cell->down_w_k};
    bool ok = true;
    for (size_t n = 0; n < sizeof arrays / sizeof *arrays; n++) {
        *arrays[n] = calloc((size_t)cell->cells, sizeof(double));
        ok = ok && *arrays[n];
    }
    cell->top_w_k = calloc((size_t)(cell->nx * cell->ny), sizeof(double));
    cell->curve_of_row = calloc((size_t)cell->nz, sizeof(int));
    return ok && cell->top_w_k && cell->curve_of_row
               ? CB_OK
               : cb_fail(error, CB_NO_MEMORY, "no memory for the resolved cell");
}

static cb_status fill_soil(resolved_cell *cell, cb_error *error)
{
    const resolved_plan *plan = &cell->plan;
    for (int n = 0; n < plan->soils; n++) {
        const cb_status status = cb_soil_curve_create(&cell->curve[n], &plan->soil[n], error);
        if (status != CB_OK) {
            return status;
        }
    }
    for (int k = 0; k < cell->nz; k++) {
        const double *edge_m = cell->axis[DOWN].edge_m;
        const double middle_m = 0.5 * (edge_m[k] + edge_m[k + 1]);
        int n = 0;
        while (n < plan->soils - 1 && middle_m > plan->soil_bottom_m[n]) {
            n++;
        }
        cell->curve_of_row[k] = n;
    }
    for (int c = 0; c < cell->cells; c++) {
        const int k = c % cell->nz, j = c / cell->nz % cell->ny, i = c / cell->nz / cell->ny;
        cell->volume_m3[c] =
            size_of(cell, ALONG, i) * size_of(cell, ACROSS, j) * size_of(cell, DOWN, k);
    }
    return CB_OK;
}

resolved_cell *resolved_cell_create(const resolved_plan *plan, cb_error *error)
{
    resolved_cell *cell = calloc(1, sizeof *cell);
    if (!cell) {
        cb_fail(error, CB_NO_MEMORY, "no memory for the resolved cell");
        return NULL;
    }
    cell->plan = *plan;
    cb_status status = make_axes(cell, error);
    if (status == CB_OK) {
        status = make_arrays(cell, error);
    }
    if (status == CB_OK) {
        status = fill_soil(cell, error);
    }
    if (status == CB_OK) {
        status = lay_pipe(cell, error);
    }
    return status == CB_OK ? cell : resolved_cell_destroy(cell);
}

resolved_cell *resolved_cell_destroy(resolved_cell *cell)
{
    if (cell) {
        for (int n = 0; n < AXES; n++) {
            cb_axis_free(&cell->axis[n]);
        }
        for (int n = 0; n < RESOLVED_MAX_SOILS; n++) {
            cb_soil_curve_destroy(cell->curve[n]);
        }
        free(cell->curve_of_row);
        free(cell->volume_m3);
        free(cell->pipe_cell);
        free(cell->pipe_share_m);
        free(cell->temperature_c);
        free(cell->conductivity_w_mk);
        free(cell->slope_k_m3_j);
        free(cell->along_w_k);
        free(cell->across_w_k);
        free(cell->down_w_k);
        free(cell->top_w_k);
        free(cell);
    }
    return NULL;
}

// ---- states and rates ------------------------------------------------------------------------

void resolved_cell_start(const resolved_cell *cell,
                         double (*profile_c)(const void *context, double z_m), const void *context,
                         double *enthalpy_j_m3)
{
    const double *edge_m = cell->axis[DOWN].edge_m;
    for (int k = 0; k < cell->nz; k++) {
        const double middle_m = 0.5 * (edge_m[k] + edge_m[k + 1]);
        const double h =
            cb_soil_enthalpy_j_m3(cell->curve[cell->curve_of_row[k]], profile_c(context, middle_m));
        for (int column = 0; column < cell->nx * cell->ny; column++) {
            enthalpy_j_m3[column * cell->nz + k] = h;
        }
    }
}

// Half-cells in series.
static double between(double area_m2, double size_a_m, double k_a, double size_b_m, double k_b)
{
    return 2.0 * area_m2 * k_a * k_b / (size_a_m * k_b + size_b_m * k_a);
}

static void update_column(resolved_cell *cell, int i, int j)
{
    const int nz = cell->nz, first = (i * cell->ny + j) * nz;
    const double *k = cell->conductivity_w_mk, *edge_m = cell->axis[DOWN].edge_m;
    const double dx = size_of(cell, ALONG, i), dy = size_of(cell, ACROSS, j);
    const bool more_along = i + 1 < cell->nx, more_across = j + 1 < cell->ny;
    const double next_dx = more_along ? size_of(cell, ALONG, i + 1) : dx;
    const double next_dy = more_across ? size_of(cell, ACROSS, j + 1) : dy;
    for (int r = 0; r < nz; r++) {
        const int c = first + r;
        const double dz = edge_m[r + 1] - edge_m[r];
        if (more_along) {
            cell->along_w_k[c] = between(dy * dz, dx, k[c], next_dx, k[c + cell->ny * nz]);
        }
        if (more_across) {
            cell->across_w_k[c] = between(dx * dz, dy, k[c], next_dy, k[c + nz]);
        }
        if (r + 1 < nz) {
            cell->down_w_k[c] = between(dx * dy, dz, k[c], edge_m[r + 2] - edge_m[r + 1], k[c + 1]);
        }
    }
}

void resolved_cell_update(resolved_cell *cell, const double *enthalpy_j_m3, double time_s)
{
    for (int c = 0; c < cell->cells; c++) {
        const cb_soil_state soil =
            cb_soil_at(cell->curve[cell->curve_of_row[c % cell->nz]], enthalpy_j_m3[c]);
        cell->temperature_c[c] = soil.temperature_c;
        cell->conductivity_w_mk[c] = soil.conductivity_w_mk;
        cell->slope_k_m3_j[c] = soil.slope_k_m3_j;
    }
    const double film_w_m2k = cell->plan.drive.surface(cell->plan.drive.context, time_s).h_w_m2k;
    const double top_m = size_of(cell, DOWN, 0);
    for (int i = 0; i < cell->nx; i++) {
        for (int j = 0; j < cell->ny; j++) {
            update_column(cell, i, j);
            const int column = i * cell->ny + j;
            cell->top_w_k[column] =
                size_of(cell, ALONG, i) * size_of(cell, ACROSS, j) /
                (1.0 / film_w_m2k + 0.5 * top_m / cell->conductivity_w_mk[column * cell->nz]);
        }
    }
}

static void conduct(const resolved_cell *cell, double *restrict heat_w)
{
    const int nz = cell->nz, row = cell->ny * nz;
    const double *restrict t = cell->temperature_c;
    for (int c = 0; c < cell->cells; c++) {
        heat_w[c] = 0.0;
    }
    // The last cells of each axis conduct nothing to the next.
    for (int c = 0; c < cell->cells; c++) {
        const double down = c + 1 < cell->cells ? cell->down_w_k[c] * (t[c + 1] - t[c]) : 0.0;
        heat_w[c] += down;
        if (c + 1 < cell->cells) {
            heat_w[c + 1] -= down;
        }
        if (c + nz < cell->cells) {
            const double across = cell->across_w_k[c] * (t[c + nz] - t[c]);
            heat_w[c] += across;
            heat_w[c + nz] -= across;
        }
        if (c + row < cell->cells) {
            const double along = cell->along_w_k[c] * (t[c + row] - t[c]);
            heat_w[c] += along;
            heat_w[c + row] -= along;
        }
    }
}

double resolved_cell_rates(const resolved_cell *cell, double time_s, double *rate)
{
    const resolved_plan *plan = &cell->plan;
    const cb_surface_exchange surface = plan->drive.surface(plan->drive.context, time_s);
    const double air_c = surface.intake_w_m2 / surface.h_w_m2k;
    const double pipe_w_m = plan->drive.pipe_w_m(plan->drive.context, time_s);
    double surface_w = 0.0;
    conduct(cell, rate);
    for (int column = 0; column < cell->nx * cell->ny; column++) {
        const int top = column * cell->nz, bottom = top + cell->nz - 1;
        const double in_w = cell->top_w_k[column] * (air_c - cell->temperature_c[top]);
        rate[top] += in_w;
        surface_w += in_w;
        rate[bottom] += plan->geothermal_flux_w_m2 * cell->volume_m3[bottom] /
                        size_of(cell, DOWN, cell->nz - 1);
    }
    for (int n = 0; n < cell->pipe_cells; n++) {
        rate[cell->pipe_cell[n]] += pipe_w_m * cell->pipe_share_m[n];
    }
    for (int c = 0; c < cell->cells; c++) {
        rate[c] /= cell->volume_m3[c];
    }
    return surface_w;
}

double resolved_cell_wall_c(const resolved_cell *cell, double time_s)
{
    double mean_c = 0.0, conductivity = 0.0;
    for (int n = 0; n < cell->pipe_cells; n++) {
        const double share = cell->pipe_share_m[n] / cell->pipe_m;
        mean_c += share * cell->temperature_c[cell->pipe_cell[n]];
        conductivity += share * cell->conductivity_w_mk[cell->pipe_cell[n]];
    }
    // Cubes of nearly one size; straight pipe has no size along itself.
    const cb_axis *down = &cell->axis[DOWN];
    const int k = cell->pipe_cell[0] % cell->nz, j = cell->pipe_cell[0] / cell->nz % cell->ny;
    const double size_m = sqrt((down->edge_m[k + 1] - down->edge_m[k]) * size_of(cell, ACROSS, j));
    const double read_m = resolved_radius_cells(cell->plan.spread) * size_m;
    return mean_c + cell->plan.drive.pipe_w_m(cell->plan.drive.context, time_s) *
                        log(read_m / cell->plan.pipe_radius_m) / (2.0 * pi * conductivity);
}

double resolved_cell_stored_j(const resolved_cell *cell, const double *enthalpy_j_m3)
{
    double sum = 0.0;
    for (int c = 0; c < cell->cells; c++) {
        sum += cell->volume_m3[c] * enthalpy_j_m3[c];
    }
    return sum;
}
