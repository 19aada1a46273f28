// SPDX-License-Identifier: MIT
/// All that a study's page draws on, read once from the file that the study left behind.
#ifndef REPORT_STUDY_H
#define REPORT_STUDY_H

#include "coilbed/study.h"
#include "record/stored.h"
#include "report/shell.h"

typedef struct cbx_report_factor {
    const char *path; ///< "field.depth"
    cb_kind kind;
    bool words;                        ///< its values are no numbers
    const cbx_stored_variable *values; ///< along the grid's axis, or one for each case
    size_t stride;                     ///< of a grid: cases from one of its values to the next
} cbx_report_factor;

typedef struct cbx_report_study {
    const char *path;
    cbx_stored *root, *statistics;
    char *scheme, *version, *notices; ///< notices: NULL for none
    cb_design *design;                ///< with nothing varied
    bool grid;
    size_t cases, independent; ///< independent: of samples, those that a probability counts
    size_t factor_count;
    cbx_report_factor factor[CB_MAX_FACTORS];
    const cbx_stored_variable *status, *message, *study_text;
    const double *verdict;                   ///< [cases]
    const double *output[CB_HEADLINE_COUNT]; ///< [cases] each
    const double *margin_low, *margin_high;  ///< [cases] of entering water to its limits; or NULL
} cbx_report_study;

/// True for a file that a study wrote, whatever else is wrong with it.
bool cbx_report_study_is(const char *path);

/// cbx_report_study_close is needed in every case. Errors: those of cbx_stored_read and of
/// cb_design_parse; CB_BAD_INPUT for a file that lacks what a study's has.
cb_status cbx_report_study_open(cbx_report_study *study, const char *path, const cb_units *units,
                                cb_error *error);
void cbx_report_study_close(cbx_report_study *study);

/// The case came to its end and has numbers.
bool cbx_study_case_ok(const cbx_report_study *study, size_t index);

/// Place of a case's value in factor->values.
size_t cbx_study_value_at(const cbx_report_study *study, size_t factor, size_t index);

/// A value as a person writes it, in one unit system: "24 in", "ethanol".
enum { CBX_STUDY_VALUE = 96 };
void cbx_study_value_text(const cbx_report_factor *factor, size_t at, cb_unit_system system,
                          char text[CBX_STUDY_VALUE]);

/// Values of a headline number by its name. The name must exist.
const double *cbx_study_output(const cbx_report_study *study, const char *name);

/// What the page's figures are drawn from, of a cbx_report_study; see cbx_page_data.
cb_status cbx_data_study(cbx_json *json, const void *context, cb_error *error);

/// Writes the page; see cb_report_page.
cb_status cbx_report_study_page(const char *path, const char *page_path, cb_unit_system system,
                                const cb_units *units, cb_error *error);

#endif
