// SPDX-License-Identifier: MIT
#include "station_index.h"

#include "station_names.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct places {
    int id, name, flag; // -1: no such column
} places;

static places find_places(const station_text *text)
{
    places out = {-1, -1, -1};
    for (int n = 0; n < text->fields; n++) {
        char name[STATION_COLUMN_NAME_SIZE];
        station_plain_name(text->field[n], name);
        double depth_m;
        const station_role role = station_named_column(name, &depth_m).role;
        out.id = role == STATION_ID ? n : out.id;
        out.name = role == STATION_NAMED ? n : out.name;
        out.flag = strcmp(name, "flag") == 0 ? n : out.flag;
    }
    return out;
}

static cb_status add(station_index *out, const station_text *text, const places *at,
                     cb_error *error)
{
    struct station_flag *bigger =
        realloc(out->flagged, (size_t)(out->count + 1) * sizeof *out->flagged);
    if (!bigger) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the index");
    }
    out->flagged = bigger;
    struct station_flag *flag = &bigger[out->count++];
    snprintf(flag->id, sizeof flag->id, "%s", at->id >= 0 ? text->field[at->id] : "");
    snprintf(flag->name, sizeof flag->name, "%s", at->name >= 0 ? text->field[at->name] : "");
    snprintf(flag->flag, sizeof flag->flag, "%s", text->field[at->flag]);
    return CB_OK;
}

static cb_status read_lines(station_index *out, station_text *text, cb_error *error)
{
    if (!station_text_next(text, true)) {
        return station_text_fail(text, error, "the index is empty");
    }
    const places at = find_places(text);
    const int columns = text->fields;
    if (at.flag < 0 || (at.id < 0 && at.name < 0)) {
        return station_text_fail(text, error,
                                 "the index needs a column \"flag\" and one of \"wban\", \"name\"");
    }
    while (station_text_next(text, false)) {
        if (text->fields != columns) {
            return station_text_fail(text, error, "the line has %d values; expected %d",
                                     text->fields, columns);
        }
        if (text->field[at.flag][0] != '\0') {
            const cb_status status = add(out, text, &at, error);
            if (status != CB_OK) {
                return status;
            }
        }
    }
    return CB_OK;
}

cb_status station_index_read(station_index *out, const char *path, cb_error *error)
{
    *out = (station_index){0};
    station_text text;
    cb_status status = station_text_open(&text, path, error);
    if (status == CB_OK) {
        status = read_lines(out, &text, error);
    }
    station_text_close(&text);
    return status;
}

void station_index_free(station_index *index)
{
    free(index->flagged);
    *index = (station_index){0};
}

// "04140" is 4140.
static bool same_id(const char *a, const char *b)
{
    a += strspn(a, "0");
    b += strspn(b, "0");
    return *a != '\0' && strcmp(a, b) == 0;
}

const char *station_index_flag(const station_index *index, const station *one)
{
    for (int n = 0; n < index->count; n++) {
        const struct station_flag *flag = &index->flagged[n];
        if (same_id(flag->id, one->id) ||
            (flag->name[0] != '\0' && strcmp(flag->name, one->name) == 0)) {
            return flag->flag;
        }
    }
    return NULL;
}
