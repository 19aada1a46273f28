// SPDX-License-Identifier: MIT
#include "cli/inputs.h"

/// Library failures that know no place get the place of the value they are about.
static cb_status placed(const cb_design *design, const char *path, cb_error *error)
{
    if (error->file[0] || error->status != CB_BAD_INPUT) {
        return error->status;
    }
    const cb_error bare = *error;
    return cb_design_fail(design, path, error, "%s", bare.message);
}

cb_status cli_inputs_open(cli_inputs *inputs, const cli_options *options, cb_error *error)
{
    *inputs = (cli_inputs){0};
    cb_status status = cb_units_create(&inputs->units, error);
    if (status == CB_OK) {
        status = cb_design_read(&inputs->design, options->operand, options->set, options->set_count,
                                inputs->units, error);
    }
    if (status != CB_OK) {
        return status;
    }
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
    status = cb_weather_create(&inputs->weather, design, inputs->units, error);
    if (status == CB_OK) {
        status = cb_run_weather_create(&inputs->run_weather, inputs->weather, design, error);
    }
    if (status == CB_OK) {
        status = cb_house_create(&inputs->house, design, inputs->run_weather, inputs->units, error);
    }
    return status;
}

void cli_inputs_close(cli_inputs *inputs)
{
    inputs->house = cb_house_destroy(inputs->house);
    inputs->run_weather = cb_run_weather_destroy(inputs->run_weather);
    inputs->weather = cb_weather_destroy(inputs->weather);
    inputs->design = cb_design_destroy(inputs->design);
    inputs->units = cb_units_destroy(inputs->units);
}
