// SPDX-License-Identifier: MIT
/// Everything a run starts from, read in order: design, weather, shaped weather, house.
#ifndef CLI_INPUTS_H
#define CLI_INPUTS_H

#include "cli/options.h"
#include "coilbed/house.h"
#include "coilbed/loop.h"

typedef struct cli_inputs {
    cb_units *units;
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_house *house;
    cb_fluid fluid;
    cb_pipe pipe;
    cb_field_bill bill;
} cli_inputs;

/// Reads all of options->operand; cli_inputs_close is needed in every case.
cb_status cli_inputs_open(cli_inputs *inputs, const cli_options *options, cb_error *error);
void cli_inputs_close(cli_inputs *inputs);

#endif
