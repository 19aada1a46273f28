// SPDX-License-Identifier: MIT
// CVODES on a cbx_system: BDF, Newton with the structured matrix, quadratures for hourly means.
#ifndef COILBED_ENGINE_INTEGRATOR_H
#define COILBED_ENGINE_INTEGRATOR_H

#include "coilbed/engine.h"
#include "engine/newton_matrix.h"

typedef struct cbx_integrator cbx_integrator;

// Integrands of the quadratures at a converged state, [count]; soil states of `system` are not
// valid on entry.
typedef void cbx_integrands(void *context, double time_s, const double *y, double *integrand);

typedef struct cbx_integrator_plan {
    cbx_system *system;      // must outlive the integrator
    double start_s;          // time of the start
    const double *start;     // [size] state then
    const double *tolerance; // [size] absolute
    double relative_tolerance;
    int integrand_count; // 0: none
    cbx_integrands *integrands;
    void *context;
} cbx_integrator_plan;

cb_status cbx_integrator_create(cbx_integrator **out, const cbx_integrator_plan *plan,
                                cb_error *error);
cbx_integrator *cbx_integrator_destroy(cbx_integrator *integrator);

// Advances to `time_s` and interpolates state and integrals there. Pointers stay valid until the
// next call. Errors: CB_NUMERICS with the integrator's own words.
cb_status cbx_integrator_advance(cbx_integrator *integrator, double time_s, const double **y,
                                 const double **integral, cb_error *error);

// Adds the solver's counters to *quality.
void cbx_integrator_count(const cbx_integrator *integrator, cb_quality *quality);

#endif
