// SPDX-License-Identifier: MIT
#include "ground/table.h"

static const struct {
    const char *texture;
    double water;
} soils[] = {{"sand", 0.0},           {"sand", 0.03},       {"sand", 0.10}, {"sand", 0.40},
             {"loam", 0.08},          {"loam", 0.25},       {"loam", 0.48}, {"clay", 0.20},
             {"clay", 0.35},          {"clay", 0.55},       {"peat", 0.40}, {"peat", 0.90},
             {"crushed_stone", 0.02}, {"sound_rock", 0.007}};

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
    if (!(closer_jump <= 0.3 * jump + 1e-9 && miss <= 0.2 * jump + 1e-9 &&
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
        if (!(fabs(here.temperature_c - t) <= 1e-15 * t) || here.ice != 0.0 ||
            here.slope_k_m3_j != 1.0 / soil->heat_capacity_j_m3k ||
            here.conductivity_w_mk != soil->conductivity_w_mk ||
            cb_soil_enthalpy_j_m3(curve, t) != enthalpy) {
            fail_msg("%s: not linear at %g degC", what, t);
        }
    }
}

static void unfrozen_soil_is_linear_to_round_off(void **state)
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
    soil.frozen_heat_capacity_j_m3k = 1.9e6;
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

// A soil with one member of it set, for tables.
typedef struct member {
    size_t offset;
    double value;
} member;
#define MEMBER(NAME, VALUE)                                                                        \
    {                                                                                              \
        offsetof(cb_soil, NAME), (VALUE)                                                           \
    }

static void set(cb_soil *soil, const member *m)
{
    memcpy((char *)soil + m->offset, &m->value, sizeof m->value);
}

static void what_contradicts_itself_is_refused(void **state)
{
    (void)state;
    const struct {
        const char *material;
        member set[3];
        int sets;
        cb_moisture moisture;
        cb_conductivity_model model;
        const char *message;
    } row[] = {
        {"gravy", {{0, 0}}, 0, 0, 0, "unknown soil material \"gravy\"; known: sand, loamy_sand, "},
        {"", {{0, 0}}, 0, 0, 0, "unknown soil material \"\""},
        {NULL, {{0, 0}}, 0, 0, 0, "material is missing, and so are the shares"},
        {"clay",
         {MEMBER(water_fraction, 0.6)},
         1,
         0,
         0,
         "clay holds at most 55.6 % of its volume as water, not 60.0 %"},
        {"clay",
         {MEMBER(water_fraction, -0.01)},
         1,
         0,
         0,
         "clay holds 0 % to 55.6 % of its volume as water, not -1.00 %"},
        {"clay", {MEMBER(water_fraction, INFINITY)}, 1, 0, 0, "clay holds at most 55.6 %"},
        {"clay",
         {MEMBER(water_by_mass, 0.5)},
         1,
         0,
         0,
         "clay holds at most 46.3 % of its dry mass as water, not 50.0 %"},
        {"clay",
         {MEMBER(water_by_mass, -0.5)},
         1,
         0,
         0,
         "clay holds 0 % to 46.3 % of its dry mass as water, not -50.0 %"},
        {"clay",
         {MEMBER(water_fraction, 0.2), MEMBER(water_by_mass, 0.2)},
         2,
         0,
         0,
         "water is given too, one of them is wanted"},
        {"clay", {MEMBER(water_fraction, 0.2)}, 1, CB_WET, 0, "water is given too"},
        {"clay", {MEMBER(water_by_mass, 0.2)}, 1, CB_WET, 0, "moisture is given too"},
        {"clay",
         {MEMBER(water_fraction, 0.2), MEMBER(dry_water_fraction, 0.21)},
         2,
         0,
         0,
         "21.0 % is outside 0 % to the water otherwise, 20.0 %"},
        {"clay", {MEMBER(dry_water_fraction, -0.1)}, 1, 0, 0, "-10.0 % is outside 0 %"},
        {"clay",
         {MEMBER(dry_density_kg_m3, 2700)},
         1,
         0,
         0,
         "2700 kg/m3 (168.6 lb/ft3) is not between 0 and that of the solids of clay, 2700 kg/m3"},
        {"peat", {MEMBER(dry_density_kg_m3, 1600)}, 1, 0, 0, "the solids of peat, 1500 kg/m3"},
        {"clay", {MEMBER(dry_density_kg_m3, 0)}, 1, 0, 0, "0 kg/m3 (0.0 lb/ft3) is not between"},
        {"clay", {MEMBER(quartz_share, 1.1)}, 1, 0, 0, "110 % is outside 0 % to 100 %"},
        {NULL,
         {MEMBER(sand_share, 0.4), MEMBER(silt_share, 0.4)},
         2,
         0,
         0,
         "sand, silt and clay are given together: clay is missing"},
        {NULL,
         {MEMBER(sand_share, 0.4), MEMBER(silt_share, 0.4), MEMBER(clay_share, 0.3)},
         3,
         0,
         0,
         "sand, silt and clay sum to 110 %: 99 % to 101 % is accepted"},
        {NULL,
         {MEMBER(sand_share, 1.4), MEMBER(silt_share, -0.4), MEMBER(clay_share, 0)},
         3,
         0,
         0,
         "140 % is outside 0 % to 100 %"},
        {"sand",
         {MEMBER(sand_share, 0.4), MEMBER(silt_share, 0.4), MEMBER(clay_share, 0.2)},
         3,
         0,
         0,
         "sand, but the shares of sand, silt and clay are those of loam"},
        {"peat", {{0, 0}}, 0, 0, CB_LU, "lu is for mineral soil, not for peat"},
        {"loam", {MEMBER(conductivity_w_mk, -1)}, 1, 0, 0, "-1 is not positive"},
        {"loam", {MEMBER(freezing_start_c, 0)}, 1, 0, 0, "0 degC is not below 0 degC"},
    };
    for (size_t n = 0; n < COUNT(row); n++) {
        cb_soil soil = cb_soil_of(row[n].material, NAN);
        for (int m = 0; m < row[n].sets; m++) {
            set(&soil, &row[n].set[m]);
        }
        soil.moisture = row[n].moisture;
        soil.model = row[n].model;
        const cb_soil before = soil;
        cb_error error = {0};
        assert_int_equal(cb_soil_resolve(&soil, &error), CB_BAD_INPUT);
        expect_message(&error, row[n].message);
        assert_memory_equal(&soil, &before, sizeof soil); // a failure leaves the soil alone
    }
}

static void water_may_be_said_four_ways(void **state)
{
    (void)state;
    const double pores = 1.0 - 1400.0 / 2700.0;
    const struct {
        const char *what;
        double fraction, by_mass;
        cb_moisture moisture;
        double wanted;
    } row[] = {
        {"by volume", 0.25, NAN, CB_MOISTURE_GIVEN, 0.25},
        {"by mass", NAN, 0.2, CB_MOISTURE_GIVEN, 0.28}, // times 1400 / 1000
        {"dry", NAN, NAN, CB_DRY, 0.2 * pores},
        {"damp", NAN, NAN, CB_DAMP, 0.5 * pores},
        {"wet", NAN, NAN, CB_WET, 0.8 * pores},
        {"saturated", NAN, NAN, CB_SATURATED, pores},
        {"all that fits, by mass", NAN, pores / 1.4, CB_MOISTURE_GIVEN, pores},
        // Field capacity of loam, 27 % of the volume, by the rounded share of the pores.
        {"nothing", NAN, NAN, CB_MOISTURE_GIVEN, 0.56 * pores},
    };
    for (size_t n = 0; n < COUNT(row); n++) {
        cb_soil soil = cb_soil_of("loam", row[n].fraction);
        soil.water_by_mass = row[n].by_mass;
        soil.moisture = row[n].moisture;
        assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
        expect_near(row[n].what, soil.water_fraction, row[n].wanted, 1e-12);
        expect_near(row[n].what, soil.dry_water_fraction, row[n].wanted, 1e-12);
        const cb_soil once = soil;
        assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
        assert_memory_equal(&soil, &once, sizeof soil);
    }
}

static void shares_find_their_class_and_quartz(void **state)
{
    (void)state;
    // Points well inside each class of the triangle, and corners where classes meet, by the
    // definitions of the Soil Survey Manual (US Department of Agriculture, Handbook 18).
    static const struct {
        double sand, silt, clay;
        const char *wanted;
    } row[] = {
        {92, 5, 3, "sand"},
        {82, 12, 6, "loamy_sand"},
        {65, 25, 10, "sandy_loam"},
        {50, 45, 5, "sandy_loam"},
        {40, 40, 20, "loam"},
        {20, 65, 15, "silt_loam"},
        {40, 55, 5, "silt_loam"},
        {7, 87, 6, "silt"},
        {60, 13, 27, "sandy_clay_loam"},
        {32, 34, 34, "clay_loam"},
        {10, 56, 34, "silty_clay_loam"},
        {52, 7, 41, "sandy_clay"},
        {6, 47, 47, "silty_clay"},
        {20, 20, 60, "clay"},
        {100, 0, 0, "sand"},
        {0, 100, 0, "silt"},
        {0, 0, 100, "clay"},
        {85, 15, 0, "loamy_sand"},       // silt + 1.5 clay is no longer below 15
        {70, 30, 0, "sandy_loam"},       // silt + 2 clay is no longer below 30
        {45, 15, 40, "clay"},            // sandy clay has more than 45 % sand
        {20, 40, 40, "silty_clay"},      // from 40 % silt on
        {20, 53, 27, "silty_clay_loam"}, // clay loam has more than 20 % sand
        {45, 28, 27, "clay_loam"},
        {52, 28, 20, "loam"},
        {50, 50, 0, "silt_loam"},
        {8, 80, 12, "silt_loam"}, // silt has less than 12 % clay
        {65, 0, 35, "sandy_clay"},
        {72, 8, 20, "sandy_clay_loam"},
    };
    for (size_t n = 0; n < COUNT(row); n++) {
        cb_soil soil = cb_soil_of(NULL, 0.05);
        soil.sand_share = row[n].sand / 100;
        soil.silt_share = row[n].silt / 100;
        soil.clay_share = row[n].clay / 100;
        assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
        if (strcmp(soil.material, row[n].wanted) != 0) {
            fail_msg("sand %g, silt %g, clay %g: got %s, want %s", row[n].sand, row[n].silt,
                     row[n].clay, soil.material, row[n].wanted);
        }
        expect_near(row[n].wanted, soil.quartz_share, row[n].sand / 100, 0.0);
    }
    int counted[12] = {0};
    for (int sand = 0; sand <= 100; sand++) { // and no point of the triangle is left out
        for (int silt = 0; sand + silt <= 100; silt++) {
            const cb_material *found =
                cb_material_of_shares(sand / 100.0, silt / 100.0, (100 - sand - silt) / 100.0);
            assert_non_null(found);
            const ptrdiff_t place = found - cb_material_at(0);
            assert_true(place >= 0 && place < 12);
            counted[place]++;
        }
    }
    for (int n = 0; n < 12; n++) {
        assert_true(counted[n] > 0);
    }
}

static void density_and_quartz_replace_those_of_the_entry(void **state)
{
    (void)state;
    cb_soil soil = cb_soil_of("loam", 0.2);
    soil.dry_density_kg_m3 = 1650.0;
    soil.quartz_share = 0.65;
    assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
    const cb_material material = cb_material_of_soil(&soil);
    const double pores = 1.0 - 1650.0 / 2700.0;
    expect_near("porosity", cb_porosity(&material), pores, 1e-15);
    expect_near("conductivity", soil.conductivity_w_mk,
                cb_johansen_w_mk(&material, 0.2 / pores, false), 1e-12);
    assert_true(soil.conductivity_w_mk > soil_of("loam", 0.2).conductivity_w_mk);
    // By hand: 1650/2700 x 1.92e6 + 0.2 x 4.18e6.
    expect_near("capacity", soil.heat_capacity_j_m3k, 2009333.3333333333, 1e-6);
    // Granite has its own conductivity until its quartz is said.
    cb_soil rock = soil_of("sound_rock", 0.0);
    assert_true(cb_material_of_soil(&rock).solids_conductivity_w_mk == 3.0);
    rock = cb_soil_of("sound_rock", 0.0);
    rock.quartz_share = 0.6;
    assert_int_equal(cb_soil_resolve(&rock, NULL), CB_OK);
    assert_true(isnan(cb_material_of_soil(&rock).solids_conductivity_w_mk));
}

static void the_model_asked_for_gives_the_conductivity(void **state)
{
    (void)state;
    const cb_material *loam = cb_material_find("loam");
    const double s = 0.25 / cb_porosity(loam), dry = 0.1 / cb_porosity(loam);
    const struct {
        cb_conductivity_model model;
        double thawed, frozen, dry;
    } row[] = {
        {CB_JOHANSEN, cb_johansen_w_mk(loam, s, false), cb_johansen_w_mk(loam, s, true),
         cb_johansen_w_mk(loam, dry, false)},
        {CB_COTE_KONRAD, cb_cote_konrad_w_mk(loam, s, false), cb_cote_konrad_w_mk(loam, s, true),
         cb_cote_konrad_w_mk(loam, dry, false)},
        {CB_LU, cb_lu_w_mk(loam, s), cb_johansen_w_mk(loam, s, true), cb_lu_w_mk(loam, dry)},
    };
    for (size_t n = 0; n < COUNT(row); n++) {
        cb_soil soil = cb_soil_of("loam", 0.25);
        soil.model = row[n].model;
        soil.dry_water_fraction = 0.1;
        assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
        expect_near("thawed", soil.conductivity_w_mk, row[n].thawed, 1e-12);
        expect_near("frozen", soil.frozen_conductivity_w_mk, row[n].frozen, 1e-12);
        expect_near("dry season", soil.dry_conductivity_w_mk, row[n].dry, 1e-12);
        // A measured value is scaled as the model would have it.
        soil = cb_soil_of("loam", 0.25);
        soil.model = row[n].model;
        soil.dry_water_fraction = 0.1;
        soil.conductivity_w_mk = 1.5;
        assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
        expect_near("dry season, measured", soil.dry_conductivity_w_mk,
                    1.5 * row[n].dry / row[n].thawed, 1e-12);
    }
}

static void every_material_makes_a_usable_soil(void **state)
{
    (void)state;
    int count = 0;
    for (const cb_material *m; (m = cb_material_at(count)); count++) {
        assert_ptr_equal(cb_material_find(m->name), m);
        assert_true(m->dry_density_kg_m3 > 0.0 && m->dry_density_kg_m3 < m->solids_density_kg_m3);
        assert_true(m->quartz >= 0.0 && m->quartz <= 1.0);
        assert_true(m->specific_surface_m2_g > 0.0);
        assert_true(m->default_saturation > 0.0 && m->default_saturation <= 1.0);
        assert_true(*m->description && *m->source);
        for (int moisture = CB_MOISTURE_GIVEN; moisture <= CB_SATURATED; moisture++) {
            cb_soil soil = cb_soil_of(m->name, NAN);
            soil.moisture = (cb_moisture)moisture;
            soil.model = CB_COTE_KONRAD;
            assert_int_equal(cb_soil_resolve(&soil, NULL), CB_OK);
            // Still air to quartz, and what a soil of half ice may hold.
            assert_true(soil.conductivity_w_mk > 0.025 && soil.conductivity_w_mk < 7.7);
            assert_true(soil.frozen_conductivity_w_mk > 0.025 &&
                        soil.frozen_conductivity_w_mk < 7.7);
            assert_true(soil.heat_capacity_j_m3k > 2e5 && soil.heat_capacity_j_m3k < 4.18e6);
            assert_true(soil.freezing_start_c <= -0.1 && soil.freezing_start_c >= -2.0);
            cb_soil_curve *curve = curve_of(&soil);
            const cb_soil_state cold = cb_soil_at(curve, cb_soil_enthalpy_j_m3(curve, -10.0));
            assert_true(cold.ice <= 1.0 && cold.ice >= (moisture < CB_WET ? 0.0 : 0.5));
            cb_soil_curve_destroy(curve);
        }
    }
    assert_int_equal(count, 20);
    assert_null(cb_material_at(count));
    assert_null(cb_material_at(-1));
    assert_null(cb_material_find("gravy"));
    assert_null(cb_material_find(NULL));
}

static void checks_keep_their_three_soils(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double density, quartz;
    } row[] = {{"sand", 1600, 0.9}, {"loam", 1400, 0.4}, {"clay", 1200, 0.2}};
    for (size_t n = 0; n < COUNT(row); n++) {
        const cb_material *m = cb_material_find(row[n].name);
        expect_near("density", m->dry_density_kg_m3, row[n].density, 0.0);
        expect_near("solids", m->solids_density_kg_m3, 2700.0, 0.0);
        expect_near("quartz", m->quartz, row[n].quartz, 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(enthalpy_is_the_inverse),
        cmocka_unit_test(temperature_rises_and_ice_melts_with_enthalpy),
        cmocka_unit_test(slope_is_continuous_and_is_the_slope),
        cmocka_unit_test(latent_heat_is_exact),
        cmocka_unit_test(unfrozen_soil_is_linear_to_round_off),
        cmocka_unit_test(frozen_soil_conducts_as_the_geometric_mean),
        cmocka_unit_test(not_a_number_stays_one),
        cmocka_unit_test(senseless_properties_are_refused),
        cmocka_unit_test(given_values_are_kept_and_the_rest_filled),
        cmocka_unit_test(what_contradicts_itself_is_refused),
        cmocka_unit_test(water_may_be_said_four_ways),
        cmocka_unit_test(shares_find_their_class_and_quartz),
        cmocka_unit_test(density_and_quartz_replace_those_of_the_entry),
        cmocka_unit_test(the_model_asked_for_gives_the_conductivity),
        cmocka_unit_test(every_material_makes_a_usable_soil),
        cmocka_unit_test(checks_keep_their_three_soils),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
