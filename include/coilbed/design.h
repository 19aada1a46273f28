// SPDX-License-Identifier: MIT
/// A design: everything a run needs, in SI, each value with the place it came from.
///
/// The structs below are plain values; a caller may fill them by hand instead of reading a file.
/// Strings and arrays reached from a cb_design belong to it.
#ifndef COILBED_DESIGN_H
#define COILBED_DESIGN_H

#include "coilbed/status.h"
#include "coilbed/units.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CB_MAX_LAYERS = 12,
    CB_MAX_PIPES = 6, ///< straight pipes of one circuit in its trench
    CB_MAX_TRENCHES = 40,
    CB_MAX_CIRCUITS = 4,      ///< in one trench
    CB_MAX_UNITS = 4,         ///< heat pumps on the field
    CB_MAX_POINTS = 16,       ///< points of one curve
    CB_MAX_FLOWS = 4,         ///< flows of one performance table
    CB_MAX_AIRS = 4,          ///< entering airs of one performance table
    CB_MAX_TABLE_POINTS = 96, ///< points of one performance table, all flows and airs together
    CB_MAX_LEVELS = 3,        ///< stages or speeds of a unit below full load
    CB_MAX_STAGES = 6,        ///< electric backup stages
    CB_MAX_RATINGS = 4,       ///< rating points of one mode
    CB_MAX_WINDOWS = 16,
    CB_DAY_HOURS = 24,
    CB_MAX_HEADER_SIZES = 8,
    CB_MAX_HARD_WINTERS = 8,
    CB_MAX_HOT_SUMMERS = 8,
    CB_MAX_WEATHER_YEARS = 100,
    CB_MONTHS = 12
};

// ---- site ------------------------------------------------------------------------------------

typedef struct cb_site {
    double latitude_deg;  ///< north positive, -90..90
    double longitude_deg; ///< east positive, -180..180
    double elevation_m;   ///< above sea level
    double time_zone_h;   ///< local standard time minus UTC, -12..14
} cb_site;

// ---- weather ---------------------------------------------------------------------------------

typedef enum cb_weather_format {
    CB_WEATHER_NORMALS, ///< generated from monthly normals
    CB_WEATHER_TMY3,    ///< TMY3-style CSV of a public agency
    CB_WEATHER_NSRDB,   ///< CSV of a national solar radiation data base: two lines about the place,
                        ///< then Year, Month, Day, Hour, Minute, ...; hourly or half-hourly
    CB_WEATHER_PVGIS,   ///< hourly CSV of the European Union's solar tool, in UTC
    CB_WEATHER_COLUMNS  ///< any CSV with a declared column map
} cb_weather_format;

/// Monthly climate normals; index 0 is January.
typedef struct cb_normals {
    const char *name;
    double air_temperature_c[CB_MONTHS]; ///< mean
    double daily_range_k[CB_MONTHS];     ///< mean daily maximum minus mean daily minimum
    double solar_j_m2_day[CB_MONTHS];    ///< mean global horizontal per day
    double dew_point_c[CB_MONTHS];
    double wind_m_s[CB_MONTHS];            ///< mean at 10 m
    double day_to_day_k[CB_MONTHS];        ///< standard deviation of daily mean temperature
    double precipitation_kg_m2[CB_MONTHS]; ///< mean of a whole month, rain and melted snow (= mm)
} cb_normals;

/// Column map for CB_WEATHER_COLUMNS. A NULL name means the file has no such column.
/// Each name may carry its unit in the design ("Tair [degF]" is written as column + unit there).
typedef struct cb_weather_columns {
    const char *air_temperature, *air_temperature_unit;
    const char *dew_point, *dew_point_unit;
    const char *relative_humidity;  ///< percent
    const char *solar, *solar_unit; ///< global horizontal, W/m2 by default
    const char *wind, *wind_unit;   ///< m/s by default
    const char *cloud;              ///< fraction 0..1, or percent or tenths by cloud_unit
    const char *cloud_unit;
    const char *precipitation, *precipitation_unit; ///< of each row's interval; mm by default
    const char *snow_depth, *snow_depth_unit;       ///< m by default
    const char *longwave;                           ///< from the sky, W/m2
    int header_lines;                               ///< lines before the row of column names
    bool hour_ending;                               ///< true: a row's stamp is the end of its hour
    int first_month;                                ///< month (1..12) of the first row
    int first_day;                                  ///< day (1..31) of the first row
} cb_weather_columns;

/// One hard winter: shaped onto the run year whose winter it is (physics in weather.h).
typedef struct cb_hard_winter {
    int year;            ///< run year, 1-based; -1 is the last year
    double one_in_years; ///< return period of the mean departure, >= 2
    bool has_cold_snap;
    double cold_snap_c; ///< lowest hourly air temperature of the snap
    double snap_days;   ///< length of the snap, days
    double snow_share;  ///< precipitation of that winter, 1 unchanged, 0 no snow at all
} cb_hard_winter;

/// One hot, dry summer: shaped onto the run year that holds its middle (physics in weather.h).
typedef struct cb_hot_summer {
    int year;            ///< run year, 1-based; -1 is the last year
    double one_in_years; ///< return period of the mean departure, >= 2
    bool has_heat_wave;
    double heat_wave_c; ///< highest hourly air temperature of the heat wave
    double wave_days;   ///< length of the heat wave, days
    double rain_share;  ///< precipitation of that summer, 1 unchanged, 0 none
} cb_hot_summer;

typedef struct cb_design_weather {
    cb_weather_format format;
    const char *file; ///< CSV path, resolved against the design's folder; or NULL
    cb_weather_columns columns;
    cb_normals normals;
    unsigned seed;             ///< for the generator
    double winter_deviation_k; ///< standard deviation of the site's Dec-Feb mean, between years
    int hard_winter_count;
    cb_hard_winter hard_winter[CB_MAX_HARD_WINTERS];
    double summer_deviation_k; ///< standard deviation of the site's Jun-Aug mean, between years
    int hot_summer_count;
    cb_hot_summer hot_summer[CB_MAX_HOT_SUMMERS];
} cb_design_weather;

// ---- ground ----------------------------------------------------------------------------------

typedef enum cb_conductivity_model {
    CB_JOHANSEN,    ///< Johansen 1975, as in Farouki 1981
    CB_COTE_KONRAD, ///< Cote & Konrad 2005
    CB_LU           ///< Lu et al. 2007
} cb_conductivity_model;

/// How wet a soil is in words: shares of the pores that hold water.
typedef enum cb_moisture { CB_MOISTURE_GIVEN, CB_DRY, CB_DAMP, CB_WET, CB_SATURATED } cb_moisture;

/// One soil as the model uses it. NaN (or 0 for `moisture`, NULL for nothing) means: filled by
/// cb_soil_resolve from the material and the water.
typedef struct cb_soil {
    const char *material; ///< entry of the material table: "sand", "loam", "clay", "peat", ...
    double sand_share, silt_share, clay_share; ///< of the dry mass, summing to 1; all or none given
    double dry_density_kg_m3;
    double quartz_share; ///< of the solids
    cb_moisture moisture;
    double water_fraction;     ///< volume of water per volume of soil, unfrozen
    double water_by_mass;      ///< mass of water per mass of dry soil; instead of the above
    double dry_water_fraction; ///< when the yard's root zone is fully dried out; else as the water
    cb_conductivity_model model;
    double conductivity_w_mk;        ///< unfrozen
    double frozen_conductivity_w_mk; ///< all freezable water frozen
    double dry_conductivity_w_mk;    ///< unfrozen, at dry_water_fraction
    double heat_capacity_j_m3k;      ///< unfrozen
    double frozen_heat_capacity_j_m3k;
    double freezing_start_c;  ///< T_f of the freezing curve, <= 0
    double freezing_exponent; ///< b in theta_u = theta (T_f / T)^b, > 0
} cb_soil;

typedef struct cb_layer {
    cb_soil soil;
    double bottom_m; ///< depth of the layer's lower edge; the last runs on down
} cb_layer;

/// What lies on the yard. NaN means: as the cover (yard.h) has it.
typedef struct cb_surface {
    const char *cover;        ///< entry of the cover table: "bare_soil", ...; NULL: "short_grass"
    double albedo;            ///< shortwave reflected without snow, 0..1
    double emissivity;        ///< longwave without snow, 0..1
    double shade;             ///< share of the sun that trees and walls keep off, 0..1
    double snow_kept;         ///< share of the snowfall that stays: 1 lies, 0 cleared or blown away
    double evaporation_share; ///< of the evaporation computed, 0..1: 1 unless a study turns it off
} cb_surface;

typedef struct cb_design_ground {
    int layer_count;
    cb_layer layer[CB_MAX_LAYERS];
    bool has_backfill;
    cb_soil backfill;
    double backfill_width_m;  ///< across the trench
    double backfill_height_m; ///< from the trench floor up
    cb_surface surface;
    double bottom_depth_m;       ///< of the modelled domain, >= 8
    double side_margin_m;        ///< from the outermost pipe to the adiabatic side
    double geothermal_flux_w_m2; ///< upward through the bottom
} cb_design_ground;

// ---- field -----------------------------------------------------------------------------------

typedef enum cb_layout {
    CB_FLAT_COIL,    ///< overlapping turns lying on the trench floor
    CB_UPRIGHT_COIL, ///< the same turns standing in a narrow trench
    CB_STRAIGHT      ///< pipes along the trench
} cb_layout;

/// How the far end of a coil comes back.
typedef enum cb_coil_return {
    CB_RETURN_NONE,     ///< not at all: a header runs along the far ends
    CB_RETURN_STRAIGHT, ///< by a straight pipe in the same trench
    CB_RETURN_COIL      ///< as a second flat coil of the same turns at another depth
} cb_coil_return;

/// Where one of a trench's circuits lies; all are laid out alike.
typedef struct cb_circuit_place {
    double across_m; ///< from the trench centre line
    double raised_m; ///< above the depths given for the layout
} cb_circuit_place;

typedef struct cb_pipe_position {
    double across_m; ///< from the trench centre line
    double depth_m;  ///< below the surface
} cb_pipe_position;

typedef struct cb_pipe_choice {
    const char *nominal;                          ///< "3/4 in", "1 in", ... or "25 mm", ...
    double sdr;                                   ///< standard dimension ratio
    double conductivity_w_mk;                     ///< of the wall
    double heat_capacity_j_m3k;                   ///< of the wall
    double outside_diameter_m, inside_diameter_m; ///< of a pipe in no table; no key sets them, and
                                                  ///< 0 takes the table's
    double per_circuit_m; ///< pipe at hand for each circuit; NaN: as much as is needed
} cb_pipe_choice;

/// Supply and return between house and field, buried side by side in a trench of their own.
typedef struct cb_runout {
    bool given;
    double length_m; ///< of the trench; as much pipe in each of the two
    double depth_m;
    double apart_m; ///< from centre to centre
    cb_pipe_choice pipe;
} cb_runout;

typedef struct cb_design_field {
    int trenches;
    double spacing_m;                 ///< centre to centre; unused for one trench
    double trench_length_m;           ///< of the longest
    int length_count;                 ///< 0: all are that long
    double length_m[CB_MAX_TRENCHES]; ///< of each, in order across the field
    double trench_width_m;
    double depth_m; ///< of the coil's middle below the surface
    cb_layout layout;
    int circuit_count; ///< in each trench, at least 1
    cb_circuit_place circuit[CB_MAX_CIRCUITS];
    double coil_diameter_m; ///< of the pipe centre line
    double coil_pitch_m;    ///< advance per turn
    bool coil_rings; ///< closed rings at the pitch in place of one advancing curve, to compare with
                     ///< ring sources; no key sets it
    cb_coil_return coil_return;
    double coil_return_across_m;             ///< of a straight return, from the circuit's middle
    double coil_return_depth_m;              ///< below the surface
    int straight_pipes;                      ///< 1..CB_MAX_PIPES
    cb_pipe_position straight[CB_MAX_PIPES]; ///< in the order the water visits them, out then back
    cb_pipe_choice pipe;
    cb_runout runout;
    double header_volume_m3; ///< fluid outside the trenches: headers, unit, hoses
} cb_design_field;

// ---- fluid, piping and pumps -----------------------------------------------------------------

typedef enum cb_fluid_type {
    CB_WATER,
    CB_PROPYLENE_GLYCOL,
    CB_ETHYLENE_GLYCOL,
    CB_METHANOL,
    CB_ETHANOL,
    CB_POTASSIUM_FORMATE, ///< salts are given by mass only
    CB_CALCIUM_CHLORIDE,
    CB_FLUID_COUNT
} cb_fluid_type;

typedef struct cb_design_fluid {
    cb_fluid_type type;
    double concentration; ///< fraction 0..1 on the basis below; 0 for water
    bool by_volume;       ///< false: by mass
} cb_design_fluid;

typedef struct cb_flow_point {
    double flow_m3_s;
    double drop_pa;
} cb_flow_point;

/// Headers of this size serve so many circuits, one after the other away from the house.
typedef struct cb_header_size {
    const char *nominal; ///< as cb_pipe_choice
    double sdr;
    int take_offs; ///< 0: all that are left
} cb_header_size;

typedef enum cb_header_return {
    CB_RETURN_DIRECT, ///< the circuit that is served first also returns first
    CB_RETURN_REVERSE ///< the return header is led around: served first, returned last
} cb_header_return;

/// Everything the water passes on its way apart from the pipe of the circuits. What is not given
/// (no header size, no house pipe, no drop of the units) makes no head.
typedef struct cb_design_piping {
    double roughness_m;        ///< of all pipe walls
    double circuit_fittings_k; ///< sum of the loss coefficients of one circuit
    cb_header_return header_return;
    int header_size_count;
    cb_header_size header_size[CB_MAX_HEADER_SIZES]; ///< supply; the return mirrors it
    double take_off_spacing_m;                       ///< header pipe from take-off to take-off
    double take_off_fittings_k; ///< of a take-off, for the water that goes past it
    bool has_house;             ///< pipe between the units and the first take-off
    const char *house_nominal;
    double house_sdr;
    double house_length_m;   ///< one way
    double house_fittings_k; ///< out and back
    int unit_drop_count;     ///< of all units together, over the whole flow; may be 0
    cb_flow_point unit_drop[CB_MAX_POINTS]; ///< with water
    double unit_water_c;                    ///< temperature of that water
} cb_design_piping;

typedef enum cb_pump_control {
    CB_PUMP_WITH_COMPRESSOR, ///< runs while a unit runs
    CB_PUMP_ALWAYS           ///< runs every hour of the year
} cb_pump_control;

typedef struct cb_pump_point {
    double flow_m3_s;
    double head_m;  ///< of the fluid
    double power_w; ///< electric
} cb_pump_point;

typedef struct cb_design_pumps {
    double flow_per_circuit_m3_s;       ///< wanted: held without a curve and by a variable speed
    int curve_count;                    ///< 0: no curve, the flow is given
    cb_pump_point curve[CB_MAX_POINTS]; ///< of one pump at full speed
    int in_series, in_parallel;         ///< equal pumps: in_parallel rows of in_series
    bool variable_speed;
    double speed;         ///< of a fixed speed, the highest of a variable one; of full speed
    double lowest_speed;  ///< of a variable speed
    double power_w;       ///< all pumps together, while running; with a curve: at the wanted flow
    double heat_to_fluid; ///< share of the power that warms the fluid, 0..1
    cb_pump_control control;
} cb_design_pumps;

// ---- heat pumps and backup -------------------------------------------------------------------

typedef struct cb_performance_point {
    double entering_c; ///< entering water temperature, strictly rising
    double capacity_w; ///< delivered heating, or total cooling
    double power_w;    ///< compressor and fan
    double flow_m3_s;  ///< of water through the unit; NaN or 0: the table does not depend on it
    double air_c;      ///< entering the unit from the house, > 0; NaN or 0: does not depend on it
} cb_performance_point;

/// All points of one flow stand together, 2 or more, with entering water strictly rising; flow
/// rises from one such group to the next. Either every point has a flow or none. Likewise all
/// groups of one entering air stand together, and air rises: two airs or more, or none at all.
typedef struct cb_performance_table {
    int count; ///< 0: the unit has no such mode
    cb_performance_point point[CB_MAX_TABLE_POINTS];
} cb_performance_table;

/// Rating points of a unit, at one load, in place of a maker's table (plant.h, cb_generic_table).
typedef struct cb_design_rating {
    int heating_count, cooling_count; ///< 0: the unit has no such mode
    cb_performance_point heating[CB_MAX_RATINGS], cooling[CB_MAX_RATINGS];
} cb_design_rating;

/// What antifreeze and flow other than the table's make of a unit. 0 stands for 1.
typedef struct cb_unit_correction {
    double heating_capacity, heating_power, cooling_capacity, cooling_power;
} cb_unit_correction;

/// A stage or speed below full load: tables, or a rating of its own, as for full load.
typedef struct cb_design_level {
    bool has_rating;
    cb_design_rating rating;
    cb_performance_table heating, cooling;
} cb_design_level;

typedef struct cb_design_heat_pump {
    const char *name;
    bool has_rating; ///< the tables are generic, made from the rating when the design was read
    cb_design_rating rating;
    cb_performance_table heating, cooling; ///< full load
    int level_count;
    cb_design_level level[CB_MAX_LEVELS]; ///< below full load, from the lowest up
    cb_unit_correction correction;        ///< factors on all tables' capacity and power
    double cycling_loss;       ///< degradation coefficient below the lowest level, 0..0.5 (plant.h)
    double fan_w;              ///< of the fan while the unit runs; 0: not told apart
    bool fan_beside;           ///< the tables hold neither the fan's power nor its heat
    double lockout_recovery_k; ///< from a lockout to where the unit is back for good; 0: 0.5 K
    double low_lockout_c;      ///< entering water at or below which heating stops
    double high_lockout_c;     ///< entering water at or above which cooling stops
    double table_margin_k;     ///< how far beyond its table a unit may be used
    bool air_dry_bulb;         ///< entering air of cooling tables; false: wet bulb. Heating: dry
    double air_humidity;       ///< relative, of the air in cooling; 0: 0.5
    double heating_air_c, cooling_air_c; ///< dry bulb at all hours; NaN or 0: the house's (plant.h)
} cb_design_heat_pump;

typedef struct cb_design_backup {
    int stage_count;
    double stage_w[CB_MAX_STAGES]; ///< electric, full output of each stage
    bool has_outdoor_limit;
    double outdoor_limit_c; ///< outdoor temperature at or above which backup stays off ...
    double emergency_share; ///< ... but for this share of it while units are locked out, 0..1
} cb_design_backup;

// ---- hot water -------------------------------------------------------------------------------

/// What a unit's superheated refrigerant gives the tank while the unit runs (plant.h).
typedef struct cb_desuperheater {
    const char *unit;  ///< name of the heat pump
    double heat_w;     ///< at full load with the tank at rated_c
    double rated_c;    ///< tank's temperature of that heat
    double hot_gas_c;  ///< tank's temperature at which nothing is given any more
    double limit_c;    ///< tank's temperature at which it is stopped
    double most_share; ///< never more than this share of the unit's heat, 0..0.5
} cb_desuperheater;

/// One well mixed tank with an electric element.
typedef struct cb_design_hot_water {
    bool given;
    double volume_m3;
    double standby_loss_w; ///< with the tank 45 K above the room; NaN: by insulation and surface
    double insulation_m2k_w, surface_m2;
    double loss_w_k; ///< of the tank to the room, from the above when the design was read
    double room_c;
    double draw_m3;                   ///< a day, of water at draw_c
    double draw_c;                    ///< wanted at the tap
    int draw_weight_count;            ///< 0: the built-in profile (plant.h); else 24
    double draw_weight[CB_DAY_HOURS]; ///< of each hour from midnight on
    double element_w;
    double set_point_c; ///< at or above which the element is off
    double band_k;      ///< below the set point, over which it comes on fully
    int desuperheater_count;
    cb_desuperheater desuperheater[CB_MAX_UNITS];
} cb_design_hot_water;

// ---- house -----------------------------------------------------------------------------------

typedef enum cb_house_model {
    CB_HOUSE_LOAD_LINE,
    CB_HOUSE_LOAD_FILE,
    CB_HOUSE_ENVELOPE
} cb_house_model;

typedef struct cb_load_line {
    double heating_design_w;
    double heating_design_c;  ///< outdoor temperature of the heating design load
    double heating_balance_c; ///< outdoor temperature where heating begins
    double cooling_design_w;
    double cooling_design_c;
    double cooling_balance_c; ///< outdoor temperature where cooling begins
    double time_constant_s;   ///< of the envelope: loads follow outdoor air through it; 0 none
} cb_load_line;

/// Thermal mass in words: heat capacity and effective area per floor area (house.h).
typedef enum cb_mass_class {
    CB_MASS_VERY_LIGHT,
    CB_MASS_LIGHT,
    CB_MASS_MEDIUM,
    CB_MASS_HEAVY,
    CB_MASS_VERY_HEAVY
} cb_mass_class;

/// What breaks the wind at a house, from none to in the lee of much.
typedef enum cb_shelter {
    CB_SHELTER_NONE,
    CB_SHELTER_LIGHT,
    CB_SHELTER_MODERATE,
    CB_SHELTER_HEAVY,
    CB_SHELTER_FULL
} cb_shelter;

typedef struct cb_window {
    double area_m2;     ///< of the whole opening, frame included
    double azimuth_deg; ///< the way it looks: 0 north, 90 east, 180 south
    double tilt_deg;    ///< 90 upright, 0 flat in a roof
    double u_w_m2k;     ///< of the whole window
    double g_value;     ///< share of the sun that the glass lets in, at right angles
    double frame_share; ///< of the area
    double shade;       ///< share of the sun that trees, walls and overhangs keep off
} cb_window;

/// Part of the envelope in outdoor air.
typedef struct cb_envelope_part {
    double area_m2, u_w_m2k;
} cb_envelope_part;

/// A house by its envelope (physics in house.h).
typedef struct cb_envelope {
    double floor_area_m2; ///< heated, all storeys
    double ceiling_height_m;
    int storeys; ///< 1..3
    cb_mass_class mass;
    cb_envelope_part walls;           ///< area with windows and doors in it
    cb_envelope_part roof;            ///< area with roof windows in it
    cb_envelope_part doors;           ///< in the walls; area 0: none
    double solar_absorptance;         ///< of walls and roof
    double slab_area_m2;              ///< floor on the ground; 0: none
    double slab_perimeter_m;          ///< along outdoor air
    double slab_resistance_m2k_w;     ///< of slab and insulation, without soil
    double slab_soil_w_mk;            ///< conductivity of the soil under it
    double slab_depth_m;              ///< below the ground outside: > 0 is a heated basement
    double basement_resistance_m2k_w; ///< of its walls below ground, without soil
    int window_count;
    cb_window window[CB_MAX_WINDOWS];
    double ground_reflectance;   ///< without snow
    double air_changes_50pa_1_h; ///< of the blower-door test
    cb_shelter shelter;
    double ventilation_m3_s; ///< mechanical, all year
    double heat_recovery;    ///< sensible effectiveness, 0..1
    double airing_1_h;       ///< air changes by open windows that spare cooling
    double gains_w;          ///< people, light, appliances: mean of the day
    int gain_weight_count;   ///< 0: even; else 24
    double gain_weight[CB_DAY_HOURS];
    double heating_day_c, heating_night_c; ///< set points of the air
    double cooling_day_c, cooling_night_c;
    double night_from_h, night_to_h; ///< local standard time, 0..24; equal: no night
    double recovery_h;               ///< set points move over so many hours between night and day
    double latent_share;             ///< of the whole cooling load
    double heating_design_c, cooling_design_c; ///< outdoors; NaN: from the typical weather
} cb_envelope;

typedef struct cb_design_house {
    cb_house_model model;
    cb_load_line line;
    cb_envelope envelope;
    const char *file; ///< CSV of hourly loads; or NULL
    const char *heating_column, *cooling_column;
    const char *load_unit; ///< unit of both columns, e.g. "kW" or "BTU/h"
    double share;          ///< of the loads, for the units of this field; 0 stands for 1
} cb_design_house;

// ---- limits and run --------------------------------------------------------------------------

typedef struct cb_design_limits {
    double freeze_margin_k;    ///< coldest fluid must stay this far above its freeze point
    double entering_minimum_c; ///< of the heat pumps
    double entering_maximum_c;
    double expected_minimum_c; ///< entering water the user expects in winter; NaN: not said
    double expected_maximum_c; ///< ... and in summer; both for the sizing sheet alone
    double pipe_maximum_c;     ///< rating of the pipe
    double drift_k_per_year;   ///< year-on-year drift of the annual minimum called settled
    double minimum_reynolds;
    double close_k; ///< margins below this are called close
} cb_design_limits;

typedef enum cb_accuracy { CB_DRAFT, CB_STANDARD, CB_FINE } cb_accuracy;

typedef struct cb_design_run {
    int years;                  ///< 1..100
    int start_month, start_day; ///< of every run year
    cb_accuracy accuracy;
    int slices;             ///< along the trench; 0: by the convergence rule
    int section_every_days; ///< soil sections kept every so many days
} cb_design_run;

typedef struct cb_design {
    const char *name;
    const char *path; ///< of the design file, as given; "" if made by hand
    cb_site site;
    cb_design_weather weather;
    cb_design_ground ground;
    cb_design_field field;
    cb_design_fluid fluid;
    cb_design_pumps pumps;
    cb_design_piping piping;
    int heat_pump_count;
    cb_design_heat_pump heat_pump[CB_MAX_UNITS];
    cb_design_backup backup;
    cb_design_hot_water hot_water;
    cb_design_house house;
    cb_design_limits limits;
    cb_design_run run;
    struct cb_design_memory *memory; ///< owned strings and origins; NULL if made by hand
} cb_design;

// ---- reading ---------------------------------------------------------------------------------

typedef enum cb_origin { CB_ORIGIN_FILE, CB_ORIGIN_DEFAULT, CB_ORIGIN_OVERRIDE } cb_origin;

/// Where one value came from.
typedef struct cb_source {
    cb_origin origin;
    const char *file;   ///< NULL unless CB_ORIGIN_FILE
    int line, column;   ///< 0 unless CB_ORIGIN_FILE
    const char *reason; ///< for defaults: why this value (source of the default); for overrides
                        ///< the whole "--set path=value"
} cb_source;

/// One "--set path=value".
typedef struct cb_override {
    const char *path;  ///< e.g. "field.depth", "ground.layers[1].conductivity"
    const char *value; ///< as it would stand in the file, e.g. "6 ft"
} cb_override;

/// Reads and validates a design file, with overrides applied before validation.
///
/// @param out        receives a design owned by the caller; NULL on failure
/// @param overrides  override_count of them; may be NULL when the count is 0
/// Errors: CB_IO if the file cannot be read; CB_BAD_INPUT with file, line and column for syntax,
/// an unknown key (with the nearest known one), a missing or wrong unit, a value out of range,
/// and for values that contradict each other (trenches that overlap, a coil below the domain, a
/// performance table that is not monotone).
cb_status cb_design_read(cb_design **out, const char *path, const cb_override *overrides,
                         size_t override_count, const cb_units *units, cb_error *error);

/// As cb_design_read, from text in memory; `name` stands for the file in messages, and relative
/// paths inside the text are resolved against the folder of `name`. weather.normals names a climate
/// file or holds that file's keys in place, so that an override {"weather.normals",
/// cb_starter_climate()} makes the starter design need no file.
cb_status cb_design_parse(cb_design **out, const char *text, const char *name,
                          const cb_override *overrides, size_t override_count,
                          const cb_units *units, cb_error *error);

/// NULL is fine; returns NULL.
cb_design *cb_design_destroy(cb_design *design);

/// The place a value came from; unknown paths and designs made by hand give CB_ORIGIN_DEFAULT
/// with no reason. Used by every later check to name the line to fix.
cb_source cb_design_where(const cb_design *design, const char *path);

/// Fails with `message` at the place of `path`, or of its nearest parent that has a place.
cb_status cb_design_fail(const cb_design *design, const char *path, cb_error *error,
                         const char *format, ...) __attribute__((format(printf, 4, 5)));

/// The whole resolved design as YAML that cb_design_parse accepts and reads to the same values:
/// every key present, absolute file paths, values in SI. Returned text is owned by the caller
/// (free()); NULL if memory runs out.
char *cb_design_echo(const cb_design *design);

/// Calls visit once for each value that the file did not give, in schema order: its path, its
/// value as text in `system`, and why.
typedef void cb_assumption_visit(void *context, const char *path, const char *value,
                                 const char *reason);
void cb_design_assumptions(const cb_design *design, cb_unit_system system,
                           cb_assumption_visit *visit, void *context);

/// The commented starter design and the invented climate file it names ("cold-plain.yaml").
/// Static text.
const char *cb_starter_design(void);
const char *cb_starter_climate(void);

/// JSON Schema (draft 2020-12) of the design file, and the reference as Markdown tables, both from
/// the schema table. Owned by the caller (free()); NULL if memory runs out.
char *cb_design_json_schema(void);
char *cb_design_reference(void);

#ifdef __cplusplus
}
#endif
#endif
