// SPDX-License-Identifier: MIT
#include "engine/means.h"

#include "ground/face.h"
#include "ground/soil_curve.h"

#include <math.h>

enum { SOME = 64 }; // columns looked at together

// Through the surface of so many columns from `first`.
static double columns_heat_w(const cb_section *section, int first, int count,
                             const double *enthalpy_j_m3, const cbx_forcing_point *forcing)
{
    const cb_surface_exchange *surface = &forcing->surface;
    const double outside_c = surface->intake_w_m2 / surface->h_w_m2k;
    double top_j_m3[SOME] = {0.0}, t[SOME], conductivity[SOME], sum_w = 0.0;
    int soil[SOME] = {0};
    for (int n = 0; n < count; n++) {
        const int c = cb_cell(section, first + n, 0);
        top_j_m3[n] = enthalpy_j_m3[c];
        soil[n] = section->soil[c];
    }
    cbx_soil_rows(section->curves, soil, count, top_j_m3, forcing->dryness, t, conductivity, NULL);
    for (int n = 0; n < count; n++) {
        const double area_m2 = section->dx_m[first + n] * section->depth_area_m;
        sum_w += cbx_top_w_k(area_m2, surface->h_w_m2k, section->dz_m[0], conductivity[n]) *
                 (outside_c - t[n]);
    }
    return sum_w;
}

typedef struct surface_work {
    const cbx_system *system;
    const double *y;
    const cbx_forcing_point *forcing;
    double heat_w[CBX_MAX_SLICES];
} surface_work;

static void look_at_slice(void *context, int slice)
{
    surface_work *work = context;
    const cb_section *section = work->system->section;
    double sum_w = 0.0;
    for (int first = 0; first < section->nx; first += SOME) {
        const int left = section->nx - first;
        sum_w += columns_heat_w(section, first, left < SOME ? left : SOME,
                                work->y + cbx_section_at(work->system, slice), work->forcing);
    }
    work->heat_w[slice] = sum_w;
}

// Only the surface's cells are looked at, the rest of the soil is left alone.
static double surface_heat_w(const cbx_system *system, const double *y,
                             const cbx_forcing_point *forcing)
{
    surface_work work = {.system = system, .y = y, .forcing = forcing};
    cbx_run_slices(system, look_at_slice, &work);
    double sum_w = 0.0;
    for (int s = 0; s < system->slices; s++) {
        sum_w += work.heat_w[s];
    }
    return sum_w;
}

// Extremes of the fluid: with a uniform wall the profile along a piece is monotone, so its ends and
// the supply hold them. The supply exists only while the pump runs.
static void extremes(const cbx_system *system, const cb_plant_rates *plant, double entering_c,
                     const cbx_piece *piece, double *coldest, double *hottest)
{
    *coldest = *hottest = entering_c;
    if (plant->pump_fraction > 0.01) {
        const double supply_c = entering_c + plant->loop_rise_k;
        *coldest = fmin(*coldest, supply_c);
        *hottest = fmax(*hottest, supply_c);
    }
    for (int p = 0; p < system->path_length; p++) {
        const int node = system->path[p];
        *coldest = fmin(*coldest, fmin(piece[node].outlet_c, piece[node].fluid_c));
        *hottest = fmax(*hottest, fmax(piece[node].outlet_c, piece[node].fluid_c));
    }
}

void cbx_means_at(void *context, double time_s, const double *y, double *integrand)
{
    cbx_means *self = context;
    cbx_system *system = self->system;
    const cbx_forcing_point forcing = cbx_forcing_at(&system->forcing, time_s);
    const cb_plant_rates plant = cbx_plant_at(system, &forcing, y);
    const double entering_c = y[cbx_entering_at(system)];
    const double surface_w = surface_heat_w(system, y, &forcing);
    const double bottom_w = cbx_bottom_heat_w(system);
    cbx_pieces(system, y, forcing.dryness, &plant, self->piece);
    double from_ground = 0.0;
    for (int node = 0; node < cbx_node_count(system); node++) {
        const cbx_piece *piece = &self->piece[node];
        from_ground += piece->exchange_w_k * (piece->shell_c[0] - piece->fluid_c);
    }
    integrand[CBX_MEAN_SURFACE_HEAT] = surface_w;
    integrand[CBX_MEAN_GROSS_HEAT] = fabs(surface_w) + fabs(bottom_w) + fabs(plant.heat_to_loop_w);
    integrand[CBX_MEAN_FROM_GROUND] = from_ground;
    integrand[CBX_MEAN_ENTERING] = entering_c;
    integrand[CBX_MEAN_LEAVING] =
        entering_c + (plant.pump_fraction > 0.0 ? plant.loop_rise_k : 0.0);
    extremes(system, &plant, entering_c, self->piece, &integrand[CBX_MEAN_COLDEST],
             &integrand[CBX_MEAN_HOTTEST]);
    integrand[CBX_MEAN_FLUID] = system->water->mean_c;
    integrand[CBX_MEAN_FLOW] = plant.pump_fraction * system->water->point.loop.flow_m3_s;
    integrand[CBX_MEAN_PUMP_FRACTION] = plant.pump_fraction;
    integrand[CBX_MEAN_HEATING] = plant.heating_output_w;
    integrand[CBX_MEAN_COOLING] = plant.cooling_output_w;
    integrand[CBX_MEAN_COMPRESSOR] = plant.compressor_power_w;
    integrand[CBX_MEAN_FAN] = plant.fan_power_w;
    integrand[CBX_MEAN_PUMP] = plant.pump_power_w;
    integrand[CBX_MEAN_BACKUP] = plant.backup_power_w;
    integrand[CBX_MEAN_UNMET] = plant.unmet_load_w;
    integrand[CBX_MEAN_DESUPERHEATER] = plant.desuperheater_w;
    integrand[CBX_MEAN_ELEMENT] = plant.element_power_w;
    integrand[CBX_MEAN_HOT_WATER] = plant.hot_water_w;
    integrand[CBX_MEAN_TANK_LOSS] = plant.tank_loss_w;
    integrand[CBX_MEAN_TANK_HEAT] = plant.tank_heat_w;
    integrand[CBX_MEAN_HOT_WATER_UNMET] = plant.hot_water_unmet_w;
    integrand[CBX_MEAN_TANK] = cbx_tank_c(system, y);
    // Integrated like what serves them, so that the hour's balance closes.
    integrand[CBX_MEAN_HEATING_LOAD] = forcing.heating_w;
    integrand[CBX_MEAN_COOLING_LOAD] = forcing.cooling_w;
}

void cbx_means_to_hour(const cbx_system *system, const cb_fluid *fluid, double inside_diameter_m,
                       long run_hour, const double *mean, cb_hour *hour)
{
    cb_fluid_properties p;
    cb_fluid_at(fluid, mean[CBX_MEAN_COLDEST], &p);
    cb_network_result loop;
    cb_network_at(system->network, mean[CBX_MEAN_FLUID], &loop);
    const cb_yard_hour *yard = cbx_undisturbed_hour(system->forcing.ground, run_hour);
    const bool running = mean[CBX_MEAN_PUMP_FRACTION] > 0.0;
    *hour = (cb_hour){
        .run_hour = run_hour,
        .entering_water_c = mean[CBX_MEAN_ENTERING],
        .leaving_water_c = mean[CBX_MEAN_LEAVING],
        .coldest_fluid_c = mean[CBX_MEAN_COLDEST],
        .hottest_fluid_c = mean[CBX_MEAN_HOTTEST],
        .mean_fluid_c = mean[CBX_MEAN_FLUID],
        .flow_kg_s = mean[CBX_MEAN_FLOW] * p.density_kg_m3,
        .reynolds =
            running ? cb_reynolds(&p, loop.value.least_circuit_m3_s, inside_diameter_m) : 0.0,
        .heat_from_ground_w = mean[CBX_MEAN_FROM_GROUND],
        .pump_fraction = mean[CBX_MEAN_PUMP_FRACTION],
        .heating_output_w = mean[CBX_MEAN_HEATING],
        .cooling_output_w = mean[CBX_MEAN_COOLING],
        .compressor_power_w = mean[CBX_MEAN_COMPRESSOR],
        .fan_power_w = mean[CBX_MEAN_FAN],
        .pump_power_w = mean[CBX_MEAN_PUMP],
        .backup_power_w = mean[CBX_MEAN_BACKUP],
        .unmet_load_w = mean[CBX_MEAN_UNMET],
        .desuperheater_w = mean[CBX_MEAN_DESUPERHEATER],
        .element_power_w = mean[CBX_MEAN_ELEMENT],
        .hot_water_w = mean[CBX_MEAN_HOT_WATER],
        .tank_loss_w = mean[CBX_MEAN_TANK_LOSS],
        .tank_heat_w = mean[CBX_MEAN_TANK_HEAT],
        .hot_water_unmet_w = mean[CBX_MEAN_HOT_WATER_UNMET],
        .tank_c = cb_plant_tank_capacity_j_k(system->plant) > 0.0 ? mean[CBX_MEAN_TANK] : NAN,
        .heating_load_w = mean[CBX_MEAN_HEATING_LOAD],
        .cooling_load_w = mean[CBX_MEAN_COOLING_LOAD],
        .weather = cb_run_weather_at(system->forcing.weather, run_hour),
        .yard_surface_c = yard->surface_c,
        .snow_depth_m = yard->snow_depth_m,
        .root_dryness = yard->dryness,
    };
}
