// SPDX-License-Identifier: MIT
#include "speed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct speed_month {
    speed_case one;
    cb_engine *engine;
    cbx_integrator_plan plan; // with start and tolerances of its own
    double *start, *tolerance, *y, *rate;
    cbx_piece *piece;
    int size, hours;
    int *column, *row;
};

typedef struct until {
    long days, stop;
} until;

static cb_status count_day(void *context, const cb_day *day, cb_error *error)
{
    (void)error;
    ((until *)context)->days = day->run_day;
    return CB_OK;
}

static bool reached(void *context)
{
    const until *self = context;
    return self->days >= self->stop;
}

static cb_status run_to_winter(speed_month *month, int quick, cb_error *error)
{
    static const cb_override whole[] = {{"weather.hard_winters", "[]"}, {"run.years", "1"}};
    static const cb_override small[] = {{"weather.hard_winters", "[]"},
                                        {"run.years", "1"},
                                        {"run.accuracy", "draft"},
                                        {"run.slices", "2"},
                                        {"run.start", "12-01"}};
    speed_knob = (speed_knobs){quick ? 2.5 : 1.0, 1.0};
    cb_status status = quick ? speed_case_open(&month->one, small, 5, error)
                             : speed_case_open(&month->one, whole, 2, error);
    if (status == CB_OK) {
        status = cb_engine_create(&month->engine, month->one.design, month->one.run_weather,
                                  month->one.house, error);
    }
    if (status == CB_OK) {
        until self = {.stop = quick ? 31 : 184}; // 1 January, from 1 December or 1 July
        const cb_sink sink = {.context = &self, .day = count_day, .stop = reached};
        cb_quality quality;
        status = cb_engine_run(month->engine, &sink, NULL, &quality, error);
        status = status == CB_STOPPED ? CB_OK : status;
    }
    return status;
}

static bool take_start(speed_month *month, int quick)
{
    const speed_capture *captured = speed_captured();
    const int size = captured->plan.system->size;
    const size_t bytes = (size_t)size * sizeof(double);
    month->plan = captured->plan;
    month->plan.integrand_count = 0;
    month->size = size - 2;
    month->hours = quick ? 48 : 31 * 24;
    month->start = malloc(bytes);
    month->tolerance = malloc(bytes);
    month->y = malloc(bytes);
    month->rate = malloc(bytes);
    month->piece = calloc((size_t)cbx_node_count(captured->plan.system) + 1, sizeof *month->piece);
    if (!month->start || !month->tolerance || !month->y || !month->rate || !month->piece) {
        return false;
    }
    memcpy(month->start, captured->start, bytes);
    memcpy(month->tolerance, captured->tolerance, bytes);
    month->plan.start = month->start;
    month->plan.tolerance = month->tolerance;
    return true;
}

speed_month *speed_month_open(int quick)
{
    cb_error error = {0};
    speed_month *month = calloc(1, sizeof *month);
    setenv("COILBED_THREADS", "1", 1);
    if (!month || run_to_winter(month, quick, &error) != CB_OK || !take_start(month, quick)) {
        fprintf(stderr, "coilbed-bench: %s\n", error.message[0] ? error.message : "no memory");
        speed_month_close(month);
        return NULL;
    }
    return month;
}

void speed_month_close(speed_month *month)
{
    if (month) {
        cb_engine_destroy(month->engine);
        speed_case_close(&month->one);
        free(month->start);
        free(month->tolerance);
        free(month->y);
        free(month->rate);
        free(month->piece);
        free(month->column);
        free(month->row);
        free(month);
    }
}

int speed_month_size(const speed_month *month)
{
    return month->size;
}

int speed_month_hours(const speed_month *month)
{
    return month->hours;
}

double speed_month_start_s(const speed_month *month)
{
    return month->plan.start_s;
}

double speed_month_relative(const speed_month *month)
{
    return month->plan.relative_tolerance;
}

const double *speed_month_start(const speed_month *month)
{
    return month->start;
}

const double *speed_month_tolerance(const speed_month *month)
{
    return month->tolerance;
}

int speed_month_entering_at(const speed_month *month)
{
    return cbx_entering_at(month->plan.system);
}

const cbx_system *speed_month_system(const speed_month *month)
{
    return month->plan.system;
}

int speed_month_rates(speed_month *month, double time_s, const double *y, double *rate)
{
    memcpy(month->y, y, (size_t)month->size * sizeof *y); // the sums of heat stay as they were
    const int flag =
        cbx_system_rates(month->plan.system, time_s, month->y, month->rate, month->piece);
    memcpy(rate, month->rate, (size_t)month->size * sizeof *rate);
    return flag;
}

// ---- pattern ---------------------------------------------------------------------------------

typedef struct prober {
    speed_month *month;
    double *y, *still, *moved;
    unsigned char *touched; // [size] of the present column
} prober;

static void probe_column(const prober *p, int column, double time_s)
{
    const int size = p->month->size;
    const double before = p->y[column];
    p->y[column] += p->month->tolerance[column];
    speed_month_rates(p->month, time_s, p->y, p->moved);
    p->y[column] = before;
    for (int n = 0; n < size; n++) {
        p->touched[n] |= p->moved[n] != p->still[n];
    }
}

static bool keep_column(speed_month *month, const unsigned char *touched, int column, int *room)
{
    int count = month->column[column];
    for (int n = 0; n < month->size; n++) {
        if (!touched[n] && n != column) {
            continue;
        }
        if (count == *room) {
            *room = 2 * *room + 64;
            int *grown = realloc(month->row, (size_t)*room * sizeof *grown);
            if (!grown) {
                return false;
            }
            month->row = grown;
        }
        month->row[count++] = n;
    }
    month->column[column + 1] = count;
    return true;
}

// Water flows or rests, units run or not: states that are no soil are moved at three times.
static bool probe_all(const prober *p)
{
    speed_month *month = p->month;
    const cbx_system *system = month->plan.system;
    const int soil = system->slices * system->section->cells;
    int room = 0;
    for (int column = 0; column < month->size; column++) {
        memset(p->touched, 0, (size_t)month->size);
        for (int n = 0; n < (column < soil ? 1 : 3); n++) {
            const double time_s = month->plan.start_s + 3600.0 * (0.5 + 20.0 * n);
            if (column == 0 || column >= soil) {
                speed_month_rates(month, time_s, p->y, p->still);
            }
            probe_column(p, column, time_s);
        }
        if (!keep_column(month, p->touched, column, &room)) {
            return false;
        }
    }
    return true;
}

const int *speed_month_column(speed_month *month)
{
    if (month->column) {
        return month->column;
    }
    const size_t size = (size_t)month->size;
    prober p = {month, malloc(size * sizeof(double)), malloc(size * sizeof(double)),
                malloc(size * sizeof(double)), malloc(size)};
    month->column = calloc(size + 1, sizeof *month->column);
    bool ok = p.y && p.still && p.moved && p.touched && month->column;
    if (ok) {
        memcpy(p.y, month->start, size * sizeof(double));
        ok = probe_all(&p);
    }
    free(p.y);
    free(p.still);
    free(p.moved);
    free(p.touched);
    return ok ? month->column : NULL;
}

const int *speed_month_row(speed_month *month)
{
    return month->row;
}

// ---- the engine ------------------------------------------------------------------------------

double speed_month_engine(speed_month *month, double factor, double *entering_c, double *end)
{
    cb_error error = {0};
    cbx_integrator *integrator;
    const double *y = NULL;
    const double started = speed_cpu_seconds();
    speed_knob.tolerance_factor = factor;
    cb_status status = cbx_integrator_create(&integrator, &month->plan, &error);
    for (int hour = 0; hour < month->hours && status == CB_OK; hour++) {
        status = cbx_integrator_advance(integrator, month->plan.start_s + 3600.0 * (hour + 1.0), &y,
                                        NULL, &error);
        entering_c[hour] = y ? y[speed_month_entering_at(month)] : NAN;
    }
    const double taken = speed_cpu_seconds() - started;
    if (status == CB_OK && y) {
        memcpy(end, y, (size_t)month->size * sizeof *end);
    } else {
        fprintf(stderr, "coilbed-bench: %s\n", error.message);
    }
    cbx_integrator_destroy(integrator);
    speed_knob.tolerance_factor = 1.0;
    return status == CB_OK ? taken : -1.0;
}

double speed_month_soil_k(const speed_month *month, const double *a, const double *b)
{
    const cbx_system *system = month->plan.system;
    const cb_section *section = system->section;
    double worst = 0.0;
    for (int n = 0; n < system->slices * section->cells; n++) {
        const cb_soil_curve *curve = section->curves[section->soil[n % section->cells]];
        const double apart =
            fabs(cb_soil_at(curve, a[n]).temperature_c - cb_soil_at(curve, b[n]).temperature_c);
        worst = apart <= worst ? worst : apart; // NaN counts
    }
    return worst;
}

double speed_month_triangles_s(speed_month *month)
{
    enum { REPEATS = 50 };
    cb_error error = {0};
    cbx_newton_matrix *matrix;
    if (cbx_newton_matrix_create(&matrix, month->plan.system, &error) != CB_OK) {
        return NAN;
    }
    cbx_newton_matrix_linearise(matrix, month->plan.start_s, month->start);
    double taken = NAN;
    if (cbx_newton_matrix_factor(matrix, 1800.0)) {
        const double started = speed_cpu_seconds();
        for (int n = 0; n < REPEATS; n++) {
            memcpy(month->y, month->start, (size_t)month->size * sizeof *month->y);
            cbx_newton_matrix_solve(matrix, month->y, month->y);
        }
        taken = (speed_cpu_seconds() - started) / REPEATS;
    }
    memcpy(month->y, month->start, ((size_t)month->size + 2) * sizeof *month->y);
    cbx_newton_matrix_destroy(matrix);
    return taken;
}
