// SPDX-License-Identifier: MIT
#include "speed.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
    "Usage: coilbed-bench [OPTION]...\n"
    "Measures coilbed's speed in processor seconds, each row with its error against a run with\n"
    "tight tolerances. Without options it takes some tens of minutes.\n\n"
    "  --quick          small runs, over in a minute: shows that the bench works\n"
    "  --json FILE      write the numbers to FILE too\n"
    "  --only PART      engine, same_system, growth or accuracy\n"
    "  --python PATH    a Python that has SciPy, for its row of same_system\n"
    "  --module PATH    speed_month.so, for that row\n"
    "  --script PATH    scipy_month.py, for that row\n"
    "  --reference FILE keep the refined runs of accuracy in FILE, or take them from there\n"
    "  --help           print this\n";

enum { DONE = 0, FAILED = 1, MISUSED = 2 };

// -1 to go on, else the exit status.
static int read_options(speed_options *out, int argc, char **argv)
{
    static const struct option known[] = {{"quick", no_argument, NULL, 'q'},
                                          {"json", required_argument, NULL, 'j'},
                                          {"only", required_argument, NULL, 'o'},
                                          {"python", required_argument, NULL, 'p'},
                                          {"module", required_argument, NULL, 'm'},
                                          {"script", required_argument, NULL, 's'},
                                          {"reference", required_argument, NULL, 'r'},
                                          {"help", no_argument, NULL, 'h'},
                                          {0}};
    *out = (speed_options){0};
    for (int c; (c = getopt_long(argc, argv, "", known, NULL)) != -1;) {
        switch (c) {
            case 'q':
                out->quick = true;
                break;
            case 'j':
                out->json = optarg;
                break;
            case 'o':
                out->only = optarg;
                break;
            case 'p':
                out->python = optarg;
                break;
            case 'm':
                out->module = optarg;
                break;
            case 's':
                out->script = optarg;
                break;
            case 'r':
                out->reference = optarg;
                break;
            case 'h':
                fputs(usage, stdout);
                return DONE;
            default:
                fputs(usage, stderr);
                return MISUSED;
        }
    }
    return -1;
}

typedef struct part {
    const char *name;
    bool (*run)(const speed_options *options, cbx_json *json);
} part;

static const part parts[] = {{"same_system", speed_same_system},
                             {"growth", speed_growth},
                             {"accuracy", speed_accuracy},
                             {"engine", speed_engine}};

static int run_parts(const speed_options *options, cbx_json *json)
{
    int ran = 0, failed = 0;
    for (size_t n = 0; n < sizeof parts / sizeof *parts; n++) {
        if (options->only && strcmp(options->only, parts[n].name) != 0) {
            continue;
        }
        ran++;
        failed += !parts[n].run(options, json);
        printf("\n");
        fflush(stdout);
    }
    if (ran == 0) {
        fprintf(stderr, "coilbed-bench: there is no part \"%s\"\n", options->only);
        return MISUSED;
    }
    return failed > 0 ? FAILED : DONE;
}

int main(int argc, char **argv)
{
    speed_options options;
    int status = read_options(&options, argc, argv);
    if (status >= 0) {
        return status;
    }
    FILE *stream = options.json ? fopen(options.json, "w") : tmpfile();
    if (!stream) {
        perror(options.json ? options.json : "coilbed-bench");
        return FAILED;
    }
    cbx_json json = {.stream = stream};
    cbx_json_open(&json, NULL, '{');
    cbx_json_flag(&json, "quick", options.quick);
    status = run_parts(&options, &json);
    cbx_json_close(&json, '}');
    if (ferror(stream) || fclose(stream) != 0) {
        fprintf(stderr, "coilbed-bench: the JSON could not be written\n");
        status = FAILED;
    }
    return status;
}
