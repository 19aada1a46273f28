// SPDX-License-Identifier: MIT
#include "engine/dissection.h"

#include <stdlib.h>
#include <string.h>

// A rectangle of so many cells is not split any more: splitting on would leave panels half empty.
enum { SMALLEST = 16 };

typedef struct rectangle {
    int x, z, wide, high;
} rectangle;

static void place_all(cbx_dissection *d, int nz, const rectangle *part)
{
    int at = cbx_dissection_places(d);
    const bool tall = part->high > part->wide; // rows run along the shorter side
    const int lines = tall ? part->high : part->wide, length = tall ? part->wide : part->high;
    for (int line = 0; line < lines; line++) {
        for (int n = 0; n < length; n++) {
            const int i = part->x + (tall ? n : line), k = part->z + (tall ? line : n);
            d->cell[at] = i * nz + k;
            d->place[i * nz + k] = at++;
        }
    }
    while (at % CBX_PANEL != 0) {
        d->cell[at++] = -1;
    }
    d->panels = at / CBX_PANEL;
}

// Splits a rectangle that is large enough for it; `line` lies between first and second.
static bool split(const rectangle *part, rectangle *first, rectangle *line, rectangle *second)
{
    if (part->wide * part->high <= SMALLEST || part->wide == 1 || part->high == 1) {
        return false;
    }
    const bool across = part->wide >= part->high;
    const int before = (across ? part->wide : part->high) / 2;
    *first = *line = *second = *part;
    if (across) {
        first->wide = before;
        line->x += before;
        line->wide = 1;
        second->x += before + 1;
        second->wide -= before + 1;
    } else {
        first->high = before;
        line->z += before;
        line->high = 1;
        second->z += before + 1;
        second->high -= before + 1;
    }
    return true;
}

// NOLINTNEXTLINE(misc-no-recursion): as deep as the logarithm of the cells
static void place_part(cbx_dissection *d, int nz, const rectangle *part)
{
    if (part->wide <= 0 || part->high <= 0) {
        return;
    }
    rectangle first, line, second;
    if (!split(part, &first, &line, &second)) {
        place_all(d, nz, part);
        return;
    }
    place_part(d, nz, &first);
    place_part(d, nz, &second);
    place_all(d, nz, &line);
}

static int by_value(const void *a, const void *b)
{
    const int p = *(const int *)a, q = *(const int *)b;
    return (p > q) - (p < q);
}

// Collects, without repeats, what comes after a panel.
typedef struct collector {
    int *seen; // [places] the last panel that has each in its rows
    int panel, end, room;
} collector;

static bool collect(collector *c, cbx_dissection *d, int place)
{
    if (place < (c->panel + 1) * CBX_PANEL || c->seen[place] == c->panel) {
        return true;
    }
    if (c->end == c->room) {
        c->room = c->room ? 2 * c->room : 1024;
        int *grown = realloc(d->row, (size_t)c->room * sizeof *grown);
        if (!grown) {
            return false;
        }
        d->row = grown;
    }
    c->seen[place] = c->panel;
    d->row[c->end++] = place;
    return true;
}

static bool collect_neighbours(collector *c, cbx_dissection *d, int nx, int nz, int cell)
{
    const int i = cell / nz, k = cell % nz;
    return (i == 0 || collect(c, d, d->place[cell - nz])) &&
           (i == nx - 1 || collect(c, d, d->place[cell + nz])) &&
           (k == 0 || collect(c, d, d->place[cell - 1])) &&
           (k == nz - 1 || collect(c, d, d->place[cell + 1]));
}

// A panel has the rows of its cells' neighbours, and of the panels whose first row lies in it.
static bool collect_rows(cbx_dissection *d, collector *c, int nx, int nz, int *child, int *sibling)
{
    for (int p = 0; p < d->panels; p++) {
        c->panel = p;
        d->first[p] = c->end;
        for (int n = p * CBX_PANEL; n < (p + 1) * CBX_PANEL; n++) {
            if (d->cell[n] >= 0 && !collect_neighbours(c, d, nx, nz, d->cell[n])) {
                return false;
            }
        }
        for (int from = child[p]; from >= 0; from = sibling[from]) {
            for (int n = d->first[from]; n < d->first[from + 1]; n++) {
                if (!collect(c, d, d->row[n])) {
                    return false;
                }
            }
        }
        d->first[p + 1] = c->end;
        if (c->end > d->first[p]) {
            qsort(d->row + d->first[p], (size_t)(c->end - d->first[p]), sizeof *d->row, by_value);
            const int parent = d->row[d->first[p]] / CBX_PANEL;
            sibling[p] = child[parent];
            child[parent] = p;
        }
    }
    return true;
}

static bool find_rows(cbx_dissection *d, int nx, int nz)
{
    const size_t panels = (size_t)d->panels, places = (size_t)cbx_dissection_places(d);
    int *child = malloc(panels * sizeof *child), *sibling = malloc(panels * sizeof *sibling);
    collector c = {.seen = malloc(places * sizeof *c.seen)};
    bool ok = child && sibling && c.seen;
    if (ok) {
        memset(child, -1, panels * sizeof *child);
        memset(sibling, -1, panels * sizeof *sibling);
        memset(c.seen, -1, places * sizeof *c.seen);
        free(d->row);
        d->row = NULL;
        ok = collect_rows(d, &c, nx, nz, child, sibling);
    }
    free(child);
    free(sibling);
    free(c.seen);
    return ok;
}

typedef struct rank {
    int height, panel;
} rank;

static int by_rank(const void *a, const void *b)
{
    const rank *p = a, *q = b;
    return p->height != q->height ? p->height - q->height : p->panel - q->panel;
}

// A panel stands one higher than the highest that it waits for.
static void fill_ranks(const cbx_dissection *d, rank *rank_of)
{
    for (int p = 0; p < d->panels; p++) {
        rank_of[p].height = 0;
    }
    for (int p = 0; p < d->panels; p++) {
        rank *here = &rank_of[p];
        here->panel = p;
        if (d->first[p] < d->first[p + 1]) {
            rank *above = &rank_of[d->row[d->first[p]] / CBX_PANEL];
            above->height = here->height + 1 > above->height ? here->height + 1 : above->height;
        }
    }
}

// Neighbours in the order then hardly ever wait for each other, so that a processor works on
// several at a time.
static bool sort_by_height(cbx_dissection *d)
{
    rank *order = malloc((size_t)d->panels * sizeof *order);
    int *cell = malloc((size_t)cbx_dissection_places(d) * sizeof *cell);
    const bool ok = order && cell;
    if (ok) {
        memcpy(cell, d->cell, (size_t)cbx_dissection_places(d) * sizeof *cell);
        fill_ranks(d, order);
        qsort(order, (size_t)d->panels, sizeof *order, by_rank);
    }
    for (int place = 0; ok && place < cbx_dissection_places(d); place++) {
        const int was = order[place / CBX_PANEL].panel * CBX_PANEL + place % CBX_PANEL;
        d->cell[place] = cell[was];
        if (cell[was] >= 0) {
            d->place[cell[was]] = place;
        }
    }
    free(order);
    free(cell);
    return ok;
}

static bool fill_blocks(cbx_dissection *d)
{
    for (int p = 0; p < d->panels; p++) {
        d->block[p + 1] = d->block[p] + (d->first[p + 1] - d->first[p] + CBX_PANEL - 1) / CBX_PANEL;
    }
    d->block_row = calloc((size_t)d->block[d->panels] * CBX_PANEL + 1, sizeof *d->block_row);
    for (int p = 0; d->block_row && p < d->panels; p++) {
        const int count = d->first[p + 1] - d->first[p];
        int *row = d->block_row + (size_t)d->block[p] * CBX_PANEL;
        for (int n = 0; n < (d->block[p + 1] - d->block[p]) * CBX_PANEL; n++) {
            row[n] = n < count ? d->row[d->first[p] + n] : cbx_dissection_places(d);
        }
    }
    return d->block_row != NULL;
}

cb_status cbx_dissection_create(cbx_dissection *out, int nx, int nz, cb_error *error)
{
    const size_t cells = (size_t)nx * (size_t)nz, most = cells * CBX_PANEL;
    *out = (cbx_dissection){.cells = nx * nz};
    out->place = calloc(cells, sizeof *out->place);
    out->cell = calloc(most, sizeof *out->cell);
    out->first = calloc(cells + 1, sizeof *out->first);
    out->block = calloc(cells + 1, sizeof *out->block);
    bool ok = out->place && out->cell && out->first && out->block;
    if (ok) {
        place_part(out, nz, &(rectangle){0, 0, nx, nz});
        ok = find_rows(out, nx, nz) && sort_by_height(out) && find_rows(out, nx, nz) &&
             fill_blocks(out);
    }
    if (!ok) {
        cbx_dissection_free(out);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the order of elimination");
    }
    return CB_OK;
}

void cbx_dissection_free(cbx_dissection *dissection)
{
    free(dissection->place);
    free(dissection->cell);
    free(dissection->first);
    free(dissection->block);
    free(dissection->block_row);
    free(dissection->row);
    *dissection = (cbx_dissection){0};
}
