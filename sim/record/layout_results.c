// SPDX-License-Identifier: MIT
#include "record/layout.h"
#include "record/summary.h"
#include "record/tables.h"

#include <stdio.h>

enum { YEAR_CHUNK = 16, MONTH_CHUNK = 24, FINDING_CHUNK = 16 };

static void make_index(cbx_h5 *h5, cbx_plan plan)
{
    plan.type = plan.type ? plan.type : H5T_STD_I32LE;
    plan.rank = 1;
    plan.plain = true;
    cbx_h5_dataset(h5, &plan);
}

// Rows of the summaries are rewritten as a year goes on; uncompressed chunks keep their size and
// with it their place in the file.
static void make_summary(cbx_h5 *h5, const char *group, const char *scale, hsize_t chunk)
{
    for (int c = 0; c < CBX_COLUMNS; c++) {
        const cbx_column *column = &cbx_column_table[c];
        make_index(h5,
                   (cbx_plan){.group = group,
                              .name = column->name,
                              .type = column->kind == CBX_WHEN ? H5T_STD_I64LE : CBX_SERIES_TYPE,
                              .dimension = {scale},
                              .chunk = {chunk},
                              .units = column->units,
                              .long_name = column->long_name});
    }
}

void cbx_layout_summaries(cbx_h5 *h5)
{
    cbx_h5_group(h5, "/annual");
    make_index(h5, (cbx_plan){.group = "/annual",
                              .name = "year",
                              .chunk = {YEAR_CHUNK},
                              .units = "1",
                              .long_name = "year of the run, from 1"});
    make_summary(h5, "/annual", "/annual/year", YEAR_CHUNK);
    cbx_h5_group(h5, "/monthly");
    make_index(h5, (cbx_plan){.group = "/monthly",
                              .name = "month",
                              .chunk = {MONTH_CHUNK},
                              .units = "1",
                              .long_name = "calendar month of the run, from 1"});
    cbx_plan label = {
        .group = "/monthly", .dimension = {"/monthly/month"}, .chunk = {MONTH_CHUNK}, .units = "1"};
    label.name = "run_year";
    label.long_name = "year of the run in which the month begins, from 1";
    make_index(h5, label);
    label.name = "calendar_month";
    label.long_name = "1 is January";
    make_index(h5, label);
    make_summary(h5, "/monthly", "/monthly/month", MONTH_CHUNK);
}

static void make_finding_text(cbx_h5 *h5, const char *name, size_t size, const char *long_name)
{
    const hid_t type = cbx_h5_text_type(size);
    char path[80];
    snprintf(path, sizeof path, "/findings/%s", name);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/findings",
                                   .name = name,
                                   .type = type,
                                   .rank = 1,
                                   .dimension = {"/findings/finding"},
                                   .chunk = {FINDING_CHUNK},
                                   .long_name = long_name});
    cbx_h5_text_attribute(h5, path, "_Encoding", "utf-8");
    H5Tclose(type);
}

void cbx_layout_findings(cbx_h5 *h5, const cb_design_run *run)
{
    cbx_h5_group(h5, "/findings");
    cbx_plan plan = {.group = "/findings", .chunk = {FINDING_CHUNK}};
    plan.name = "finding";
    plan.long_name = "number of the finding, from 1";
    make_index(h5, plan);
    make_finding_text(h5, "code", CBX_CODE_SIZE, "what was judged");
    make_finding_text(h5, "unit", CBX_UNIT_SIZE, "unit of value, limit and margin");
    make_finding_text(h5, "sentence", CBX_SENTENCE_SIZE, "the finding in plain words");
    plan.dimension[0] = "/findings/finding";
    plan.name = "severity";
    plan.long_name = "0 clear, 1 close, 2 broken";
    make_index(h5, plan);
    plan.type = CBX_SERIES_TYPE;
    static const char *const number[][2] = {{"value", "what the run came to"},
                                            {"limit", "what it must not pass"},
                                            {"margin", "distance to the limit, positive if held"}};
    for (size_t i = 0; i < sizeof number / sizeof *number; i++) {
        plan.name = number[i][0];
        plan.long_name = number[i][1];
        make_index(h5, plan);
    }
    char units[64];
    cbx_time_units(run, "seconds", units, sizeof units);
    plan.name = "time";
    plan.units = units;
    plan.long_name = "start of the hour it is about; missing if it is about no hour";
    make_index(h5, plan);
    cbx_h5_text_attribute(h5, "/findings/time", "calendar", "standard");
    plan.type = H5T_STD_I64LE;
    plan.name = "run_hour";
    plan.units = "h";
    plan.long_name = "the same as hours since the start; -1 if it is about no hour";
    make_index(h5, plan);
}

void cbx_layout_quality(cbx_h5 *h5, const cb_quality *quality)
{
    static const cb_quality none = {0};
    const char *base = (const char *)(quality ? quality : &none);
    for (int i = 0; i < CBX_QUALITY_FIELDS; i++) {
        const cbx_quality_field *field = &cbx_quality_table[i];
        const void *value = base + field->offset;
        switch (field->number) {
            case CBX_DOUBLE:
                cbx_h5_double_attribute(h5, "/quality", field->name, *(const double *)value);
                break;
            case CBX_LONG:
                cbx_h5_integer_attribute(h5, "/quality", field->name, *(const long *)value);
                break;
            case CBX_INT:
                cbx_h5_integer_attribute(h5, "/quality", field->name, *(const int *)value);
                break;
        }
    }
}
