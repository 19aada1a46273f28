// SPDX-License-Identifier: MIT
#include "engine/system.h"

#include <math.h>

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

// x / (exp x - 1): the outlet's distance from wall temperature over the mean's, for an exponential
// profile with x transfer units. 1 at x = 0, 0 without flow.
static double outlet_share(double x, double *slope)
{
    if (x < 1e-4) {
        *slope = -0.5 + x / 6.0;
        return 1.0 - x / 2.0 + x * x / 12.0;
    }
    if (x > 500.0) {
        *slope = 0.0;
        return 0.0;
    }
    const double e = expm1(x);
    *slope = (e - x * (e + 1.0)) / (e * e);
    return x / e;
}

static void fill_shells(const cbx_system *system, const cbx_run *run, const double *enthalpy,
                        cbx_piece *piece, double *first_conductivity)
{
    double conductivity[CBX_SHELLS], middle[CBX_SHELLS];
    const double *radius = run->near_field.radius_m;
    for (int n = 0; n < CBX_SHELLS; n++) {
        const cb_soil_state soil = cb_soil_at(system->curves[run->soil], enthalpy[n]);
        piece->shell_c[n] = soil.temperature_c;
        piece->shell_slope[n] = soil.slope_k_m3_j;
        conductivity[n] = soil.conductivity_w_mk;
        middle[n] = sqrt(radius[n] * radius[n + 1]);
    }
    const double around = 2.0 * pi * run->pipe_m;
    piece->shell_w_k[0] = 0.0;
    for (int n = 1; n < CBX_SHELLS; n++) {
        piece->shell_w_k[n] = around / (log(radius[n] / middle[n - 1]) / conductivity[n - 1] +
                                        log(middle[n] / radius[n]) / conductivity[n]);
    }
    piece->shell_w_k[CBX_SHELLS] = around * conductivity[CBX_SHELLS - 1] /
                                   log(radius[CBX_SHELLS] / middle[CBX_SHELLS - 1]);
    *first_conductivity = conductivity[0];
}

static void fill_exchange(const cbx_system *system, const cbx_run *run, double first_conductivity,
                          cbx_piece *piece)
{
    double film_slope;
    const cbx_film_table *table =
        run->leg.coil_diameter_m > 0.0 ? &system->coil_film : &system->straight_film;
    const double film = cbx_film_at(table, piece->fluid_c, &film_slope);
    const double *radius = run->near_field.radius_m;
    const double soil =
        0.5 * log(radius[1] / radius[0]) / (2.0 * pi * first_conductivity); // to the shell's middle
    const double inside = film + system->wall_resistance_mk_w, whole = inside + soil;
    piece->exchange_w_k = run->pipe_m / whole;
    piece->exchange_slope = -piece->exchange_w_k * film_slope / whole;
    piece->wall_c = piece->fluid_c + (piece->shell_c[0] - piece->fluid_c) * inside / whole;
}

void cbx_pieces(const cbx_system *system, const double *y, const cb_plant_rates *plant,
                cbx_piece *piece)
{
    const double supply_c = y[cbx_entering_at(system)] + plant->loop_rise_k;
    for (int p = 0; p < system->slices * system->run_count; p++) {
        const int node = system->path[p];
        const cbx_run *run = &system->run[node % system->run_count];
        const double *cell_c = system->state[node / system->run_count]->temperature_c;
        cbx_piece *here = &piece[node];
        here->block_c = 0.0;
        for (int c = 0; c < run->block_cells; c++) {
            here->block_c += run->weight[c] * cell_c[run->cell[c]];
        }
        double first_conductivity;
        fill_shells(system, run, y + cbx_shell_at(system, node), here, &first_conductivity);
        here->fluid_c = y[cbx_fluid_at(system, node)];
        fill_exchange(system, run, first_conductivity, here);
        here->flow_w_k =
            run->multiplicity * system->circuit_capacity_flow_w_k * plant->pump_fraction;
        const double units = here->flow_w_k > 0.0 ? here->exchange_w_k / here->flow_w_k : INFINITY;
        here->phi = outlet_share(units, &here->phi_slope);
        here->inlet_c =
            system->upstream[node] < 0 ? supply_c : piece[system->upstream[node]].outlet_c;
        here->outlet_c = here->shell_c[0] + here->phi * (here->fluid_c - here->shell_c[0]);
    }
}

cb_plant_rates cbx_plant_at(const cbx_system *system, const cbx_forcing_point *forcing,
                            const double *y)
{
    cb_plant_rates rates = {0};
    if (system->run_count > 0) {
        cb_plant_evaluate(system->plant, forcing->heating_w, forcing->cooling_w,
                          y[cbx_entering_at(system)], &rates);
    }
    return rates;
}

static void piece_rates(const cbx_system *system, int node, const cbx_piece *piece, double *rate,
                        double *cell_heat_w)
{
    const cbx_run *run = &system->run[node % system->run_count];
    double heat_w[CBX_SHELLS];
    const double from_shell = piece->exchange_w_k * (piece->shell_c[0] - piece->fluid_c);
    double inward = from_shell;
    for (int n = 0; n < CBX_SHELLS; n++) {
        const double beyond_c = n + 1 < CBX_SHELLS ? piece->shell_c[n + 1] : piece->block_c;
        const double outward = piece->shell_w_k[n + 1] * (beyond_c - piece->shell_c[n]);
        heat_w[n] = outward - inward;
        inward = outward;
    }
    for (int c = 0; c < run->block_cells; c++) {
        cell_heat_w[run->cell[c]] -= run->weight[c] * inward;
    }
    double *shell_rate = rate + cbx_shell_at(system, node);
    for (int n = 0; n < CBX_SHELLS; n++) {
        shell_rate[n] = heat_w[n] / run->shell_volume_m3[n];
    }
    rate[cbx_fluid_at(system, node)] =
        (piece->flow_w_k * (piece->inlet_c - piece->outlet_c) + from_shell) /
        run->fluid_capacity_j_k;
}

static double entering_rate(const cbx_system *system, const double *y, const cb_plant_rates *plant,
                            const cbx_piece *piece)
{
    double heat_w = 0.0;
    for (int node = 0; node < system->slices * system->run_count; node++) {
        if (system->last_of_circuit[node]) {
            heat_w += piece[node].flow_w_k * (piece[node].outlet_c - y[cbx_entering_at(system)]);
        }
    }
    (void)plant;
    return heat_w / system->header_capacity_j_k;
}

int cbx_system_rates(cbx_system *system, double time_s, const double *y, double *rate,
                     cbx_piece *piece)
{
    const cbx_forcing_point forcing = cbx_forcing_at(&system->forcing, time_s);
    const cb_plant_rates plant = cbx_plant_at(system, &forcing, y);
    const cb_section *section = system->section;
    for (int s = 0; s < system->slices; s++) {
        cb_section_update(section, y + cbx_section_at(system, s), forcing.surface.h_w_m2k,
                          system->state[s]);
    }
    cbx_pieces(system, y, &plant, piece);
    double check = 0.0;
    for (int s = 0; s < system->slices; s++) {
        double surface_w, bottom_w, *heat = system->cell_heat_w;
        cb_section_heat(section, system->state[s], &forcing.surface, heat, &surface_w, &bottom_w);
        for (int r = 0; r < system->run_count; r++) {
            const int node = cbx_node(system, s, r);
            piece_rates(system, node, &piece[node], rate, heat);
        }
        double *soil_rate = rate + cbx_section_at(system, s);
        for (int c = 0; c < section->cells; c++) {
            soil_rate[c] = heat[c] / section->volume_m3[c];
            check += soil_rate[c];
        }
    }
    if (system->run_count > 0) {
        rate[cbx_entering_at(system)] = entering_rate(system, y, &plant, piece);
        check += rate[cbx_entering_at(system)];
    }
    return isfinite(check) ? 0 : 1;
}

double cbx_system_stored_j(const cbx_system *system, const double *y)
{
    double sum = 0.0;
    for (int s = 0; s < system->slices; s++) {
        sum += cb_section_stored_j(system->section, y + cbx_section_at(system, s));
    }
    for (int node = 0; node < system->slices * system->run_count; node++) {
        const cbx_run *run = &system->run[node % system->run_count];
        for (int n = 0; n < CBX_SHELLS; n++) {
            sum += run->shell_volume_m3[n] * y[cbx_shell_at(system, node) + n];
        }
        sum += run->fluid_capacity_j_k * y[cbx_fluid_at(system, node)];
    }
    if (system->run_count > 0) {
        sum += system->header_capacity_j_k * y[cbx_entering_at(system)];
    }
    return sum;
}
