// SPDX-License-Identifier: MIT
#include "study/inputs.h"

/// Library failures that know no place get the place of the value they are about.
static cb_status placed(const cb_design *design, const char *path, cb_error *error)
{
    if (!error || error->file[0] || error->status != CB_BAD_INPUT) {
        return error ? error->status : CB_BAD_INPUT;
    }
    const cb_error bare = *error;
    return cb_design_fail(design, path, error, "%s", bare.message);
}

cb_status cbx_source_design(cb_design **out, const cb_case_source *source, const cb_units *units,
                            cb_error *error)
{
    if (!source->text) {
        return cb_design_read(out, source->path, source->set, source->set_count, units, error);
    }
    return cb_design_parse(out, source->text, source->path ? source->path : "", source->set,
                           source->set_count, units, error);
}

cb_status cbx_inputs_parts(cb_inputs *inputs, cb_error *error)
{
    const cb_design *design = inputs->design;
    if (cb_fluid_define(&inputs->fluid, &design->fluid, error) != CB_OK) {
        return placed(design, "fluid.concentration", error);
    }
    if (cb_pipe_of(&inputs->pipe, &design->field.pipe, error) != CB_OK) {
        return placed(design, "field.pipe", error);
    }
    const cb_runout *runout = &design->field.runout;
    cb_pipe runout_pipe;
    if (runout->given && cb_pipe_of(&runout_pipe, &runout->pipe, error) != CB_OK) {
        return placed(design, "field.runout.pipe", error);
    }
    cb_field_bill_of(&inputs->bill, &design->field, &inputs->pipe,
                     runout->given ? &runout_pipe : NULL);
    return CB_OK;
}

cb_status cb_inputs_open(cb_inputs *inputs, const cb_case_source *source, const cb_units *units,
                         cb_error *error)
{
    cb_error unread; // the place of a failure is found from its message
    error = error ? error : &unread;
    if (!inputs) {
        return cb_fail(error, CB_BAD_CALL, "cb_inputs_open needs a place for its result");
    }
    *inputs = (cb_inputs){0};
    if (!source || !units || (!source->path && !source->text)) {
        return cb_fail(error, CB_BAD_CALL, "cb_inputs_open needs a design and units");
    }
    cb_status status = cbx_source_design(&inputs->design, source, units, error);
    if (status == CB_OK) {
        status = cbx_inputs_parts(inputs, error);
    }
    if (status == CB_OK) {
        status = cb_weather_create(&inputs->weather, inputs->design, units, error);
    }
    if (status == CB_OK) {
        status =
            cb_run_weather_create(&inputs->run_weather, inputs->weather, inputs->design, error);
    }
    if (status == CB_OK) {
        status = cb_house_create(&inputs->house, inputs->design, inputs->run_weather, units, error);
    }
    return status;
}

void cb_inputs_close(cb_inputs *inputs)
{
    inputs->house = cb_house_destroy(inputs->house);
    inputs->run_weather = cb_run_weather_destroy(inputs->run_weather);
    inputs->weather = cb_weather_destroy(inputs->weather);
    inputs->design = cb_design_destroy(inputs->design);
}
