// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double metres_per_inch = 0.0254;
static const double metres_per_millimetre = 0.001;

// Outside diameters of iron-pipe-size polyethylene pipe, ASTM D3035. The minimum wall, OD / SDR
// to the nearest 0.001 in, equals every published wall found for SDR 9, 11 and 13.5; those of
// SDR 17 are by the rule. Wall tolerance +12 %, hence an average wall of 1.06 x the minimum (from
// memory; of the standard only the first page was seen).
typedef struct inch_size {
    const char *nominal;
    double outside_in;
} inch_size;

static const inch_size inch_sizes[] = {
    {"3/4 in", 1.050}, {"1 in", 1.315}, {"1-1/4 in", 1.660}, {"1-1/2 in", 1.900}, {"2 in", 2.375},
};
static const double inch_sdr[] = {9.0, 11.0, 13.5, 17.0};
static const double average_over_minimum_wall = 1.06;

// ISO 4427-2:2007 / EN 12201-2 minimum and maximum walls, minima as two makers print them, maxima
// as one does; the row of 20 mm is from memory. 25 mm has no SDR 17 there. The average wall is
// the mean of the two.
typedef struct metric_size {
    const char *nominal;
    double outside_mm, sdr, minimum_wall_mm, maximum_wall_mm;
} metric_size;

static const metric_size metric_sizes[] = {
    {"20 mm", 20, 11.0, 2.0, 2.3}, {"25 mm", 25, 11.0, 2.3, 2.7}, {"25 mm", 25, 13.6, 2.0, 2.3},
    {"32 mm", 32, 11.0, 3.0, 3.4}, {"32 mm", 32, 13.6, 2.4, 2.8}, {"32 mm", 32, 17.0, 2.0, 2.3},
    {"40 mm", 40, 11.0, 3.7, 4.2}, {"40 mm", 40, 13.6, 3.0, 3.5}, {"40 mm", 40, 17.0, 2.4, 2.8},
    {"50 mm", 50, 11.0, 4.6, 5.2}, {"50 mm", 50, 13.6, 3.7, 4.2}, {"50 mm", 50, 17.0, 3.0, 3.4},
    {"63 mm", 63, 11.0, 5.8, 6.5}, {"63 mm", 63, 13.6, 4.7, 5.3}, {"63 mm", 63, 17.0, 3.8, 4.3},
};

static const char *const nominals[] = {
    "3/4 in", "1 in",  "1-1/4 in", "1-1/2 in", "2 in",  "20 mm",
    "25 mm",  "32 mm", "40 mm",    "50 mm",    "63 mm",
};

enum {
    INCH_COUNT = sizeof inch_sizes / sizeof *inch_sizes,
    INCH_SDR_COUNT = sizeof inch_sdr / sizeof *inch_sdr,
    METRIC_COUNT = sizeof metric_sizes / sizeof *metric_sizes,
    NOMINAL_COUNT = sizeof nominals / sizeof *nominals,
    LIST_SIZE = 256
};

const char *cb_pipe_nominal(int n)
{
    return 0 <= n && n < NOMINAL_COUNT ? nominals[n] : NULL;
}

static bool same_sdr(double a, double b)
{
    return fabs(a - b) < 1e-6;
}

static cb_pipe inch_pipe(const inch_size *size, double sdr)
{
    const double minimum_in = round(1000.0 * size->outside_in / sdr) / 1000.0;
    const double wall_in = average_over_minimum_wall * minimum_in;
    return (cb_pipe){.outside_diameter_m = size->outside_in * metres_per_inch,
                     .inside_diameter_m = (size->outside_in - 2.0 * wall_in) * metres_per_inch};
}

static cb_pipe metric_pipe(const metric_size *size)
{
    const double two_walls_mm = size->minimum_wall_mm + size->maximum_wall_mm;
    return (cb_pipe){.outside_diameter_m = size->outside_mm * metres_per_millimetre,
                     .inside_diameter_m =
                         (size->outside_mm - two_walls_mm) * metres_per_millimetre};
}

static bool find(cb_pipe *out, const char *nominal, double sdr)
{
    for (int i = 0; i < INCH_COUNT; i++) {
        for (int k = 0; k < INCH_SDR_COUNT; k++) {
            if (strcmp(inch_sizes[i].nominal, nominal) == 0 && same_sdr(inch_sdr[k], sdr)) {
                *out = inch_pipe(&inch_sizes[i], inch_sdr[k]);
                return true;
            }
        }
    }
    for (int i = 0; i < METRIC_COUNT; i++) {
        if (strcmp(metric_sizes[i].nominal, nominal) == 0 && same_sdr(metric_sizes[i].sdr, sdr)) {
            *out = metric_pipe(&metric_sizes[i]);
            return true;
        }
    }
    return false;
}

static void append(char list[LIST_SIZE], const char *text)
{
    const size_t used = strlen(list);
    snprintf(list + used, LIST_SIZE - used, "%s%s", used ? ", " : "", text);
}

static void append_sdr(char list[LIST_SIZE], double sdr)
{
    char text[32];
    snprintf(text, sizeof text, "%g", sdr);
    append(list, text);
}

/// Empty when the size does not exist.
static void list_sdr_of(char list[LIST_SIZE], const char *nominal)
{
    list[0] = '\0';
    for (int i = 0; i < INCH_COUNT; i++) {
        for (int k = 0; k < INCH_SDR_COUNT && strcmp(inch_sizes[i].nominal, nominal) == 0; k++) {
            append_sdr(list, inch_sdr[k]);
        }
    }
    for (int i = 0; i < METRIC_COUNT; i++) {
        if (strcmp(metric_sizes[i].nominal, nominal) == 0) {
            append_sdr(list, metric_sizes[i].sdr);
        }
    }
}

static cb_status refuse(const char *nominal, double sdr, cb_error *error)
{
    char list[LIST_SIZE];
    list_sdr_of(list, nominal);
    if (list[0]) {
        return cb_fail(error, CB_BAD_INPUT, "pipe \"%s\" does not exist in SDR %g; its SDRs are %s",
                       nominal, sdr, list);
    }
    for (int n = 0; n < NOMINAL_COUNT; n++) {
        append(list, nominals[n]);
    }
    return cb_fail(error, CB_BAD_INPUT,
                   "pipe size \"%s\" is unknown; sizes are %s; SDRs are 9, 11, 13.5, 17 (inch "
                   "sizes) and 11, 13.6, 17 (mm sizes)",
                   nominal, list);
}

cb_status cb_pipe_find(cb_pipe *out, const char *nominal, double sdr, cb_error *error)
{
    if (!out || !nominal) {
        return cb_fail(error, CB_BAD_CALL, "cb_pipe_find needs a result and a nominal size");
    }
    *out = (cb_pipe){0};
    return find(out, nominal, sdr) ? CB_OK : refuse(nominal, sdr, error);
}

cb_status cb_pipe_of(cb_pipe *out, const cb_pipe_choice *choice, cb_error *error)
{
    if (choice->outside_diameter_m > 0.0) {
        *out = (cb_pipe){choice->outside_diameter_m, choice->inside_diameter_m};
        return CB_OK;
    }
    return cb_pipe_find(out, choice->nominal, choice->sdr, error);
}
