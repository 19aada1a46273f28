// SPDX-License-Identifier: MIT
#include "engine/system.h"

#include "ground/soil_curve.h"

#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

double cbx_film_at(const cbx_film_table *table, double temperature_c, double *slope)
{
    const double place = (temperature_c - table->low_c) / table->step_k;
    if (!(place > 0.0) || place >= CBX_FILM_NODES - 1) {
        *slope = 0.0;
        return table->resistance_mk_w[place > 0.0 ? CBX_FILM_NODES - 1 : 0];
    }
    const int n = (int)place;
    const double rise = table->resistance_mk_w[n + 1] - table->resistance_mk_w[n];
    *slope = rise / table->step_k;
    return table->resistance_mk_w[n] + (place - n) * rise;
}

// Fluid along a piece whose wall temperature is linear, T_w + g (x - 1/2): with n transfer units,
//     T_out = T_w + s (T_f - T_w) + e g,   s = n / (exp n - 1),   e = 1/2 - (1 - s) / n,
// T_w and T_f the means. s is 1 and e is 0 at n = 0; without flow (n infinite) s is 0 and e 1/2.
// A wall uniform in each piece (g = 0) would need many slices: the wall follows the fluid. It does
// so while water runs; in hours of a trickle, with ten transfer units and more, walls differ
// because one slice has thawed and the next has not, and a slope drawn from that would overshoot
// what any ground has. It fades there.
typedef struct outlet_shape {
    double share, share_slope; // s and ds/dn
    double end, end_slope;     // e and de/dn
} outlet_shape;

// `alike` is 1 where neighbours thaw or freeze alike, 0 where one does and the other does not.
static void fade_slope(outlet_shape *shape, double n, double alike)
{
    const double trickle = 8.0; // transfer units
    const double q = n / trickle, q3 = q * q * q, kept = 1.0 / (1.0 + q3 * q);
    const double share = alike + (1.0 - alike) * kept;
    const double share_slope = -(1.0 - alike) * 4.0 * q3 / trickle * kept * kept;
    shape->end_slope = share * shape->end_slope + share_slope * shape->end;
    shape->end *= share;
}

static outlet_shape shape_of_outlet(double n)
{
    outlet_shape shape;
    if (n < 1e-3) {
        return (outlet_shape){1.0 - n / 2.0 + n * n / 12.0, -0.5 + n / 6.0, n / 12.0, 1.0 / 12.0};
    }
    if (n > 500.0) {
        shape.share = shape.share_slope = 0.0;
    } else {
        const double e = expm1(n);
        shape.share = n / e;
        shape.share_slope = (e - n * (e + 1.0)) / (e * e);
    }
    shape.end = 0.5 - (1.0 - shape.share) / n;
    shape.end_slope = shape.share_slope / n + (1.0 - shape.share) / (n * n);
    return shape;
}

// Returns the conductivity of the innermost shell.
static double fill_shells(const cb_soil_curve *curve, const cbx_run *run, double share,
                          const double *enthalpy, double dryness, cbx_piece *piece)
{
    double half[CBX_SHELLS]; // resistance between a shell's middle and its edge, but for 2 pi
    double first = 0.0, last = 0.0;
    for (int n = 0; n < CBX_SHELLS; n++) {
        const cb_soil_state soil = cb_soil_dried_at(curve, enthalpy[n], dryness);
        piece->shell_c[n] = soil.temperature_c;
        piece->shell_slope[n] = soil.slope_k_m3_j;
        half[n] = run->shell_half_log[n] / soil.conductivity_w_mk;
        first = n == 0 ? soil.conductivity_w_mk : first;
        last = soil.conductivity_w_mk;
    }
    const double around = 2.0 * pi * share * run->pipe_m;
    piece->shell_w_k[0] = 0.0;
    for (int n = 1; n < CBX_SHELLS; n++) {
        piece->shell_w_k[n] = around / (half[n - 1] + half[n]);
    }
    piece->shell_w_k[CBX_SHELLS] =
        around / (half[CBX_SHELLS - 1] + 2.0 * pi * run->near_field.crossing / last);
    return first;
}

static void fill_exchange(const cbx_run *run, double share, double first_conductivity,
                          cbx_piece *piece)
{
    double film_slope;
    const double film = cbx_film_at(&run->film, piece->fluid_c, &film_slope);
    const double soil =
        run->shell_half_log[0] / (2.0 * pi * first_conductivity); // to the shell's middle
    const double inside = film + run->wall_resistance_mk_w, whole = inside + soil;
    piece->exchange_w_k = share * run->pipe_m / whole;
    piece->exchange_slope = -piece->exchange_w_k * film_slope / whole;
    piece->wall_c = piece->fluid_c + (piece->shell_c[0] - piece->fluid_c) * inside / whole;
}

// Shells, fluid and what passes between them: all that does not depend on flow.
static void fill_local(const cbx_system *system, int node, const double *y, double dryness,
                       cbx_piece *piece)
{
    const cbx_run *run = cbx_run_of(system, node);
    const double share = system->share[node];
    const double first_conductivity = fill_shells(system->curves[run->soil], run, share,
                                                  y + cbx_shell_at(system, node), dryness, piece);
    piece->fluid_c = y[cbx_fluid_at(system, node)];
    fill_exchange(run, share, first_conductivity, piece);
}

double cbx_wall_c(const cbx_system *system, int node, double dryness, const double *y)
{
    cbx_piece piece;
    fill_local(system, node, y, dryness, &piece);
    return piece.wall_c;
}

static void fill_outlet(cbx_piece *piece)
{
    const double drop = piece->shell_c[0] - piece->fluid_c, flow = piece->flow_w_k;
    if (!(flow > 0.0)) {
        piece->outlet_c = piece->shell_c[0];
        piece->outlet_by_fluid = piece->outlet_by_flow = piece->outlet_by_gradient = 0.0;
        piece->outlet_by_shell = 1.0;
        return;
    }
    const double units = piece->exchange_w_k / flow;
    outlet_shape shape = shape_of_outlet(units);
    fade_slope(&shape, units, piece->alike);
    const double by_units = -shape.share_slope * drop + shape.end_slope * piece->gradient_k;
    piece->outlet_c = piece->shell_c[0] - shape.share * drop + shape.end * piece->gradient_k;
    piece->outlet_by_fluid = shape.share + by_units * piece->exchange_slope / flow;
    piece->outlet_by_shell = 1.0 - shape.share;
    piece->outlet_by_flow = -by_units * units / flow;
    piece->outlet_by_gradient = shape.end;
}

static void fill_flow(const cbx_water *water, int run, const cb_plant_rates *plant,
                      cbx_piece *piece)
{
    const cbx_flow *flow = &water->run[run];
    const cb_plant_slopes *by = &plant->pump_fraction_by;
    piece->flow_w_k = flow->value * plant->pump_fraction;
    piece->flow_by = (cb_plant_slopes){
        .entering = flow->value * by->entering,
        .fluid = flow->value * by->fluid + flow->slope * plant->pump_fraction,
        .tank = flow->value * by->tank,
    };
    piece->mixing = flow->value / water->all.value;
    piece->mixing_slope = (flow->slope - piece->mixing * water->all.slope) / water->all.value;
}

// What a slice's pieces take from their own slice.
static void fill_pieces_of(const cbx_system *system, int slice, const double *y, double dryness,
                           const cb_plant_rates *plant, cbx_piece *piece)
{
    for (int r = 0; r < system->run_count; r++) {
        const int node = cbx_node(system, slice, r);
        const cbx_run *run = &system->run[r];
        const cbx_soil_patch block = {run->block_cells, run->cell, run->weight,
                                      system->section->soil};
        cbx_piece *here = &piece[node];
        here->block_c =
            cbx_soil_mean_c(system->section->curves, &block, y + cbx_section_at(system, slice));
        fill_local(system, node, y, dryness, here);
        fill_flow(system->water, r, plant, here);
    }
}

static double mixed_outlets(const cbx_system *system, const cbx_piece *piece)
{
    double sum = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        if (system->end_of_circuit[node]) {
            sum += piece[node].mixing * piece[node].outlet_c;
        }
    }
    return sum;
}

// By how far apart the shells' dT/dH are, which latent heat makes ten to a hundred times smaller.
static double alike(const cbx_piece *ahead, const cbx_piece *behind)
{
    const double a = ahead->shell_slope[0], b = behind->shell_slope[0];
    return a < b ? a / b : b / a;
}

static void follow_water(const cbx_system *system, const double *y, const cb_plant_rates *plant,
                         cbx_piece *piece)
{
    const double supply_c = y[cbx_entering_at(system)] + plant->loop_rise_k;
    for (int p = 0; p < system->path_length; p++) {
        const int node = system->path[p], before = system->upstream[node];
        cbx_piece *here = &piece[node];
        here->gradient_k =
            cbx_gradient_weight(system, node) *
            (piece[system->ahead[node]].shell_c[0] - piece[system->behind[node]].shell_c[0]);
        here->alike = alike(&piece[system->ahead[node]], &piece[system->behind[node]]);
        here->inlet_c = before == CBX_SUPPLY  ? supply_c
                        : before == CBX_MIXED ? mixed_outlets(system, piece)
                                              : piece[before].outlet_c;
        fill_outlet(here);
    }
}

typedef struct pieces_work {
    const cbx_system *system;
    const double *y;
    double dryness;
    const cb_plant_rates *plant;
    cbx_piece *piece;
} pieces_work;

static void fill_slice(void *context, int slice)
{
    const pieces_work *work = context;
    fill_pieces_of(work->system, slice, work->y, work->dryness, work->plant, work->piece);
}

void cbx_pieces(const cbx_system *system, const double *y, double dryness,
                const cb_plant_rates *plant, cbx_piece *piece)
{
    pieces_work work = {system, y, dryness, plant, piece};
    cbx_run_slices(system, fill_slice, &work);
    follow_water(system, y, plant, piece);
}

double cbx_run_flow_m3_s(const cbx_system *system, const cbx_run *run, double temperature_c,
                         double *slope)
{
    double flow_m3_s =
        cb_network_circuit_flow_m3_s(system->network, temperature_c, run->circuit, slope);
    if (run->mirrored >= 0) {
        double other_slope;
        const double other_m3_s = cb_network_circuit_flow_m3_s(system->network, temperature_c,
                                                               run->mirrored, &other_slope);
        flow_m3_s = 0.5 * (flow_m3_s + other_m3_s);
        *slope = 0.5 * (*slope + other_slope);
    }
    return flow_m3_s;
}

static cb_loop_point loop_point(const cbx_system *system, const cbx_flow *all, double mean_c)
{
    cb_network_result at;
    cb_network_at(system->network, mean_c, &at);
    const double per_flow = 1.0 / system->volume_capacity_j_m3k;
    return (cb_loop_point){.flow_m3_s = per_flow * all->value,
                           .flow_slope = per_flow * all->slope,
                           .capacity_flow_w_k = all->value,
                           .capacity_flow_slope = all->slope,
                           .pump_power_w = at.value.pump_power_w,
                           .pump_power_slope = at.slope.pump_power_w,
                           .pump_heat_w = at.value.heat_to_fluid_w,
                           .pump_heat_slope = at.slope.heat_to_fluid_w};
}

// The circuits' flows are added up here, so that what splits comes together to round-off.
static void fill_water(const cbx_system *system, const double *y)
{
    cbx_water *water = system->water;
    water->mean_c = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        water->mean_c += system->fluid_weight[node] * y[cbx_fluid_at(system, node)];
    }
    water->all = (cbx_flow){0.0, 0.0};
    for (int r = 0; r < system->run_count; r++) {
        const cbx_run *run = &system->run[r];
        if (run->runout) {
            water->run[r] = water->all; // those of the field came before
            continue;
        }
        double slope;
        const double scale = run->circuits * system->volume_capacity_j_m3k;
        const double flow_m3_s = cbx_run_flow_m3_s(system, run, water->mean_c, &slope);
        water->run[r] = (cbx_flow){scale * flow_m3_s, scale * slope};
        if (run->leads) {
            water->all.value += water->run[r].value;
            water->all.slope += water->run[r].slope;
        }
    }
}

cb_plant_rates cbx_plant_at(const cbx_system *system, const cbx_forcing_point *forcing,
                            const double *y)
{
    if (system->run_count == 0) {
        return (cb_plant_rates){0};
    }
    fill_water(system, y);
    cbx_water *water = system->water;
    water->point = (cb_plant_point){.heating_load_w = forcing->heating_w,
                                    .cooling_load_w = forcing->cooling_w,
                                    .entering_c = y[cbx_entering_at(system)],
                                    .outdoor_c = forcing->outdoor_c,
                                    .tank_c = cbx_tank_c(system, y),
                                    .draw_m3_s = forcing->draw_m3_s,
                                    .mains_c = forcing->mains_c,
                                    .heating_air_c = forcing->heating_air_c,
                                    .cooling_air_c = forcing->cooling_air_c,
                                    .loop = loop_point(system, &water->all, water->mean_c)};
    cb_plant_evaluate(system->plant, &water->point, &water->plant);
    return water->plant;
}

double cbx_tank_step(const cbx_system *system, const cbx_tank_request *ask)
{
    const cb_plant_point *from = &system->water->point;
    const cb_plant_rates *was = &system->water->plant;
    const double capacity = system->tank_capacity_j_k;
    const double given_j =
        capacity * ask->right_k +
        ask->gamma_s * (was->tank_heat_by.fluid * ask->fluid_k - was->tank_heat_w);
    cb_plant_point point = *from;
    point.entering_c += ask->entering_k;
    // The warmer the tank, the less it takes: the root is alone, and between these.
    double low_k = -100.0, high_k = 100.0, step_k = 0.0;
    for (int n = 0; n < 60; n++) {
        cb_plant_rates rates;
        point.tank_c = from->tank_c + step_k;
        cb_plant_evaluate(system->plant, &point, &rates);
        const double miss_j = capacity * step_k - ask->gamma_s * rates.tank_heat_w - given_j;
        *(miss_j > 0.0 ? &high_k : &low_k) = step_k;
        const double slope = capacity - ask->gamma_s * rates.tank_heat_by.tank;
        double next_k = slope > 0.0 ? step_k - miss_j / slope : low_k;
        if (!(next_k > low_k && next_k < high_k)) {
            next_k = 0.5 * (low_k + high_k);
        }
        if (fabs(next_k - step_k) < 1e-11) {
            return next_k;
        }
        step_k = next_k;
    }
    return step_k;
}

double cbx_standing_w_k(const cbx_system *system, int node)
{
    static const double share = 0.002;
    return system->returns[node]
               ? share * cbx_run_of(system, node)->circuits * system->wanted_flow_w_k
               : 0.0;
}

static void piece_rates(const cbx_system *system, int node, const cbx_piece *piece,
                        double entering_c, double *rate, double *pipe_heat_w)
{
    const cbx_run *run = cbx_run_of(system, node);
    const double share = system->share[node];
    double heat_w[CBX_SHELLS];
    if (!(share > 0.0)) {
        memset(rate + cbx_shell_at(system, node), 0, CBX_SHELLS * sizeof *rate);
        rate[cbx_fluid_at(system, node)] = 0.0;
        return;
    }
    const double from_shell = piece->exchange_w_k * (piece->shell_c[0] - piece->fluid_c);
    double inward = from_shell;
    for (int n = 0; n < CBX_SHELLS; n++) {
        const double beyond_c = n + 1 < CBX_SHELLS ? piece->shell_c[n + 1] : piece->block_c;
        const double outward = piece->shell_w_k[n + 1] * (beyond_c - piece->shell_c[n]);
        heat_w[n] = outward - inward;
        inward = outward;
    }
    for (int c = 0; c < run->block_cells; c++) {
        pipe_heat_w[run->cell[c]] -= run->weight[c] * inward;
    }
    double *shell_rate = rate + cbx_shell_at(system, node);
    for (int n = 0; n < CBX_SHELLS; n++) {
        shell_rate[n] = heat_w[n] / (share * run->shell_volume_m3[n]);
    }
    const double standing = cbx_standing_w_k(system, node) * (entering_c - piece->fluid_c);
    rate[cbx_fluid_at(system, node)] =
        (piece->flow_w_k * (piece->inlet_c - piece->outlet_c) + from_shell + standing) /
        (share * run->fluid_capacity_j_k);
}

static double entering_rate(const cbx_system *system, const double *y, const cbx_piece *piece)
{
    const double entering_c = y[cbx_entering_at(system)];
    double heat_w = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        if (system->returns[node]) {
            heat_w += piece[node].flow_w_k * (piece[node].outlet_c - entering_c) +
                      cbx_standing_w_k(system, node) * (piece[node].fluid_c - entering_c);
        }
    }
    return heat_w / system->header_capacity_j_k;
}

static void clear_blocks(const cbx_system *system, double *pipe_heat_w)
{
    for (int r = 0; r < system->run_count; r++) {
        for (int n = 0; n < system->run[r].block_cells; n++) {
            pipe_heat_w[system->run[r].cell[n]] = 0.0;
        }
    }
}

cbx_forcing_point cbx_loop_rates(cbx_system *system, double time_s, const double *y, double *rate,
                                 cbx_piece *piece)
{
    const cbx_forcing_point forcing = cbx_forcing_at(&system->forcing, time_s);
    const cb_plant_rates plant = cbx_plant_at(system, &forcing, y);
    cbx_pieces(system, y, forcing.dryness, &plant, piece);
    if (system->run_count > 0) {
        rate[cbx_entering_at(system)] = entering_rate(system, y, piece);
        rate[cbx_tank_at(system)] = plant.tank_heat_w / system->tank_capacity_j_k;
    }
    rate[cbx_loop_heat_at(system)] = plant.heat_to_loop_w;
    return forcing;
}

double cbx_slice_rates(const cbx_system *system, int slice, const cbx_slice_point *at,
                       cbx_column_taker *take, void *context)
{
    double *pipe_heat_w = system->pipe_heat_w + cbx_section_at(system, slice);
    clear_blocks(system, pipe_heat_w);
    for (int r = 0; r < system->run_count; r++) {
        const int node = cbx_node(system, slice, r);
        piece_rates(system, node, &at->piece[node], at->y[cbx_entering_at(system)], at->rate,
                    pipe_heat_w);
    }
    const cbx_sweep sweep = {.section = system->section,
                             .enthalpy_j_m3 = at->y + cbx_section_at(system, slice),
                             .surface = &at->forcing->surface,
                             .dryness = at->forcing->dryness,
                             .work = system->sweep_work[slice]};
    return cbx_section_sweep(&sweep, take, context);
}

typedef struct rates_work {
    const cbx_system *system;
    cbx_slice_point at;
    int slice;
    double surface_w;
} rates_work;

// NOLINTNEXTLINE(readability-non-const-parameter): a cbx_column_taker
static void rate_column(void *context, int column, double *heat_w)
{
    const rates_work *work = context;
    const cbx_system *system = work->system;
    const int nz = system->section->nz, first = column * nz;
    const int at = cbx_section_at(system, work->slice) + first;
    const double *volume_m3 = system->volume_m3[work->slice] + first;
    for (int k = 0; k < nz; k++) {
        work->at.rate[at + k] = (heat_w[k] + system->pipe_heat_w[at + k]) / volume_m3[k];
    }
}

static void rate_slice(void *context, int slice)
{
    rates_work *work = (rates_work *)context + slice;
    work->surface_w = cbx_slice_rates(work->system, slice, &work->at, rate_column, work);
}

int cbx_system_rates(cbx_system *system, double time_s, const double *y, double *rate,
                     cbx_piece *piece)
{
    const cbx_forcing_point forcing = cbx_loop_rates(system, time_s, y, rate, piece);
    rates_work work[CBX_MAX_SLICES];
    for (int s = 0; s < system->slices; s++) {
        work[s] = (rates_work){system, {y, &forcing, piece, rate}, s, 0.0};
    }
    cbx_run_slices(system, rate_slice, work);
    double surface_w = 0.0, check = 0.0;
    for (int s = 0; s < system->slices; s++) {
        surface_w += work[s].surface_w;
    }
    rate[cbx_surface_heat_at(system)] = surface_w;
    for (int n = 0; n < system->size; n++) {
        check += rate[n];
    }
    return isfinite(check) ? 0 : 1;
}

double cbx_system_stored_j(const cbx_system *system, const double *y)
{
    double sum = 0.0;
    for (int s = 0; s < system->slices; s++) {
        const double *enthalpy = y + cbx_section_at(system, s);
        for (int c = 0; c < system->section->cells; c++) {
            sum += system->volume_m3[s][c] * enthalpy[c];
        }
    }
    for (int node = 0; node < cbx_node_count(system); node++) {
        const cbx_run *run = cbx_run_of(system, node);
        double here = run->fluid_capacity_j_k * y[cbx_fluid_at(system, node)];
        for (int n = 0; n < CBX_SHELLS; n++) {
            here += run->shell_volume_m3[n] * y[cbx_shell_at(system, node) + n];
        }
        sum += system->share[node] * here;
    }
    if (system->run_count > 0) {
        sum += system->header_capacity_j_k * y[cbx_entering_at(system)];
    }
    return sum;
}

double cbx_bottom_heat_w(const cbx_system *system)
{
    const cb_section *section = system->section;
    return system->slices * section->geothermal_flux_w_m2 * section->depth_area_m *
           (section->x_edge_m[section->nx] - section->x_edge_m[0]);
}
