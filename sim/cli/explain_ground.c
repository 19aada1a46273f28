// SPDX-License-Identifier: MIT
#include "cli/explain.h"
#include "coilbed/yard.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

static const double year_s = 365.0 * 86400.0;
static const double pi = 3.14159265358979323846;

/// The values of a soil that the file may leave to its material, in the order of the report.
typedef struct soil_value {
    const char *key, *label;
    cb_kind kind;
    size_t offset;
} soil_value;

enum { DENSITY, QUARTZ, WATER, DRY_WATER, THAWED, FROZEN, DRY_THAWED, SOIL_VALUES = 11 };
static const soil_value soil_values[SOIL_VALUES] = {
    [DENSITY] = {"dry_density", "  dry density", CB_DENSITY, offsetof(cb_soil, dry_density_kg_m3)},
    [QUARTZ] = {"quartz", "  quartz in the solids", CB_FRACTION, offsetof(cb_soil, quartz_share)},
    [WATER] = {"water", "  water by volume", CB_FRACTION, offsetof(cb_soil, water_fraction)},
    [DRY_WATER] = {"dry_season_water", "  the same, dry season", CB_FRACTION,
                   offsetof(cb_soil, dry_water_fraction)},
    [THAWED] = {"conductivity", "  conductivity, unfrozen", CB_CONDUCTIVITY,
                offsetof(cb_soil, conductivity_w_mk)},
    [FROZEN] = {"frozen_conductivity", "  conductivity, frozen", CB_CONDUCTIVITY,
                offsetof(cb_soil, frozen_conductivity_w_mk)},
    [DRY_THAWED] = {"dry_season_conductivity", "  conductivity, dry season", CB_CONDUCTIVITY,
                    offsetof(cb_soil, dry_conductivity_w_mk)},
    {"heat_capacity", "  heat capacity, unfrozen", CB_HEAT_CAPACITY,
     offsetof(cb_soil, heat_capacity_j_m3k)},
    {"frozen_heat_capacity", "  heat capacity, frozen", CB_HEAT_CAPACITY,
     offsetof(cb_soil, frozen_heat_capacity_j_m3k)},
    {"freezing_start", "  begins to freeze at", CB_TEMPERATURE,
     offsetof(cb_soil, freezing_start_c)},
    {"freezing_exponent", "  freezing exponent", CB_NUMBER, offsetof(cb_soil, freezing_exponent)},
};

static double value_of(const cb_soil *soil, const soil_value *value)
{
    return *(const double *)((const char *)soil + value->offset);
}

// ---- assumptions -----------------------------------------------------------------------------

static bool surface_assumption(cli_facts *facts, const cb_surface *surface, const char *path,
                               const char *reason)
{
    const cb_cover *cover = cb_cover_find(surface->cover);
    const bool albedo = strcmp(path, "ground.surface.albedo") == 0;
    if (!cover || (!albedo && strcmp(path, "ground.surface.emissivity") != 0)) {
        return false;
    }
    cli_fact_note(cli_fact_quantity(facts, path, path, CB_FRACTION,
                                    albedo ? cover->albedo : cover->emissivity),
                  "%s", reason);
    return true;
}

bool cli_ground_assumption(cli_facts *facts, const cb_design *design, const char *path,
                           const char *reason)
{
    static const char backfill[] = "ground.backfill.";
    int layer = design->ground.layer_count;
    const char *key = strrchr(path, '.');
    cb_soil soil;
    if (strncmp(path, backfill, sizeof backfill - 1) != 0 &&
        sscanf(path, "ground.layers[%d].", &layer) != 1) {
        return surface_assumption(facts, &design->ground.surface, path, reason);
    }
    if (cb_soil_of_layer(&soil, design, layer, NULL) != CB_OK) {
        return false;
    }
    if (strcmp(key + 1, "material") == 0) {
        cli_fact_note(cli_fact_text(facts, path, path, "%s", soil.material), "%s", reason);
        return true;
    }
    for (int n = 0; n < SOIL_VALUES; n++) {
        if (strcmp(key + 1, soil_values[n].key) == 0) {
            cli_fact_note(cli_fact_quantity(facts, path, path, soil_values[n].kind,
                                            value_of(&soil, &soil_values[n])),
                          "%s", reason);
            return true;
        }
    }
    return false;
}

// ---- soils -----------------------------------------------------------------------------------

/// A soil of the design: as the file has it, and resolved.
typedef struct explained {
    const char *name; ///< "layers[0]"
    cb_soil said, soil;
    cb_material material;
} explained;

static cli_fact *add_value(cli_facts *facts, const explained *e, int which)
{
    const soil_value *value = &soil_values[which];
    char key[CLI_KEY_SIZE];
    snprintf(key, sizeof key, "%s.%s", e->name, value->key);
    return cli_fact_quantity(facts, key, value->label, value->kind, value_of(&e->soil, value));
}

/// The same conductivity by every model that has it, and which of them is used.
static void add_models(cli_facts *facts, const explained *e, bool frozen)
{
    static const struct {
        const char *key, *label;
    } models[] = {[CB_JOHANSEN] = {"johansen", "    by Johansen 1975"},
                  [CB_COTE_KONRAD] = {"cote_konrad", "    by Cote & Konrad 2005"},
                  [CB_LU] = {"lu", "    by Lu et al. 2007"}};
    const double given = frozen ? e->said.frozen_conductivity_w_mk : e->said.conductivity_w_mk;
    const cb_conductivity_model used =
        frozen && e->soil.model == CB_LU ? CB_JOHANSEN : e->soil.model;
    const double saturation = e->soil.water_fraction / cb_porosity(&e->material);
    for (int model = CB_JOHANSEN; model <= CB_LU; model++) {
        if (model == CB_LU && (frozen || e->material.organic)) {
            continue;
        }
        char key[CLI_KEY_SIZE];
        snprintf(key, sizeof key, "%s.%s.%s", e->name, soil_values[frozen ? FROZEN : THAWED].key,
                 models[model].key);
        cli_fact *fact =
            cli_fact_quantity(facts, key, models[model].label, CB_CONDUCTIVITY,
                              cb_soil_conductivity_w_mk(&e->material, (cb_conductivity_model)model,
                                                        saturation, frozen));
        if (isnan(given) && model == (int)used) {
            cli_fact_note(fact,
                          used == e->soil.model ? "used" : "used: Lu et al. have no frozen soil");
        }
    }
}

static void add_conductivities(cli_facts *facts, const explained *e)
{
    for (int frozen = 0; frozen < 2; frozen++) {
        const double given = frozen ? e->said.frozen_conductivity_w_mk : e->said.conductivity_w_mk;
        cli_fact_note(add_value(facts, e, frozen ? FROZEN : THAWED), "%s",
                      isnan(given) ? "" : "given");
        add_models(facts, e, frozen);
    }
    add_value(facts, e, DRY_THAWED);
}

static void add_water(cli_facts *facts, const explained *e)
{
    char mass[CLI_LABEL_SIZE], pores[CLI_LABEL_SIZE];
    const double water = e->soil.water_fraction;
    cb_units_format(CB_FRACTION, facts->system, water / cb_porosity(&e->material), 3, pores,
                    sizeof pores);
    cb_units_format(CB_FRACTION, facts->system, 1000.0 * water / e->soil.dry_density_kg_m3, 3, mass,
                    sizeof mass);
    const bool said = e->said.moisture != CB_MOISTURE_GIVEN || !isnan(e->said.water_by_mass) ||
                      !isnan(e->said.water_fraction);
    cli_fact_note(add_value(facts, e, WATER), "%s of the pores, %s of the dry mass%s", pores, mass,
                  said ? "" : "; nothing is said, so the material's usual moisture");
    add_value(facts, e, DRY_WATER);
}

static void add_soil(cli_facts *facts, const cb_design *design, int n, const char *name)
{
    const cb_design_ground *ground = &design->ground;
    explained e = {.name = name,
                   .said = n < ground->layer_count ? ground->layer[n].soil : ground->backfill};
    char key[CLI_KEY_SIZE];
    if (cb_soil_of_layer(&e.soil, design, n, NULL) != CB_OK) {
        return; // such a design did not get here: its grid could not be made
    }
    e.material = cb_material_of_soil(&e.soil);
    snprintf(key, sizeof key, "%s.description", name);
    cli_fact_text(facts, key, "  that is", "%s", e.material.description);
    add_value(facts, &e, DENSITY);
    snprintf(key, sizeof key, "%s.pores", name);
    cli_fact_quantity(facts, key, "  pores", CB_FRACTION, cb_porosity(&e.material));
    add_value(facts, &e, QUARTZ);
    add_water(facts, &e);
    add_conductivities(facts, &e);
    for (int value = DRY_THAWED + 1; value < SOIL_VALUES; value++) {
        add_value(facts, &e, value);
    }
    const double diffusivity_m2_s = e.soil.conductivity_w_mk / e.soil.heat_capacity_j_m3k;
    snprintf(key, sizeof key, "%s.annual_depth", name);
    cli_fact_note(cli_fact_quantity(facts, key, "  yearly wave falls to 1/e", CB_LENGTH,
                                    sqrt(diffusivity_m2_s * year_s / pi)),
                  "in so much depth: sqrt(a t / pi), a = %.3g m2/s", diffusivity_m2_s);
}

// ---- the whole -------------------------------------------------------------------------------

static const char *material_of(const cb_design *design, int n)
{
    cb_soil soil;
    return cb_soil_of_layer(&soil, design, n, NULL) == CB_OK ? soil.material : "";
}

static void add_layer(cli_facts *facts, const cb_design *design, int n)
{
    const cb_design_ground *ground = &design->ground;
    char name[CLI_KEY_SIZE / 2], label[CLI_LABEL_SIZE];
    char top[CLI_LABEL_SIZE / 2], bottom[CLI_LABEL_SIZE / 2];
    snprintf(name, sizeof name, "layers[%d]", n);
    snprintf(label, sizeof label, "layer %d", n + 1);
    cb_units_format(CB_LENGTH, facts->system, n ? ground->layer[n - 1].bottom_m : 0.0, 3, top,
                    sizeof top);
    cb_units_format(CB_LENGTH, facts->system, ground->layer[n].bottom_m, 3, bottom, sizeof bottom);
    if (n + 1 < ground->layer_count) {
        cli_fact_text(facts, name, label, "%s, %s to %s", material_of(design, n), top, bottom);
    } else {
        cli_fact_text(facts, name, label, "%s, from %s down", material_of(design, n), top);
    }
    add_soil(facts, design, n, name);
}

static void add_backfill(cli_facts *facts, const cb_design *design)
{
    const cb_design_ground *ground = &design->ground;
    char width[CLI_LABEL_SIZE / 2], height[CLI_LABEL_SIZE / 2];
    cb_units_format(CB_LENGTH, facts->system, ground->backfill_width_m, 3, width, sizeof width);
    cb_units_format(CB_LENGTH, facts->system, ground->backfill_height_m, 3, height, sizeof height);
    cli_fact_text(facts, "backfill", "backfill", "%s, %s wide, %s high from the floor",
                  material_of(design, ground->layer_count), width, height);
    add_soil(facts, design, ground->layer_count, "backfill");
}

static void add_surface(cli_facts *facts, const cb_surface *surface)
{
    const cb_cover *cover = cb_cover_find(surface->cover);
    if (!cover) {
        return;
    }
    const double albedo = isnan(surface->albedo) ? cover->albedo : surface->albedo;
    const double emissivity = isnan(surface->emissivity) ? cover->emissivity : surface->emissivity;
    cli_fact_text(facts, "cover", "cover", "%s: %s", cover->name, cover->description);
    cli_fact_quantity(facts, "albedo", "  sun sent back", CB_FRACTION, albedo);
    cli_fact_quantity(facts, "emissivity", "  longwave emissivity", CB_FRACTION, emissivity);
    cli_fact_quantity(facts, "shade", "  sun kept off by shade", CB_FRACTION, surface->shade);
    cli_fact_quantity(facts, "snow_kept", "  snow that stays", CB_FRACTION, surface->snow_kept);
}

void cli_explain_ground(cli_facts *facts, const cli_subject *subject)
{
    const cb_design *design = subject->inputs->design;
    const cb_design_ground *ground = &design->ground;
    facts->section = "ground";
    add_surface(facts, &ground->surface);
    for (int n = 0; n < ground->layer_count; n++) {
        add_layer(facts, design, n);
    }
    if (ground->has_backfill) {
        add_backfill(facts, design);
    }
    cli_fact_quantity(facts, "bottom_depth", "modelled down to", CB_LENGTH, ground->bottom_depth_m);
    const cb_grid_size *grid = subject->grid;
    cli_fact_text(facts, "grid", "grid", "%d slices of %d by %d cells%s", grid->slices, grid->nx,
                  grid->nz, grid->half ? ", half of a symmetric field" : "");
}
