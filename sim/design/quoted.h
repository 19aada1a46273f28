// SPDX-License-Identifier: MIT
#ifndef COILBED_DESIGN_QUOTED_H
#define COILBED_DESIGN_QUOTED_H

#include <stdio.h>

/// Writes text as a YAML scalar in double quotes that reads back to the same bytes.
void cbx_put_quoted(FILE *stream, const char *text);

#endif
