// SPDX-License-Identifier: MIT
#include "workshop.h"

#include <math.h>

#include "coilbed/yard.h"

static cb_design *read_farm(const workshop *w, const cb_override *overrides, size_t count)
{
    cb_design *design = NULL;
    cb_error error = {0};
    if (cb_design_parse(&design, fixture_design(), w->name, overrides, count, w->units, &error) !=
        CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    return design;
}

#define ASSERT_NEAR(got, want, tolerance)                                                          \
    do {                                                                                           \
        const double got_ = (got), want_ = (want);                                                 \
        if (!(fabs(got_ - want_) <= (tolerance))) {                                                \
            fail_msg(#got ": got %.12g, want %.12g", got_, want_);                                 \
        }                                                                                          \
    } while (0)

static void quantities_read_in_si(void **state)
{
    cb_design *d = read_farm(*state, NULL, 0);
    ASSERT_NEAR(d->site.latitude_deg, 47, 0);
    ASSERT_NEAR(d->site.time_zone_h, -6, 0);
    assert_int_equal(d->weather.format, CB_WEATHER_NORMALS);
    ASSERT_NEAR(d->weather.normals.air_temperature_c[0], -13, 0);
    ASSERT_NEAR(d->weather.normals.solar_j_m2_day[6], 6.4 * 3.6e6, 1e-6);
    assert_int_equal(d->weather.hard_winter_count, 2);
    assert_int_equal(d->weather.hard_winter[1].year, -1);
    assert_true(d->weather.hard_winter[0].has_cold_snap);
    ASSERT_NEAR(d->weather.hard_winter[0].snap_days, 5, 0);
    ASSERT_NEAR(d->weather.hard_winter[0].snow_share, 1, 0);
    ASSERT_NEAR(d->weather.normals.precipitation_kg_m2[5], 98, 1e-12);
    assert_int_equal(d->weather.hot_summer_count, 0);
    ASSERT_NEAR(d->weather.summer_deviation_k, 1.5, 0);
    assert_int_equal(d->ground.layer_count, 2);
    ASSERT_NEAR(d->ground.layer[0].bottom_m, 0.3048, 1e-15);
    ASSERT_NEAR(d->ground.layer[1].bottom_m, d->ground.bottom_depth_m, 0);
    assert_string_equal(d->ground.layer[1].soil.material, "clay");
    assert_true(isnan(d->ground.layer[1].soil.conductivity_w_mk));
    assert_false(d->ground.has_backfill);
    assert_int_equal(d->field.trenches, 6);
    ASSERT_NEAR(d->field.depth_m, 1.8288, 1e-12);
    ASSERT_NEAR(d->field.coil_pitch_m, 0.6096, 1e-12);
    assert_int_equal(d->field.coil_return, CB_RETURN_STRAIGHT);
    ASSERT_NEAR(d->field.coil_return_depth_m, 1.8288 - 0.3, 1e-12);
    assert_string_equal(d->field.pipe.nominal, "3/4 in");
    assert_int_equal(d->fluid.type, CB_PROPYLENE_GLYCOL);
    assert_true(d->fluid.by_volume);
    ASSERT_NEAR(d->fluid.concentration, 0.2, 1e-15);
    ASSERT_NEAR(d->pumps.flow_per_circuit_m3_s, 2 * 3.785411784e-3 / 60, 1e-16);
    assert_int_equal(d->heat_pump_count, 2);
    assert_true(d->heat_pump[1].heating.count >= 5 && d->heat_pump[1].cooling.count >= 5);
    ASSERT_NEAR(d->backup.stage_w[1], 5000, 1e-9);
    assert_int_equal(d->house.model, CB_HOUSE_LOAD_LINE);
    ASSERT_NEAR(d->house.line.heating_design_w, 42000 * 1055.05585262 / 3600, 1e-8);
    ASSERT_NEAR(d->house.line.time_constant_s, 40 * 3600.0, 1e-9);
    assert_int_equal(d->run.start_month, 7);
    assert_int_equal(d->run.start_day, 1);
    assert_int_equal(d->run.slices, 0);
    assert_int_equal(d->run.section_every_days, 7);
    cb_design_destroy(d);
}

static void the_file_itself_reads_the_same(void **state)
{
    const workshop *w = *state;
    FILE *file = fopen(w->name, "w");
    assert_non_null(file);
    fputs(fixture_design(), file);
    fclose(file);
    cb_design *from_file = NULL;
    assert_int_equal(cb_design_read(&from_file, w->name, NULL, 0, w->units, NULL), CB_OK);
    cb_design *from_text = read_farm(w, NULL, 0);
    char *a = cb_design_echo(from_file), *b = cb_design_echo(from_text);
    assert_string_equal(a, b);
    free(a);
    free(b);
    cb_design_destroy(from_file);
    cb_design_destroy(from_text);
    remove(w->name);
}

static void every_value_knows_its_place(void **state)
{
    const workshop *w = *state;
    const cb_override set = {"field.width", "4 ft"};
    cb_design *d = read_farm(w, &set, 1);
    const cb_source depth = cb_design_where(d, "field.depth");
    assert_int_equal(depth.origin, CB_ORIGIN_FILE);
    assert_string_equal(depth.file, w->name);
    assert_int_equal(depth.line, line_of(fixture_design(), "depth: 6 ft"));
    assert_int_equal(depth.column, 10);
    const cb_source solar = cb_design_where(d, "weather.normals.solar[7]");
    assert_string_equal(solar.file, w->climate);
    assert_int_equal(solar.line, line_of(fixture_climate(), "5.5 kWh/m2"));
    const cb_source power = cb_design_where(d, "heat_pumps[1].cooling[2].power");
    assert_int_equal(power.origin, CB_ORIGIN_FILE);
    const cb_source width = cb_design_where(d, "field.width");
    assert_int_equal(width.origin, CB_ORIGIN_OVERRIDE);
    assert_string_equal(width.reason, "--set field.width=4 ft");
    const cb_source flux = cb_design_where(d, "ground.geothermal_flux");
    assert_int_equal(flux.origin, CB_ORIGIN_DEFAULT);
    assert_non_null(strstr(flux.reason, "usual on continents"));
    assert_null(cb_design_where(d, "no.such.path").reason);
    cb_design_destroy(d);
}

static void a_later_check_names_the_line_or_the_nearest_block(void **state)
{
    const workshop *w = *state;
    const cb_override set = {"pumps.power", "300 W"};
    cb_design *d = read_farm(w, &set, 1);
    cb_error error = {0};
    assert_int_equal(cb_design_fail(d, "field.pipe.conductivity", &error, "%d is odd", 3),
                     CB_BAD_INPUT);
    assert_string_equal(error.message, "field.pipe.conductivity: 3 is odd");
    assert_int_equal(error.line, line_of(fixture_design(), "pipe: {"));
    assert_int_equal(error.column, 3);
    cb_design_fail(d, "pumps.power", &error, "too much");
    assert_string_equal(error.message, "--set pumps.power=300 W: pumps.power: too much");
    assert_int_equal(error.line, 0);
    cb_design_destroy(d);
    const cb_design by_hand = {.path = ""};
    assert_int_equal(cb_design_fail(&by_hand, "field.depth", &error, "no"), CB_BAD_INPUT);
    assert_int_equal(cb_design_where(&by_hand, "field.depth").origin, CB_ORIGIN_DEFAULT);
}

static void overrides_reach_every_kind_of_path(void **state)
{
    static const cb_override set[] = {
        {"field.depth", "2 m"},
        {"ground.layers[1].conductivity", "0.9 BTU/h/ft/degF"},
        {"ground.layers[2]", "{material: sand}"},
        {"ground.layers[1].down_to", "3 m"},
        {"weather.hard_winters", "[]"},
        {"backup.stages[2]", "2 kW"},
        {"heat_pumps[0].heating[0].power", "1.4 kW"},
        {"ground.surface.albedo", "30 %"},
        {"run.slices", "5"},
        {"name", "\"6\""},
    };
    cb_design *d = read_farm(*state, set, sizeof set / sizeof *set);
    ASSERT_NEAR(d->field.depth_m, 2, 0);
    ASSERT_NEAR(d->ground.layer[1].soil.conductivity_w_mk, 0.9 * 1.730734666371391, 1e-12);
    assert_int_equal(d->ground.layer_count, 3);
    assert_string_equal(d->ground.layer[2].soil.material, "sand");
    assert_int_equal(d->weather.hard_winter_count, 0);
    assert_int_equal(d->backup.stage_count, 3);
    ASSERT_NEAR(d->heat_pump[0].heating.point[0].power_w, 1400, 1e-9);
    ASSERT_NEAR(d->ground.surface.albedo, 0.3, 1e-15);
    assert_int_equal(d->run.slices, 5);
    assert_string_equal(d->name, "6");
    cb_design_destroy(d);
}

static void normals_may_stand_in_the_design(void **state)
{
    const workshop *w = *state;
    const cb_override set = {"weather.normals", fixture_climate()};
    cb_design *d = NULL;
    cb_error error = {0};
    if (cb_design_parse(&d, fixture_design(), "nowhere/farm.yaml", &set, 1, w->units, &error) !=
        CB_OK) {
        fail_msg("%s", error.message);
    }
    ASSERT_NEAR(d->weather.normals.air_temperature_c[11], -10, 0);
    cb_design_destroy(d);
}

// The months of a climate file whose row of precipitation is replaced; NULL leaves it out.
static cb_status parse_with_precipitation(cb_design **out, const cb_units *units, const char *row,
                                          cb_error *error)
{
    char climate[4096];
    const char *whole = fixture_climate(), *cut = strstr(whole, "precipitation:");
    assert_non_null(cut);
    snprintf(climate, sizeof climate, "%.*s%s%s\n", (int)(cut - whole), whole,
             row ? "precipitation: " : "", row ? row : "");
    const cb_override set = {"weather.normals", climate};
    return cb_design_parse(out, fixture_design(), "nowhere/farm.yaml", &set, 1, units, error);
}

static void see_precipitation(void *context, const char *path, const char *value,
                              const char *reason)
{
    if (strcmp(path, "weather.normals.precipitation") == 0) {
        snprintf(context, 200, "%s: %s", value, reason);
    }
}

static void precipitation_is_a_depth_and_may_be_left_out(void **state)
{
    const workshop *w = *state;
    cb_design *d = NULL;
    cb_error error = {0};
    if (parse_with_precipitation(&d, w->units,
                                 "[45 mm, 1.8 in, 2 cm, 0 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, "
                                 "1 mm, 0.0123 m]",
                                 &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    ASSERT_NEAR(d->weather.normals.precipitation_kg_m2[0], 45, 1e-12);
    ASSERT_NEAR(d->weather.normals.precipitation_kg_m2[1], 45.72, 1e-12);
    ASSERT_NEAR(d->weather.normals.precipitation_kg_m2[2], 20, 1e-12);
    ASSERT_NEAR(d->weather.normals.precipitation_kg_m2[3], 0, 0);
    ASSERT_NEAR(d->weather.normals.precipitation_kg_m2[11], 12.3, 1e-12);
    char seen[200] = "";
    cb_design_assumptions(d, CB_UNITS_SI, see_precipitation, seen);
    assert_string_equal(seen, "");
    cb_design_destroy(d);

    assert_int_equal(parse_with_precipitation(&d, w->units, NULL, &error), CB_OK);
    for (int m = 0; m < CB_MONTHS; m++) {
        assert_true(isnan(d->weather.normals.precipitation_kg_m2[m]));
    }
    cb_design_assumptions(d, CB_UNITS_SI, see_precipitation, seen);
    assert_string_equal(seen, "none: not known, so the yard gets neither snow nor rain");
    char *echo = cb_design_echo(d);
    assert_null(strstr(echo, "precipitation:"));
    cb_design *again = NULL;
    assert_int_equal(cb_design_parse(&again, echo, "echo.yaml", NULL, 0, w->units, &error), CB_OK);
    assert_true(isnan(again->weather.normals.precipitation_kg_m2[0]));
    free(echo);
    cb_design_destroy(again);
    cb_design_destroy(d);

    static const struct {
        const char *row, *message;
    } slip[] = {
        {"[45 mm, 45 mm]", "has 2 entries: 12 are wanted"},
        {"[45, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm]", "write e.g."},
        {"[-1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm]",
         "-1 mm is outside 0 in to 157 in (0 mm to 4000 mm)"},
        {"[4.1 m, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm]",
         "4.1 m is outside"},
    };
    for (size_t i = 0; i < sizeof slip / sizeof *slip; i++) {
        assert_int_equal(parse_with_precipitation(&d, w->units, slip[i].row, &error), CB_BAD_INPUT);
        if (!strstr(error.message, slip[i].message)) {
            fail_msg("got \"%s\", want \"%s\" in it", error.message, slip[i].message);
        }
    }
}

static void seasons_read_with_their_defaults(void **state)
{
    static const cb_override set[] = {
        {"weather.hard_winters[0].snow", "0 %"},
        {"weather.summer_deviation", "3.6 delta_degF"},
        {"weather.hot_summers",
         "[{year: 2, one_in: 20, heat_wave: 104 degF}, {year: last, one_in: 5, rain: 10 %}]"},
    };
    cb_design *d = read_farm(*state, set, sizeof set / sizeof *set);
    const cb_design_weather *w = &d->weather;
    ASSERT_NEAR(w->hard_winter[0].snow_share, 0, 0);
    ASSERT_NEAR(w->hard_winter[1].snow_share, 1, 0);
    ASSERT_NEAR(w->summer_deviation_k, 2, 1e-12);
    assert_int_equal(w->hot_summer_count, 2);
    assert_int_equal(w->hot_summer[0].year, 2);
    assert_true(w->hot_summer[0].has_heat_wave);
    ASSERT_NEAR(w->hot_summer[0].heat_wave_c, 40, 1e-12);
    ASSERT_NEAR(w->hot_summer[0].wave_days, 5, 1e-12);
    ASSERT_NEAR(w->hot_summer[0].rain_share, 0.5, 0);
    assert_int_equal(w->hot_summer[1].year, -1);
    assert_false(w->hot_summer[1].has_heat_wave);
    ASSERT_NEAR(w->hot_summer[1].rain_share, 0.1, 0);
    cb_design_destroy(d);
}

// Two designs that between them use every key of the schema.
static const char straight_design[] =
    "coilbed: 1\n"
    "name: \"quotes \\\" and \\\\ and \\t and \xc3\xa9\"\n"
    "site: {latitude: -33.3 deg, longitude: 151.7 deg, elevation: 12.7 m, time_zone: 9.3 h}\n"
    "weather:\n"
    "  file: sub/site.csv\n"
    "  format: columns\n"
    "  columns:\n"
    "    air_temperature: {column: \"T, air\", unit: degF}\n"
    "    relative_humidity: {column: RH}\n"
    "    solar: {column: G, unit: W/m2}\n"
    "    wind: {column: v}\n"
    "    cloud: {column: c, unit: tenths}\n"
    "    header_lines: 2\n"
    "    hour: ending\n"
    "    first: 03-31\n"
    "  hard_winters: [{year: 2, one_in: 7.3, snow: 37 %}]\n"
    "  summer_deviation: 1.9 K\n"
    "  hot_summers:\n"
    "    - {year: 2, one_in: 7.7, heat_wave: 101.3 degF, wave_length: 6.3 days, rain: 13 %}\n"
    "    - {year: last, one_in: 3}\n"
    "ground:\n"
    "  layers:\n"
    "    - {down_to: 0.7 m, material: loam, water: 21.3 %, conductivity: 0.87 BTU/h/ft/degF,\n"
    "       frozen_conductivity: 1.9 W/m/K, heat_capacity: 2.37 MJ/m3/K,\n"
    "       frozen_heat_capacity: 1.91 MJ/m3/K, freezing_start: -0.07 degC,\n"
    "       freezing_exponent: 0.61}\n"
    "    - {down_to: 22 m, sand: 13.7 %, silt: 54.1 %, clay: 32.2 %, moisture: damp,\n"
    "       dry_season_water: 9.3 %, dry_density: 83 lb/ft3, quartz: 0.17,\n"
    "       conductivity_model: lu, dry_season_conductivity: 0.71 W/m/K}\n"
    "  backfill: {material: bedding_sand, water_by_mass: 7.1 %, width: 1 ft, height: 1 ft}\n"
    "  surface: {cover: mulch, albedo: 0.31, emissivity: 0.93, shade: 21 %, snow_kept: 77 %,\n"
    "    evaporation: 33 %}\n"
    "  bottom: 20 m\n"
    "  side_margin: 7.7 m\n"
    "  geothermal_flux: 0.021 BTU/h/ft2\n"
    "field:\n"
    "  trenches: 1\n"
    "  length: 333 ft\n"
    "  width: 2 ft\n"
    "  layout: straight\n"
    "  straight:\n"
    "    - {across: -9 in, depth: 5 ft}\n"
    "    - {across: 9 in, depth: 5 ft 1/2 in}\n"
    "  pipe: {size: 32 mm, sdr: 13.6, conductivity: 0.41 W/m/K, heat_capacity: 2.3 MJ/m3/K}\n"
    "  header_volume: 31 L\n"
    "fluid: {type: water}\n"
    "pumps: {flow_per_circuit: 11 L/min, curve: [{flow: 0 gpm, head: 27.3 ft, power: 130.7 W},\n"
    "  {flow: 9.3 gpm, head: 21.9 ft, power: 187.3 W}], in_series: 3, in_parallel: 2,\n"
    "  speed_control: variable, speed: 93 %, lowest_speed: 37 %, heat_to_fluid: 71 %, control: "
    "always}\n"
    "piping:\n"
    "  roughness: 0.0023 mm\n"
    "  circuit_fittings: 7.3\n"
    "  headers: {sizes: [{size: 2 in, take_offs: 3}, {size: 40 mm, sdr: 13.6}], spacing: 7.7 ft,\n"
    "    return: reverse, fittings: 0.37}\n"
    "  house: {size: 1-1/4 in, sdr: 9, length: 77 ft, fittings: 13.7}\n"
    "  units: [{flow: 8.1 gpm, drop: 1.7 psi}, {flow: 12.3 gpm, drop: 24.1 kPa}]\n"
    "  unit_water: 59 degF\n"
    "heat_pumps:\n"
    "  - name: only cooling\n"
    "    cooling:\n"
    "      - {entering_water: 50 degF, capacity: 2.1 tons, power: 1.07 kW}\n"
    "      - {entering_water: 90 degF, capacity: 1.7 tons, power: 1.93 kW}\n"
    "    low_lockout: 33 degF\n"
    "    high_lockout: 111 degF\n"
    "    table_margin: 3.3 delta_degF\n"
    "house:\n"
    "  loads: {file: loads.csv, heating_column: heat, cooling_column: cool, unit: kBTU/h}\n"
    "limits: {freeze_margin: 7.7 delta_degF, entering_minimum: 39 degF, entering_maximum: 97 "
    "degF,\n"
    "         pipe_maximum: 131 degF, drift: 0.07 K, minimum_reynolds: 2300, close: 0.7 K}\n"
    "run: {start: 10-15, years: 3, accuracy: fine, slices: 4, sections_every: 30 days}\n";

static void assert_soil_equal(cb_soil a, cb_soil b)
{
    assert_true((!a.material && !b.material) || strcmp(a.material, b.material) == 0);
    a.material = b.material = NULL;
    assert_memory_equal(&a, &b, sizeof a);
}

// A NaN (for what is worked out later) has the same bits everywhere here.
static void assert_ground_equal(const cb_design_ground *a, const cb_design_ground *b)
{
    assert_int_equal(a->layer_count, b->layer_count);
    for (int n = 0; n < a->layer_count; n++) {
        assert_soil_equal(a->layer[n].soil, b->layer[n].soil);
        assert_memory_equal(&a->layer[n].bottom_m, &b->layer[n].bottom_m, sizeof(double));
    }
    assert_int_equal(a->has_backfill, b->has_backfill);
    if (a->has_backfill) {
        assert_soil_equal(a->backfill, b->backfill);
        assert_memory_equal(&a->backfill_width_m, &b->backfill_width_m, sizeof(double));
        assert_memory_equal(&a->backfill_height_m, &b->backfill_height_m, sizeof(double));
    }
    assert_string_equal(a->surface.cover, b->surface.cover);
    assert_memory_equal(&a->surface.albedo, &b->surface.albedo,
                        sizeof a->surface - offsetof(cb_surface, albedo));
}

// Texts compare by content, everything else by its bits: echo and design are equal when a second
// echo of what the first one reads to is the same, for the echo prints every bit of every value.
static void assert_echo_round_trips(const workshop *w, const char *text)
{
    cb_design *first = NULL, *second = NULL;
    cb_error error = {0};
    if (cb_design_parse(&first, text, w->name, NULL, 0, w->units, &error) != CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    char *echo = cb_design_echo(first);
    assert_non_null(echo);
    if (cb_design_parse(&second, echo, "/elsewhere/echo.yaml", NULL, 0, w->units, &error) !=
        CB_OK) {
        fail_msg("%s:%d:%d: %s\n%s", error.file, error.line, error.column, error.message, echo);
    }
    char *again = cb_design_echo(second);
    assert_string_equal(echo, again);
    assert_memory_equal(&first->site, &second->site, sizeof first->site);
    assert_ground_equal(&first->ground, &second->ground);
    assert_memory_equal(&first->limits, &second->limits, sizeof first->limits);
    assert_memory_equal(&first->pumps, &second->pumps, sizeof first->pumps);
    assert_memory_equal(&first->run, &second->run, sizeof first->run);
    assert_memory_equal(&first->house.line, &second->house.line, sizeof first->house.line);
    assert_memory_equal(&first->heat_pump[0].cooling, &second->heat_pump[0].cooling,
                        sizeof first->heat_pump[0].cooling);
    assert_memory_equal(first->weather.normals.solar_j_m2_day,
                        second->weather.normals.solar_j_m2_day,
                        sizeof first->weather.normals.solar_j_m2_day);
    assert_memory_equal(first->field.straight, second->field.straight,
                        sizeof first->field.straight);
    assert_string_equal(first->name, second->name);
    free(echo);
    free(again);
    cb_design_destroy(first);
    cb_design_destroy(second);
}

static void echo_reads_back_to_the_same_bits(void **state)
{
    assert_echo_round_trips(*state, fixture_design());
    assert_echo_round_trips(*state, straight_design);
}

// A design filled in by hand has no memory of files; its echo still reads back.
static void a_design_made_by_hand_echoes_too(void **state)
{
    const workshop *w = *state;
    cb_design *read = read_farm(w, NULL, 0);
    cb_design by_hand = *read;
    by_hand.memory = NULL;
    char *want = cb_design_echo(read), *got = cb_design_echo(&by_hand);
    assert_string_equal(got, want);
    free(got);
    free(want);
    cb_design_destroy(read);
}

static cb_design *parse(const workshop *w, const char *text, const cb_override *set, size_t count)
{
    cb_design *d = NULL;
    cb_error error = {0};
    if (cb_design_parse(&d, text, w->name, set, count, w->units, &error) != CB_OK) {
        fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.message);
    }
    return d;
}

static void pumps_and_piping_are_read(void **state)
{
    const double gpm_m3_s = 3.785411784e-3 / 60;
    cb_design *d = parse(*state, straight_design, NULL, 0);
    assert_int_equal(d->pumps.curve_count, 2);
    ASSERT_NEAR(d->pumps.curve[1].flow_m3_s, 9.3 * gpm_m3_s, 1e-16);
    ASSERT_NEAR(d->pumps.curve[1].head_m, 21.9 * 0.3048, 1e-13);
    ASSERT_NEAR(d->pumps.curve[1].power_w, 187.3, 1e-12);
    assert_int_equal(d->pumps.in_series, 3);
    assert_int_equal(d->pumps.in_parallel, 2);
    assert_true(d->pumps.variable_speed);
    ASSERT_NEAR(d->pumps.lowest_speed, 0.37, 1e-15);
    // Six pumps, half of 11 L/min in each row, straight between the points.
    const double share = 11e-3 / 60 / 2 / (9.3 * gpm_m3_s);
    ASSERT_NEAR(d->pumps.power_w, 6 * (130.7 + share * (187.3 - 130.7)), 1e-9);
    assert_int_equal(d->piping.header_size_count, 2);
    assert_int_equal(d->piping.header_size[0].take_offs, 3);
    assert_int_equal(d->piping.header_size[1].take_offs, 0);
    assert_string_equal(d->piping.header_size[1].nominal, "40 mm");
    assert_int_equal(d->piping.header_return, CB_RETURN_REVERSE);
    assert_true(d->piping.has_house);
    ASSERT_NEAR(d->piping.house_length_m, 77 * 0.3048, 1e-13);
    ASSERT_NEAR(d->piping.unit_drop[0].drop_pa, 1.7 * 6894.757293168, 1e-8);
    ASSERT_NEAR(d->piping.unit_water_c, 15, 1e-12);
    cb_design_destroy(d);
}

// A design of before still reads: no curve, no headers, and only what makes no head by default but
// fittings and the roughness of plastic.
static void piping_may_be_left_out(void **state)
{
    const cb_override header = {"piping.headers.sizes", "[{size: 1 in}]"};
    const cb_override curve = {"pumps.curve",
                               "[{flow: 0 gpm, head: 30 ft, power: 150 W}, {flow: 20 "
                               "gpm, head: 2 ft, power: 200 W}]"};
    cb_design *plain = read_farm(*state, NULL, 0), *headed = read_farm(*state, &header, 1);
    cb_design *pumped = read_farm(*state, &curve, 1);
    assert_int_equal(plain->pumps.curve_count, 0);
    assert_int_equal(plain->piping.header_size_count, 0);
    assert_int_equal(plain->piping.unit_drop_count, 0);
    assert_false(plain->piping.has_house);
    ASSERT_NEAR(plain->piping.roughness_m, 1.5e-6, 1e-18);
    assert_int_equal(headed->piping.header_size_count, 1);
    ASSERT_NEAR(headed->piping.take_off_spacing_m, headed->field.spacing_m, 0.0);
    // The curve's power counts, not the file's 245 W.
    const double wanted_gpm = 2.0 * pumped->field.trenches;
    ASSERT_NEAR(pumped->pumps.power_w, 150 + 50 * fmin(wanted_gpm / 20, 1), 1e-9);
    cb_design_destroy(pumped);
    cb_design_destroy(plain);
    cb_design_destroy(headed);
}

static void file_paths_are_resolved_and_echoed_absolute(void **state)
{
    const workshop *w = *state;
    cb_design *d = NULL;
    assert_int_equal(cb_design_parse(&d, straight_design, "farm/d.yaml", NULL, 0, w->units, NULL),
                     CB_OK);
    assert_string_equal(d->weather.file, "farm/sub/site.csv");
    assert_string_equal(d->house.file, "farm/loads.csv");
    char *echo = cb_design_echo(d);
    char folder[4096], want[4200];
    assert_non_null(getcwd(folder, sizeof folder));
    snprintf(want, sizeof want, "file: \"%s/farm/sub/site.csv\"", folder);
    assert_non_null(strstr(echo, want));
    free(echo);
    cb_design_destroy(d);
}

typedef struct tally {
    int count;
    bool saw_snow, saw_conductivity, saw_given;
} tally;

static void note(void *context, const char *path, const char *value, const char *reason)
{
    tally *t = context;
    t->count++;
    assert_true(value && *value && reason && *reason);
    if (strcmp(path, "ground.surface.snow_kept") == 0) {
        t->saw_snow = true;
        assert_string_equal(value, "100 %");
    }
    if (strcmp(path, "ground.layers[0].conductivity") == 0) {
        t->saw_conductivity = true;
        assert_string_equal(value, "worked out");
    }
    t->saw_given = t->saw_given || strcmp(path, "field.depth") == 0;
}

static void assumptions_are_what_the_file_left_out(void **state)
{
    cb_design *d = read_farm(*state, NULL, 0);
    tally t = {0};
    cb_design_assumptions(d, CB_UNITS_US, note, &t);
    assert_true(t.saw_snow && t.saw_conductivity && !t.saw_given);
    char *echo = cb_design_echo(d);
    cb_design *full = NULL;
    const workshop *w = *state;
    assert_int_equal(cb_design_parse(&full, echo, w->name, NULL, 0, w->units, NULL), CB_OK);
    tally left = {0};
    cb_design_assumptions(full, CB_UNITS_SI, note, &left);
    // Ten properties of each of the two soils stay to be worked out from their materials, two of
    // the surface from its cover, and the pipe of a circuit from its layout.
    assert_int_equal(left.count, 23);
    free(echo);
    cb_design_destroy(full);
    cb_design_destroy(d);
}

// The schema cannot ask the tables of the ground, so this keeps the two alike.
static void every_material_and_cover_may_be_written(void **state)
{
    const workshop *w = *state;
    char materials[1024] = "\"x\" is not one of ", covers[256] = "\"x\" is not one of ";
    for (int n = 0; cb_material_at(n); n++) {
        strcat(strcat(materials, n ? ", " : ""), cb_material_at(n)->name);
    }
    for (int n = 0; cb_cover_at(n); n++) {
        strcat(strcat(covers, n ? ", " : ""), cb_cover_at(n)->name);
    }
    const struct {
        cb_override set;
        const char *list;
    } row[] = {{{"ground.layers[0].material", "x"}, materials},
               {{"ground.surface.cover", "x"}, covers}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_design *d = NULL;
        cb_error error = {0};
        assert_int_equal(
            cb_design_parse(&d, fixture_design(), w->name, &row[i].set, 1, w->units, &error),
            CB_BAD_INPUT);
        const char *at = strstr(error.message, "\"x\" is");
        assert_non_null(at);
        assert_string_equal(at, row[i].list);
    }
}

static void nothing_said_about_water_leaves_it_to_the_material(void **state)
{
    // Water said in another way is no assumption; nothing said is one, with its reason.
    static const struct {
        const char *layer;
        bool assumed;
    } row[] = {{"{material: loam}", true},
               {"{material: loam, water: 20 %}", false},
               {"{material: loam, moisture: wet}", false},
               {"{material: loam, water_by_mass: 20 %}", false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const cb_override set = {"ground.layers[1]", row[i].layer};
        cb_design *d = read_farm(*state, &set, 1);
        const cb_source water = cb_design_where(d, "ground.layers[1].water");
        assert_int_equal(water.reason && strstr(water.reason, "usual moisture"), row[i].assumed);
        cb_design_destroy(d);
    }
}

static void schema_and_reference_name_every_key(void **state)
{
    (void)state;
    char *schema = cb_design_json_schema(), *reference = cb_design_reference();
    assert_non_null(schema);
    assert_non_null(reference);
    static const char *const key[] = {
        "flow_per_circuit", "freezing_exponent", "return_depth",     "snap_length",
        "minimum_reynolds", "header_lines",      "day_to_day",       "sections_every",
        "water_by_mass",    "snow_kept",         "dry_season_water", "conductivity_model"};
    for (size_t i = 0; i < sizeof key / sizeof *key; i++) {
        assert_non_null(strstr(schema, key[i]));
        assert_non_null(strstr(reference, key[i]));
    }
    assert_non_null(strstr(schema, "https://json-schema.org/draft/2020-12/schema"));
    assert_non_null(
        strstr(reference, "| `field.depth` | 0.984 ft to 26.2 ft (0.300 m to 8.00 m) |"));
    int depth = 0;
    for (const char *at = schema; *at; at++) {
        depth += *at == '{' || *at == '[';
        depth -= *at == '}' || *at == ']';
        assert_true(depth >= 0);
    }
    free(schema);
    free(reference);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantities_read_in_si),
        cmocka_unit_test(the_file_itself_reads_the_same),
        cmocka_unit_test(every_value_knows_its_place),
        cmocka_unit_test(a_later_check_names_the_line_or_the_nearest_block),
        cmocka_unit_test(overrides_reach_every_kind_of_path),
        cmocka_unit_test(precipitation_is_a_depth_and_may_be_left_out),
        cmocka_unit_test(seasons_read_with_their_defaults),
        cmocka_unit_test(normals_may_stand_in_the_design),
        cmocka_unit_test(echo_reads_back_to_the_same_bits),
        cmocka_unit_test(a_design_made_by_hand_echoes_too),
        cmocka_unit_test(pumps_and_piping_are_read),
        cmocka_unit_test(piping_may_be_left_out),
        cmocka_unit_test(file_paths_are_resolved_and_echoed_absolute),
        cmocka_unit_test(assumptions_are_what_the_file_left_out),
        cmocka_unit_test(every_material_and_cover_may_be_written),
        cmocka_unit_test(nothing_said_about_water_leaves_it_to_the_material),
        cmocka_unit_test(schema_and_reference_name_every_key),
    };
    return cmocka_run_group_tests(tests, workshop_open, workshop_close);
}
