// SPDX-License-Identifier: MIT
/// `coilbed check --sizing`: what the house asks for against what the units, the air and the loop
/// give.
#include "cli/sizing.h"
#include "cli/failure.h"
#include "cli/message.h"

#include <math.h>

static const double usual_oversize = 0.15; // common practice, no source

static const char *temperature(const cli_sheet *s, double value_c, char *buffer, size_t size)
{
    return cb_units_format(CB_TEMPERATURE, s->facts->system, value_c, 3, buffer, size);
}

// ---- what the house asks for -----------------------------------------------------------------

static void note_basis(cli_fact *fact, const cli_sheet *s, double outdoor_c, bool cooling)
{
    static const char *const by[][2] = {
        [CB_BASIS_LOAD_LINE] = {"the load line's", "the load line's"},
        [CB_BASIS_ENVELOPE] = {"all losses, without sun and gains,",
                               "largest hour of a clear day of the warmest month, highest"},
        [CB_BASIS_FILE] = {"largest hour of the load file", "largest hour of the load file"},
    };
    char at[40];
    if (isnan(outdoor_c)) {
        cli_fact_note(fact, "%s", by[s->loads.basis][cooling]);
    } else {
        cli_fact_note(fact, "%s at %s outdoors", by[s->loads.basis][cooling],
                      temperature(s, outdoor_c, at, sizeof at));
    }
}

static void add_loss(const cli_sheet *s, const char *key, const char *label, double loss_w_k)
{
    const double btu_h_k = 1055.05585262 / 3600.0 * 1.8; // 1 BTU/h/degF in W/K
    if (!(loss_w_k > 0.0)) {
        return;
    }
    if (s->facts->system == CB_UNITS_US) {
        cli_fact_value(s->facts, key, label, loss_w_k, "W K-1", "%.0f BTU/h/degF",
                       loss_w_k / btu_h_k);
    } else {
        cli_fact_value(s->facts, key, label, loss_w_k, "W K-1", "%.1f W/K", loss_w_k);
    }
}

static void add_losses(const cli_sheet *s)
{
    const cb_house_losses *losses = &s->loads.losses;
    if (s->loads.basis != CB_BASIS_ENVELOPE) {
        return;
    }
    add_loss(s, "walls", "  walls lose", losses->walls_w_k);
    add_loss(s, "roof", "  roof loses", losses->roof_w_k);
    add_loss(s, "windows", "  windows lose", losses->windows_w_k);
    add_loss(s, "doors", "  doors lose", losses->doors_w_k);
    add_loss(s, "floor", "  floor loses, to its soil", losses->floor_w_k);
    add_loss(s, "fans", "  fans lose", losses->ventilation_w_k);
    add_loss(s, "leaks", "  leaks lose, at design", losses->leakage_w_k);
    cli_fact_value(s->facts, "air_changes", "  air changes by leaks",
                   losses->leakage_air_changes_1_h, "h-1", "%.2f an hour",
                   losses->leakage_air_changes_1_h);
}

static void add_design_loads(const cli_sheet *s)
{
    s->facts->section = "house";
    note_basis(cli_fact_quantity(s->facts, "heating_design", "heating design load", CB_POWER,
                                 s->loads.heating_w),
               s, s->loads.heating_outdoor_c, false);
    add_losses(s);
    note_basis(cli_fact_quantity(s->facts, "cooling_design", "cooling design load", CB_POWER,
                                 s->loads.cooling_w),
               s, s->loads.cooling_outdoor_c, true);
    const cli_load_summary *run = &s->subject->loads;
    char when[CLI_MOMENT_SIZE];
    cli_fact_note(cli_fact_quantity(s->facts, "heating_peak", "largest hour of heating", CB_POWER,
                                    run->heating_peak_w),
                  "of the run, hard winters and set points that move included, %s",
                  cli_moment_text(&s->design->run, run->heating_peak_hour, when, sizeof when));
    cli_fact_note(cli_fact_quantity(s->facts, "cooling_peak", "largest hour of cooling", CB_POWER,
                                    run->cooling_peak_w),
                  "of the run, %s",
                  cli_moment_text(&s->design->run, run->cooling_peak_hour, when, sizeof when));
}

// ---- the units -------------------------------------------------------------------------------

typedef struct water {
    const char *key, *what;
    double entering_c;
    bool cooling;
} water;

double cli_sheet_capacity_w(const cli_sheet *s, double entering_c, bool cooling)
{
    const cli_capacity all = cli_capacity_at(s->design, s->subject->plant, entering_c);
    return cooling ? all.cooling_w : all.heating_w;
}

static void add_capacity(const cli_sheet *s, const water *w)
{
    if (isnan(w->entering_c)) {
        return;
    }
    const cli_capacity all = cli_capacity_at(s->design, s->subject->plant, w->entering_c);
    const double capacity = w->cooling ? all.cooling_w : all.heating_w;
    const double power = w->cooling ? all.cooling_power_w : all.heating_power_w;
    const double load = w->cooling ? s->loads.cooling_w : s->loads.heating_w;
    char at[40], label[CLI_LABEL_SIZE];
    snprintf(label, sizeof label, "%s, water %s", w->cooling ? "cool" : "heat",
             temperature(s, w->entering_c, at, sizeof at));
    cli_fact *fact = cli_fact_quantity(s->facts, w->key, label, CB_POWER, capacity);
    if (!(capacity > 0.0)) {
        cli_fact_note(fact, "%s; no unit works there", w->what);
    } else if (load > 0.0) {
        const double over = capacity / load - 1.0;
        cli_fact_note(fact, "%s; %.0f %% %s the design load, COP %.2f", w->what, 100.0 * fabs(over),
                      over < 0.0 ? "under" : "over", capacity / power);
    } else {
        cli_fact_note(fact, "%s; no design load, COP %.2f", w->what, capacity / power);
    }
}

static void add_oversize(const cli_sheet *s, double entering_c, bool cooling)
{
    const double load = cooling ? s->loads.cooling_w : s->loads.heating_w;
    if (!(load > 0.0)) {
        return;
    }
    const double over = cli_sheet_capacity_w(s, entering_c, cooling) / load - 1.0;
    cli_fact_note(cli_fact_value(s->facts, cooling ? "cooling_oversize" : "heating_oversize",
                                 cooling ? "size in cooling" : "size in heating", over, "1",
                                 "%+.0f %%", 100.0 * over),
                  "%s; up to %.0f %% over is common practice, no source",
                  over < 0.0              ? "undersized"
                  : over > usual_oversize ? "oversized"
                                          : "in the usual range",
                  100.0 * usual_oversize);
}

static void add_backup_needed(const cli_sheet *s, double entering_c)
{
    double installed_w = 0.0;
    for (int stage = 0; stage < s->design->backup.stage_count; stage++) {
        installed_w += s->design->backup.stage_w[stage];
    }
    const double needed_w =
        fmax(0.0, s->loads.heating_w - cli_sheet_capacity_w(s, entering_c, false));
    char there[40];
    cb_units_format(CB_ELECTRIC_POWER, s->facts->system, installed_w, 3, there, sizeof there);
    cli_fact_note(cli_fact_quantity(s->facts, "backup_needed", "backup needed at design",
                                    CB_ELECTRIC_POWER, needed_w),
                  "with the coldest water; %s is there%s", installed_w > 0.0 ? there : "none",
                  needed_w > installed_w ? ": too little" : "");
}

static void add_units(const cli_sheet *s)
{
    const cb_design_limits *limits = &s->design->limits;
    const water waters[] = {
        {"heating_at_rating", "rating point of ISO 13256-1 for ground loops", CLI_RATING_HEATING_C,
         false},
        {"heating_at_expected", "as expected in winter", limits->expected_minimum_c, false},
        {"heating_at_minimum", "coldest allowed", limits->entering_minimum_c, false},
        {"cooling_at_rating", "rating point of ISO 13256-1 for ground loops", CLI_RATING_COOLING_C,
         true},
        {"cooling_at_expected", "as expected in summer", limits->expected_maximum_c, true},
        {"cooling_at_maximum", "hottest allowed", limits->entering_maximum_c, true},
    };
    s->facts->section = "units";
    for (size_t i = 0; i < sizeof waters / sizeof *waters; i++) {
        add_capacity(s, &waters[i]);
    }
    const bool winter = !isnan(limits->expected_minimum_c);
    const bool summer = !isnan(limits->expected_maximum_c);
    add_oversize(s, winter ? limits->expected_minimum_c : limits->entering_minimum_c, false);
    add_oversize(s, summer ? limits->expected_maximum_c : limits->entering_maximum_c, true);
    add_backup_needed(s, limits->entering_minimum_c);
    cli_explain_generic(s->facts, s->design);
}

// ---- whole -----------------------------------------------------------------------------------

static void fill(cli_sheet *s)
{
    const double cooling_w = cli_sheet_capacity_w(s, CLI_RATING_COOLING_C, true);
    s->nominal_w =
        cooling_w > 0.0 ? cooling_w : cli_sheet_capacity_w(s, CLI_RATING_HEATING_C, false);
    add_design_loads(s);
    add_units(s);
    cli_size_air(s);
    cli_size_loop(s);
    cli_size_year(s);
    cli_size_others(s);
}

int cli_check_sizing(const cli_inputs *inputs, const cb_plant *plant, const cli_options *options)
{
    const cb_design *design = inputs->design;
    const cli_subject subject = {
        .inputs = inputs, .plant = plant, .bill = inputs->bill, .loads = cli_loads_of(inputs)};
    cli_facts facts = {.system = options->units};
    cli_sheet s = {.facts = &facts, .subject = &subject, .design = design};
    cb_error error = {0};
    const cb_status status =
        cb_house_design_loads(&s.loads, design, inputs->run_weather, inputs->house, &error);
    if (status != CB_OK) {
        return cli_fail(options, &error);
    }
    fill(&s);
    return cli_facts_tell(&facts, options, design->path,
                          "its house, units and loop by size. Hours and energies are means of the "
                          "run's years.");
}
