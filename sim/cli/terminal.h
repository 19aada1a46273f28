// SPDX-License-Identifier: MIT
/// What a terminal allows, wrapped text, and the progress of a run.
#ifndef CLI_TERMINAL_H
#define CLI_TERMINAL_H

#include "coilbed/weather.h"

#include <stdio.h>

/// True on a terminal whose user has not asked for no colour (NO_COLOR, TERM=dumb).
bool cli_colour(FILE *stream);

/// True if standard output is a pipe whose reader went away, as in `coilbed check FILE | head`:
/// then nobody misses what could not be written.
bool cli_reader_gone(void);

/// Columns of the terminal on standard output; 80 where there is none, 60..100 where there is.
int cli_width(void);

/// Prints words of `text` between columns `indent` and `width`, the cursor being at `column`;
/// ends the line.
void cli_wrap(FILE *stream, const char *text, int column, int indent, int width);

/// "45 s", "3 min 20 s", "2 h 10 min". Returns buffer.
const char *cli_duration(double seconds, char *buffer, size_t size);

/// Progress on standard error: a line that is rewritten on a terminal, a plain line for each
/// simulated year elsewhere, nothing when quiet.
typedef struct cli_progress {
    const cb_design_run *run;
    bool quiet, terminal;
    double start_s, shown_s; ///< monotonic clock
    long hours_before;       ///< of an earlier process, whose run goes on
    long hours_done;
    bool line_open; ///< the rewritten line stands on the terminal
} cli_progress;

void cli_progress_start(cli_progress *progress, const cb_design_run *run, bool quiet);
/// A stage before the first simulated hour, e.g. "Settling the ground".
void cli_progress_stage(cli_progress *progress, const char *text);
/// The run goes on after `hours_done`: says from which date, and the times count from here.
void cli_progress_resume(cli_progress *progress, long hours_done);
void cli_progress_hours(cli_progress *progress, long hours_done);
/// Clears the rewritten line.
void cli_progress_end(cli_progress *progress);

#endif
