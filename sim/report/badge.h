// SPDX-License-Identifier: MIT
/// How severity looks on a page: a sign, a word and a colour, never the colour alone.
#ifndef REPORT_BADGE_H
#define REPORT_BADGE_H

#include <stdio.h>

enum { CBX_BADGES = 3 };
typedef struct cbx_badge {
    const char *name, *word, *sign;
} cbx_badge;
extern const cbx_badge cbx_badge_of[CBX_BADGES]; ///< by cb_severity

void cbx_put_badge(FILE *page, int severity, const char *word);

#endif
