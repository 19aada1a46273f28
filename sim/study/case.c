// SPDX-License-Identifier: MIT
#include "coilbed/case.h"

#include "coilbed/version.h"
#include "study/cache.h"
#include "study/headline.h"
#include "study/inputs.h"
#include "weather/csv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/// NULL without memory.
static cb_case *new_case(const cb_design *design, cb_error *error)
{
    cb_case *made = calloc(1, sizeof *made);
    if (!made) {
        cb_fail(error, CB_NO_MEMORY, "no memory for a case");
        return NULL;
    }
    snprintf(made->name, sizeof made->name, "%s", design->name ? design->name : "");
    made->run = design->run;
    return made;
}

cb_case *cb_case_destroy(cb_case *result)
{
    if (result) {
        cb_findings_destroy(result->findings);
        free(result);
    }
    return NULL;
}

static cb_status judge(cb_case *result, const cb_run_data *data, const cb_inputs *inputs,
                       cb_error *error)
{
    cb_status status = cb_findings_create(&result->findings, data, inputs->design, error);
    if (status == CB_OK) {
        status = cbx_headline_of(&result->headline, data, inputs->design, result->findings,
                                 &inputs->bill, error);
    }
    return status;
}

// ---- running ---------------------------------------------------------------------------------

/// True if the file is a whole run of this design, weather and version.
static bool is_run_of(const char *path, const cb_inputs *inputs)
{
    cb_run_origin *origin = NULL;
    cb_run_data *data = NULL;
    char *text = cb_design_echo(inputs->design);
    bool same = text && cb_record_read_origin(&origin, path, NULL) == CB_OK &&
                cb_record_read(&data, path, NULL) == CB_OK && data->complete;
    if (same) {
        char design[65];
        cbx_sha256(text, strlen(text), design);
        same = strcmp(origin->design_sha256, design) == 0 &&
               strcmp(origin->weather_sha256, inputs->weather->sha256) == 0 &&
               strcmp(origin->program_version, CB_VERSION) == 0;
    }
    free(text);
    cb_run_data_destroy(data);
    cb_run_origin_destroy(origin);
    return same;
}

static cb_status run_into(cb_case *result, const cb_case_order *order, const cb_inputs *inputs,
                          const char *path, cb_error *error)
{
    const cb_simulation what = {
        .inputs = inputs, .path = path, .libraries = order->libraries, .watch = order->watch};
    cb_simulated done;
    cb_status status = cb_simulate(&what, &done, error);
    cb_run_data *data = NULL;
    if (status == CB_OK) {
        status = cb_record_read(&data, path, error);
    }
    if (status == CB_OK) {
        status = judge(result, data, inputs, error);
    }
    cb_run_data_destroy(data);
    return status;
}

/// Nobody reads the soil sections of a run that is thrown away: none are written.
static cb_status run_unkept(cb_case *result, const cb_case_order *order, cb_inputs *inputs,
                            cb_error *error)
{
    const char *temporary = getenv("TMPDIR");
    const char *folder = order->scratch              ? order->scratch
                         : order->cache              ? order->cache
                         : temporary && temporary[0] ? temporary
                                                     : "/tmp";
    char *path = cbx_cache_path(folder, result->key, ".h5", true);
    if (!path) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a file's name");
    }
    inputs->design->run.section_every_days = 0;
    const cb_status status = run_into(result, order, inputs, path, error);
    unlink(path);
    free(path);
    return status;
}

static cb_status find_or_run(cb_case *result, const cb_case_order *order, cb_inputs *inputs,
                             cb_error *error)
{
    if (order->cache) {
        const cb_status status = cbx_make_folder(order->cache, error);
        if (status != CB_OK) {
            return status;
        }
        if ((!order->file || is_run_of(order->file, inputs)) &&
            cbx_cache_read(result, order->cache)) {
            result->from_cache = true;
            return CB_OK;
        }
    }
    cb_status status = order->file ? run_into(result, order, inputs, order->file, error)
                                   : run_unkept(result, order, inputs, error);
    if (status == CB_OK && order->cache) {
        status = cbx_cache_write(result, order->cache, error);
    }
    return status;
}

cb_status cb_case_run(cb_case **out, const cb_case_order *order, const cb_units *units,
                      cb_error *error)
{
    if (!out || !order) {
        return cb_fail(error, CB_BAD_CALL, "cb_case_run needs an order and a place for its result");
    }
    *out = NULL;
    cb_inputs inputs;
    cb_status status = cb_inputs_open(&inputs, &order->source, units, error);
    cb_case *result = status == CB_OK ? new_case(inputs.design, error) : NULL;
    if (!result) {
        cb_inputs_close(&inputs);
        return status == CB_OK ? CB_NO_MEMORY : status;
    }
    status = cbx_case_key(result->key, &inputs, error);
    if (status == CB_OK) {
        status = find_or_run(result, order, &inputs, error);
    }
    cb_inputs_close(&inputs);
    *out = status == CB_OK ? result : cb_case_destroy(result);
    return status;
}

// ---- a finished run --------------------------------------------------------------------------

static cb_status judge_stored(cb_case **out, const cb_run_data *data, cb_inputs *inputs,
                              cb_error *error)
{
    cb_status status = cbx_inputs_parts(inputs, error);
    cb_case *result = status == CB_OK ? new_case(inputs->design, error) : NULL;
    if (!result) {
        return status == CB_OK ? CB_NO_MEMORY : status;
    }
    status = judge(result, data, inputs, error);
    *out = status == CB_OK ? result : cb_case_destroy(result);
    return status;
}

cb_status cb_case_of_run(cb_case **out, const char *path, const cb_units *units, cb_error *error)
{
    cb_error unread;
    error = error ? error : &unread;
    if (!out || !path || !units) {
        return cb_fail(error, CB_BAD_CALL, "cb_case_of_run needs a file, units and a place");
    }
    *out = NULL;
    cb_run_data *data = NULL;
    cb_inputs inputs = {0};
    cb_status status = cb_record_read(&data, path, error);
    if (status == CB_OK) {
        status = cb_design_parse(&inputs.design, data->design_text, path, NULL, 0, units, error);
    }
    if (status == CB_OK) {
        status = judge_stored(out, data, &inputs, error);
    }
    cb_design_destroy(inputs.design);
    cb_run_data_destroy(data);
    return status;
}

char *cb_case_usual_cache(void)
{
    static const struct {
        const char *variable, *below;
    } place[] = {
        {"COILBED_CACHE", ""}, {"XDG_CACHE_HOME", "/coilbed"}, {"HOME", "/.cache/coilbed"}};
    for (size_t i = 0; i < sizeof place / sizeof *place; i++) {
        const char *folder = getenv(place[i].variable);
        if (folder && folder[0]) {
            const size_t size = strlen(folder) + strlen(place[i].below) + 1;
            char *path = malloc(size);
            if (path) {
                snprintf(path, size, "%s%s", folder, place[i].below);
            }
            return path;
        }
    }
    return NULL;
}
