// SPDX-License-Identifier: MIT
// The table must be able to miss: a row off by more than its tolerance, NaN, an empty case.
#include "table.h"

#include <math.h>
#include <string.h>

static void run_mixed(validation_table *table)
{
    validation_row(table, 1.0, 1.05, 0.1, "inside %s", "its tolerance");
    validation_row(table, 1.0, 1.2, 0.1, "outside");
    validation_row(table, 1.0, NAN, 1e300, "NaN \"quoted\"");
}

static void run_worst(validation_table *table)
{
    validation_worst held = {0}, missed = {0}, nan_once = {0};
    for (int i = 0; i < 5; i++) {
        validation_consider(&held, 0.0, 0.01 * i, 0.1, "state %d", i);
        validation_consider(&missed, 0.0, i == 2 ? -0.3 : 0.0, 0.1, "state %d", i);
        validation_consider(&nan_once, 0.0, i == 1 ? NAN : 5.0 * i, 0.1, "state %d", i);
    }
    validation_row_worst(table, &held, "held");
    validation_row_worst(table, &missed, "missed");
    validation_row_worst(table, &nan_once, "nan");
}

static void run_nothing(validation_table *table)
{
    const validation_worst none = {0};
    validation_row_worst(table, &none, "none");
}

typedef struct expectation {
    validation_case one;
    int held, missed;
    const char *text; ///< must stand in the JSON
} expectation;

static const expectation expectations[] = {
    {{"mixed", "made up", run_mixed}, 1, 2, "NaN \\\"quoted\\\"\",\"expected\":1,\"got\":null"},
    {{"worst", "made up", run_worst}, 1, 2, "missed, worst of 5: state 2"},
    {{"nothing", "made up", run_nothing}, 0, 1, "compared nothing"},
};

static bool json_holds_text(const validation_table *table, const char *text)
{
    char json[4096] = "";
    FILE *memory = fmemopen(json, sizeof json - 1, "w");
    if (!memory) {
        return false;
    }
    validation_print_json(table, memory);
    fclose(memory);
    return strstr(json, text) != NULL;
}

int main(void)
{
    int failures = 0;
    for (size_t i = 0; i < sizeof expectations / sizeof *expectations; i++) {
        const expectation *wanted = &expectations[i];
        validation_table *table = validation_create();
        if (!table) {
            return 1;
        }
        validation_run(table, &wanted->one);
        const int held = validation_held(table), missed = validation_missed(table);
        if (held != wanted->held || missed != wanted->missed ||
            !json_holds_text(table, wanted->text)) {
            printf("%s: held %d, missed %d; wanted %d, %d and \"%s\" in\n", wanted->one.name, held,
                   missed, wanted->held, wanted->missed, wanted->text);
            validation_print_json(table, stdout);
            failures++;
        }
        validation_destroy(table);
    }
    return failures > 0;
}
