// SPDX-License-Identifier: MIT
#include "cases.h"

#include "coilbed/plant.h"
#include "house/envelope_solar.h"
#include "house/five_resistance.h"

#include "coilbed/weather.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

// ---- the network -----------------------------------------------------------------------------

// Three days of an invented house of 150 m2, medium mass: hour, need of the air [W], air and mass
// at the hour's end [degC].
typedef struct network_row {
    int hour;
    double need_w, air_c, mass_c;
} network_row;

static const network_row network_rows[] = {
    {0, 0, 18.58792784, 19.35329856},   {5, 2585.749658, 18, 17.07203728},
    {6, 5344.15889, 20, 17.24968507},   {12, 123.555307, 20, 19.80311216},
    {14, 0, 20.81892306, 20.65951058},  {30, 5550.93716, 20, 17.11535215},
    {38, 0, 20.78484061, 20.62450618},  {62, -278.9224978, 22.5, 22.24265671},
    {64, -1228.1344, 22.5, 22.9340618}, {71, 0, 21.58096572, 21.95047849},
};

static cbx_network invented_network(void)
{
    const double opaque_w_k = 80.0, windows_w_k = 45.0, mass_m2 = 375.0, total_m2 = 675.0;
    cbx_network n = {.mass_j_k = 150.0 * 165e3,
                     .h_is_w_k = 3.45 * total_m2,
                     .h_ms_w_k = 9.1 * mass_m2,
                     .h_w_w_k = windows_w_k,
                     .mass_share = mass_m2 / total_m2,
                     .glass_share = windows_w_k / (9.1 * total_m2),
                     .floor_area_m2 = 150.0};
    n.h_em_w_k = 1.0 / (1.0 / opaque_w_k - 1.0 / n.h_ms_w_k);
    return n;
}

static cbx_drive drive_of(int hour)
{
    const int of_day = hour % 24;
    const double turn = 2.0 * pi / 24.0;
    const bool at_home = of_day == 7 || of_day == 8 || (of_day >= 18 && of_day <= 20);
    const double outdoor_c = 2.0 + 14.0 * sin(turn * (hour - 9)) + (hour >= 48 ? 12.0 : 0.0);
    return (cbx_drive){.outdoor_c = outdoor_c,
                       .opaque_side_c = outdoor_c - 1.0,
                       .h_ve_w_k = 40.0 + 5.0 * cos(turn * hour),
                       .internal_w = at_home ? 500.0 : 300.0,
                       .solar_w = fmax(0.0, 4000.0 * sin(turn * (of_day - 6))),
                       .heating_set_c = of_day < 6 ? 18.0 : 20.0,
                       .cooling_set_c = 22.5};
}

static void run_network(validation_table *table)
{
    const cbx_network network = invented_network();
    double mass_c = 20.0;
    size_t next = 0;
    for (int hour = 0; hour < 72; hour++) {
        const cbx_drive drive = drive_of(hour);
        const cbx_hour result = cbx_network_hour(&network, &drive, mass_c);
        mass_c = result.mass_end_c;
        const network_row *row = &network_rows[next];
        if (next < sizeof network_rows / sizeof *network_rows && row->hour == hour) {
            // Printed to ten digits.
            validation_row(table, row->need_w, result.need_w, 1e-6, "need in hour %d [W]", hour);
            validation_row(table, row->air_c, result.air_c, 1e-8, "air in hour %d [degC]", hour);
            validation_row(table, row->mass_c, mass_c, 1e-8, "mass after hour %d [degC]", hour);
            next++;
        }
    }
}

const validation_case validation_house_network = {
    "house: five resistances, one capacity",
    "node balances of the network of ISO 13790:2008 Annex C, solved independently", run_network};

// ---- the sun ---------------------------------------------------------------------------------

// Day (0 is 1 January), azimuth and tilt of a plane at 46.9 N 96.8 W; its day's sum over that of
// the level, from 70 % of the sun outside the air in every hour.
typedef struct tilt_row {
    int day, azimuth_deg, tilt_deg;
    double ratio;
} tilt_row;

static const tilt_row tilt_rows[] = {
    {20, 180, 90, 2.521713},  {20, 90, 90, 0.9488557},   {20, 0, 90, 0.2219898},
    {20, 180, 45, 2.398276},  {20, 225, 30, 1.720918},   {79, 180, 90, 1.043344},
    {79, 90, 90, 0.7770032},  {79, 0, 90, 0.2219898},    {79, 180, 45, 1.352911},
    {79, 225, 30, 1.224909},  {171, 180, 90, 0.4182887}, {171, 90, 90, 0.6626639},
    {171, 0, 90, 0.3946198},  {171, 180, 45, 0.853224},  {171, 225, 30, 0.9638607},
    {300, 180, 90, 1.896474}, {300, 90, 90, 0.8812921},  {300, 0, 90, 0.2219898},
    {300, 180, 45, 1.956165}, {300, 225, 30, 1.509404},
};

static void run_tilt(validation_table *table)
{
    static const cb_site site = {46.9, -96.8, 274, -6};
    for (size_t i = 0; i < sizeof tilt_rows / sizeof *tilt_rows; i++) {
        const tilt_row *row = &tilt_rows[i];
        const cbx_direction plane = cbx_plane(row->azimuth_deg, row->tilt_deg);
        double tilted = 0.0, level = 0.0;
        for (int hour = 0; hour < 24; hour++) {
            const double global = 0.7 * cb_extraterrestrial_w_m2(&site, row->day, hour);
            const cbx_sun_hour sun = cbx_sun_split(&site, row->day, hour, global);
            tilted += cbx_sun_on(&sun, &plane, 0.2);
            level += global;
        }
        // Five minutes against one second.
        validation_row(table, row->ratio, tilted / level, 0.001 * row->ratio,
                       "day %d, azimuth %d, tilt %d [1]", row->day, row->azimuth_deg,
                       row->tilt_deg);
    }
}

const validation_case validation_house_sun = {
    "house: sun on tilted planes",
    "Erbs et al. 1982 and Liu & Jordan 1963 second by second, computed independently", run_tilt};

static void run_diffuse(validation_table *table)
{
    static const double rows[][2] = {
        {0.1, 0.991}, {0.3, 0.9485956}, {0.5, 0.65915}, {0.7, 0.2439796}, {0.9, 0.165}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        validation_row(table, rows[i][1], cbx_diffuse_share(rows[i][0]), 1e-9, "clearness %.1f [1]",
                       rows[i][0]);
    }
}

const validation_case validation_diffuse_share = {
    "diffuse share", "Erbs, Klein & Duffie 1982, from memory, computed independently", run_diffuse};

// ---- generic performance ---------------------------------------------------------------------

static void run_cop(validation_table *table)
{
    static const double rows[][2] = {{20, 6.0636}, {35, 4.41915}, {50, 3.105}, {60, 2.4124}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        validation_row(table, rows[i][1], cb_generic_cop(rows[i][0]), 1e-12, "lift of %g K [1]",
                       rows[i][0]);
    }
}

const validation_case validation_generic_cop = {
    "generic COP", "Staffell et al. 2012, ground sources, from memory, by hand", run_cop};
