// SPDX-License-Identifier: MIT
/// The buried loop: pipe, fluid, coil geometry, and the near field between pipe and soil section.
#ifndef COILBED_LOOP_H
#define COILBED_LOOP_H

#include "coilbed/design.h"
#include "coilbed/field.h"

#ifdef __cplusplus
extern "C" {
#endif

// ---- pipe ------------------------------------------------------------------------------------

/// Polyethylene pipe by nominal size and SDR: IPS sizes ("3/4 in" .. "2 in"; OD of ASTM D3035,
/// minimum wall OD/SDR to 0.001 in, average wall 1.06 x minimum) and metric sizes ("20 mm" ..
/// "63 mm"; ISO 4427-2 outside diameter and wall).
/// Errors: CB_BAD_INPUT with the list of sizes and SDRs that exist.
cb_status cb_pipe_find(cb_pipe *out, const char *nominal, double sdr, cb_error *error);

/// As cb_pipe_find, for a design's choice: by its size and SDR, or by its own diameters where it
/// has them.
cb_status cb_pipe_of(cb_pipe *out, const cb_pipe_choice *choice, cb_error *error);

/// The n-th known nominal size (0, 1, ...), NULL past the end.
const char *cb_pipe_nominal(int n);

// ---- fluid -----------------------------------------------------------------------------------

/// A mixture at fixed concentration.
typedef struct cb_fluid {
    cb_fluid_type type;
    double mass_fraction;        ///< of the additive, 0..1
    double freeze_c;             ///< freezing point
    double minimum_c, maximum_c; ///< span where the property data hold
} cb_fluid;

typedef struct cb_fluid_properties {
    double density_kg_m3;
    double heat_capacity_j_kgk;
    double conductivity_w_mk;
    double viscosity_pa_s; ///< dynamic
} cb_fluid_properties;

/// Finds the mass fraction, freezing point and limits of a mixture. Brines by the 18-term
/// polynomials of Melinder 2010; water by IAPWS-95 values. Volume per cent: glycols by volumes of
/// additive and water before mixing at 20 degC, alcohols by volume of additive per volume of
/// solution (conversions named in the source file); salts have none.
/// Errors: CB_BAD_INPUT if the concentration is outside the data (with the accepted range in the
/// basis the design used), or a salt is given by volume.
cb_status cb_fluid_define(cb_fluid *out, const cb_design_fluid *design, cb_error *error);

/// Properties at a temperature [degC]. Outside minimum_c..maximum_c the value at the nearest limit
/// is returned and the result is false, so that a solver's trial state cannot leave the table;
/// callers report it.
bool cb_fluid_at(const cb_fluid *fluid, double temperature_c, cb_fluid_properties *out);

const char *cb_fluid_name(cb_fluid_type type);
/// Handling and hazard of the mixture in plain words; never NULL, never empty.
const char *cb_fluid_hazard(cb_fluid_type type);
/// What the mixture does when it freezes, and what its data do not promise; never NULL or empty.
const char *cb_fluid_freezing(cb_fluid_type type);

/// Concentrations by mass between which the data hold; both 0 for water.
void cb_fluid_span(cb_fluid_type type, double *lowest, double *highest);

/// Share by volume of a mixture, on the basis of cb_fluid_define; NaN for salts, 0 for water.
double cb_fluid_volume_fraction(const cb_fluid *fluid);

/// The pure liquid additive at 20 degC [kg/m3]; NaN for water and for salts.
double cb_fluid_additive_density_kg_m3(cb_fluid_type type);

/// The weakest mixture within the data that freezes at or below freeze_c. False if there is none
/// (for water: below 0 degC); *out is then the strongest.
bool cb_fluid_for_freezing(cb_fluid *out, cb_fluid_type type, double freeze_c);

// ---- film and wall ---------------------------------------------------------------------------

/// Reynolds number of a flow in a pipe. @param flow_m3_s >= 0
double cb_reynolds(const cb_fluid_properties *fluid, double flow_m3_s, double inside_diameter_m);

/// Nusselt number, smooth in Re: laminar 3.66 (constant wall temperature) with Hausen's entry
/// term, Gnielinski above 4000, linear blend in Re between 2300 and 4000 (Gnielinski 2013). For a
/// coiled pipe (coil_diameter_m > 0): Schmidt 1967 laminar and turbulent forms and his transition
/// Re_c = 2300 (1 + 8.6 (d/D)^0.45), linear blend from Re_c to 22000 as VDI Heat Atlas.
double cb_nusselt(double reynolds, double prandtl, double inside_diameter_m, double length_m,
                  double coil_diameter_m);

/// Per metre of pipe [m K/W]: film 1/(pi k Nu); wall ln(d_o/d_i)/(2 pi k_wall) (Incropera et al.,
/// Fundamentals of Heat and Mass Transfer, sec. 3.3).
double cb_film_resistance_mk_w(double nusselt, double fluid_conductivity_w_mk);
double cb_wall_resistance_mk_w(const cb_pipe *pipe, double wall_conductivity_w_mk);

// ---- coil in the ground --------------------------------------------------------------------

/// Mean temperature rise of the pipe wall per unit heat per metre of pipe, times k [-], of the
/// middle of an endless flat coil under an isothermal surface, steady: line-source kernel along
/// the exact curve with its image, averaged over the pipe's top and bottom and over one turn by
/// length (the sides would lie inside the other strand where the drawn curve crosses itself).
/// @param depth_m of the coil plane; @param pipe_radius_m outer
/// @return NaN if a length is not positive or the pitch is below a thousandth of diameter plus
/// depth
double cb_coil_steady_rise(double coil_diameter_m, double pitch_m, double depth_m,
                           double pipe_radius_m);

/// As cb_coil_steady_rise, after a constant heat has run for time_s in ground that was at rest;
/// tends to it as time grows, 0 at and before time 0.
double cb_coil_transient_rise(double coil_diameter_m, double pitch_m, double depth_m,
                              double pipe_radius_m, double diffusivity_m2_s, double time_s);

/// Share by which the ends of a trench, through which heat comes too, lower the steady mean
/// temperature change of the pipe against an endless trench: even heat along a finite line in a
/// half-space with an isothermal surface, its radius that of a strip of the pipe's width (point
/// sources and images, Carslaw & Jaeger 1959 sec. 10.2; geometric mean distance of a strip in
/// itself, width x e^-1.5).
/// @param width_m of the coil, or pipe diameter; @return 0..1
double cb_trench_end_share(double length_m, double depth_m, double width_m);

#ifdef __cplusplus
}
#endif
#endif
