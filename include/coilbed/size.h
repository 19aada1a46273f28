// SPDX-License-Identifier: MIT
/// The least (or most) of one value of a design that still holds a finding by a margin.
#ifndef COILBED_SIZE_H
#define COILBED_SIZE_H

#include "coilbed/case.h"
#include "coilbed/search.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Gets one case, by cb_case_run or otherwise. @param value  what is varied, as it is set in
/// `source`, for messages. Errors end what asked for it.
typedef cb_status cb_case_get(void *context, const cb_case_source *source, const char *value,
                              cb_case **out, cb_error *error);

/// Texts are as a person writes them; those named after an option are explained by it in messages.
typedef struct cb_size_order {
    cb_case_source source;
    const char *path;       ///< --vary: of a number in the design
    const char *low, *high; ///< --between
    const char *finding;    ///< --hold: a code of cb_size_holdable; NULL: "freeze_margin"
    const char *margin;     ///< --margin: a value of the margin's kind; NULL: 0
    const char *step;       ///< --step: closeness, a value of the path's kind; NULL: a 50th of the
                            ///< range, or 1
    bool most;
    cb_unit_system system; ///< in which the values between the ends are short numbers
    cb_case_get *get;
    void *context;
} cb_size_order;

typedef struct cb_sized {
    const char *path, *finding; ///< of the order, or the usual one
    cb_kind kind;               ///< of the value; points and answer are SI
    bool whole;
    cb_kind margin_kind; ///< difference
    double margin;       ///< asked for, SI
    double step;
    cb_search_result search; ///< its margins are those of the finding less the one asked for
    char answer[80];         ///< search.value as a --set takes it; "" if there is none
} cb_sized;

/// The codes that can be held; NULL past the end.
const char *cb_size_holdable(int index);

/// Reads the order, then searches. Errors: those of cb_design_read; CB_BAD_INPUT, naming the
/// option, for a path without a number, values of another kind or outside what the design takes, a
/// range that is empty or reversed, a finding that cannot be held (with the list), or one that
/// these runs do not have; those of the runs.
cb_status cb_size_run(cb_sized *out, const cb_size_order *order, const cb_units *units,
                      cb_error *error);

#ifdef __cplusplus
}
#endif
#endif
