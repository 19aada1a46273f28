// SPDX-License-Identifier: MIT
#include "cli/watch.h"

#include <signal.h>

static volatile sig_atomic_t stop_signal;

static void note_signal(int number)
{
    stop_signal = number;
}

void cli_catch_signals(void)
{
    struct sigaction action = {.sa_handler = note_signal, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
}

int cli_signal_caught(void)
{
    return (int)stop_signal;
}

static void show_begin(void *context, const cb_design_run *run)
{
    cli_progress *progress = context;
    cli_progress_start(progress, run, progress->quiet);
}

static void show_stage(void *context, const char *text)
{
    cli_progress_stage(context, text);
}

static void show_resumed(void *context, long hours_done)
{
    cli_progress_resume(context, hours_done);
}

static void show_day(void *context, long hours_done)
{
    cli_progress_hours(context, hours_done);
}

static bool stop_asked(void *context)
{
    (void)context;
    return stop_signal != 0;
}

cb_watch cli_watch_on(cli_progress *progress)
{
    return (cb_watch){.context = progress,
                      .begin = show_begin,
                      .stage = show_stage,
                      .resumed = show_resumed,
                      .day = show_day,
                      .stop = stop_asked};
}
