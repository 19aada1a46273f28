// SPDX-License-Identifier: MIT
/// `coilbed check --ground`: the undisturbed ground by depth.
#include "cli/explain.h"
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/terminal.h"
#include "coilbed/yard.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_ROWS = 32, DAY_HOURS = 24 };

/// A line of the table; `holds` is what lies there, or "".
typedef struct ground_row {
    double depth_m;
    const char *holds;
} ground_row;

typedef struct ground_table {
    int count;
    ground_row row[MOST_ROWS];
} ground_table;

// ---- the depths ------------------------------------------------------------------------------

static void put_depth(ground_table *table, double depth_m, const char *holds)
{
    const double same_m = 0.005;
    int n = 0;
    while (n < table->count && table->row[n].depth_m < depth_m - same_m) {
        n++;
    }
    if (n < table->count && table->row[n].depth_m <= depth_m + same_m) {
        table->row[n].holds = *holds ? holds : table->row[n].holds;
        return;
    }
    if (table->count == MOST_ROWS) {
        return;
    }
    for (int m = table->count++; m > n; m--) {
        table->row[m] = table->row[m - 1];
    }
    table->row[n] = (ground_row){depth_m, holds};
}

static ground_table depths_of(const cb_design *design, cb_unit_system system)
{
    static const double metres[] = {0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0};
    static const double feet[] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 15, 20, 30};
    const bool us = system == CB_UNITS_US;
    const int count =
        us ? (int)(sizeof feet / sizeof *feet) : (int)(sizeof metres / sizeof *metres);
    const cb_design_field *field = &design->field;
    ground_table table = {0};
    for (int n = 0; n < count; n++) {
        const double depth_m = us ? feet[n] * CLI_FOOT_M : metres[n];
        if (depth_m <= design->ground.bottom_depth_m) {
            put_depth(&table, depth_m, "");
        }
    }
    cb_leg leg[CB_MAX_LEGS];
    const int legs = cb_field_legs(field, leg);
    for (int l = 0; l < legs; l++) {
        put_depth(&table, leg[l].depth_m,
                  leg[l].coil_diameter_m > 0.0   ? "coil"
                  : field->layout == CB_STRAIGHT ? "pipe"
                                                 : "return");
    }
    if (field->runout.given) {
        put_depth(&table, field->runout.depth_m, "run-out");
    }
    return table;
}

// ---- facts -----------------------------------------------------------------------------------

static void add_cover(cli_facts *facts, const cb_surface *surface)
{
    const cb_cover *cover = cb_cover_find(surface->cover ? surface->cover : "short_grass");
    facts->section = "cover";
    if (!cover) {
        return; // the yard has refused it
    }
    const double albedo = isnan(surface->albedo) ? cover->albedo : surface->albedo;
    const double emissivity = isnan(surface->emissivity) ? cover->emissivity : surface->emissivity;
    cli_fact_note(cli_fact_text(facts, "name", "cover", "%s, %s", cover->name, cover->description),
                  "%s", cover->source);
    cli_fact_quantity(facts, "albedo", "sun reflected", CB_FRACTION, albedo);
    cli_fact_quantity(facts, "emissivity", "longwave emissivity", CB_FRACTION, emissivity);
    cli_fact_quantity(facts, "shade", "sun kept off by shade", CB_FRACTION,
                      isnan(surface->shade) ? 0.0 : surface->shade);
    cli_fact_quantity(facts, "height", "height", CB_SMALL_LENGTH, cover->height_m);
    cli_fact_value(facts, "insulation", "insulation above the soil", cover->insulation_m2k_w,
                   "m2 K W-1", "%.2f m2 K/W", cover->insulation_m2k_w);
    cli_fact_quantity(facts, "green_share", "ground under green leaves", CB_FRACTION,
                      cover->green_share);
    cli_fact_value(facts, "root_water", "water the roots can draw", cover->root_water_kg_m2,
                   "kg m-2", "%.0f mm", cover->root_water_kg_m2);
    cli_fact_value(facts, "top_water", "water the bare top gives up", cover->top_water_kg_m2,
                   "kg m-2", "%.0f mm", cover->top_water_kg_m2);
}

static void add_soils(cli_facts *facts, const cb_design_ground *ground)
{
    facts->section = "soil";
    double top_m = 0.0;
    for (int n = 0; n < ground->layer_count; n++) {
        const cb_layer *layer = &ground->layer[n];
        const char *material = layer->soil.material ? layer->soil.material : "as the design says";
        char key[CLI_KEY_SIZE], label[CLI_LABEL_SIZE], top[40], bottom[40];
        snprintf(key, sizeof key, "layers[%d]", n);
        snprintf(label, sizeof label, "layer %d", n + 1);
        cb_units_format(CB_LENGTH, facts->system, top_m, 3, top, sizeof top);
        cb_units_format(CB_LENGTH, facts->system, layer->bottom_m, 3, bottom, sizeof bottom);
        if (n + 1 < ground->layer_count) {
            cli_fact_text(facts, key, label, "%s, %s to %s", material, top, bottom);
        } else {
            cli_fact_text(facts, key, label, "%s, from %s down", material, top);
        }
        top_m = layer->bottom_m;
    }
}

static void note_when(cli_fact *fact, const cb_design_run *run, long hour)
{
    char when[CLI_MOMENT_SIZE];
    if (hour >= 0) {
        cli_fact_note(fact, "%s", cli_moment_text(run, hour, when, sizeof when));
    }
}

static void add_frost(cli_facts *facts, const cb_ground_summary *ground, const cb_design_run *run)
{
    facts->section = "frost";
    cli_fact_note(cli_fact_quantity(facts, "typical", "depth, typical year", CB_LENGTH,
                                    ground->typical_frost_m),
                  "deepest 0 degC");
    note_when(cli_fact_quantity(facts, "run", "depth, deepest of the run", CB_LENGTH,
                                ground->run_frost_m),
              run, ground->run_frost_hour);
}

static void add_days(cli_facts *facts, const char *key, const char *label, double days)
{
    cli_fact_value(facts, key, label, days, "day", "%.0f days", days);
}

static void add_snow(cli_facts *facts, const cb_ground_summary *ground, const cb_design *design)
{
    const double kept = design->ground.surface.snow_kept;
    const cb_design_run *run = &design->run;
    facts->section = "snow";
    if (!ground->precipitation) {
        cli_fact_text(facts, "unknown", "snow",
                      "none: the weather has no precipitation, so the ground freezes as if swept "
                      "and its root zone stays moist");
        return;
    }
    cli_fact_note(
        cli_fact_quantity(facts, "kept", "share that lies", CB_FRACTION, isnan(kept) ? 1.0 : kept),
        "frost goes deeper on a cleared yard: --set ground.surface.snow_kept='0 %%'");
    cli_fact_quantity(facts, "typical", "deepest, typical year", CB_SMALL_LENGTH,
                      ground->typical_snow_m);
    add_days(facts, "typical_cover", "longest cover, typical year", ground->typical_snow_days);
    note_when(
        cli_fact_quantity(facts, "run", "deepest of the run", CB_SMALL_LENGTH, ground->run_snow_m),
        run, ground->run_snow_hour);
    add_days(facts, "run_cover", "longest cover of the run", ground->run_snow_days);
    char when[CLI_MOMENT_SIZE];
    if (ground->run_snow_begins >= 0) {
        cli_fact_note(&facts->fact[facts->count - 1], "from %s",
                      cli_moment_text(run, ground->run_snow_begins, when, sizeof when));
    }
}

static void add_settled(cli_facts *facts, const cb_ground_summary *ground)
{
    facts->section = "settled";
    const int years = ground->weather_years;
    cli_fact_value(facts, "cycles", "weather repeated", ground->cycles, "1", "%d times %d year%s",
                   ground->cycles, years, years == 1 ? "" : "s");
    cli_fact_value(facts, "residual", "last change", ground->residual_k, "K", "%.2g K",
                   ground->residual_k);
}

// ---- the table -------------------------------------------------------------------------------

/// Calendar day on which a harmonic that is coldest on `coldest_day` is so.
static cb_moment coldest_date(const cb_design_run *run, double coldest_day)
{
    const int start = cb_day_of_year(run->start_month, run->start_day);
    const int day = ((int)coldest_day % CB_YEAR_DAYS - start + CB_YEAR_DAYS) % CB_YEAR_DAYS;
    return cb_run_moment(run, (long)day * DAY_HOURS);
}

static void print_table(const ground_table *table, const cb_ground_summary *ground,
                        const cb_design_run *run, cb_unit_system system)
{
    const double least_k = 0.05; // a smaller swing has no day worth telling
    const char *degree = cb_units_label(CB_TEMPERATURE, system);
    printf(
        "\nBy depth: mean, swing and coldest day of the year's wave; daily means of the typical\n"
        "year and of the whole run, in %s\n",
        degree);
    printf("  %8s %8s %8s %8s %9s %9s %9s %9s\n", "", "", "swing", "coldest", "typical", "typical",
           "run", "run");
    printf("  %8s %8s %8s %8s %9s %9s %9s %9s\n", cb_units_label(CB_LENGTH, system), "mean", "+/-",
           "day", "lowest", "highest", "lowest", "highest");
    for (int n = 0; n < table->count; n++) {
        const cb_ground_depth at = cb_ground_at(ground, table->row[n].depth_m);
        char day[16] = "-";
        if (at.amplitude_k >= least_k) {
            const cb_moment date = coldest_date(run, at.coldest_day);
            snprintf(day, sizeof day, "%d %s", date.day, cli_month_name(date.month));
        }
        printf("  %8.1f %8.1f %8.1f %8s %9.1f %9.1f %9.1f %9.1f%s%s\n",
               cb_units_value(CB_LENGTH, system, table->row[n].depth_m),
               cb_units_value(CB_TEMPERATURE, system, at.mean_c),
               cb_units_value(CB_TEMPERATURE_DIFFERENCE, system, at.amplitude_k), day,
               cb_units_value(CB_TEMPERATURE, system, at.lowest_c),
               cb_units_value(CB_TEMPERATURE, system, at.highest_c),
               cb_units_value(CB_TEMPERATURE, system, at.run_lowest_c),
               cb_units_value(CB_TEMPERATURE, system, at.run_highest_c),
               *table->row[n].holds ? "  " : "", table->row[n].holds);
    }
}

static void json_table(cbx_json *json, const ground_table *table, const cb_ground_summary *ground,
                       const cb_design_run *run)
{
    cbx_json_open(json, "depths", '[');
    for (int n = 0; n < table->count; n++) {
        const cb_ground_depth at = cb_ground_at(ground, table->row[n].depth_m);
        const cb_moment date = coldest_date(run, at.coldest_day);
        cbx_json_open(json, NULL, '{');
        cbx_json_number(json, "depth_m", table->row[n].depth_m);
        cbx_json_text(json, "holds", *table->row[n].holds ? table->row[n].holds : NULL);
        cbx_json_number(json, "mean_c", at.mean_c);
        cbx_json_number(json, "amplitude_k", at.amplitude_k);
        cbx_json_number(json, "coldest_day", at.coldest_day);
        cbx_json_number(json, "coldest_month", date.month);
        cbx_json_number(json, "coldest_day_of_month", date.day);
        cbx_json_number(json, "lowest_c", at.lowest_c);
        cbx_json_number(json, "highest_c", at.highest_c);
        cbx_json_number(json, "run_lowest_c", at.run_lowest_c);
        cbx_json_number(json, "run_highest_c", at.run_highest_c);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, ']');
}

// ---- whole -----------------------------------------------------------------------------------

static void print_ground(const cli_facts *facts, const cb_design *design,
                         const cb_ground_summary *ground, const cli_options *options)
{
    const ground_table table = depths_of(design, options->units);
    if (options->json) {
        cbx_json json = {.stream = stdout};
        cli_facts_json_head(&json, design->path);
        cli_facts_json_sections(facts, &json);
        json_table(&json, &table, ground, &design->run);
        cbx_json_close(&json, '}');
        putchar('\n');
    } else {
        printf("%s: its undisturbed ground, far from the field.\n\n", design->path);
        cli_facts_print(facts, cli_width(), stdout);
        print_table(&table, ground, &design->run, options->units);
    }
}

int cli_check_ground(const cli_inputs *inputs, const cli_options *options)
{
    const cb_design *design = inputs->design;
    cb_ground_summary *ground;
    cb_error error = {0};
    if (cb_ground_summary_create(&ground, design, inputs->run_weather, &error) != CB_OK) {
        return cli_fail(options, &error);
    }
    cli_facts facts = {.system = options->units};
    add_cover(&facts, &design->ground.surface);
    add_soils(&facts, &design->ground);
    add_frost(&facts, ground, &design->run);
    add_snow(&facts, ground, design);
    add_settled(&facts, ground);
    int result = CLI_HELD;
    if (facts.failed) {
        cb_fail(&error, CB_NO_MEMORY, "out of memory");
        result = cli_fail(options, &error);
    } else {
        print_ground(&facts, design, ground, options);
    }
    cli_facts_free(&facts);
    cb_ground_summary_destroy(ground);
    return result;
}
