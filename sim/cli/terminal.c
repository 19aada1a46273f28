// SPDX-License-Identifier: MIT
#include "cli/terminal.h"

#include "base/clock.h"

#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { PLAIN_WIDTH = 80, LEAST_WIDTH = 60, MOST_WIDTH = 100, CLOCK_SIZE = 32 };
static const double refresh_s = 0.2;
static const char clear_line[] = "\r\033[K";

bool cli_colour(FILE *stream)
{
    const char *no_color = getenv("NO_COLOR");
    const char *term = getenv("TERM");
    if ((no_color && no_color[0]) || (term && strcmp(term, "dumb") == 0)) {
        return false;
    }
    return isatty(fileno(stream)) == 1;
}

bool cli_reader_gone(void)
{
    struct pollfd output = {.fd = STDOUT_FILENO, .events = POLLOUT};
    return poll(&output, 1, 0) == 1 && (output.revents & (POLLERR | POLLHUP)) != 0;
}

int cli_width(void)
{
    struct winsize size = {0};
    if (isatty(STDOUT_FILENO) != 1 || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 ||
        size.ws_col == 0) {
        return PLAIN_WIDTH;
    }
    if (size.ws_col < LEAST_WIDTH) {
        return LEAST_WIDTH;
    }
    return size.ws_col > MOST_WIDTH ? MOST_WIDTH : size.ws_col;
}

void cli_wrap(FILE *stream, const char *text, int column, int indent, int width)
{
    bool first = true; // on this line
    while (*text) {
        const size_t blanks = strspn(text, " \n\t");
        const size_t length = strcspn(text + blanks, " \n\t");
        if (length == 0) {
            break;
        }
        if (!first && column + 1 + (int)length > width) {
            fputc('\n', stream);
            column = 0;
            first = true;
        }
        if (first) {
            fprintf(stream, "%*s", column < indent ? indent - column : 0, "");
            column = column < indent ? indent : column;
        } else {
            fputc(' ', stream);
            column++;
        }
        fwrite(text + blanks, 1, length, stream);
        column += (int)length;
        first = false;
        text += blanks + length;
    }
    fputc('\n', stream);
}

const char *cli_duration(double seconds, char *buffer, size_t size)
{
    const long whole = (long)(seconds + 0.5);
    if (whole < 100) {
        snprintf(buffer, size, "%ld s", whole);
    } else if (whole < 6000) {
        snprintf(buffer, size, "%ld min %02ld s", whole / 60, whole % 60);
    } else {
        snprintf(buffer, size, "%ld h %02ld min", whole / 3600, whole % 3600 / 60);
    }
    return buffer;
}

void cli_progress_start(cli_progress *progress, const cb_design_run *run, bool quiet)
{
    const double now = cbx_clock_s();
    *progress = (cli_progress){.run = run,
                               .quiet = quiet,
                               .terminal = isatty(STDERR_FILENO) == 1,
                               .start_s = now,
                               .shown_s = now};
}

void cli_progress_stage(cli_progress *progress, const char *text)
{
    if (progress->quiet) {
        return;
    }
    fprintf(stderr, progress->terminal ? "%s%s ..." : "%s%s\n",
            progress->terminal ? clear_line : "", text);
    progress->line_open = progress->terminal;
}

static const char *const month_name[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

void cli_progress_resume(cli_progress *progress, long hours_done)
{
    const cb_design_run *run = progress->run;
    const cb_moment moment = cb_run_moment(run, hours_done);
    char text[80] = "every hour is there; finishing";
    if (moment.run_year <= run->years) {
        snprintf(text, sizeof text, "going on from year %d of %d, %d %s", moment.run_year,
                 run->years, moment.day, month_name[moment.month - 1]);
    }
    progress->hours_before = progress->hours_done = hours_done;
    cli_progress_stage(progress, text);
}

static double seconds_per_year(const cli_progress *progress, double elapsed_s)
{
    return elapsed_s * CB_YEAR_HOURS / (double)(progress->hours_done - progress->hours_before);
}

static double seconds_left(const cli_progress *progress, double per_year_s)
{
    const long total = (long)progress->run->years * CB_YEAR_HOURS;
    return per_year_s * (double)(total - progress->hours_done) / CB_YEAR_HOURS;
}

static void show_line(const cli_progress *progress, double elapsed_s)
{
    const double total = (double)progress->run->years * CB_YEAR_HOURS;
    const double per_year_s = seconds_per_year(progress, elapsed_s);
    const cb_moment moment = cb_run_moment(progress->run, progress->hours_done - 1);
    char left[CLOCK_SIZE];
    fprintf(stderr, "%syear %d of %d, %2d %s  %3.0f %%  %.3g s per year  %s left", clear_line,
            moment.run_year, progress->run->years, moment.day, month_name[moment.month - 1],
            100.0 * (double)progress->hours_done / total, per_year_s,
            cli_duration(seconds_left(progress, per_year_s), left, sizeof left));
}

static void show_year(const cli_progress *progress, double elapsed_s)
{
    const double per_year_s = seconds_per_year(progress, elapsed_s);
    char left[CLOCK_SIZE];
    fprintf(stderr, "year %ld of %d done, %.3g s per year, %s left\n",
            progress->hours_done / CB_YEAR_HOURS, progress->run->years, per_year_s,
            cli_duration(seconds_left(progress, per_year_s), left, sizeof left));
}

void cli_progress_hours(cli_progress *progress, long hours_done)
{
    if (progress->hours_done == progress->hours_before) { // the stages before have their own time
        progress->start_s = cbx_clock_s();
        progress->shown_s = progress->start_s;
    }
    progress->hours_done = hours_done;
    if (progress->quiet || hours_done <= progress->hours_before) {
        return;
    }
    if (progress->terminal) {
        const double now = cbx_clock_s();
        if (now - progress->shown_s >= refresh_s) {
            progress->shown_s = now;
            progress->line_open = true;
            show_line(progress, now - progress->start_s);
        }
    } else if (hours_done % CB_YEAR_HOURS == 0) {
        show_year(progress, cbx_clock_s() - progress->start_s);
    }
}

void cli_progress_end(cli_progress *progress)
{
    if (progress->line_open) {
        fputs(clear_line, stderr);
        progress->line_open = false;
    }
}
