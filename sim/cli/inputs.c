// SPDX-License-Identifier: MIT
#include "cli/inputs.h"

cb_status cli_inputs_open(cli_inputs *inputs, const cli_options *options, const cb_units *units,
                          cb_error *error)
{
    const cb_case_source source = {
        .path = options->operand, .set = options->set, .set_count = options->set_count};
    return cb_inputs_open(inputs, &source, units, error);
}
