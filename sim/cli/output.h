// SPDX-License-Identifier: MIT
/// Where a run is written, and what it may replace.
#ifndef CLI_OUTPUT_H
#define CLI_OUTPUT_H

#include "cli/options.h"

/// The path what a command makes goes to: that of -o, else the operand's file name with `ending`
/// (".h5") for its own, in the current folder. Owned by the caller; NULL without memory.
char *cli_output_path(const cli_options *options, const char *ending);

/// Checks, before any computing, that a run may be written to `path`: not one of the run's own
/// inputs, in a folder that exists and can be written, and, if something is there already, an
/// empty file or an earlier run (any plain file with --force). Errors: CB_IO with what stands in
/// the way; CB_NO_MEMORY.
cb_status cli_output_allowed(const char *path, const cb_design *design, bool force,
                             cb_error *error);

/// The same for a table of several inputs (operands): an earlier one is known by `head`, how its
/// text begins, or, if that is NULL, by being a data set of this program.
cb_status cli_table_allowed(const char *path, const char *head, const cli_options *options,
                            cb_error *error);

#endif
