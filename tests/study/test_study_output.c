// SPDX-License-Identifier: MIT
/// The file of a study as xarray sees it, and the statistics in it, of results made up by formula.
#include "study/desk.h"

#include "coilbed/dataset.h"
#include "coilbed/report.h"
#include "study/headline.h"
#include "study/study_output.h"

#include <math.h>
#include <sys/wait.h>
#include <unistd.h>

enum { SKIPPED = 77, NOT_FOUND = 127 };

// coldest_fluid = first value + 2 * second, below 5 breaks freeze_margin; case 3 fails.
static cb_study_result *made_up(const cb_study *study)
{
    cb_study_result *results = calloc(study->case_count, sizeof *results);
    assert_non_null(results);
    for (size_t i = 0; i < study->case_count; i++) {
        cb_study_result *result = &results[i];
        cb_study_point point;
        cb_study_point_of(study, i, &point);
        for (int h = 0; h < CB_HEADLINE_COUNT; h++) {
            *cbx_headline_place(&result->headline, h) = NAN;
        }
        if (i == 3) {
            result->state = CB_STUDY_FAILED;
            snprintf(result->message, sizeof result->message, "über dem Grundwasser");
            continue;
        }
        result->state = CB_STUDY_OK;
        result->headline.coldest_fluid = point.value[0] + 2 * point.value[1];
        result->finding_count = 1;
        cb_study_finding *finding = &result->finding[0];
        *finding = (cb_study_finding){.code = "freeze_margin", .kind = CB_TEMPERATURE};
        finding->margin = result->headline.coldest_fluid - 5;
        finding->severity = finding->margin < 0 ? CB_BROKEN : CB_CLEAR;
    }
    return results;
}

static void write_study(const workshop *w, const char *text, const char *name)
{
    cb_study *study = good_study(w, text);
    cb_study_result *results = made_up(study);
    cb_error error = {0};
    char path[128];
    snprintf(path, sizeof path, "%s/%s", w->folder, name);
    if (cbx_study_write(path, study, results, &error) != CB_OK) {
        fail_msg("%s: %s", error.file, error.message);
    }
    free(results);
    cb_study_destroy(study);
}

static void remove_file(const workshop *w, const char *name)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", w->folder, name);
    remove(path);
}

#define GRID                                                                                       \
    "design: farm.yaml\nscheme: factorial\nvary:\n"                                                \
    "  limits.close: [1 K, 2 K, 3 K]\n"                                                            \
    "  fluid.type: [ethanol, methanol]\n"
#define SOBOL                                                                                      \
    "design: farm.yaml\nscheme: sobol\nsamples: 512\nseed: 2\nkeep_runs: yes\nvary:\n"             \
    "  ground.layers[1].conductivity: uniform(1, 2) W/m/K\n"                                       \
    "  field.depth: uniform(1.5, 2) m\n"

static void xarray_opens_both_kinds(void **state)
{
    const workshop *w = *state;
    write_study(w, GRID, "grid.h5");
    write_study(w, SOBOL, "sobol.h5");
    char command[600];
    snprintf(command, sizeof command,
             "\"%s\" \"%s/tests/study/open_study.py\" %s/grid.h5 "
             "%s/sobol.h5",
             PYTHON, SOURCE_FOLDER, w->folder, w->folder);
    const int ended = system(command); // NOLINT(concurrency-mt-unsafe)
    const int status = WIFEXITED(ended) ? WEXITSTATUS(ended) : -1;
    remove_file(w, "grid.h5");
    remove_file(w, "sobol.h5");
    if (status == SKIPPED || status == NOT_FOUND) {
        print_message("skipped: no xarray\n");
        return;
    }
    assert_int_equal(status, 0);
}

static char *bytes_of(const workshop *w, const char *name, size_t *size)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", w->folder, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    *size = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*size);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *size, file), *size);
    fclose(file);
    return bytes;
}

static void the_same_results_make_the_same_bytes(void **state)
{
    const workshop *w = *state;
    size_t first_size = 0, again_size = 0;
    write_study(w, SOBOL, "first.h5");
    sleep(1); // another second of the clock
    write_study(w, SOBOL, "again.h5");
    char *first = bytes_of(w, "first.h5", &first_size),
         *again = bytes_of(w, "again.h5", &again_size);
    assert_int_equal(first_size, again_size);
    assert_memory_equal(first, again, first_size);
    free(first);
    free(again);
    char path[128], *scheme = NULL;
    snprintf(path, sizeof path, "%s/first.h5", w->folder);
    assert_int_equal(cb_dataset_read_note(&scheme, path, "scheme", NULL), CB_OK);
    assert_string_equal(scheme, "sobol");
    free(scheme);
    assert_int_equal(cb_dataset_read_note(&scheme, path, "skeme", NULL), CB_BAD_INPUT);
    remove_file(w, "first.h5");
    remove_file(w, "again.h5");
}

static void samples_have_their_statistics(void **state)
{
    cb_study *study = good_study(*state, SOBOL);
    cb_study_result *results = made_up(study);
    cb_study_statistics *s = NULL;
    // A finding that only a case that crosses its limit has: one of all cases, not of one.
    cb_study_finding *span = &results[4].finding[results[4].finding_count++];
    *span = (cb_study_finding){.code = "fluid_span_cold", .severity = 1, .margin = -2.0};
    assert_int_equal(cb_study_statistics_create(&s, study, results, NULL), CB_OK);
    assert_int_equal(s->samples, 2 * 512);
    assert_int_equal(s->failed, 1);
    assert_int_equal(s->index_rows, 511);
    const int row = cb_headline_find("coldest_fluid");
    // x + 2 y with x in (1, 2) and y in (1.5, 2): both spread it by 1/sqrt(12), so each explains
    // half of its variance. The sum is a triangle from 4 to 6: below 5 lies a half of it, below 4 +
    // sqrt(1/2) a quarter. Random samples would scatter by 0.016.
    assert_true(fabs(s->quantile[row][2] - 5) < 0.03);
    assert_true(fabs(s->quantile[row][1] - (4 + sqrt(0.5))) < 0.03);
    for (int f = 0; f < 2; f++) {
        assert_true(fabs(s->index[row][f].first - 0.5) < 0.02);
        assert_true(fabs(s->index[row][f].total - 0.5) < 0.02);
        // Of a sum of two uniforms with one of them, Pearson's coefficient is sqrt(1/2).
        assert_true(fabs(s->rank_correlation[row][f] - sqrt(0.5)) < 0.03);
    }
    assert_int_equal(s->limit_count, 2);
    assert_string_equal(s->limit[0].code, "fluid_span_cold");
    assert_int_equal(s->limit[0].cases, 1023);
    assert_int_equal(s->limit[0].crossed, 1);
    assert_string_equal(s->limit[1].code, "freeze_margin");
    assert_int_equal(s->limit[1].cases, 1023);
    assert_true(fabs(s->limit[1].probability.share - 0.5) < 0.03);
    assert_true(isnan(s->quantile[cb_headline_find("verdict")][0]));
    free(s);
    free(results);
    cb_study_destroy(study);
    study = good_study(*state, GRID);
    results = made_up(study);
    assert_int_equal(cb_study_statistics_create(&s, study, results, NULL), CB_BAD_CALL);
    free(results);
    cb_study_destroy(study);
}

// ---- the page of a study ---------------------------------------------------------------------

static char *page_of(const workshop *w, const char *text)
{
    cb_study *study = good_study(w, text);
    cb_study_result *results = made_up(study);
    for (size_t i = 0; i < study->case_count; i++) {
        cb_headline *headline = &results[i].headline;
        headline->worst_margin = headline->coldest_fluid - 5;
        headline->verdict = headline->worst_margin < 0 ? CB_BROKEN : CB_CLEAR;
    }
    cb_error error = {0};
    char file[128], path[128];
    snprintf(file, sizeof file, "%s/page.h5", w->folder);
    snprintf(path, sizeof path, "%s/page.html", w->folder);
    if (cbx_study_write(file, study, results, &error) != CB_OK ||
        cb_report_page(file, path, CB_UNITS_SI, w->units, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    free(results);
    cb_study_destroy(study);
    size_t size = 0;
    char *bytes = bytes_of(w, "page.html", &size);
    char *page = realloc(bytes, size + 1);
    assert_non_null(page);
    page[size] = '\0';
    remove_file(w, "page.h5");
    remove_file(w, "page.html");
    return page;
}

static void assert_has(const char *page, const char *wanted)
{
    if (!strstr(page, wanted)) {
        fail_msg("the page lacks: %s", wanted);
    }
}

static void a_grid_has_its_page(void **state)
{
    // first value + 2 * second, the latter the number of a word: 1, 3, 2, (failed), 3, 5; less 5.
    char *page = page_of(*state, GRID);
    assert_has(page, "Of 6 cases, 1 holds; 4 break a limit. 1 case has no result");
    assert_has(page, "<code>limits.close</code>");
    assert_has(page, "ethanol, methanol");
    assert_has(page, "über dem Grundwasser");
    assert_has(page, "\"grid\"");
    free(page);
}

static void samples_have_their_page(void **state)
{
    char *page = page_of(*state, SOBOL);
    // Half of 1,023 independent samples break the limit (see samples_have_their_statistics).
    assert_has(page, "from 1023 independent samples");
    assert_has(page, "How often each limit is crossed");
    assert_has(page, "\"total_index\"");
    assert_has(page, "ground.layers[1].conductivity");
    free(page);
}

static void a_file_that_cannot_be_written_is_said(void **state)
{
    cb_study *study = good_study(*state, GRID);
    cb_study_result *results = made_up(study);
    cb_error error = {0};
    assert_int_equal(cbx_study_write("/nowhere/grid.h5", study, results, &error), CB_IO);
    assert_non_null(strstr(error.message, "No such file"));
    free(results);
    cb_study_destroy(study);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(xarray_opens_both_kinds),
        cmocka_unit_test(the_same_results_make_the_same_bytes),
        cmocka_unit_test(samples_have_their_statistics),
        cmocka_unit_test(a_grid_has_its_page),
        cmocka_unit_test(samples_have_their_page),
        cmocka_unit_test(a_file_that_cannot_be_written_is_said),
    };
    return cmocka_run_group_tests(tests, desk_open, desk_close);
}
