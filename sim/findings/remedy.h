// SPDX-License-Identifier: MIT
/// Directions that physically act on a limit that is close or broken. What each brings is only said
/// where the run's file holds derivatives; else it is for a run to say.
#ifndef FINDINGS_REMEDY_H
#define FINDINGS_REMEDY_H

#include "coilbed/findings.h"

enum { CBX_MOST_REMEDIES = 10, CBX_MOST_HELPED = 12, CBX_MOST_MOVES = 2 };

typedef struct cbx_remedy {
    const char *text;
    char settings[640]; ///< for the command line: --set field.depth='7 ft'; "" if there is none
    int helped_count;
    const char *helped[CBX_MOST_HELPED]; ///< codes of the findings it acts on
    int move_count;
    struct {
        const char *path; ///< "field.depth"
        double to;        ///< SI
    } move[CBX_MOST_MOVES];
    double change_k; ///< of the margin in cb_run_effects, by its derivatives; NaN: not known
    double blur_k;   ///< what the noise of the runs may make of that
} cbx_remedy;

/// Fills out[] and returns how many there are. `system` is that of the suggested values.
int cbx_remedies(const cb_findings *findings, const cb_design *design, cb_unit_system system,
                 cbx_remedy out[CBX_MOST_REMEDIES]);

/// The same with the changes that the derivatives in `effects` make of them, the largest first, and
/// with the directions that have one even if no limit is close.
int cbx_ranked_remedies(const cb_findings *findings, const cb_run_effects *effects,
                        const cb_design *design, cb_unit_system system,
                        cbx_remedy out[CBX_MOST_REMEDIES]);

/// The design file as it has to stand on a command line, quoted where needed; "FILE" if `path` is
/// NULL, empty or such that quotes cannot save it.
void cbx_design_argument(const char *path, char *buffer, size_t size);

/// What to mind when building, whatever the numbers say. Never NULL; NULL past the end.
const char *cbx_caution(int index);

#endif
