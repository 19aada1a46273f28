// SPDX-License-Identifier: MIT
// coilbed-validate soil FILE...
#ifndef VALIDATION_STATION_COMMAND_H
#define VALIDATION_STATION_COMMAND_H

// argv[0] is "soil". The exit status: 0 judged, 2 nothing could be judged.
int station_command(int argc, char **argv);

#endif
