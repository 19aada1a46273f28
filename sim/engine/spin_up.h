// SPDX-License-Identifier: MIT
// The undisturbed ground: one column brought to its periodic state under the typical year.
#ifndef COILBED_ENGINE_SPIN_UP_H
#define COILBED_ENGINE_SPIN_UP_H

#include "engine/assemble.h"

typedef struct cbx_undisturbed {
    int nz;
    double *start_c;        // [nz] at the run's start
    double *daily_c;        // [CB_YEAR_DAYS][nz] daily means from the run's start
    double years;           // spun
    double residual_k;      // largest change over the last year at any depth
} cbx_undisturbed;

// Steps years until the state repeats to 0.01 K. In the first years everything below the reach of
// frost is moved to the profile that carries the geothermal flux steadily below the annual mean
// found there; that replaces the decades the deep ground would need.
// Errors: CB_NUMERICS if 30 years do not settle it.
cb_status cbx_spin_up(cbx_undisturbed *out, const cbx_system *field, cb_error *error);
void cbx_undisturbed_free(cbx_undisturbed *undisturbed);

#endif
