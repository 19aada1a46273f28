// SPDX-License-Identifier: MIT
/// The parts of `coilbed check`: each adds its facts about a design.
#ifndef CLI_EXPLAIN_H
#define CLI_EXPLAIN_H

#include "cli/facts.h"
#include "cli/inputs.h"
#include "coilbed/engine.h"
#include "coilbed/field.h"
#include "coilbed/hydraulics.h"
#include "coilbed/plant.h"

/// Heating capacity and power of all units at an entering water temperature [W].
typedef struct cli_capacity {
    double heating_w, heating_power_w, cooling_w, cooling_power_w;
} cli_capacity;
cli_capacity cli_capacity_at(const cb_design *design, const cb_plant *plant, double entering_c);

/// Extremes and sums of the loads of a whole run.
typedef struct cli_load_summary {
    double heating_peak_w, cooling_peak_w;
    long heating_peak_hour, cooling_peak_hour;
    double heating_j_year, cooling_j_year; ///< mean of the run's years
} cli_load_summary;
cli_load_summary cli_loads_of(const cli_inputs *inputs);

typedef struct cli_subject {
    const cli_inputs *inputs;
    const cb_plant *plant;
    const cb_network *network;
    const cb_grid_size *grid;
    cb_field_bill bill;
    cli_load_summary loads;
} cli_subject;

/// Adds what the ground makes of a key that the file leaves to it ("ground.layers[0].conductivity",
/// "ground.surface.albedo") as a fact of that name. False for other keys.
bool cli_ground_assumption(cli_facts *facts, const cb_design *design, const char *path,
                           const char *reason);

void cli_explain_site(cli_facts *facts, const cli_subject *subject);
void cli_explain_ground(cli_facts *facts, const cli_subject *subject);
void cli_explain_field(cli_facts *facts, const cli_subject *subject);
void cli_explain_fluid(cli_facts *facts, const cli_subject *subject);
void cli_explain_piping(cli_facts *facts, const cli_subject *subject);
void cli_explain_loads(cli_facts *facts, const cli_subject *subject);
/// Adds what units do at part load, the air they get, when backup may run, and the hot water.
void cli_explain_plant(cli_facts *facts, const cb_plant *plant, const cb_design *design);
/// Names the units whose performance is a generic curve through rating points, if there are any.
void cli_explain_generic(cli_facts *facts, const cb_design *design);
void cli_explain_assumptions(cli_facts *facts, const cli_subject *subject);
void cli_explain_cautions(cli_facts *facts, const cli_subject *subject);
/// Adds the cautions of the hot water to those.
void cli_caution_hot_water(cli_facts *facts, const cb_design *design);
/// Adds the cautions of the hydraulics to those.
void cli_caution_piping(cli_facts *facts, const cli_subject *subject);

/// A run hour as "17 Jan of year 3, 06:00".
const char *cli_moment_text(const cb_design_run *run, long run_hour, char *buffer, size_t size);

/// "Jan" for 1.
const char *cli_month_name(int month);

/// `coilbed check --ground`: prints the undisturbed ground by depth and returns the exit status.
int cli_check_ground(const cli_inputs *inputs, const cli_options *options);

/// `coilbed check --sizing`: prints the sizing sheet and returns the exit status.
int cli_check_sizing(const cli_inputs *inputs, const cb_plant *plant, const cli_options *options);
/// `coilbed check --fluid`: prints the mixture's properties, and what the coldest fluid needs.
int cli_check_fluid(const cli_inputs *inputs, const cb_plant *plant, const cli_options *options);

enum { CLI_MOMENT_SIZE = 40 };
#define CLI_TON_W (12000.0 * 1055.05585262 / 3600.0) ///< 12,000 BTU (International Table) per hour
#define CLI_FOOT_M 0.3048

#endif
