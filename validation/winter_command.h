// SPDX-License-Identifier: MIT
// coilbed-validate winter
#ifndef COILBED_VALIDATION_WINTER_COMMAND_H
#define COILBED_VALIDATION_WINTER_COMMAND_H

// argv[0] is "winter". The exit status: 0 within the targets, 1 not, 2 not computed.
int winter_command(int argc, char **argv);

#endif
