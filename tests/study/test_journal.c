// SPDX-License-Identifier: MIT
/// What is kept of a study's cases survives kills, is refused when it is another's, and comes back
/// to the same bits.
#include <fcntl.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "study/headline.h"
#include "study/journal.h"

enum { CASES = 6 };
static const char key[] = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";
static const char other_key[] = "ffff456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";

typedef struct desk {
    char folder[64], output[96], journal[128], share[128];
} desk;

static int open_desk(void **state)
{
    desk *d = calloc(1, sizeof *d);
    if (!d) {
        return -1;
    }
    snprintf(d->folder, sizeof d->folder, "/tmp/coilbed-journal-XXXXXX");
    if (!mkdtemp(d->folder)) {
        return -1;
    }
    snprintf(d->output, sizeof d->output, "%s/study.h5", d->folder);
    snprintf(d->journal, sizeof d->journal, "%s.cases", d->output);
    snprintf(d->share, sizeof d->share, "%s.cases-2-of-3", d->output);
    *state = d;
    return 0;
}

static int close_desk(void **state)
{
    desk *d = *state;
    unlink(d->journal);
    unlink(d->share);
    const int result = rmdir(d->folder);
    free(d);
    return result;
}

static cb_study_result sample(int i)
{
    cb_study_result result = {.state = i == 2 ? CB_STUDY_FAILED : CB_STUDY_OK};
    for (int h = 0; h < CB_HEADLINE_COUNT; h++) {
        *cbx_headline_place(&result.headline, h) = h == 3 ? NAN : sin(i + 1.7 * h) * pow(10, h % 9);
    }
    result.finding_count = i % 3;
    for (int f = 0; f < result.finding_count; f++) {
        cb_study_finding *finding = &result.finding[f];
        snprintf(finding->code, sizeof finding->code, "limit_%d", f);
        finding->severity = f;
        finding->margin = f == 1 ? NAN : 0.1 * i;
        finding->kind = CB_TEMPERATURE;
    }
    snprintf(result.message, sizeof result.message, "%s",
             i == 2 ? "yard.yaml:3:4: field.depth: 5 | 6" : "");
    return result;
}

static bool same_bits(double a, double b)
{
    return isnan(a) ? isnan(b) : memcmp(&a, &b, sizeof a) == 0;
}

static void assert_same(const cb_study_result *got, const cb_study_result *want)
{
    assert_int_equal(got->state, want->state);
    assert_string_equal(got->message, want->message);
    for (int h = 0; h < CB_HEADLINE_COUNT; h++) {
        assert_true(
            same_bits(cb_headline_value(&got->headline, h), cb_headline_value(&want->headline, h)));
    }
    assert_int_equal(got->finding_count, want->finding_count);
    for (int f = 0; f < got->finding_count; f++) {
        assert_string_equal(got->finding[f].code, want->finding[f].code);
        assert_int_equal(got->finding[f].severity, want->finding[f].severity);
        assert_int_equal(got->finding[f].kind, want->finding[f].kind);
        assert_true(same_bits(got->finding[f].margin, want->finding[f].margin));
    }
}

static void append(const char *path, int first, int count)
{
    cbx_journal *journal = NULL;
    cb_error error = {0};
    if (cbx_journal_open(&journal, path, key, &error) != CB_OK) {
        fail_msg("%s", error.message);
    }
    for (int i = first; i < first + count; i++) {
        const cb_study_result result = sample(i);
        assert_int_equal(cbx_journal_append(journal, (size_t)i, &result, NULL), CB_OK);
    }
    cbx_journal_close(journal);
}

static void append_text(const char *path, const char *text)
{
    FILE *file = fopen(path, "a");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

static cb_status read_all(const desk *d, const char *its_key, cb_study_result *results,
                          size_t *found, cb_error *error)
{
    memset(results, 0, CASES * sizeof *results);
    return cbx_journals_read(d->output, its_key, results, CASES, found, error);
}

static void cases_come_back_to_the_same_bits_from_all_journals(void **state)
{
    const desk *d = *state;
    static cb_study_result results[CASES];
    size_t found = 0;
    append(d->journal, 0, 3);
    append(d->share, 3, 2);
    append(d->share, 5, 1); // opened again
    assert_int_equal(read_all(d, key, results, &found, NULL), CB_OK);
    assert_int_equal(found, 2);
    for (int i = 0; i < CASES; i++) {
        const cb_study_result want = sample(i);
        assert_same(&results[i], &want);
    }
    assert_int_equal(cbx_journals_remove(d->output, NULL), CB_OK);
    assert_int_equal(access(d->journal, F_OK), -1);
    assert_int_equal(access(d->share, F_OK), -1);
}

static void what_a_kill_left_of_a_line_is_no_case(void **state)
{
    const desk *d = *state;
    static cb_study_result results[CASES];
    size_t found = 0;
    append(d->journal, 0, 2);
    append_text(d->journal, "2 ok 0x1.8p+1 0x1.9");
    assert_int_equal(read_all(d, key, results, &found, NULL), CB_OK);
    assert_int_equal(results[1].state, CB_STUDY_OK);
    assert_int_equal(results[2].state, CB_STUDY_MISSING);
    append(d->journal, 2, 2); // what was left is cut off first
    assert_int_equal(read_all(d, key, results, &found, NULL), CB_OK);
    assert_int_equal(results[2].state, CB_STUDY_FAILED);
    assert_int_equal(results[3].state, CB_STUDY_OK);
}

static void a_lost_case_gives_way_to_its_result(void **state)
{
    const desk *d = *state;
    static cb_study_result results[CASES];
    size_t found = 0;
    cbx_journal *journal = NULL;
    cb_study_result lost = sample(1);
    lost.state = CB_STUDY_LOST;
    assert_int_equal(cbx_journal_open(&journal, d->journal, key, NULL), CB_OK);
    assert_int_equal(cbx_journal_append(journal, 1, &lost, NULL), CB_OK);
    cbx_journal_close(journal);
    assert_int_equal(read_all(d, key, results, &found, NULL), CB_OK);
    assert_int_equal(results[1].state, CB_STUDY_LOST);
    append(d->share, 1, 1);
    assert_int_equal(read_all(d, key, results, &found, NULL), CB_OK);
    assert_int_equal(results[1].state, CB_STUDY_OK);
}

static void journals_of_others_and_damaged_ones_are_refused(void **state)
{
    const desk *d = *state;
    static cb_study_result results[CASES];
    size_t found = 0;
    cb_error error = {0};
    append(d->journal, 0, 2);
    assert_int_equal(read_all(d, other_key, results, &found, &error), CB_BAD_INPUT);
    assert_string_equal(error.file, d->journal);
    assert_non_null(strstr(error.message, "of another study"));
    static const char *const bad[] = {"3 ok 1 2 3\n", "x\n", "99 failed | gone\n", "-1 ok\n"};
    for (size_t b = 0; b < sizeof bad / sizeof *bad; b++) {
        unlink(d->journal);
        append(d->journal, 0, 2);
        append_text(d->journal, bad[b]);
        assert_int_equal(read_all(d, key, results, &found, &error), CB_BAD_INPUT);
        assert_int_equal(error.line, 4);
        assert_non_null(strstr(error.message, "is damaged"));
    }
}

static void a_journal_has_one_writer(void **state)
{
    const desk *d = *state;
    cbx_journal *journal = NULL;
    assert_int_equal(cbx_journal_open(&journal, d->journal, key, NULL), CB_OK);
    const pid_t other = fork();
    if (other == 0) { // a lock keeps out other processes only
        cbx_journal *second = NULL;
        cb_error error = {0};
        const cb_status status = cbx_journal_open(&second, d->journal, key, &error);
        _exit(status == CB_IO && !second && strstr(error.message, "another process") ? 0 : 1);
    }
    int status = 0;
    assert_int_equal(waitpid(other, &status, 0), other);
    cbx_journal_close(journal);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    cb_error error = {0};
    assert_int_equal(cbx_journal_open(&journal, "/nowhere/study.h5.cases", key, &error), CB_IO);
    assert_non_null(strstr(error.message, "No such file"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(cases_come_back_to_the_same_bits_from_all_journals,
                                        open_desk, close_desk),
        cmocka_unit_test_setup_teardown(what_a_kill_left_of_a_line_is_no_case, open_desk,
                                        close_desk),
        cmocka_unit_test_setup_teardown(a_lost_case_gives_way_to_its_result, open_desk, close_desk),
        cmocka_unit_test_setup_teardown(journals_of_others_and_damaged_ones_are_refused, open_desk,
                                        close_desk),
        cmocka_unit_test_setup_teardown(a_journal_has_one_writer, open_desk, close_desk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
