// SPDX-License-Identifier: MIT
#include "study/journal.h"

#include "study/headline.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// INDEX STATE | headline numbers | count {code severity kind margin} | message
static const char *const state_word[] = {"missing", "ok", "failed", "lost"};
enum { STATES = sizeof state_word / sizeof *state_word, LINE_SIZE = 8192 };

char *cbx_journal_line(size_t index, const cb_study_result *result)
{
    char *line = malloc(LINE_SIZE);
    FILE *stream = line ? fmemopen(line, LINE_SIZE, "w") : NULL;
    if (!stream) {
        free(line);
        return NULL;
    }
    fprintf(stream, "%zu %s", index, state_word[result->state]);
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        fprintf(stream, " %a", cb_headline_value(&result->headline, i));
    }
    fprintf(stream, " %d", result->finding_count);
    for (int i = 0; i < result->finding_count; i++) {
        const cb_study_finding *finding = &result->finding[i];
        fprintf(stream, " %s %d %d %a", finding->code, finding->severity, (int)finding->kind,
                finding->margin);
    }
    fputs(" | ", stream);
    for (const char *at = result->message; *at; at++) {
        fputc(*at == '\n' ? ' ' : *at, stream);
    }
    if (fclose(stream) != 0) {
        free(line);
        return NULL;
    }
    return line;
}

// ---- reading ---------------------------------------------------------------------------------

static bool read_long(const char **at, long *value)
{
    char *end = NULL;
    *value = strtol(*at, &end, 10);
    const bool ok = end != *at && *end == ' ';
    *at = ok ? end + 1 : *at;
    return ok;
}

static bool read_double(const char **at, double *value)
{
    char *end = NULL;
    *value = strtod(*at, &end);
    const bool ok = end != *at && *end == ' ';
    *at = ok ? end + 1 : *at;
    return ok;
}

static bool read_word(const char **at, char *word, size_t size)
{
    const size_t length = strcspn(*at, " ");
    if (length == 0 || length >= size || (*at)[length] != ' ') {
        return false;
    }
    memcpy(word, *at, length);
    word[length] = '\0';
    *at += length + 1;
    return true;
}

static bool read_state(const char **at, cb_study_state *state)
{
    char word[16];
    if (!read_word(at, word, sizeof word)) {
        return false;
    }
    for (int i = 0; i < STATES; i++) {
        if (strcmp(word, state_word[i]) == 0) {
            *state = (cb_study_state)i;
            return true;
        }
    }
    return false;
}

static bool read_finding(const char **at, cb_study_finding *finding)
{
    long severity = 0, kind = 0;
    const bool ok = read_word(at, finding->code, sizeof finding->code) &&
                    read_long(at, &severity) && read_long(at, &kind) &&
                    read_double(at, &finding->margin) && kind >= 0 && kind < CB_KIND_COUNT;
    finding->severity = (int)severity;
    finding->kind = (cb_kind)kind;
    return ok;
}

bool cbx_journal_parse(const char *line, size_t *index, cb_study_result *result)
{
    *result = (cb_study_result){0};
    long number = 0, count = 0;
    bool ok = read_long(&line, &number) && number >= 0 && read_state(&line, &result->state);
    for (int i = 0; ok && i < CB_HEADLINE_COUNT; i++) {
        ok = read_double(&line, cbx_headline_place(&result->headline, i));
    }
    ok = ok && read_long(&line, &count) && count >= 0 && count <= CB_MAX_STUDY_FINDINGS;
    for (long i = 0; ok && i < count; i++) {
        ok = read_finding(&line, &result->finding[i]);
    }
    ok = ok && line[0] == '|' && line[1] == ' ' && strlen(line + 2) < sizeof result->message;
    if (ok) {
        *index = (size_t)number;
        result->finding_count = (int)count;
        snprintf(result->message, sizeof result->message, "%s", line + 2);
    }
    return ok;
}
