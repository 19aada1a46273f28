// SPDX-License-Identifier: MIT
#include "house/five_resistance.h"

#include <stdbool.h>

static const double hour_s = 3600.0;

// C.1 to C.11 for a given need. Where the standard divides by H_ve, H_tr,1 / H_ve is written as
// H_is / (H_ve + H_is), which holds for a house without any air change too.
static cbx_hour hour_with(const cbx_network *n, const cbx_drive *d, double mass_start_c,
                          double need_w)
{
    const double gains_w = 0.5 * d->internal_w + d->solar_w;
    const double to_air_w = 0.5 * d->internal_w;      // C.1
    const double to_mass_w = n->mass_share * gains_w; // C.2
    const double lost_w = n->glass_share * gains_w;
    const double to_surface_w = gains_w - to_mass_w - lost_w; // C.3

    const double air_side = n->h_is_w_k / (d->h_ve_w_k + n->h_is_w_k);
    const double h1 = d->h_ve_w_k * air_side;                // C.6
    const double h2 = h1 + n->h_w_w_k;                       // C.7
    const double h3 = h2 * n->h_ms_w_k / (h2 + n->h_ms_w_k); // C.8
    // Into the surface node if that were at 0 degC, but for the mass.
    const double surface_w = to_surface_w + n->h_w_w_k * d->outdoor_c + h1 * d->outdoor_c +
                             air_side * (to_air_w + need_w);
    const double mass_total_w = to_mass_w + n->h_em_w_k * d->opaque_side_c +
                                n->h_ms_w_k / (h2 + n->h_ms_w_k) * surface_w; // C.5
    const double store = n->mass_j_k / hour_s, half = 0.5 * (h3 + n->h_em_w_k);

    cbx_hour hour = {.need_w = need_w, .lost_at_glass_w = lost_w};
    hour.mass_end_c = (mass_start_c * (store - half) + mass_total_w) / (store + half); // C.4
    hour.mass_c = 0.5 * (hour.mass_end_c + mass_start_c);                              // C.9
    hour.surface_c = (n->h_ms_w_k * hour.mass_c + surface_w) / (n->h_ms_w_k + h2);     // C.10
    hour.air_c = (n->h_is_w_k * hour.surface_c + d->h_ve_w_k * d->outdoor_c + to_air_w + need_w) /
                 (n->h_is_w_k + d->h_ve_w_k); // C.11
    return hour;
}

cbx_hour cbx_network_hour(const cbx_network *network, const cbx_drive *drive, double mass_start_c)
{
    const cbx_hour floating = hour_with(network, drive, mass_start_c, 0.0);
    const bool cold = floating.air_c < drive->heating_set_c;
    if (!cold && !(floating.air_c > drive->cooling_set_c)) {
        return floating;
    }
    // The air is a straight line in the need: two points fix it (C.13).
    const double probe_w = 10.0 * network->floor_area_m2;
    const cbx_hour probe = hour_with(network, drive, mass_start_c, probe_w);
    const double set_c = cold ? drive->heating_set_c : drive->cooling_set_c;
    const double need_w = probe_w * (set_c - floating.air_c) / (probe.air_c - floating.air_c);
    return hour_with(network, drive, mass_start_c, need_w);
}
