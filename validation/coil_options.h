// SPDX-License-Identifier: MIT
#ifndef COILBED_VALIDATION_COIL_OPTIONS_H
#define COILBED_VALIDATION_COIL_OPTIONS_H

#include "coil_two_scale.h"

enum { COIL_MAX_TIMES = 32, COIL_TIME_TEXT = 32 };

typedef struct coil_options {
    coil_case one;
    int turns;
    int times;
    double time_s[COIL_MAX_TIMES]; ///< INFINITY: steady
    char time_text[COIL_MAX_TIMES][COIL_TIME_TEXT];
    bool curve, resolved, json;
} coil_options;

/// By cb_accuracy.
extern const char *const coil_accuracy_name[];

/// -1 to go on, else the exit status; messages go to stderr, help to stdout.
int coil_options_read(coil_options *out, int argc, char **argv);

#endif
