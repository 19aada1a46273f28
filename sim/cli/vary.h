// SPDX-License-Identifier: MIT
/// Options of `coilbed vary`, and what it prints.
#ifndef CLI_VARY_H
#define CLI_VARY_H

#include "cli/options.h"
#include "coilbed/study.h"

typedef struct cli_vary_options {
    cli_options common; ///< units, quiet, json, force, resume, output, operand, set, help,
                        ///< version
    int jobs;
    size_t most_cases;
    int share, shares; ///< 0, 0: all
    bool gather;
} cli_vary_options;

/// As cli_options_read; cli_vary_options_free is needed in both cases.
bool cli_vary_options_read(cli_vary_options *options, int argc, char **argv);
void cli_vary_options_free(cli_vary_options *options);
void cli_vary_help(FILE *stream);

/// The cases of a factorial as a table, or what the samples say. False without memory.
bool cli_vary_print(const cb_study *study, const cb_study_result *results, cb_unit_system system,
                    FILE *stream);

/// How a study ended.
typedef struct cli_vary_outcome {
    const char *path; ///< of the study's HDF5 file
    size_t failed;    ///< cases that failed or were lost
    int status;       ///< the program is about to end with it
} cli_vary_outcome;

/// All of it as one JSON object, in SI: null stands for what does not exist. False without memory.
bool cli_vary_json(const cb_study *study, const cb_study_result *results,
                   const cli_vary_outcome *outcome, FILE *stream);

#endif
