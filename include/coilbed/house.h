// SPDX-License-Identifier: MIT
/// Hourly heating and cooling loads of the house.
#ifndef COILBED_HOUSE_H
#define COILBED_HOUSE_H

#include "coilbed/weather.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Loads of every hour of a run. Heating and cooling are both >= 0 [W], hourly means.
typedef struct cb_house {
    long hours;
    double *heating_w; ///< [hours]
    double *cooling_w; ///< [hours]
} cb_house;

/// Computes the loads of all design->run.years, times the design's share of the house.
///
/// Load line: heating = Q_design (T_balance - T) / (T_balance - T_design) for T below the balance
/// point, likewise cooling, not capped at the design load. T is the outdoor temperature behind a
/// first-order lag of the envelope's time constant (exact for an hour of constant outdoor air),
/// started periodic on the typical year. Common practice, no source.
/// Load file: hourly rows of heating and cooling load [0..10 MW]; the first line names the columns.
/// 8760 rows are a calendar year, 1 January first, turned to the run's start and repeated;
/// years * 8760 rows are the whole run, from its first hour (with one year: a calendar year). The
/// same checks as a weather file; the loads do not follow the shaped weather.
/// Envelope: the hourly method of five resistances and one capacity, ISO 13790:2008 Annex C, C.1 to
/// C.13 (from memory of the standard), started after a year of the typical weather.
/// - Areas: A_t = 4.5 floor areas; mass by class, A_m / floor area and C_m / floor area [kJ/m2/K]:
///   very_light 2.5, 80; light 2.5, 110; medium 2.5, 165; heavy 3.0, 260; very_heavy 3.5, 370
///   (table 12).
/// - Windows and doors pass heat at once (H_tr,w); walls and roof through the mass (H_tr,op).
/// - Slab or heated basement: ISO 13370:2007, from memory: by characteristic dimension 2 area /
///   perimeter and depth, 0.3 m walls; the soil's year by its periodic coefficient (edge not
///   insulated), a month late, on the first harmonic of the typical air. It does not follow the
///   shaped weather.
/// - Sun on windows, walls (a quarter to each quarter of the sky) and roof: split by Erbs et al.
///   1982, tilted by Liu & Jordan 1963; g-value times 0.9 for the angle; R_se = 0.04 m2 K/W for
///   opaque parts. Ground reflects 70 % while the weather has 1 cm of snow.
/// - Longwave to the sky: R_se U A 0.9 F (sigma T^4 - L) with the weather's own longwave L, not
///   the standard's constant 11 K.
/// - Air that leaks: Sherman & Grimsrud 1980 in the form Q = A_L sqrt(C_s dT + C_w U^2) with the
///   coefficients by storeys and shelter of the ASHRAE Handbook of Fundamentals, from memory; A_L
///   at 4 Pa from the blower-door test with exponent 0.65. Fans add to it; heat recovery is
///   bypassed while outdoor air lies between the set points. 1200 J/m3/K.
/// - Windows are opened, at most for `airing` air changes, as far as outdoor air cooler than the
///   cooling set point then spares cooling: with the air at its set point that is linear.
/// - The set points move in straight lines over the recovery time. No limit to the heat or cold
///   called for: between the set points the load is exactly 0. Cooling is the sensible load over
///   (1 - latent_share).
///
/// Errors: CB_IO, CB_BAD_INPUT (file, line, column), CB_NO_MEMORY. *out is owned by the caller.
cb_status cb_house_create(cb_house **out, const cb_design *design, const cb_run_weather *weather,
                          const cb_units *units, cb_error *error);
cb_house *cb_house_destroy(cb_house *house);

/// The air that the house asks for at this hour of the day, 0..24 in standard time: the set point
/// of an envelope, which moves with its setback; NaN with a load line or a file, that have none.
double cb_house_set_point_c(const cb_design *design, bool cooling, double hour_of_day);

/// Losses of an envelope per kelvin between indoor and outdoor air [W/K].
typedef struct cb_house_losses {
    double walls_w_k, roof_w_k, windows_w_k, doors_w_k;
    double floor_w_k;       ///< to the soil's mean temperature
    double ventilation_w_k; ///< by fans, less what is recovered
    double leakage_w_k;     ///< at the heating design temperature and the coldest month's wind
    double leakage_air_changes_1_h;
} cb_house_losses;

typedef enum cb_design_basis {
    CB_BASIS_LOAD_LINE, ///< the line's design load
    CB_BASIS_ENVELOPE,  ///< losses at the design temperature
    CB_BASIS_FILE       ///< largest hour of the file's loads
} cb_design_basis;

/// What the units have to be chosen for.
typedef struct cb_design_loads {
    cb_design_basis basis;
    double heating_w, cooling_w;
    double heating_outdoor_c, cooling_outdoor_c; ///< NaN where no temperature belongs to the load
    double sensible_share;                       ///< of the cooling load; NaN if unknown
    cb_house_losses losses;                      ///< of an envelope
} cb_design_loads;

/// Design loads, of the design's share of the house; losses are those of all of it. Envelope:
/// heating is the sum of all losses at the heating design temperature and the day's set point, soil
/// at its coldest, without sun and gains (common practice); cooling is the largest hour of a clear
/// day of the warmest month repeated until it settles: highest at the cooling design temperature at
/// 15:00, cosine with that month's mean daily range, gains as given, windows closed. A design
/// temperature not given is the one the typical weather is colder (warmer) than in 1 % of its
/// hours.
/// @param house of the same design and weather
/// Errors: CB_BAD_CALL, CB_BAD_INPUT, CB_NO_MEMORY.
cb_status cb_house_design_loads(cb_design_loads *out, const cb_design *design,
                                const cb_run_weather *weather, const cb_house *house,
                                cb_error *error);

// ---- the same loads by other means -----------------------------------------------------------

/// An air-source heat pump by its ratings; also the air conditioner of a house with a furnace.
typedef struct cb_air_source {
    double heating_w, heating_power_w; ///< full load with outdoor air of heating_rated_c
    double heating_rated_c;            ///< usually 8.3 degC (47 degF)
    double cooling_w, cooling_power_w; ///< 0 capacity: cannot cool
    double cooling_rated_c;            ///< usually 35 degC (95 degF)
    double least_outdoor_c;            ///< below it the unit stands still
    double frost_low_c, frost_high_c;  ///< outdoor air between which its coil frosts
    double defrost_share;              ///< of the heat lost to defrosting there, power unchanged
} cb_air_source;

typedef struct cb_alternatives_given {
    cb_air_source air;
    double furnace_efficiency; ///< heat delivered over fuel, 0.5..1
    double furnace_electric;   ///< electricity of fan and burner over heat delivered
} cb_alternatives_given;

/// Usual figures (common practice, no source): a unit of this heating capacity at 8.3 degC with COP
/// 3.4 and as much cooling at 35 degC with COP 3.5, down to -25 degC, 8 % of the heat lost between
/// -7 and 5.5 degC; a furnace of 92 % and 2 % electricity.
cb_alternatives_given cb_alternatives_usual(double heating_w);

/// Energies over the whole run [J].
typedef struct cb_alternative {
    double heating_electricity_j; ///< compressor, or fan and burner
    double backup_electricity_j;  ///< resistance heat
    double cooling_electricity_j;
    double fuel_j;
    double uncooled_j; ///< cooling asked for beyond the unit
} cb_alternative;

typedef struct cb_alternatives {
    double heating_j, cooling_j; ///< loads
    cb_alternative air_source;   ///< resistance heat carries what it cannot
    cb_alternative resistance;   ///< electric heat; cooling as by the air source
    cb_alternative furnace;      ///< fuel; cooling as by the air source
} cb_alternatives;

/// What the same hourly loads would take, energy only, no prices.
///
/// COP over outdoor air: 6.81 - 0.121 lift + 0.000630 lift^2 (Staffell et al. 2012, as
/// cb_generic_cop, for air sources; coefficients from memory), the lift from outdoor air to 40 degC
/// in heating; less 1 and from 5 degC to outdoor air in cooling; scaled through the rating.
/// Capacity follows as in cb_generic_table. A unit that carries part of an hour's load takes that
/// part of its power. Lifts are held within 5 to 75 K. Errors: CB_BAD_CALL; CB_BAD_INPUT, without a
/// place, for a value that no machine has.
/// @param outdoor_c  [house->hours] air
cb_status cb_house_alternatives(cb_alternatives *out, const cb_house *house,
                                const double *outdoor_c, const cb_alternatives_given *given,
                                cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
