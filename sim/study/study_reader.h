// SPDX-License-Identifier: MIT
/// What the parts of the study reader share.
#ifndef COILBED_STUDY_READER_H
#define COILBED_STUDY_READER_H

#include "coilbed/study.h"
#include "design/locate.h"
#include "design/tree.h"

typedef struct cbx_study_reader {
    cb_study *study;
    const cb_units *units;
    void *scratch; ///< a copy of the design that values are tried in
    cb_error *error;
} cbx_study_reader;

/// Reads one entry of `vary` into the study's next factor.
cb_status cbx_factor_read(const cbx_study_reader *reader, const cbx_node *node);

/// Reads "normal(1.2, 0.3) W/m/K from 0.6 to 2" for the row, and cuts it off at the row's range.
cb_status cbx_distribution_read(const cbx_study_reader *reader, const cbx_node *node,
                                const cbx_row *row, cb_distribution *out);

/// True for text that begins like a distribution: a word and a parenthesis.
bool cbx_is_distribution(const char *text);

/// Reads the list `correlations` into the study.
cb_status cbx_correlations_read(const cbx_study_reader *reader, const cbx_node *node);

/// Lays out the points of the study's cases.
cb_status cbx_study_lay_out(cb_study *study, cb_error *error);

/// Adds a line to the study's notices.
void cbx_study_notice(cb_study *study, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#endif
