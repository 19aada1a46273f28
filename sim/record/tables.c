// SPDX-License-Identifier: MIT
#include "record/tables.h"

#define HOUR(field) offsetof(cb_hour, field)
#define DATA(field) offsetof(cb_run_data, field)
#define CELSIUS "degree_Celsius"
#define MEAN "time: mean"

// standard_name only where the CF standard name table has one.
const cbx_series cbx_series_table[CBX_SERIES_COUNT] = {
    {"/loop", "entering_water_temperature", CELSIUS, "water entering the heat pumps", NULL,
     HOUR(entering_water_c), DATA(entering_water_c), false, MEAN},
    {"/loop", "leaving_water_temperature", CELSIUS, "water leaving the heat pumps", NULL,
     HOUR(leaving_water_c), DATA(leaving_water_c), false, MEAN},
    {"/loop", "coldest_fluid_temperature", CELSIUS, "coldest fluid anywhere in the loop", NULL,
     HOUR(coldest_fluid_c), DATA(coldest_fluid_c), false, MEAN},
    {"/loop", "hottest_fluid_temperature", CELSIUS, "hottest fluid anywhere in the loop", NULL,
     HOUR(hottest_fluid_c), DATA(hottest_fluid_c), false, MEAN},
    {"/loop", "mean_fluid_temperature", CELSIUS, "fluid, mean over the length of all pipe", NULL,
     HOUR(mean_fluid_c), DATA(mean_fluid_c), false, MEAN},
    {"/loop", "flow_rate", "kg s-1", "fluid circulated through the whole field", NULL,
     HOUR(flow_kg_s), DATA(flow_kg_s), false, MEAN},
    {"/loop", "reynolds_number", "1",
     "least Reynolds number of all circuits while the pump runs, at the coldest fluid", NULL,
     HOUR(reynolds), DATA(reynolds), true, MEAN},
    {"/loop", "heat_from_ground", "W", "heat from the ground into the fluid", NULL,
     HOUR(heat_from_ground_w), DATA(heat_from_ground_w), false, MEAN},
    {"/loop", "pump_fraction", "1", "share of the hour the circulators run", NULL,
     HOUR(pump_fraction), DATA(pump_fraction), false, MEAN},
    {"/plant", "heating_output", "W", "heating delivered by the compressors", NULL,
     HOUR(heating_output_w), DATA(heating_output_w), false, MEAN},
    {"/plant", "cooling_output", "W", "cooling delivered by the compressors", NULL,
     HOUR(cooling_output_w), DATA(cooling_output_w), false, MEAN},
    {"/plant", "compressor_power", "W", "electric power of the compressors", NULL,
     HOUR(compressor_power_w), DATA(compressor_power_w), false, MEAN},
    {"/plant", "fan_power", "W",
     "electric power of the units' fans; 0 where it is not told from the compressor's", NULL,
     HOUR(fan_power_w), DATA(fan_power_w), false, MEAN},
    {"/plant", "pump_power", "W", "electric power of the circulators", NULL, HOUR(pump_power_w),
     DATA(pump_power_w), false, MEAN},
    {"/plant", "backup_power", "W", "electric backup heat", NULL, HOUR(backup_power_w),
     DATA(backup_power_w), false, MEAN},
    {"/plant", "unmet_load", "W", "heating or cooling asked for and not delivered", NULL,
     HOUR(unmet_load_w), DATA(unmet_load_w), false, MEAN},
    {"/hot_water", "desuperheater_heat", "W", "heat of the units into the tank", NULL,
     HOUR(desuperheater_w), DATA(desuperheater_w), false, MEAN},
    {"/hot_water", "element_power", "W", "electric heat into the tank", NULL, HOUR(element_power_w),
     DATA(element_power_w), false, MEAN},
    {"/hot_water", "drawn_heat", "W", "heat drawn, above the mains water that takes its place",
     NULL, HOUR(hot_water_w), DATA(hot_water_w), false, MEAN},
    {"/hot_water", "tank_loss", "W", "heat from the tank to the room", NULL, HOUR(tank_loss_w),
     CBX_NOT_READ, false, MEAN},
    {"/hot_water", "heat_into_store", "W", "heat that stays in the tank's water", NULL,
     HOUR(tank_heat_w), CBX_NOT_READ, false, MEAN},
    {"/hot_water", "unmet_heat", "W", "what the draw lacked of its wanted temperature", NULL,
     HOUR(hot_water_unmet_w), DATA(hot_water_unmet_w), false, MEAN},
    {"/hot_water", "tank_temperature", CELSIUS, "water in the tank; missing without a tank", NULL,
     HOUR(tank_c), DATA(tank_c), true, MEAN},
    {"/house", "heating_load", "W", "heating load of the house", NULL, HOUR(heating_load_w),
     DATA(heating_load_w), false, MEAN},
    {"/house", "cooling_load", "W", "cooling load of the house", NULL, HOUR(cooling_load_w),
     DATA(cooling_load_w), false, MEAN},
    {"/weather", "air_temperature", CELSIUS, "outdoor air, as used after shaping",
     "air_temperature", HOUR(weather.air_temperature_c), DATA(air_temperature_c), false, MEAN},
    {"/weather", "dew_point_temperature", CELSIUS, "dew point, as used after shaping",
     "dew_point_temperature", HOUR(weather.dew_point_c), CBX_NOT_READ, false, MEAN},
    {"/weather", "solar_radiation", "W m-2", "global horizontal solar radiation",
     "surface_downwelling_shortwave_flux_in_air", HOUR(weather.solar_w_m2), CBX_NOT_READ, false,
     MEAN},
    {"/weather", "wind_speed", "m s-1", "wind 10 m above the ground", "wind_speed",
     HOUR(weather.wind_m_s), CBX_NOT_READ, false, MEAN},
    {"/weather", "longwave_radiation", "W m-2", "longwave radiation from the sky",
     "surface_downwelling_longwave_flux_in_air", HOUR(weather.longwave_w_m2), CBX_NOT_READ, false,
     MEAN},
    {"/weather", "precipitation", "kg m-2", "rain and melted snow that fall in the hour",
     "precipitation_amount", HOUR(weather.precipitation_kg_m2), CBX_NOT_READ, true, "time: sum"},
    {"/ground", "surface_temperature", CELSIUS,
     "soil surface of the undisturbed yard, below its cover and snow", NULL, HOUR(yard_surface_c),
     CBX_NOT_READ, false, MEAN},
    {"/ground", "snow_depth", "m", "snow on the undisturbed yard at the end of the hour",
     "surface_snow_thickness", HOUR(snow_depth_m), CBX_NOT_READ, false, "time: point"},
    {"/ground", "root_zone_dryness", "1",
     "share of the yard's root water that is gone at the end of the hour", NULL, HOUR(root_dryness),
     CBX_NOT_READ, false, "time: point"},
};

const cbx_state cbx_slice_table[CBX_SLICE_STATES] = {
    {"coil_depth_temperature", CELSIUS, "mean soil temperature of the cells that hold pipe",
     "soil_temperature", offsetof(cb_day, coil_depth_c)},
    {"pipe_wall_temperature", CELSIUS, "coldest pipe wall", NULL, offsetof(cb_day, pipe_wall_c)},
    {"ice_radius", "m", "outer radius of the soil around the coldest pipe that is half frozen",
     NULL, offsetof(cb_day, ice_radius_m)},
};

const cbx_state cbx_section_table[CBX_SECTION_STATES] = {
    {"section_temperature", CELSIUS, "soil temperature across the trenches", "soil_temperature",
     offsetof(cb_day, temperature_c)},
    {"section_ice_fraction", "1", "share of the freezable soil water that is ice", NULL,
     offsetof(cb_day, ice_fraction)},
};

#define DEPTH(field) offsetof(cb_ground_depth, field)
#define GROUND(field) offsetof(cb_ground_summary, field)

const cbx_depth_value cbx_depth_table[CBX_DEPTH_VALUES] = {
    {"undisturbed_mean", CELSIUS, "mean of the typical year far from the loop", "soil_temperature",
     DEPTH(mean_c)},
    {"undisturbed_amplitude", "K", "amplitude of the typical year's first harmonic", NULL,
     DEPTH(amplitude_k)},
    {"undisturbed_coldest_day", "1",
     "when that harmonic is coldest, in days since the start of 1 January", NULL,
     DEPTH(coldest_day)},
    {"undisturbed_lowest", CELSIUS, "coldest daily mean of the typical year", "soil_temperature",
     DEPTH(lowest_c)},
    {"undisturbed_highest", CELSIUS, "warmest daily mean of the typical year", "soil_temperature",
     DEPTH(highest_c)},
    {"undisturbed_run_lowest", CELSIUS, "coldest daily mean of the run's weather",
     "soil_temperature", DEPTH(run_lowest_c)},
    {"undisturbed_run_highest", CELSIUS, "warmest daily mean of the run's weather",
     "soil_temperature", DEPTH(run_highest_c)},
};

const cbx_ground_value cbx_ground_table[CBX_GROUND_VALUES] = {
    {"frost_depth", "m", "deepest 0 degC of the undisturbed typical year", false,
     GROUND(typical_frost_m)},
    {"frost_depth_of_run", "m", "deepest 0 degC of undisturbed ground in the run's weather", false,
     GROUND(run_frost_m)},
    {"frost_depth_hour", "h", "run hour of that; -1 if it never freezes", true,
     GROUND(run_frost_hour)},
    {"deepest_snow", "m", "deepest snow of the typical year", false, GROUND(typical_snow_m)},
    {"deepest_snow_of_run", "m", "deepest snow in the run's weather", false, GROUND(run_snow_m)},
    {"deepest_snow_hour", "h", "run hour of that; -1 without snow", true, GROUND(run_snow_hour)},
    {"longest_snow_cover", "day", "longest snow cover of 1 cm or more in the typical year", false,
     GROUND(typical_snow_days)},
    {"longest_snow_cover_of_run", "day", "longest snow cover of 1 cm or more in the run's weather",
     false, GROUND(run_snow_days)},
    {"longest_snow_cover_begins", "h", "run hour in which that began; -1 without snow", true,
     GROUND(run_snow_begins)},
};

#define QUALITY(field) offsetof(cb_quality, field)

const cbx_quality_field cbx_quality_table[CBX_QUALITY_FIELDS] = {
    {"energy_audit_relative", CBX_DOUBLE, QUALITY(energy_audit_relative)},
    {"surface_heat_mismatch_relative", CBX_DOUBLE, QUALITY(surface_heat_mismatch_relative)},
    {"estimated_discretisation_error_K", CBX_DOUBLE, QUALITY(estimated_discretisation_error_k)},
    {"steps", CBX_LONG, QUALITY(steps)},
    {"rhs_evaluations", CBX_LONG, QUALITY(rhs_evaluations)},
    {"linear_setups", CBX_LONG, QUALITY(linear_setups)},
    {"newton_iterations", CBX_LONG, QUALITY(newton_iterations)},
    {"error_test_failures", CBX_LONG, QUALITY(error_test_failures)},
    {"newton_failures", CBX_LONG, QUALITY(newton_failures)},
    {"wall_seconds", CBX_DOUBLE, QUALITY(wall_seconds)},
    {"cells", CBX_LONG, QUALITY(cells)},
    {"slices", CBX_INT, QUALITY(slices)},
    {"spin_up_years", CBX_DOUBLE, QUALITY(spin_up_years)},
    {"spin_up_residual_K", CBX_DOUBLE, QUALITY(spin_up_residual_k)},
};
