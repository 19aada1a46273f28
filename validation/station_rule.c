// SPDX-License-Identifier: MIT
#include "station_rule.h"

#include "coilbed/yard.h"

#include <math.h>

// Weather stations stand on kept grass; what lies under it the files do not say. Loam is the middle
// of the texture triangle; a quarter of its volume is water, near its field capacity (FAO-56 table
// 19: 0.20 to 0.30), and 15 % when its root zone has dried out (wilting point there: 0.07 to 0.17).
static const char cover[] = "short_grass", material[] = "loam";
static const double water = 0.25, dry_water = 0.15;

// Where the surface is measured only the soil matters: silty clay holds more (FAO-56 table 19:
// field capacity 0.30 to 0.42).
static const char driven_material[] = "clay";
static const double driven_water = 0.35;

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

station_climate station_climate_of(const station_weather *weather)
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
    return (station_climate){.mean_air_c = air_c / (24.0 * weather->days),
                             .precipitation_mm = rain_mm / years,
                             .reference_evaporation_mm = evaporation_mm / years,
                             .solar_mj_m2_day = 0.0864 * solar_w_m2 / (24.0 * weather->days),
                             .latitude_deg = weather->site.latitude_deg};
}

static station_ground one_layer(const char *of, double wet, double dry)
{
    station_ground ground = {.layers = 1,
                             .soil = {cb_soil_of(of, wet)},
                             .bottom_m = {100.0},
                             .surface = {.cover = cover,
                                         .albedo = NAN,
                                         .emissivity = NAN,
                                         .shade = NAN,
                                         .snow_kept = NAN,
                                         .evaporation_share = NAN}};
    ground.soil[0].dry_water_fraction = dry;
    return ground;
}

station_ground station_rule(const station_climate *climate)
{
    (void)climate;
    return one_layer(material, water, dry_water);
}

station_ground station_rule_driven(void)
{
    return one_layer(driven_material, driven_water, driven_water);
}

void station_rule_explain(FILE *out)
{
    fprintf(out,
            "Every station, whatever its climate: %s, %.0f %% water by volume (%.0f %% when the "
            "root zone is dried out), under %s.\n"
            "Between measured probes: %s, %.0f %% water.\n",
            material, 100.0 * water, 100.0 * dry_water, cover, driven_material,
            100.0 * driven_water);
}
