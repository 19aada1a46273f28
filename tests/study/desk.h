// SPDX-License-Identifier: MIT
/// A folder with the farm's design and a study of it.
#ifndef COILBED_TEST_DESK_H
#define COILBED_TEST_DESK_H

#include "design/workshop.h"

#include "coilbed/study.h"

static inline int desk_open(void **state)
{
    if (workshop_open(state) != 0) {
        return -1;
    }
    const workshop *w = *state;
    FILE *file = fopen(w->name, "w");
    if (!file) {
        return -1;
    }
    fputs(fixture_design(), file);
    return fclose(file);
}

static inline int desk_close(void **state)
{
    const workshop *w = *state;
    char path[128];
    snprintf(path, sizeof path, "%s/study.yaml", w->folder);
    remove(path);
    remove(w->name);
    return workshop_close(state);
}

static inline cb_status read_study(const workshop *w, const char *text, size_t most, cb_study **out,
                                   cb_error *error)
{
    char path[128];
    snprintf(path, sizeof path, "%s/study.yaml", w->folder);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
    return cb_study_read(out, &(cb_study_order){.path = path, .most_cases = most}, w->units, error);
}

static inline cb_study *good_study(const workshop *w, const char *text)
{
    cb_study *study = NULL;
    cb_error error = {0};
    if (read_study(w, text, 5000, &study, &error) != CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    return study;
}

#endif
