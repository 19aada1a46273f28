// SPDX-License-Identifier: MIT
#include "cli/explain.h"

static const double kilowatt_hour_j = 3.6e6;

cli_capacity cli_capacity_at(const cb_design *design, const cb_plant *plant, double entering_c)
{
    cli_capacity sum = {0};
    for (int unit = 0; unit < design->heat_pump_count; unit++) {
        double capacity_w;
        double power_w;
        cb_plant_unit_at(plant, unit, false, entering_c, &capacity_w, &power_w);
        sum.heating_w += capacity_w;
        sum.heating_power_w += power_w;
        cb_plant_unit_at(plant, unit, true, entering_c, &capacity_w, &power_w);
        sum.cooling_w += capacity_w;
        sum.cooling_power_w += power_w;
    }
    return sum;
}

cli_load_summary cli_loads_of(const cli_inputs *inputs)
{
    const cb_house *house = inputs->house;
    const double per_year = 3600.0 / inputs->design->run.years;
    cli_load_summary sum = {0};
    for (long hour = 0; hour < house->hours; hour++) {
        sum.heating_j_year += house->heating_w[hour] * per_year;
        sum.cooling_j_year += house->cooling_w[hour] * per_year;
        if (house->heating_w[hour] > sum.heating_peak_w) {
            sum.heating_peak_w = house->heating_w[hour];
            sum.heating_peak_hour = hour;
        }
        if (house->cooling_w[hour] > sum.cooling_peak_w) {
            sum.cooling_peak_w = house->cooling_w[hour];
            sum.cooling_peak_hour = hour;
        }
    }
    return sum;
}

static void add_peak(cli_facts *facts, const cli_subject *subject, bool cooling)
{
    const cli_load_summary *loads = &subject->loads;
    const double peak_w = cooling ? loads->cooling_peak_w : loads->heating_peak_w;
    char when[CLI_MOMENT_SIZE];
    cli_fact *fact =
        cli_fact_quantity(facts, cooling ? "cooling_peak" : "heating_peak",
                          cooling ? "peak cooling load" : "peak heating load", CB_POWER, peak_w);
    if (peak_w > 0.0) {
        cli_fact_note(fact, "%s",
                      cli_moment_text(&subject->inputs->design->run,
                                      cooling ? loads->cooling_peak_hour : loads->heating_peak_hour,
                                      when, sizeof when));
    }
}

static void add_energy(cli_facts *facts, const char *key, const char *label, double joule_year)
{
    const double kwh = joule_year / kilowatt_hour_j;
    cli_fact *fact =
        facts->system == CB_UNITS_US
            ? cli_fact_value(facts, key, label, joule_year, "J", "%.1f million BTU a year",
                             joule_year / (1e6 * 1055.05585262))
            : cli_fact_value(facts, key, label, joule_year, "J", "%.2f MWh a year", kwh / 1e3);
    cli_fact_note(fact, "%.0f kWh of heat, mean of the run", kwh);
}

static void add_units(cli_facts *facts, const cli_subject *subject, double entering_c,
                      const char *key, bool cooling)
{
    const cli_capacity capacity =
        cli_capacity_at(subject->inputs->design, subject->plant, entering_c);
    const double capacity_w = cooling ? capacity.cooling_w : capacity.heating_w;
    const double power_w = cooling ? capacity.cooling_power_w : capacity.heating_power_w;
    const double peak_w = cooling ? subject->loads.cooling_peak_w : subject->loads.heating_peak_w;
    if (!(capacity_w > 0.0)) {
        return;
    }
    char at[CLI_LABEL_SIZE / 2];
    char label[CLI_LABEL_SIZE];
    cb_units_format(CB_TEMPERATURE, facts->system, entering_c, 3, at, sizeof at);
    snprintf(label, sizeof label, "units %s, water %s", cooling ? "cool" : "heat", at);
    cli_fact *fact = cli_fact_quantity(facts, key, label, CB_POWER, capacity_w);
    char share[CLI_LABEL_SIZE] = "";
    if (peak_w > 0.0) {
        snprintf(share, sizeof share, "%.0f %% of the peak load, ", 100.0 * capacity_w / peak_w);
    }
    if (power_w > 0.0) {
        cli_fact_note(fact, "%sCOP %.2f", share, capacity_w / power_w);
    }
}

static void add_backup(cli_facts *facts, const cb_design_backup *backup)
{
    double sum_w = 0.0;
    for (int stage = 0; stage < backup->stage_count; stage++) {
        sum_w += backup->stage_w[stage];
    }
    if (backup->stage_count > 0) {
        cli_fact_note(
            cli_fact_quantity(facts, "backup", "electric backup", CB_ELECTRIC_POWER, sum_w),
            "%d stage%s", backup->stage_count, backup->stage_count == 1 ? "" : "s");
    } else {
        cli_fact_text(facts, "backup", "electric backup", "none");
    }
}

static bool is_generic(const cb_design_heat_pump *pump)
{
    bool generic = pump->has_rating;
    for (int k = 0; k < pump->level_count; k++) {
        generic = generic || pump->level[k].has_rating;
    }
    return generic;
}

void cli_explain_generic(cli_facts *facts, const cb_design *design)
{
    char names[CLI_SHOWN_SIZE] = "";
    size_t used = 0;
    for (int unit = 0; unit < design->heat_pump_count && used < sizeof names; unit++) {
        if (is_generic(&design->heat_pump[unit])) {
            used += (size_t)snprintf(names + used, sizeof names - used, "%s%s", used ? ", " : "",
                                     design->heat_pump[unit].name);
        }
    }
    if (used > 0) {
        cli_fact_note(cli_fact_text(facts, "generic_curve", "generic curve", "%s", names),
                      "no maker's table: a generic curve through the rating points, COP over the "
                      "lift by Staffell et al. 2012, coefficients from memory");
    }
}

void cli_explain_loads(cli_facts *facts, const cli_subject *subject)
{
    const cb_design *design = subject->inputs->design;
    facts->section = "loads";
    add_peak(facts, subject, false);
    add_peak(facts, subject, true);
    add_energy(facts, "heating_energy", "heating", subject->loads.heating_j_year);
    add_energy(facts, "cooling_energy", "cooling", subject->loads.cooling_j_year);
    add_units(facts, subject, 0.0, "heating_capacity_at_0_degC", false);
    add_units(facts, subject, design->limits.entering_minimum_c, "heating_capacity_at_minimum",
              false);
    add_units(facts, subject, 25.0, "cooling_capacity_at_25_degC", true);
    add_units(facts, subject, design->limits.entering_maximum_c, "cooling_capacity_at_maximum",
              true);
    cli_explain_generic(facts, design);
    add_backup(facts, &design->backup);
    cli_explain_plant(facts, subject->plant, design);
}
