// SPDX-License-Identifier: MIT
#include "ground_run.h"

#include "ground_solver.h"

#include "engine/assemble.h"

#include <math.h>
#include <stdlib.h>

struct ground_run {
    cbx_system *system;
    ground_solver *solver; // NULL until the first advance after a start
    ground_drive drive;
    cbx_piece *piece;
    cb_section_state *state; // what is looked at
    double *y;               // [size]
    double time_s, start_c;
    bool lost; // the integrator gave up
};

// ---- making one ------------------------------------------------------------------------------

cb_soil ground_plain_soil(double conductivity_w_mk, double heat_capacity_j_m3k)
{
    cb_soil soil = cb_soil_of("loam", 0.0);
    soil.conductivity_w_mk = soil.frozen_conductivity_w_mk = conductivity_w_mk;
    soil.heat_capacity_j_m3k = soil.frozen_heat_capacity_j_m3k = heat_capacity_j_m3k;
    soil.freezing_start_c = -1.0;
    soil.freezing_exponent = 1.0;
    return soil;
}

cb_surface_exchange ground_constant_surface(const void *context, double time_s)
{
    (void)time_s;
    return *(const cb_surface_exchange *)context;
}

static ground_run *run_of(cbx_system *system, const ground_drive *drive)
{
    ground_run *run = calloc(1, sizeof *run);
    if (!run) {
        cbx_system_destroy(system);
        return NULL;
    }
    run->system = system;
    run->drive = *drive;
    const size_t nodes = (size_t)(system->slices * system->run_count) + 1;
    run->piece = calloc(nodes, sizeof *run->piece);
    run->y = calloc((size_t)system->size, sizeof(double));
    if (!run->piece || !run->y ||
        cb_section_state_create(&run->state, system->section, NULL) != CB_OK) {
        return ground_run_destroy(run);
    }
    return run;
}

static bool make_curves(cbx_system *system, const ground_soils *soils)
{
    system->curves = calloc((size_t)soils->count, sizeof(cb_soil_curve *));
    for (int n = 0; system->curves && n < soils->count; n++) {
        if (cb_soil_curve_create(&system->curves[n], &soils->soil[n], NULL) != CB_OK) {
            return false;
        }
        system->curve_count = n + 1;
    }
    return system->curves != NULL;
}

static bool fill_section(cbx_system *system, const cb_axis *x, const cb_axis *z,
                         const ground_soils *soils)
{
    static const double bottom_m = 0.0;
    double unit_m[2] = {0.0, 1.0};
    const cb_axis one = {1, unit_m};
    system->slices = 1;
    if (!make_curves(system, soils)) {
        return false;
    }
    const cb_section_plan plan = {.x = x ? x : &one,
                                  .z = z,
                                  .length_m = 1.0,
                                  .scale = 1.0,
                                  .curves = system->curves,
                                  .layer_bottom_m = &bottom_m,
                                  .layers = 1};
    if (cb_section_create(&system->section, &plan, NULL) != CB_OK) {
        return false;
    }
    for (int c = 0; soils->soil_of && c < system->section->cells; c++) {
        const int nz = system->section->nz;
        system->section->soil[c] = soils->soil_of(soils->context, c / nz, c % nz);
    }
    system->size = system->section->cells + 2;
    return cbx_system_workspace(system, NULL) == CB_OK && cbx_system_volumes(system, NULL) == CB_OK;
}

ground_run *ground_run_mixed(const cb_axis *x, const cb_axis *z, const ground_soils *soils,
                             const ground_drive *drive)
{
    cbx_system *system = calloc(1, sizeof *system);
    if (system && !fill_section(system, x, z, soils)) {
        system = cbx_system_destroy(system);
    }
    return system ? run_of(system, drive) : NULL;
}

ground_run *ground_run_section(const cb_axis *x, const cb_axis *z, const cb_soil *soil,
                               const ground_drive *drive)
{
    const ground_soils one = {.soil = soil, .count = 1};
    return ground_run_mixed(x, z, &one, drive);
}

ground_run *ground_run_column(double depth_m, double first_m, double growth, const cb_soil *soil,
                              const ground_drive *drive)
{
    const cb_axis_rule rule = {0.0, depth_m, first_m, growth, 0.05 * depth_m};
    cb_axis z;
    if (cb_axis_create(&z, &rule, NULL, 0, NULL, 0, NULL) != CB_OK) {
        return NULL;
    }
    ground_run *run = ground_run_section(NULL, &z, soil, drive);
    cb_axis_free(&z);
    return run;
}

cb_design ground_design(const cb_soil *soil, double depth_m, double side_m, double bottom_m)
{
    return (cb_design){
        .ground = {.layer_count = 1,
                   .layer = {{.bottom_m = bottom_m, .soil = *soil}},
                   .bottom_depth_m = bottom_m,
                   .side_margin_m = side_m},
        .field = {.trenches = 1,
                  .spacing_m = 1.0,
                  .trench_length_m = 1.0,
                  .trench_width_m = 1.0,
                  .depth_m = depth_m,
                  .layout = CB_STRAIGHT,
                  .straight_pipes = 1,
                  .straight = {{0.0, depth_m}},
                  .pipe = {"1 in", 11.0, 0.4, 2.2e6},
                  .header_volume_m3 = 0.01},
        .fluid = {CB_WATER, 0.0, false},
        .pumps = {.flow_per_circuit_m3_s = 1e-4},
        .run = {.years = 1, .accuracy = CB_STANDARD, .slices = 1},
    };
}

ground_run *ground_run_field(const cb_design *design, const ground_drive *drive)
{
    cbx_system *system;
    if (cbx_system_create(&system, design, NULL, NULL, NULL) != CB_OK) {
        return NULL;
    }
    // The heat is given at the wall: water in pipes and headers would only delay it.
    system->header_capacity_j_k *= 1e-6;
    for (int r = 0; r < system->run_count; r++) {
        system->run[r].fluid_capacity_j_k *= 1e-3;
    }
    return run_of(system, drive);
}

ground_run *ground_run_destroy(ground_run *run)
{
    if (run) {
        ground_solver_destroy(run->solver);
        cb_section_state_destroy(run->state);
        cbx_system_destroy(run->system);
        free(run->piece);
        free(run->y);
        free(run);
    }
    return NULL;
}

cbx_system *ground_run_system(ground_run *run)
{
    return run ? run->system : NULL;
}

// ---- the drive -------------------------------------------------------------------------------

// The forcing of a system is what it remembers of the hour around a time; here it remembers the
// drive's value and never asks for weather.
static void set_forcing(void *context, double time_s)
{
    ground_run *run = context;
    cb_surface_exchange surface = cb_film(run->start_c, ground_film_isothermal, 0.0);
    if (run->drive.surface) {
        surface = run->drive.surface(run->drive.context, time_s);
    }
    cbx_forcing *forcing = &run->system->forcing;
    forcing->cached_hour = (long)floor(time_s / 3600.0 - 0.5);
    forcing->before = forcing->after = (cbx_forcing_point){.surface = surface};
}

static int rates(void *context, double time_s, const double *y, double *rate)
{
    ground_run *run = context;
    cbx_system *system = run->system;
    set_forcing(run, time_s);
    const int failed = cbx_system_rates(system, time_s, y, rate, run->piece);
    const double pipe_w_m =
        run->drive.pipe_w_m ? run->drive.pipe_w_m(run->drive.context, time_s) : 0;
    for (int r = 0; r < system->run_count; r++) {
        rate[cbx_fluid_at(system, r)] +=
            pipe_w_m * system->run[r].pipe_m / system->run[r].fluid_capacity_j_k;
    }
    for (int c = 0; run->drive.cell_w && c < system->section->cells; c++) {
        rate[c] += run->drive.cell_w[c] / system->section->volume_m3[c];
    }
    return failed;
}

// ---- running ---------------------------------------------------------------------------------

static double cell_depth(const cb_section *section, int k)
{
    return 0.5 * (section->z_edge_m[k] + section->z_edge_m[k + 1]);
}

void ground_run_start_profile(ground_run *run, double (*profile_c)(const void *context, double z_m),
                              const void *context)
{
    if (!run) {
        return;
    }
    const cbx_system *system = run->system;
    const cb_section *section = system->section;
    for (int c = 0; c < section->cells; c++) {
        run->y[c] = cb_soil_enthalpy_j_m3(section->curves[section->soil[c]],
                                          profile_c(context, cell_depth(section, c % section->nz)));
    }
    for (int r = 0; r < system->run_count; r++) {
        const cbx_run *pipe = &system->run[r];
        double pipe_c = 0.0;
        for (int n = 0; n < pipe->block_cells; n++) {
            pipe_c += pipe->weight[n] *
                      profile_c(context, cell_depth(section, pipe->cell[n] % section->nz));
        }
        for (int n = 0; n < CBX_SHELLS; n++) {
            run->y[cbx_shell_at(system, r) + n] =
                cb_soil_enthalpy_j_m3(system->curves[system->run[r].soil], pipe_c);
        }
        run->y[cbx_fluid_at(system, r)] = pipe_c;
        run->y[cbx_entering_at(system)] = pipe_c;
    }
    run->y[cbx_surface_heat_at(system)] = run->y[cbx_loop_heat_at(system)] = 0.0;
    run->time_s = 0.0;
    run->start_c = profile_c(context, 0.0);
    ground_run_restart(run);
}

static double uniform(const void *context, double z_m)
{
    (void)z_m;
    return *(const double *)context;
}

void ground_run_start(ground_run *run, double temperature_c)
{
    ground_run_start_profile(run, uniform, &temperature_c);
}

void ground_run_restart(ground_run *run)
{
    if (run) {
        run->solver = ground_solver_destroy(run->solver);
    }
}

static ground_solver_plan plan_of(ground_run *run)
{
    const double relative = run->drive.relative_tolerance;
    return (ground_solver_plan){.system = run->system,
                                .rates = rates,
                                .set_forcing = set_forcing,
                                .context = run,
                                .relative_tolerance = relative > 0.0 ? relative : 1e-7,
                                .start_s = run->time_s};
}

void ground_run_to(ground_run *run, double time_s)
{
    if (!run || run->lost || time_s <= run->time_s) {
        return;
    }
    if (!run->solver) {
        const ground_solver_plan plan = plan_of(run);
        run->solver = ground_solver_create(&plan, run->y);
    }
    run->lost = !run->solver || !ground_solver_advance(run->solver, time_s, run->y);
    run->time_s = time_s;
}

void ground_run_settle(ground_run *run)
{
    if (!run) {
        return;
    }
    ground_run_restart(run);
    const ground_solver_plan plan = plan_of(run);
    run->lost = !ground_solver_settle(&plan, run->y) || run->lost;
}

// ---- looking ---------------------------------------------------------------------------------

// Soil states at the run's own time; NULL if there is nothing to see.
static const cb_section_state *state_now(ground_run *run)
{
    if (!run || run->lost) {
        return NULL;
    }
    set_forcing(run, run->time_s);
    cb_section_update(run->system->section, run->y, run->system->forcing.before.surface.h_w_m2k,
                      0.0, run->state);
    return run->state;
}

// Weights of four cell centres around a place. Cells beyond the sides mirror those within.
typedef struct stencil {
    int cell[4];
    double weight[4];
} stencil;

static double mirrored_centre(const double *edge_m, int cells, int n, int *cell)
{
    *cell = n < 0 ? -1 - n : n >= cells ? 2 * cells - 1 - n : n;
    const double centre = 0.5 * (edge_m[*cell] + edge_m[*cell + 1]);
    return n < 0 ? 2.0 * edge_m[0] - centre : n >= cells ? 2.0 * edge_m[cells] - centre : centre;
}

static stencil stencil_at(const double *edge_m, int cells, double at_m, bool mirror)
{
    stencil out = {{0}, {1.0, 0.0, 0.0, 0.0}};
    if (cells < 4) {
        return out;
    }
    int here = 0;
    while (here < cells - 1 && 0.5 * (edge_m[here + 1] + edge_m[here + 2]) <= at_m) {
        here++;
    }
    int first = here - 1;
    if (mirror && at_m < 0.5 * (edge_m[0] + edge_m[1])) {
        first = -2;
    } else if (!mirror) {
        first = first < 0 ? 0 : first > cells - 4 ? cells - 4 : first;
    }
    double centre[4];
    for (int a = 0; a < 4; a++) {
        centre[a] = mirrored_centre(edge_m, cells, first + a, &out.cell[a]);
    }
    for (int a = 0; a < 4; a++) {
        out.weight[a] = 1.0;
        for (int b = 0; b < 4; b++) {
            out.weight[a] *= b == a ? 1.0 : (at_m - centre[b]) / (centre[a] - centre[b]);
        }
    }
    return out;
}

double ground_between(const double *edge_m, int cells, const double *value, double at_m)
{
    const stencil at = stencil_at(edge_m, cells, at_m, false);
    double sum = 0.0;
    for (int a = 0; a < 4; a++) {
        sum += at.weight[a] * value[at.cell[a]];
    }
    return sum;
}

double ground_at(ground_run *run, double x_m, double z_m)
{
    const cb_section_state *state = state_now(run);
    if (!state) {
        return NAN;
    }
    const cb_section *section = run->system->section;
    const stencil x = stencil_at(section->x_edge_m, section->nx, x_m, true);
    const stencil z = stencil_at(section->z_edge_m, section->nz, z_m, false);
    double sum = 0.0;
    for (int a = 0; a < 4; a++) {
        for (int b = 0; b < 4; b++) {
            sum += x.weight[a] * z.weight[b] *
                   state->temperature_c[cb_cell(section, x.cell[a], z.cell[b])];
        }
    }
    return sum;
}

double ground_cell_c(ground_run *run, int cell)
{
    if (!run || run->lost) {
        return NAN;
    }
    const cb_section *section = run->system->section;
    return cb_soil_at(section->curves[section->soil[cell]], run->y[cell]).temperature_c;
}

// Heat into the soil at the column that holds x, and what it does over the top half cell.
static double column_flux(ground_run *run, double x_m, double *surface_c)
{
    const cb_section_state *state = state_now(run);
    if (!state) {
        return *surface_c = NAN;
    }
    const cb_section *section = run->system->section;
    int i = 0;
    while (i < section->nx - 1 && section->x_edge_m[i + 1] <= x_m) {
        i++;
    }
    const cb_surface_exchange *surface = &run->system->forcing.before.surface;
    const int c = cb_cell(section, i, 0);
    const double outside_c = surface->intake_w_m2 / surface->h_w_m2k;
    const double flux = state->top_w_k[i] * (outside_c - state->temperature_c[c]) /
                        (section->dx_m[i] * section->depth_area_m);
    *surface_c =
        state->temperature_c[c] + flux * 0.5 * section->dz_m[0] / state->conductivity_w_mk[c];
    return flux;
}

double ground_surface_c(ground_run *run, double x_m)
{
    double surface_c;
    column_flux(run, x_m, &surface_c);
    return surface_c;
}

double ground_surface_w_m2(ground_run *run, double x_m)
{
    double surface_c;
    return column_flux(run, x_m, &surface_c);
}

double ground_wall_c(ground_run *run, int pipe)
{
    return run && !run->lost ? cbx_wall_c(run->system, pipe, 0.0, run->y) : NAN;
}

double ground_frozen_m3(ground_run *run)
{
    if (!run || run->lost) {
        return NAN;
    }
    const cbx_system *system = run->system;
    const cb_section *section = system->section;
    double sum = 0.0;
    for (int c = 0; c < section->cells; c++) {
        sum += section->volume_m3[c] * cb_soil_at(section->curves[section->soil[c]], run->y[c]).ice;
    }
    for (int r = 0; r < system->run_count; r++) {
        const cbx_run *pipe = &system->run[r];
        for (int n = 0; n < CBX_SHELLS; n++) {
            sum += pipe->shell_volume_m3[n] *
                   cb_soil_at(system->curves[pipe->soil], run->y[cbx_shell_at(system, r) + n]).ice;
        }
    }
    return sum;
}

double ground_stored_j(ground_run *run)
{
    return run && !run->lost ? cbx_system_stored_j(run->system, run->y) : NAN;
}

double ground_taken_j(ground_run *run)
{
    return run && !run->lost ? run->y[cbx_surface_heat_at(run->system)] +
                                   run->time_s * cbx_bottom_heat_w(run->system)
                             : NAN;
}

ground_harmonic ground_harmonic_of(ground_run *run, double period_s, double from_s,
                                   ground_probe *probe, const void *context)
{
    enum { SAMPLES = 96 };
    double mean = 0.0, in_phase = 0.0, behind = 0.0;
    for (int n = 0; n < SAMPLES; n++) {
        const double time_s = from_s + period_s * n / SAMPLES;
        const double angle = 2.0 * ground_pi * time_s / period_s;
        ground_run_to(run, time_s);
        const double value = probe(run, context);
        mean += value / SAMPLES;
        in_phase += 2.0 * value * cos(angle) / SAMPLES;
        behind += 2.0 * value * sin(angle) / SAMPLES;
    }
    return (ground_harmonic){mean, hypot(in_phase, behind), atan2(behind, in_phase)};
}
