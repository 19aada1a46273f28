// SPDX-License-Identifier: MIT
/// What the verbs of `coilbed weather` share.
#ifndef CLI_WEATHER_H
#define CLI_WEATHER_H

#include "cli/facts.h"
#include "cli/options.h"
#include "coilbed/weather.h"

/// Weather with the design it was read for: that of a design file, or the starter's with the
/// operand as its weather.
typedef struct cli_weather_input {
    cb_units *units;
    cb_design *design;
    cb_weather *weather;
    cb_run_weather *run_weather;
} cli_weather_input;

/// Whether the weather is there, from when, and by months.
void cli_weather_check_facts(cli_facts *facts, const cli_weather_input *input);
void cli_weather_describe_facts(cli_facts *facts, const cli_weather_input *input);

/// Writes hours to options->output and says how to read it back. Returns the exit status.
int cli_weather_write(const cli_options *options, const cb_weather_csv *csv,
                      const cli_weather_input *input);

#endif
