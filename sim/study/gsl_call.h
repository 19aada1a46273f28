// SPDX-License-Identifier: MIT
/// GSL ends the program when a call fails unless its handler is off: ours is off for the length of
/// a call and what the caller had set is put back.
#ifndef COILBED_STUDY_GSL_CALL_H
#define COILBED_STUDY_GSL_CALL_H

#include <gsl/gsl_errno.h>

static inline gsl_error_handler_t *cbx_gsl_begin(void)
{
    return gsl_set_error_handler_off();
}

static inline void cbx_gsl_end(gsl_error_handler_t *before)
{
    gsl_set_error_handler(before);
}

#endif
