// SPDX-License-Identifier: MIT
/// What the design tests share: the units, a folder with the fixture's climate, edited texts.
#ifndef COILBED_TEST_WORKSHOP_H
#define COILBED_TEST_WORKSHOP_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "coilbed/design.h"
#include "design/fixture/fixture.h"

typedef struct workshop {
    cb_units *units;
    char folder[64];
    char climate[96]; ///< folder/cold-plain.yaml
    char name[96];    ///< folder/farm.yaml, which is not written
} workshop;

static inline int workshop_open(void **state)
{
    workshop *w = calloc(1, sizeof *w);
    if (!w || cb_units_create(&w->units, NULL) != CB_OK) {
        return -1;
    }
    snprintf(w->folder, sizeof w->folder, "/tmp/coilbed-design-XXXXXX");
    if (!mkdtemp(w->folder)) {
        return -1;
    }
    snprintf(w->climate, sizeof w->climate, "%s/cold-plain.yaml", w->folder);
    snprintf(w->name, sizeof w->name, "%s/farm.yaml", w->folder);
    FILE *file = fopen(w->climate, "w");
    if (!file) {
        return -1;
    }
    fputs(fixture_climate(), file);
    *state = w;
    return fclose(file);
}

static inline int workshop_close(void **state)
{
    workshop *w = *state;
    remove(w->climate);
    rmdir(w->folder);
    cb_units_destroy(w->units);
    free(w);
    return 0;
}

/// The fixture's design with the first `find` replaced. Owned by the caller.
static inline char *farm_with(const char *find, const char *replace)
{
    const char *farm = fixture_design();
    const char *at = strstr(farm, find);
    if (!at) {
        fail_msg("the fixture does not hold \"%s\"", find);
        return NULL;
    }
    const size_t size = strlen(farm) + strlen(replace) + 1;
    char *text = malloc(size);
    assert_non_null(text);
    snprintf(text, size, "%.*s%s%s", (int)(at - farm), farm, replace, at + strlen(find));
    return text;
}

/// Line (1-based) on which `find` stands in text.
static inline int line_of(const char *text, const char *find)
{
    const char *at = strstr(text, find);
    int line = 1;
    for (const char *c = text; at && c < at; c++) {
        line += *c == '\n';
    }
    return at ? line : 0;
}

/// A slip of the pen in the fixture, and the message it earns. The line is that of `at` in the
/// edited text.
typedef struct slip_row {
    const char *find, *replace;
    const char *at;
    int column;
    const char *message;
} slip_row;

static inline void check_slip(const workshop *w, const slip_row *s)
{
    char *text = farm_with(s->find, s->replace);
    cb_design *design = NULL;
    cb_error error = {0};
    const cb_status status = cb_design_parse(&design, text, w->name, NULL, 0, w->units, &error);
    const int line = line_of(text, s->at);
    if (status != CB_BAD_INPUT || error.line != line || error.column != s->column ||
        !strstr(error.message, s->message) || strcmp(error.file, w->name) != 0) {
        fail_msg("\"%s\": got %s:%d:%d: %s\nwant %d:%d: %s", s->replace, error.file, error.line,
                 error.column, error.message, line, s->column, s->message);
    }
    assert_null(design);
    free(text);
}

#endif
