// SPDX-License-Identifier: MIT
/// One layout of pipe through the winter month, by the program's two scales and by the resolved
/// cell.
#ifndef COILBED_VALIDATION_WINTER_CASE_H
#define COILBED_VALIDATION_WINTER_CASE_H

#include "ground_run.h"
#include "resolved_run.h"
#include "winter_month.h"

typedef struct winter_case {
    const char *name;
    cb_layout layout;
    double diameter_m, pitch_m, depth_m; ///< of a coil
    int pipes;
    cb_pipe_position pipe[CB_MAX_PIPES]; ///< straight
    double peak_w_m;                     ///< heat taken from a metre of pipe
} winter_case;

/// How fine the resolved cell is.
typedef struct winter_detail {
    double coarseness; ///< of the cells at the pipe; 1: its heat is spread over just its radius
    double growth;     ///< of cells away from it
    resolved_accuracy accuracy;
} winter_detail;
extern const winter_detail winter_plain, winter_fine;

/// Mean pipe wall at the end of each hour by both, and what was measured.
typedef struct winter_result {
    double two_scale_c[WINTER_HOURS], resolved_c[WINTER_HOURS];
    double two_scale_coldest_c, resolved_coldest_c;
    double rms_k, largest_k; ///< of two-scale less resolved; the one with its sign
    double frozen_m3_m;  ///< resolved: soil below -0.5 degC, deeper than 0.9 m, per metre of pipe
    double missing_heat; ///< of the resolved cell: heat missing, relative to all taken
    int cells;
    long steps, iterations;
    double seconds;
} winter_result;

/// False, with a message, if a model gave up.
bool winter_case_run(const winter_case *one, const winter_month *month, const winter_detail *detail,
                     winter_result *out, cb_error *error);

#endif
