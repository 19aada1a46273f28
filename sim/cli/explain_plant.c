// SPDX-License-Identifier: MIT
#include "cli/explain.h"

#include <math.h>

static const double legionella_c = 60.0, scald_c = 49.0; // 140 and 120 degF, common practice
static const double usual_mains_c = 10.0;
static const double water_j_m3k = 4.146e6;

static void add_part_load(cli_facts *facts, const cb_design_heat_pump *pump, int unit)
{
    char key[CLI_LABEL_SIZE];
    snprintf(key, sizeof key, "unit_%d_part_load", unit + 1);
    cli_fact *fact = pump->level_count > 0
                         ? cli_fact_text(facts, key, pump->name, "%d level%s below full load",
                                         pump->level_count, pump->level_count == 1 ? "" : "s")
                         : cli_fact_text(facts, key, pump->name, "one level, full load");
    char fan[CLI_LABEL_SIZE] = "";
    if (pump->fan_w > 0.0) {
        snprintf(fan, sizeof fan, ", fan %.0f W %s", pump->fan_w,
                 pump->fan_beside ? "on top of its tables" : "in its tables");
    }
    cli_fact_note(fact, "%scycling loss %.0f %% below it%s",
                  pump->level_count > 0 ? "between two levels its time is spent on both, " : "",
                  100.0 * pump->cycling_loss, fan);
}

static void add_backup_limit(cli_facts *facts, const cb_design_backup *backup)
{
    if (backup->has_outdoor_limit && backup->stage_count > 0) {
        cli_fact_note(cli_fact_quantity(facts, "backup_limit", "backup off outdoors above",
                                        CB_TEMPERATURE, backup->outdoor_limit_c),
                      "but for %.0f %% of it while the units are locked out",
                      100.0 * backup->emergency_share);
    }
}

static void add_tank(cli_facts *facts, const cb_design_hot_water *water)
{
    char element[CLI_LABEL_SIZE], set_point[CLI_LABEL_SIZE], wanted[CLI_LABEL_SIZE];
    cb_units_format(CB_ELECTRIC_POWER, facts->system, water->element_w, 3, element, sizeof element);
    cb_units_format(CB_TEMPERATURE, facts->system, water->set_point_c, 3, set_point,
                    sizeof set_point);
    cb_units_format(CB_TEMPERATURE, facts->system, water->draw_c, 3, wanted, sizeof wanted);
    cli_fact_note(
        cli_fact_quantity(facts, "hot_water_tank", "hot water tank", CB_VOLUME, water->volume_m3),
        "element %s up to %s, loses %.2f W/K", element, set_point, water->loss_w_k);
    char mains[CLI_LABEL_SIZE];
    cb_units_format(CB_TEMPERATURE, facts->system, usual_mains_c, 3, mains, sizeof mains);
    cli_fact_note(
        cli_fact_quantity(facts, "hot_water_draw", "hot water a day", CB_VOLUME, water->draw_m3),
        "at %s; %.1f kWh a day with mains of %s", wanted,
        water->draw_m3 * water_j_m3k * (water->draw_c - usual_mains_c) / 3.6e6, mains);
}

static void add_desuperheater(cli_facts *facts, const cb_desuperheater *from, int index)
{
    char key[CLI_LABEL_SIZE], label[CLI_LABEL_SIZE], rated[CLI_LABEL_SIZE], gas[CLI_LABEL_SIZE];
    snprintf(key, sizeof key, "desuperheater_%d", index + 1);
    snprintf(label, sizeof label, "desuperheater, %.40s", from->unit);
    cb_units_format(CB_TEMPERATURE, facts->system, from->rated_c, 3, rated, sizeof rated);
    cb_units_format(CB_TEMPERATURE, facts->system, from->hot_gas_c, 3, gas, sizeof gas);
    cli_fact_note(
        cli_fact_quantity(facts, key, label, CB_POWER, from->heat_w),
        "with the tank at %s, nothing at %s; out of the house's heat in winter, kept from "
        "the ground in summer",
        rated, gas);
}

static void add_air(cli_facts *facts, const cb_plant *plant, const cb_design *design, int unit)
{
    const cb_design_heat_pump *pump = &design->heat_pump[unit];
    char note[CLI_LABEL_SIZE] = "", key[CLI_LABEL_SIZE], at[40];
    size_t used = 0;
    for (int cooling = 0; cooling < 2; cooling++) {
        double air_c;
        if (cb_plant_unit_air(plant, unit, cooling, NAN, &air_c)) {
            cb_units_format(CB_TEMPERATURE, facts->system, air_c, 3, at, sizeof at);
            used += (size_t)snprintf(note + used, sizeof note - used, "%s%s %s %s bulb",
                                     used ? ", " : "", cooling ? "cooling" : "heating", at,
                                     cooling && !pump->air_dry_bulb ? "wet" : "dry");
        }
    }
    if (used > 0) {
        snprintf(key, sizeof key, "unit_%d_entering_air", unit + 1);
        cli_fact_note(cli_fact_text(facts, key, "  entering air", "%s", note), "%s",
                      design->house.model == CB_HOUSE_ENVELOPE
                          ? "by day; in a run the set point of the hour, unless the unit fixes it"
                          : "at all hours: these loads have no set points");
    }
}

void cli_explain_plant(cli_facts *facts, const cb_plant *plant, const cb_design *design)
{
    for (int unit = 0; unit < design->heat_pump_count; unit++) {
        add_part_load(facts, &design->heat_pump[unit], unit);
        add_air(facts, plant, design, unit);
    }
    add_backup_limit(facts, &design->backup);
    const cb_design_hot_water *water = &design->hot_water;
    if (water->given) {
        add_tank(facts, water);
        for (int i = 0; i < water->desuperheater_count; i++) {
            add_desuperheater(facts, &water->desuperheater[i], i);
        }
    }
}

void cli_caution_hot_water(cli_facts *facts, const cb_design *design)
{
    const cb_design_hot_water *water = &design->hot_water;
    if (!water->given) {
        return;
    }
    double hottest_c = water->set_point_c;
    for (int i = 0; i < water->desuperheater_count; i++) {
        const double limit_c = water->desuperheater[i].limit_c;
        hottest_c = limit_c > hottest_c ? limit_c : hottest_c;
    }
    if (hottest_c > scald_c) {
        cli_fact_note(cli_fact_text(facts, "tank_scald", "",
                                    "The tank can get hotter than 120 degF (49 degC), water that "
                                    "scalds within minutes, at 140 degF within seconds: fit a "
                                    "mixing valve behind it."),
                      "common practice, no source");
    }
    if (water->set_point_c < legionella_c) {
        cli_fact_note(cli_fact_text(facts, "tank_legionella", "",
                                    "A tank kept below 140 degF (60 degC) can grow legionella; "
                                    "hotter storage behind a mixing valve is the usual guard."),
                      "common practice, no source");
    }
    cli_fact_text(facts, "tank_relief", "",
                  "A tank needs a temperature and pressure relief valve with an open drain, and a "
                  "place for the water's expansion; it can burst without.");
    if (water->desuperheater_count > 0) {
        cli_fact_text(facts, "cross_connection", "",
                      "A desuperheater parts refrigerant and oil from drinking water: only a "
                      "double-wall exchanger made for it, and as the local code says.");
    }
}
