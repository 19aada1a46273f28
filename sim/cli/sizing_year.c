// SPDX-License-Identifier: MIT
/// Energies, hours and the duration of loads.
#include "cli/sizing.h"

#include <math.h>
#include <stdlib.h>

static int falling(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

typedef struct mode {
    bool cooling;
    const double *load_w; ///< [hours]
    double design_w, energy_j_year, water_c;
} mode;

static void add_energy(const cli_sheet *s, const mode *m)
{
    const double kwh = m->energy_j_year / 3.6e6;
    const char *key = m->cooling ? "cooling_energy" : "heating_energy";
    const char *label = m->cooling ? "cooling" : "heating";
    if (s->facts->system == CB_UNITS_US) {
        cli_fact_value(s->facts, key, label, m->energy_j_year, "J", "%.1f million BTU a year",
                       m->energy_j_year / 1055.05585262e6);
    } else {
        cli_fact_value(s->facts, key, label, m->energy_j_year, "J", "%.2f MWh a year", kwh / 1e3);
    }
}

static void add_hours(const cli_sheet *s, const mode *m, const double *sorted_w, long hours)
{
    const double years = s->design->run.years;
    const double capacity = cli_sheet_capacity_w(s, m->water_c, m->cooling);
    long some = 0, above = 0;
    double carried_w = 0.0, all_w = 0.0;
    for (long hour = 0; hour < hours && sorted_w[hour] > 0.0; hour++) {
        some++;
        above += sorted_w[hour] > capacity;
        carried_w += fmin(sorted_w[hour], capacity);
        all_w += sorted_w[hour];
    }
    const char *name = m->cooling ? "cooling" : "heating";
    char key[CLI_KEY_SIZE], label[CLI_LABEL_SIZE];
    snprintf(key, sizeof key, "%s_hours", name);
    snprintf(label, sizeof label, "hours with %s", name);
    cli_fact *fact = cli_fact_value(s->facts, key, label, (double)some / years, "h", "%.0f a year",
                                    (double)some / years);
    if (m->design_w > 0.0) {
        cli_fact_note(fact, "%.0f at full design load", m->energy_j_year / 3600.0 / m->design_w);
    }
    snprintf(key, sizeof key, "%s_hours_beyond_units", name);
    snprintf(label, sizeof label, "hours beyond the units");
    fact = cli_fact_value(s->facts, key, label, (double)above / years, "h", "%.0f a year",
                          (double)above / years);
    if (all_w > 0.0) {
        cli_fact_note(fact,
                      "with the %s water allowed all the time; the units carry %.1f %% of the "
                      "energy then",
                      m->cooling ? "hottest" : "coldest", 100.0 * carried_w / all_w);
    }
}

static void add_duration(const cli_sheet *s, const mode *m, const double *sorted_w, long hours)
{
    static const int exceeded[] = {1, 10, 50, 100, 500, 1000, 2000, 4000};
    for (size_t i = 0; i < sizeof exceeded / sizeof *exceeded; i++) {
        const long at = (long)exceeded[i] * s->design->run.years;
        if (at >= hours || !(sorted_w[at] > 0.0)) {
            break;
        }
        char key[CLI_KEY_SIZE], label[CLI_LABEL_SIZE];
        snprintf(key, sizeof key, "%s_exceeded_%d_h", m->cooling ? "cooling" : "heating",
                 exceeded[i]);
        snprintf(label, sizeof label, "  in %d hour%s more than", exceeded[i],
                 exceeded[i] == 1 ? "" : "s");
        cli_fact *fact = cli_fact_quantity(s->facts, key, label, CB_POWER, sorted_w[at]);
        if (m->design_w > 0.0) {
            cli_fact_note(fact, "%.0f %% of the design load", 100.0 * sorted_w[at] / m->design_w);
        }
    }
}

static void add_mode(const cli_sheet *s, const mode *m)
{
    const long hours = s->subject->inputs->house->hours;
    double *sorted_w = calloc((size_t)hours, sizeof *sorted_w);
    if (!sorted_w) {
        s->facts->failed = true;
        return;
    }
    for (long hour = 0; hour < hours; hour++) {
        sorted_w[hour] = m->load_w[hour];
    }
    qsort(sorted_w, (size_t)hours, sizeof *sorted_w, falling);
    add_energy(s, m);
    if (sorted_w[0] > 0.0) {
        add_hours(s, m, sorted_w, hours);
        add_duration(s, m, sorted_w, hours);
    }
    free(sorted_w);
}

void cli_size_year(const cli_sheet *s)
{
    const cb_house *house = s->subject->inputs->house;
    const cli_load_summary *loads = &s->subject->loads;
    const cb_design_limits *limits = &s->design->limits;
    s->facts->section = "year";
    add_mode(s, &(mode){false, house->heating_w, s->loads.heating_w, loads->heating_j_year,
                        limits->entering_minimum_c});
    add_mode(s, &(mode){true, house->cooling_w, s->loads.cooling_w, loads->cooling_j_year,
                        limits->entering_maximum_c});
}

// ---- by other means --------------------------------------------------------------------------

static void add_other(const cli_sheet *s, const char *key, const char *label, double joule,
                      const char *note)
{
    const double year_j = joule / s->design->run.years;
    cli_fact_note(
        cli_fact_value(s->facts, key, label, year_j, "J", "%.0f kWh a year", year_j / 3.6e6), "%s",
        note);
}

static double *outdoor_of(const cli_inputs *inputs)
{
    const long hours = inputs->house->hours;
    double *outdoor_c = calloc((size_t)hours + 1, sizeof *outdoor_c);
    for (long hour = 0; outdoor_c && hour < hours; hour++) {
        outdoor_c[hour] = cb_run_weather_at(inputs->run_weather, hour).air_temperature_c;
    }
    return outdoor_c;
}

void cli_size_others(const cli_sheet *s)
{
    const double least_w = 1000.0; // smaller machines are not sold
    const double size_w = fmax(least_w, s->loads.heating_w);
    const cb_alternatives_given usual = cb_alternatives_usual(size_w);
    const cli_inputs *inputs = s->subject->inputs;
    cb_alternatives others;
    double *outdoor_c = s->loads.heating_w > 0.0 ? outdoor_of(inputs) : NULL;
    const bool compared = outdoor_c && cb_house_alternatives(&others, inputs->house, outdoor_c,
                                                             &usual, NULL) == CB_OK;
    free(outdoor_c);
    if (!compared) {
        return;
    }
    s->facts->section = "otherwise";
    const cb_alternative *air = &others.air_source;
    add_other(
        s, "air_source_heating", "air-source heat pump",
        air->heating_electricity_j + air->backup_electricity_j,
        "electricity for the same heat, its backup included; a unit of the design load with "
        "COP 3.4 at 8.3 degC, COP over the lift by Staffell et al. 2012 from memory, 8 % lost "
        "while it frosts; common practice, no source");
    add_other(s, "air_source_backup", "  of it backup", air->backup_electricity_j,
              "below what the unit gives, and below -25 degC");
    add_other(s, "resistance_heating", "electric resistance",
              others.resistance.backup_electricity_j, "electricity for the same heat");
    add_other(s, "furnace_fuel", "fuel furnace", others.furnace.fuel_j,
              "fuel for the same heat at 92 %; common practice, no source");
    add_other(s, "air_source_cooling", "air conditioner", air->cooling_electricity_j,
              "electricity for the same cooling, COP 3.5 at 35 degC; common practice, no source");
}
