// SPDX-License-Identifier: MIT
#include "coil_command.h"

#include "coil_options.h"
#include "loop/coil_rise.h"
#include "resolved_coil.h"
#include "source_row.h"

#include <math.h>
#include <stdio.h>

enum { COMPUTED = 0, TROUBLE = 2 };

/// Rises of one body at every time; NaN: not computed.
typedef struct body {
    const char *name;
    bool rings;
    double integral_k[COIL_MAX_TIMES], two_scale_k[COIL_MAX_TIMES], resolved_k[COIL_MAX_TIMES];
} body;

// ---- computing -------------------------------------------------------------------------------

static source_row ring_row(const coil_options *options)
{
    const coil_case *one = &options->one;
    return (source_row){{PATH_RINGS, one->diameter_m, one->pitch_m, 0.0, one->depth_m, 0.0},
                        0.5 * one->pipe_diameter_m,
                        options->turns};
}

// A row so short that its ends lie within the turns that the middle one touches is no row.
static bool is_row(const coil_options *options)
{
    return ((options->turns - 1) / 2 + 0.5) * options->one.pitch_m >= options->one.diameter_m;
}

static void integrate(const coil_options *options, body *of)
{
    const coil_case *one = &options->one;
    const double scale = one->heat_w_m / one->conductivity_w_mk;
    const source_row row = ring_row(options);
    const double diffusivity = one->conductivity_w_mk / one->heat_capacity_j_m3k;
    for (int n = 0; n < options->times; n++) {
        const double time_s = options->time_s[n];
        of->integral_k[n] =
            scale * (of->rings ? source_row_rise(&row, coil_diffusion_length_m(one, time_s))
                               : cb_coil_transient_rise(one->diameter_m, one->pitch_m, one->depth_m,
                                                        row.pipe_radius_m, diffusivity, time_s));
    }
}

/// Takes off what an endless row of rings has beyond the ends of the given one: the difference of
/// their ring integrals.
static void cut_ends(const coil_options *options, double *rise_k)
{
    const coil_case *one = &options->one;
    const source_row row = ring_row(options);
    for (int n = 0; n < options->times; n++) {
        const double length_m = coil_diffusion_length_m(one, options->time_s[n]);
        const cbx_coil_row endless = {.coil_diameter_m = one->diameter_m,
                                      .pitch_m = one->pitch_m,
                                      .depth_m = one->depth_m,
                                      .pipe_radius_m = row.pipe_radius_m,
                                      .separate_rings = true,
                                      .diffusion_length_m = length_m};
        rise_k[n] -= one->heat_w_m / one->conductivity_w_mk *
                     (cbx_coil_row_rise(&endless) - source_row_rise(&row, length_m));
        rise_k[n] = is_row(options) ? rise_k[n] : NAN;
    }
}

static void compute(const coil_options *options, body *of)
{
    for (int n = 0; n < options->times; n++) {
        of->resolved_k[n] = NAN;
    }
    integrate(options, of);
    cb_error error = {0};
    if (!coil_two_scale_rises(&options->one, of->rings, options->time_s, options->times,
                              of->two_scale_k, &error)) {
        fprintf(stderr, "coilbed-validate: coil: %s\n", error.message);
    }
    if (options->resolved && !resolved_coil_rises(&options->one, of->rings, options->time_s,
                                                  options->times, of->resolved_k, &error)) {
        fprintf(stderr, "coilbed-validate: coil: %s\n", error.message);
    }
    if (of->rings) {
        cut_ends(options, of->two_scale_k);
        cut_ends(options, of->resolved_k);
    }
}

// ---- telling ---------------------------------------------------------------------------------

static void print_difference(double got, double exact)
{
    if (isnan(got)) {
        printf(" %10s %9s %8s", "-", "", "");
    } else {
        printf(" %10.4f %+9.4f %+7.2f%%", got, got - exact, 100.0 * (got / exact - 1.0));
    }
}

static void print_body(const coil_options *options, const body *of, double pipe_per_metre)
{
    printf("\n%s, %.3f m of pipe per metre of trench\n", of->name, pipe_per_metre);
    printf("%-12s %10s %10s %9s %8s", "time", "integral K", "two-scale", "diff. K", "");
    printf(options->resolved ? " %10s %9s\n" : "\n", "resolved", "diff. K");
    for (int n = 0; n < options->times; n++) {
        printf("%-12s %10.4f", options->time_text[n], of->integral_k[n]);
        print_difference(of->two_scale_k[n], of->integral_k[n]);
        if (options->resolved) {
            print_difference(of->resolved_k[n], of->integral_k[n]);
        }
        putchar('\n');
    }
}

static void print_text(const coil_options *options, const body *rings, const body *curve)
{
    const coil_case *one = &options->one;
    printf("Rise of the pipe wall, mean over the middle turn, under %g W per metre of pipe.\n"
           "Turns of %g m, %g m apart, %g m deep; pipe of %g mm; soil of %g W/m/K and %g J/m3/K;\n"
           "isothermal surface. Two-scale model at %s accuracy.\n",
           one->heat_w_m, one->diameter_m, one->pitch_m, one->depth_m,
           1000.0 * one->pipe_diameter_m, one->conductivity_w_mk, one->heat_capacity_j_m3k,
           coil_accuracy_name[one->accuracy]);
    print_body(options, rings, coil_pipe_per_metre(one, true));
    print_body(options, curve, coil_pipe_per_metre(one, false));
    printf("\nRings and coil are different bodies: compare each model with its own integral.\n"
           "Of %d rings the models take an endless row, less what the two rows' ring integrals\n"
           "differ by.\n",
           options->turns);
    if (!is_row(options)) {
        puts("So few rings are no row, and the models know only rows: they say nothing "
             "of them.");
    }
}

static void print_member(const char *name, double value)
{
    if (isnan(value)) {
        printf(", \"%s\": null", name); // JSON has no NaN
    } else {
        printf(", \"%s\": %.9g", name, value);
    }
}

static void print_json(const coil_options *options, const body *rings, const body *curve)
{
    const body *asked = options->curve ? curve : rings;
    printf("{\"body\": \"%s\", \"turns\": %d, \"accuracy\": \"%s\", \"times\": [",
           options->curve ? "curve" : "rings", options->turns,
           coil_accuracy_name[options->one.accuracy]);
    for (int n = 0; n < options->times; n++) {
        printf("%s\n  {\"time\": \"%s\"", n ? "," : "", options->time_text[n]);
        print_member("integral_K", asked->integral_k[n]);
        print_member("two_scale_K", asked->two_scale_k[n]);
        if (options->resolved) {
            print_member("resolved_K", asked->resolved_k[n]);
        }
        print_member("difference_K", asked->two_scale_k[n] - asked->integral_k[n]);
        print_member("difference_percent",
                     100.0 * (asked->two_scale_k[n] / asked->integral_k[n] - 1.0));
        print_member("rings_integral_K", rings->integral_k[n]);
        print_member("rings_two_scale_K", rings->two_scale_k[n]);
        print_member("curve_integral_K", curve->integral_k[n]);
        print_member("curve_two_scale_K", curve->two_scale_k[n]);
        if (options->resolved) {
            print_member("rings_resolved_K", rings->resolved_k[n]);
            print_member("curve_resolved_K", curve->resolved_k[n]);
        }
        putchar('}');
    }
    puts("\n]}");
}

int coil_command(int argc, char **argv)
{
    coil_options options;
    const int early = coil_options_read(&options, argc, argv);
    if (early >= 0) {
        return early;
    }
    char row_name[64];
    snprintf(row_name, sizeof row_name, "%d closed ring%s", options.turns,
             options.turns > 1 ? "s in a row" : "");
    body rings = {.name = row_name, .rings = true};
    body curve = {.name = "Endless coil, the true curve"};
    compute(&options, &rings);
    compute(&options, &curve);
    if (options.json) {
        print_json(&options, &rings, &curve);
    } else {
        print_text(&options, &rings, &curve);
    }
    return COMPUTED;
}
