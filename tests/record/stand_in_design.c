// SPDX-License-Identifier: MIT
#include "coilbed/design.h"

#include <stdio.h>
#include <stdlib.h>

char *cb_design_echo(const cb_design *design)
{
    enum { SIZE = 200 };
    char *text = malloc(SIZE);
    if (text) {
        snprintf(text, SIZE, "name: %s\nrun:\n  years: %d\n", design->name, design->run.years);
    }
    return text;
}
