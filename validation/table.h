// SPDX-License-Identifier: MIT
/// The validation table: what a published or independently computed source says, what we get.
#ifndef COILBED_VALIDATION_TABLE_H
#define COILBED_VALIDATION_TABLE_H

#include <stdbool.h>
#include <stdio.h>

enum { VALIDATION_LABEL_SIZE = 96 };

typedef struct validation_table validation_table;

/// One published check: a name, where its expected values come from, and the rows it adds.
typedef struct validation_case {
    const char *name;
    const char *source;
    void (*run)(validation_table *table);
} validation_case;

/// NULL if memory runs out.
validation_table *validation_create(void);
/// NULL is fine; returns NULL.
validation_table *validation_destroy(validation_table *table);

/// Runs one case; its rows carry its name and source. A case that adds no row counts as a miss.
void validation_run(validation_table *table, const validation_case *one);

/// Adds one row to the running case: it holds if |got - expected| <= tolerance (NaN never holds).
/// @param tolerance absolute, in the unit of the values
/// @param format printf-style label of the row, with the unit of its values in brackets
void validation_row(validation_table *table, double expected, double got, double tolerance,
                    const char *format, ...) __attribute__((format(printf, 5, 6)));

/// The one state of many that comes nearest to its tolerance, or exceeds it most, so that a long
/// published table becomes one row. Start from {0}.
typedef struct validation_worst {
    int count;
    double ratio; ///< |got - expected| / tolerance
    double expected, got, tolerance;
    char label[VALIDATION_LABEL_SIZE];
} validation_worst;

/// As validation_row, but keeps the state only if it is the worst so far.
void validation_consider(validation_worst *worst, double expected, double got, double tolerance,
                         const char *format, ...) __attribute__((format(printf, 5, 6)));

/// Adds the worst state as a row: "<what>, worst of <count>: <label>".
void validation_row_worst(validation_table *table, const validation_worst *worst, const char *what);

int validation_held(const validation_table *table);
int validation_missed(const validation_table *table);
/// False once memory has run out; the table is then incomplete.
bool validation_complete(const validation_table *table);

void validation_print_text(const validation_table *table, FILE *out);
void validation_print_json(const validation_table *table, FILE *out);

#endif
