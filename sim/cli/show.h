// SPDX-License-Identifier: MIT
/// Findings of a run file, shared by `run` and `findings`, and its energies.
#ifndef CLI_SHOW_H
#define CLI_SHOW_H

#include "cli/options.h"

/// Reads the run in `path`, judges it and prints the page or the JSON object to standard output;
/// with `keep` the findings are first stored in the file. Returns the exit status: `failed` if the
/// run did not come to its end (CLI_HELD: it did, or is judged later), else CLI_BROKEN if a limit
/// was broken, CLI_UNSOLVED if the run is not whole, or that of a failure (which is reported).
int cli_show_findings(const char *path, const cli_options *options, const cb_units *units,
                      bool keep, int failed);

#endif
