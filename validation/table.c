// SPDX-License-Identifier: MIT
#include "table.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>

typedef struct row {
    const validation_case *from;
    double expected, got, tolerance;
    char label[2 * VALIDATION_LABEL_SIZE];
} row;

struct validation_table {
    row *rows;
    int count, room;
    bool complete;
    const validation_case *running;
};

validation_table *validation_create(void)
{
    validation_table *table = calloc(1, sizeof *table);
    if (table) {
        table->complete = true;
    }
    return table;
}

validation_table *validation_destroy(validation_table *table)
{
    if (table) {
        free(table->rows);
        free(table);
    }
    return NULL;
}

// Written so that NaN does not hold.
static bool holds(const row *one)
{
    return fabs(one->got - one->expected) <= one->tolerance;
}

static row *next_row(validation_table *table)
{
    if (table->count == table->room) {
        const int room = table->room ? 2 * table->room : 64;
        row *rows = realloc(table->rows, (size_t)room * sizeof *rows);
        if (!rows) {
            table->complete = false;
            return NULL;
        }
        table->rows = rows;
        table->room = room;
    }
    return &table->rows[table->count++];
}

static void add_row(validation_table *table, const row *values, const char *format,
                    va_list arguments)
{
    row *one = next_row(table);
    if (one) {
        *one = *values;
        one->from = table->running;
        // The analyser of clang 14 does not see the caller's va_start.
        // NOLINTNEXTLINE(clang-analyzer-valist.Uninitialized)
        vsnprintf(one->label, sizeof one->label, format, arguments);
    }
}

void validation_row(validation_table *table, double expected, double got, double tolerance,
                    const char *format, ...)
{
    const row values = {.expected = expected, .got = got, .tolerance = tolerance};
    va_list arguments;
    va_start(arguments, format);
    add_row(table, &values, format, arguments);
    va_end(arguments);
}

void validation_run(validation_table *table, const validation_case *one)
{
    const int before = table->count;
    table->running = one;
    one->run(table);
    if (table->count == before) {
        validation_row(table, 1.0, NAN, 0.0, "this case compared nothing");
    }
    table->running = NULL;
}

void validation_consider(validation_worst *worst, double expected, double got, double tolerance,
                         const char *format, ...)
{
    const double ratio = fabs(got - expected) / tolerance;
    // Once a NaN is the worst, nothing replaces it.
    if (worst->count++ == 0 || (!isnan(worst->ratio) && !(ratio <= worst->ratio))) {
        worst->ratio = ratio;
        worst->expected = expected;
        worst->got = got;
        worst->tolerance = tolerance;
        va_list arguments;
        va_start(arguments, format);
        // NOLINTNEXTLINE(clang-analyzer-valist.Uninitialized): started above
        vsnprintf(worst->label, sizeof worst->label, format, arguments);
        va_end(arguments);
    }
}

void validation_row_worst(validation_table *table, const validation_worst *worst, const char *what)
{
    if (worst->count > 0) {
        validation_row(table, worst->expected, worst->got, worst->tolerance, "%s, worst of %d: %s",
                       what, worst->count, worst->label);
    }
}

int validation_held(const validation_table *table)
{
    int held = 0;
    for (int i = 0; i < table->count; i++) {
        held += holds(&table->rows[i]);
    }
    return held;
}

int validation_missed(const validation_table *table)
{
    return table->count - validation_held(table);
}

bool validation_complete(const validation_table *table)
{
    return table->complete;
}

void validation_print_text(const validation_table *table, FILE *out)
{
    const validation_case *last = NULL;
    for (int i = 0; i < table->count; i++) {
        const row *one = &table->rows[i];
        if (one->from != last) {
            last = one->from;
            fprintf(out, "%s%s\n  source: %s\n  %-76s %13s %13s %10s\n", i ? "\n" : "", last->name,
                    last->source, "", "expected", "got", "tolerance");
        }
        fprintf(out, "  %-76s %13.7g %13.7g %10.2g  %s\n", one->label, one->expected, one->got,
                one->tolerance, holds(one) ? "held" : "MISSED");
    }
    fprintf(out, "%s%d held, %d missed\n", table->count ? "\n" : "", validation_held(table),
            validation_missed(table));
}

static void print_json_text(FILE *out, const char *text)
{
    fputc('"', out);
    for (; *text; text++) {
        const unsigned char c = (unsigned char)*text;
        if (c == '"' || c == '\\') {
            fprintf(out, "\\%c", c);
        } else if (c < 0x20) {
            fprintf(out, "\\u%04x", c);
        } else {
            fputc(c, out);
        }
    }
    fputc('"', out);
}

static void print_json_number(FILE *out, const char *key, double value)
{
    // JSON has no NaN or infinity.
    if (isfinite(value)) {
        fprintf(out, ",\"%s\":%.12g", key, value);
    } else {
        fprintf(out, ",\"%s\":null", key);
    }
}

void validation_print_json(const validation_table *table, FILE *out)
{
    fprintf(out, "{\"held\":%d,\"missed\":%d,\"rows\":[", validation_held(table),
            validation_missed(table));
    for (int i = 0; i < table->count; i++) {
        const row *one = &table->rows[i];
        fprintf(out, "%s\n{\"case\":", i ? "," : "");
        print_json_text(out, one->from->name);
        fputs(",\"source\":", out);
        print_json_text(out, one->from->source);
        fputs(",\"row\":", out);
        print_json_text(out, one->label);
        print_json_number(out, "expected", one->expected);
        print_json_number(out, "got", one->got);
        print_json_number(out, "tolerance", one->tolerance);
        fprintf(out, ",\"held\":%s}", holds(one) ? "true" : "false");
    }
    fputs("\n]}\n", out);
}
