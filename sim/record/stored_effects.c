// SPDX-License-Identifier: MIT
#include "record/stored_effects.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

enum { MOST_ROWS = CB_MAX_RUN_EFFECTS, TEXT_SIZE = CB_EFFECT_TEXT };

// Numbers and texts of one effect, in the file as one column each.
static const struct {
    const char *name, *long_name;
    size_t offset;
} number_table[] = {
    {"value", "of the design", offsetof(cb_run_effect, value)},
    {"step", "moved by this, up and down", offsetof(cb_run_effect, step)},
    {"spread", "how far off it may plausibly be: a mark of this program",
     offsetof(cb_run_effect, spread)},
    {"slope", "of the margin per unit of the value; missing if it could not be moved",
     offsetof(cb_run_effect, slope)},
    {"bend",
     "what the straight line may be off by over the spread; missing if only one side "
     "could be run",
     offsetof(cb_run_effect, bend)},
    {"blur", "what the noise of the runs makes of the margin over the spread",
     offsetof(cb_run_effect, blur)},
};

static const struct {
    const char *name, *long_name;
} text_table[] = {
    {"path", "the value in the design that is moved"},
    {"kind", "what kind of quantity it is"},
    {"unit", "its unit; that of the slope is kelvin over it"},
    {"margin", "the number it moves"},
};
enum {
    NUMBERS = sizeof number_table / sizeof *number_table,
    TEXTS = sizeof text_table / sizeof *text_table
};

static double *number_place(cb_run_effect *effect, int column)
{
    return (double *)((char *)effect + number_table[column].offset);
}

static const char *text_of(const cb_run_effects *effects, int row, int column)
{
    const cb_run_effect *effect = &effects->effect[row];
    const char *const text[TEXTS] = {effect->path, cb_kind_name(effect->kind),
                                     cb_kind_si_unit(effect->kind), effects->number};
    return text[column];
}

static void column_path(char path[TEXT_SIZE], const char *name)
{
    snprintf(path, TEXT_SIZE, "/sensitivity/%s", name);
}

// ---- layout ----------------------------------------------------------------------------------

static void make_column(cbx_h5 *h5, const char *name, hid_t type, const char *long_name)
{
    const bool is_scale = strcmp(name, "effect") == 0;
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/sensitivity",
                                   .name = name,
                                   .type = type,
                                   .rank = 1,
                                   .dimension = {is_scale ? NULL : "/sensitivity/effect"},
                                   .chunk = {MOST_ROWS},
                                   .plain = true,
                                   .long_name = long_name});
}

void cbx_layout_effects(cbx_h5 *h5)
{
    cbx_h5_group(h5, "/sensitivity");
    make_column(h5, "effect", H5T_STD_I32LE,
                "number of the effect, from 1; none before "
                "coilbed sensitivity was asked about this run");
    for (int c = 0; c < NUMBERS; c++) {
        make_column(h5, number_table[c].name, H5T_IEEE_F64LE, number_table[c].long_name);
    }
    const hid_t type = cbx_h5_text_type(TEXT_SIZE);
    for (int c = 0; c < TEXTS; c++) {
        char path[TEXT_SIZE];
        make_column(h5, text_table[c].name, type, text_table[c].long_name);
        column_path(path, text_table[c].name);
        cbx_h5_text_attribute(h5, path, "_Encoding", "utf-8");
    }
    H5Tclose(type);
}

// ---- writing ---------------------------------------------------------------------------------

static void put_column(cbx_h5 *h5, const char *name, hid_t type, int rows, const void *values)
{
    char path[TEXT_SIZE];
    column_path(path, name);
    cbx_h5_set_rows(h5, path, (hsize_t)rows);
    cbx_h5_write_rows(h5, path, type, 0, (hsize_t)rows, values);
}

static void put_all(cbx_h5 *h5, const cb_run_effects *effects)
{
    cb_run_effect row[MOST_ROWS];
    double number[MOST_ROWS];
    char text[MOST_ROWS][TEXT_SIZE];
    memcpy(row, effects->effect, sizeof row);
    for (int i = 0; i < effects->count; i++) {
        number[i] = i + 1;
    }
    put_column(h5, "effect", H5T_NATIVE_DOUBLE, effects->count, number);
    for (int c = 0; c < NUMBERS; c++) {
        for (int i = 0; i < effects->count; i++) {
            number[i] = *number_place(&row[i], c);
        }
        put_column(h5, number_table[c].name, H5T_NATIVE_DOUBLE, effects->count, number);
    }
    const hid_t type = cbx_h5_text_type(TEXT_SIZE);
    for (int c = 0; c < TEXTS; c++) {
        memset(text, 0, sizeof text);
        for (int i = 0; i < effects->count; i++) {
            snprintf(text[i], TEXT_SIZE, "%s", text_of(effects, i, c));
        }
        put_column(h5, text_table[c].name, type, effects->count, text);
    }
    H5Tclose(type);
}

cb_status cb_record_write_effects(const char *path, const cb_run_effects *effects, cb_error *error)
{
    if (!path || !effects || effects->count < 0 || effects->count > MOST_ROWS) {
        return cb_fail(error, CB_BAD_CALL, "cb_record_write_effects needs a path and effects");
    }
    cbx_h5 h5;
    cbx_h5_begin(&h5, path);
    cbx_h5_open_append(&h5, true);
    put_all(&h5, effects);
    return cbx_h5_end(&h5, error);
}

// ---- reading ---------------------------------------------------------------------------------

static cb_kind kind_of(const char *name)
{
    for (int kind = 0; kind < CB_KIND_COUNT; kind++) {
        if (strcmp(cb_kind_name((cb_kind)kind), name) == 0) {
            return (cb_kind)kind;
        }
    }
    return CB_NUMBER;
}

static void take_text(cb_run_effects *out, int row, int column, const char text[TEXT_SIZE])
{
    cb_run_effect *effect = &out->effect[row];
    switch (column) {
        case 0:
            memcpy(effect->path, text, sizeof effect->path);
            break;
        case 1:
            effect->kind = kind_of(text);
            break;
        case 3:
            memcpy(out->number, text, sizeof out->number);
            break;
        default: // the unit follows from the kind
            break;
    }
}

static void take_all(cbx_h5 *h5, cb_run_effects *out, hsize_t rows)
{
    double number[MOST_ROWS] = {0};
    char path[TEXT_SIZE], text[MOST_ROWS][TEXT_SIZE] = {{0}};
    for (int c = 0; c < NUMBERS; c++) {
        column_path(path, number_table[c].name);
        cbx_h5_read_rows(h5, path, H5T_NATIVE_DOUBLE, rows, 1, number);
        for (hsize_t i = 0; i < rows; i++) {
            *number_place(&out->effect[i], c) = number[i];
        }
    }
    const hid_t type = cbx_h5_text_type(TEXT_SIZE);
    for (int c = 0; c < TEXTS; c++) {
        column_path(path, text_table[c].name);
        cbx_h5_read_rows(h5, path, type, rows, 1, text);
        for (hsize_t i = 0; i < rows; i++) {
            text[i][TEXT_SIZE - 1] = '\0';
            take_text(out, (int)i, c, text[i]);
        }
    }
    H5Tclose(type);
}

void cbx_read_effects(cbx_h5 *h5, cb_run_effects *out)
{
    *out = (cb_run_effects){0};
    // Files of earlier versions have no such group.
    if (h5->status != CB_OK || H5Lexists(h5->file, "/sensitivity", H5P_DEFAULT) <= 0) {
        return;
    }
    const hsize_t rows = cbx_h5_length(h5, "/sensitivity/effect", 0);
    if (rows > MOST_ROWS) {
        cbx_h5_refuse(h5, CB_BAD_INPUT, "is damaged: /sensitivity holds %llu values",
                      (unsigned long long)rows);
    } else if (rows > 0) {
        take_all(h5, out, rows);
        out->count = h5->status == CB_OK ? (int)rows : 0;
    }
}
