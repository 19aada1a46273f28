// SPDX-License-Identifier: MIT
#include "ground/table.h"

static const struct {
    const char *texture;
    double water;
} soils[] = {{"sand", 0.0},  {"sand", 0.03}, {"sand", 0.10}, {"sand", 0.40}, {"loam", 0.08},
             {"loam", 0.25}, {"loam", 0.48}, {"clay", 0.20}, {"clay", 0.35}, {"clay", 0.55}};

typedef void curve_check(const cb_soil *soil, const cb_soil_curve *curve, const char *what);

static void for_every_soil(curve_check *check)
{
    for (size_t n = 0; n < COUNT(soils); n++) {
        char what[64];
        snprintf(what, sizeof what, "%s with %g water", soils[n].texture, soils[n].water);
        const cb_soil soil = soil_of(soils[n].texture, soils[n].water);
        cb_soil_curve *curve = curve_of(&soil);
        check(&soil, curve, what);
        cb_soil_curve_destroy(curve);
    }
}

// ---- the curve -------------------------------------------------------------------------------

static void check_inverse(const cb_soil *soil, const cb_soil_curve *curve, const char *what)
{
    (void)soil;
    enum { COARSE = 8400, FINE = 4200 };
    for (int n = 0; n < COARSE + FINE; n++) {
        const double t = n < COARSE ? -75.0 + 0.0137 * n : -0.6 + 1.7e-4 * (n - COARSE);
        const double enthalpy = cb_soil_enthalpy_j_m3(curve, t);
        expect_near(what, cb_soil_at(curve, enthalpy).temperature_c, t, 1e-9);
    }
}

static void enthalpy_is_the_inverse(void **state)
{
    (void)state;
    for_every_soil(check_inverse);
}

static void check_monotone(const cb_soil *soil, const cb_soil_curve *curve, const char *what)
{
    (void)soil;
    enum { STEPS = 100000 };
    const double low = cb_soil_enthalpy_j_m3(curve, -70.0), high = 5e6;
    cb_soil_state before = cb_soil_at(curve, low);
    for (int n = 1; n <= STEPS; n++) {
        const cb_soil_state here = cb_soil_at(curve, low + (high - low) * n / STEPS);
        if (!(here.temperature_c > before.temperature_c && here.slope_k_m3_j > 0.0 &&
              here.ice <= before.ice && here.ice >= 0.0 && here.ice <= 1.0 &&
              here.conductivity_w_mk > 0.0)) {
            fail_msg("%s: not monotone at %.6f degC", what, here.temperature_c);
        }
        before = here;
    }
}

static void temperature_rises_and_ice_melts_with_enthalpy(void **state)
{
    (void)state;
    for_every_soil(check_monotone);
}

/// Largest jump of dT/dH between neighbouring samples, and largest miss of the difference quotient,
/// both over the unfrozen slope.
static void roughness(const cb_soil_curve *curve, int steps, double *jump, double *miss)
{
    const double unfrozen = 1.0 / cb_soil_unfrozen_capacity_j_m3k(curve);
    const double low = cb_soil_enthalpy_j_m3(curve, -3.0), high = 1e6;
    const double step = (high - low) / steps;
    cb_soil_state before = cb_soil_at(curve, low);
    *jump = *miss = 0.0;
    for (int n = 1; n <= steps; n++) {
        const cb_soil_state here = cb_soil_at(curve, low + n * step);
        const double quotient = (here.temperature_c - before.temperature_c) / step;
        const double mean = 0.5 * (here.slope_k_m3_j + before.slope_k_m3_j);
        *jump = fmax(*jump, fabs(here.slope_k_m3_j - before.slope_k_m3_j) / unfrozen);
        *miss = fmax(*miss, fabs(quotient - mean) / unfrozen);
        before = here;
    }
}

static void check_smooth(const cb_soil *soil, const cb_soil_curve *curve, const char *what)
{
    (void)soil;
    // A jump would stay the same however close the samples; a continuous slope's differences shrink
    // with them.
    double jump, miss, closer_jump, closer_miss;
    roughness(curve, 200000, &jump, &miss);
    roughness(curve, 2000000, &closer_jump, &closer_miss);
    // Where the slope only bends, the mean of two of them misses the quotient by up to an eighth of
    // their difference.
    if (!(closer_jump <= 0.2 * jump + 1e-9 && miss <= 0.2 * jump + 1e-9 &&
          closer_miss <= 0.2 * closer_jump + 1e-9)) {
        fail_msg("%s: slope jumps by %.3g, and by %.3g ten times closer; it misses the difference "
                 "quotient by %.3g and %.3g",
                 what, jump, closer_jump, miss, closer_miss);
    }
}

static void slope_is_continuous_and_is_the_slope(void **state)
{
    (void)state;
    for_every_soil(check_smooth);
}

/// Unfrozen share as the curve's derivation states it: a power law whose onset is rounded by a
/// parabola of 0.1 K half-width, or less where freezing starts closer to zero.
static double unfrozen_share(const cb_soil *soil, double t)
{
    const double start = -soil->freezing_start_c, half = fmin(0.1, start), x = -t - start;
    if (x <= -half) {
        return 1.0;
    }
    const double below = x < half ? (x + half) * (x + half) / (4.0 * half) : x;
    return pow(start / (start + below), soil->freezing_exponent);
}

/// Enthalpy by Simpson's rule on the sensible part, exact latent part.
static double enthalpy_by_quadrature(const cb_soil *soil, double t)
{
    enum { PANELS = 20000 };
    double sum = 0.0;
    for (int p = 0; p < PANELS; p++) {
        // Graded to zero, where the share turns quickly.
        const double a = t * pow((double)p / PANELS, 3), b = t * pow((p + 1.0) / PANELS, 3);
        const double at[3] = {a, 0.5 * (a + b), b}, weight[3] = {1.0, 4.0, 1.0};
        for (int s = 0; s < 3; s++) {
            const double share = unfrozen_share(soil, at[s]);
            sum += weight[s] * (b - a) / 6.0 *
                   (soil->frozen_heat_capacity_j_m3k +
                    (soil->heat_capacity_j_m3k - soil->frozen_heat_capacity_j_m3k) * share);
        }
    }
    return sum - 334e6 * soil->water_fraction * (1.0 - unfrozen_share(soil, t));
}

static void check_heat(const cb_soil *soil, const cb_soil_curve *curve, const char *what)
{
    const double whole = cb_soil_enthalpy_j_m3(curve, 1.0) - cb_soil_enthalpy_j_m3(curve, -60.0);
    const double wanted = soil->heat_capacity_j_m3k - enthalpy_by_quadrature(soil, -60.0);
    expect_near(what, whole / wanted, 1.0, 1e-9);
    // Between the table's nodes the cubic is not exact, but close.
    for (int n = 0; n < 18; n++) {
        const double t = -0.01 * pow(1.6, n);
        const double enthalpy = cb_soil_enthalpy_j_m3(curve, t);
        const cb_soil_state here = cb_soil_at(curve, enthalpy_by_quadrature(soil, t));
        expect_near(what, here.temperature_c, t, 2e-3);
        expect_near(what, cb_soil_at(curve, enthalpy).ice, 1.0 - unfrozen_share(soil, t), 1e-3);
    }
}

static void latent_heat_is_exact(void **state)
{
    (void)state;
    for_every_soil(check_heat);
}

static void check_unfrozen(const cb_soil *soil, const cb_soil_curve *curve, const char *what)
{
    assert_true(cb_soil_unfrozen_capacity_j_m3k(curve) == soil->heat_capacity_j_m3k);
    for (int n = 0; n < 160; n++) {
        const double t = 0.37 * n;
        const double enthalpy = soil->heat_capacity_j_m3k * t;
        const cb_soil_state here = cb_soil_at(curve, enthalpy);
        if (here.temperature_c != enthalpy / soil->heat_capacity_j_m3k || here.ice != 0.0 ||
            here.slope_k_m3_j != 1.0 / soil->heat_capacity_j_m3k ||
            here.conductivity_w_mk != soil->conductivity_w_mk ||
            cb_soil_enthalpy_j_m3(curve, t) != enthalpy) {
            fail_msg("%s: not exactly linear at %g degC", what, t);
        }
    }
}

static void unfrozen_soil_is_exactly_linear(void **state)
{
    (void)state;
    for_every_soil(check_unfrozen);
}

static void frozen_soil_conducts_as_the_geometric_mean(void **state)
{
    (void)state;
    const cb_soil soil = soil_of("clay", 0.35);
    cb_soil_curve *curve = curve_of(&soil);
    const cb_soil_state here = cb_soil_at(curve, cb_soil_enthalpy_j_m3(curve, -5.0));
    const double wanted = soil.conductivity_w_mk *
                          pow(soil.frozen_conductivity_w_mk / soil.conductivity_w_mk, here.ice);
    expect_near("conductivity", here.conductivity_w_mk, wanted, 1e-5);
    assert_true(here.ice > 0.5 && here.ice < 1.0);
    cb_soil_curve_destroy(curve);
}

static void not_a_number_stays_one(void **state)
{
    (void)state;
    const cb_soil soil = soil_of("loam", 0.25);
    cb_soil_curve *curve = curve_of(&soil);
    assert_true(isnan(cb_soil_at(curve, NAN).temperature_c));
    cb_soil_curve_destroy(curve);
    assert_null(cb_soil_curve_destroy(NULL));
}

static void senseless_properties_are_refused(void **state)
{
    (void)state;
    const cb_soil good = soil_of("loam", 0.25);
    const size_t field[] = {
        offsetof(cb_soil, conductivity_w_mk),   offsetof(cb_soil, frozen_conductivity_w_mk),
        offsetof(cb_soil, heat_capacity_j_m3k), offsetof(cb_soil, frozen_heat_capacity_j_m3k),
        offsetof(cb_soil, freezing_exponent),
    };
    const double bad[] = {0.0, -1.0, NAN};
    for (size_t f = 0; f < COUNT(field); f++) {
        for (size_t b = 0; b < COUNT(bad); b++) {
            cb_soil soil = good;
            memcpy((char *)&soil + field[f], &bad[b], sizeof bad[b]);
            cb_error error = {0};
            cb_soil_curve *curve = (cb_soil_curve *)&error;
            assert_int_equal(cb_soil_curve_create(&curve, &soil, &error), CB_BAD_INPUT);
            assert_null(curve);
            expect_message(&error, "must be positive");
        }
    }
    cb_soil warm = good;
    warm.freezing_start_c = 0.0;
    cb_soil_curve *curve;
    assert_int_equal(cb_soil_curve_create(&curve, &warm, NULL), CB_BAD_INPUT);
}

// ---- resolving -------------------------------------------------------------------------------

static void given_values_are_kept_and_the_rest_filled(void **state)
{
    (void)state;
    cb_soil soil = cb_soil_of("loam", 0.25);
    soil.conductivity_w_mk = 1.23;
    soil.heat_capacity_j_m3k = 1.9e6;
    soil.freezing_exponent = 0.7;
    assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
    assert_true(soil.conductivity_w_mk == 1.23 && soil.frozen_heat_capacity_j_m3k == 1.9e6 &&
                soil.freezing_exponent == 0.7);
    const cb_material *loam = cb_material_find("loam");
    const double pores = 1.0 - 1400.0 / 2700.0;
    expect_near("frozen k", soil.frozen_conductivity_w_mk,
                cb_johansen_w_mk(loam, 0.25 / pores, true), 1e-12);
    // By hand: 1400/2700 x 1.92e6 + 0.25 x 4.18e6.
    expect_near("capacity", soil.heat_capacity_j_m3k, 2040555.5555555555, 1e-6);
    assert_true(soil.freezing_start_c < 0.0 && soil.freezing_start_c > -2.0);
}

static void unknown_texture_is_refused(void **state)
{
    (void)state;
    const char *names[] = {"peat", "", NULL};
    for (size_t n = 0; n < COUNT(names); n++) {
        cb_soil soil = cb_soil_of(names[n], 0.2);
        cb_error error = {0};
        assert_int_equal(cb_soil_resolve(&soil, &error), CB_BAD_INPUT);
        expect_message(&error, "unknown soil material");
        expect_message(&error, "sand, loam, clay");
    }
}

static void more_water_than_pores_is_refused(void **state)
{
    (void)state;
    const double water[] = {0.6, -0.01, NAN, INFINITY};
    for (size_t n = 0; n < COUNT(water); n++) {
        cb_soil soil = cb_soil_of("clay", water[n]);
        cb_error error = {0};
        assert_int_equal(cb_soil_resolve(&soil, &error), CB_BAD_INPUT);
        expect_message(&error, "holds at most 56 %");
    }
}

static void textures_are_found_by_name(void **state)
{
    (void)state;
    int count = 0;
    for (const cb_material *t; (t = cb_material_at(count)); count++) {
        assert_ptr_equal(cb_material_find(t->name), t);
        assert_true(t->dry_density_kg_m3 > 800.0 && t->dry_density_kg_m3 < 2200.0);
        assert_true(t->quartz >= 0.0 && t->quartz <= 1.0);
        assert_true(t->specific_surface_m2_g > 0.0);
    }
    assert_true(count >= 3);
    assert_null(cb_material_at(count));
    assert_null(cb_material_at(-1));
    assert_null(cb_material_find("gravy"));
    assert_null(cb_material_find(NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(enthalpy_is_the_inverse),
        cmocka_unit_test(temperature_rises_and_ice_melts_with_enthalpy),
        cmocka_unit_test(slope_is_continuous_and_is_the_slope),
        cmocka_unit_test(latent_heat_is_exact),
        cmocka_unit_test(unfrozen_soil_is_exactly_linear),
        cmocka_unit_test(frozen_soil_conducts_as_the_geometric_mean),
        cmocka_unit_test(not_a_number_stays_one),
        cmocka_unit_test(senseless_properties_are_refused),
        cmocka_unit_test(given_values_are_kept_and_the_rest_filled),
        cmocka_unit_test(unknown_texture_is_refused),
        cmocka_unit_test(more_water_than_pores_is_refused),
        cmocka_unit_test(textures_are_found_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
