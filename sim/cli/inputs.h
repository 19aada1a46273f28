// SPDX-License-Identifier: MIT
/// Everything a run starts from, as the options ask for it.
#ifndef CLI_INPUTS_H
#define CLI_INPUTS_H

#include "cli/options.h"
#include "coilbed/case.h"

typedef cb_inputs cli_inputs;

/// Reads all of options->operand; cb_inputs_close is needed in every case.
cb_status cli_inputs_open(cli_inputs *inputs, const cli_options *options, const cb_units *units,
                          cb_error *error);

#endif
