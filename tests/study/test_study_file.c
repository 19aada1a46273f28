// SPDX-License-Identifier: MIT
/// What a study file may say, what it may not, and where the complaint points.
#include "study/desk.h"

#include "coilbed/statistics.h"

#include <math.h>

static void a_factorial_takes_every_combination(void **state)
{
    cb_study *study = good_study(*state, "design: farm.yaml\nscheme: factorial\n"
                                         "set:\n  run.years: 4\n"
                                         "vary:\n"
                                         "  field.depth: [5 ft, 1.8 m]\n"
                                         "  fluid.type: [methanol, ethanol, propylene_glycol]\n");
    assert_int_equal(study->case_count, 6);
    assert_int_equal(study->design->run.years, 4);
    cb_study_point point;
    cb_study_point_of(study, 4, &point); // the last factor changes fastest
    assert_int_equal(point.set_count, 3);
    assert_string_equal(point.set[0].value, "4");
    assert_string_equal(point.set[1].path, "field.depth");
    assert_string_equal(point.set[1].value, "1.8 m");
    assert_string_equal(point.set[2].value, "ethanol");
    assert_true(fabs(point.value[0] - 1.8) < 1e-15);
    assert_true(point.value[1] == 1);
    assert_string_equal(study->factor[0].name, "field_depth");
    assert_string_equal(study->factor[0].units, "m");
    assert_null(study->factor[1].units);
    cb_study_destroy(study);
}

static void files_and_dates_vary_as_words(void **state)
{
    cb_study *study = good_study(*state, "design: farm.yaml\nscheme: factorial\nvary:\n"
                                         "  weather.normals: [cold-plain.yaml, warm.yaml]\n"
                                         "  run.start: [07-01, 10-01]\n");
    cb_study_point point;
    cb_study_point_of(study, 3, &point);
    assert_string_equal(point.set[0].value, "warm.yaml");
    assert_string_equal(point.set[1].value, "10-01");
    assert_null(study->factor[0].units);
    assert_null(study->factor[1].units);
    cb_study_destroy(study);
    cb_error error = {0};
    assert_int_equal(read_study(*state,
                                "design: farm.yaml\nscheme: factorial\nvary:\n"
                                "  weather.normals: [hot.yaml, warm.yaml]\n",
                                9, &study, &error),
                     CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "no value of the list makes a design"));
    assert_non_null(strstr(error.message, "warm.yaml"));
}

static void samples_follow_their_distributions(void **state)
{
    const workshop *w = *state;
    cb_study *study =
        good_study(w, "design: farm.yaml\nscheme: latin_hypercube\nsamples: 400\nseed: 3\n"
                      "vary:\n"
                      "  ground.layers[1].conductivity: normal(1.2, 0.3) W/m/K from 0.6 to 2\n"
                      "  limits.entering_minimum: uniform(20, 30) degF\n"
                      "  field.depth: triangular(5, 6, 7) ft\n"
                      "  fluid.concentration: lognormal(20, 2) %\n"
                      "correlations:\n"
                      "  - {first: field.depth, second: fluid.concentration, rank: -0.6}\n");
    assert_int_equal(study->case_count, 400);
    assert_string_equal(study->notices, "");
    enum { SAMPLES = 400 };
    double value[4][SAMPLES];
    for (size_t i = 0; i < SAMPLES; i++) {
        cb_study_point point;
        cb_study_point_of(study, i, &point);
        cb_design *design = NULL;
        cb_error error = {0};
        if (cb_design_read(&design, study->design_path, point.set, point.set_count, w->units,
                           &error) != CB_OK) {
            fail_msg("case %zu: %s", i, error.message);
        }
        // The text of a value reads back to its bits.
        assert_true(design->ground.layer[1].soil.conductivity_w_mk == point.value[0]);
        assert_true(design->limits.entering_minimum_c == point.value[1]);
        assert_true(design->field.depth_m == point.value[2]);
        assert_true(design->fluid.concentration == point.value[3]);
        assert_true(0.6 <= point.value[0] && point.value[0] <= 2);
        assert_true(-6.67 < point.value[1] && point.value[1] < -1.11);
        for (int f = 0; f < 4; f++) {
            value[f][i] = point.value[f];
        }
        cb_design_destroy(design);
    }
    const double half = 0.5;
    double median = 0, rank = 0;
    assert_int_equal(cb_quantiles(value[2], SAMPLES, &half, &median, 1, NULL), CB_OK);
    assert_true(fabs(median - 6 * 0.3048) < 0.01);
    assert_int_equal(cb_quantiles(value[0], SAMPLES, &half, &median, 1, NULL), CB_OK);
    assert_true(fabs(median - 1.2) < 0.01);
    assert_int_equal(cb_spearman(value[2], value[3], SAMPLES, &rank, NULL), CB_OK);
    assert_true(fabs(rank + 0.6) < 0.1);
    cb_study_destroy(study);
}

static void sobol_indices_ask_for_their_blocks(void **state)
{
    cb_study *study = good_study(*state, "design: farm.yaml\nscheme: sobol\nsamples: 8\n"
                                         "vary:\n"
                                         "  ground.layers[1].conductivity: uniform(1, 2) W/m/K\n"
                                         "  field.depth: [5 ft, 6 ft]\n");
    assert_true(study->indices);
    assert_int_equal(study->case_count, 8 * 4);
    for (size_t row = 0; row < 8; row++) {
        cb_study_point a, b, first, second;
        cb_study_point_of(study, row, &a);
        cb_study_point_of(study, 8 + row, &b);
        cb_study_point_of(study, 16 + row, &first);
        cb_study_point_of(study, 24 + row, &second);
        assert_true(first.value[0] == b.value[0] && first.value[1] == a.value[1]);
        assert_true(second.value[0] == a.value[0] && second.value[1] == b.value[1]);
    }
    cb_study_destroy(study);
    study = good_study(*state, "design: farm.yaml\nscheme: sobol\nsamples: 8\nindices: no\n"
                               "vary:\n  field.depth: uniform(5, 6) ft\n");
    assert_int_equal(study->case_count, 8);
    cb_study_destroy(study);
}

static void tails_beyond_what_a_design_accepts_are_cut_off_with_a_notice(void **state)
{
    cb_study *study = good_study(*state, "design: farm.yaml\nscheme: latin_hypercube\nsamples: 50\n"
                                         "vary:\n  fluid.concentration: normal(0.5, 0.1)\n");
    assert_non_null(strstr(study->notices, "fluid.concentration: normal(0.5, 0.1) is cut off"));
    assert_non_null(strstr(study->notices, "(16 % of it lies outside)"));
    for (size_t i = 0; i < study->case_count; i++) {
        cb_study_point point;
        cb_study_point_of(study, i, &point);
        assert_true(0 <= point.value[0] && point.value[0] <= 0.6);
    }
    cb_study_destroy(study);
}

#define FARM "design: farm.yaml\n"
#define GRID FARM "scheme: factorial\nvary:\n"
#define LATIN FARM "scheme: latin_hypercube\nsamples: 10\nvary:\n"

static void bad_studies_are_refused_at_their_place(void **state)
{
    static const struct {
        const char *text;
        int line, column;
        const char *says;
    } row[] = {
        {"design: farm.yaml\nscheme: factorial\nvary: [\n", 0, 0, "not valid YAML"},
        {"- a\n", 1, 3, "a study is a block of keys"},
        {FARM "scheme: factorial\n", 1, 1, "vary is missing: a block of paths, e.g. field.depth: "},
        {FARM "vary: {}\n", 1, 1, "scheme is missing: factorial, latin_hypercube or sobol"},
        {FARM "scheme: factorial\nvarry: {}\n", 3, 1, "did you mean \"vary\"?"},
        {FARM "scheme: latin\nvary: {}\n", 2, 9, "not one of factorial, latin_hypercube, sobol"},
        {FARM "scheme: sobol\nvary: {}\n", 2, 1, "needs samples"},
        {FARM "scheme: factorial\nsamples: 9\nvary: {}\n", 3, 1, "it has no samples"},
        {FARM "scheme: factorial\nindices: yes\nvary: {}\n", 3, 10, "need scheme: sobol"},
        {FARM "scheme: sobol\nsamples: 1\nvary: {}\n", 3, 10, "outside 2 to 1000000"},
        {FARM "scheme: sobol\nsamples: 2.5\nvary: {}\n", 3, 10, "not a whole number"},
        {FARM "scheme: factorial\nvary: {}\n", 3, 1, "vary is a block of paths"},
        {"design: barn.yaml\nscheme: factorial\nvary:\n  field.depth: [5 ft]\n", 1, 9,
         "cannot be opened"},
        {FARM "scheme: factorial\nset: {run.years: many}\nvary: {}\n", 3, 18, "run.years"},
        {FARM "scheme: factorial\nset: {run.years: 3}\nvary:\n  run.years: [3, 4]\n", 5, 3,
         "is set to 3 in all cases"},
        {GRID "  field.dpeth: [5 ft]\n", 4, 3, "did you mean \"depth\"?"},
        {GRID "  depth: [5 ft]\n", 4, 3, "unknown key \"depth\""},
        {GRID "  field: [5 ft]\n", 4, 3, "field is a block of keys"},
        {GRID "  field.depth.top: [5 ft]\n", 4, 3, "is one value"},
        {GRID "  field..depth: [5 ft]\n", 4, 3, "not of the form"},
        {GRID "  ground.layers[7].bottom: [5 ft]\n", 4, 3, "[7] is past the last"},
        {GRID "  ground.layers.bottom: [5 ft]\n", 4, 3, "say which with ground.layers[0]"},
        {GRID "  field.depth: []\n", 4, 3, "lists 0 values"},
        {GRID "  field.depth:\n", 4, 3, "list its values"},
        {GRID "  field.depth: [5 ft, 60 degF]\n", 4, 23, "60 degF"},
        {GRID "  field.depth: [5 ft, 6]\n", 4, 23, "write e.g. 6 ft or 1.8 m"},
        {GRID "  field.depth: [5 ft, 600 ft]\n", 4, 23, "is outside"},
        {GRID "  field.depth: [5 ft, 60 in]\n", 4, 23, "60 in is there twice"},
        {GRID "  fluid.type: [methanol, methanol]\n", 4, 26, "methanol is there twice"},
        {GRID "  fluid.type: [mthanol]\n", 4, 16, "did you mean \"methanol\"?"},
        {GRID "  field.depth: uniform(5, 6) ft\n", 4, 16, "a factorial combines listed values"},
        {LATIN "  run.years: uniform(1, 5)\n", 5, 14, "no continuous quantity"},
        {LATIN "  field.depth: gauss(5, 6) ft\n", 5, 16, "is no distribution"},
        {LATIN "  field.depth: normal(5 ft, 6 ft)\n", 5, 16, "is no distribution"},
        {LATIN "  field.depth: uniform(5, 6)\n", 5, 16, "write e.g. 6 ft or 1.8 m"},
        {LATIN "  field.depth: uniform(5, 6) kg\n", 5, 16, "\"5 kg\""},
        {LATIN "  field.depth: uniform(5, 6000) ft\n", 5, 16, "lies outside what a design"},
        {LATIN "  field.depth: normal(500, 60) ft\n", 5, 16, "lies outside what a design"},
        {LATIN "  field.depth: normal(5, -1) ft\n", 5, 16, "must be above 0"},
        {LATIN "  field.depth: triangular(5, 8, 7) ft\n", 5, 16, "in this order"},
        {LATIN "  field.depth: normal(5, 1) ft from 6 to 5\n", 5, 16,
         "the bound behind \"from\" must be below"},
        {LATIN "  field.depth: normal(5, 1) ft from six\n", 5, 16, "is no distribution"},
        {LATIN "  limits.entering_minimum: lognormal(30, 5) degF\n", 5, 28, "zero means nothing"},
        {LATIN "  field.depth: uniform(5, 6) ft\ncorrelations: [{first: field.depth}]\n", 6, 17,
         "write each correlation as"},
        {LATIN "  field.depth: uniform(5, 6) ft\ncorrelations:\n"
               "  - {first: field.depth, second: run.years, rank: 0.1}\n",
         7, 34, "run.years does not vary"},
        {LATIN "  field.depth: uniform(5, 6) ft\ncorrelations:\n"
               "  - {first: field.depth, second: field.depth, rank: 0.1}\n",
         7, 34, "with itself"},
        {LATIN "  field.depth: uniform(5, 6) ft\n  fluid.concentration: uniform(10, 20) %\n"
               "correlations:\n"
               "  - {first: field.depth, second: fluid.concentration, rank: 1}\n",
         8, 61, "not between -1 and 1"},
        {FARM "scheme: sobol\nsamples: 10\nvary:\n  field.depth: uniform(5, 6) ft\n"
              "correlations: []\n",
         6, 1, "indices: no"},
    };
    for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
        cb_study *study = NULL;
        cb_error error = {0};
        const cb_status status = read_study(*state, row[r].text, 1000, &study, &error);
        const bool placed =
            row[r].line == 0 || (error.line == row[r].line && error.column == row[r].column);
        if (status == CB_OK || study || !placed || !strstr(error.message, row[r].says) ||
            !strstr(error.file, "study.yaml")) {
            fail_msg("row %zu\n%s\nsays %s:%d:%d: %s\nwanted %d:%d ... %s", r, row[r].text,
                     error.file, error.line, error.column, error.message, row[r].line,
                     row[r].column, row[r].says);
        }
    }
}

static void more_cases_than_allowed_are_refused(void **state)
{
    cb_study *study = NULL;
    cb_error error = {0};
    assert_int_equal(read_study(*state,
                                FARM "scheme: sobol\nsamples: 100\nvary:\n"
                                     "  field.depth: uniform(5, 6) ft\n",
                                299, &study, &error),
                     CB_BAD_INPUT);
    assert_int_equal(error.line, 3);
    assert_non_null(strstr(error.message, "300 cases"));
    assert_non_null(strstr(error.message, "--max-cases 300"));
    assert_null(study);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_factorial_takes_every_combination),
        cmocka_unit_test(files_and_dates_vary_as_words),
        cmocka_unit_test(samples_follow_their_distributions),
        cmocka_unit_test(sobol_indices_ask_for_their_blocks),
        cmocka_unit_test(tails_beyond_what_a_design_accepts_are_cut_off_with_a_notice),
        cmocka_unit_test(bad_studies_are_refused_at_their_place),
        cmocka_unit_test(more_cases_than_allowed_are_refused),
    };
    return cmocka_run_group_tests(tests, desk_open, desk_close);
}
