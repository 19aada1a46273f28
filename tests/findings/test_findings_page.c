// SPDX-License-Identifier: MIT
#include "findings/fixture.h"
#include "findings/remedy.h"
#include "findings/text.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static char *page_of(const fixture *f, cb_unit_system system, bool colour)
{
    cb_findings *findings = fixture_judge(f);
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    assert_non_null(stream);
    assert_true(cb_findings_print(findings, &f->data, &f->design, system, colour, stream));
    fclose(stream);
    cb_findings_destroy(findings);
    return text;
}

static char *json_of(const fixture *f)
{
    const cb_findings_caller caller = {"run.h5", 3, "the run finished and a limit was broken"};
    cb_findings *findings = fixture_judge(f);
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    assert_non_null(stream);
    assert_true(cb_findings_json(findings, &f->data, &f->design, &caller, stream));
    fclose(stream);
    cb_findings_destroy(findings);
    return text;
}

static void expect_within(const char *text, const char *wanted)
{
    if (!strstr(text, wanted)) {
        fail_msg("\"%s\" is not in:\n%s", wanted, text);
    }
}

static void expect_absent(const char *text, const char *unwanted)
{
    if (strstr(text, unwanted)) {
        fail_msg("\"%s\" is in:\n%s", unwanted, text);
    }
}

static void expect_shape(const char *text, int most_lines)
{
    int lines = 0;
    for (const char *line = text; *line; lines++) {
        int columns = 0;
        for (; *line && *line != '\n'; line++) {
            columns += ((unsigned char)*line & 0xC0u) != 0x80u;
        }
        line += *line == '\n';
        if (columns > 80) {
            fail_msg("line %d has %d columns:\n%s", lines + 1, columns, text);
        }
    }
    if (lines > most_lines) {
        fputs(text, stderr); // longer than fail_msg prints
        fail_msg("%d lines, at most %d wanted", lines, most_lines);
    }
}

/// Sentences are wrapped: blanks and line breaks count alike.
static char *unwrapped(char *text)
{
    char *to = text;
    for (const char *from = text; *from; from++) {
        const char c = *from == '\n' ? ' ' : *from;
        if (c != ' ' || to == text || to[-1] != ' ') {
            *to++ = c;
        }
    }
    *to = '\0';
    return text;
}

/// A run with something of everything, of the length a user would choose.
static void open_troubled(fixture *f)
{
    fixture_open(f, 20);
    f->design.weather.hard_winter_count = 2;
    f->design.weather.hard_winter[0].year = 10;
    f->design.weather.hard_winter[1].year = -1;
    f->data.weather_notes = "Year 10: December-February lowered by 3.6 K (1 in 20 years), cold "
                            "snap to -35 degC for 5 days around 17 January\nYear 20: the same";
    f->data.weather_notes_us = "Year 10: December-February lowered by 6.5 degF (1 in 20 years), "
                               "cold snap to -31 degF for 5 days around 17 January\nYear 20: the "
                               "same";
    const long hour = 19L * YEAR + COLDEST_HOUR + 7;
    f->data.coldest_fluid_c[hour] = -7.0;
    f->data.entering_water_c[hour] = -3.6;
    f->data.reynolds[hour] = 1900.0;
    f->data.unmet_load_w[hour] = 2000.0;
    for (int y = 0; y < 20; y++) {
        for (long d = 90; d < 200; d++) {
            f->data.ice_radius_m[y * 365 + d] = 0.18;
        }
        for (long h = 0; h < 300; h++) {
            f->data.backup_power_w[(long)y * YEAR + COLDEST_HOUR + h] = 3000.0;
        }
    }
}

/// Every limit broken or close at once, all winters of the design hard, and the run cut short.
static void open_worst(fixture *f)
{
    static char notes[CB_MAX_HARD_WINTERS * 150];
    open_troubled(f);
    f->design.weather.hard_winter_count = CB_MAX_HARD_WINTERS;
    for (int i = 0, used = 0; i < CB_MAX_HARD_WINTERS; i++) {
        f->design.weather.hard_winter[i].year = 2 * i + 6;
        used += snprintf(notes + used, sizeof notes - (size_t)used,
                         "%sYear %d: December-February lowered by 6.5 degF (1 in 20 years), cold "
                         "snap to -31 degF for 5 days around 17 January",
                         i > 0 ? "\n" : "", 2 * i + 6);
    }
    f->data.weather_notes = f->data.weather_notes_us = notes;
    for (int y = 0; y < 20; y++) {
        fixture_shift_year(f, y, -7.0 + 3.0 * exp(-y / 3.0));
        const long start = (long)y * YEAR;
        for (long h = 0; h < 400; h++) {
            f->data.unmet_load_w[start + COLDEST_HOUR + h] = 2000.0;
            f->data.unmet_load_w[start + WARMEST_HOUR + h] = 1500.0;
        }
        for (long h = 0; h < 700; h++) {
            f->data.backup_power_w[start + COLDEST_HOUR + h] = 3000.0;
        }
        f->data.entering_water_c[start + WARMEST_HOUR] = 36.0;
        f->data.hottest_fluid_c[start + WARMEST_HOUR] = 65.0;
        f->data.coldest_fluid_c[start + COLDEST_HOUR] -= 5.0;
        f->data.reynolds[start + COLDEST_HOUR] = 900.0;
    }
    for (long d = 0; d < f->data.days; d++) {
        f->data.ice_radius_m[d] = 0.3;
    }
    f->data.run_frost_depth_m = 1.9;
    f->data.quality.energy_audit_relative = 3e-5;
    f->data.quality.estimated_discretisation_error_k = 0.4;
    f->data.complete = false;
}

static void the_worst_page_still_is_a_page(void **state)
{
    (void)state;
    fixture f;
    open_worst(&f);
    cb_findings *findings = fixture_judge(&f);
    for (size_t i = 0; i < findings->count; i++) {
        const cb_finding *finding = &findings->finding[i];
        if (finding->severity == CB_CLEAR && strcmp(finding->code, "fluid_span_hot") != 0) {
            fail_msg("%s is clear: %s", finding->code, finding->sentence);
        }
    }
    assert_int_equal(findings->count, 18);
    cb_findings_destroy(findings);
    for (int us = 0; us < 2; us++) {
        char *text = page_of(&f, us ? CB_UNITS_US : CB_UNITS_SI, false);
        expect_shape(text, 79);
        free(text);
    }
    fixture_close(&f);
}

static void a_clear_page_says_holds_in_si(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 5);
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_shape(text, 60);
    expect_within(text, "Invented house\n\nHOLDS: The coldest fluid is -1.0 degC");
    expect_absent(text, "What would help");
    expect_absent(text, "\033");
    // mean of 5 kW x cos over a year: 5 kW / pi; 8760 h of it
    expect_within(text, "house asks for                 13942          5577");
    expect_within(text, "compressor takes                3485          1394");
    // 75 W x 8760 h, half of it in each season
    expect_within(text, "pump takes                       329           328");
    expect_within(text, "seasonal COP with pump          3.66          3.24");
    expect_within(text, "year 5                           2.0          14.0          -1.0");
    expect_within(text, "clear  Entering water, lowest  2.0 degC, limit -4.0 degC, margin 6.0 K");
    expect_within(text, "Nothing: a typical year");
    unwrapped(text);
    static const char *const wanted[] = {
        "(year 1, 9 January, 00:00), 5.0 K above its limit of -6.0 degC.",
        "freeze point, -9.0 degC, plus 3.0 K",
        "unshored trench",
        "buried utilities",
        "licensed electrician",
        "before backfilling",
        "cross-connection with drinking water",
        "carbon monoxide",
        "Local codes",
        "propylene glycol: ",
        "informs a decision; it is not a stamped design",
    };
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        expect_within(text, wanted[i]);
    }
    free(text);
    fixture_close(&f);
}

static void the_same_page_in_us_units(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 5);
    char *text = page_of(&f, CB_UNITS_US, false);
    expect_shape(text, 60);
    // -1 degC = 30.2, -6 = 21.2, 2 = 35.6, -4 = 24.8, 14 = 57.2 degF; 5 K = 9.0, 6 K = 10.8 degF
    expect_within(text, "HOLDS: The coldest fluid is 30.2 degF");
    expect_within(text, "year 5                          35.6          57.2          30.2");
    expect_within(text, "Entering water, lowest  35.6 degF, limit 24.8 degF, margin 10.8 degF");
    expect_within(text, "Frost depth             3.0 ft, limit 5.9 ft, margin 3.0 ft");
    expect_absent(text, "degC");
    expect_within(unwrapped(text), "9.0 degF above its limit of 21.2 degF");
    free(text);
    fixture_close(&f);
}

static void a_page_tells_of_hot_summers(void **state)
{
    (void)state;
    fixture f;
    open_troubled(&f);
    f.design.weather.hot_summer_count = 2;
    f.design.weather.hot_summer[0].year = 3;
    f.design.weather.hot_summer[1].year = -1; // which has a hard winter too
    f.data.weather_notes = "Year 3: June-August raised by 2.5 K (1 in 20 years), heat wave to 40 "
                           "degC for 5 days around 29 July, 50 % of the usual precipitation";
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_shape(text, 70);
    expect_within(text, "year 3 (hot summer)  ");
    expect_within(text, "year 10 (hard winter)");
    expect_within(text, "year 20 (hard and hot)  ");
    expect_within(unwrapped(text), "heat wave to 40 degC for 5 days around 29 July, 50 % of the");
    free(text);
    fixture_close(&f);
}

static void a_troubled_page_leads_with_the_trouble(void **state)
{
    (void)state;
    fixture f;
    open_troubled(&f);
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_shape(text, 70);
    expect_within(text, "DOES NOT HOLD: The coldest fluid is -7.0 degC");
    expect_within(text, "year 10 (hard winter)");
    expect_within(text, "year 20 (hard winter)           -3.6          14.0          -7.0");
    expect_within(text,
                  "  BROKEN Coldest fluid           -7.0 degC, limit -6.0 degC, short by 1.0 K");
    expect_within(text,
                  "  CLOSE  Entering water, lowest  -3.6 degC, limit -4.0 degC, margin 0.4 K");
    expect_within(text, "try coilbed run house.yaml with\n  --set");
    expect_within(text, "--set field.length='36 m'");
    expect_within(text, "--set field.depth='2.1 m'");
    expect_within(text, "--set field.coil.pitch='500 mm' --set field.length='37.5 m'");
    expect_within(text, "--set fluid.concentration='28 %'");
    expect_within(text, "--set pumps.flow_per_circuit='0.25 L/s'");
    unwrapped(text);
    expect_within(text, "(year 20, 9 January, 07:00), 1.0 K below its limit of -6.0 degC.");
    expect_within(text, "Year 10: December-February lowered by 3.6 K");
    expect_within(text, "directions; coilbed sensitivity --into puts numbers to them");
    expect_within(text, "can heave");
    free(text);

    text = page_of(&f, CB_UNITS_US, false);
    expect_shape(text, 70);
    expect_within(text, "--set field.length='118 ft'");
    expect_within(text, "--set pumps.flow_per_circuit='3.96 gpm'");
    unwrapped(text);
    expect_within(text, "1.8 degF below its limit of 21.2 degF");
    expect_within(text,
                  "Year 10: December-February lowered by 6.5 degF (1 in 20 years), cold snap");
    expect_absent(text, "degC");
    free(text);
    fixture_close(&f);
}

static void drifts_that_say_the_same_share_a_sentence(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 10);
    f.data.unmet_load_w[COLDEST_HOUR] = 50000.0; // the headline
    for (int y = 0; y < 10; y++) {
        fixture_shift_year(&f, y, -8.5);
    }
    for (long h = 0; h < f.data.hours; h++) {
        f.data.coldest_fluid_c[h] += 0.5;
    }
    char *text = unwrapped(page_of(&f, CB_UNITS_SI, false));
    expect_within(text,
                  "BROKEN The coldest fluid and the lowest entering water of an ordinary year "
                  "last moved by +0.00 K and +0.00 K a year and tend to -9.0 degC and -6.5 "
                  "degC, 3.0 K and 2.5 K below their limits: they are already below them and "
                  "stay there.");
    expect_absent(text, "The lowest entering water of an ordinary year");
    free(text);
    char *json = json_of(&f); // machines get both
    expect_within(json, "drift_coldest");
    expect_within(json, "The lowest entering water of an ordinary year");
    free(json);

    for (long h = 0; h < f.data.hours; h++) {
        f.data.entering_water_c[h] += 4.0; // clear of its limit: two stories again
    }
    text = unwrapped(page_of(&f, CB_UNITS_SI, false));
    expect_within(text, "BROKEN The coldest fluid of an ordinary year last moved");
    expect_within(text, "clear Lowest water settles");
    free(text);
    fixture_close(&f);
}

static void colour_only_adds_to_the_words(void **state)
{
    (void)state;
    fixture f;
    open_troubled(&f);
    char *bare = page_of(&f, CB_UNITS_SI, false), *painted = page_of(&f, CB_UNITS_SI, true);
    expect_within(painted, "\033[1;31mDOES NOT HOLD");
    char *to = painted;
    for (const char *from = painted; *from; from++) {
        if (*from == '\033') {
            from = strchr(from, 'm');
            continue;
        }
        *to++ = *from;
    }
    *to = '\0';
    assert_string_equal(painted, bare);
    free(bare);
    free(painted);
    fixture_close(&f);
}

static void an_incomplete_page_says_so_first(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 4);
    f.data.complete = false;
    f.data.hours = 2 * YEAR + 42 * 24;
    f.data.days = 2 * 365 + 42;
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_within(text, "Invented house\n\nINCOMPLETE: The run stopped after 2 years and 42 days");
    expect_within(text, "\nHOLDS SO FAR: The coldest fluid is -1.0 degC");
    expect_within(text, "year 3 (part)");
    expect_within(text, "--set run.years=20");
    free(text);

    f.data.hours = 30 * 24; // no whole year: no average, no entering water of a summer
    f.data.days = 30;
    text = page_of(&f, CB_UNITS_SI, false);
    expect_within(text, "First 30 days, kWh");
    free(text);
    fixture_close(&f);
}

static void suggested_values_can_be_read_back(void **state)
{
    (void)state;
    fixture f;
    open_troubled(&f);
    cb_units *units = NULL;
    assert_int_equal(cb_units_create(&units, NULL), CB_OK);
    cb_findings *findings = fixture_judge(&f);
    static const struct {
        const char *path;
        cb_kind kind;
    } known[] = {{"field.length", CB_LENGTH},           {"field.depth", CB_LENGTH},
                 {"field.coil.pitch", CB_SMALL_LENGTH}, {"field.spacing", CB_LENGTH},
                 {"fluid.concentration", CB_FRACTION},  {"pumps.flow_per_circuit", CB_VOLUME_FLOW}};
    int read = 0;
    for (int s = 0; s < 2; s++) {
        cbx_remedy remedy[CBX_MOST_REMEDIES];
        const int count = cbx_remedies(findings, &f.design, s ? CB_UNITS_SI : CB_UNITS_US, remedy);
        for (int i = 0; i < count; i++) {
            char path[64], value[64];
            const char *at = remedy[i].settings;
            for (; sscanf(at, " --set %63[^=]='%63[^']'", path, value) == 2; read++) {
                size_t k = 0;
                while (k < sizeof known / sizeof *known && strcmp(known[k].path, path) != 0) {
                    k++;
                }
                assert_true(k < sizeof known / sizeof *known);
                double si = NAN;
                cb_error error = {0};
                if (cb_units_parse(units, known[k].kind, value, &si, &error) != CB_OK) {
                    fail_msg("%s='%s': %s", path, value, error.message);
                }
                at = strchr(strchr(at, '\'') + 1, '\'') + 1;
            }
        }
    }
    assert_int_equal(read, 2 * 7); // length, depth, pitch and length, spacing, antifreeze, flow
    cb_findings_destroy(findings);
    cb_units_destroy(units);
    fixture_close(&f);
}

static void levers_fit_the_design(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.data.coldest_fluid_c[10] = -7.0;
    f.design.fluid = (cb_design_fluid){.type = CB_WATER};
    f.design.field.layout = CB_STRAIGHT;
    f.design.field.straight_pipes = 1;
    f.design.field.straight[0].depth_m = 1.5;
    f.design.field.trenches = 1;
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_absent(text, "field.spacing");
    expect_absent(text, "field.coil.pitch");
    expect_absent(text, "field.depth");
    expect_absent(text, "fluid.concentration");
    expect_within(text, "an antifreeze mixture instead of plain water");
    free(text);
    fixture_close(&f);
}

static void the_design_file_is_quoted_where_a_shell_needs_it(void **state)
{
    (void)state;
    static const struct {
        const char *path, *want;
    } row[] = {{"house.yaml", "house.yaml"},
               {"my house.yaml", "'my house.yaml'"},
               {"$(x).yaml", "'$(x).yaml'"},
               {"it's.yaml", "FILE"},
               {"", "FILE"},
               {NULL, "FILE"},
               {"run.h5", "run.h5"},
               {"-x.yaml", "FILE"},
               {"../a/b-c_1.yaml", "../a/b-c_1.yaml"}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char got[CB_PATH_SIZE];
        cbx_design_argument(row[i].path, got, sizeof got);
        assert_string_equal(got, row[i].want);
    }
}

static char *long_text(char c, size_t length)
{
    char *text = malloc(length + 1);
    assert_non_null(text);
    memset(text, c, length);
    text[length] = '\0';
    return text;
}

static void long_names_stay_within_the_page(void **state)
{
    (void)state;
    fixture f;
    open_troubled(&f);
    char *name = long_text('n', 5000), *path = long_text('p', 5000), *note = long_text('w', 5000);
    f.design.name = name;
    f.data.design_path = path;
    f.data.weather_notes = f.data.weather_notes_us = note;
    char *text = page_of(&f, CB_UNITS_US, true);
    assert_non_null(text);
    free(text);
    text = page_of(&f, CB_UNITS_US, false);
    expect_shape(text, 200);
    free(text);
    text = json_of(&f);
    expect_within(text, name);
    free(text);
    free(name);
    free(path);
    free(note);
    fixture_close(&f);
}

static void a_full_disk_is_noticed(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    cb_findings *findings = fixture_judge(&f);
    FILE *full = fopen("/dev/full", "w");
    if (!full) {
        print_message("skipped: no /dev/full\n");
    } else {
        assert_false(cb_findings_print(findings, &f.data, &f.design, CB_UNITS_SI, false, full));
        clearerr(full);
        assert_false(cb_findings_json(findings, &f.data, &f.design, NULL, full));
        fclose(full);
    }
    assert_false(cb_findings_print(NULL, &f.data, &f.design, CB_UNITS_SI, false, stdout));
    assert_false(cb_findings_json(findings, &f.data, &f.design, NULL, NULL));
    cb_findings_destroy(findings);
    fixture_close(&f);
}

// ---- JSON ------------------------------------------------------------------------------------

/// Exit status of a Python expression over the parsed object `o`; -1 without Python.
static int python_says(const char *json, const char *expression)
{
    if (access("/usr/bin/python3", X_OK) != 0) {
        return -1;
    }
    char command[600];
    snprintf(command, sizeof command,
             "/usr/bin/python3 -c 'import json,sys; o=json.load(sys.stdin); sys.exit(0 if %s else "
             "1)'",
             expression);
    FILE *python = popen(command, "w");
    assert_non_null(python);
    fputs(json, python);
    return pclose(python);
}

static void json_is_json(void **state)
{
    (void)state;
    fixture f;
    open_troubled(&f);
    f.design.weather.hot_summer_count = 2;
    f.design.weather.hot_summer[0].year = 3;
    f.design.weather.hot_summer[1].year = 20;
    f.design.name = "say \"cold\" \\ tab\t bell\a ends\x80 \xc3\xa9 \xed\xa0\x80";
    char *text = json_of(&f);
    static const char *const claim[] = {
        "o[\"verdict\"] == \"broken\" and o[\"complete\"] is True",
        "o[\"design\"].startswith(\"say \\\"cold\\\" \\\\ tab\\t bell\\a ends\\ufffd \\u00e9\")",
        "o[\"findings\"][0][\"code\"] == \"freeze_margin\"",
        "o[\"findings\"][0][\"value\"] == -7 and o[\"findings\"][0][\"margin\"] == -1",
        "o[\"findings\"][0][\"unit\"] == \"degree_Celsius\"",
        "o[\"findings\"][0][\"margin_unit\"] == \"K\"",
        "[o[\"findings\"][0][k] for k in (\"run_year\",\"month\",\"day\",\"hour\")] == [20,1,9,7]",
        "[x for x in o[\"findings\"] if x[\"code\"] == \"backup\"][0][\"limit\"] is None",
        "[x for x in o[\"findings\"] if x[\"code\"] == \"drift_minimum\"][0][\"month\"] is None",
        "len(o[\"annual\"]) == 20 and o[\"annual\"][9][\"hard_winter\"] is True",
        "o[\"annual\"][9][\"hot_summer\"] is False",
        "[y[\"run_year\"] for y in o[\"annual\"] if y[\"hot_summer\"]] == [3, 20]",
        "[y[\"run_year\"] for y in o[\"annual\"] if y[\"hard_winter\"]] == [10, 20]",
        "o[\"annual\"][19][\"coldest_fluid_degree_Celsius\"] == -7",
        "abs(o[\"average_year\"][\"heating\"][\"load_J\"] / 3.6e6 - 13942) < 1",
        "abs(o[\"average_year\"][\"backup_J\"] / 3.6e6 - 900) < 1e-6",
        "o[\"directions_to_try\"][0][\"settings\"].startswith(\"--set field.length=\")",
        "\"freeze_margin\" in o[\"directions_to_try\"][0][\"acts_on\"]",
        "o[\"program\"].startswith(\"coilbed \") and o[\"file\"] == \"run.h5\"",
        "o[\"design_file\"] == \"house.yaml\" and o[\"exit_status\"] == 3",
        "o[\"exit_meaning\"] == \"the run finished and a limit was broken\"",
        "o[\"quality\"][\"steps\"] == 1000 and o[\"quality\"][\"energy_audit_relative\"] == 2e-7",
        "\"surface_heat_mismatch_relative\" in o[\"quality\"]",
        "o[\"weather_notes\"].count(\"\\n\") == 1",
    };
    for (size_t i = 0; i < sizeof claim / sizeof *claim; i++) {
        const int status = python_says(text, claim[i]);
        if (status == -1) {
            print_message("skipped: no /usr/bin/python3\n");
            break;
        }
        if (status != 0) {
            fail_msg("not true: %s\n%s", claim[i], text);
        }
    }
    free(text);
    fixture_close(&f);
}

static void give_effects(fixture *f)
{
    f->data.effects = (cb_run_effects){
        .number = "freeze_margin",
        .count = 5,
        .effect = {
            {"field.depth", CB_LENGTH, 1.8, 0.15, 0.3, 2.0, 0.01, 1e-3},
            {"field.length", CB_LENGTH, 30.0, 1.5, 6.0, 0.15, 0.01, 1e-3},
            {"field.coil.pitch", CB_SMALL_LENGTH, 0.4, 0.02, 0.1, -3.0, 0.01, 1e-3},
            {"pumps.flow_per_circuit", CB_VOLUME_FLOW, f->design.pumps.flow_per_circuit_m3_s, 1e-5,
             1e-4, 0.1, NAN, 1e-2},
            {"ground.layers[0].water", CB_FRACTION, 0.3, 0.01, 0.05, 8.0, NAN, 1e-3},
        }};
}

/// Slopes of the fixture's 1.8 m, 30 m and 0.4 m: 0.3 m deeper 0.6 K, 6 m longer 0.9 K, pitch and
/// length a quarter more 0.15 x 7.5 - 3 x 0.1 = 0.825 K.
static void derivatives_rank_what_would_help(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 5);
    give_effects(&f);
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_shape(text, 70);
    unwrapped(text);
    expect_within(text, "What would help, change of the freezing margin by its derivatives");
    static const char *const order[] = {
        "+0.90 K --set field.length='36 m' longer trenches",
        "+0.83 K --set field.coil.pitch='500 mm' --set field.length='37.5 m' wider pitch",
        "+0.60 K --set field.depth='2.1 m' laid deeper",
        "nothing --set pumps.flow_per_circuit=",
        "If other than thought: ground.layers[0].water 5.00 % more: +0.40 K Straight lines from "
        "small steps: a large step may bring less, so run the one you choose. Cautions",
    };
    const char *at = text;
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        at = strstr(at, order[i]);
        if (!at) {
            fail_msg("\"%s\" is not in its place in:\n%s", order[i], text);
        }
    }
    expect_absent(text, "--set field.spacing"); // no limit is close and nothing is known of it
    free(text);
    text = json_of(&f);
    expect_within(text, "\"margin_change_K\": 0.9,");
    expect_within(text, "\"sensitivity\": {\"number\": \"freeze_margin\", \"unit\": \"K\"");
    free(text);
    fixture_close(&f);
    open_worst(&f);
    give_effects(&f);
    text = page_of(&f, CB_UNITS_US, false);
    expect_shape(text, 90);
    unwrapped(text);
    expect_within(text, "+1.62 degF --set field.length=");
    free(text);
    fixture_close(&f);
}

static void a_margin_that_is_not_zero_never_reads_as_zero(void **state)
{
    (void)state;
    const struct {
        cb_kind kind;
        cb_unit_system system;
        double si;
        const char *wanted;
    } row[] = {
        {CB_TEMPERATURE, CB_UNITS_SI, -0.0004, "0.0004 K"},
        {CB_TEMPERATURE, CB_UNITS_US, -0.0004, "0.0007 degF"},
        {CB_TEMPERATURE, CB_UNITS_SI, 0.05, "0.05 K"},
        {CB_TEMPERATURE, CB_UNITS_SI, 3.14, "3.1 K"},
        {CB_TEMPERATURE, CB_UNITS_SI, 0.0, "0.0 K"},
        {CB_TEMPERATURE_DIFFERENCE, CB_UNITS_US, 3e-7, "5e-07 delta_degF"},
        {CB_LENGTH, CB_UNITS_US, -0.003, "0.01 ft"},
        {CB_VOLUME_FLOW, CB_UNITS_US, 1e-8, "0.0002 gpm"},
        {CB_NUMBER, CB_UNITS_SI, 1e-5, "1e-05"},
        {CB_ENERGY, CB_UNITS_SI, 3.6e5, "0.1 kWh"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        assert_string_equal(cbx_distance(row[i].kind, row[i].system, row[i].si).text,
                            row[i].wanted);
    }
    fixture f;
    fixture_open(&f, 5);
    f.data.coldest_fluid_c[COLDEST_HOUR] = -6.0004; // its limit is -6
    char *text = page_of(&f, CB_UNITS_SI, false);
    expect_within(text, "BROKEN Coldest fluid           -6.0 degC, limit -6.0 degC, short by "
                        "0.0004 K");
    free(text);
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clear_page_says_holds_in_si),
        cmocka_unit_test(the_same_page_in_us_units),
        cmocka_unit_test(a_page_tells_of_hot_summers),
        cmocka_unit_test(a_troubled_page_leads_with_the_trouble),
        cmocka_unit_test(the_worst_page_still_is_a_page),
        cmocka_unit_test(drifts_that_say_the_same_share_a_sentence),
        cmocka_unit_test(colour_only_adds_to_the_words),
        cmocka_unit_test(an_incomplete_page_says_so_first),
        cmocka_unit_test(suggested_values_can_be_read_back),
        cmocka_unit_test(levers_fit_the_design),
        cmocka_unit_test(the_design_file_is_quoted_where_a_shell_needs_it),
        cmocka_unit_test(long_names_stay_within_the_page),
        cmocka_unit_test(a_full_disk_is_noticed),
        cmocka_unit_test(json_is_json),
        cmocka_unit_test(derivatives_rank_what_would_help),
        cmocka_unit_test(a_margin_that_is_not_zero_never_reads_as_zero),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
