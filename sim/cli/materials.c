// SPDX-License-Identifier: MIT
#include "cli/materials.h"

#include "cli/terminal.h"
#include "coilbed/ground.h"
#include "coilbed/version.h"
#include "findings/json_writer.h"

#include <math.h>

/// A material with what it comes to when only its name is written.
typedef struct entry {
    const cb_material *material;
    cb_soil soil; ///< resolved
} entry;

static bool entry_at(entry *out, int n)
{
    out->material = cb_material_at(n);
    if (!out->material) {
        return false;
    }
    out->soil = cb_soil_of(out->material->name, NAN);
    return cb_soil_resolve(&out->soil, NULL) == CB_OK;
}

// ---- for people ------------------------------------------------------------------------------

typedef struct column {
    const char *head[2]; ///< two lines; units stand below the table
    cb_kind kind;
    int width;
    int decimals[2]; ///< by unit system
    double (*value)(const entry *e);
} column;

static double dry_density(const entry *e)
{
    return e->soil.dry_density_kg_m3;
}

static double pores(const entry *e)
{
    return cb_porosity(e->material);
}

static double quartz(const entry *e)
{
    return e->soil.quartz_share;
}

static double water(const entry *e)
{
    return e->soil.water_fraction;
}

static double thawed(const entry *e)
{
    return e->soil.conductivity_w_mk;
}

static double frozen(const entry *e)
{
    return e->soil.frozen_conductivity_w_mk;
}

static double capacity(const entry *e)
{
    return e->soil.heat_capacity_j_m3k;
}

static const column columns[] = {
    {{"dry", "density"}, CB_DENSITY, 9, {0, 0}, dry_density},
    {{"", "pores"}, CB_FRACTION, 7, {0, 0}, pores},
    {{"", "quartz"}, CB_FRACTION, 8, {0, 0}, quartz},
    {{"usual", "water"}, CB_FRACTION, 7, {1, 1}, water},
    {{"conduc-", "tivity"}, CB_CONDUCTIVITY, 9, {3, 2}, thawed},
    {{"the same", "frozen"}, CB_CONDUCTIVITY, 10, {3, 2}, frozen},
    {{"heat", "capacity"}, CB_HEAT_CAPACITY, 10, {1, 2}, capacity},
};
enum { COLUMNS = sizeof columns / sizeof *columns, NAME_WIDTH = 16 };

static void print_heading(void)
{
    for (int line = 0; line < 2; line++) {
        printf("%-*s", NAME_WIDTH, line == 1 ? "material" : "");
        for (int c = 0; c < COLUMNS; c++) {
            printf("%*s", columns[c].width, columns[c].head[line]);
        }
        putchar('\n');
    }
}

static void print_entry(const entry *e, cb_unit_system system)
{
    printf("%-*s", NAME_WIDTH, e->material->name);
    for (int c = 0; c < COLUMNS; c++) {
        const double shown = cb_units_value(columns[c].kind, system, columns[c].value(e));
        printf("%*.*f", columns[c].width, columns[c].decimals[system], shown);
    }
    putchar('\n');
}

static void print_note(const cb_material *material, int width)
{
    char text[512];
    snprintf(text, sizeof text, "%s (%s)", material->description, material->source);
    const int at = printf("  %s:", material->name);
    cli_wrap(stdout, text, at, at + 1, width);
}

static void print_table(cb_unit_system system)
{
    const int width = cli_width();
    entry e;
    print_heading();
    for (int n = 0; entry_at(&e, n); n++) {
        print_entry(&e, system);
    }
    char text[512];
    snprintf(text, sizeof text,
             "Density in %s, conductivity in %s, heat capacity in %s, water in %% of the soil's "
             "volume. Conductivity by Johansen 1975 (as in Farouki 1981), heat capacity unfrozen "
             "by de Vries 1963, both at the usual water.",
             cb_units_label(CB_DENSITY, system), cb_units_label(CB_CONDUCTIVITY, system),
             cb_units_label(CB_HEAT_CAPACITY, system));
    putchar('\n');
    cli_wrap(stdout, text, 0, 0, width);
    snprintf(text, sizeof text,
             "Words for moisture, as shares of the pores: dry %.0f %%, damp %.0f %%, wet %.0f %%, "
             "saturated %.0f %% (common practice, no source).",
             100 * cb_saturation_of(CB_DRY), 100 * cb_saturation_of(CB_DAMP),
             100 * cb_saturation_of(CB_WET), 100 * cb_saturation_of(CB_SATURATED));
    cli_wrap(stdout, text, 0, 0, width);
    printf("\nWhat they are, and where the numbers come from\n");
    for (int n = 0; entry_at(&e, n); n++) {
        print_note(e.material, width);
    }
}

// ---- for machines ----------------------------------------------------------------------------

static void json_entry(cbx_json *json, const entry *e)
{
    const cb_material *m = e->material;
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "name", m->name);
    cbx_json_text(json, "description", m->description);
    cbx_json_text(json, "source", m->source);
    cbx_json_number(json, "dry_density_kg_m3", m->dry_density_kg_m3);
    cbx_json_number(json, "solids_density_kg_m3", m->solids_density_kg_m3);
    cbx_json_number(json, "porosity", cb_porosity(m));
    cbx_json_number(json, "quartz", m->quartz);
    cbx_json_number(json, "specific_surface_m2_g", m->specific_surface_m2_g);
    cbx_json_number(json, "solids_conductivity_w_mk", m->solids_conductivity_w_mk);
    cbx_json_number(json, "solids_heat_capacity_j_m3k", m->solids_heat_capacity_j_m3k);
    cbx_json_flag(json, "coarse", m->coarse);
    cbx_json_flag(json, "organic", m->organic);
    cbx_json_flag(json, "stony", m->stony);
    cbx_json_number(json, "default_saturation", m->default_saturation);
    cbx_json_number(json, "water", e->soil.water_fraction);
    cbx_json_number(json, "conductivity_w_mk", e->soil.conductivity_w_mk);
    cbx_json_number(json, "frozen_conductivity_w_mk", e->soil.frozen_conductivity_w_mk);
    cbx_json_number(json, "heat_capacity_j_m3k", e->soil.heat_capacity_j_m3k);
    cbx_json_number(json, "frozen_heat_capacity_j_m3k", e->soil.frozen_heat_capacity_j_m3k);
    cbx_json_number(json, "freezing_start_c", e->soil.freezing_start_c);
    cbx_json_number(json, "freezing_exponent", e->soil.freezing_exponent);
    cbx_json_close(json, '}');
}

static void print_json(void)
{
    cbx_json json = {.stream = stdout};
    cbx_json_open(&json, NULL, '{');
    cbx_json_text(&json, "program", "coilbed " CB_VERSION);
    cbx_json_open(&json, "moisture", '{');
    cbx_json_number(&json, "dry", cb_saturation_of(CB_DRY));
    cbx_json_number(&json, "damp", cb_saturation_of(CB_DAMP));
    cbx_json_number(&json, "wet", cb_saturation_of(CB_WET));
    cbx_json_number(&json, "saturated", cb_saturation_of(CB_SATURATED));
    cbx_json_close(&json, '}');
    cbx_json_open(&json, "materials", '[');
    entry e;
    for (int n = 0; entry_at(&e, n); n++) {
        json_entry(&json, &e);
    }
    cbx_json_close(&json, ']');
    cbx_json_close(&json, '}');
    putchar('\n');
}

void cli_materials_print(const cli_options *options)
{
    if (options->json) {
        print_json();
    } else {
        print_table(options->units);
    }
}
