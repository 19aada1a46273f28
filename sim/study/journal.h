// SPDX-License-Identifier: MIT
/// Finished cases of a study on their way to its file: one line of text for each, in a file beside
/// it that is only ever appended to. Each process has a journal of its own.
///
/// A line is whole or it is not there: what a kill leaves of one has no end of line and is ignored.
/// Numbers are written as %a and read back to the same bits.
#ifndef COILBED_STUDY_JOURNAL_H
#define COILBED_STUDY_JOURNAL_H

#include "coilbed/study.h"

typedef struct cbx_journal cbx_journal;

/// The journal's path: OUTPUT.cases, or OUTPUT.cases-I-of-N for a share. Owned by the caller; NULL
/// without memory.
char *cbx_journal_path(const cb_study_job *job);

/// Opens or makes a journal and locks it. Errors: CB_IO; CB_NO_MEMORY.
cb_status cbx_journal_open(cbx_journal **out, const char *path, const char *key, cb_error *error);
cbx_journal *cbx_journal_close(cbx_journal *journal);

/// On disk when this returns. Errors: CB_IO.
cb_status cbx_journal_append(cbx_journal *journal, size_t index, const cb_study_result *result,
                             cb_error *error);

/// Reads all journals beside `output` into results [count]; those of CB_STUDY_LOST do not replace
/// others. *found is the number of journals.
/// Errors: CB_BAD_INPUT for a journal of another key or with a damaged line; CB_IO; CB_NO_MEMORY.
cb_status cbx_journals_read(const char *output, const char *key, cb_study_result *results,
                            size_t count, size_t *found, cb_error *error);

/// Removes all journals beside `output`. Errors: CB_IO.
cb_status cbx_journals_remove(const char *output, cb_error *error);

/// One case as a line, without its end; and back. False for a line that is none.
char *cbx_journal_line(size_t index, const cb_study_result *result); ///< owned; NULL: no memory
bool cbx_journal_parse(const char *line, size_t *index, cb_study_result *result);

#endif
