// SPDX-License-Identifier: MIT
#include "design/value.h"

#include <ctype.h>
#include <string.h>

enum { LONGEST_WORD = 40 };

static int least(int a, int b)
{
    return a < b ? a : b;
}

static bool same(char a, char b)
{
    const char x = a == '-' || a == ' ' ? '_' : a;
    const char y = b == '-' || b == ' ' ? '_' : b;
    return tolower((unsigned char)x) == tolower((unsigned char)y);
}

// Insertions, deletions, changes and swaps of neighbours that turn one word into the other
// (optimal string alignment); LONGEST_WORD for words too long to be a key.
static int edit_distance(const char *a, const char *b)
{
    const int rows = (int)strlen(a), columns = (int)strlen(b);
    if (rows >= LONGEST_WORD || columns >= LONGEST_WORD) {
        return LONGEST_WORD;
    }
    int d[LONGEST_WORD + 1][LONGEST_WORD + 1];
    for (int i = 0; i <= rows; i++) {
        d[i][0] = i;
    }
    for (int j = 0; j <= columns; j++) {
        d[0][j] = j;
    }
    for (int i = 1; i <= rows; i++) {
        for (int j = 1; j <= columns; j++) {
            const int change = d[i - 1][j - 1] + !same(a[i - 1], b[j - 1]);
            d[i][j] = least(change, least(d[i - 1][j], d[i][j - 1]) + 1);
            if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1])) {
                d[i][j] = least(d[i][j], d[i - 2][j - 2] + 1);
            }
        }
    }
    return d[rows][columns];
}

// One word inside the other ("temperature" for "air_temperature") is as near as two slips.
static int distance(const char *a, const char *b)
{
    const int edits = edit_distance(a, b);
    const bool inside = strlen(a) >= 4 && strlen(b) >= 4 && (strstr(a, b) || strstr(b, a));
    return inside ? least(edits, 2) : edits;
}

const char *cbx_nearest(const char *word, const char *(*next)(const void *context, int i),
                        const void *context)
{
    const char *best = NULL;
    int best_distance = 1 + least(3, (int)strlen(word) / 3 + 1);
    const char *known = NULL;
    for (int i = 0; (known = next(context, i)); i++) {
        const int here = distance(word, known);
        if (here < best_distance) {
            best_distance = here;
            best = known;
        }
    }
    return best;
}
