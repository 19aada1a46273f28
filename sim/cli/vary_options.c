// SPDX-License-Identifier: MIT
#include "cli/message.h"
#include "cli/option_table.h"
#include "cli/vary.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum {
    OPTION_SET = CLI_NO_LETTER,
    OPTION_FORCE,
    OPTION_RESUME,
    OPTION_MAX_CASES,
    OPTION_SHARE,
    OPTION_GATHER,
    OPTION_JSON,
    MOST_JOBS = 1024,
    USUAL_CASES = 200
};

static const cli_option entries[] = {
    {"units", "us|si", "units of what is printed (default us)", 'u', 0},
    {"output", "STUDY.h5", "write the study to this file", 'o', 0},
    {"jobs", "N", "cases at a time (default: as many as cores)", 'j', 0},
    {"max-cases", "N", "allow so many cases (default 200)", OPTION_MAX_CASES, 0},
    {"set", "PATH=VALUE", "set one value in all cases; may be repeated", OPTION_SET, 0},
    {"resume", NULL, "go on with an interrupted study, or begin if there is none", OPTION_RESUME,
     0},
    {"force", NULL, "forget an interrupted study; replace a file that is no study", OPTION_FORCE,
     0},
    {"share", "I/N", "run only every N-th case, from the I-th on, and write no file", OPTION_SHARE,
     0},
    {"gather", NULL, "run nothing, write the file from what all shares have done", OPTION_GATHER,
     0},
    {"json", NULL, "print one JSON object, values in SI", OPTION_JSON, 0},
    {"quiet", NULL, "print only what was asked for and what is wrong", 'q', 0},
    {"help", NULL, "print this and stop", 'h', 0},
    {"version", NULL, "print the version and stop", 'V', 0},
};

static const cli_option_table table = {
    .command = "vary", .option = entries, .count = sizeof entries / sizeof *entries};

static bool read_count(const char *name, const char *text, long most, long *value)
{
    char *end = NULL;
    errno = 0;
    *value = strtol(text, &end, 10);
    if (errno != 0 || end == text || *end || *value < 1 || *value > most) {
        cli_complain("%s '%s': write a whole number from 1 to %ld", name, text, most);
        return false;
    }
    return true;
}

static bool read_share(cli_vary_options *options, const char *text)
{
    const char *slash = strchr(text, '/');
    char *end = NULL, *whole_end = NULL;
    const long share = strtol(text, &end, 10);
    const long shares = slash ? strtol(slash + 1, &whole_end, 10) : 0;
    const bool ok = slash && end == slash && whole_end != slash + 1 && !*whole_end && share >= 1 &&
                    share <= shares && shares <= 1000000;
    if (!ok) {
        cli_complain("--share '%s': write I/N, e.g. 3/10 for the third of ten", text);
        return false;
    }
    options->share = (int)share;
    options->shares = (int)shares;
    return true;
}

static bool read_number(cli_vary_options *options, int code, const char *argument)
{
    long value = 0;
    const bool jobs = code == 'j';
    if (!read_count(jobs ? "--jobs" : "--max-cases", argument, jobs ? MOST_JOBS : 10000000,
                    &value)) {
        return false;
    }
    if (jobs) {
        options->jobs = (int)value;
    } else {
        options->most_cases = (size_t)value;
    }
    return true;
}

static bool take(void *context, int code, const char *argument)
{
    cli_vary_options *options = context;
    cli_options *common = &options->common;
    switch (code) {
        case 'u':
            return cli_options_units(common, argument);
        case OPTION_SET:
            return cli_options_set(common, argument);
        case OPTION_SHARE:
            return read_share(options, argument);
        case 'j':
        case OPTION_MAX_CASES:
            return read_number(options, code, argument);
        case 'o':
            if (!*argument) {
                cli_complain("-o: the name of the file is empty");
                return false;
            }
            common->output = argument;
            break;
        case OPTION_FORCE:
            common->force = true;
            break;
        case OPTION_RESUME:
            common->resume = true;
            break;
        case OPTION_GATHER:
            options->gather = true;
            break;
        case OPTION_JSON:
            common->json = true;
            break;
        case 'q':
            common->quiet = true;
            break;
        case 'h':
            common->help = true;
            break;
        default: // 'V', the only one left
            common->version = true;
            break;
    }
    return true;
}

static bool agree(const cli_vary_options *options)
{
    if (options->common.resume && options->common.force) {
        cli_complain("vary: --resume goes on with a study and --force forgets it; give one of "
                     "them");
        return false;
    }
    if (options->gather && (options->shares > 0 || options->common.force)) {
        cli_complain("vary: --gather runs nothing; leave out --share and --force");
        return false;
    }
    if (options->common.json && options->shares > 0) {
        cli_complain("vary: a share has no results to print; give --json with --gather");
        return false;
    }
    return true;
}

bool cli_vary_options_read(cli_vary_options *options, int argc, char **argv)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    int rest = 0;
    *options = (cli_vary_options){.common = {.units = CB_UNITS_US},
                                  .jobs = cores < 1           ? 1
                                          : cores > MOST_JOBS ? MOST_JOBS
                                                              : (int)cores,
                                  .most_cases = USUAL_CASES};
    if (!cli_option_table_read(&table, argc, argv, take, options, &rest)) {
        return false;
    }
    if (options->common.help || options->common.version) {
        return true;
    }
    if (argc - rest != 1 || !argv[rest][0]) {
        cli_complain("vary: name one study; usage: coilbed vary [options] STUDY.yaml");
        return false;
    }
    options->common.operand = argv[rest];
    return agree(options);
}

void cli_vary_options_free(cli_vary_options *options)
{
    cli_options_free(&options->common);
}

void cli_vary_help(FILE *stream)
{
    static const char details[] =
        "Runs one design many times with some of its values varied, on all cores, and writes\n"
        "every case's values, headline numbers and status to one HDF5 file. A study file:\n"
        "\n"
        "  design: yard.yaml\n"
        "  scheme: factorial          # or latin_hypercube, sobol: with samples: and seed:\n"
        "  set:                       # in all cases\n"
        "    run.years: 10\n"
        "  vary:                      # any path that --set knows\n"
        "    field.depth: [4 ft, 5 ft, 6 ft]\n"
        "\n"
        "A sampled scheme takes distributions too: normal(1.2, 0.3) W/m/K from 0.6 to 2,\n"
        "lognormal(MEAN, DEVIATION), uniform(LOWEST, HIGHEST), triangular(LOWEST, LIKELIEST,\n"
        "HIGHEST); from and to cut it off. A list then stands for equally likely values.\n"
        "\"correlations: [{first: PATH, second: PATH, rank: 0.5}]\" makes values depend on each\n"
        "other. Scheme sobol runs samples times the number of values that vary plus 2 cases, for\n"
        "Sobol indices, unless \"indices: no\". \"keep_runs: yes\" keeps each case's run, in the\n"
        "folder STUDY.h5.runs.\n"
        "\n"
        "Finished cases are kept beside the file until it is written, so a study that was killed\n"
        "or stopped goes on with --resume. A case that fails is recorded with its message and\n"
        "counted in the end; the exit status is then 4. That a limit is broken in some case is a\n"
        "result: it does not change the exit status.\n";
    cli_option_table_help(&table, "STUDY.yaml", details, 18, stream);
}
