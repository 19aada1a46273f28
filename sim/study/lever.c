// SPDX-License-Identifier: MIT
#include "study/lever.h"

#include "design/value.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_number(const cbx_row *row)
{
    return row->type == CBX_QUANTITY || row->type == CBX_VALUES || row->type == CBX_WHOLE;
}

static double per(const cbx_row *row)
{
    return row->per != 0 ? row->per : 1;
}

cb_status cbx_lever_open(cbx_lever *lever, const cb_design *design, const cb_units *units,
                         cb_error *error)
{
    char set[CBX_LEVER_TEXT];
    snprintf(set, sizeof set, "%s %s", lever->option, lever->path);
    const cbx_text from = {.set = set};
    const cbx_node node = {.key = lever->path, .from = &from};
    lever->units = units;
    lever->scratch = malloc(sizeof *lever->scratch);
    if (!lever->scratch) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a design");
    }
    memcpy(lever->scratch, design, sizeof *design);
    const cb_status status = cbx_locate(&lever->at, lever->scratch, lever->path, &node, error);
    if (status != CB_OK) {
        return status;
    }
    if (!is_number(lever->at.row)) {
        return cb_fail(error, CB_BAD_INPUT, "%s: that is no number", set);
    }
    lever->kind = lever->at.row->kind;
    lever->whole = lever->at.row->type == CBX_WHOLE;
    lever->now = cbx_location_number(&lever->at, lever->at.base);
    return CB_OK;
}

void cbx_lever_close(cbx_lever *lever)
{
    free(lever->scratch);
    lever->scratch = NULL;
}

cb_status cbx_lever_read(const cbx_lever *lever, const char *option, const char *text, double *si,
                         cb_error *error)
{
    cb_error why = {0};
    const cbx_value_context context = {.units = lever->units, .folder = "", .why = &why};
    const cb_status status =
        cbx_value_read(lever->at.row, (void *)lever->at.base, lever->at.index, text, &context);
    if (status != CB_OK) {
        return cb_fail(error, status, "%s %s: %s", option, lever->path, why.message);
    }
    *si = cbx_location_number(&lever->at, lever->at.base);
    return CB_OK;
}

void cbx_lever_write(const cbx_lever *lever, double si, char text[CBX_LEVER_TEXT])
{
    const cbx_row *row = lever->at.row;
    char *place = (char *)lever->at.base + row->offset;
    if (lever->whole) {
        const int value = (int)lround(si / per(row));
        memcpy(place, &value, sizeof value);
    } else {
        const double value = si / per(row);
        memcpy(place + (size_t)lever->at.index * sizeof value, &value, sizeof value);
    }
    snprintf(text, CBX_LEVER_TEXT, "%s",
             cbx_value_exact(row, lever->at.base, lever->at.index).text);
}
