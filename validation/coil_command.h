// SPDX-License-Identifier: MIT
// coilbed-validate coil
#ifndef COILBED_VALIDATION_COIL_COMMAND_H
#define COILBED_VALIDATION_COIL_COMMAND_H

// argv[0] is "coil". The exit status: 0 computed, 2 not.
int coil_command(int argc, char **argv);

#endif
