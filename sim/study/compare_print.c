// SPDX-License-Identifier: MIT
#include "study/compared.h"

#include <string.h>

enum { LABEL = 31, CELL = 16, CELL_SIZE = CBX_COMPARED_SIZE, LEAST_WIDTH = 60 };

typedef struct table {
    cbx_compared cells;
    const cb_compare_page *page;
    FILE *stream;
} table;

static void print_cell(const table *t, const char *text, bool marked)
{
    char cell[CELL_SIZE + 1];
    snprintf(cell, sizeof cell, "%s%s", text, marked ? "*" : " ");
    fprintf(t->stream, "%s%*s%s", marked && t->page->colour ? "\033[1m" : "", CELL, cell,
            marked && t->page->colour ? "\033[0m" : "");
}

static void print_row(const table *t, int row, size_t from, size_t to)
{
    const cbx_compared *cells = &t->cells;
    char first[CELL_SIZE], cell[CELL_SIZE];
    cbx_compared_label(cells, row, cell);
    fprintf(t->stream, "%-*.*s", LABEL, LABEL, cell);
    cbx_compared_cell(cells, row, 0, first);
    for (size_t c = from; c < to; c++) {
        cbx_compared_cell(cells, row, c, cell);
        print_cell(t, cell, strcmp(cell, first) != 0);
    }
    if (t->cells.these->count == 2) {
        cbx_compared_change(cells, row, 1, cell);
        print_cell(t, cell, false);
    }
    fputc('\n', t->stream);
}

static void print_heads(const table *t, size_t from, size_t to)
{
    fprintf(t->stream, "\n%-*s", LABEL, "");
    for (size_t c = from; c < to; c++) {
        print_cell(t, (const char[]){(char)('A' + c), '\0'}, false);
    }
    if (t->cells.these->count == 2) {
        print_cell(t, "B less A", false);
    }
    fputc('\n', t->stream);
}

static void print_block(const table *t, size_t from, size_t to)
{
    print_heads(t, from, to);
    for (int row = 0; row < cbx_compared_rows(&t->cells); row++) {
        if (row == 1 + CB_HEADLINE_COUNT) {
            fputs("\nFindings and their margins\n", t->stream);
        }
        if (cbx_compared_shown(&t->cells, row)) {
            print_row(t, row, from, to);
        }
    }
}

static void print_legend(const table *t)
{
    for (size_t c = 0; c < t->cells.these->count; c++) {
        const cb_case *got = t->cells.these->got[c];
        static const char *const accuracy[] = {"draft", "standard", "fine"};
        fprintf(t->stream, "%c  %s: %s, %d year%s, %s accuracy\n", (char)('A' + c),
                t->cells.these->label[c], got->name[0] ? got->name : "unnamed design",
                got->run.years, got->run.years == 1 ? "" : "s", accuracy[got->run.accuracy]);
    }
}

bool cb_compare_print(const cb_comparison *these, const cb_compare_page *page, FILE *stream)
{
    const table t = {.cells = cbx_compared_of(these, page->system), .page = page, .stream = stream};
    print_legend(&t);
    const int width = page->width < LEAST_WIDTH ? LEAST_WIDTH : page->width;
    const size_t fit = (size_t)((width - LABEL) / CELL);
    for (size_t from = 0; from < these->count; from += fit) {
        print_block(&t, from, from + fit < these->count ? from + fit : these->count);
    }
    fputs("\n* differs from A. Margins carry a sign, + holds; numbers without one are no margin.\n"
          "Energies are means of a run's years; y3 is the third year of the run.\n",
          stream);
    return !ferror(stream);
}
