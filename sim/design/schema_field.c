// SPDX-License-Identifier: MIT
#include "design/schema.h"

static bool several_trenches(const void *base)
{
    return ((const cb_design_field *)base)->trenches > 1;
}

static bool is_coil(const void *base)
{
    return ((const cb_design_field *)base)->layout != CB_STRAIGHT;
}

static bool is_straight(const void *base)
{
    return ((const cb_design_field *)base)->layout == CB_STRAIGHT;
}

static bool returns_straight(const void *base)
{
    return is_coil(base) && ((const cb_design_field *)base)->coil_return == CB_RETURN_STRAIGHT;
}

static bool returns(const void *base)
{
    return is_coil(base) && ((const cb_design_field *)base)->coil_return != CB_RETURN_NONE;
}

static bool all_alike(const void *base)
{
    return ((const cb_design_field *)base)->length_count == 0;
}

static bool are_listed(const void *base)
{
    return ((const cb_design_field *)base)->length_count > 0;
}

static bool has_circuits(const void *base)
{
    return ((const cb_design_field *)base)->circuit_count > 0;
}

static bool runs_out(const void *base)
{
    return ((const cb_design_field *)base)->runout.given;
}

static const char *const return_names[] = {"none", "in_trench", "as_coil", NULL};

static const cbx_row coil[] = {
    {.name = "diameter",
     .type = CBX_QUANTITY,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_design_field, coil_diameter_m),
     .minimum = 0.3,
     .maximum = 3,
     .required = true,
     .help = "of a turn, to the middle of the pipe"},
    {.name = "pitch",
     .type = CBX_QUANTITY,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_design_field, coil_pitch_m),
     .minimum = 0.05,
     .maximum = 5,
     .required = true,
     .help = "advance along the trench from turn to turn"},
    {.name = "return",
     .type = CBX_CHOICE,
     .offset = offsetof(cb_design_field, coil_return),
     .choices = return_names,
     .standard = "in_trench",
     .reason = "the far end of the coil has to come back; common practice, no source",
     .help =
         "in_trench: by a straight pipe in the coil's trench; as_coil: as a second flat coil at "
         "return_depth; none: a header runs along the far ends"},
    {.name = "return_across",
     .type = CBX_QUANTITY,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_design_field, coil_return_across_m),
     .minimum = -2.5,
     .maximum = 2.5,
     .applies = returns_straight,
     .standard = "0 m",
     .reason = "over the middle of the coil; common practice, no source",
     .help = "offset of the straight return pipe from the coil's middle"},
    {.name = "return_depth",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_field, coil_return_depth_m),
     .minimum = 0.2,
     .maximum = 8,
     .applies = returns,
     .reason = "0.3 m above a flat coil, on the first lift of soil, or 0.1 m above an upright one; "
               "common practice, no source",
     .help = "depth of the straight return pipe or of the coil that comes back"},
    {.name = NULL},
};

static const cbx_row circuits[] = {
    {.name = "across",
     .type = CBX_QUANTITY,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_circuit_place, across_m),
     .minimum = -5,
     .maximum = 5,
     .standard = "0 m",
     .reason = "on the trench's centre line",
     .help = "of the circuit's middle from the trench's centre line"},
    {.name = "raised",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_circuit_place, raised_m),
     .minimum = 0,
     .maximum = 7,
     .standard = "0 m",
     .reason = "at the depths given for the layout",
     .help = "above the depths given for the layout"},
    {.name = NULL},
};

static const cbx_row straight[] = {
    {.name = "across",
     .type = CBX_QUANTITY,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_pipe_position, across_m),
     .minimum = -2.5,
     .maximum = 2.5,
     .required = true,
     .help = "from the trench's centre line"},
    {.name = "depth",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_pipe_position, depth_m),
     .minimum = 0.3,
     .maximum = 8,
     .required = true,
     .help = "below the surface"},
    {.name = NULL},
};

// The keys of a pipe, in the trenches or to the house.
#define PIPE_ROWS                                                                                  \
    {.name = "size",                                                                               \
     .type = CBX_TEXT,                                                                             \
     .offset = offsetof(cb_pipe_choice, nominal),                                                  \
     .required = true,                                                                             \
     .help = "nominal size, e.g. 3/4 in or 25 mm"},                                                \
        {.name = "sdr",                                                                            \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_NUMBER,                                                                        \
         .offset = offsetof(cb_pipe_choice, sdr),                                                  \
         .minimum = 5,                                                                             \
         .maximum = 41,                                                                            \
         .standard = "11",                                                                         \
         .reason = "the usual wall for buried loops; common practice, no source",                  \
         .help = "outside diameter over wall thickness"},                                          \
        {.name = "conductivity",                                                                   \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_CONDUCTIVITY,                                                                  \
         .offset = offsetof(cb_pipe_choice, conductivity_w_mk),                                    \
         .minimum = 0.05,                                                                          \
         .maximum = 400,                                                                           \
         .standard = "0.40 W/m/K",                                                                 \
         .reason = "polyethylene; middle of makers' data sheets (DIN 52612: 0.37 to 0.43 W/m/K)",  \
         .help = "of the pipe wall"},                                                              \
        {.name = "heat_capacity",                                                                  \
         .type = CBX_QUANTITY,                                                                     \
         .kind = CB_HEAT_CAPACITY,                                                                 \
         .offset = offsetof(cb_pipe_choice, heat_capacity_j_m3k),                                  \
         .minimum = 0.5e6,                                                                         \
         .maximum = 5e6,                                                                           \
         .standard = "2.2 MJ/m3/K",                                                                \
         .reason = "polyethylene, 955 kg/m3 times 2300 J/kg/K, from memory",                       \
         .help = "of the pipe wall, per volume"},

static const cbx_row pipe[] = {
    PIPE_ROWS{.name = "per_circuit",
              .type = CBX_QUANTITY,
              .kind = CB_LENGTH,
              .offset = offsetof(cb_pipe_choice, per_circuit_m),
              .minimum = 3,
              .maximum = 3000,
              .reason = "as much as the layout needs",
              .help = "pipe at hand for each circuit; a layout that needs more is refused"},
    {.name = NULL},
};

static const cbx_row runout_pipe[] = {PIPE_ROWS{.name = NULL}};

static const cbx_row runout[] = {
    {.name = "length",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_runout, length_m),
     .minimum = 1,
     .maximum = 400,
     .required = true,
     .help = "of the trench from the house to the field"},
    {.name = "depth",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_runout, depth_m),
     .minimum = 0.3,
     .maximum = 8,
     .required = true,
     .help = "of both pipes below the surface"},
    {.name = "apart",
     .type = CBX_QUANTITY,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_runout, apart_m),
     .minimum = 0.05,
     .maximum = 5,
     .standard = "0.3 m",
     .reason = "on both sides of a narrow trench; common practice, no source",
     .help = "of supply and return, centre to centre"},
    {.name = "pipe",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_runout, pipe),
     .rows = runout_pipe,
     .help = "supply and return"},
    {.name = NULL},
};

static const char *const layouts[] = {"flat_coil", "upright_coil", "straight", NULL};

const cbx_row cbx_field_rows[] = {
    {.name = "trenches",
     .type = CBX_WHOLE,
     .offset = offsetof(cb_design_field, trenches),
     .minimum = 1,
     .maximum = CB_MAX_TRENCHES,
     .required = true,
     .help = "number of trenches side by side"},
    {.name = "spacing",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_field, spacing_m),
     .minimum = 0.2,
     .maximum = 50,
     .required = true,
     .applies = several_trenches,
     .help = "from centre to centre; not needed for one trench"},
    {.name = "lengths",
     .type = CBX_VALUES,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_field, length_m),
     .counted = true,
     .offset_2 = offsetof(cb_design_field, length_count),
     .minimum = 3,
     .maximum = 400,
     .least = 1,
     .most = CB_MAX_TRENCHES,
     .applies = are_listed,
     .help = "of the trenches in order across the field, one for each; in place of length"},
    {.name = "length",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_field, trench_length_m),
     .minimum = 3,
     .maximum = 400,
     .required = true,
     .applies = all_alike,
     .help = "of each trench"},
    {.name = "width",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_field, trench_width_m),
     .minimum = 0.1,
     .maximum = 6,
     .required = true,
     .help = "of each trench"},
    {.name = "layout",
     .type = CBX_CHOICE,
     .offset = offsetof(cb_design_field, layout),
     .choices = layouts,
     .required = true,
     .help = "flat_coil: overlapping turns on the trench floor; upright_coil: the same turns "
             "standing in a narrow trench; straight: pipes along it"},
    {.name = "depth",
     .type = CBX_QUANTITY,
     .kind = CB_LENGTH,
     .offset = offsetof(cb_design_field, depth_m),
     .minimum = 0.3,
     .maximum = 8,
     .required = true,
     .applies = is_coil,
     .help = "of the coil's middle below the surface; straight pipes have their own"},
    {.name = "circuits",
     .type = CBX_LIST,
     .offset = offsetof(cb_design_field, circuit),
     .counted = true,
     .offset_2 = offsetof(cb_design_field, circuit_count),
     .stride = sizeof(cb_circuit_place),
     .least = 1,
     .most = CB_MAX_CIRCUITS,
     .applies = has_circuits,
     .rows = circuits,
     .help =
         "the circuits of each trench, all laid out alike, shifted across and raised; one on the "
         "centre line when left out"},
    {.name = "coil",
     .type = CBX_BLOCK,
     .applies = is_coil,
     .rows = coil,
     .help = "the coil (layout: flat_coil or upright_coil)"},
    {.name = "straight",
     .type = CBX_LIST,
     .offset = offsetof(cb_design_field, straight),
     .counted = true,
     .offset_2 = offsetof(cb_design_field, straight_pipes),
     .stride = sizeof(cb_pipe_position),
     .least = 1,
     .most = CB_MAX_PIPES,
     .required = true,
     .applies = is_straight,
     .rows = straight,
     .help = "the pipes of one circuit in the order the water visits them, out and back by turns "
             "(layout: straight)"},
    {.name = "pipe",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_field, pipe),
     .rows = pipe,
     .help = "the buried pipe"},
    {.name = "runout",
     .type = CBX_BLOCK,
     .optional_block = true,
     .flagged = true,
     .flag = offsetof(cb_design_field, runout.given),
     .offset = offsetof(cb_design_field, runout),
     .applies = runs_out,
     .rows = runout,
     .help = "supply and return from the house, buried in a trench of their own; left out: their "
             "heat exchange is left out too"},
    {.name = "header_volume",
     .type = CBX_QUANTITY,
     .kind = CB_VOLUME,
     .offset = offsetof(cb_design_field, header_volume_m3),
     .minimum = 0.001,
     .maximum = 20,
     .standard = "20 gal",
     .reason = "headers, house pipes and units of one house; common practice, no source",
     .help = "fluid outside the trenches"},
    {.name = NULL},
};
