// SPDX-License-Identifier: MIT
#include "coilbed/loop.h"

#include "loop/table.h"

// Computed by an independent program: Gnielinski with the blend 2300..4000 for a long straight
// pipe, and Schmidt's laminar form on a coil of 0.9 m (0: not laminar).
typedef struct film_row {
    const char *what;
    double reynolds, prandtl, inside_mm, straight, coil;
} film_row;

static const film_row film_rows[] = {
    {"water x=0.00 T=10 C", 9044.26, 9.46553, 21.554, 80.9521, 0},
    {"water x=0.00 T=5 C", 9339.32, 11.2435, 26.939, 88.8644, 0},
    {"propylene_glycol x=0.20 T=0 C", 2794.63, 36.0276, 21.554, 18.7935, 47.513},
    {"propylene_glycol x=0.20 T=0 C", 1397.32, 36.0276, 21.554, 3.66, 31.783},
    {"propylene_glycol x=0.25 T=-2 C", 1997.71, 52.4339, 26.939, 3.66, 45.9317},
    {"methanol x=0.15 T=-2 C", 2750.44, 27.1659, 21.554, 16.0928, 43.1677},
    {"ethanol x=0.20 T=-2 C", 2492.49, 57.4691, 34.033, 10.628, 57.1178},
    {"ethylene_glycol x=0.20 T=-2 C", 3553.33, 27.4131, 26.939, 38.369, 53.0898},
};

static void straight_and_coiled_pipe_match(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(film_rows); i++) {
        const film_row *row = &film_rows[i];
        const double d = row->inside_mm / 1000.0;
        expect_relative(row->what, cb_nusselt(row->reynolds, row->prandtl, d, INFINITY, 0.0),
                        row->straight, 2e-5);
        if (row->coil > 0.0) {
            expect_relative(row->what, cb_nusselt(row->reynolds, row->prandtl, d, INFINITY, 0.9),
                            row->coil, 2e-5);
        }
    }
}

// Published in the documentation and tests of the open libraries `ht` and `fluids` (MIT licence).
static void library_values_match(void **state)
{
    (void)state;
    // Schmidt turbulent: Re 2e5, Pr 0.7, d/D 0.05.
    expect_relative("Schmidt turbulent", cb_nusselt(2e5, 0.7, 0.01, INFINITY, 0.2),
                    466.2569996832083, 1e-12);
    // Hausen's entry term 39.0135 at Re 1e5, Pr 1.1, d/L 0.1 depends on Re Pr d/L only.
    expect_relative("Hausen", cb_nusselt(2000.0, 1.1, 0.5, 0.1, 0.0), 39.01352358988535, 1e-12);
    // Schmidt's transition at d/D 0.04 is 6946.792538856203: the slope of Nu changes there, the
    // turbulent blend being the steeper.
    const double limit = 6946.792538856203, step = 1.0;
    const double below = cb_nusselt(limit, 10.0, 0.02, INFINITY, 0.5) -
                         cb_nusselt(limit - step, 10.0, 0.02, INFINITY, 0.5);
    const double above = cb_nusselt(limit + step, 10.0, 0.02, INFINITY, 0.5) -
                         cb_nusselt(limit, 10.0, 0.02, INFINITY, 0.5);
    assert_true(below > 0.0 && above > 1.2 * below);
}

static void nusselt_is_continuous_and_rises_with_flow(void **state)
{
    (void)state;
    static const double coil_m[] = {0.0, 0.3, 0.9, 3.0};
    for (size_t c = 0; c < COUNT(coil_m); c++) {
        double before = cb_nusselt(10.0, 30.0, 0.02, 50.0, coil_m[c]);
        for (int i = 1; i <= 60000; i++) {
            const double reynolds = 10.0 + 0.5 * i;
            const double nusselt = cb_nusselt(reynolds, 30.0, 0.02, 50.0, coil_m[c]);
            if (!(nusselt >= before && nusselt - before < 0.05)) {
                fail_msg("coil %g m, Re %g: from %g to %g", coil_m[c], reynolds, before, nusselt);
            }
            before = nusselt;
        }
    }
}

static void no_flow_leaves_conduction(void **state)
{
    (void)state;
    expect_near("straight", cb_nusselt(0.0, 30.0, 0.02, 50.0, 0.0), 3.66, 1e-12);
    expect_near("coil", cb_nusselt(0.0, 30.0, 0.02, 50.0, 0.9), 3.65, 1e-12);
}

typedef struct reynolds_row {
    double density, viscosity, flow_l_s, inside_mm, reynolds;
} reynolds_row;

static const reynolds_row reynolds_rows[] = {
    {999.70, 1.30590e-03, 0.20, 21.554, 9044.26},  {999.97, 1.51817e-03, 0.30, 26.939, 9339.32},
    {1020.08, 4.31243e-03, 0.20, 21.554, 2794.63}, {1020.08, 4.31243e-03, 0.10, 21.554, 1397.32},
    {1026.28, 6.07021e-03, 0.25, 26.939, 1997.71}, {978.55, 3.15250e-03, 0.15, 21.554, 2750.44},
    {976.23, 5.86119e-03, 0.40, 34.033, 2492.49},  {1029.40, 3.42308e-03, 0.25, 26.939, 3553.33},
};

static void reynolds_numbers_match(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reynolds_rows); i++) {
        const reynolds_row *row = &reynolds_rows[i];
        const cb_fluid_properties fluid = {.density_kg_m3 = row->density,
                                           .viscosity_pa_s = row->viscosity};
        expect_relative("Reynolds number",
                        cb_reynolds(&fluid, row->flow_l_s / 1000.0, row->inside_mm / 1000.0),
                        row->reynolds, 3e-5);
    }
}

static void resistances_are_the_textbook_forms(void **state)
{
    (void)state;
    // ln(2)/(2 pi 0.4) and 1/(pi 0.5 4).
    const cb_pipe pipe = {0.04, 0.02};
    expect_relative("wall", cb_wall_resistance_mk_w(&pipe, 0.4), 0.27579450019, 1e-10);
    expect_relative("film", cb_film_resistance_mk_w(4.0, 0.5), 0.15915494309, 1e-10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straight_and_coiled_pipe_match),
        cmocka_unit_test(library_values_match),
        cmocka_unit_test(nusselt_is_continuous_and_rises_with_flow),
        cmocka_unit_test(no_flow_leaves_conduction),
        cmocka_unit_test(reynolds_numbers_match),
        cmocka_unit_test(resistances_are_the_textbook_forms),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
