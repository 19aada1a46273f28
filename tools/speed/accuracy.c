// SPDX-License-Identifier: MIT
// What must not change when the engine gets faster: the starter and two stress cases at standard
// accuracy against runs whose cells, tolerances and slices are refined.
#include "speed.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct accuracy_case {
    const char *name;
    cb_override set[SPEED_MOST_SET];
} accuracy_case;

// The one winter is a hard one.
static const char winters[] = "[{year: 1, one_in: 20, cold_snap: -30 degF, snap_length: 5 days}]";

static const accuracy_case cases[] = {
    {"starter", {{"weather.hard_winters", winters}, {"run.years", "1"}}},
    {"no_snow_dry_sand",
     {{"weather.hard_winters", winters},
      {"run.years", "1"},
      {"ground.layers", "[{material: sand, moisture: dry}]"},
      {"ground.surface.snow_kept", "0"}}},
    {"saturated_clay",
     {{"weather.hard_winters", winters},
      {"run.years", "1"},
      {"ground.layers", "[{material: clay, moisture: saturated}]"}}},
};
enum { CASES = sizeof cases / sizeof *cases };

static speed_plan plan_of(const accuracy_case *one, bool refined, bool quick)
{
    speed_plan plan = {.cell_factor = 1.0, .tolerance_factor = 1.0, .threads = 1};
    int count = 0;
    for (; one->set[count].path; count++) {
        plan.set[count] = one->set[count];
    }
    if (quick) {
        plan.set[count++] = (cb_override){"run.start", "12-01"};
        plan.set[count++] = (cb_override){"run.slices", refined ? "2" : "1"};
        plan.cell_factor = refined ? 1.8 : 2.5;
        plan.days = 20;
    } else if (refined) {
        plan.set[count++] = (cb_override){"run.accuracy", "fine"};
        plan.set[count++] = (cb_override){"run.slices", "6"};
        plan.cell_factor = 0.85;
        plan.tolerance_factor = 0.2;
        plan.days = CB_YEAR_DAYS; // stopped then, so no estimate
    } else {
        plan.days = CB_YEAR_DAYS;
    }
    return plan;
}

// ---- refined runs kept between benches ---------------------------------------------------------

static bool find_kept(const char *path, const char *name, speed_result *out)
{
    FILE *file = path ? fopen(path, "r") : NULL;
    bool found = false;
    char word[64];
    while (file && !found && fscanf(file, "%63s %d", word, &out->years) == 2) {
        bool whole = out->years > 0 && out->years <= SPEED_MOST_YEARS;
        for (int n = 0; whole && n < out->years; n++) {
            whole = fscanf(file, "%lf %lf %lf", &out->coldest_c[n], &out->heat_j[n],
                           &out->ice_m[n]) == 3;
        }
        found = whole && strcmp(word, name) == 0;
    }
    if (file) {
        fclose(file);
    }
    out->ok = found;
    return found;
}

static void keep(const char *path, const char *name, const speed_result *run)
{
    FILE *file = path && run->ok ? fopen(path, "a") : NULL;
    if (file) {
        fprintf(file, "%s %d", name, run->years);
        for (int n = 0; n < run->years; n++) {
            fprintf(file, " %.12g %.12g %.12g", run->coldest_c[n], run->heat_j[n], run->ice_m[n]);
        }
        fprintf(file, "\n");
        fclose(file);
    }
}

static speed_result reference_of(const accuracy_case *one, const speed_options *options)
{
    speed_result result = {0};
    if (!find_kept(options->reference, one->name, &result)) {
        const speed_plan plan = plan_of(one, true, options->quick);
        result = speed_measure(&plan);
        keep(options->reference, one->name, &result);
    }
    return result;
}

// ---- the table -------------------------------------------------------------------------------

static void show(const char *name, const speed_result *run, const speed_error *error,
                 const speed_result *reference, cbx_json *json)
{
    const int last = run->years - 1;
    printf("  %-18s %6ld %9.3f %9.3f %9.4f %8.4f %8.1f %9.1e %8.2f\n", name, run->quality.cells,
           run->coldest_c[last], reference->coldest_c[last], error->coldest_k,
           100.0 * error->heat_relative, 1e3 * error->ice_m, run->quality.energy_audit_relative,
           run->run_cpu_s / run->simulated_years);
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "name", name);
    cbx_json_number(json, "cells", (double)run->quality.cells);
    cbx_json_number(json, "coldest_c", run->coldest_c[last]);
    cbx_json_number(json, "refined_coldest_c", reference->coldest_c[last]);
    cbx_json_number(json, "error_annual_minimum_k", error->coldest_k);
    cbx_json_number(json, "error_annual_heat_relative", error->heat_relative);
    cbx_json_number(json, "ice_radius_m", run->ice_m[last]);
    cbx_json_number(json, "error_ice_radius_m", error->ice_m);
    cbx_json_number(json, "energy_audit_relative", run->quality.energy_audit_relative);
    cbx_json_number(json, "seconds_per_year", run->run_cpu_s / run->simulated_years);
    cbx_json_close(json, '}');
}

bool speed_accuracy(const speed_options *options, cbx_json *json)
{
    bool ok = true;
    printf(
        "Accuracy, one year      cells   coldest   refined   error K   heat %%   ice mm     audit "
        "  s/year\n");
    cbx_json_open(json, "accuracy", '[');
    for (int n = 0; n < CASES; n++) {
        const speed_plan plan = plan_of(&cases[n], false, options->quick);
        const speed_result run = speed_measure(&plan);
        const speed_result reference = reference_of(&cases[n], options);
        const speed_error error = speed_compare(&run, &reference);
        if (run.ok && reference.ok) {
            show(cases[n].name, &run, &error, &reference, json);
        }
        ok = ok && run.ok && reference.ok;
        fflush(stdout);
    }
    cbx_json_close(json, ']');
    return ok;
}
