// SPDX-License-Identifier: MIT
#include "engine/assemble.h"

#include "coilbed/units.h"
#include "engine/circuits.h"
#include "engine/dense.h"
#include "engine/layout.h"
#include "engine/slicing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

cbx_accuracy cbx_accuracy_of(cb_accuracy accuracy)
{
    static const cbx_accuracy table[] = {
        [CB_DRAFT] = {0.09, 0.03, 0.35, 2.0, 0.04, 3e-5, 0.035},
        [CB_STANDARD] = {0.06, 0.024, 0.22, 2.0, 0.02, 1e-5, 0.016},
        [CB_FINE] = {0.04, 0.012, 0.14, 1.3, 0.008, 4e-6, 0.005},
    };
    return table[accuracy];
}

// ---- soils -----------------------------------------------------------------------------------

static cb_status make_curves(cbx_system *system, cb_error *error)
{
    const cb_design_ground *ground = &system->design->ground;
    system->curves = calloc(CB_MAX_LAYERS + 1, sizeof *system->curves);
    if (!system->curves) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for soil tables");
    }
    cb_status status = CB_OK;
    for (int n = 0; status == CB_OK && n < ground->layer_count + ground->has_backfill; n++) {
        cb_soil soil;
        status = cb_soil_of_layer(&soil, system->design, n, error);
        if (status == CB_OK) {
            status = cb_soil_curve_create(&system->curves[n], &soil, error);
        }
        system->curve_count += status == CB_OK;
    }
    return status;
}

// ---- section ---------------------------------------------------------------------------------

static int backfill_boxes(const cbx_layout *layout, const cb_design *design, int soil,
                          cb_soil_box *box)
{
    if (!design->ground.has_backfill) {
        return 0;
    }
    const double floor_m = cbx_trench_floor_m(layout);
    for (int t = 0; t < layout->trenches; t++) {
        const double half_width = 0.5 * design->ground.backfill_width_m;
        box[t] = (cb_soil_box){layout->centre_m[t] - half_width, layout->centre_m[t] + half_width,
                               floor_m - design->ground.backfill_height_m, floor_m, soil};
    }
    return layout->trenches;
}

static cb_status make_section(cbx_system *system, const cbx_layout *layout, const cb_axis *x,
                              const cb_axis *z, cb_error *error)
{
    const cb_design *design = system->design;
    double bottom[CB_MAX_LAYERS];
    for (int n = 0; n < design->ground.layer_count; n++) {
        bottom[n] = design->ground.layer[n].bottom_m;
    }
    cb_soil_box box[CB_MAX_TRENCHES];
    const cb_section_plan plan = {
        .x = x,
        .z = z,
        .length_m = layout->longest_m / system->slices,
        .scale = layout->half ? 2.0 : 1.0,
        .geothermal_flux_w_m2 = design->ground.geothermal_flux_w_m2,
        .curves = system->curves,
        .layer_bottom_m = bottom,
        .layers = design->ground.layer_count,
        .boxes = box,
        .box_count = backfill_boxes(layout, design, system->curve_count - 1, box),
    };
    return cb_section_create(&system->section, &plan, error);
}

cb_status cbx_system_workspace(cbx_system *system, cb_error *error)
{
    const cb_section *section = system->section;
    system->pipe_heat_w =
        calloc((size_t)system->slices * (size_t)section->cells, sizeof *system->pipe_heat_w);
    system->sweep_work = cbx_rows_create(system->slices, (int)cbx_sweep_room(section));
    return system->pipe_heat_w && system->sweep_work
               ? CB_OK
               : cb_fail(error, CB_NO_MEMORY, "no memory for the soil sections");
}

// ---- slices -----------------------------------------------------------------------------------

// Soil number n holds pipe of the trenches: by a leg's depth, or as backfill.
static bool holds_pipe(const cbx_system *system, const cbx_layout *layout, int n)
{
    const cb_design_ground *ground = &system->design->ground;
    if (n >= ground->layer_count) {
        return true;
    }
    const double top_m = n > 0 ? ground->layer[n - 1].bottom_m : 0.0;
    const double bottom_m = n + 1 < ground->layer_count ? ground->layer[n].bottom_m : INFINITY;
    bool holds = false;
    for (int l = 0; l < layout->part_count; l++) {
        const double depth_m = layout->kind[l].part.leg.depth_m;
        holds = holds || (depth_m >= top_m && depth_m < bottom_m);
    }
    return holds;
}

// Trench, run-out included, that the slices have beyond the pipes' ends, as a share of what there
// is.
static double overhang(const cbx_layout *layout, int slices)
{
    const double slice_m = layout->longest_m / slices;
    double beyond_m = 0.0, all_m = 0.0;
    for (int t = 0; t < layout->trenches + layout->runout; t++) {
        const double length_m = layout->length_m[t];
        const double reached_m = slice_m * ceil(length_m / slice_m - 1e-9);
        beyond_m += layout->multiplicity[t] * (reached_m - length_m);
        all_m += layout->multiplicity[t] * length_m;
    }
    return beyond_m / all_m;
}

// As many slices or up to twice as many, so that trenches end where slices do, or nearly.
static int fit_ends(const cbx_layout *layout, const cbx_slicing *trench, int slices,
                    double granted_k)
{
    const double whole_k = cbx_slicing_overhang_k(trench, 1.0); // it goes with the share
    int best = slices;
    for (int n = slices; n <= 2 * slices && n <= CBX_MAX_SLICES; n++) {
        best = overhang(layout, n) < overhang(layout, best) ? n : best;
        if (whole_k * overhang(layout, best) <= granted_k) {
            break;
        }
    }
    return best;
}

static int slices_of_soil(const cbx_layout *layout, const cbx_slicing *trench, double granted_k)
{
    const int slices = cbx_slicing_choose(trench, granted_k);
    const double all = ceil(slices * layout->longest_m / layout->trench_m - 1e-9);
    return fit_ends(layout, trench, all < CBX_MAX_SLICES ? (int)all : CBX_MAX_SLICES, granted_k);
}

static int choose_slices(const cbx_system *system, const cbx_layout *layout,
                         const cbx_piping *piping, const cbx_accuracy *accuracy)
{
    if (system->design->run.slices > 0) {
        return system->design->run.slices;
    }
    int slices = 1;
    for (int n = 0; n < system->curve_count; n++) {
        if (holds_pipe(system, layout, n)) {
            cbx_slicing trench;
            const cb_soil_state thawed = cb_soil_at(system->curves[n], 0.0);
            cbx_slicing_of(&trench, system, layout, piping, thawed.conductivity_w_mk);
            const int wanted = slices_of_soil(layout, &trench, accuracy->slice_k);
            slices = wanted > slices ? wanted : slices;
        }
    }
    return slices;
}

// ---- runs -------------------------------------------------------------------------------------

static cb_status make_runs(cbx_system *system, const cbx_layout *layout, const cbx_piping *piping,
                           cb_error *error)
{
    const int count = layout->trenches * layout->part_count + (layout->runout ? 2 : 0);
    system->trenches = layout->trenches;
    system->run = calloc((size_t)count, sizeof *system->run);
    if (!system->run) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the pipe runs");
    }
    for (int t = 0; t < layout->trenches + layout->runout; t++) {
        int end;
        for (int kind = cbx_layout_kinds(layout, t, &end); kind < end; kind++) {
            cbx_run *run = &system->run[system->run_count++];
            if (!cbx_layout_run(layout, t, kind, system->section, run)) {
                return cb_fail(error, CB_NO_MEMORY, "no memory for the pipe runs");
            }
        }
    }
    cbx_circuits_fill_runs(system, layout, piping);
    return CB_OK;
}

cb_status cbx_system_volumes(cbx_system *system, cb_error *error)
{
    const size_t cells = (size_t)system->section->cells;
    system->volume_m3 = calloc((size_t)system->slices, sizeof *system->volume_m3);
    for (int s = 0; system->volume_m3 && s < system->slices; s++) {
        system->volume_m3[s] = malloc(cells * sizeof **system->volume_m3);
        if (!system->volume_m3[s]) {
            break;
        }
        memcpy(system->volume_m3[s], system->section->volume_m3, cells * sizeof(double));
        for (int r = 0; r < system->run_count; r++) {
            cbx_layout_carve(system->section, &system->run[r],
                             system->share[cbx_node(system, s, r)], system->volume_m3[s]);
        }
    }
    return system->volume_m3 && system->volume_m3[system->slices - 1]
               ? CB_OK
               : cb_fail(error, CB_NO_MEMORY, "no memory for the soil's volumes");
}

// ---- whole -----------------------------------------------------------------------------------

double cbx_full_heat_w(const cbx_system *system, bool cooling, double entering_c)
{
    double heat_w = 0.0;
    for (int n = 0; n < system->design->heat_pump_count; n++) {
        double capacity_w, power_w;
        cb_plant_unit_at(system->plant, n, cooling, entering_c, &capacity_w, &power_w);
        heat_w += cooling ? capacity_w + power_w : capacity_w - power_w;
    }
    return heat_w;
}

// Units that no such flow can serve would freeze or boil it in one pass; 3 to 6 K are usual, the
// mark is our own.
static cb_status check_flow(const cbx_system *system, cb_error *error)
{
    static const double most_k = 40.0;
    const cb_design_limits *limits = &system->design->limits;
    const double flow_w_k = system->circuits * system->wanted_flow_w_k;
    for (int cooling = 0; cooling < 2; cooling++) {
        const double entering_c = cooling ? limits->entering_maximum_c : limits->entering_minimum_c;
        const double heat_w = cbx_full_heat_w(system, cooling, entering_c);
        cb_network_result loop;
        cb_network_at(system->network, entering_c, &loop);
        const double given_w_k = loop.value.flow_m3_s * system->volume_capacity_j_m3k;
        if (given_w_k < flow_w_k && heat_w > most_k * given_w_k) {
            return cb_design_fail(
                system->design, "pumps.curve", error,
                "the units at full load %s %.3g kW at %.3g degC, and the %.3g L/s (%.3g gpm) that "
                "the pumps give there would change by %.3g K; at most %g K can be modelled: "
                "stronger pumps or wider pipes are wanted",
                cooling ? "reject" : "take", 1e-3 * heat_w, entering_c, 1e3 * loop.value.flow_m3_s,
                cb_units_value(CB_VOLUME_FLOW, CB_UNITS_US, loop.value.flow_m3_s),
                heat_w / given_w_k, most_k);
        }
        if (heat_w > most_k * flow_w_k) {
            const double wanted_m3_s =
                heat_w / (6.0 * system->circuits * system->volume_capacity_j_m3k);
            return cb_design_fail(
                system->design, "pumps.flow_per_circuit", error,
                "the units at full load %s %.3g kW at %.3g degC, and the flow of all %.0f circuits "
                "would change by %.3g K; at most %g K can be modelled: 3 to 6 K are usual, so %.3g "
                "L/s (%.3g gpm) or more in each circuit, or smaller units, are wanted",
                cooling ? "reject" : "take", 1e-3 * heat_w, entering_c, system->circuits,
                heat_w / flow_w_k, most_k, 1e3 * wanted_m3_s,
                cb_units_value(CB_VOLUME_FLOW, CB_UNITS_US, wanted_m3_s));
        }
    }
    return CB_OK;
}

static int mains_row(const cb_section *section)
{
    int row = 0;
    while (row + 1 < section->nz && section->z_edge_m[row + 1] < CBX_MAINS_DEPTH_M) {
        row++;
    }
    return row;
}

static cb_status fill_system(cbx_system *system, cb_error *error)
{
    const cb_design *design = system->design;
    const cbx_accuracy accuracy = cbx_accuracy_of(design->run.accuracy);
    if (design->run.slices > CBX_MAX_SLICES) {
        return cb_design_fail(design, "run.slices", error, "at most %d slices can be modelled",
                              CBX_MAX_SLICES);
    }
    cbx_piping piping;
    cb_status status = cbx_piping_of(&piping, design, error);
    if (status != CB_OK) {
        return status;
    }
    cbx_layout layout;
    cbx_layout_plan(&layout, design, &piping.field,
                    design->field.runout.given ? &piping.runout : NULL, &accuracy);
    status = make_curves(system, error);
    if (status == CB_OK) {
        status = cbx_circuits_make_network(system, &piping, error);
    }
    if (status == CB_OK) {
        status = cb_plant_create(&system->plant, design, error);
    }
    if (status != CB_OK) {
        return status;
    }
    system->slices = choose_slices(system, &layout, &piping, &accuracy);
    cb_axis x, z;
    status = cbx_layout_axes(&layout, design, &accuracy, &x, &z, error);
    if (status == CB_OK) {
        status = make_section(system, &layout, &x, &z, error);
        cb_axis_free(&x);
        cb_axis_free(&z);
    }
    if (status == CB_OK) {
        status = make_runs(system, &layout, &piping, error);
    }
    if (status == CB_OK) {
        status = cbx_system_workspace(system, error);
    }
    if (status == CB_OK) {
        status = cbx_circuits_make_paths(system, &layout, error);
    }
    if (status == CB_OK) {
        status = cbx_system_volumes(system, error);
    }
    if (status == CB_OK) {
        status = check_flow(system, error);
    }
    if (status == CB_OK) {
        system->size =
            system->slices * (system->section->cells + system->run_count * (CBX_SHELLS + 1)) + 4;
        const double tank_j_k = cb_plant_tank_capacity_j_k(system->plant);
        system->tank_capacity_j_k = tank_j_k > 0.0 ? tank_j_k : 1.0;
        system->tank_start_c = cb_plant_tank_start_c(system->plant);
        system->forcing.plant = system->plant;
        system->forcing.design = design;
        system->forcing.mains_row = mains_row(system->section);
    }
    return status;
}

cb_status cbx_system_create(cbx_system **out, const cb_design *design,
                            const cb_run_weather *weather, const cb_house *house, cb_error *error)
{
    *out = NULL;
    cbx_system *system = calloc(1, sizeof *system);
    if (!system) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the system");
    }
    system->design = design;
    cbx_forcing_start(&system->forcing, weather, house);
    const cb_status status = fill_system(system, error);
    if (status != CB_OK) {
        cbx_system_destroy(system);
        return status;
    }
    *out = system;
    return CB_OK;
}

cb_status cbx_column_section_create(cb_section **out, const cbx_system *field, cb_error *error)
{
    const cb_design_ground *ground = &field->design->ground;
    double width_m[2] = {0.0, 1.0};
    double bottom[CB_MAX_LAYERS];
    for (int n = 0; n < ground->layer_count; n++) {
        bottom[n] = ground->layer[n].bottom_m;
    }
    const cb_axis x = {1, width_m}, z = {field->section->nz, field->section->z_edge_m};
    const cb_section_plan plan = {.x = &x,
                                  .z = &z,
                                  .length_m = 1.0,
                                  .scale = 1.0,
                                  .geothermal_flux_w_m2 = ground->geothermal_flux_w_m2,
                                  .curves = field->curves,
                                  .layer_bottom_m = bottom,
                                  .layers = ground->layer_count};
    return cb_section_create(out, &plan, error);
}

cbx_system *cbx_system_destroy(cbx_system *system)
{
    if (system) {
        for (int r = 0; r < system->run_count; r++) {
            free(system->run[r].cell);
            free(system->run[r].weight);
        }
        for (int s = 0; system->volume_m3 && s < system->slices; s++) {
            free(system->volume_m3[s]);
        }
        for (int n = 0; n < system->curve_count; n++) {
            cb_soil_curve_destroy(system->curves[n]);
        }
        free(system->run);
        free(system->curves);
        free(system->pipe_heat_w);
        cbx_rows_free(system->sweep_work, system->slices);
        free(system->volume_m3);
        cbx_circuits_free(system);
        cb_section_destroy(system->section);
        cb_plant_destroy(system->plant);
        free(system);
    }
    return NULL;
}

void cbx_tolerances(const cbx_system *system, double *tolerance)
{
    const cb_section *section = system->section;
    const double fine_k = cbx_accuracy_of(system->design->run.accuracy).temperature_k;
    // Shells and fluid are a handful among thousands of cells; in the root mean square over all
    // states they would drown, and with them the number everyone is waiting for.
    const double near_k = 0.1 * fine_k;
    const double coil_m = system->design->field.depth_m;
    for (int s = 0; s < system->slices; s++) {
        for (int c = 0; c < section->cells; c++) {
            const int k = c % section->nz;
            const double z_m = cb_row_depth_m(section, k);
            // The top swings by tens of kelvin a day and none of it reaches the coil.
            const double loose = 8.0 * fmax(0.0, 1.0 - z_m / (0.5 * coil_m));
            tolerance[cbx_section_at(system, s) + c] =
                fine_k * (1.0 + loose) *
                cb_soil_unfrozen_capacity_j_m3k(section->curves[section->soil[c]]);
        }
    }
    for (int node = 0; node < cbx_node_count(system); node++) {
        const cbx_run *run = cbx_run_of(system, node);
        for (int n = 0; n < CBX_SHELLS; n++) {
            tolerance[cbx_shell_at(system, node) + n] =
                near_k * cb_soil_unfrozen_capacity_j_m3k(system->curves[run->soil]);
        }
        tolerance[cbx_fluid_at(system, node)] = near_k;
    }
    if (system->run_count > 0) {
        tolerance[cbx_entering_at(system)] = near_k;
        tolerance[cbx_tank_at(system)] = near_k;
    }
    // Bookkeeping must not steer the steps.
    tolerance[cbx_surface_heat_at(system)] = tolerance[cbx_loop_heat_at(system)] = 1e30;
}
