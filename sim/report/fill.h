// SPDX-License-Identifier: MIT
/// What stands in the places that the page's text leaves open.
#ifndef REPORT_FILL_H
#define REPORT_FILL_H

#include "report/shell.h"

void cbx_fill_verdict(cbx_fill *fill); // fill_answer.c
void cbx_fill_key_numbers(cbx_fill *fill);
void cbx_fill_drift(cbx_fill *fill);
void cbx_fill_findings(cbx_fill *fill);
void cbx_findings_table(cbx_fill *fill, const char *caption);
void cbx_fill_help(cbx_fill *fill);
void cbx_fill_cautions(cbx_fill *fill); ///< of the fluid too where there is one design

void cbx_fill_years(cbx_fill *fill); // fill_tables.c
void cbx_fill_energy(cbx_fill *fill);
void cbx_fill_cops(cbx_fill *fill);
void cbx_fill_months(cbx_fill *fill);

void cbx_fill_weather(cbx_fill *fill); // fill_basis.c
void cbx_fill_assumptions(cbx_fill *fill);
void cbx_fill_design(cbx_fill *fill);
void cbx_fill_quality(cbx_fill *fill);
void cbx_fill_origin(cbx_fill *fill);

void cbx_fill_study_summary(cbx_fill *fill); // fill_study.c
void cbx_fill_study_cards(cbx_fill *fill);
void cbx_fill_study_varied(cbx_fill *fill);
void cbx_fill_study_failed(cbx_fill *fill);
void cbx_fill_study_quantiles(cbx_fill *fill);
void cbx_fill_study_chances(cbx_fill *fill);
void cbx_fill_study_origin(cbx_fill *fill);
void cbx_fill_study_text(cbx_fill *fill);
void cbx_fill_study_design(cbx_fill *fill);

/// A table's caption and head: cells between bars, the first naming the rows.
void cbx_table_open(FILE *page, const char *caption, const char *head);
void cbx_table_close(FILE *page);

#endif
