// SPDX-License-Identifier: MIT
#include "ground/table.h"

typedef struct axis_row {
    const char *what;
    cb_axis_rule rule;
    cb_fine_span span[3];
    int spans;
    double at[4]; ///< breaks
    int breaks;
} axis_row;

static const axis_row rows[] = {
    {"bare", {0.0, 15.0, 0.02, 0.22, 2.0}, {{0, 0, 0}}, 0, {0}, 0},
    {"no wish", {-3.0, 3.0, 0.0, 0.2, 0.5}, {{0, 0, 0}}, 0, {0}, 0},
    {"coil", {0.0, 20.0, 0.02, 0.22, 2.0}, {{1.79, 1.85, 1}}, 1, {0.3, 6.0}, 2},
    {"coil, fine", {0.0, 20.0, 0.012, 0.14, 2.0}, {{1.7, 1.9, 5}}, 1, {0.3, 1.0, 6.0}, 3},
    {"trenches",
     {-9.0, 9.0, 0.0, 0.28, 2.0},
     {{-4.0, -3.1, 8}, {-0.45, 0.45, 8}, {3.1, 4.0, 8}},
     3,
     {-1.0, 1.0},
     2},
    {"span at the end", {0.0, 4.0, 0.0, 0.22, 1.0}, {{0.0, 0.45, 4}, {3.9, 4.0, 1}}, 2, {0}, 0},
    {"spans that touch", {0.0, 9.0, 0.0, 0.22, 1.0}, {{1.0, 1.4, 4}, {1.4, 1.6, 4}}, 2, {0}, 0},
    {"whole axis", {0.0, 1.0, 0.0, 0.22, 1.0}, {{0.0, 1.0, 7}}, 1, {0.5}, 1},
};

static cb_axis axis_of(const axis_row *row)
{
    cb_axis axis;
    assert_int_equal(
        cb_axis_create(&axis, &row->rule, row->span, row->spans, row->at, row->breaks, NULL),
        CB_OK);
    return axis;
}

static double size_of(const cb_axis *axis, int n)
{
    return axis->edge_m[n + 1] - axis->edge_m[n];
}

static void axis_is_covered_by_rising_edges(void **state)
{
    (void)state;
    for (size_t r = 0; r < COUNT(rows); r++) {
        cb_axis axis = axis_of(&rows[r]);
        assert_true(axis.edge_m[0] == rows[r].rule.first_m);
        expect_near(rows[r].what, axis.edge_m[axis.cells], rows[r].rule.last_m, 1e-12);
        for (int n = 0; n < axis.cells; n++) {
            if (!(size_of(&axis, n) > 0.0 && size_of(&axis, n) <= 1.2 * rows[r].rule.largest_m)) {
                fail_msg("%s: cell %d has %g m", rows[r].what, n, size_of(&axis, n));
            }
        }
        cb_axis_free(&axis);
        assert_null(axis.edge_m);
    }
}

static int edge_at(const cb_axis *axis, double at_m)
{
    for (int n = 0; n <= axis->cells; n++) {
        if (fabs(axis->edge_m[n] - at_m) < 1e-12) {
            return n;
        }
    }
    return -1;
}

static void spans_keep_their_own_cells(void **state)
{
    (void)state;
    for (size_t r = 0; r < COUNT(rows); r++) {
        cb_axis axis = axis_of(&rows[r]);
        for (int s = 0; s < rows[r].spans; s++) {
            const cb_fine_span *span = &rows[r].span[s];
            const int first = edge_at(&axis, span->low_m);
            assert_true(first >= 0);
            assert_int_equal(edge_at(&axis, span->high_m), first + span->cells);
            for (int n = first; n < first + span->cells; n++) {
                expect_near(rows[r].what, size_of(&axis, n),
                            (span->high_m - span->low_m) / span->cells, 1e-12);
            }
        }
        cb_axis_free(&axis);
    }
}

static void breaks_lie_on_edges(void **state)
{
    (void)state;
    for (size_t r = 0; r < COUNT(rows); r++) {
        cb_axis axis = axis_of(&rows[r]);
        for (int b = 0; b < rows[r].breaks; b++) {
            bool inside = false;
            for (int s = 0; s < rows[r].spans; s++) {
                inside = inside || (rows[r].at[b] > rows[r].span[s].low_m &&
                                    rows[r].at[b] < rows[r].span[s].high_m);
            }
            if (!inside && edge_at(&axis, rows[r].at[b]) < 0) {
                fail_msg("%s: no edge at %g m", rows[r].what, rows[r].at[b]);
            }
        }
        cb_axis_free(&axis);
    }
}

// Gaps are cut into whole cells, so a neighbour may miss the wish by a little more than growth.
static void neighbours_grow_smoothly(void **state)
{
    (void)state;
    for (size_t r = 0; r < COUNT(rows); r++) {
        cb_axis axis = axis_of(&rows[r]);
        for (int n = 0; n + 1 < axis.cells; n++) {
            const double ratio = size_of(&axis, n + 1) / size_of(&axis, n);
            const bool own = rows[r].spans == 2 && rows[r].span[1].low_m == rows[r].span[0].high_m;
            const double most = own ? 2.0 + 1e-9 : 1.12 + 1.2 * rows[r].rule.growth;
            if (!(ratio < most && ratio > 1.0 / most)) {
                fail_msg("%s: cells %d and %d differ by %.3f", rows[r].what, n, n + 1, ratio);
            }
        }
        cb_axis_free(&axis);
    }
}

static void first_size_is_met(void **state)
{
    (void)state;
    for (size_t r = 0; r < COUNT(rows); r++) {
        cb_axis axis = axis_of(&rows[r]);
        const double wish = rows[r].rule.first_size_m;
        if (wish > 0.0) {
            expect_near(rows[r].what, size_of(&axis, 0), wish, 0.2 * wish);
        }
        cb_axis_free(&axis);
    }
}

static void mirrored_wishes_give_mirrored_edges(void **state)
{
    (void)state;
    cb_axis axis = axis_of(&rows[4]); // trenches: its own mirror image
    for (int n = 0; n <= axis.cells; n++) {
        expect_near("edge", axis.edge_m[axis.cells - n], -axis.edge_m[n], 1e-11);
    }
    cb_axis_free(&axis);
}

static void half_an_axis_has_half_the_cells(void **state)
{
    (void)state;
    for (int n = 0; n < 43; n++) {
        const double middle = 1.0 + 0.07 * n;
        const cb_axis_rule whole_rule = {-9.0, 9.0, 0.0, 0.28, 2.0};
        const cb_axis_rule half_rule = {0.0, 9.0, 0.0, 0.28, 2.0};
        const cb_fine_span span[2] = {{-middle - 0.9, -middle, 8}, {middle, middle + 0.9, 8}};
        cb_axis whole, half;
        assert_int_equal(cb_axis_create(&whole, &whole_rule, span, 2, NULL, 0, NULL), CB_OK);
        assert_int_equal(cb_axis_create(&half, &half_rule, span + 1, 1, NULL, 0, NULL), CB_OK);
        assert_int_equal(whole.cells, 2 * half.cells);
        for (int e = 0; e <= half.cells; e++) {
            expect_near("edge", whole.edge_m[half.cells + e], half.edge_m[e], 1e-11);
        }
        cb_axis_free(&whole);
        cb_axis_free(&half);
    }
}

static void senseless_axes_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        cb_axis_rule rule;
        cb_fine_span span[2];
        int spans;
    } bad[] = {
        {"overlap", {0.0, 9.0, 0.1, 0.2, 1.0}, {{1.0, 2.0, 4}, {1.9, 3.0, 4}}, 2},
        {"unsorted", {0.0, 9.0, 0.1, 0.2, 1.0}, {{3.0, 4.0, 4}, {1.0, 2.0, 4}}, 2},
        {"before", {0.0, 9.0, 0.1, 0.2, 1.0}, {{-1.0, 2.0, 4}}, 1},
        {"beyond", {0.0, 9.0, 0.1, 0.2, 1.0}, {{8.0, 9.5, 4}}, 1},
        {"reversed", {0.0, 9.0, 0.1, 0.2, 1.0}, {{2.0, 1.0, 4}}, 1},
        {"no cells", {0.0, 9.0, 0.1, 0.2, 1.0}, {{1.0, 2.0, 0}}, 1},
        {"NaN span", {0.0, 9.0, 0.1, 0.2, 1.0}, {{NAN, 2.0, 4}}, 1},
        {"backwards", {9.0, 0.0, 0.1, 0.2, 1.0}, {{0, 0, 0}}, 0},
        {"no growth", {0.0, 9.0, 0.1, 0.0, 1.0}, {{0, 0, 0}}, 0},
        {"no largest", {0.0, 9.0, 0.1, 0.2, 0.0}, {{0, 0, 0}}, 0},
        {"NaN end", {0.0, NAN, 0.1, 0.2, 1.0}, {{0, 0, 0}}, 0},
    };
    for (size_t n = 0; n < COUNT(bad); n++) {
        cb_axis axis = {7, NULL};
        cb_error error = {0};
        const cb_status got =
            cb_axis_create(&axis, &bad[n].rule, bad[n].span, bad[n].spans, NULL, 0, &error);
        if (got != CB_BAD_CALL || axis.cells != 0 || axis.edge_m) {
            fail_msg("%s: status %d, %d cells", bad[n].what, (int)got, axis.cells);
        }
        expect_message(&error, "fine spans");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(axis_is_covered_by_rising_edges),
        cmocka_unit_test(spans_keep_their_own_cells),
        cmocka_unit_test(breaks_lie_on_edges),
        cmocka_unit_test(neighbours_grow_smoothly),
        cmocka_unit_test(first_size_is_met),
        cmocka_unit_test(mirrored_wishes_give_mirrored_edges),
        cmocka_unit_test(half_an_axis_has_half_the_cells),
        cmocka_unit_test(senseless_axes_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
