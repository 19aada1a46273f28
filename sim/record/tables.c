// SPDX-License-Identifier: MIT
#include "record/tables.h"

#define HOUR(field) offsetof(cb_hour, field)
#define DATA(field) offsetof(cb_run_data, field)
#define CELSIUS "degree_Celsius"

// standard_name only where the CF standard name table has one.
const cbx_series cbx_series_table[CBX_SERIES_COUNT] = {
    {"/loop", "entering_water_temperature", CELSIUS, "water entering the heat pumps", NULL,
     HOUR(entering_water_c), DATA(entering_water_c), false},
    {"/loop", "leaving_water_temperature", CELSIUS, "water leaving the heat pumps", NULL,
     HOUR(leaving_water_c), DATA(leaving_water_c), false},
    {"/loop", "coldest_fluid_temperature", CELSIUS, "coldest fluid anywhere in the loop", NULL,
     HOUR(coldest_fluid_c), DATA(coldest_fluid_c), false},
    {"/loop", "hottest_fluid_temperature", CELSIUS, "hottest fluid anywhere in the loop", NULL,
     HOUR(hottest_fluid_c), DATA(hottest_fluid_c), false},
    {"/loop", "flow_rate", "kg s-1", "fluid circulated through the whole field", NULL,
     HOUR(flow_kg_s), DATA(flow_kg_s), false},
    {"/loop", "reynolds_number", "1",
     "least Reynolds number of all circuits while the pump runs, at the coldest fluid", NULL,
     HOUR(reynolds), DATA(reynolds), true},
    {"/loop", "heat_from_ground", "W", "heat from the ground into the fluid", NULL,
     HOUR(heat_from_ground_w), DATA(heat_from_ground_w), false},
    {"/loop", "pump_fraction", "1", "share of the hour the circulators run", NULL,
     HOUR(pump_fraction), DATA(pump_fraction), false},
    {"/plant", "heating_output", "W", "heating delivered by the compressors", NULL,
     HOUR(heating_output_w), DATA(heating_output_w), false},
    {"/plant", "cooling_output", "W", "cooling delivered by the compressors", NULL,
     HOUR(cooling_output_w), DATA(cooling_output_w), false},
    {"/plant", "compressor_power", "W", "electric power of compressors and fans", NULL,
     HOUR(compressor_power_w), DATA(compressor_power_w), false},
    {"/plant", "pump_power", "W", "electric power of the circulators", NULL, HOUR(pump_power_w),
     DATA(pump_power_w), false},
    {"/plant", "backup_power", "W", "electric backup heat", NULL, HOUR(backup_power_w),
     DATA(backup_power_w), false},
    {"/plant", "unmet_load", "W", "heating or cooling asked for and not delivered", NULL,
     HOUR(unmet_load_w), DATA(unmet_load_w), false},
    {"/house", "heating_load", "W", "heating load of the house", NULL, HOUR(heating_load_w),
     DATA(heating_load_w), false},
    {"/house", "cooling_load", "W", "cooling load of the house", NULL, HOUR(cooling_load_w),
     DATA(cooling_load_w), false},
    {"/weather", "air_temperature", CELSIUS, "outdoor air, as used after shaping",
     "air_temperature", HOUR(weather.air_temperature_c), DATA(air_temperature_c), false},
    {"/weather", "dew_point_temperature", CELSIUS, "dew point, as used after shaping",
     "dew_point_temperature", HOUR(weather.dew_point_c), CBX_NOT_READ, false},
    {"/weather", "solar_radiation", "W m-2", "global horizontal solar radiation",
     "surface_downwelling_shortwave_flux_in_air", HOUR(weather.solar_w_m2), CBX_NOT_READ, false},
    {"/weather", "wind_speed", "m s-1", "wind 10 m above the ground", "wind_speed",
     HOUR(weather.wind_m_s), CBX_NOT_READ, false},
    {"/weather", "longwave_radiation", "W m-2", "longwave radiation from the sky",
     "surface_downwelling_longwave_flux_in_air", HOUR(weather.longwave_w_m2), CBX_NOT_READ, false},
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
