// SPDX-License-Identifier: MIT
/// Ctrl-C, and runs that show how far they are.
#ifndef CLI_WATCH_H
#define CLI_WATCH_H

#include "cli/terminal.h"
#include "coilbed/case.h"

/// From now on the first SIGINT or SIGTERM is only noted; a second ends the program at once.
void cli_catch_signals(void);

/// Number of the signal that came; 0: none.
int cli_signal_caught(void);

/// Shows a run on `progress`, and stops it when a signal comes. progress->quiet is the caller's;
/// the rest is begun anew with each run.
cb_watch cli_watch_on(cli_progress *progress);

#endif
