// SPDX-License-Identifier: MIT
// Pages and tables of a run that was cut short, of hostile designs and of files that are no runs.
#include "coilbed/dataset.h"
#include "coilbed/report.h"

#include "report/farm.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

enum { DAYS = 40, LONG_NAME = 10000 };

static char folder[] = "/tmp/coilbed-report-XXXXXX";
static cb_units *units;

static char *read_all(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        return NULL;
    }
    fseek(file, 0, SEEK_END);
    *size = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*size + 1);
    assert_int_equal(fread(bytes, 1, *size, file), *size);
    bytes[*size] = '\0';
    fclose(file);
    return bytes;
}

static void write_all(const char *path, const char *bytes, size_t size)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, size, file), size);
    assert_int_equal(fclose(file), 0);
}

static char *page_of(const char *run)
{
    cb_error error = {0};
    if (cb_report_page(run, "page.html", CB_UNITS_SI, units, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    size_t size;
    char *page = read_all("page.html", &size);
    unlink("page.html");
    return page;
}

static void assert_has(const char *page, const char *wanted)
{
    if (!strstr(page, wanted)) {
        fail_msg("the page lacks: %s", wanted);
    }
}

static int setup(void **state)
{
    (void)state;
    cb_error error = {0};
    if (!mkdtemp(folder) || chdir(folder) != 0 || cb_units_create(&units, &error) != CB_OK) {
        return 1;
    }
    farm_run("run.h5", DAYS, NULL, 0);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    char command[80];
    units = cb_units_destroy(units);
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return chdir("/") != 0 || system(command) != 0; // NOLINT(cert-env33-c)
}

// ---- pages -----------------------------------------------------------------------------------

static void an_incomplete_run_says_so(void **state)
{
    (void)state;
    char *page = page_of("run.h5");
    assert_has(page, "Incomplete run");
    assert_has(page, "Everything on this page covers only what was computed.");
    assert_has(page, "so far</span>");
    assert_has(page, "the run was cut short");
    assert_has(page, "data-units=\"si\"");
    free(page);
}

static void a_page_holds_the_findings_of_its_run(void **state)
{
    (void)state;
    cb_error error = {0};
    cb_run_data *data = NULL;
    cb_design *design = NULL;
    cb_findings *findings = NULL;
    assert_int_equal(cb_record_read(&data, "run.h5", &error), CB_OK);
    assert_int_equal(cb_design_parse(&design, data->design_text, "run.h5", NULL, 0, units, &error),
                     CB_OK);
    assert_int_equal(cb_findings_create(&findings, data, design, &error), CB_OK);
    char *page = page_of("run.h5");
    for (size_t i = 0; i < findings->count; i++) {
        char start[40]; // up to the first number, whose unit is spelled otherwise
        snprintf(start, sizeof start, "%.39s", findings->finding[i].sentence);
        start[strcspn(start, "0123456789(')")] = '\0';
        assert_has(page, start);
    }
    free(page);
    cb_findings_destroy(findings);
    cb_design_destroy(design);
    cb_run_data_destroy(data);
}

static void a_page_names_no_other_file(void **state)
{
    (void)state;
    char *page = page_of("run.h5");
    assert_null(strstr(page, "src=\"http"));
    assert_null(strstr(page, "sourceMappingURL"));
    assert_null(strstr(page, "@import"));
    assert_has(page, "default-src 'none'");
    char *script = strstr(page, "<script");
    assert_non_null(script);
    *script = '\0';
    assert_null(strstr(page, "{{")); // no place is left open
    free(page);
}

static void assumptions_come_with_their_reasons(void **state)
{
    (void)state;
    char *page = page_of("run.h5");
    assert_has(page, "<code>field.pipe.conductivity</code>");
    assert_has(page, "DIN 52612");
    assert_has(page, "none &lt;named&gt;"); // libraries, as the run's maker named them
    free(page);
}

static void a_hostile_design_is_shown_as_text(void **state)
{
    (void)state;
    char *name = malloc(LONG_NAME + 1);
    memset(name, 'x', LONG_NAME);
    name[LONG_NAME] = '\0';
    static const char attack[] = "</script><script>alert(1)</script>{{data}}<!-- ";
    memcpy(name, attack, strlen(attack));
    const cb_override hostile = {"name", name};
    farm_run("hostile.h5", 2, &hostile, 1);
    char *page = page_of("hostile.h5");
    assert_null(strstr(page, "alert(1)</script>"));
    assert_has(page, "&lt;/script&gt;&lt;script&gt;alert(1)&lt;/script&gt;{{data}}&lt;!-- xxx");
    free(page);
    free(name);
}

// ---- what is no run --------------------------------------------------------------------------

static void refused(const char *run, cb_status status, const char *message)
{
    cb_error error = {0};
    static const char before[] = "<!doctype html> an earlier page";
    write_all("old.html", before, strlen(before));
    const cb_status got = cb_report_page(run, "old.html", CB_UNITS_US, units, &error);
    if (got != status || !strstr(error.message, message)) {
        fail_msg("%s: got %d '%s', want %d '%s'", run, got, error.message, status, message);
    }
    size_t size;
    char *after = read_all("old.html", &size);
    assert_string_equal(after, before);
    free(after);
    assert_int_equal(cb_report_page(run, "new.html", CB_UNITS_US, units, NULL), status);
    assert_int_equal(access("new.html", F_OK), -1);
}

static void files_that_are_no_runs_are_refused(void **state)
{
    (void)state;
    size_t size;
    char *bytes = read_all("run.h5", &size);
    refused("missing.h5", CB_IO, "No such file");
    write_all("text.h5", "coilbed: 1\n", 11);
    refused("text.h5", CB_IO, "");
    write_all("half.h5", bytes, size / 2);
    refused("half.h5", CB_IO, "");
    char *schema = NULL;
    for (size_t i = 0; i + 11 < size && !schema; i++) {
        schema = memcmp(bytes + i, "coilbed: 1\n", 11) == 0 ? bytes + i : NULL;
    }
    assert_non_null(schema);
    schema[9] = '7'; // the design of a later program
    write_all("newer.h5", bytes, size);
    refused("newer.h5", CB_BAD_INPUT, "format 7 is not known");
    free(bytes);
}

/// A file that says it is a study but lacks what it takes; NULL design: none at all.
static void write_study(const char *design)
{
    cb_error error = {0};
    const cb_dataset_note note = {"scheme", "factorial"};
    const cb_dataset_variable variable[] = {
        {.group = "", .name = "design_text", .text = &design},
        {.group = "", .name = "status", .text = (const char *const[]){"ok"}},
        {.group = "", .name = "message", .text = (const char *const[]){""}},
        {.group = "", .name = "study_text", .text = (const char *const[]){"scheme: factorial"}}};
    const cb_dataset dataset = {.variable = design ? variable : variable + 1,
                                .variable_count = design ? 4 : 3,
                                .note = &note,
                                .note_count = 1};
    assert_int_equal(cb_dataset_write("study.h5", &dataset, &error), CB_OK);
}

static void studies_that_lack_something_are_refused(void **state)
{
    (void)state;
    write_study(NULL);
    refused("study.h5", CB_BAD_INPUT, "design_text is missing");
    write_study("coilbed: 7\n");
    refused("study.h5", CB_BAD_INPUT, "format 7 is not known");
    cb_run_data *data = NULL;
    assert_int_equal(cb_record_read(&data, "run.h5", NULL), CB_OK);
    write_study(data->design_text);
    refused("study.h5", CB_BAD_INPUT, "verdict is missing");
    cb_run_data_destroy(data);
    cb_error error = {0};
    const char *const both[] = {"run.h5", "study.h5"};
    assert_int_equal(cb_report_runs_page(both, 2, "never.html", CB_UNITS_US, units, &error),
                     CB_BAD_INPUT);
    assert_has(error.message, "study.h5 is a study");
    assert_int_equal(access("never.html", F_OK), -1);
}

// ---- several runs ----------------------------------------------------------------------------

static void a_run_beside_itself_differs_in_nothing(void **state)
{
    (void)state;
    cb_error error = {0};
    const char *const twice[] = {"run.h5", "./run.h5"};
    if (cb_report_runs_page(twice, 2, "both.html", CB_UNITS_SI, units, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    size_t size;
    char *page = read_all("both.html", &size);
    assert_has(page, "The designs are the same in every value.");
    assert_has(page, "id=\"run-B\"");
    assert_null(strstr(page, " against A</small>"));
    assert_null(strstr(page, "<small>differs from A"));
    assert_has(page, "not all of them came to their end");
    free(page);
    assert_int_equal(cb_report_runs_page(twice, 0, "no.html", CB_UNITS_SI, units, NULL),
                     CB_BAD_CALL);
}

static void a_page_that_cannot_be_written_is_an_error(void **state)
{
    (void)state;
    static const struct {
        const char *path, *message;
    } row[] = {{"nowhere/page.html", "No such file"},
               {".", "not a plain file"},
               {"run.h5", "is what the page is made from"},
               {"./run.h5", "is what the page is made from"},
               {"design.yaml", "is no page"}};
    write_all("design.yaml", "coilbed: 1\n", 11);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cb_error error = {0};
        assert_int_equal(cb_report_page("run.h5", row[i].path, CB_UNITS_US, units, &error), CB_IO);
        assert_has(error.message, row[i].message);
    }
}

// ---- tables ----------------------------------------------------------------------------------

static long lines_of(const char *path)
{
    size_t size;
    char *text = read_all(path, &size);
    assert_non_null(text);
    long lines = 0;
    for (const char *at = text; *at; at++) {
        lines += *at == '\n';
    }
    free(text);
    return lines;
}

static void tables_hold_every_hour_and_number(void **state)
{
    (void)state;
    cb_error error = {0};
    cb_run_data *data = NULL;
    assert_int_equal(cb_report_csv("run.h5", "tables", units, &error), CB_OK);
    assert_int_equal(cb_report_csv("run.h5", "tables", units, &error), CB_OK); // again
    assert_int_equal(cb_record_read(&data, "run.h5", &error), CB_OK);
    assert_int_equal(lines_of("tables/hourly.csv"), data->hours + 1);
    assert_int_equal(lines_of("tables/monthly.csv"), 3); // July and a part of August
    assert_int_equal(lines_of("tables/annual.csv"), 2);
    size_t size;
    char *text = read_all("tables/hourly.csv", &size);
    const char *row = strstr(text, "\r\n100,1,7,5,4,");
    assert_non_null(row);
    char *end = NULL;
    const double entering = strtod(row + strlen("\r\n100,1,7,5,4,"), &end);
    const double wanted = data->entering_water_c[100];
    if (!(entering - wanted < 1e-8 && wanted - entering < 1e-8)) {
        fail_msg("entering water of hour 100: got %.10g, want %.10g", entering, wanted);
    }
    free(text);
    cb_run_data_destroy(data);
}

static void tables_need_a_folder(void **state)
{
    (void)state;
    cb_error error = {0};
    assert_int_equal(cb_report_csv("run.h5", "no/such", units, &error), CB_IO);
    assert_has(error.message, "folder no/such cannot be made");
    assert_int_equal(cb_report_csv("missing.h5", "never", units, &error), CB_IO);
    assert_int_equal(access("never", F_OK), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_incomplete_run_says_so),
        cmocka_unit_test(a_page_holds_the_findings_of_its_run),
        cmocka_unit_test(a_page_names_no_other_file),
        cmocka_unit_test(assumptions_come_with_their_reasons),
        cmocka_unit_test(a_hostile_design_is_shown_as_text),
        cmocka_unit_test(files_that_are_no_runs_are_refused),
        cmocka_unit_test(studies_that_lack_something_are_refused),
        cmocka_unit_test(a_run_beside_itself_differs_in_nothing),
        cmocka_unit_test(a_page_that_cannot_be_written_is_an_error),
        cmocka_unit_test(tables_hold_every_hour_and_number),
        cmocka_unit_test(tables_need_a_folder),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
