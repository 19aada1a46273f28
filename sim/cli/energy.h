// SPDX-License-Identifier: MIT
#ifndef CLI_ENERGY_H
#define CLI_ENERGY_H

#include "cli/options.h"

/// `coilbed findings --energy`: electricity of the run in options->operand by month and use, and by
/// other means. Returns the exit status.
int cli_show_energy(const cli_options *options, const cb_units *units);

#endif
