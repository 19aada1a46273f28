// SPDX-License-Identifier: MIT
/// The hourly method of five resistances and one capacity of ISO 13790:2008, Annex C (equations
/// and constants from memory of the standard).
///
///     supply air --H_ve-- air --H_is-- surface --H_ms-- mass(C_m) --H_em-- outside of the parts
///                                         |
///                                        H_w
///                                      outdoor air
#ifndef HOUSE_FIVE_RESISTANCE_H
#define HOUSE_FIVE_RESISTANCE_H

/// What a house is made of; constant.
typedef struct cbx_network {
    double mass_j_k;    ///< C_m
    double h_is_w_k;    ///< air to surface: 3.45 W/m2/K times 4.5 floor areas, 7.2.2.2
    double h_ms_w_k;    ///< surface to mass: 9.1 W/m2/K A_m, 12.2.2
    double h_em_w_k;    ///< mass to the outside of the opaque parts: 1 / (1/H_op - 1/H_ms), 12.2.2
    double h_w_w_k;     ///< windows and doors
    double mass_share;  ///< A_m / A_t
    double glass_share; ///< H_w / (9.1 W/m2/K A_t), the part of C.3 that windows lose at once
    double floor_area_m2;
} cbx_network;

/// What one hour brings; constant through the hour.
typedef struct cbx_drive {
    double outdoor_c;     ///< at the windows, and of the supply air
    double opaque_side_c; ///< beyond the opaque parts, weighted: outdoor air, and soil at the floor
    double h_ve_w_k;      ///< air that leaks in and is blown in
    double internal_w, solar_w;
    double heating_set_c, cooling_set_c; ///< of the air; heating_set_c <= cooling_set_c
} cbx_drive;

typedef struct cbx_hour {
    double need_w;                   ///< into the air: heating > 0, cooling < 0 (sensible)
    double mass_end_c;               ///< at the end of the hour
    double mass_c, surface_c, air_c; ///< means of the hour: C.9, C.10, C.11
    double lost_at_glass_w;          ///< of the gains, C.3
} cbx_hour;

/// One hour from the temperature of the mass at its start. The air is held between its set points:
/// need_w is 0 exactly while it floats between them (C.4.2).
cbx_hour cbx_network_hour(const cbx_network *network, const cbx_drive *drive, double mass_start_c);

#endif
