// SPDX-License-Identifier: MIT
#include "study/headline.h"
#include "study/journal.h"
#include "study/pool.h"
#include "study/study_key.h"
#include "study/study_output.h"

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct running {
    const cb_study_job *job;
    const cb_units *units;
    cb_study_result *results;
    cbx_journal *journal;
    char *scratch;  ///< folder of the runs that are thrown away, of this process alone
    char *runs;     ///< folder of the runs that are kept; NULL: none are
    size_t *wanted; ///< cases of this share that no journal has
    size_t wanted_count, share_count, done, failed;
} running;

static cb_status no_memory(cb_error *error)
{
    return cb_fail(error, CB_NO_MEMORY, "no memory for the study");
}

// ---- one case, in a process of its own -------------------------------------------------------

static void explain(cb_study_result *result, const cb_error *why)
{
    result->state = CB_STUDY_FAILED;
    const char *message = why->message[0] ? why->message : cb_status_text(why->status);
    if (!why->file[0]) {
        snprintf(result->message, sizeof result->message, "%s", message);
    } else if (why->line <= 0) {
        snprintf(result->message, sizeof result->message, "%s: %s", why->file, message);
    } else {
        snprintf(result->message, sizeof result->message, "%s:%d:%d: %s", why->file, why->line,
                 why->column, message);
    }
}

static void keep_findings(cb_study_result *result, const cb_findings *findings)
{
    for (size_t i = 0; i < findings->count && i < CB_MAX_STUDY_FINDINGS; i++) {
        const cb_finding *from = &findings->finding[i];
        cb_study_finding *to = &result->finding[result->finding_count++];
        *to = (cb_study_finding){
            .severity = from->severity, .margin = from->margin, .kind = from->kind};
        memcpy(to->code, from->code, sizeof to->code);
    }
}

static void clear(cb_study_result *result)
{
    *result = (cb_study_result){0};
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        *cbx_headline_place(&result->headline, i) = NAN;
    }
}

static void run_case(void *context, size_t index, void *out)
{
    const running *r = context;
    const cb_study *study = r->job->study;
    cb_study_result *result = out;
    clear(result);
    if (r->job->jobs > 1) {
        setenv("COILBED_THREADS", "1", 0); // the cores are taken by the other cases
    }
    char file[4096];
    snprintf(file, sizeof file, "%s/case-%06zu.h5", r->runs ? r->runs : "", index);
    cb_study_point point;
    cb_study_point_of(study, index, &point);
    const cb_case_order order = {
        .source = {.path = study->design_path, .set = point.set, .set_count = point.set_count},
        .file = r->runs ? file : NULL,
        .scratch = r->scratch,
        .libraries = r->job->libraries};
    cb_case *made = NULL;
    cb_error error = {0};
    if (cb_case_run(&made, &order, r->units, &error) != CB_OK) {
        explain(result, &error);
        return;
    }
    result->state = CB_STUDY_OK;
    result->headline = made->headline;
    keep_findings(result, made->findings);
    cb_case_destroy(made);
}

// ---- around them -----------------------------------------------------------------------------

static void report(const running *r)
{
    const cb_study_watch *watch = r->job->watch;
    if (watch && watch->progress) {
        watch->progress(watch->context, r->done, r->failed, r->share_count);
    }
}

static cb_status take_result(void *context, size_t index, const void *result, const char *lost,
                             cb_error *error)
{
    running *r = context;
    cb_study_result *to = &r->results[index];
    if (result) {
        memcpy(to, result, sizeof *to);
    } else {
        clear(to);
        to->state = CB_STUDY_LOST;
        snprintf(to->message, sizeof to->message, "%s", lost);
    }
    r->done++;
    r->failed += to->state != CB_STUDY_OK;
    const cb_status status = cbx_journal_append(r->journal, index, to, error);
    report(r);
    return status;
}

static bool tick(void *context)
{
    const running *r = context;
    const cb_study_watch *watch = r->job->watch;
    report(r);
    return watch && watch->stop && watch->stop(watch->context);
}

static cb_status list_wanted(running *r, cb_error *error)
{
    const cb_study_job *job = r->job;
    const size_t count = job->study->case_count;
    r->wanted = calloc(count, sizeof *r->wanted);
    if (!r->wanted) {
        return no_memory(error);
    }
    for (size_t i = 0; i < count; i++) {
        if (job->shares > 0 && i % (size_t)job->shares != (size_t)job->share - 1) {
            continue;
        }
        r->share_count++;
        const cb_study_state state = r->results[i].state;
        if (state == CB_STUDY_MISSING || state == CB_STUDY_LOST) {
            r->wanted[r->wanted_count++] = i;
        } else {
            r->done++;
            r->failed += state != CB_STUDY_OK;
        }
    }
    return CB_OK;
}

// What killed processes left in the scratch folder goes with it.
static void remove_scratch(const char *folder)
{
    DIR *directory = opendir(folder);
    char path[4096 + 256];
    // NOLINTNEXTLINE(concurrency-mt-unsafe): the stream is this function's own
    for (struct dirent *at; directory && (at = readdir(directory));) {
        if (at->d_name[0] != '.') {
            snprintf(path, sizeof path, "%s/%s", folder, at->d_name);
            unlink(path);
        }
    }
    if (directory) {
        closedir(directory);
    }
    rmdir(folder);
}

static cb_status make_folder(const char *path, cb_error *error)
{
    return mkdir(path, 0777) == 0 || errno == EEXIST
               ? CB_OK
               : cb_fail_at(error, CB_IO, path, 0, 0, "the folder cannot be made: %s",
                            strerror(errno));
}

static char *joined(const char *text, const char *ending)
{
    const size_t size = strlen(text) + strlen(ending) + 1;
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%s%s", text, ending);
    }
    return path;
}

static cb_status make_folders(running *r, const char *journal, cb_error *error)
{
    r->scratch = joined(journal, ".scratch");
    r->runs = r->job->study->keep_runs ? joined(r->job->output, ".runs") : NULL;
    if (!r->scratch || (r->job->study->keep_runs && !r->runs)) {
        return no_memory(error);
    }
    remove_scratch(r->scratch);
    const cb_status status = make_folder(r->scratch, error);
    return status == CB_OK && r->runs ? make_folder(r->runs, error) : status;
}

static cb_status run_with_journal(running *r, const char *path, const char *key, cb_error *error)
{
    cb_status status = cbx_journal_open(&r->journal, path, key, error);
    if (status == CB_OK) {
        status = make_folders(r, path, error);
    }
    if (status == CB_OK) {
        report(r);
        const cbx_pool pool = {.context = r,
                               .item = r->wanted,
                               .count = r->wanted_count,
                               .jobs = r->job->jobs,
                               .result_size = sizeof(cb_study_result),
                               .work = run_case,
                               .done = take_result,
                               .tick = tick};
        status = cbx_pool_run(&pool, error);
    }
    if (r->scratch) {
        remove_scratch(r->scratch);
    }
    r->journal = cbx_journal_close(r->journal);
    free(r->scratch);
    free(r->runs);
    return status;
}

static cb_status run_wanted(running *r, const char *key, cb_error *error)
{
    char *path = cbx_journal_path(r->job);
    if (!path) {
        return no_memory(error);
    }
    const cb_status status = run_with_journal(r, path, key, error);
    free(path);
    return status;
}

// ---- beginning and end -----------------------------------------------------------------------

static cb_status check_missing(const running *r, cb_error *error)
{
    size_t missing = 0, first = 0;
    for (size_t i = r->job->study->case_count; i-- > 0;) {
        if (r->results[i].state == CB_STUDY_MISSING) {
            missing++;
            first = i;
        }
    }
    return missing == 0 ? CB_OK
                        : cb_fail_at(error, CB_BAD_INPUT, r->job->output, 0, 0,
                                     "%zu of %zu cases are not there yet, the first of them case "
                                     "%zu; run the shares to their end, or the rest here with "
                                     "--resume",
                                     missing, r->job->study->case_count, first);
}

static cb_status read_journals(running *r, const char *key, cb_error *error)
{
    const cb_study_job *job = r->job;
    const size_t count = job->study->case_count;
    size_t found = 0;
    if (job->replace && job->shares == 0) {
        return cbx_journals_remove(job->output, error);
    }
    if (job->resume || job->gather) {
        return cbx_journals_read(job->output, key, r->results, count, &found, error);
    }
    if (job->shares > 0) { // other shares' journals are none of this one's business
        char *path = cbx_journal_path(job);
        found = path && access(path, F_OK) == 0;
        if (path && found && job->replace) {
            unlink(path);
            found = 0;
        }
        free(path);
        if (!path) {
            return no_memory(error);
        }
    } else {
        const cb_status status =
            cbx_journals_read(job->output, NULL, r->results, count, &found, error);
        if (status != CB_OK) {
            return status;
        }
    }
    return found == 0 ? CB_OK
                      : cb_fail_at(error, CB_BAD_INPUT, job->output, 0, 0,
                                   "cases of an interrupted study lie beside it; go on with "
                                   "--resume, or forget them with --force");
}

static cb_status finish(const running *r, cb_error *error)
{
    cb_status status = check_missing(r, error);
    if (status == CB_OK) {
        status = cbx_study_write(r->job->output, r->job->study, r->results, error);
    }
    for (size_t i = 0; i < r->job->study->case_count; i++) {
        if (r->results[i].state == CB_STUDY_LOST) {
            return status; // the journals stay: resumed, the study runs what was lost again
        }
    }
    return status == CB_OK ? cbx_journals_remove(r->job->output, error) : status;
}

static cb_status run_all(running *r, cb_error *error)
{
    char key[65];
    cb_status status = cbx_study_key(key, r->job->study, r->units, error);
    if (status == CB_OK) {
        status = read_journals(r, key, error);
    }
    if (status == CB_OK) {
        status = list_wanted(r, error);
    }
    if (status == CB_OK && !r->job->gather) {
        status = run_wanted(r, key, error);
    }
    return status == CB_OK && r->job->shares == 0 ? finish(r, error) : status;
}

cb_status cb_study_run(cb_study_result **results, const cb_study_job *job, const cb_units *units,
                       cb_error *error)
{
    if (!results || !job || !job->study || !job->output || !units || job->jobs < 1 ||
        job->share < 0 || job->share > job->shares || (job->shares > 0 && job->share < 1)) {
        return cb_fail(error, CB_BAD_CALL, "cb_study_run needs a whole job");
    }
    running r = {.job = job, .units = units};
    r.results = calloc(job->study->case_count, sizeof *r.results);
    const cb_status status = r.results ? run_all(&r, error) : no_memory(error);
    free(r.wanted);
    if (status != CB_OK) {
        free(r.results);
        r.results = NULL;
    }
    *results = r.results;
    return status;
}
