// SPDX-License-Identifier: MIT
/// The table of ground materials, for people and for machines.
#ifndef CLI_MATERIALS_H
#define CLI_MATERIALS_H

#include "cli/options.h"

/// Prints every material with its values at its usual moisture; in SI with --json.
void cli_materials_print(const cli_options *options);

#endif
