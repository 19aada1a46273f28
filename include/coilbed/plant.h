// SPDX-License-Identifier: MIT
/// Heat pumps, circulators and electric backup: what a load does to the loop.
#ifndef COILBED_PLANT_H
#define COILBED_PLANT_H

#include "coilbed/design.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Prepared performance curves of all units; immutable, shareable.
typedef struct cb_plant cb_plant;

/// The loop while its circulators run, with slopes over its mean fluid temperature [.. per K].
typedef struct cb_loop_point {
    double flow_m3_s, flow_slope;                  ///< of the whole field, > 0
    double capacity_flow_w_k, capacity_flow_slope; ///< density x heat capacity x flow, > 0
    double pump_power_w, pump_power_slope;
    double pump_heat_w, pump_heat_slope; ///< of the pump power, into the fluid
} cb_loop_point;

/// What the plant meets at one moment.
typedef struct cb_plant_point {
    double heating_load_w, cooling_load_w; ///< >= 0, not checked
    double entering_c;                     ///< water into the heat pumps
    double outdoor_c;                      ///< for the backup's lockout
    double tank_c;                         ///< hot water; this and the next two unused without
    double draw_m3_s;                      ///< hot water drawn, as cb_plant_draw_m3_s
    double mains_c;                        ///< cold water that takes its place
    double heating_air_c, cooling_air_c;   ///< that the house asks for; NaN: it names none
    cb_loop_point loop;
} cb_plant_point;

/// Partial derivatives.
typedef struct cb_plant_slopes {
    double entering; ///< by entering water temperature
    double fluid;    ///< by the loop's mean fluid temperature, through cb_loop_point's slopes
    double tank;     ///< by the tank's temperature
} cb_plant_slopes;

/// Hourly-mean rates at one moment [W], all >= 0 unless said otherwise.
typedef struct cb_plant_rates {
    double heating_output_w; ///< by compressors, into the house
    double cooling_output_w;
    double compressor_power_w; ///< without fans
    double fan_power_w;
    double pump_power_w;
    double backup_power_w;    ///< electric = heat delivered
    double unmet_load_w;      ///< heating and cooling asked for and not delivered
    double heat_to_loop_w;    ///< negative in heating; pump heat included
    double pump_fraction;     ///< share of the hour the circulators run, 0..1
    double loop_rise_k;       ///< leaving minus entering water while running; negative in heating
    double desuperheater_w;   ///< from the units into the hot water
    double element_power_w;   ///< electric = heat into the hot water
    double hot_water_w;       ///< drawn from the tank, above the mains water that takes its place
    double tank_loss_w;       ///< to the room; negative into the tank
    double tank_heat_w;       ///< into the tank's water, net; may be negative
    double hot_water_unmet_w; ///< what the draw lacks of its wanted temperature
    cb_plant_slopes heat_to_loop_by, pump_fraction_by, loop_rise_by, tank_heat_by;
} cb_plant_rates;

/// Monotone cubic (Fritsch & Carlson 1980) interpolation of each table over entering water, the
/// unit's correction factors multiplied in; straight between the flows of a table, and between its
/// entering airs, and constant beyond them. Several units share the loop's flow by the mean
/// capacity of their full-load tables (heating; cooling for a unit that does not heat), whether
/// they run or not. Errors: CB_NO_MEMORY; CB_BAD_INPUT, with the place in the design, when entering
/// water does not rise from point to point, capacity is not monotone, a heating capacity is not
/// above its power, the straight extension over the margin would be no machine, a level does not
/// give 1 % more than the one below it or lacks a mode, a fan takes more than the unit, a draw or a
/// tank is none, a desuperheater names no unit.
cb_status cb_plant_create(cb_plant **out, const cb_design *design, cb_error *error);
cb_plant *cb_plant_destroy(cb_plant *plant);

/// What the plant does at this moment. Continuous and piecewise smooth in all of it. Units are
/// dispatched in the order of the design: the first carries what it can, the next the rest; then
/// backup stages, each a share of the hour; there is no backup for cooling. When both loads are
/// asked for, a unit serves heating first and cooling with the run time left. A table is carried
/// straight on over the unit's margin. Beyond that, on the side where trusting it would be a risk
/// (heating below the table, cooling above it), the share of time the unit may run fades to nothing
/// over half a kelvin; on the other side (heating with warmer water, cooling with colder) capacity
/// and power stay what they are at the end of the margin. Above (in cooling below) a lockout that
/// share rises from 0 to 1 over the lockout's recovery: the mean over hours of a unit that cuts out
/// at the lockout and comes back at lockout + recovery.
///
/// Part load: between two levels a unit spends its time on both, capacity and power straight in
/// between: exact for stages, slightly careful for a variable speed. Below the lowest it cycles and
/// runs PLR / (1 - C_D (1 - PLR)) of the time, PLR being the load over the lowest capacity and C_D
/// the cycling loss; its output is the load. The fan runs, at every level alike, while the unit
/// does.
///
/// Entering air of tables that depend on it: the unit's own if the design fixes one, else what the
/// house asks for, else the usual one: an envelope's set point by day, 70 degF in heating and 76
/// degF in cooling without one. Its wet bulb by Stull 2011 at sea level.
///
/// Backup above its outdoor limit (it comes on over 1 K below): the emergency share times the mean
/// share of time in which units may not run.
///
/// Hot water: one mixed tank. A desuperheater gives, per run time, its rated heat times (hot gas -
/// tank) / (hot gas - rated) at full load and at lower levels in proportion to the unit's heat,
/// never more than its greatest share of it, fading to nothing over the last 2 K before the tank's
/// limit; in heating this is taken from what the house gets, in cooling from what the loop gets.
/// The element comes on from the set point to its band below, smoothly.
///
/// Balance: heating_load = heating_output + backup + unmet heating; heat_to_loop = cooling_output -
/// heating_output - desuperheater + compressor_power + fan_power + pump heat; tank_heat =
/// desuperheater + element - hot_water - tank_loss. CB_PUMP_WITH_COMPRESSOR: pump_fraction is the
/// largest run fraction of the units. loop_rise is heat_to_loop over (flow x pump_fraction); where
/// no unit runs although a load is asked for, it is what the first unit with that mode would give;
/// 0 without any load. Slopes are exact; at a kink they are those of one side.
void cb_plant_evaluate(const cb_plant *plant, const cb_plant_point *point, cb_plant_rates *out);

/// Capacity and power, fan included, of unit `unit` at full load, the wanted flow and the usual
/// entering air [W], lockouts and margin included; 0 where it has no such mode.
void cb_plant_unit_at(const cb_plant *plant, int unit, bool cooling, double entering_c,
                      double *capacity_w, double *power_w);

/// Entering air that the tables of a unit's mode are asked for while the house asks for indoor_c
/// (NaN: the usual one): dry bulb, or for cooling tables by wet bulb that of air of the unit's
/// humidity. False, and nothing stored, where no table depends on it.
bool cb_plant_unit_air(const cb_plant *plant, int unit, bool cooling, double indoor_c,
                       double *air_c);

/// Heat capacity of the hot water tank [J/K]; 0 if the design has no hot water.
double cb_plant_tank_capacity_j_k(const cb_plant *plant);

/// Temperature from which a run starts the tank: its set point; 0 without hot water.
double cb_plant_tank_start_c(const cb_plant *plant);

/// Hot water drawn at this hour of the day, 0..24 in standard time: constant within each hour, the
/// day's draw spread by the profile. 0 without hot water.
double cb_plant_draw_m3_s(const cb_plant *plant, double hour_of_day);

// ---- generic performance ---------------------------------------------------------------------

/// COP of a ground-source heat pump over the lift from source to heated water, 20 to 60 K: 8.77 -
/// 0.150 lift + 0.000734 lift^2. Staffell, Brett, Brandon & Hawkes 2012, Energy & Environmental
/// Science 5, 9291-9306 (fitted to makers' data; coefficients from memory).
double cb_generic_cop(double lift_k);

/// Entering water that a generic table covers [degC].
#define CB_GENERIC_HEATING_LEAST_C -10.0
#define CB_GENERIC_HEATING_MOST_C 25.0
#define CB_GENERIC_COOLING_LEAST_C 5.0
#define CB_GENERIC_COOLING_MOST_C 50.0

/// A generic table through rating points of one stage or speed: where a maker gives nothing else,
/// e.g. the ground-loop points of ISO 13256-1, at full load heating with water of 0 degC and
/// cooling with 25 degC, at part load heating with 5 degC and cooling with 20 degC (part load from
/// memory); further points at the same load (its ground-water and water-loop points) may be given
/// too.
///
/// The table holds every rating point as it is. In between and beyond it is the shape below times a
/// factor for capacity and one for power, straight between rating points and constant beyond.
/// Heating: the lift runs from entering water to 40 degC; power is constant, capacity goes as the
/// COP (a compressor of one speed; our reading, no source). Cooling: the lift runs from 5 degC to
/// entering water and the COP is less by 1; capacity falls by 1 % per kelvin of its value at 25
/// degC (liquid of a usual refrigerant near 1.8 kJ/kg/K over near 175 kJ/kg at a constant mass
/// flow, from memory). Below 25 degC in cooling and above 20 degC in heating the lift is under 20 K
/// and the relation is carried on beyond its span.
///
/// @param out    5 K apart but for the rating points; empty on failure
/// @param rating [count] 1..CB_MAX_RATINGS, entering water rising by 2 K or more, in the span above
/// Errors: CB_BAD_CALL; CB_BAD_INPUT, without a place, for points that are no machine's.
cb_status cb_generic_table(cb_performance_table *out, const cb_performance_point *rating, int count,
                           bool cooling, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
