// SPDX-License-Identifier: MIT
#include "coilbed/yard.h"
#include "ground/table.h"

// Both branches of Sturm et al. 1997 were fitted apart; where they meet they differ by 4e-4.
static void conductivity_rises_with_density_but_for_the_joint(void **state)
{
    (void)state;
    double before = cb_snow_conductivity_w_mk(50.0);
    for (int density = 60; density <= 600; density += 10) {
        const double here = cb_snow_conductivity_w_mk(density);
        assert_true(here > before);
        before = here;
    }
    expect_near("step at 156 kg/m3 [W/mK]",
                cb_snow_conductivity_w_mk(155.999999) - cb_snow_conductivity_w_mk(156.0), 0.0,
                4e-4);
    assert_true(isnan(cb_snow_conductivity_w_mk(NAN)));
}

static void fresh_snow_is_no_denser_than_at_the_melting_point(void **state)
{
    (void)state;
    const double melting = cb_fresh_snow_density_kg_m3(0.0);
    expect_near("at 3 degC [kg/m3]", cb_fresh_snow_density_kg_m3(3.0), melting, 0.0);
    assert_true(cb_fresh_snow_density_kg_m3(-5.0) < melting);
    expect_near("in deep cold [kg/m3]", cb_fresh_snow_density_kg_m3(-60.0), 67.92, 1e-6);
    assert_true(isnan(cb_fresh_snow_density_kg_m3(NAN)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(conductivity_rises_with_density_but_for_the_joint),
        cmocka_unit_test(fresh_snow_is_no_denser_than_at_the_melting_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
