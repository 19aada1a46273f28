// SPDX-License-Identifier: MIT
/// The yard: undisturbed ground under the weather, with its cover, its snow and the water in its
/// root zone, stepped hour by hour. It gives the field its surface and its first state.
#ifndef COILBED_YARD_H
#define COILBED_YARD_H

#include "coilbed/ground.h"

#ifdef __cplusplus
extern "C" {
#endif

// ---- covers ----------------------------------------------------------------------------------

/// One entry of the table of covers.
typedef struct cb_cover {
    const char *name, *description;
    double albedo, emissivity;
    double height_m;            ///< of the plants or stones: roughness as FAO-56 eq. 4
    double insulation_m2k_w;    ///< thatch, mulch or stones between what the sun sees and the soil
    double green_share;         ///< of the ground under transpiring leaves in the growing season
    double leaf_resistance_s_m; ///< of the canopy, well watered
    double soil_resistance_s_m; ///< of thatch, mulch or crust to vapour from wet soil below
    double root_water_kg_m2;    ///< plants draw between field capacity and wilting (= mm)
    double top_water_kg_m2;     ///< the bare top can give up (= mm); 0: it never evaporates
    const char *source;
} cb_cover;

/// The n-th entry (0, 1, ...); NULL past the end.
const cb_cover *cb_cover_at(int n);
const cb_cover *cb_cover_find(const char *name);

// ---- evaporation, FAO-56 ---------------------------------------------------------------------
// Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56.
// Its eq. 11 and 13, saturation vapour pressure, are in weather.h.

double cb_air_pressure_kpa(double elevation_m);             ///< eq. 7
double cb_psychrometric_kpa_k(double elevation_m);          ///< eq. 8
double cb_wind_at_2m_m_s(double wind_m_s, double height_m); ///< eq. 47
double cb_daylight_h(double latitude_deg, int day_of_year); ///< eq. 34; day 0..364
/// Net longwave loss [MJ/(m2 day)], eq. 39. @param solar_share Rs / Rso, at most 1
double cb_net_longwave_mj_m2_day(double maximum_c, double minimum_c, double vapour_kpa,
                                 double solar_share);
/// The same for one hour [MJ/(m2 h)], eq. 39 with the hourly Stefan-Boltzmann constant.
double cb_net_longwave_mj_m2_h(double mean_c, double vapour_kpa, double solar_share);

/// What the reference evapotranspiration of one day or hour needs.
typedef struct cb_reference_day {
    double mean_c;         ///< air
    double saturation_kpa; ///< mean saturation vapour pressure (of a day: eq. 12)
    double vapour_kpa;     ///< actual
    double wind_2m_m_s;
    double net_mj_m2;    ///< net radiation of the day or hour
    double ground_mj_m2; ///< soil heat flux of the day or hour
    double elevation_m;
} cb_reference_day;
double cb_reference_evapotranspiration_day_kg_m2(const cb_reference_day *day);   ///< eq. 6
double cb_reference_evapotranspiration_hour_kg_m2(const cb_reference_day *hour); ///< eq. 53

// ---- snow ------------------------------------------------------------------------------------

/// Conductivity of snow [W/(m K)] by density [kg/m3]: Sturm et al. 1997, quadratic above 156
/// kg/m3, linear below.
double cb_snow_conductivity_w_mk(double density_kg_m3);

/// Density of fresh snow [kg/m3]: 67.92 + 51.25 exp(T / 2.59), Hedstrom & Pomeroy 1998 (from
/// memory), no denser than at 0 degC.
double cb_fresh_snow_density_kg_m3(double air_temperature_c);

// ---- the yard --------------------------------------------------------------------------------

/// Weather of an hour; hours may be negative. The yard asks for every hour once, in order, and for
/// the cycle of its settling again and again.
typedef cb_weather_hour cb_yard_weather(const void *context, long hour);

/// A surface or bottom that is given in place of weather and earth heat.
typedef double cb_yard_given_c(const void *context, long hour);

typedef struct cb_yard_plan {
    const cb_section *column; ///< one column (nx == 1) of 1 m2; must outlive the yard
    const cb_surface *surface;
    double elevation_m;
    cb_yard_weather *weather;
    cb_yard_given_c *surface_c; ///< hour's mean temperature of the surface instead of weather; or
                                ///< NULL
    cb_yard_given_c *bottom_c;  ///< hour's mean temperature of the lower side of the deepest cell
                                ///< instead of the geothermal flux; or NULL
    const void *context;
} cb_yard_plan;

/// What one hour did.
typedef struct cb_yard_hour {
    cb_surface_exchange exchange;          ///< seen by the soil surface, below cover and snow
    double surface_c;                      ///< soil surface, hour's mean
    double snow_depth_m, snow_water_kg_m2; ///< at the hour's end
    double evaporation_kg_m2;              ///< of the hour; negative is dew
    double dryness; ///< share of the root zone's water that is gone at the hour's end, 0..1
} cb_yard_hour;

/// How the ground came to its periodic state.
typedef struct cb_yard_settled {
    int cycles;        ///< of the weather that were stepped through
    double residual_k; ///< largest change over the last cycle, below half a metre
} cb_yard_settled;

typedef struct cb_yard cb_yard;

/// The ground starts at the steady state of the first year's mean air. Errors: CB_BAD_INPUT for an
/// unknown cover, CB_NO_MEMORY. *out is owned by the caller.
cb_status cb_yard_create(cb_yard **out, const cb_yard_plan *plan, cb_error *error);
cb_yard *cb_yard_destroy(cb_yard *yard);

/// Steps through hours [first_hour, first_hour + cycle_hours) until the state below half a metre
/// repeats to 0.005 K, or, where snow that comes an hour later keeps it wavering, to 0.1 K after 16
/// cycles. After each of the first eight cycles everything below the reach of frost is moved to the
/// profile that carries the geothermal flux steadily below the mean found there, in place of the
/// decades the deep ground would need. Ends at the state of first_hour. Errors: CB_NUMERICS if 40
/// cycles do not settle it; CB_NO_MEMORY.
cb_status cb_yard_settle(cb_yard *yard, long first_hour, long cycle_hours, cb_yard_settled *settled,
                         cb_error *error);

/// Sets the soil to a profile [nz] degC, without snow and with a moist root zone.
void cb_yard_start(cb_yard *yard, const double *temperature_c);

/// Goes on under other weather, of the same context.
void cb_yard_change_weather(cb_yard *yard, cb_yard_weather *weather);

/// Steps one hour. Implicit, second order, L-stable; the surface temperature is solved with the
/// soil, not lagged. Without precipitation in the weather (NaN) no snow falls and the root zone
/// stays as it is. Errors: CB_NUMERICS if the hour cannot be solved.
cb_status cb_yard_step(cb_yard *yard, long hour, cb_yard_hour *out, cb_error *error);

/// Temperature [degC] and enthalpy [J/m3] of the column's cells [nz]; valid until the next step.
const double *cb_yard_temperature_c(const cb_yard *yard);
const double *cb_yard_enthalpy_j_m3(const cb_yard *yard);

#ifdef __cplusplus
}
#endif
#endif
