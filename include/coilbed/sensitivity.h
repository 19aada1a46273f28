// SPDX-License-Identifier: MIT
/// How far a headline number moves with each of the values of a design that matter most.
#ifndef COILBED_SENSITIVITY_H
#define COILBED_SENSITIVITY_H

#include "coilbed/size.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CB_MAX_EFFECTS = CB_MAX_RUN_EFFECTS, CB_EFFECT_REASON = 240 };

typedef struct cb_sensitivity_order {
    cb_case_source source;
    const char *number; ///< --of: name of a headline number; NULL: "freeze_margin"
    double step_factor; ///< all steps times this; 0 stands for 1
    const char *into;   ///< --into: file of a finished run of the same design that is to keep the
                        ///< effects, for its findings; NULL: none
    cb_case_get *get;
    void *context;
} cb_sensitivity_order;

/// One value's effect. SI throughout.
typedef struct cb_effect {
    char path[CB_EFFECT_TEXT];
    const char *title;
    cb_kind kind;
    double value;  ///< of the design
    double step;   ///< moved by this, up and down
    double spread; ///< how far off it may plausibly be, or be built: a mark of this program
    double slope;  ///< of the number per unit of the value; NaN if it could not be moved
    double effect; ///< slope times spread
    bool central;  ///< both sides were run; else only the one that the design accepts
    double bend;   ///< what the straight line may miss by over the spread, from the slopes of both
                   ///< sides; NaN if not central
    double blur;   ///< what the noise of the runs makes of the effect
    char refused[CB_EFFECT_REASON]; ///< why it, or its other side, could not be moved; else ""
} cb_effect;

typedef struct cb_sensitivity {
    int number;  ///< headline row
    double base; ///< of the design as it is
    /// Largest move of the number when the first trench is longer or shorter by a millionth: that
    /// is the numerical noise of a run.
    double noise;
    int count;
    cb_effect effect[CB_MAX_EFFECTS]; ///< largest effect first, then those that could not be moved
} cb_sensitivity;

/// Central differences, one-sided where the design refuses one side. What is looked at, where a
/// design has it: conductivity and water of the soil round the coil, depth, pitch, length and
/// spacing, flow, concentration, heating load, and how hard winters may be. Runs two cases for
/// each, and five more. Errors: those of cb_design_read and of the runs, except that what a moved
/// value makes invalid is noted with its effect; CB_BAD_INPUT for a number that is no headline
/// number (with the list), a moment, or one that the run does not have, or, with `into`, for
/// a number other than freeze_margin and worst_margin, a run that is not whole, of another design,
/// or that comes out otherwise now (other weather or loads); those of cb_record_write_effects.
cb_status cb_sensitivity_run(cb_sensitivity *out, const cb_sensitivity_order *order,
                             const cb_units *units, cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
