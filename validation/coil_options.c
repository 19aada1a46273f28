// SPDX-License-Identifier: MIT
#include "coil_options.h"

#include "coilbed/units.h"

#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const coil_accuracy_name[] = {"draft", "standard", "fine"};

enum { GO_ON = -1, HELPED = 0, WRONG = 2, ACCURACIES = 3 };

static const char usage[] =
    "Usage: coilbed-validate coil [OPTION]...\n"
    "Temperature rise of a flat coil's pipe wall (mean over the middle turn) under a constant "
    "heat\n"
    "in uniform soil that starts at rest and whose surface stays at its temperature:\n"
    "  integral   line sources along the pipe with their images, exact\n"
    "  two-scale  the program's own model: soil section and shells around the pipe\n"
    "  resolved   (--resolved) a three-dimensional grid of half a turn, of an endless row\n"
    "for closed rings in a row, and for the coil as it is laid, one advancing curve. The two are\n"
    "different bodies: a coil has more pipe per metre of trench, and its turns touch elsewhere.\n"
    "Each model is compared with the integral of its own body. The program always simulates the\n"
    "curve; for rings its shells are fitted to rings by the same rule. Coil and two-scale model\n"
    "are endless; what rings lack beyond the ends of their row is taken off as smeared pipe.\n\n"
    "  --coil-diameter LENGTH        of the turns' centre line (default 36in)\n"
    "  --pitch LENGTH                advance from turn to turn (24in)\n"
    "  --depth LENGTH                of the coil (1.5m)\n"
    "  --pipe-outside-diameter LENGTH  (26.7mm)\n"
    "  --conductivity VALUE          of the soil (1.5 W/m/K)\n"
    "  --heat-capacity VALUE         of the soil (2.5e6 J/m3/K)\n"
    "  --heat-per-metre VALUE        of pipe (20 W/m)\n"
    "  --turns N                     rings in the row (20); the middle one is looked at\n"
    "  --times LIST                  such as 1d,10d,30d,365d,steady (the default)\n"
    "  --accuracy WORD               of the two-scale model: draft, standard or fine (the "
    "default)\n"
    "  --curve                       the endless coil takes the place of rings in the JSON's\n"
    "                                integral_K, two_scale_K and resolved_K\n"
    "  --resolved                    add the three-dimensional model (minutes)\n"
    "  --json                        print JSON\n"
    "  --help                        print this\n\n"
    "A value without a unit is in SI. Exit status: 0 computed, 2 not.\n";

/// One option that takes a quantity.
typedef struct quantity {
    const char *name;
    cb_kind kind;
    double low, high; ///< accepted, SI
    const char *unit; ///< of the range as printed
    size_t place;     ///< of the double in coil_case
} quantity;

#define OF_CASE(member) offsetof(coil_case, member)
static const quantity quantities[] = {
    {"coil-diameter", CB_LENGTH, 0.2, 5.0, "m", OF_CASE(diameter_m)},
    {"pitch", CB_LENGTH, 0.05, 10.0, "m", OF_CASE(pitch_m)},
    {"depth", CB_LENGTH, 0.3, 10.0, "m", OF_CASE(depth_m)},
    {"pipe-outside-diameter", CB_LENGTH, 0.005, 0.1, "m", OF_CASE(pipe_diameter_m)},
    {"conductivity", CB_CONDUCTIVITY, 0.05, 10.0, "W/m/K", OF_CASE(conductivity_w_mk)},
    {"heat-capacity", CB_HEAT_CAPACITY, 2e5, 1e7, "J/m3/K", OF_CASE(heat_capacity_j_m3k)},
    {"heat-per-metre", CB_KIND_COUNT, 0.01, 500.0, "W/m", OF_CASE(heat_w_m)},
};
enum { QUANTITIES = sizeof quantities / sizeof *quantities };

// A bare number is SI. Heat per metre has no kind of its own: over a kelvin it is a conductivity.
static bool parse(const cb_units *units, cb_kind kind, const char *text, double *out, char *why,
                  size_t size)
{
    char *end, whole[128];
    const double bare = strtod(text, &end);
    if (end != text && *end == '\0' && isfinite(bare)) {
        *out = bare;
        return true;
    }
    cb_error error = {0};
    if (kind != CB_KIND_COUNT) {
        const bool ok = cb_units_parse(units, kind, text, out, &error) == CB_OK;
        snprintf(why, size, "%s", error.message);
        return ok;
    }
    snprintf(whole, sizeof whole, "%s/K", text);
    snprintf(why, size, "\"%s\" is no heat per length; write e.g. 20 W/m or 21 BTU/h/ft", text);
    return strlen(text) + 3 < sizeof whole &&
           cb_units_parse(units, CB_CONDUCTIVITY, whole, out, &error) == CB_OK;
}

static bool read_quantity(const cb_units *units, const quantity *one, coil_case *out)
{
    char why[CB_MESSAGE_SIZE];
    double value = NAN;
    if (!parse(units, one->kind, optarg, &value, why, sizeof why)) {
        fprintf(stderr, "coilbed-validate: coil: --%s: %s; accepted: %g to %g %s\n", one->name, why,
                one->low, one->high, one->unit);
        return false;
    }
    if (!(value >= one->low && value <= one->high)) {
        fprintf(stderr, "coilbed-validate: coil: --%s: \"%s\"; accepted: %g to %g %s\n", one->name,
                optarg, one->low, one->high, one->unit);
        return false;
    }
    memcpy((char *)out + one->place, &value, sizeof value);
    return true;
}

static bool read_turns(int *out)
{
    char *end;
    const long turns = strtol(optarg, &end, 10);
    if (end == optarg || *end != '\0' || turns < 1 || turns > 1000) {
        fprintf(stderr,
                "coilbed-validate: coil: --turns: \"%s\"; accepted: a whole number from 1 to "
                "1000\n",
                optarg);
        return false;
    }
    *out = (int)turns;
    return true;
}

static bool read_time(const cb_units *units, const char *text, double *out)
{
    static const double first_s = 60.0, last_s = 100.0 * 365.0 * 86400.0;
    char why[CB_MESSAGE_SIZE];
    if (strcmp(text, "steady") == 0) {
        *out = INFINITY;
        return true;
    }
    if (parse(units, CB_TIME, text, out, why, sizeof why) && *out >= first_s && *out <= last_s) {
        return true;
    }
    fprintf(stderr,
            "coilbed-validate: coil: --times: \"%s\"; accepted: steady, or a time from 60 s to "
            "36500 days such as 10d\n",
            text);
    return false;
}

static bool read_times(const cb_units *units, const char *list, coil_options *out)
{
    out->times = 0;
    for (const char *at = list; at; at = *at == ',' ? at + 1 : NULL) {
        const size_t length = strcspn(at, ",");
        if (out->times == COIL_MAX_TIMES || length >= COIL_TIME_TEXT) {
            fprintf(stderr,
                    "coilbed-validate: coil: --times: \"%s\"; accepted: up to %d times of up to "
                    "%d letters each\n",
                    list, COIL_MAX_TIMES, COIL_TIME_TEXT - 1);
            return false;
        }
        char *text = out->time_text[out->times];
        memcpy(text, at, length);
        text[length] = '\0';
        if (!read_time(units, text, &out->time_s[out->times++])) {
            return false;
        }
        at += length;
    }
    return true;
}

static bool read_accuracy(cb_accuracy *out)
{
    for (int n = 0; n < ACCURACIES; n++) {
        if (strcmp(optarg, coil_accuracy_name[n]) == 0) {
            *out = (cb_accuracy)n;
            return true;
        }
    }
    fprintf(stderr, "coilbed-validate: coil: --accuracy: \"%s\"; accepted: draft, standard, fine\n",
            optarg);
    return false;
}

static bool take(const cb_units *units, coil_options *out, int option)
{
    if (option < QUANTITIES) {
        return read_quantity(units, &quantities[option], &out->one);
    }
    switch (option) {
        case 'n':
            return read_turns(&out->turns);
        case 't':
            return read_times(units, optarg, out);
        case 'a':
            return read_accuracy(&out->one.accuracy);
        case 'c':
            out->curve = true;
            return true;
        case 'r':
            out->resolved = true;
            return true;
        case 'j':
            out->json = true;
            return true;
        default:
            fputs("See: coilbed-validate coil --help\n", stderr);
            return false;
    }
}

// Values that are each in range may still contradict each other.
static bool fits(const coil_case *one)
{
    if (one->pipe_diameter_m > 0.2 * one->diameter_m) {
        fprintf(stderr,
                "coilbed-validate: coil: --pipe-outside-diameter: %g m; accepted: up to a fifth of "
                "the coil's %g m\n",
                one->pipe_diameter_m, one->diameter_m);
        return false;
    }
    if (one->pitch_m < 2.0 * one->pipe_diameter_m) {
        fprintf(stderr,
                "coilbed-validate: coil: --pitch: %g m; accepted: at least two pipe diameters, "
                "%g m\n",
                one->pitch_m, 2.0 * one->pipe_diameter_m);
        return false;
    }
    if (one->depth_m < 4.0 * one->pipe_diameter_m) {
        fprintf(stderr,
                "coilbed-validate: coil: --depth: %g m; accepted: at least four pipe diameters, "
                "%g m\n",
                one->depth_m, 4.0 * one->pipe_diameter_m);
        return false;
    }
    return true;
}

static int read_all(const cb_units *units, coil_options *out, int argc, char **argv)
{
    struct option known[QUANTITIES + 8] = {{0}};
    for (int n = 0; n < QUANTITIES; n++) {
        known[n] = (struct option){quantities[n].name, required_argument, NULL, n};
    }
    const struct option others[] = {{"turns", required_argument, NULL, 'n'},
                                    {"times", required_argument, NULL, 't'},
                                    {"accuracy", required_argument, NULL, 'a'},
                                    {"curve", no_argument, NULL, 'c'},
                                    {"resolved", no_argument, NULL, 'r'},
                                    {"json", no_argument, NULL, 'j'},
                                    {"help", no_argument, NULL, 'h'}};
    memcpy(known + QUANTITIES, others, sizeof others);
    optind = 1;
    for (int option; (option = getopt_long(argc, argv, "", known, NULL)) != -1;) {
        if (option == 'h') {
            fputs(usage, stdout);
            return HELPED;
        }
        if (!take(units, out, option)) {
            return WRONG;
        }
    }
    if (optind < argc) {
        fprintf(stderr, "coilbed-validate: coil: unexpected argument \"%s\"\n", argv[optind]);
        return WRONG;
    }
    return fits(&out->one) ? GO_ON : WRONG;
}

int coil_options_read(coil_options *out, int argc, char **argv)
{
    cb_units *units;
    cb_error error = {0};
    *out = (coil_options){.one = {36 * 0.0254, 24 * 0.0254, 1.5, 0.0267, 1.5, 2.5e6, 20.0, CB_FINE},
                          .turns = 20};
    if (cb_units_create(&units, &error) != CB_OK) {
        fprintf(stderr, "coilbed-validate: coil: %s\n", error.message);
        return WRONG;
    }
    int status = read_times(units, "1d,10d,30d,365d,steady", out) ? GO_ON : WRONG;
    if (status == GO_ON) {
        status = read_all(units, out, argc, argv);
    }
    cb_units_destroy(units);
    return status;
}
