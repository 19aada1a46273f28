// SPDX-License-Identifier: MIT
// One winter month of one system by the engine and by solvers as they come, same tolerances.
#include "speed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct solution {
    double seconds; // negative: none
    double *entering_c, *end;
    long steps;
} solution;

static bool make_room(solution *one, const speed_month *month)
{
    *one = (solution){.seconds = -1.0};
    one->entering_c = calloc((size_t)speed_month_hours(month), sizeof *one->entering_c);
    one->end = calloc((size_t)speed_month_size(month), sizeof *one->end);
    return one->entering_c && one->end;
}

static void free_room(solution *one)
{
    free(one->entering_c);
    free(one->end);
}

static double entering_error_k(const speed_month *month, const solution *one, const solution *truth)
{
    double worst = 0.0;
    for (int hour = 0; hour < speed_month_hours(month); hour++) {
        const double apart = fabs(one->entering_c[hour] - truth->entering_c[hour]);
        worst = apart <= worst ? worst : apart; // NaN counts
    }
    return worst;
}

static void show(const char *name, const speed_month *month, const solution *one,
                 const solution *truth, double engine_s, cbx_json *json)
{
    const double year_s = one->seconds * 8760.0 / speed_month_hours(month);
    cbx_json_open(json, name, '{');
    if (one->seconds < 0.0) {
        printf("  %-22s not run\n", name);
        cbx_json_null(json, "seconds_per_year");
    } else {
        const double entering_k = entering_error_k(month, one, truth);
        const double soil_k = speed_month_soil_k(month, one->end, truth->end);
        printf("  %-22s %10.3f %9.2f %10.5f %9.4f\n", name, year_s, one->seconds / engine_s,
               entering_k, soil_k);
        cbx_json_number(json, "seconds_per_year", year_s);
        cbx_json_number(json, "times_engine", one->seconds / engine_s);
        cbx_json_number(json, "error_entering_k", entering_k);
        cbx_json_number(json, "error_soil_k", soil_k);
    }
    cbx_json_close(json, '}');
}

// The script prints seconds, then the hours' entering water, then the end state.
static void run_scipy(const speed_options *options, const speed_month *month, solution *one)
{
    char command[2048];
    if (!options->python || !options->module || !options->script) {
        return;
    }
    snprintf(command, sizeof command, "'%s' '%s' '%s' %d", options->python, options->script,
             options->module, options->quick);
    fflush(NULL);
    FILE *from = popen(command, "r"); // NOLINT(cert-env33-c): words come from the caller's options
    if (!from) {
        return;
    }
    bool ok = fscanf(from, "%lf", &one->seconds) == 1;
    for (int n = 0; ok && n < speed_month_hours(month); n++) {
        ok = fscanf(from, "%lf", &one->entering_c[n]) == 1;
    }
    for (int n = 0; ok && n < speed_month_size(month); n++) {
        ok = fscanf(from, "%lf", &one->end[n]) == 1;
    }
    if (pclose(from) != 0 || !ok) {
        one->seconds = -1.0;
    }
}

static void show_floor(speed_month *month, double engine_s, cbx_json *json)
{
    const double solve_s = speed_month_triangles_s(month);
    const int steps = speed_month_hours(month); // no step is longer than an hour
    const double floor_s = solve_s * steps;
    printf("  %-22s %10.3f %9.2f   (%.3f ms for one solve)\n", "one solve per step",
           floor_s * 8760.0 / speed_month_hours(month), floor_s / engine_s, 1e3 * solve_s);
    cbx_json_open(json, "floor", '{');
    cbx_json_number(json, "seconds_per_solve", solve_s);
    cbx_json_number(json, "seconds_per_year", floor_s * 8760.0 / speed_month_hours(month));
    cbx_json_number(json, "times_engine", floor_s / engine_s);
    cbx_json_close(json, '}');
}

// The least of a few repeats: the machine may be busy with other things.
static void run_engine(speed_month *month, solution *one)
{
    for (int n = 0; n < 3; n++) {
        const double taken = speed_month_engine(month, 1.0, one->entering_c, one->end);
        one->seconds = n == 0 || taken < one->seconds ? taken : one->seconds;
    }
}

static bool compare(const speed_options *options, speed_month *month, cbx_json *json)
{
    solution engine, truth, klu, scipy;
    bool ok = make_room(&engine, month);
    ok = make_room(&truth, month) && ok;
    ok = make_room(&klu, month) && ok;
    ok = make_room(&scipy, month) && ok;
    if (ok) {
        truth.seconds = speed_month_engine(month, 0.01, truth.entering_c, truth.end);
        run_engine(month, &engine);
        ok = truth.seconds > 0.0 && engine.seconds > 0.0;
    }
    if (ok) {
#ifdef SPEED_HAS_KLU
        klu.seconds = speed_klu_month(month, klu.entering_c, klu.end, &klu.steps);
#endif
        run_scipy(options, month, &scipy);
        printf("Same system, %d states, %d hours\n"
               "                              s/year  x engine entering K    soil K\n",
               speed_month_size(month), speed_month_hours(month));
        cbx_json_number(json, "states", speed_month_size(month));
        cbx_json_number(json, "hours", speed_month_hours(month));
        show("engine", month, &engine, &truth, engine.seconds, json);
        show("engine_tight", month, &truth, &truth, engine.seconds, json);
        show("cvode_klu", month, &klu, &truth, engine.seconds, json);
        show("scipy_bdf", month, &scipy, &truth, engine.seconds, json);
        show_floor(month, engine.seconds, json);
    }
    free_room(&engine);
    free_room(&truth);
    free_room(&klu);
    free_room(&scipy);
    return ok;
}

bool speed_same_system(const speed_options *options, cbx_json *json)
{
    speed_month *month = speed_month_open(options->quick);
    cbx_json_open(json, "same_system", '{');
    const bool ok = month && compare(options, month, json);
    cbx_json_close(json, '}');
    speed_month_close(month);
    return ok;
}
