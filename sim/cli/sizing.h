// SPDX-License-Identifier: MIT
/// The parts of the sizing sheet: each adds its facts.
#ifndef CLI_SIZING_H
#define CLI_SIZING_H

#include "cli/explain.h"

/// ISO 13256-1, ground loops: entering water of the rating points.
#define CLI_RATING_HEATING_C 0.0
#define CLI_RATING_COOLING_C 25.0

typedef struct cli_sheet {
    cli_facts *facts;
    const cli_subject *subject;
    const cb_design *design;
    cb_design_loads loads;
    double nominal_w; ///< cooling of all units at 25 degC water; heating at 0 degC if none cools
} cli_sheet;

/// All units together, at full load [W].
double cli_sheet_capacity_w(const cli_sheet *sheet, double entering_c, bool cooling);

void cli_size_air(const cli_sheet *sheet);
void cli_size_loop(const cli_sheet *sheet);
void cli_size_year(const cli_sheet *sheet);
/// The same loads by other means. Adds nothing without a heating design load.
void cli_size_others(const cli_sheet *sheet);

#endif
