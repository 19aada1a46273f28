// SPDX-License-Identifier: MIT
/// Text into HTML. Whatever comes from a design or a file goes through here.
#ifndef REPORT_HTML_H
#define REPORT_HTML_H

#include "coilbed/units.h"

#include <stdio.h>

/// Escapes what HTML reads; bytes that are no UTF-8, and controls, become U+FFFD. "degF" and "degC"
/// as words of their own become the signs.
void cbx_html_text(FILE *page, const char *text);

/// The same text in both unit systems, of which the page shows one.
void cbx_html_both(FILE *page, const char *us, const char *si);

/// A quantity in both unit systems.
void cbx_html_quantity(FILE *page, cb_kind kind, double si);

/// A number in both unit systems, without its unit, or a dash if it is not finite.
void cbx_html_number(FILE *page, cb_kind kind, int decimals, double si);

/// The unit of a kind, in both systems.
void cbx_html_unit(FILE *page, cb_kind kind);

#endif
