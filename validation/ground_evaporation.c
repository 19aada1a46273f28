// SPDX-License-Identifier: MIT
// The worked examples of FAO-56, each as the paper's arithmetic gives it when nothing is rounded on
// the way (evaluated independently) and as the paper prints it; and the properties of snow.
#include "cases.h"

#include "coilbed/yard.h"
#include "weather/sky.h"

static double extraterrestrial_mj(const cb_site *site, int day_of_year)
{
    double sum = 0.0;
    for (int hour = 0; hour < 24; hour++) {
        sum += 3600e-6 * cb_extraterrestrial_w_m2(site, day_of_year, hour);
    }
    return sum;
}

/// What one example says; `slack` is half of the last digit printed unless its use says more.
typedef struct example {
    const char *what;
    double exact, printed, slack;
} example;

static void compare(validation_table *table, const example *of, double got)
{
    validation_row(table, of->exact, got, 1e-8 * of->exact, "%s", of->what);
    validation_row(table, of->printed, got, of->slack, "%s, as printed", of->what);
}

// Eq. 35 with its usual coefficients: solar radiation by hours of sunshine.
static double by_sunshine(double sunny_h, double daylight_h, double outside_mj)
{
    return (0.25 + 0.5 * sunny_h / daylight_h) * outside_mj;
}

static const double reflected = 0.23;

static void run_sun(validation_table *table)
{
    static const example ra = {"example 8, Ra [MJ/m2 day]", 32.19399588, 32.2, 0.05};
    static const example light = {"example 9, daylight [h]", 11.66559195, 11.7, 0.05};
    static const example rio_ra = {"example 10, Ra [MJ/m2 day]", 25.11102777, 25.1, 0.05};
    static const example rio_light = {"example 10, daylight [h]", 10.89507561, 10.9, 0.05};
    static const example rio_rs = {"example 10, Rs [MJ/m2 day]", 14.45609825, 14.5, 0.05};
    const int september_3 = cb_day_of_year(9, 3), may_15 = cb_day_of_year(5, 15);
    const cb_site south = {.latitude_deg = -20.0}, rio = {.latitude_deg = -22.9};
    compare(table, &ra, extraterrestrial_mj(&south, september_3));
    compare(table, &light, cb_daylight_h(south.latitude_deg, september_3));
    const double outside_mj = extraterrestrial_mj(&rio, may_15);
    const double daylight_h = cb_daylight_h(rio.latitude_deg, may_15);
    compare(table, &rio_ra, outside_mj);
    compare(table, &rio_light, daylight_h);
    compare(table, &rio_rs, by_sunshine(220.0 / 31.0, daylight_h, outside_mj));
}

static void run_longwave(validation_table *table)
{
    static const example rnl = {"example 11, Rnl [MJ/m2 day]", 3.534034816, 3.5, 0.05};
    static const example rn = {"example 12, Rn [MJ/m2 day]", 7.630965184, 7.6, 0.05};
    const double longwave = cb_net_longwave_mj_m2_day(25.1, 19.1, 2.1, 14.5 / 18.8);
    compare(table, &rnl, longwave);
    compare(table, &rn, (1.0 - reflected) * 14.5 - longwave);
}

/// Uccle, 50 48 N, 100 m, 6 July: 12.3 to 21.5 degC, 63 to 84 %, 10 km/h at 10 m, 9.25 h of sun.
static void run_day(validation_table *table)
{
    static const example ra = {"example 18, Ra [MJ/m2 day]", 41.08837556, 41.09, 0.005};
    static const example rs = {"example 18, Rs [MJ/m2 day]", 22.07205161, 22.07, 0.005};
    static const example rso = {"example 18, Rso [MJ/m2 day]", 30.89845842, 30.9, 0.005};
    static const example rnl = {"example 18, Rnl [MJ/m2 day]", 3.71229457, 3.71, 0.005};
    static const example rn = {"example 18, Rn [MJ/m2 day]", 13.28318517, 13.28, 0.005};
    static const example ea = {"example 18, vapour [kPa]", 1.408623802, 1.409, 0.0005};
    // The paper prints the wind as 2.78 m/s and goes on with 10 km/h.
    static const example u2 = {"example 18, wind at 2 m [m/s]", 2.079303989, 2.078, 0.0015};
    static const example eto = {"example 18, ETo [mm/day]", 3.880498295, 3.9, 0.05};
    const cb_site uccle = {.latitude_deg = 50.8, .elevation_m = 100.0};
    const int day = cb_day_of_year(7, 6);
    const double outside = extraterrestrial_mj(&uccle, day);
    const double solar = by_sunshine(9.25, cb_daylight_h(uccle.latitude_deg, day), outside);
    const double clear = cbx_clear_sky_share(&uccle) * outside;
    const double warm_kpa = cb_saturation_kpa(21.5), cool_kpa = cb_saturation_kpa(12.3);
    const double vapour = 0.5 * (0.84 * cool_kpa + 0.63 * warm_kpa);
    const double longwave = cb_net_longwave_mj_m2_day(21.5, 12.3, vapour, solar / clear);
    const cb_reference_day of = {.mean_c = 16.9,
                                 .saturation_kpa = 0.5 * (warm_kpa + cool_kpa),
                                 .vapour_kpa = vapour,
                                 .wind_2m_m_s = cb_wind_at_2m_m_s(2.78, 10.0),
                                 .net_mj_m2 = (1.0 - reflected) * solar - longwave,
                                 .elevation_m = uccle.elevation_m};
    compare(table, &ra, outside);
    compare(table, &rs, solar);
    compare(table, &rso, clear);
    compare(table, &rnl, longwave);
    compare(table, &rn, of.net_mj_m2);
    compare(table, &ea, vapour);
    compare(table, &u2, of.wind_2m_m_s);
    compare(table, &eto, cb_reference_evapotranspiration_day_kg_m2(&of));
}

/// N'Diaye, 16 13 N, 16 15 W, 8 m, 1 October: 14-15 h of 38 degC, 52 %, 3.3 m/s, 2.450 MJ/m2; and
/// 2-3 h of 28 degC, 90 %, 1.9 m/s.
static void run_hours(validation_table *table)
{
    static const example ra = {"example 19, Ra [MJ/m2 h]", 3.543416689, 3.543, 0.0005};
    static const example rnl = {"example 19, Rnl [MJ/m2 h]", 0.1372822058, 0.137, 0.0005};
    static const example rn = {"example 19, Rn [MJ/m2 h]", 1.749217794, 1.749, 0.0005};
    static const example eto = {"example 19, ETo [mm/h]", 0.6269251336, 0.63, 0.005};
    static const example night = {"example 19, night, Rnl [MJ/m2 h]", 0.1003282739, 0.1, 0.0005};
    const cb_site site = {16.0 + 13.0 / 60.0, -16.25, 8.0, -1.0};
    const double outside = 3600e-6 * cb_extraterrestrial_w_m2(&site, cb_day_of_year(10, 1), 14);
    // The paper takes 0.06667 h for a degree of longitude; a fifteenth moves the sun by 2e-5 h.
    validation_row(table, ra.exact, outside, 1e-5, "%s", ra.what);
    validation_row(table, ra.printed, outside, ra.slack, "%s, as printed", ra.what);
    const double saturation = cb_saturation_kpa(38.0), solar = 2.450;
    const double clear = cbx_clear_sky_share(&site) * ra.exact;
    const double longwave = cb_net_longwave_mj_m2_h(38.0, 0.52 * saturation, solar / clear);
    const double net = (1.0 - reflected) * solar - longwave;
    compare(table, &rnl, longwave);
    compare(table, &rn, net);
    const cb_reference_day hour = {38.0, saturation, 0.52 * saturation, 3.3, net, 0.1 * net, 8.0};
    compare(table, &eto, cb_reference_evapotranspiration_hour_kg_m2(&hour));
    const double still = cb_saturation_kpa(28.0);
    const double lost = cb_net_longwave_mj_m2_h(28.0, 0.9 * still, 0.8);
    compare(table, &night, lost);
    const cb_reference_day dark = {28.0, still, 0.9 * still, 1.9, -lost, -0.5 * lost, 8.0};
    validation_row(table, 0.0, cb_reference_evapotranspiration_hour_kg_m2(&dark), 0.005,
                   "example 19, night, ETo [mm/h], as printed");
}

static void run_fao56(validation_table *table)
{
    run_sun(table);
    run_longwave(table);
    run_day(table);
    run_hours(table);
}

// ---- snow ------------------------------------------------------------------------------------

static const struct {
    double density_kg_m3, w_mk;
} snow_rows[] = {
    {100, 0.0464},  {150, 0.0581},    {156, 0.059118288}, {200, 0.06532}, {250, 0.0875625},
    {300, 0.12597}, {350, 0.1805425}, {400, 0.25128},     {500, 0.44125},
};

static const struct {
    double air_c, kg_m3;
} fresh_rows[] = {
    {-20, 67.94270223}, {-10, 68.99865162}, {-5, 75.35511233}, {-2, 91.59725413}, {0, 119.17},
};

static void run_snow_conductivity(validation_table *table)
{
    for (size_t n = 0; n < sizeof snow_rows / sizeof *snow_rows; n++) {
        validation_row(table, snow_rows[n].w_mk,
                       cb_snow_conductivity_w_mk(snow_rows[n].density_kg_m3), 1e-9,
                       "%g kg/m3 [W/mK]", snow_rows[n].density_kg_m3);
    }
}

static void run_fresh_snow(validation_table *table)
{
    for (size_t n = 0; n < sizeof fresh_rows / sizeof *fresh_rows; n++) {
        validation_row(table, fresh_rows[n].kg_m3, cb_fresh_snow_density_kg_m3(fresh_rows[n].air_c),
                       1e-7, "%g degC [kg/m3]", fresh_rows[n].air_c);
    }
}

const validation_case validation_fao56 = {
    "reference evapotranspiration",
    "Allen et al. 1998, FAO Irrigation and Drainage Paper 56, examples 8-12, 18, 19; printed, and "
    "evaluated independently without rounding",
    run_fao56};
const validation_case validation_snow_conductivity = {
    "conductivity of snow", "Sturm et al. 1997, evaluated independently", run_snow_conductivity};
const validation_case validation_fresh_snow = {
    "density of fresh snow",
    "Hedstrom & Pomeroy 1998 (formula from memory), evaluated independently", run_fresh_snow};
