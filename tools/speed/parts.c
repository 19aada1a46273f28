// SPDX-License-Identifier: MIT
// What runs of the engine cost: the long run by stages, and how cost grows.
#include "speed.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const char hard_winter[] =
    "[{year: 3, one_in: 20, cold_snap: -30 degF, snap_length: 5 days}]";

static void add_set(speed_plan *plan, const char *path, const char *value)
{
    for (int n = 0; n < SPEED_MOST_SET; n++) {
        if (!plan->set[n].path || strcmp(plan->set[n].path, path) == 0) {
            plan->set[n] = (cb_override){path, value};
            return;
        }
    }
}

static speed_plan plain(void)
{
    speed_plan plan = {.cell_factor = 1.0, .tolerance_factor = 1.0, .threads = 1};
    add_set(&plan, "weather.hard_winters", "[]");
    return plan;
}

// Small enough to be over in seconds.
static void make_quick(speed_plan *plan)
{
    add_set(plan, "run.accuracy", "draft");
    add_set(plan, "run.start", "12-01");
    add_set(plan, "run.slices", "2");
    plan->cell_factor *= 2.5;
    plan->days = 20;
}

static speed_result tight(const speed_plan *plan)
{
    speed_plan other = *plan;
    other.tolerance_factor = 0.02;
    other.record = NULL;
    return speed_measure(&other);
}

static void write_errors(cbx_json *json, const speed_error *error)
{
    cbx_json_number(json, "error_coldest_k", error->coldest_k);
    cbx_json_number(json, "error_heat_relative", error->heat_relative);
}

static void write_counters(cbx_json *json, const speed_result *run)
{
    cbx_json_number(json, "cells", (double)run->quality.cells);
    cbx_json_number(json, "slices", run->quality.slices);
    cbx_json_number(json, "simulated_years", run->simulated_years);
    cbx_json_number(json, "steps", (double)run->quality.steps);
    cbx_json_number(json, "rhs_evaluations", (double)run->quality.rhs_evaluations);
    cbx_json_number(json, "linear_setups", (double)run->quality.linear_setups);
    cbx_json_number(json, "newton_iterations", (double)run->quality.newton_iterations);
    cbx_json_number(json, "newton_failures", (double)run->quality.newton_failures);
    cbx_json_number(json, "energy_audit_relative", run->quality.energy_audit_relative);
}

// Whole run: settling and estimate are shares of all, the others come with each year.
static void show_stages(const speed_result *run, cbx_json *json)
{
    cbx_json_open(json, "stages", '{');
    for (int n = 0; n < SPEED_STAGES; n++) {
        const double share = run->stage_s[n] / run->cpu_s;
        printf("    %-14s %8.2f s  %5.1f %%\n", speed_stage_name[n], run->stage_s[n],
               100.0 * share);
        cbx_json_number(json, speed_stage_name[n], run->stage_s[n]);
    }
    cbx_json_close(json, '}');
}

static bool show_engine(const speed_result *run, const speed_error *error, cbx_json *json)
{
    const double per_year = run->run_cpu_s / run->simulated_years;
    const double per_2000 = per_year * 2000.0 / (double)run->quality.cells;
    printf("Starter case, %.2f years, one thread: %ld cells in %d slices\n", run->simulated_years,
           run->quality.cells, run->quality.slices);
    printf("  %.3f s per simulated year, %.3f s for every 2,000 cells; %.1f s in all\n", per_year,
           per_2000, run->cpu_s);
    printf("  %ld steps, %ld right-hand sides, %ld set-ups, %ld Newton iterations, %ld failed\n",
           run->quality.steps, run->quality.rhs_evaluations, run->quality.linear_setups,
           run->quality.newton_iterations, run->quality.newton_failures);
    printf("  against tight tolerances: coldest %.4f K, heat %.4f %%\n", error->coldest_k,
           100.0 * error->heat_relative);
    printf("  peak memory %.1f MB, file %.1f MB\n", run->peak_mb, run->file_mb);
    cbx_json_number(json, "seconds_per_year", per_year);
    cbx_json_number(json, "seconds_per_year_per_2000_cells", per_2000);
    cbx_json_number(json, "seconds", run->cpu_s);
    write_counters(json, run);
    write_errors(json, error);
    show_stages(run, json);
    cbx_json_number(json, "peak_memory_mb", run->peak_mb);
    cbx_json_number(json, "file_mb", run->file_mb);
    return true;
}

bool speed_engine(const speed_options *options, cbx_json *json)
{
    char path[64];
    snprintf(path, sizeof path, "/tmp/coilbed-bench-%ld.h5", (long)getpid());
    speed_plan plan = plain();
    plan.record = path;
    if (options->quick) {
        make_quick(&plan);
    } else {
        add_set(&plan, "run.years", "25");
        add_set(&plan, "weather.hard_winters", hard_winter);
    }
    const speed_result run = speed_measure(&plan);
    unlink(path);
    plan.days = options->quick ? plan.days : 3L * CB_YEAR_DAYS; // holds the hard winter
    const speed_result reference = tight(&plan);
    speed_result head = run; // as far as the reference goes
    head.years = reference.years < run.years ? reference.years : run.years;
    const speed_error error = speed_compare(&head, &reference);
    cbx_json_open(json, "engine", '{');
    const bool ok = run.ok && reference.ok && show_engine(&run, &error, json);
    cbx_json_close(json, '}');
    return ok;
}

// ---- growth ----------------------------------------------------------------------------------

typedef struct growth_row {
    double cells, per_year_s, wall_per_year_s;
    bool ok;
} growth_row;

// One row; its error is that of `reference`, or of a tight run made here if that is NULL.
static growth_row grow(const speed_plan *plan, const char *what, const speed_result *reference,
                       speed_result *keep, cbx_json *json)
{
    const speed_result run = speed_measure(plan);
    const speed_result own = reference ? *reference : tight(plan);
    const speed_error error = speed_compare(&run, &own);
    const growth_row row = {(double)run.quality.cells, run.run_cpu_s / run.simulated_years,
                            run.run_wall_s / run.simulated_years, run.ok};
    printf("  %-22s %6ld %3d %8.2f %9.3f %9.3f %9.4f %8.4f %7.1f\n", what, run.quality.cells,
           run.quality.slices, run.simulated_years, row.per_year_s,
           row.per_year_s * 2000.0 / row.cells, error.coldest_k, 100.0 * error.heat_relative,
           run.peak_mb);
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "name", what);
    cbx_json_number(json, "threads", plan->threads);
    cbx_json_number(json, "seconds_per_year", row.per_year_s);
    cbx_json_number(json, "wall_seconds_per_year", row.wall_per_year_s);
    cbx_json_number(json, "peak_memory_mb", run.peak_mb);
    write_counters(json, &run);
    write_errors(json, &error);
    cbx_json_close(json, '}');
    if (keep) {
        *keep = own;
    }
    return row;
}

static bool grow_cells(bool quick, cbx_json *json)
{
    static const double factor[] = {2.6, 1.75, 1.0, 0.7, 0.47, 0.31};
    const int count = quick ? 2 : (int)(sizeof factor / sizeof *factor);
    growth_row row[sizeof factor / sizeof *factor];
    bool ok = true;
    cbx_json_open(json, "by_cells", '[');
    for (int n = 0; n < count; n++) {
        speed_plan plan = plain();
        add_set(&plan, "run.start", "12-01");
        add_set(&plan, "run.slices", "1");
        plan.cell_factor = factor[n];
        plan.days = quick ? 10 : 60;
        char what[32];
        snprintf(what, sizeof what, "cell sizes x %.2f", factor[n]);
        row[n] = grow(&plan, what, NULL, NULL, json);
        ok = ok && row[n].ok;
    }
    cbx_json_close(json, ']');
    const double power = log(row[count - 1].per_year_s / row[0].per_year_s) /
                         log(row[count - 1].cells / row[0].cells);
    printf("  cost grows as n^%.2f\n", power);
    cbx_json_number(json, "power_of_cells", power);
    return ok;
}

static bool grow_years(bool quick, cbx_json *json)
{
    static const char *const years[] = {"1", "2", "5", "10", "25", "50"};
    const int count = quick ? 1 : (int)(sizeof years / sizeof *years);
    bool ok = true;
    cbx_json_open(json, "by_years", '[');
    for (int n = 0; n < count; n++) {
        speed_plan plan = plain();
        add_set(&plan, "run.accuracy", "draft");
        add_set(&plan, "run.slices", "1");
        add_set(&plan, "run.years", years[n]);
        plan.cell_factor = 2.0;
        plan.days = quick ? 20 : 0;
        char what[32];
        snprintf(what, sizeof what, "%s years", years[n]);
        ok = grow(&plan, what, NULL, NULL, json).ok && ok;
    }
    cbx_json_close(json, ']');
    return ok;
}

// Bits are the same with any number of threads, so the tight run of one serves both.
static bool grow_slices(bool quick, cbx_json *json)
{
    static const char *const slices[] = {"1", "2", "4", "8"};
    bool ok = true;
    double gain = NAN;
    cbx_json_open(json, "by_slices", '[');
    for (int n = 0; n < (quick ? 1 : 4); n++) {
        speed_plan plan = plain();
        speed_result reference;
        add_set(&plan, "run.start", "12-01");
        add_set(&plan, "run.slices", slices[n]);
        plan.days = quick ? 5 : 60;
        growth_row row[2];
        for (int threads = 1; threads <= 2; threads++) {
            char what[32];
            snprintf(what, sizeof what, "%s slices, %d thread%s", slices[n], threads,
                     threads > 1 ? "s" : "");
            plan.threads = threads;
            row[threads - 1] = grow(&plan, what, threads > 1 ? &reference : NULL, &reference, json);
            ok = ok && row[threads - 1].ok;
        }
        gain = row[0].wall_per_year_s / row[1].wall_per_year_s;
        printf("    two threads: %.2f times as fast by the clock\n", gain);
    }
    cbx_json_close(json, ']');
    cbx_json_number(json, "two_threads_gain", gain);
    return ok;
}

bool speed_growth(const speed_options *options, cbx_json *json)
{
    printf(
        "Growth                    cells  sl    years    s/year  per 2000   coldest     heat      "
        "MB\n"
        "                                                   processor s   error K  error %%\n");
    cbx_json_open(json, "growth", '{');
    bool ok = grow_cells(options->quick, json);
    ok = grow_years(options->quick, json) && ok;
    ok = grow_slices(options->quick, json) && ok;
    cbx_json_close(json, '}');
    return ok;
}
