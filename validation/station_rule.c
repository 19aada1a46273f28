// SPDX-License-Identifier: MIT
#include "station_rule.h"

#include "coilbed/yard.h"

#include <math.h>

// What lies under a station the files do not say; the same is taken for all:
// - Cover. A station that reads a thermometer laid on the ground keeps a bare plot for it (practice
//   of the networks that do, from memory). Where less than 400 mm fall in a year grass is sparse;
//   elsewhere it is kept short.
// - Topsoil to 0.3 m: loam, the middle of the texture triangle, 22 % water by volume and 15 % when
//   its root zone has dried out (FAO-56 table 19: field capacity 0.20 to 0.30, wilting point 0.07
//   to 0.17).
// - Below: sandy loam, for subsoil is denser and stonier than what is ploughed; its water rises
//   from 20 % where 300 mm fall to 35 % where 1000 mm do, four points less in a dry season.
static const double dry_land_mm = 400.0, topsoil_m = 0.3;
static const double top_water = 0.22, top_dry_water = 0.15;
static const double least_water = 0.20, most_water = 0.35, season_water = 0.04;
static const double least_water_mm = 300.0, most_water_mm = 1000.0;

// Between probes only the soil matters: clay, drier in the ploughed top than below.
static const double driven_top_water = 0.30, driven_water = 0.45;

static double day_evaporation_mm(const station_weather *weather, int day)
{
    double sum_c = 0.0, low_c = INFINITY, high_c = -INFINITY, vapour_kpa = 0.0, wind = 0.0;
    double solar_w_m2 = 0.0, longwave_w_m2 = 0.0;
    for (int n = 0; n < 24; n++) {
        const cb_weather_hour *hour = &weather->hour[24L * day + n];
        sum_c += hour->air_temperature_c / 24.0;
        low_c = fmin(low_c, hour->air_temperature_c);
        high_c = fmax(high_c, hour->air_temperature_c);
        vapour_kpa += cb_saturation_kpa(hour->dew_point_c) / 24.0;
        wind += cb_wind_at_2m_m_s(hour->wind_m_s, 10.0) / 24.0;
        solar_w_m2 += hour->solar_w_m2 / 24.0;
        const double air_k = hour->air_temperature_c + 273.15;
        longwave_w_m2 += (hour->longwave_w_m2 - 5.670374419e-8 * pow(air_k, 4.0)) / 24.0;
    }
    const cb_reference_day reference = {
        .mean_c = sum_c,
        .saturation_kpa = 0.5 * (cb_saturation_kpa(low_c) + cb_saturation_kpa(high_c)),
        .vapour_kpa = vapour_kpa,
        .wind_2m_m_s = wind,
        .net_mj_m2 = 0.0864 * (0.77 * solar_w_m2 + longwave_w_m2), // 0.23 reflected: FAO-56 eq. 38
        .ground_mj_m2 = 0.0,
        .elevation_m = weather->site.elevation_m,
    };
    return fmax(0.0, cb_reference_evapotranspiration_day_kg_m2(&reference));
}

station_climate station_climate_of(const station_weather *weather, bool bare_plot)
{
    const double years = weather->days / 365.2425;
    double air_c = 0.0, solar_w_m2 = 0.0, rain_mm = 0.0, evaporation_mm = 0.0;
    for (long n = 0; n < 24L * weather->days; n++) {
        air_c += weather->hour[n].air_temperature_c;
        solar_w_m2 += weather->hour[n].solar_w_m2;
        rain_mm += weather->hour[n].precipitation_kg_m2;
    }
    for (int day = 0; day < weather->days; day++) {
        evaporation_mm += day_evaporation_mm(weather, day);
    }
    return (station_climate){.bare_plot = bare_plot,
                             .mean_air_c = air_c / (24.0 * weather->days),
                             .precipitation_mm = rain_mm / years,
                             .reference_evaporation_mm = evaporation_mm / years,
                             .solar_mj_m2_day = 0.0864 * solar_w_m2 / (24.0 * weather->days),
                             .latitude_deg = weather->site.latitude_deg};
}

static station_ground two_layers(const cb_soil *top, const cb_soil *below, const char *cover)
{
    return (station_ground){.layers = 2,
                            .soil = {*top, *below},
                            .bottom_m = {topsoil_m, 100.0},
                            .surface = {.cover = cover,
                                        .albedo = NAN,
                                        .emissivity = NAN,
                                        .shade = NAN,
                                        .snow_kept = NAN,
                                        .evaporation_share = NAN}};
}

static double subsoil_water(double precipitation_mm)
{
    const double share = (precipitation_mm - least_water_mm) / (most_water_mm - least_water_mm);
    return least_water + (most_water - least_water) * fmin(1.0, fmax(0.0, share));
}

station_ground station_rule(const station_climate *climate)
{
    const double rain_mm = isnan(climate->precipitation_mm) ? 700.0 : climate->precipitation_mm;
    const char *grass = rain_mm < dry_land_mm ? "sparse_grass" : "short_grass";
    const double water = subsoil_water(rain_mm);
    cb_soil top = cb_soil_of("loam", top_water), below = cb_soil_of("sandy_loam", water);
    top.dry_water_fraction = top_dry_water;
    below.dry_water_fraction = water - season_water;
    return two_layers(&top, &below, climate->bare_plot ? "bare_soil" : grass);
}

station_ground station_rule_driven(void)
{
    const cb_soil top = cb_soil_of("clay", driven_top_water),
                  below = cb_soil_of("clay", driven_water);
    return two_layers(&top, &below, "bare_soil");
}

void station_rule_explain(FILE *out)
{
    fprintf(
        out,
        "Every station: loam to %.1f m with %.0f %% water by volume (%.0f %% when the root zone "
        "is dried out),\nsandy loam below with %.0f %% where %.0f mm of rain fall in a year, "
        "rising to %.0f %% at %.0f mm\n(%.0f points less when dried out). Cover: bare soil where "
        "a thermometer lies on the ground,\nelse sparse grass below %.0f mm of rain and short "
        "grass above.\nBetween measured probes: clay, %.0f %% water to %.1f m below the upper "
        "probe and %.0f %% further down.\n",
        topsoil_m, 100.0 * top_water, 100.0 * top_dry_water, 100.0 * least_water, least_water_mm,
        100.0 * most_water, most_water_mm, 100.0 * season_water, dry_land_mm,
        100.0 * driven_top_water, topsoil_m, 100.0 * driven_water);
}
