// SPDX-License-Identifier: MIT
#include "coilbed/compare.h"

#include "coilbed/dataset.h"
#include "coilbed/version.h"
#include "findings/cells.h"
#include "findings/json_writer.h"
#include "report/run.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int cb_compare_codes(const cb_comparison *these, const char *code[CB_MAX_CODES])
{
    int count = 0;
    for (size_t c = 0; c < these->count; c++) {
        const cb_findings *findings = these->got[c]->findings;
        for (size_t i = 0; i < findings->count; i++) {
            bool is_new = true;
            for (int k = 0; is_new && k < count; k++) {
                is_new = strcmp(code[k], findings->finding[i].code) != 0;
            }
            if (is_new && count < CB_MAX_CODES) {
                code[count++] = findings->finding[i].code;
            }
        }
    }
    return count;
}

/// The kind of a finding, from whichever case has it.
static cb_kind kind_of(const cb_comparison *these, const char *code)
{
    for (size_t c = 0; c < these->count; c++) {
        const cb_finding *finding = cb_case_finding(these->got[c], code);
        if (finding) {
            return finding->kind;
        }
    }
    return CB_NUMBER;
}

typedef enum part { SEVERITY, VALUE, LIMIT, MARGIN, RUN_HOUR, PARTS } part;
static const char *const part_name[PARTS] = {"severity", "value", "limit", "margin", "run_hour"};

/// NaN where the case has no such finding, or the finding no such number.
static double part_of(const cb_finding *finding, part which)
{
    if (!finding) {
        return NAN;
    }
    const double number[PARTS] = {finding->severity, finding->value, finding->limit,
                                  finding->margin,
                                  finding->run_hour >= 0 ? (double)finding->run_hour : NAN};
    return number[which];
}

// ---- CSV -------------------------------------------------------------------------------------

static void put_csv(const cb_comparison *these, FILE *csv)
{
    fputs("quantity", csv);
    cbx_cell_text(csv, "unit");
    for (size_t c = 0; c < these->count; c++) {
        cbx_cell_text(csv, these->label[c]);
    }
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        fprintf(csv, "\r\n%s", cb_headline_row_of(i)->name);
        cbx_cell_text(csv, cb_headline_row_of(i)->unit);
        for (size_t c = 0; c < these->count; c++) {
            cbx_cell_number(csv, cb_headline_value(&these->got[c]->headline, i));
        }
    }
    const char *code[CB_MAX_CODES];
    const int codes = cb_compare_codes(these, code);
    for (int k = 0; k < codes * PARTS; k++) {
        const char *finding = code[k / PARTS];
        const part which = (part)(k % PARTS);
        const bool measured = which == VALUE || which == LIMIT || which == MARGIN;
        cb_kind kind = kind_of(these, finding);
        if (which == MARGIN && kind == CB_TEMPERATURE) {
            kind = CB_TEMPERATURE_DIFFERENCE;
        }
        fprintf(csv, "\r\nfinding.%s.%s", finding, part_name[which]);
        cbx_cell_text(csv, measured ? cb_kind_si_unit(kind) : "");
        for (size_t c = 0; c < these->count; c++) {
            cbx_cell_number(csv, part_of(cb_case_finding(these->got[c], finding), which));
        }
    }
    fputs("\r\n", csv);
}

cb_status cb_compare_csv(const cb_comparison *these, const char *path, cb_error *error)
{
    cbx_report_file file;
    cb_status status = cbx_report_file_open(&file, path, error);
    if (status == CB_OK) {
        put_csv(these, file.stream);
        status = cbx_report_file_close(&file, true, error);
    }
    return status;
}

// ---- JSON ------------------------------------------------------------------------------------

static void put_headline(cbx_json *json, const cb_headline *headline)
{
    cbx_json_open(json, "headline", '{');
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        cbx_json_open(json, cb_headline_row_of(i)->name, '{');
        cbx_json_number(json, "value", cb_headline_value(headline, i));
        cbx_json_text(json, "unit", cb_headline_row_of(i)->unit);
        cbx_json_close(json, '}');
    }
    cbx_json_close(json, '}');
}

static void put_finding(cbx_json *json, const cb_finding *finding)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "code", finding->code);
    cbx_json_text(json, "severity", cb_severity_text((cb_severity)finding->severity));
    for (part p = VALUE; p < PARTS; p++) {
        cbx_json_number(json, part_name[p], part_of(finding, p));
    }
    cbx_json_text(json, "unit", cb_kind_si_unit(finding->kind));
    cbx_json_text(json, "sentence", finding->sentence);
    cbx_json_close(json, '}');
}

static void put_case(cbx_json *json, const char *label, const cb_case *got)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "file", label);
    cbx_json_text(json, "name", got->name);
    cbx_json_text(json, "key", got->key[0] ? got->key : NULL);
    cbx_json_flag(json, "from_cache", got->from_cache);
    cbx_json_flag(json, "complete", got->findings->complete);
    cbx_json_text(json, "verdict", cb_severity_text(got->findings->verdict));
    put_headline(json, &got->headline);
    cbx_json_open(json, "findings", '[');
    for (size_t i = 0; i < got->findings->count; i++) {
        put_finding(json, &got->findings->finding[i]);
    }
    cbx_json_close(json, ']');
    cbx_json_close(json, '}');
}

/// Names of the headline numbers in which any case differs from the first.
static void put_differences(cbx_json *json, const cb_comparison *these)
{
    cbx_json_open(json, "differences", '[');
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        const double first = cb_headline_value(&these->got[0]->headline, i);
        bool differs = false;
        for (size_t c = 1; c < these->count; c++) {
            const double value = cb_headline_value(&these->got[c]->headline, i);
            differs = differs || (isnan(first) ? !isnan(value) : !(value == first));
        }
        if (differs) {
            cbx_json_text(json, NULL, cb_headline_row_of(i)->name);
        }
    }
    cbx_json_close(json, ']');
}

bool cb_compare_json(const cb_comparison *these, FILE *stream)
{
    cbx_json json = {.stream = stream};
    cbx_json_open(&json, NULL, '{');
    cbx_json_text(&json, "program", "coilbed " CB_VERSION);
    put_differences(&json, these);
    cbx_json_open(&json, "cases", '[');
    for (size_t c = 0; c < these->count; c++) {
        put_case(&json, these->label[c], these->got[c]);
    }
    cbx_json_close(&json, ']');
    cbx_json_close(&json, '}');
    fputc('\n', stream);
    return !ferror(stream);
}

// ---- HDF5 ------------------------------------------------------------------------------------

enum { CASES, FINDINGS, NAME_AND_UNIT = 2, VARIABLES = CB_HEADLINE_COUNT + PARTS + NAME_AND_UNIT };

/// Values of all variables, one after the other.
typedef struct store {
    double *number;    ///< [headline][case], then [part][case][finding]
    const char **text; ///< [case] names, then [finding] units
} store;

static void fill_numbers(const cb_comparison *these, const char *const *code, int codes,
                         double *number)
{
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        for (size_t c = 0; c < these->count; c++) {
            *number++ = cb_headline_value(&these->got[c]->headline, i);
        }
    }
    for (part p = SEVERITY; p < PARTS; p++) {
        for (size_t c = 0; c < these->count; c++) {
            for (int k = 0; k < codes; k++) {
                *number++ = part_of(cb_case_finding(these->got[c], code[k]), p);
            }
        }
    }
}

static size_t list_variables(const cb_comparison *these, int codes, const store *values,
                             cb_dataset_variable *variable)
{
    size_t n = 0;
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        const cb_headline_row *row = cb_headline_row_of(i);
        variable[n++] = (cb_dataset_variable){.group = "",
                                              .name = row->name,
                                              .rank = 1,
                                              .axis = {CASES},
                                              .number = values->number + (size_t)i * these->count,
                                              .units = row->unit,
                                              .long_name = row->meaning};
    }
    static const char *const meaning[PARTS] = {
        "0 clear, 1 close, 2 broken", "SI, see finding_units", "SI, see finding_units",
        "above 0 holds; SI, see finding_units", "hour of the run; none if not tied to one"};
    const double *findings = values->number + (size_t)CB_HEADLINE_COUNT * these->count;
    for (part p = SEVERITY; p < PARTS; p++) {
        variable[n++] =
            (cb_dataset_variable){.group = "",
                                  .name = part_name[p],
                                  .rank = 2,
                                  .axis = {CASES, FINDINGS},
                                  .number = findings + (size_t)p * these->count * (size_t)codes,
                                  .long_name = meaning[p]};
    }
    variable[n++] = (cb_dataset_variable){.group = "",
                                          .name = "design_name",
                                          .rank = 1,
                                          .axis = {CASES},
                                          .text = values->text,
                                          .long_name = "name of the design"};
    variable[n++] = (cb_dataset_variable){.group = "",
                                          .name = "finding_units",
                                          .rank = 1,
                                          .axis = {FINDINGS},
                                          .text = values->text + these->count,
                                          .long_name = "unit of a finding's value and limit"};
    return n;
}

static cb_status write_hdf5(const cb_comparison *these, const char *path, const store *values,
                            cb_error *error)
{
    const char *code[CB_MAX_CODES];
    const int codes = cb_compare_codes(these, code);
    fill_numbers(these, code, codes, values->number);
    for (size_t c = 0; c < these->count; c++) {
        values->text[c] = these->got[c]->name;
    }
    for (int k = 0; k < codes; k++) {
        values->text[these->count + (size_t)k] = cb_kind_si_unit(kind_of(these, code[k]));
    }
    const cb_dataset_axis axis[] = {
        {.group = "", .name = "case", .length = these->count, .text = these->label},
        {.group = "", .name = "finding", .length = (size_t)codes, .text = code}};
    const cb_dataset_note note = {"title", "Buried ground loops side by side"};
    cb_dataset_variable variable[VARIABLES];
    const cb_dataset dataset = {.axis_count = 2,
                                .axis = axis,
                                .variable_count = list_variables(these, codes, values, variable),
                                .variable = variable,
                                .note_count = 1,
                                .note = &note};
    return cb_dataset_write(path, &dataset, error);
}

cb_status cb_compare_hdf5(const cb_comparison *these, const char *path, cb_error *error)
{
    const size_t numbers = these->count * (CB_HEADLINE_COUNT + PARTS * CB_MAX_CODES);
    store values = {.number = calloc(numbers, sizeof *values.number),
                    .text = calloc(these->count + CB_MAX_CODES, sizeof *values.text)};
    const cb_status status = values.number && values.text
                                 ? write_hdf5(these, path, &values, error)
                                 : cb_fail(error, CB_NO_MEMORY, "no memory for the comparison");
    free(values.number);
    free(values.text);
    return status;
}
