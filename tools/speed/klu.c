// SPDX-License-Identifier: MIT
// The same month by CVODES as it comes: sparse Jacobian by coloured differences, KLU.
#include "speed.h"

#include <cvodes/cvodes.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>

typedef struct coloured {
    speed_month *month;
    const int *column, *row;
    int size, colours;
    int *colour;               // [size] of each column; none of a colour share a row
    double *y, *still, *moved; // [size]
} coloured;

static int rates(realtype t, N_Vector y, N_Vector rate, void *user_data)
{
    const coloured *self = user_data;
    return speed_month_rates(self->month, t, N_VGetArrayPointer(y), N_VGetArrayPointer(rate));
}

static int jacobian(realtype t, N_Vector y, N_Vector rate, SUNMatrix matrix, void *user_data,
                    N_Vector a, N_Vector b, N_Vector c)
{
    (void)a, (void)b, (void)c;
    const coloured *self = user_data;
    const double *at = N_VGetArrayPointer(y), *still = N_VGetArrayPointer(rate);
    const double *tolerance = speed_month_tolerance(self->month);
    double *value = SUNSparseMatrix_Data(matrix);
    sunindextype *start = SUNSparseMatrix_IndexPointers(matrix);
    sunindextype *index = SUNSparseMatrix_IndexValues(matrix);
    for (int n = 0; n <= self->size; n++) {
        start[n] = self->column[n];
    }
    for (int n = 0; n < self->column[self->size]; n++) {
        index[n] = self->row[n];
    }
    for (int colour = 0; colour < self->colours; colour++) {
        memcpy(self->y, at, (size_t)self->size * sizeof *self->y);
        for (int j = 0; j < self->size; j++) {
            self->y[j] += self->colour[j] == colour ? 1e-3 * tolerance[j] : 0.0;
        }
        if (speed_month_rates(self->month, t, self->y, self->moved) != 0) {
            return 1;
        }
        for (int j = 0; j < self->size; j++) {
            for (int n = self->column[j]; self->colour[j] == colour && n < self->column[j + 1];
                 n++) {
                const int i = self->row[n];
                value[n] = (self->moved[i] - still[i]) / (self->y[j] - at[j]);
            }
        }
    }
    return 0;
}

// Greedy: the first colour that no column sharing a row has. Rows are listed once, by transposing.
static bool paint(coloured *self)
{
    const int size = self->size, entries = self->column[size];
    int *start = calloc((size_t)size + 2, sizeof *start),
        *columns = malloc((size_t)entries * sizeof *columns);
    int *taken = malloc((size_t)size * sizeof *taken); // by which column a colour is barred last
    const bool ok = start && columns && taken && self->colour;
    for (int n = 0; ok && n < entries; n++) {
        start[self->row[n] + 2]++;
    }
    for (int i = 0; ok && i < size; i++) {
        start[i + 2] += start[i + 1];
        taken[i] = -1;
        self->colour[i] = -1;
    }
    for (int j = 0; ok && j < size; j++) {
        for (int n = self->column[j]; n < self->column[j + 1]; n++) {
            columns[start[self->row[n] + 1]++] = j;
        }
    }
    for (int j = 0; ok && j < size; j++) {
        for (int n = self->column[j]; n < self->column[j + 1]; n++) {
            for (int m = start[self->row[n]]; m < start[self->row[n] + 1]; m++) {
                if (self->colour[columns[m]] >= 0) {
                    taken[self->colour[columns[m]]] = j;
                }
            }
        }
        int colour = 0;
        while (taken[colour] == j) {
            colour++;
        }
        self->colour[j] = colour;
        self->colours = colour >= self->colours ? colour + 1 : self->colours;
    }
    free(start);
    free(columns);
    free(taken);
    return ok;
}

// The signature is the library's.
// NOLINTNEXTLINE(readability-non-const-parameter)
static void keep_quiet(int code, const char *module, const char *function, char *message,
                       void *user_data)
{
    (void)code, (void)module, (void)function, (void)message, (void)user_data;
}

static bool configure(void *cvode, coloured *self, N_Vector y, N_Vector tolerance,
                      SUNLinearSolver solver, SUNMatrix matrix)
{
    return CVodeSetErrHandlerFn(cvode, keep_quiet, NULL) == CV_SUCCESS &&
           CVodeInit(cvode, rates, speed_month_start_s(self->month), y) == CV_SUCCESS &&
           CVodeSVtolerances(cvode, speed_month_relative(self->month), tolerance) == CV_SUCCESS &&
           CVodeSetUserData(cvode, self) == CV_SUCCESS &&
           CVodeSetLinearSolver(cvode, solver, matrix) == CV_SUCCESS &&
           CVodeSetJacFn(cvode, jacobian) == CV_SUCCESS &&
           CVodeSetMaxNumSteps(cvode, 100000) == CV_SUCCESS &&
           CVodeSetMaxStep(cvode, 3600.0) == CV_SUCCESS;
}

static bool advance(void *cvode, coloured *self, N_Vector y, double *entering_c)
{
    const int at = speed_month_entering_at(self->month);
    for (int hour = 0; hour < speed_month_hours(self->month); hour++) {
        realtype t;
        const double until_s = speed_month_start_s(self->month) + 3600.0 * (hour + 1.0);
        if (CVode(cvode, until_s, y, &t, CV_NORMAL) < 0) {
            return false;
        }
        entering_c[hour] = N_VGetArrayPointer(y)[at];
    }
    return true;
}

static double solve(coloured *self, double *entering_c, double *end, long *steps)
{
    SUNContext sundials = NULL;
    SUNContext_Create(NULL, &sundials);
    N_Vector y = N_VNew_Serial(self->size, sundials), tolerance = N_VClone(y);
    memcpy(N_VGetArrayPointer(y), speed_month_start(self->month),
           (size_t)self->size * sizeof(double));
    memcpy(N_VGetArrayPointer(tolerance), speed_month_tolerance(self->month),
           (size_t)self->size * sizeof(double));
    SUNMatrix matrix =
        SUNSparseMatrix(self->size, self->size, self->column[self->size], CSC_MAT, sundials);
    SUNLinearSolver solver = SUNLinSol_KLU(y, matrix, sundials);
    void *cvode = CVodeCreate(CV_BDF, sundials);
    const double started = speed_cpu_seconds();
    const bool ok = cvode && configure(cvode, self, y, tolerance, solver, matrix) &&
                    advance(cvode, self, y, entering_c);
    const double taken = speed_cpu_seconds() - started;
    if (ok) {
        memcpy(end, N_VGetArrayPointer(y), (size_t)self->size * sizeof(double));
        CVodeGetNumSteps(cvode, steps);
    }
    CVodeFree(&cvode);
    SUNLinSolFree(solver);
    SUNMatDestroy(matrix);
    N_VDestroy(y);
    N_VDestroy(tolerance);
    SUNContext_Free(&sundials);
    return ok ? taken : -1.0;
}

double speed_klu_month(speed_month *month, double *entering_c, double *end, long *steps)
{
    const size_t size = (size_t)speed_month_size(month);
    coloured self = {.month = month,
                     .column = speed_month_column(month),
                     .row = speed_month_row(month),
                     .size = (int)size,
                     .colour = malloc(size * sizeof *self.colour),
                     .y = malloc(size * sizeof(double)),
                     .still = malloc(size * sizeof(double)),
                     .moved = malloc(size * sizeof(double))};
    double taken = -1.0;
    if (self.column && self.y && self.still && self.moved && paint(&self)) {
        taken = solve(&self, entering_c, end, steps);
    }
    free(self.colour);
    free(self.y);
    free(self.still);
    free(self.moved);
    return taken;
}
