// SPDX-License-Identifier: MIT
#include "cases.h"
#include "coil_command.h"
#include "station_command.h"
#include "winter_command.h"

#include <getopt.h>
#include <stdlib.h>
#include <string.h>

#define ADDRESS(name) &validation_##name,
static const validation_case *const cases[] = {VALIDATION_CASE_LIST(ADDRESS) NULL};
#undef ADDRESS

enum { HELD = 0, MISSED = 1, TROUBLE = 2 };

static const char usage[] =
    "Usage: coilbed-validate [--json] [--filter NAME]\n"
    "       coilbed-validate soil [OPTION]... FILE...   (see: coilbed-validate soil --help)\n"
    "       coilbed-validate coil [OPTION]...           (see: coilbed-validate coil --help)\n"
    "       coilbed-validate winter [OPTION]...         (see: coilbed-validate winter --help)\n"
    "Compares coilbed with published and independently computed values, with the soil\n"
    "temperatures of measured stations, its coil with exact integrals, or its\n"
    "buried pipe in a freezing month with a three-dimensional model.\n\n"
    "  --json         print the table as JSON\n"
    "  --filter NAME  only the cases whose name contains NAME\n"
    "  --help         print this\n\n"
    "Exit status: 0 every row held, 1 a row was missed, 2 nothing could be compared.\n";

typedef struct options {
    bool json;
    const char *filter; ///< "" for all
} options;

/// -1 to go on, else the exit status.
static int read_options(options *out, int argc, char **argv)
{
    static const struct option known[] = {{"json", no_argument, NULL, 'j'},
                                          {"filter", required_argument, NULL, 'f'},
                                          {"help", no_argument, NULL, 'h'},
                                          {0}};
    *out = (options){.filter = ""};
    for (int c; (c = getopt_long(argc, argv, "", known, NULL)) != -1;) {
        switch (c) {
            case 'j':
                out->json = true;
                break;
            case 'f':
                out->filter = optarg;
                break;
            case 'h':
                fputs(usage, stdout);
                return HELD;
            default:
                fputs(usage, stderr);
                return TROUBLE;
        }
    }
    if (optind < argc) {
        fprintf(stderr, "coilbed-validate: unexpected argument \"%s\"\n%s", argv[optind], usage);
        return TROUBLE;
    }
    return -1;
}

static int run_cases(validation_table *table, const char *filter)
{
    int run = 0;
    for (const validation_case *const *one = cases; *one; one++) {
        if (strstr((*one)->name, filter)) {
            validation_run(table, *one);
            run++;
        }
    }
    return run;
}

static void list_names(FILE *out)
{
    for (const validation_case *const *one = cases; *one; one++) {
        fprintf(out, "  %s\n", (*one)->name);
    }
}

static int compare(validation_table *table, const options *chosen)
{
    if (run_cases(table, chosen->filter) == 0) {
        fprintf(stderr, "coilbed-validate: no case has \"%s\" in its name; names are\n",
                chosen->filter);
        list_names(stderr);
        return TROUBLE;
    }
    if (!validation_complete(table)) {
        fputs("coilbed-validate: out of memory\n", stderr);
        return TROUBLE;
    }
    if (chosen->json) {
        validation_print_json(table, stdout);
    } else {
        validation_print_text(table, stdout);
    }
    return validation_missed(table) > 0 ? MISSED : HELD;
}

int main(int argc, char **argv)
{
    if (argc > 1 && strcmp(argv[1], "soil") == 0) {
        return station_command(argc - 1, argv + 1);
    }
    if (argc > 1 && strcmp(argv[1], "coil") == 0) {
        return coil_command(argc - 1, argv + 1);
    }
    if (argc > 1 && strcmp(argv[1], "winter") == 0) {
        return winter_command(argc - 1, argv + 1);
    }
    options chosen;
    const int early = read_options(&chosen, argc, argv);
    if (early >= 0) {
        return early;
    }
    validation_table *table = validation_create();
    if (!table) {
        fputs("coilbed-validate: out of memory\n", stderr);
        return TROUBLE;
    }
    const int status = compare(table, &chosen);
    validation_destroy(table);
    return status;
}
