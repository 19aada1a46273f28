// SPDX-License-Identifier: MIT
// What a house is made of, from the design. Sources: coilbed/house.h.
#include "house/envelope.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

typedef struct mass_class {
    double area_per_floor, capacity_j_m2k;
} mass_class;

// ISO 13790:2008 table 12, from memory.
static const mass_class masses[] = {
    [CB_MASS_VERY_LIGHT] = {2.5, 80e3},  [CB_MASS_LIGHT] = {2.5, 110e3},
    [CB_MASS_MEDIUM] = {2.5, 165e3},     [CB_MASS_HEAVY] = {3.0, 260e3},
    [CB_MASS_VERY_HEAVY] = {3.5, 370e3},
};

static double windows_w_k(const cb_envelope *given, bool in_roof, double *area_m2)
{
    double sum_w_k = 0.0;
    for (int i = 0; i < given->window_count; i++) {
        const cb_window *window = &given->window[i];
        if ((window->tilt_deg < CBX_ROOF_TILT_DEG) == in_roof) {
            *area_m2 += window->area_m2;
            sum_w_k += window->area_m2 * window->u_w_m2k;
        }
    }
    return sum_w_k;
}

static void set_transmission(cbx_envelope *e)
{
    const cb_envelope *given = e->given;
    double in_walls_m2 = given->doors.area_m2, in_roof_m2 = 0.0;
    e->windows_w_k =
        windows_w_k(given, false, &in_walls_m2) + windows_w_k(given, true, &in_roof_m2);
    e->doors_w_k = given->doors.area_m2 * given->doors.u_w_m2k;
    e->walls_w_k = (given->walls.area_m2 - in_walls_m2) * given->walls.u_w_m2k;
    e->roof_w_k = (given->roof.area_m2 - in_roof_m2) * given->roof.u_w_m2k;
}

// Equivalent thicknesses of soil: of the floor (d_t) and of a basement's walls (d_w).
typedef struct thickness {
    double floor_m, wall_m;
} thickness;

// ISO 13370:2007, from memory: inner film 0.17 downward and 0.13 sideways, outer film 0.04.
static thickness thickness_of(const cb_envelope *given)
{
    const double wall_m = 0.3;
    const double down_m2k_w = 0.17 + 0.04, sideways_m2k_w = 0.13 + 0.04;
    thickness d = {
        .floor_m = wall_m + given->slab_soil_w_mk * (down_m2k_w + given->slab_resistance_m2k_w),
        .wall_m = given->slab_soil_w_mk * (sideways_m2k_w + given->basement_resistance_m2k_w),
    };
    return d;
}

// Steady: slab on ground (9.1) is the heated basement (9.3) without depth.
static double ground_w_k(const cb_envelope *given)
{
    const thickness d = thickness_of(given);
    const double soil = given->slab_soil_w_mk, depth_m = given->slab_depth_m;
    const double dimension_m = 2.0 * given->slab_area_m2 / given->slab_perimeter_m;
    const double deep_m = d.floor_m + 0.5 * depth_m;
    const double floor_u = deep_m < dimension_m ? 2.0 * soil / (pi * dimension_m + deep_m) *
                                                      log1p(pi * dimension_m / deep_m)
                                                : soil / (0.457 * dimension_m + deep_m);
    // Per metre of edge: depth times U of the wall, which stays finite without depth.
    const double floor_m = fmin(d.floor_m, d.wall_m);
    const double wall_w_mk =
        2.0 * soil / pi * (1.0 + 0.5 * floor_m / (floor_m + depth_m)) * log1p(depth_m / d.wall_m);
    return given->slab_area_m2 * floor_u + given->slab_perimeter_m * wall_w_mk;
}

// For a year's wave outdoors (annex A), edge not insulated.
static double ground_periodic_w_k(const cb_envelope *given)
{
    const thickness d = thickness_of(given);
    const double soil_j_m3k = 3e6, year_s = 3600.0 * CB_YEAR_HOURS; // clay or silt
    const double reach_m = sqrt(year_s * given->slab_soil_w_mk / (pi * soil_j_m3k));
    const double at_floor = exp(-given->slab_depth_m / reach_m);
    return 0.37 * given->slab_perimeter_m * given->slab_soil_w_mk *
           (at_floor * log1p(reach_m / d.floor_m) +
            2.0 * (1.0 - at_floor) * log1p(reach_m / d.wall_m));
}

static void set_network(cbx_envelope *e)
{
    const cb_envelope *given = e->given;
    const mass_class *mass = &masses[given->mass];
    const double floor_m2 = given->floor_area_m2, total_m2 = 4.5 * floor_m2;
    const double mass_m2 = mass->area_per_floor * floor_m2;
    const double opaque_w_k = e->walls_w_k + e->roof_w_k + e->floor.h_w_k;
    cbx_network *n = &e->network;
    n->mass_j_k = mass->capacity_j_m2k * floor_m2;
    n->h_is_w_k = 3.45 * total_m2;
    n->h_ms_w_k = 9.1 * mass_m2;
    n->h_em_w_k = opaque_w_k / (1.0 - opaque_w_k / n->h_ms_w_k);
    n->h_w_w_k = e->windows_w_k + e->doors_w_k;
    n->mass_share = mass_m2 / total_m2;
    n->glass_share = n->h_w_w_k / (9.1 * total_m2);
    n->floor_area_m2 = floor_m2;
}

// Basic model of infiltration (Sherman & Grimsrud 1980) with the coefficients of the ASHRAE
// Handbook of Fundamentals, (L/s)^2 per cm^4 and per K or (m/s)^2, from memory.
static void set_leakage(cbx_envelope *e)
{
    static const double stack[] = {0.000145, 0.000290, 0.000435};
    static const double wind[3][5] = {{0.000319, 0.000246, 0.000174, 0.000104, 0.000032},
                                      {0.000420, 0.000325, 0.000231, 0.000137, 0.000042},
                                      {0.000494, 0.000382, 0.000271, 0.000161, 0.000049}};
    const cb_envelope *given = e->given;
    e->volume_m3 = given->floor_area_m2 * given->ceiling_height_m;
    e->stack = stack[given->storeys - 1];
    e->wind = wind[given->storeys - 1][given->shelter];
    const double at_50_m3_s = given->air_changes_50pa_1_h * e->volume_m3 / 3600.0;
    const double at_4_m3_s = at_50_m3_s * pow(4.0 / 50.0, 0.65);
    const double area_m2 = at_4_m3_s * sqrt(1.2 / (2.0 * 4.0)); // air of 1.2 kg/m3 through a hole
    e->leak_l_s = 1e4 * area_m2;
}

cb_status cbx_envelope_prepare(cbx_envelope *envelope, const cb_design *design, cb_error *error)
{
    const cb_status status = cbx_envelope_check(design, error);
    if (status != CB_OK) {
        return status;
    }
    const cb_envelope *given = &design->house.envelope;
    *envelope = (cbx_envelope){.design = design, .given = given};
    set_transmission(envelope);
    if (given->slab_area_m2 > 0.0) {
        envelope->floor.h_w_k = ground_w_k(given);
    }
    set_network(envelope);
    set_leakage(envelope);
    for (int i = 0; i < given->window_count; i++) {
        envelope->window[i] = cbx_plane(given->window[i].azimuth_deg, given->window[i].tilt_deg);
    }
    for (int side = 0; side < CBX_WALL_SIDES; side++) {
        envelope->wall[side] = cbx_plane(90.0 * side, 90.0);
    }
    // An opaque part that takes all of the conductance to the mass leaves C.3's network no outside.
    if (!(envelope->network.h_em_w_k >= 0.0) || !isfinite(envelope->network.h_em_w_k) ||
        envelope->network.mass_share + envelope->network.glass_share > 1.0) {
        return cb_design_fail(design, "house.envelope.floor_area", error,
                              "%.4g m2 of heated floor is too little for losses of %.4g W/K",
                              given->floor_area_m2,
                              envelope->walls_w_k + envelope->roof_w_k + envelope->floor.h_w_k +
                                  envelope->network.h_w_w_k);
    }
    return CB_OK;
}

// First harmonic of the typical air, as the soil follows it: a month behind.
void cbx_envelope_season(cbx_envelope *envelope, const cb_run_weather *weather)
{
    if (!(envelope->floor.h_w_k > 0.0)) {
        return;
    }
    const long hours = cb_run_weather_cycle_hours(weather);
    const double turn = 2.0 * pi / CB_YEAR_HOURS;
    double mean = 0.0, cosine = 0.0, sine = 0.0;
    for (long hour = 0; hour < hours; hour++) {
        const double air_c = cb_typical_weather_at(weather, hour).air_temperature_c;
        const double share = 1.0 / (double)hours, middle = (double)hour + 0.5;
        mean += share * air_c;
        cosine += 2.0 * share * air_c * cos(turn * middle);
        sine += 2.0 * share * air_c * sin(turn * middle);
    }
    const double periodic_w_k = ground_periodic_w_k(envelope->given);
    envelope->floor.mean_c = mean;
    envelope->floor.swing_k = hypot(cosine, sine) * periodic_w_k / envelope->floor.h_w_k;
    envelope->floor.warmest_h = atan2(sine, cosine) / turn + CB_YEAR_HOURS / 12.0;
}

cb_house_losses cbx_envelope_losses(const cbx_envelope *envelope)
{
    const cb_envelope *given = envelope->given;
    return (cb_house_losses){
        .walls_w_k = envelope->walls_w_k,
        .roof_w_k = envelope->roof_w_k,
        .windows_w_k = envelope->windows_w_k,
        .doors_w_k = envelope->doors_w_k,
        .floor_w_k = envelope->floor.h_w_k,
        .ventilation_w_k = CBX_AIR_J_M3K * given->ventilation_m3_s * (1.0 - given->heat_recovery),
    };
}
