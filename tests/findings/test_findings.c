// SPDX-License-Identifier: MIT
#include "findings/fixture.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char *const always[] = {
    "freeze_margin", "entering_minimum", "entering_maximum", "pipe_temperature", "unmet_heating",
    "unmet_cooling", "backup",           "drift_coldest",    "drift_minimum",    "drift_maximum",
    "ice",           "frost_depth",      "reynolds",         "energy_audit",     "grid_error"};

typedef struct expected {
    const char *code;
    int severity;
    double value, limit, margin;
    const char *words; ///< within the sentence
} expected;

static void expect_finding(const cb_findings *findings, const expected *want)
{
    const cb_finding *got = fixture_find(findings, want->code);
    if (got->severity != want->severity) {
        fail_msg("%s: severity %s, want %s: %s", want->code,
                 cb_severity_text((cb_severity)got->severity),
                 cb_severity_text((cb_severity)want->severity), got->sentence);
    }
    fixture_expect(want->code, got->value, want->value, 1e-9 * fmax(1.0, fabs(want->value)));
    fixture_expect(want->code, got->limit, want->limit, 1e-9);
    fixture_expect(want->code, got->margin, want->margin, 1e-9 * fmax(1.0, fabs(want->margin)));
    if (!strstr(got->sentence, want->words)) {
        fail_msg("%s: \"%s\" does not say \"%s\"", want->code, got->sentence, want->words);
    }
}

static void a_sound_run_is_clear(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 5);
    cb_findings *findings = fixture_judge(&f);
    assert_int_equal(findings->verdict, CB_CLEAR);
    assert_true(findings->complete);
    assert_int_equal(findings->count, sizeof always / sizeof *always);
    const expected want[] = {
        {"freeze_margin", CB_CLEAR, -1, -6, 5, "year 1, 9 January, 00:00"},
        {"entering_minimum", CB_CLEAR, 2, -4, 6, "6.0 K above the heat pump's limit of -4.0 degC"},
        {"entering_maximum", CB_CLEAR, 14, 35, 21, "21.0 K below the heat pump's limit"},
        {"pipe_temperature", CB_CLEAR, 18, 50, 32, "32.0 K below the pipe's rating"},
        {"drift_coldest", CB_CLEAR, -1, -6, 5, "tends to -1.0 degC, 5.0 K above"},
        {"drift_minimum", CB_CLEAR, 2, -4, 6, "+0.00 K a year"},
        {"drift_maximum", CB_CLEAR, 14, 35, 21, "21.0 K below the limit of 35.0 degC"},
        {"unmet_heating", CB_CLEAR, 0, NAN, NAN, "All heating"},
        {"unmet_cooling", CB_CLEAR, 0, NAN, NAN, "All cooling"},
        {"backup", CB_CLEAR, 0, NAN, NAN, "never needed"},
        {"ice", CB_CLEAR, 0, NAN, NAN, "never froze"},
        {"frost_depth", CB_CLEAR, 0.9, 1.8, 0.9, "the shallowest pipe lies at 1.80 m"},
        {"reynolds", CB_CLEAR, 3000, 2500, 500, "is 3000, above 2500"},
        {"energy_audit", CB_CLEAR, 2e-7, 1e-5, 9.8e-6, "2.0e-07"},
        {"grid_error", CB_CLEAR, 0.03, 0.2, 0.17, "differs by 0.03 K"},
    };
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        expect_finding(findings, &want[i]);
    }
    assert_string_equal(findings->finding[0].code, "freeze_margin");
    findings = cb_findings_destroy(findings);
    assert_null(findings);
    fixture_close(&f);
}

/// One hour is set to a value; the finding has to see it.
static void limits_hold_come_close_and_break(void **state)
{
    (void)state;
    const size_t coldest = offsetof(cb_run_data, coldest_fluid_c);
    const size_t hottest = offsetof(cb_run_data, hottest_fluid_c);
    const size_t entering = offsetof(cb_run_data, entering_water_c);
    const size_t reynolds = offsetof(cb_run_data, reynolds);
    const struct {
        size_t series;
        long hour;
        double value;
        expected want;
    } row[] = {
        {coldest,
         YEAR + 5,
         -5.0,
         {"freeze_margin", CB_CLEAR, -5, -6, 1, "year 2, 1 October, 05:00"}},
        {coldest,
         10,
         -5.1,
         {"freeze_margin", CB_CLOSE, -5.1, -6, 0.9, "0.9 K above its limit of -6"}},
        {coldest, 10, -6.5, {"freeze_margin", CB_BROKEN, -6.5, -6, -0.5, "0.5 K below its limit"}},
        {coldest, 10, -6.5, {"freeze_margin", CB_BROKEN, -6.5, -6, -0.5, "plus 3.0 K of safety"}},
        {coldest,
         10,
         -9.1,
         {"freeze_margin", CB_BROKEN, -9.1, -6, -3.1, "below the freeze point itself (-9.0 degC)"}},
        {entering, 10, -2.9, {"entering_minimum", CB_CLEAR, -2.9, -4, 1.1, "1.1 K above"}},
        {entering, 10, -3.5, {"entering_minimum", CB_CLOSE, -3.5, -4, 0.5, "0.5 K above"}},
        {entering, 10, -4.5, {"entering_minimum", CB_BROKEN, -4.5, -4, -0.5, "0.5 K below"}},
        {entering, 10, 34.5, {"entering_maximum", CB_CLOSE, 34.5, 35, 0.5, "0.5 K below"}},
        {entering, 10, 36.0, {"entering_maximum", CB_BROKEN, 36, 35, -1, "1.0 K above"}},
        {hottest, 10, 49.5, {"pipe_temperature", CB_CLOSE, 49.5, 50, 0.5, "0.5 K below"}},
        {hottest, 10, 50.5, {"pipe_temperature", CB_BROKEN, 50.5, 50, -0.5, "0.5 K above"}},
        {reynolds, COLDEST_HOUR, 2500, {"reynolds", CB_CLEAR, 2500, 2500, 0, "9 January, 00:00"}},
        {reynolds, COLDEST_HOUR, 1800, {"reynolds", CB_CLOSE, 1800, 2500, -700, "laminar"}},
        {reynolds, COLDEST_HOUR + 24, 900, {"reynolds", CB_CLEAR, 3000, 2500, 500, ""}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        fixture f;
        fixture_open(&f, 2);
        double *series;
        memcpy(&series, (const char *)&f.data + row[i].series, sizeof series);
        series[row[i].hour] = row[i].value;
        cb_findings *findings = fixture_judge(&f);
        expect_finding(findings, &row[i].want);
        if ((int)findings->verdict < row[i].want.severity) {
            fail_msg("row %zu: verdict %s", i, cb_severity_text(findings->verdict));
        }
        cb_findings_destroy(findings);
        fixture_close(&f);
    }
}

static void the_worst_finding_comes_first_and_decides(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.data.entering_water_c[10] = -5.0;
    f.data.coldest_fluid_c[10] = -5.5;
    cb_findings *findings = fixture_judge(&f);
    assert_int_equal(findings->verdict, CB_BROKEN);
    assert_string_equal(findings->finding[0].code, "entering_minimum");
    for (size_t i = 1; i < findings->count; i++) {
        assert_true(findings->finding[i].severity <= findings->finding[i - 1].severity);
    }
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void water_that_stands_still_does_not_enter_a_heat_pump(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.data.entering_water_c[10] = -30.0;
    f.data.pump_fraction[10] = 0.01;
    f.data.entering_water_c[11] = NAN;
    f.data.reynolds[11] = NAN;
    f.data.pump_fraction[11] = 0.0;
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"entering_minimum", CB_CLEAR, 2, -4, 6, ""});
    assert_int_equal(findings->verdict, CB_CLEAR);
    cb_findings_destroy(findings);

    for (long h = 0; h < f.data.hours; h++) {
        f.data.pump_fraction[h] = 0.0;
    }
    findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"entering_minimum", CB_CLEAR, NAN, -4, NAN, "never ran"});
    expect_finding(findings, &(expected){"reynolds", CB_CLEAR, NAN, 2500, NAN, "never ran"});
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void fluid_beyond_its_data_is_reported(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    cb_fluid fluid;
    assert_int_equal(cb_fluid_define(&fluid, &f.design.fluid, NULL), CB_OK);
    f.data.coldest_fluid_c[30] = fluid.minimum_c - 1.0;
    f.data.hottest_fluid_c[40] = fluid.maximum_c + 1.0;
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"fluid_span_cold", CB_CLOSE, fluid.minimum_c - 1.0,
                                         fluid.minimum_c, -1, "year 1, 2 October, 06:00"});
    expect_finding(findings, &(expected){"fluid_span_hot", CB_CLEAR, fluid.maximum_c + 1.0,
                                         fluid.maximum_c, -1, "approximate"});
    cb_findings_destroy(findings);
    fixture_close(&f);
}

// ---- drift -----------------------------------------------------------------------------------

static void shift_exponentially(fixture *f, double kelvin, double tau)
{
    for (int y = 0; y < f->design.run.years; y++) {
        fixture_shift_year(f, y, kelvin * (exp(-y / tau) - 1.0));
    }
}

static void drift_is_followed_to_where_it_settles(void **state)
{
    (void)state;
    static const struct {
        double fall_k;
        expected want;
    } row[] = {
        // ten years with tau 3: the last step is 0.018 of the fall
        {2.0, {"drift_minimum", CB_CLEAR, 0, -4, 4, "tends to 0.0 degC, 4.0 K above"}},
        {2.0, {"drift_coldest", CB_CLEAR, -3, -6, 3, "3.0 K above the limit of -6.0 degC"}},
        {5.0, {"drift_minimum", CB_CLOSE, -3, -4, 1, "last moved by -0.10 K a year"}},
        {5.5, {"drift_minimum", CB_CLOSE, -3.5, -4, 0.5, "0.5 K above"}},
        // year 10 still holds -3.93 degC; the years to come do not
        {6.25,
         {"drift_minimum", CB_BROKEN, -4.25, -4, -0.25, "in the years to come it will cross"}},
        // the years fall as -6.5 + 8.5 exp(-y / 3): -4 degC is passed in year 5
        {8.5, {"drift_minimum", CB_BROKEN, -6.5, -4, -2.5, "2.5 K below the limit of -4.0"}},
        {8.5, {"drift_minimum", CB_BROKEN, -6.5, -4, -2.5, ": it is below it from year 5 on."}},
        {-20.6, {"drift_maximum", CB_CLOSE, 34.6, 35, 0.4, "0.4 K below the limit"}},
        {-21.5, {"drift_maximum", CB_BROKEN, 35.5, 35, -0.5, "0.5 K above the limit"}},
        // warmer water each winter is no harm
        {-5.0, {"drift_minimum", CB_CLEAR, 7, -4, 11, "+0.10 K a year"}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        fixture f;
        fixture_open(&f, 10);
        shift_exponentially(&f, row[i].fall_k, 3.0);
        cb_findings *findings = fixture_judge(&f);
        const cb_finding *got = fixture_find(findings, row[i].want.code);
        fixture_expect("settled", got->value, row[i].want.value, 1e-5);
        expected want = row[i].want; // the fit is good to 1e-5, not to 1e-9
        want.value = got->value;
        want.margin = got->margin;
        fixture_expect("margin", got->margin, row[i].want.margin, 1e-5);
        expect_finding(findings, &want);
        cb_findings_destroy(findings);
        fixture_close(&f);
    }
}

static void a_limit_crossed_from_the_start_is_not_foretold(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 10);
    for (int y = 0; y < 10; y++) {
        fixture_shift_year(&f, y, -6.5);
    }
    shift_exponentially(&f, 2.0, 3.0);
    cb_findings *findings = fixture_judge(&f);
    static const char *const code[] = {"drift_coldest", "drift_minimum"};
    for (size_t i = 0; i < 2; i++) {
        const cb_finding *got = fixture_find(findings, code[i]);
        assert_int_equal(got->severity, CB_BROKEN);
        assert_non_null(strstr(got->sentence, ": it is already below it and stays there."));
    }
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void a_limit_crossed_only_after_the_run_breaks_only_the_drift(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 10);
    f.data.freeze_c = -20.0; // out of the way
    shift_exponentially(&f, 6.25, 3.0);
    cb_findings *findings = fixture_judge(&f);
    assert_int_equal(fixture_find(findings, "entering_minimum")->severity, CB_CLOSE);
    assert_int_equal(findings->verdict, CB_BROKEN);
    assert_string_equal(findings->finding[0].code, "drift_minimum");
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void hard_winters_take_no_part_in_the_drift(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 8);
    f.design.weather.hard_winter_count = 2;
    f.design.weather.hard_winter[0].year = 3;
    f.design.weather.hard_winter[1].year = -1; // the last
    fixture_shift_year(&f, 2, -3.5);
    fixture_shift_year(&f, 7, -3.5);
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"drift_minimum", CB_CLEAR, 2, -4, 6, "+0.00 K a year"});
    expect_finding(findings, &(expected){"entering_minimum", CB_CLEAR, -1.5, -4, 2.5, "year 3"});
    cb_findings_destroy(findings);

    f.design.weather.hard_winter_count = 1;
    f.design.weather.hot_summer_count = 1; // nor do hot summers
    f.design.weather.hot_summer[0].year = -1;
    findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"drift_minimum", CB_CLEAR, 2, -4, 6, "+0.00 K a year"});
    cb_findings_destroy(findings);

    f.design.weather.hot_summer_count = 0;
    f.design.weather.hard_winter_count = 0; // the same shifts as ordinary years
    findings = fixture_judge(&f);
    assert_int_equal(fixture_find(findings, "drift_minimum")->severity, CB_CLOSE);
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void too_short_a_run_says_that_drift_is_unknown(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.design.weather.hard_winter_count = 1;
    f.design.weather.hard_winter[0].year = -1;
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"drift_unknown", CB_CLOSE, 1, 2, -1,
                                         "1 whole year without a hard winter or hot summer"});
    cb_findings_destroy(findings);

    f.design.weather.hard_winter_count = 0;
    fixture_shift_year(&f, 1, -0.2);
    findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"drift_minimum", CB_CLOSE, 1.8, -4, 5.8,
                                         "do not yet tell where it settles"});
    cb_findings_destroy(findings);
    fixture_close(&f);
}

// ---- ground ----------------------------------------------------------------------------------

static void freeze_days(fixture *f, long from, long to, double radius_m)
{
    for (long d = from; d < to; d++) {
        f->data.ice_radius_m[d] = radius_m;
    }
}

static void ice_is_measured_and_has_to_thaw(void **state)
{
    (void)state;
    static const struct {
        long from, to; ///< run days, from 1 October
        double radius_m;
        expected want;
    } row[] = {
        {70, 130, 0.06, {"ice", CB_CLEAR, 0.06, NAN, NAN, "radius 60 mm at most"}},
        // 15 December to 23 April
        {75, 205, 0.15, {"ice", CB_CLOSE, 0.15, NAN, NAN, "in up to 5 months of the year"}},
        {75, 205, 0.15, {"ice", CB_CLOSE, 0.15, NAN, NAN, "year 1, 15 December, 00:00"}},
        {75, 205, 0.15, {"ice", CB_CLOSE, 0.15, NAN, NAN, "thaws each summer"}},
        {75, 730, 0.3, {"ice", CB_BROKEN, 0.3, NAN, NAN, "from year 2 on no longer thaws"}},
        {0, 365, 0.03, {"ice", CB_BROKEN, 0.03, NAN, NAN, "from year 1 on no longer thaws"}},
        // nothing but ice, yet its year is not over
        {365, 500, 0.03, {"ice", CB_CLEAR, 0.03, NAN, NAN, "stays thin"}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        fixture f;
        fixture_open(&f, 2);
        freeze_days(&f, row[i].from, row[i].to, row[i].radius_m);
        if (row[i].to == 500) {
            f.data.hours = 500 * 24;
            f.data.days = 500;
        }
        cb_findings *findings = fixture_judge(&f);
        expect_finding(findings, &row[i].want);
        cb_findings_destroy(findings);
        fixture_close(&f);
    }
}

static void frost_is_held_against_the_shallowest_pipe(void **state)
{
    (void)state;
    static const struct {
        double frost_m, freeze_c;
        bool straight;
        expected want;
    } row[] = {
        {1.6, -9.0, false, {"frost_depth", CB_CLEAR, 1.6, 1.8, 0.2, "reaches 1.60 m"}},
        {1.7, -9.0, false, {"frost_depth", CB_CLOSE, 1.7, 1.8, 0.1, "lies at 1.80 m"}},
        {1.9, -9.0, false, {"frost_depth", CB_CLOSE, 1.9, 1.8, -0.1, "it lies in frozen ground"}},
        {1.9, 0.0, false, {"frost_depth", CB_BROKEN, 1.9, 1.8, -0.1, "plain water"}},
        {1.2, -9.0, true, {"frost_depth", CB_CLOSE, 1.2, 1.1, -0.1, "down to the shallowest"}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        fixture f;
        fixture_open(&f, 2);
        f.data.run_frost_depth_m = row[i].frost_m;
        f.data.freeze_c = row[i].freeze_c;
        if (row[i].straight) {
            f.design.field.layout = CB_STRAIGHT;
            f.design.field.straight_pipes = 2;
            f.design.field.straight[0].depth_m = 1.5;
            f.design.field.straight[1].depth_m = 1.1;
        }
        cb_findings *findings = fixture_judge(&f);
        expect_finding(findings, &row[i].want);
        cb_findings_destroy(findings);
        fixture_close(&f);
    }
}

static void frost_says_what_it_takes_for_granted_about_snow(void **state)
{
    (void)state;
    static const struct {
        double snow_m, kept;
        long frost_hour;
        const char *wanted, *absent;
    } row[] = {
        {0.4, 1.0, 100, "(year 1, 5 October, 04:00; 0.60 m in a typical year)", "cleared of snow"},
        {0.4, 1.0, 100, "cleared yard: --set ground.surface.snow_kept='0 %'", "cleared of snow"},
        {0.4, NAN, 100, "That counts on snow", "cleared of snow"},
        {0.0, 0.0, 100, "The yard is taken as cleared of snow.", "--set"},
        {0.0, 1.0, 100, "the shallowest pipe lies at", "snow"},
        {0.0, 1.0, -1, "Undisturbed ground does not freeze.", "snow"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        fixture f;
        fixture_open(&f, 2);
        f.data.run_snow_depth_m = row[i].snow_m;
        f.data.run_frost_hour = row[i].frost_hour;
        f.design.ground.surface.snow_kept = row[i].kept;
        cb_findings *findings = fixture_judge(&f);
        expect_finding(findings,
                       &(expected){"frost_depth", CB_CLEAR, 0.9, 1.8, 0.9, row[i].wanted});
        for (size_t n = 0; n < findings->count; n++) {
            if (strcmp(findings->finding[n].code, "frost_depth") == 0) {
                assert_null(strstr(findings->finding[n].sentence, row[i].absent));
            }
        }
        cb_findings_destroy(findings);
        fixture_close(&f);
    }
}

static void a_return_pipe_above_the_coil_counts_for_frost(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.design.field.coil_return = CB_RETURN_STRAIGHT;
    f.design.field.coil_return_depth_m = 1.5;
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"frost_depth", CB_CLEAR, 0.9, 1.5, 0.6, ""});
    cb_findings_destroy(findings);

    f.data.run_frost_depth_m = NAN; // not known: nothing is said
    findings = fixture_judge(&f);
    for (size_t i = 0; i < findings->count; i++) {
        assert_string_not_equal(findings->finding[i].code, "frost_depth");
    }
    cb_findings_destroy(findings);
    fixture_close(&f);
}

// ---- supply and quality ----------------------------------------------------------------------

/// The year's heating load is 5 kW x 8760 h / pi = 13942 kWh; 28 kWh are 0.2 % of it.
static void unmet_loads_are_counted_by_mode(void **state)
{
    (void)state;
    static const struct {
        long hour, hours;
        double unmet_w;
        expected want;
    } row[] = {
        {COLDEST_HOUR, 10, 1000, {"unmet_heating", CB_CLOSE, 36e6, NAN, NAN, "10 kWh"}},
        {COLDEST_HOUR,
         10,
         1000,
         {"unmet_heating", CB_CLOSE, 36e6, NAN, NAN, "in 10 hours: hardly"}},
        {COLDEST_HOUR, 10, 1000, {"unmet_cooling", CB_CLEAR, 0, NAN, NAN, "All cooling"}},
        {COLDEST_HOUR, 10, 5, {"unmet_heating", CB_CLEAR, 0, NAN, NAN, "All heating"}},
        {YEAR + COLDEST_HOUR, 30, 1000, {"unmet_heating", CB_BROKEN, 108e6, NAN, NAN, "In year 2"}},
        {COLDEST_HOUR, 1, 1000, {"unmet_heating", CB_CLOSE, 3.6e6, NAN, NAN, "in 1 hour:"}},
        {WARMEST_HOUR, 100, 1000, {"unmet_cooling", CB_CLOSE, 360e6, NAN, NAN, "100 kWh"}},
        {COLDEST_HOUR, 1, 900, {"unmet_heating", CB_CLEAR, 3.24e6, NAN, NAN, "All heating"}},
        {WARMEST_HOUR, 100, 1000, {"unmet_cooling", CB_CLOSE, 360e6, NAN, NAN, "1.8 % of"}},
        {WARMEST_HOUR, 500, 1000, {"unmet_cooling", CB_CLOSE, 1.8e9, NAN, NAN, "9.0 % of"}},
        {WARMEST_HOUR,
         500,
         1000,
         {"unmet_cooling", CB_CLOSE, 1.8e9, NAN, NAN, "gets warmer than its thermostat asks"}},
        {WARMEST_HOUR, 1, 1000, {"unmet_cooling", CB_CLOSE, 3.6e6, NAN, NAN, "0.02 % of"}},
        {COLDEST_HOUR, 1, 1000, {"unmet_heating", CB_CLOSE, 3.6e6, NAN, NAN, "under 0.01 % of"}},
        {WARMEST_HOUR, 100, 1000, {"unmet_heating", CB_CLEAR, 0, NAN, NAN, "All heating"}},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        fixture f;
        fixture_open(&f, 2);
        for (long h = row[i].hour; h < row[i].hour + row[i].hours; h++) {
            f.data.unmet_load_w[h] = row[i].unmet_w;
        }
        cb_findings *findings = fixture_judge(&f);
        expect_finding(findings, &row[i].want);
        cb_findings_destroy(findings);
        fixture_close(&f);
    }
}

/// No cooling at all, tiny shares and whole ones are said in plain numbers.
static void shares_are_plain_numbers(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.design.heat_pump_count = 1; // without a cooling table
    for (long h = 0; h < f.data.hours; h++) {
        f.data.cooling_output_w[h] = 0.0;
        f.data.unmet_load_w[h] = f.data.cooling_load_w[h];
    }
    f.data.backup_power_w[COLDEST_HOUR] = 2000.0; // 2 of 27884 kWh
    cb_findings *findings = fixture_judge(&f);
    const cb_finding *cooling = fixture_find(findings, "unmet_cooling");
    if (!strstr(cooling->sentence, ", 100 % of the year's") ||
        !strstr(cooling->sentence, ": no heat pump of the design has a cooling table")) {
        fail_msg("%s", cooling->sentence);
    }
    const cb_finding *backup = fixture_find(findings, "backup");
    if (!strstr(backup->sentence, "and under 0.01 % of the house's heat")) {
        fail_msg("%s", backup->sentence);
    }
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void backup_is_averaged_over_the_years(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    for (long h = YEAR + COLDEST_HOUR; h < YEAR + COLDEST_HOUR + 100; h++) {
        f.data.backup_power_w[h] = 2000.0;
    }
    f.data.backup_power_w[YEAR + COLDEST_HOUR + 30] = 3000.0;
    cb_findings *findings = fixture_judge(&f); // 201 kWh in two years
    expect_finding(findings, &(expected){"backup", CB_CLEAR, 100.5 * 3.6e6, NAN, NAN,
                                         "in 50 hours, and 0.72 % of the house's heat"});
    expect_finding(findings, &(expected){"backup", CB_CLEAR, 100.5 * 3.6e6, NAN, NAN,
                                         "most at once 3.0 kW (year 2, 10 January, 06:00)"});
    cb_findings_destroy(findings);
    for (long h = 0; h < 700; h++) { // 1400 kWh more: above 5 %
        f.data.backup_power_w[COLDEST_HOUR + h] = 2000.0;
    }
    findings = fixture_judge(&f);
    expect_finding(findings, &(expected){"backup", CB_CLOSE, 800.5 * 3.6e6, NAN, NAN, "801 kWh"});
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void a_coarse_grid_is_close_and_none_is_nothing(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.data.quality.estimated_discretisation_error_k = 0.5;
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings,
                   &(expected){"grid_error", CB_CLOSE, 0.5, 0.2, -0.3, "differs by 0.50 K"});
    cb_findings_destroy(findings);
    f.data.quality.estimated_discretisation_error_k = NAN;
    findings = fixture_judge(&f);
    for (size_t i = 0; i < findings->count; i++) {
        assert_string_not_equal(findings->finding[i].code, "grid_error");
    }
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void a_poor_energy_audit_is_close(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    f.data.quality.energy_audit_relative = 3e-5;
    cb_findings *findings = fixture_judge(&f);
    expect_finding(findings,
                   &(expected){"energy_audit", CB_CLOSE, 3e-5, 1e-5, -2e-5, "only to 3.0e-05"});
    assert_int_equal(findings->verdict, CB_CLOSE);
    cb_findings_destroy(findings);
    f.data.quality.energy_audit_relative = NAN;
    findings = fixture_judge(&f);
    assert_int_equal(fixture_find(findings, "energy_audit")->severity, CB_CLOSE);
    cb_findings_destroy(findings);
    fixture_close(&f);
}

static void an_incomplete_run_says_so_first(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 4);
    f.data.complete = false;
    f.data.hours = 2 * YEAR + 42 * 24;
    f.data.days = 2 * 365 + 42;
    f.data.quality = (cb_quality){0};
    f.data.coldest_fluid_c[10] = -8.0;
    cb_findings *findings = fixture_judge(&f);
    assert_false(findings->complete);
    assert_int_equal(findings->verdict, CB_BROKEN);
    assert_string_equal(findings->finding[0].code, "incomplete");
    assert_non_null(strstr(findings->finding[0].sentence, "after 2 years and 42 days of 4 years"));
    assert_string_equal(findings->finding[1].code, "freeze_margin");
    for (size_t i = 0; i < findings->count; i++) {
        assert_string_not_equal(findings->finding[i].code, "energy_audit");
    }
    cb_findings_destroy(findings);
    fixture_close(&f);
}

// ---- refusals --------------------------------------------------------------------------------

static void bad_runs_are_refused(void **state)
{
    (void)state;
    fixture f;
    fixture_open(&f, 2);
    cb_findings *findings = (cb_findings *)&f; // must be cleared
    cb_error error = {0};

    fixture short_run = f;
    short_run.data.hours = 23;
    assert_int_equal(cb_findings_create(&findings, &short_run.data, &f.design, &error),
                     CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "holds 23 hours"));
    assert_null(findings);

    fixture missing = f;
    missing.data.backup_power_w = NULL;
    assert_int_equal(cb_findings_create(&findings, &missing.data, &f.design, &error), CB_BAD_CALL);
    assert_non_null(strstr(error.message, "no backup power"));

    fixture no_fluid = f;
    no_fluid.design.fluid.concentration = 0.99;
    assert_int_equal(cb_findings_create(&findings, &f.data, &no_fluid.design, &error),
                     CB_BAD_INPUT);
    assert_null(findings);

    f.data.coldest_fluid_c[77] = NAN;
    assert_int_equal(cb_findings_create(&findings, &f.data, &f.design, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "coldest fluid temperature is not a number in hour 77"));

    assert_int_equal(cb_findings_create(NULL, &f.data, &f.design, NULL), CB_BAD_CALL);
    assert_int_equal(cb_findings_create(&findings, NULL, &f.design, NULL), CB_BAD_CALL);
    assert_null(cb_findings_destroy(NULL));
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sound_run_is_clear),
        cmocka_unit_test(limits_hold_come_close_and_break),
        cmocka_unit_test(the_worst_finding_comes_first_and_decides),
        cmocka_unit_test(water_that_stands_still_does_not_enter_a_heat_pump),
        cmocka_unit_test(fluid_beyond_its_data_is_reported),
        cmocka_unit_test(drift_is_followed_to_where_it_settles),
        cmocka_unit_test(a_limit_crossed_from_the_start_is_not_foretold),
        cmocka_unit_test(a_limit_crossed_only_after_the_run_breaks_only_the_drift),
        cmocka_unit_test(hard_winters_take_no_part_in_the_drift),
        cmocka_unit_test(too_short_a_run_says_that_drift_is_unknown),
        cmocka_unit_test(ice_is_measured_and_has_to_thaw),
        cmocka_unit_test(frost_is_held_against_the_shallowest_pipe),
        cmocka_unit_test(frost_says_what_it_takes_for_granted_about_snow),
        cmocka_unit_test(a_return_pipe_above_the_coil_counts_for_frost),
        cmocka_unit_test(unmet_loads_are_counted_by_mode),
        cmocka_unit_test(shares_are_plain_numbers),
        cmocka_unit_test(backup_is_averaged_over_the_years),
        cmocka_unit_test(a_poor_energy_audit_is_close),
        cmocka_unit_test(a_coarse_grid_is_close_and_none_is_nothing),
        cmocka_unit_test(an_incomplete_run_says_so_first),
        cmocka_unit_test(bad_runs_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
