// SPDX-License-Identifier: MIT
#include "record/h5.h"
#include "record/layout.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// One column of /findings, copied out of the array of structs.
typedef struct column {
    cbx_h5 *h5;
    hsize_t count;
    double *number; // [count] scratch
    char *text;     // [count][CBX_SENTENCE_SIZE] scratch
} column;

static void put_numbers(const column *to, const char *path)
{
    cbx_h5_set_rows(to->h5, path, to->count);
    cbx_h5_write_rows(to->h5, path, H5T_NATIVE_DOUBLE, 0, to->count, to->number);
}

static void put_texts(const column *to, const char *path, size_t size)
{
    const hid_t type = cbx_h5_text_type(size);
    cbx_h5_set_rows(to->h5, path, to->count);
    cbx_h5_write_rows(to->h5, path, type, 0, to->count, to->text);
    H5Tclose(type);
}

typedef double number_of(const cb_finding *finding, size_t index);
typedef const char *text_of(const cb_finding *finding);

static double index_of(const cb_finding *finding, size_t index)
{
    (void)finding;
    return (double)(index + 1);
}
static double severity_of(const cb_finding *finding, size_t index)
{
    (void)index;
    return finding->severity;
}
static double value_of(const cb_finding *finding, size_t index)
{
    (void)index;
    return finding->value;
}
static double limit_of(const cb_finding *finding, size_t index)
{
    (void)index;
    return finding->limit;
}
static double margin_of(const cb_finding *finding, size_t index)
{
    (void)index;
    return finding->margin;
}
static double run_hour_of(const cb_finding *finding, size_t index)
{
    (void)index;
    return (double)finding->run_hour;
}
static double time_of(const cb_finding *finding, size_t index)
{
    (void)index;
    return finding->run_hour < 0 ? (double)NAN : (double)finding->run_hour * 3600.0;
}
static const char *code_of(const cb_finding *finding)
{
    return finding->code;
}
static const char *unit_text_of(const cb_finding *finding)
{
    return cb_kind_si_unit(finding->kind);
}
static const char *sentence_of(const cb_finding *finding)
{
    return finding->sentence;
}

static const struct {
    const char *path;
    number_of *number;
} number_table[] = {
    {"/findings/finding", index_of},     {"/findings/severity", severity_of},
    {"/findings/value", value_of},       {"/findings/limit", limit_of},
    {"/findings/margin", margin_of},     {"/findings/time", time_of},
    {"/findings/run_hour", run_hour_of},
};

static const struct {
    const char *path;
    size_t size;
    text_of *text;
} text_table[] = {
    {"/findings/code", CBX_CODE_SIZE, code_of},
    {"/findings/unit", CBX_UNIT_SIZE, unit_text_of},
    {"/findings/sentence", CBX_SENTENCE_SIZE, sentence_of},
};

static void put_all(const column *to, const cb_finding *findings)
{
    for (size_t c = 0; c < sizeof number_table / sizeof *number_table; c++) {
        for (size_t i = 0; i < to->count; i++) {
            to->number[i] = number_table[c].number(&findings[i], i);
        }
        put_numbers(to, number_table[c].path);
    }
    for (size_t c = 0; c < sizeof text_table / sizeof *text_table; c++) {
        const size_t size = text_table[c].size;
        memset(to->text, 0, to->count * CBX_SENTENCE_SIZE);
        for (size_t i = 0; i < to->count; i++) {
            snprintf(to->text + i * size, size, "%s", text_table[c].text(&findings[i]));
        }
        put_texts(to, text_table[c].path, size);
    }
}

cb_status cb_record_write_findings(const char *path, const cb_finding *findings, size_t count,
                                   cb_error *error)
{
    if (!path || (count > 0 && !findings)) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_write_findings needs a path and findings");
    }
    cbx_h5 h5;
    column to = {.h5 = &h5, .count = count};
    to.number = calloc(count ? count : 1, sizeof *to.number);
    to.text = calloc(count ? count : 1, CBX_SENTENCE_SIZE);
    cbx_h5_begin(&h5, path);
    if (to.number && to.text) {
        cbx_h5_open_append(&h5, true);
        put_all(&to, findings);
    } else {
        cbx_h5_refuse(&h5, CB_NO_MEMORY, "no memory for %zu findings", count);
    }
    free(to.number);
    free(to.text);
    return cbx_h5_end(&h5, error);
}
