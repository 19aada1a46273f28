// SPDX-License-Identifier: MIT
#include "design/memory.h"
#include "design/read.h"
#include "design/value.h"
#include "study/flow_text.h"
#include "study/study_reader.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const schemes[] = {"factorial", "latin_hypercube", "sobol", NULL};
static const char *const no_yes[] = {"no", "yes", NULL};

static const cbx_row study_rows[] = {
    {.name = "design",
     .type = CBX_FILE,
     .offset = offsetof(cb_study, design_path),
     .help = "the design's file, e.g. design: yard.yaml",
     .required = true},
    {.name = "scheme",
     .type = CBX_CHOICE,
     .offset = offsetof(cb_study, scheme),
     .choices = schemes,
     .help = "factorial, latin_hypercube or sobol",
     .required = true},
    {.name = "samples",
     .type = CBX_WHOLE,
     .kind = CB_NUMBER,
     .offset = offsetof(cb_study, samples),
     .minimum = 2,
     .maximum = 1000000},
    {.name = "seed",
     .type = CBX_WHOLE,
     .kind = CB_NUMBER,
     .offset = offsetof(cb_study, seed),
     .minimum = 0,
     .maximum = 1000000000},
    {.name = "indices",
     .type = CBX_SWITCH,
     .offset = offsetof(cb_study, indices),
     .choices = no_yes},
    {.name = "keep_runs",
     .type = CBX_SWITCH,
     .offset = offsetof(cb_study, keep_runs),
     .choices = no_yes},
    {.name = "set", .type = CBX_BLOCK},
    {.name = "vary",
     .type = CBX_BLOCK,
     .help = "a block of paths, e.g. field.depth: [4 ft, 5 ft, 6 ft]",
     .required = true},
    {.name = "correlations", .type = CBX_LIST},
    {.name = NULL},
};

void cbx_study_notice(cb_study *study, const char *format, ...)
{
    const size_t used = strlen(study->notices);
    char line[512];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    snprintf(study->notices + used, sizeof study->notices - used, "%s\n", line);
}

static cb_status no_memory(const cbx_study_reader *r)
{
    return cb_fail(r->error, CB_NO_MEMORY, "no memory for the study");
}

// ---- keys with one value ---------------------------------------------------------------------

static cb_status read_scalar(const cbx_study_reader *r, const cbx_row *row, const cbx_node *node,
                             const char *folder)
{
    if (node->shape != CBX_SCALAR || !node->text) {
        return cbx_fail_node(node, CBX_AT_KEY, r->error, "%s holds no value", row->name);
    }
    cb_error why = {0};
    const cbx_value_context context = {
        .units = r->units, .memory = r->study->memory, .folder = folder, .why = &why};
    const cb_status status = cbx_value_read(row, r->study, 0, node->text, &context);
    return status == CB_BAD_INPUT
               ? cbx_fail_node(node, CBX_AT_VALUE, r->error, "%s: %s", row->name, why.message)
           : status == CB_OK ? CB_OK
                             : cb_fail(r->error, status, "%s", why.message);
}

static cb_status check_keys(const cbx_study_reader *r, const cbx_node *root)
{
    for (const cbx_node *child = root->first; child; child = child->next) {
        const cbx_row *row = study_rows;
        while (row->name && strcmp(row->name, child->key) != 0) {
            row++;
        }
        if (!row->name) {
            return cbx_fail_unknown_key(child, "", study_rows, r->error);
        }
    }
    return CB_OK;
}

static cb_status read_scalars(const cbx_study_reader *r, const cbx_node *root, const char *folder)
{
    cb_status status = root->shape == CBX_MAPPING
                           ? check_keys(r, root)
                           : cbx_fail_node(root, CBX_AT_VALUE, r->error,
                                           "a study is a block of keys: design, scheme, vary");
    for (const cbx_row *row = study_rows; status == CB_OK && row->name; row++) {
        const cbx_node *node = cbx_child(root, row->name);
        if (!node && row->required) {
            status = cbx_fail_node(root, CBX_AT_KEY, r->error, "%s is missing: %s", row->name,
                                   row->help);
        } else if (node && row->type != CBX_BLOCK && row->type != CBX_LIST) {
            status = read_scalar(r, row, node, folder);
        }
    }
    return status;
}

// What the keys must not say together.
static cb_status check_scheme(const cbx_study_reader *r, const cbx_node *root)
{
    cb_study *study = r->study;
    const cbx_node *samples = cbx_child(root, "samples"), *indices = cbx_child(root, "indices");
    const cbx_node *correlations = cbx_child(root, "correlations");
    const bool sampled = study->scheme != CB_FACTORIAL;
    if (sampled && !samples) {
        return cbx_fail_node(cbx_child(root, "scheme"), CBX_AT_KEY, r->error,
                             "scheme %s needs samples, e.g. samples: 100", schemes[study->scheme]);
    }
    if (!sampled && (samples || correlations)) {
        return cbx_fail_node(samples ? samples : correlations, CBX_AT_KEY, r->error,
                             "a factorial takes every combination of the listed values: it has no "
                             "%s",
                             samples ? "samples" : "correlations");
    }
    if (study->indices && study->scheme != CB_SOBOL) {
        return cbx_fail_node(indices, CBX_AT_VALUE, r->error, "indices need scheme: sobol");
    }
    study->indices = study->scheme == CB_SOBOL && (!indices || study->indices);
    if (study->indices && correlations) {
        return cbx_fail_node(correlations, CBX_AT_KEY, r->error,
                             "Sobol indices share the variance out among independent values: leave "
                             "the correlations out or write indices: no");
    }
    return CB_OK;
}

// ---- set -------------------------------------------------------------------------------------

static cb_status add_set(const cbx_study_reader *r, const char *path, const char *value)
{
    cb_study *study = r->study;
    if (study->set_count >= CB_MAX_STUDY_SET) {
        return cb_fail_at(r->error, CB_BAD_INPUT, study->path, 0, 0,
                          "more than %d values are set in all cases", CB_MAX_STUDY_SET);
    }
    char *own_path = cbx_copy(study->memory, path), *own_value = cbx_copy(study->memory, value);
    if (!own_path || !own_value) {
        return no_memory(r);
    }
    study->set[study->set_count++] = (cb_override){.path = own_path, .value = own_value};
    return CB_OK;
}

static cb_status read_set(const cbx_study_reader *r, const cbx_node *node)
{
    if (!node) {
        return CB_OK;
    }
    if (node->shape != CBX_MAPPING) {
        return cbx_fail_node(node, CBX_AT_KEY, r->error,
                             "set is a block of paths with a value each, e.g. run.years: 10");
    }
    cb_status status = CB_OK;
    for (const cbx_node *at = node->first; status == CB_OK && at; at = at->next) {
        const char *text = cbx_flow_text(r->study->memory, at);
        if (cbx_is_blank(at)) {
            status = cbx_fail_node(at, CBX_AT_KEY, r->error, "%s: a value is wanted", at->key);
        } else {
            status = text ? add_set(r, at->key, text) : no_memory(r);
        }
    }
    return status;
}

// The line of `set` that a message of the design reader is about; NULL if it is another.
static const cbx_node *set_of_message(cb_design_memory *memory, const cbx_node *set,
                                      const cb_error *why, const char **rest)
{
    for (const cbx_node *at = set ? set->first : NULL; at; at = at->next) {
        char start[CB_MESSAGE_SIZE];
        const char *text = cbx_flow_text(memory, at);
        snprintf(start, sizeof start, "--set %s=%s: ", at->key, text ? text : "");
        if (strncmp(why->message, start, strlen(start)) == 0) {
            *rest = why->message + strlen(start);
            return at;
        }
    }
    return NULL;
}

static cb_status read_design(const cbx_study_reader *r, const cbx_node *root)
{
    cb_study *study = r->study;
    cb_error why = {0};
    const cb_status status = cb_design_read(&study->design, study->design_path, study->set,
                                            study->set_count, r->units, &why);
    if (status == CB_OK) {
        return CB_OK;
    }
    const char *rest = NULL;
    const cbx_node *set = set_of_message(study->memory, cbx_child(root, "set"), &why, &rest);
    if (set) {
        return cbx_fail_node(set, CBX_AT_VALUE, r->error, "%s", rest);
    }
    if (status == CB_IO && !why.file[0]) {
        cbx_fail_node(cbx_child(root, "design"), CBX_AT_VALUE, r->error, "design: %s", why.message);
        if (r->error) {
            r->error->status = status;
        }
    } else if (r->error) {
        *r->error = why;
    }
    return status;
}

// ---- vary ------------------------------------------------------------------------------------

// A factor of which no value makes a design is a mistake; one of which some do not is a result.
static cb_status try_levels(const cbx_study_reader *r, const cbx_node *node,
                            const cb_factor *factor)
{
    const cb_study *study = r->study;
    cb_override set[CB_MAX_STUDY_SET + 1];
    memcpy(set, study->set, study->set_count * sizeof *set);
    cb_error why = {0};
    cb_status status = CB_OK;
    for (size_t i = 0; i < factor->level_count; i++) {
        cb_design *design = NULL;
        set[study->set_count] = (cb_override){.path = factor->path, .value = factor->level[i]};
        status =
            cb_design_read(&design, study->design_path, set, study->set_count + 1, r->units, &why);
        cb_design_destroy(design);
        if (status == CB_OK) {
            return CB_OK;
        }
    }
    return status == CB_OK ? CB_OK
                           : cbx_fail_node(node, CBX_AT_VALUE, r->error,
                                           "%s: no value of the list makes a design; the last: %s",
                                           node->key, why.message);
}

static cb_status read_vary(const cbx_study_reader *r, const cbx_node *vary)
{
    if (vary->shape != CBX_MAPPING || !vary->first) {
        return cbx_fail_node(vary, CBX_AT_KEY, r->error,
                             "vary is a block of paths, e.g. field.depth: [4 ft, 5 ft, 6 ft]");
    }
    cb_status status = CB_OK;
    for (const cbx_node *at = vary->first; status == CB_OK && at; at = at->next) {
        status = cbx_factor_read(r, at);
        if (status == CB_OK) {
            status = try_levels(r, at, &r->study->factor[r->study->factor_count - 1]);
        }
    }
    return status;
}

static cb_status count_cases(const cbx_study_reader *r, const cbx_node *root, size_t most)
{
    cb_study *study = r->study;
    double count = 1; // may be beyond any integer
    for (size_t f = 0; study->scheme == CB_FACTORIAL && f < study->factor_count; f++) {
        count *= (double)study->factor[f].level_count;
    }
    if (study->scheme != CB_FACTORIAL) {
        count = study->samples * (study->indices ? (double)study->factor_count + 2 : 1);
    }
    if (!(count <= (double)most)) {
        const cbx_node *samples = cbx_child(root, "samples");
        return cbx_fail_node(
            samples ? samples : cbx_child(root, "vary"), CBX_AT_KEY, r->error,
            "the study has %.0f cases%s and %zu are allowed; allow more with "
            "--max-cases %.0f",
            count, study->indices ? " (samples, times the values that vary and 2 more)" : "", most,
            count);
    }
    study->case_count = (size_t)count;
    return CB_OK;
}

// ---- the whole -------------------------------------------------------------------------------

static cb_status read_tree(cbx_study_reader *r, const cbx_node *root, const char *folder,
                           const cb_study_order *order)
{
    cb_status status = read_scalars(r, root, folder);
    if (status == CB_OK) {
        status = check_scheme(r, root);
    }
    if (status == CB_OK) {
        status = read_set(r, cbx_child(root, "set"));
    }
    for (size_t i = 0; status == CB_OK && i < order->set_count; i++) {
        status = add_set(r, order->set[i].path, order->set[i].value);
    }
    if (status == CB_OK) {
        status = read_design(r, root);
    }
    if (status != CB_OK) {
        return status;
    }
    r->scratch = malloc(sizeof(cb_design));
    if (!r->scratch) {
        return no_memory(r);
    }
    memcpy(r->scratch, r->study->design, sizeof(cb_design));
    status = read_vary(r, cbx_child(root, "vary"));
    const cbx_node *correlations = cbx_child(root, "correlations");
    if (status == CB_OK && correlations) {
        status = cbx_correlations_read(r, correlations);
    }
    if (status == CB_OK) {
        status = count_cases(r, root, order->most_cases);
    }
    return status == CB_OK ? cbx_study_lay_out(r->study, r->error) : status;
}

static cb_status read_file(cb_study *study, const cb_study_order *order, const cb_units *units,
                           cb_error *error)
{
    cb_status status = cbx_read_file(&study->text, study->memory, study->path, error);
    cbx_text *from = cbx_allocate(study->memory, sizeof *from);
    const char *slash = strrchr(study->path, '/');
    const char *folder =
        slash ? cbx_copy_bytes(study->memory, study->path, (size_t)(slash - study->path) + 1) : "";
    if (status != CB_OK) {
        return status;
    }
    if (!from || !folder) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the study");
    }
    from->file = study->path;
    cbx_node *root = NULL;
    cbx_study_reader reader = {.study = study, .units = units, .error = error};
    status = cbx_tree_parse(&root, study->memory, study->text, from, error);
    if (status == CB_OK) {
        status = read_tree(&reader, root, folder, order);
    }
    free(reader.scratch);
    return status;
}

cb_status cb_study_read(cb_study **out, const cb_study_order *order, const cb_units *units,
                        cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "a study needs a place to be put");
    }
    *out = NULL;
    if (!order || !order->path || !units || (order->set_count > 0 && !order->set)) {
        return cb_fail(error, CB_BAD_CALL, "reading a study needs a name and the units");
    }
    cb_study *study = calloc(1, sizeof *study);
    if (study) {
        study->memory = cbx_memory_create();
        study->path = study->memory ? cbx_copy(study->memory, order->path) : NULL;
    }
    const cb_status status = study && study->path
                                 ? read_file(study, order, units, error)
                                 : cb_fail(error, CB_NO_MEMORY, "no memory for the study");
    *out = status == CB_OK ? study : cb_study_destroy(study);
    return status;
}

cb_study *cb_study_destroy(cb_study *study)
{
    if (study) {
        cb_design_destroy(study->design);
        free(study->share);
        cbx_memory_destroy(study->memory);
        free(study);
    }
    return NULL;
}
