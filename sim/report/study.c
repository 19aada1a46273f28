// SPDX-License-Identifier: MIT
#include "report/study.h"

#include "study/value_kind.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool cbx_report_study_is(const char *path)
{
    char *scheme = NULL;
    const bool is = cb_dataset_read_note(&scheme, path, "scheme", NULL) == CB_OK;
    free(scheme);
    return is;
}

// ---- what the file must have -----------------------------------------------------------------

static const cbx_stored_variable *need(const cbx_report_study *study, const char *name, bool text,
                                       cb_error *error)
{
    const cbx_stored_variable *found = cbx_stored_find(study->root, name);
    if (!found || (text ? !found->text : !found->number)) {
        cb_fail_at(error, CB_BAD_INPUT, study->path, 0, 0,
                   "is no study of this program, or of a later one: %s is missing", name);
        return NULL;
    }
    return found;
}

static const double *margins(const cbx_report_study *study, const char *name)
{
    const cbx_stored_variable *found = cbx_stored_find(study->root, name);
    return found && found->number && found->count == study->cases ? found->number : NULL;
}

static cb_status find_outputs(cbx_report_study *study, cb_error *error)
{
    study->status = need(study, "status", true, error);
    study->message = study->status ? need(study, "message", true, error) : NULL;
    study->study_text = study->message ? need(study, "study_text", true, error) : NULL;
    if (!study->study_text) {
        return CB_BAD_INPUT;
    }
    study->cases = study->status->count;
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        const cbx_stored_variable *found = need(study, cb_headline_row_of(i)->name, false, error);
        if (!found) {
            return CB_BAD_INPUT;
        }
        if (found->count != study->cases) {
            return cb_fail_at(error, CB_BAD_INPUT, study->path, 0, 0,
                              "is damaged: %s holds %zu values for %zu cases", found->name,
                              found->count, study->cases);
        }
        study->output[i] = found->number;
    }
    if (study->message->count != study->cases) {
        return cb_fail_at(error, CB_BAD_INPUT, study->path, 0, 0,
                          "is damaged: message holds %zu values for %zu cases",
                          study->message->count, study->cases);
    }
    study->verdict = cbx_study_output(study, "verdict");
    study->margin_low = margins(study, "margin_entering_minimum");
    study->margin_high = margins(study, "margin_entering_maximum");
    return CB_OK;
}

// ---- what varies -----------------------------------------------------------------------------

/// From the design; else the first kind of that unit.
static cb_kind kind_of(const cbx_report_study *study, const cbx_stored_variable *values,
                       const cb_units *units)
{
    cb_kind kind = CB_NUMBER;
    const bool known = cbx_value_kind(&kind, study->design, values->long_name, units);
    for (int k = 0; !known && k < CB_KIND_COUNT; k++) {
        if (strcmp(cb_kind_si_unit((cb_kind)k), values->units) == 0) {
            return (cb_kind)k;
        }
    }
    return kind;
}

static cb_status add_factor(cbx_report_study *study, const cbx_stored_variable *values,
                            const cb_units *units, cb_error *error)
{
    const bool fits = values && values->count > 0 && (study->grid || values->count == study->cases);
    if (!fits || study->factor_count == CB_MAX_FACTORS) {
        return cb_fail_at(error, CB_BAD_INPUT, study->path, 0, 0,
                          "is damaged: what varies in it has no values for its cases");
    }
    study->factor[study->factor_count++] =
        (cbx_report_factor){.path = *values->long_name ? values->long_name : values->name,
                            .kind = values->text ? CB_NUMBER : kind_of(study, values, units),
                            .words = values->text != NULL,
                            .values = values};
    return CB_OK;
}

/// The axes of whatever each case has; the last changes fastest.
static cb_status find_axes(cbx_report_study *study, const cb_units *units, cb_error *error)
{
    const cbx_stored_variable *status = study->status;
    size_t stride = study->cases;
    for (int axis = 0; axis < status->rank; axis++) {
        const cb_status added =
            add_factor(study, cbx_stored_find(study->root, status->dimension[axis]), units, error);
        if (added != CB_OK) {
            return added;
        }
        cbx_report_factor *factor = &study->factor[axis];
        if (factor->values->count != status->size[axis]) {
            return cb_fail_at(error, CB_BAD_INPUT, study->path, 0, 0,
                              "is damaged: %s has %zu values for %zu", factor->path,
                              factor->values->count, status->size[axis]);
        }
        stride /= status->size[axis];
        factor->stride = stride;
    }
    return CB_OK;
}

/// In the order of the statistics, which name the paths.
static cb_status find_sampled(cbx_report_study *study, const cb_units *units, cb_error *error)
{
    const cbx_stored_variable *factor = cbx_stored_find(study->statistics, "factor");
    for (size_t f = 0; factor && f < factor->count; f++) {
        const cbx_stored_variable *values = NULL;
        for (size_t v = 0; !values && v < study->root->count; v++) {
            const cbx_stored_variable *at = &study->root->variable[v];
            values = strcmp(at->long_name, cbx_stored_text(factor, f)) == 0 ? at : NULL;
        }
        const cb_status added = add_factor(study, values, units, error);
        if (added != CB_OK) {
            return added;
        }
    }
    const cbx_stored_variable *block = cbx_stored_find(study->root, "block");
    study->independent = study->cases;
    for (size_t i = 0; block && i < study->cases; i++) {
        const char *text = cbx_stored_text(block, i);
        if (strcmp(text, "A") != 0 && strcmp(text, "B") != 0) {
            study->independent = i;
            break;
        }
    }
    return CB_OK;
}

// ---- reading ---------------------------------------------------------------------------------

static cb_status read_file(cbx_report_study *study, cb_error *error)
{
    cb_status status = cb_dataset_read_note(&study->scheme, study->path, "scheme", error);
    if (status == CB_OK) {
        status = cb_dataset_read_note(&study->version, study->path, "program_version", error);
    }
    if (status == CB_OK) {
        status = cbx_stored_read(&study->root, study->path, "/", error);
    }
    if (status == CB_OK) {
        status = cbx_stored_read(&study->statistics, study->path, "/statistics", error);
    }
    if (status == CB_OK) { // a study that was read as it stands has none
        cb_dataset_read_note(&study->notices, study->path, "notices", NULL);
    }
    return status;
}

static cb_status read_design(cbx_report_study *study, const cb_units *units, cb_error *error)
{
    const cbx_stored_variable *text = need(study, "design_text", true, error);
    return text ? cb_design_parse(&study->design, cbx_stored_text(text, 0), study->path, NULL, 0,
                                  units, error)
                : CB_BAD_INPUT;
}

cb_status cbx_report_study_open(cbx_report_study *study, const char *path, const cb_units *units,
                                cb_error *error)
{
    cb_error unread;
    error = error ? error : &unread;
    *study = (cbx_report_study){.path = path};
    cb_status status = read_file(study, error);
    if (status == CB_OK) {
        status = read_design(study, units, error);
    }
    if (status == CB_OK) {
        status = find_outputs(study, error);
    }
    if (status == CB_OK) {
        study->grid = strcmp(study->scheme, "factorial") == 0;
        status = study->grid ? find_axes(study, units, error) : find_sampled(study, units, error);
    }
    if (status == CB_OK && study->factor_count == 0) {
        status = cb_fail_at(error, CB_BAD_INPUT, path, 0, 0, "is damaged: nothing varies in it");
    }
    return status;
}

void cbx_report_study_close(cbx_report_study *study)
{
    cbx_stored_destroy(study->root);
    cbx_stored_destroy(study->statistics);
    cb_design_destroy(study->design);
    free(study->scheme);
    free(study->version);
    free(study->notices);
    *study = (cbx_report_study){0};
}

// ---- cases -----------------------------------------------------------------------------------

bool cbx_study_case_ok(const cbx_report_study *study, size_t index)
{
    const double verdict = study->verdict[index];
    return strcmp(cbx_stored_text(study->status, index), "ok") == 0 &&
           (verdict == CB_CLEAR || verdict == CB_CLOSE || verdict == CB_BROKEN);
}

size_t cbx_study_value_at(const cbx_report_study *study, size_t factor, size_t index)
{
    const cbx_report_factor *of = &study->factor[factor];
    return study->grid ? index / of->stride % of->values->count : index;
}

void cbx_study_value_text(const cbx_report_factor *factor, size_t at, cb_unit_system system,
                          char text[CBX_STUDY_VALUE])
{
    if (factor->words) {
        snprintf(text, CBX_STUDY_VALUE, "%s", cbx_stored_text(factor->values, at));
        return;
    }
    const char *label = cb_units_label(factor->kind, system);
    const double shown = cb_units_value(factor->kind, system, factor->values->number[at]);
    snprintf(text, CBX_STUDY_VALUE, "%.4g%s%s", shown, *label ? " " : "", label);
}

const double *cbx_study_output(const cbx_report_study *study, const char *name)
{
    return study->output[cb_headline_find(name)];
}
