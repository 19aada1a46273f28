// SPDX-License-Identifier: MIT
#include "cli/energy.h"
#include "cli/failure.h"
#include "cli/message.h"
#include "cli/show.h"

static int findings_run(const cli_options *options)
{
    cb_units *units;
    cb_error error = {0};
    if (cb_units_create(&units, &error) != CB_OK) {
        return cli_fail(options, &error);
    }
    const int result = options->energy
                           ? cli_show_energy(options, units)
                           : cli_show_findings(options->operand, options, units, false, CLI_HELD);
    cb_units_destroy(units);
    return result;
}

const cli_command cli_findings = {
    .name = "findings",
    .operand = "OUT.h5",
    .summary = "the findings of a run, again, from its file",
    .details = "Judges the run in OUT.h5 against the limits of the design stored with it and\n"
               "prints the findings. The file is not changed. A run that was cut short is judged\n"
               "as far as it went; the exit status is then never 0.\n"
               "\n"
               "With --energy the electricity of an average year is printed instead, by month and\n"
               "use, with seasonal COPs and what the same loads would take by other means.\n",
    .takes = CLI_TAKES_ENERGY | CLI_TAKES_UNITS | CLI_TAKES_JSON | CLI_TAKES_VERBOSE,
    .run = findings_run,
};
