// SPDX-License-Identifier: MIT
#include "cases.h"
#include "published.h"

#include "loop/hydraulics.h"

#include <math.h>

static const double foot_m = 0.3048, inch_m = 0.0254, gpm_m3_s = 3.785411784e-3 / 60.0;

// ---- friction --------------------------------------------------------------------------------

static double head_ft(const head_row *row)
{
    const double inside_m = row->inside_in * inch_m;
    const cb_fluid_properties water = {.density_kg_m3 = published_head_density,
                                       .viscosity_pa_s =
                                           published_head_density * published_head_viscosity_m2_s};
    const cbx_line line = {.inside_m = inside_m,
                           .straight_m = 100.0 * foot_m,
                           .roughness = published_head_roughness_ft * foot_m / inside_m};
    return cbx_line_drop(&line, &water, row->flow_gpm * gpm_m3_s).value /
           (published_head_density * cbx_gravity_m_s2 * foot_m);
}

static void run_heads(validation_table *table)
{
    for (size_t i = 0; i < sizeof published_head / sizeof *published_head; i++) {
        const head_row *row = &published_head[i];
        validation_row(table, row->head_ft, head_ft(row), row->tolerance * row->head_ft,
                       "%g in, %g gpm [ft per 100 ft]", row->inside_in, row->flow_gpm);
    }
}

const validation_case validation_head_loss = {
    "head loss of water at 60 degF in steel pipe",
    "Hydraulic Institute Engineering Data Library; its turbulent rows follow Colebrook and White, "
    "ours Churchill, and at Re 2700 it is turbulent still (hence 16 %)",
    run_heads};

static void run_friction(validation_table *table)
{
    validation_worst straight = {0}, laminar = {0}, turbulent = {0};
    for (size_t i = 0; i < sizeof published_friction / sizeof *published_friction; i++) {
        const friction_row *row = &published_friction[i];
        const double inside_m = 1e-3 * row->inside_mm, curvature = inside_m / 0.9;
        const double coil = cb_coil_friction_factor(row->reynolds, 1.5e-6 / inside_m, curvature);
        validation_consider(&straight, row->straight,
                            cb_friction_factor(row->reynolds, 1.5e-6 / inside_m),
                            1e-5 * row->straight, "%s", row->what);
        if (row->white > 0.0) {
            validation_consider(&laminar, row->white, coil * row->reynolds / 64.0,
                                3e-5 * row->white, "%s", row->what);
        }
        if (row->mishra > 0.0) {
            validation_consider(&turbulent, row->mishra, coil, 0.015 * row->mishra, "%s",
                                row->what);
        }
    }
    validation_row(table, 0.018462624566280075, cb_friction_factor(1e5, 1e-4), 1e-15,
                   "Churchill, Re 1e5, roughness 1e-4");
    validation_row(table, 0.4063281817830202, cb_coil_friction_factor(250.0, 0.0, 0.2), 1e-14,
                   "White in a coil, Re 250, d/D 0.2");
    validation_row(table, 10540.094061770815, cb_coil_transition(1.0 / 7.0), 1e-9,
                   "Schmidt's transition, d/D 1/7");
    validation_row_worst(table, &straight, "Churchill in polyethylene pipe");
    validation_row_worst(table, &laminar, "White's ratio to 64/Re in a coil of 0.9 m");
    validation_row_worst(table, &turbulent, "Mishra and Gupta in a coil of 0.9 m");
}

const validation_case validation_friction = {
    "friction factor",
    "first three: documentation of the open library fluids; the others computed independently "
    "(Mishra and Gupta there on Blasius' factor, here on Churchill's: hence 1.5 %)",
    run_friction};

// ---- units -----------------------------------------------------------------------------------

// A maker's factors of pressure drop of a unit's water side with 20 % of antifreeze by mass against
// water, both at 30 degF. Water is taken at 0 degC, where its data end.
typedef struct factor_row {
    cb_fluid_type type;
    double factor;
} factor_row;

static const factor_row factors[] = {{CB_ETHYLENE_GLYCOL, 1.163},
                                     {CB_PROPYLENE_GLYCOL, 1.270},
                                     {CB_ETHANOL, 1.343},
                                     {CB_METHANOL, 1.197}};

static void run_units(validation_table *table)
{
    const double flow_m3_s = 6.0 * gpm_m3_s;
    cb_design design = {.path = ""};
    design.piping.unit_drop_count = 1;
    design.piping.unit_drop[0] = (cb_flow_point){flow_m3_s, 1.0};
    design.piping.unit_water_c = 0.0;
    cbx_unit_curve curve = {.log_drop = {.count = 0}};
    (void)cbx_unit_curve_prepare(&curve, &design,
                                 NULL); // refused: no drop, which no row holds with
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++) {
        const cb_design_fluid mixture = {factors[i].type, 0.2, false};
        cb_fluid fluid;
        cb_fluid_properties at;
        (void)cb_fluid_define(&fluid, &mixture, NULL);
        cb_fluid_at(&fluid, -1.0 / 0.9, &at);
        validation_row(table, factors[i].factor, cbx_unit_drop(&curve, &at, flow_m3_s).value,
                       0.05 * factors[i].factor, "%s 20 %% by mass",
                       cb_fluid_name(factors[i].type));
    }
}

const validation_case validation_unit_drop = {
    "drop of a unit with antifreeze over that with water at 30 degF",
    "WaterFurnace 504W11 installation manual, p. 37 (water-to-water unit); ours by Blasius' powers "
    "of density and viscosity, 5 %",
    run_units};

// ---- network ---------------------------------------------------------------------------------

// Laminar, without fittings: flow is as 1 / length. By hand: 100 and 200 m share 2/3 and 1/3.
static void run_split(validation_table *table)
{
    static const cb_network_circuit unequal[] = {{100.0, 0.0, 0.0, 1}, {200.0, 0.0, 0.0, 1}};
    const cb_design design = {.path = "",
                              .fluid = {CB_PROPYLENE_GLYCOL, 0.3, false},
                              .pumps = {.flow_per_circuit_m3_s = 2e-5, .power_w = 10.0}};
    cb_pipe pipe;
    cb_fluid fluid;
    cb_network *network = NULL;
    double flow[2] = {NAN, NAN};
    cb_network_report report = {.hydraulic_w = NAN};
    (void)cb_pipe_find(&pipe, "3/4 in", 11.0, NULL);
    (void)cb_fluid_define(&fluid, &design.fluid, NULL);
    const cb_network_setup setup = {unequal, 2, &pipe, &fluid, &design};
    if (cb_network_create(&network, &setup, NULL) == CB_OK) {
        (void)cb_network_solve(network, -5.0, &report, flow, NULL);
    }
    cb_network_destroy(network);
    cb_fluid_properties at;
    cb_fluid_at(&fluid, -5.0, &at);
    const double radius_m = 0.5 * pipe.inside_diameter_m;
    const double poiseuille = 8.0 * at.viscosity_pa_s * 100.0 * 4e-5 * 2.0 / 3.0 /
                              (3.14159265358979323846 * pow(radius_m, 4.0));
    validation_row(table, 2.0 / 3.0, flow[0] / 4e-5, 1e-14, "share of the short circuit");
    validation_row(table, 1.0 / 3.0, flow[1] / 4e-5, 1e-14, "share of the long circuit");
    validation_row(table, poiseuille, report.state.drop_pa, 1e-12 * poiseuille,
                   "drop of both [Pa]");
}

const validation_case validation_flow_split = {"split among two unequal circuits",
                                               "Hagen and Poiseuille, by hand", run_split};
