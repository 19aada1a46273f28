// SPDX-License-Identifier: MIT
// The judge itself, by ground whose temperature is known exactly; every file here is invented.
#include "test_station.h"

#include "station_command.h"
#include "station_judge.h"
#include "station_text.h"

#include "coilbed/ground.h"

enum { YEAR = 365 };
static const double pi = 3.14159265358979323846;
static const long first_of_2001 = 11323;

static const station_choice plain = {
    .site = {NAN, NAN, NAN}, .water = NAN, .dry_water = NAN, .spin_up = STATION_SPIN_BY_LENGTH};

// Between probes, so that the soil is one half-space.
static const double wave_water = 0.40;
static const station_choice uniform = {.site = {NAN, NAN, NAN},
                                       .water = wave_water,
                                       .dry_water = NAN,
                                       .spin_up = STATION_SPIN_BY_LENGTH};

static station_list read_path(const char *path)
{
    station_list list = {0};
    cb_error error = {0};
    if (station_read(&list, path, &error) != CB_OK) {
        fail_msg("%s:%d: %s", error.file, error.line, error.message);
    }
    return list;
}

// Two years of hours of the annual wave in a half-space of the soil that the judge assumes between
// probes: 12 + 8 exp(-z/d) cos(w t - z/d), Carslaw & Jaeger 1959, section 2.6. Never frozen.
static void write_wave(char path[64], double shift_k)
{
    station_ground ground = station_rule_driven();
    cb_error error = {0};
    ground.soil[0].water_fraction = ground.soil[0].dry_water_fraction = wave_water;
    assert_int_equal(cb_soil_resolve(&ground.soil[0], &error), CB_OK);
    const double diffusivity =
        ground.soil[0].conductivity_w_mk / ground.soil[0].heat_capacity_j_m3k;
    const double omega = 2.0 * pi / (YEAR * 86400.0), damping_m = sqrt(2.0 * diffusivity / omega);
    static const double depth_m[] = {0.05, 0.5, 1.0, 2.0};
    FILE *file = new_file(path);
    fputs("time,T5cm,T50cm,T100cm,T200cm\n", file);
    for (long hour = 0; hour < 48L * YEAR; hour++) {
        int year, month, day, of_year;
        station_calendar(first_of_2001 + hour / 24, &year, &month, &day, &of_year);
        fprintf(file, "%d-%02d-%02d %02ld:00", year, month, day, hour % 24);
        for (int d = 0; d < 4; d++) {
            const double z = depth_m[d] / damping_m, t = ((double)hour + 0.5) * 3600.0;
            const double shifted = d == 1 ? shift_k : 0.0;
            fprintf(file, ",%.5f", 12.0 + shifted + 8.0 * exp(-z) * cos(omega * t - z));
        }
        fputc('\n', file);
    }
    fclose(file);
}

static void probes_drive_the_exact_wave(void **state)
{
    (void)state;
    char path[64];
    write_wave(path, 0.0);
    station_list list = read_path(path);
    station_verdict verdict;
    cb_error error = {0};
    assert_int_equal(station_judge(&verdict, &list.one[0], &uniform, &error), CB_OK);
    assert_true(verdict.driven);
    assert_int_equal(verdict.depths, 2);
    assert_int_equal(verdict.days_filled, 0);
    for (int d = 0; d < verdict.depths; d++) {
        assert_int_equal(verdict.depth[d].days, 2 * YEAR);
        must_be("RMSE", verdict.depth[d].rmse_k, 0.0, 0.02);
        must_be("bias", verdict.depth[d].bias_k, 0.0, 0.01);
        must_be("lowest", verdict.depth[d].low_modelled_c, verdict.depth[d].low_measured_c, 0.02);
        must_be("its day", (double)verdict.depth[d].low_modelled_day,
                (double)verdict.depth[d].low_measured_day, YEAR + 2.0);
    }
    must_be("depth", verdict.depth[0].depth_m, 0.5, 1e-12);
    station_verdict_free(&verdict);
    station_list_free(&list);
    remove(path);
}

static void bias_is_modelled_minus_measured(void **state)
{
    (void)state;
    char path[64];
    write_wave(path, 1.5);
    station_list list = read_path(path);
    station_verdict verdict;
    cb_error error = {0};
    assert_int_equal(station_judge(&verdict, &list.one[0], &uniform, &error), CB_OK);
    // The first days still carry the start, which took the shifted probe for true.
    must_be("bias", verdict.depth[0].bias_k, -1.5, 0.05);
    must_be("RMSE", verdict.depth[0].rmse_k, 1.5, 0.05);
    station_choice choice = uniform;
    choice.material = "sand";
    station_verdict other;
    assert_int_equal(station_judge(&other, &list.one[0], &choice, &error), CB_OK);
    assert_true(fabs(other.depth[1].rmse_k - verdict.depth[1].rmse_k) > 0.05);
    station_verdict_free(&other);
    station_verdict_free(&verdict);
    station_list_free(&list);
    remove(path);
}

// A year and a day of invented weather over soil said to be at 5 degC on every other day.
static void write_weather(char path[64], const char *soil)
{
    FILE *file = new_file(path);
    fputs("date,latitude,t_air_mean_C,t_air_min_C,t_air_max_C,rh_mean_pct,solar_mjm2,precip_mm,"
          "t_50cm_C,t_100cm_C\n",
          file);
    for (int day = 0; day < YEAR + 1; day++) {
        int year, month, day_of_month, of_year;
        station_calendar(first_of_2001 + day, &year, &month, &day_of_month, &of_year);
        const double season = -cos(2.0 * pi * (day - 20) / YEAR), air_c = 3.0 + 17.0 * season;
        fprintf(file, "%d-%02d-%02d,42,%.2f,%.2f,%.2f,70,%.2f,%s,%s,\n", year, month, day_of_month,
                air_c, air_c - 5.0, air_c + 6.0, 14.0 + 8.0 * season, day % 3 ? "0" : "6",
                day % 2 ? "" : soil);
    }
    fclose(file);
}

static void weather_drives_and_choices_matter(void **state)
{
    (void)state;
    char path[64];
    write_weather(path, "5");
    station_list list = read_path(path);
    cb_error error = {0};
    station_choice choices[] = {plain, plain, plain, plain};
    choices[1].no_snow = true;
    choices[2].no_evaporation = true;
    choices[3].cover = "pavement";
    double bias_k[4], lowest_c[4];
    for (int n = 0; n < 4; n++) {
        station_verdict verdict;
        assert_int_equal(station_judge(&verdict, &list.one[0], &choices[n], &error), CB_OK);
        assert_false(verdict.driven);
        assert_int_equal(verdict.depths, 1); // nothing was measured at 1 m
        assert_int_equal(verdict.depth[0].days, YEAR / 2 + 1);
        assert_true(verdict.cycles > 0);
        must_be("precipitation", verdict.climate.precipitation_mm, 732.0, 5.0);
        must_be("mean air", verdict.climate.mean_air_c, 3.0, 0.1);
        bias_k[n] = verdict.depth[0].bias_k;
        lowest_c[n] = verdict.depth[0].low_modelled_c;
        station_verdict_free(&verdict);
    }
    must_be("no mistake of sign or unit", bias_k[0], 0.0, 4.0);
    assert_true(lowest_c[1] < lowest_c[0] - 0.5); // snow keeps warm
    assert_true(bias_k[2] > bias_k[0]);           // evaporation cools
    assert_true(bias_k[3] > bias_k[0]);           // pavement is dark and dry
    station_list_free(&list);
    remove(path);
}

static void stations_without_enough_are_refused(void **state)
{
    (void)state;
    char path[64];
    write_weather(path, "");
    station_list list = read_path(path);
    station_verdict verdict;
    cb_error error = {0};
    assert_int_equal(station_judge(&verdict, &list.one[0], &plain, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "no day of soil temperature"));
    station_verdict_free(&verdict);
    station_list_free(&list);
    remove(path);

    write_file(path, "date,T5cm,T10cm,T20cm\n2001-01-01,1,2,3\n2001-01-02,1,2,3\n");
    list = read_path(path);
    assert_int_equal(station_judge(&verdict, &list.one[0], &plain, &error), CB_BAD_INPUT);
    assert_non_null(strstr(error.message, "nor a probe between two others"));
    station_verdict_free(&verdict);
    station_list_free(&list);
    remove(path);
}

// ---- the command -----------------------------------------------------------------------------

static int command(const char *first, const char *second, const char *third)
{
    char words[4][80] = {"soil"};
    char *argv[5] = {words[0]};
    const char *const given[] = {first, second, third};
    int argc = 1;
    for (int n = 0; n < 3 && given[n]; n++) {
        snprintf(words[argc], sizeof words[argc], "%s", given[n]);
        argv[argc] = words[argc];
        argc++;
    }
    return station_command(argc, argv);
}

static void command_says_how_it_went(void **state)
{
    (void)state;
    char good[64], bad[64];
    write_weather(good, "5");
    write_file(bad, "nothing of use\n");
    assert_int_equal(command(good, NULL, NULL), 0);
    assert_int_equal(command("--json", bad, good), 0); // one of two is judged
    assert_int_equal(command(bad, NULL, NULL), 2);
    assert_int_equal(command("/nowhere/at/all.csv", NULL, NULL), 2);
    assert_int_equal(command("--explain", NULL, NULL), 0);
    assert_int_equal(command("--help", NULL, NULL), 0);
    assert_int_equal(command(NULL, NULL, NULL), 2);
    assert_int_equal(command("--water", "120", good), 2);
    assert_int_equal(command("--material", "cheese", good), 2);
    assert_int_equal(command("--cover", "cheese", good), 2);
    assert_int_equal(command("--spin-up", "often", good), 2);
    assert_int_equal(command("--index", bad, good), 2);
    assert_int_equal(command("--cheese", good, NULL), 2);
    remove(good);
    remove(bad);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(probes_drive_the_exact_wave),
        cmocka_unit_test(bias_is_modelled_minus_measured),
        cmocka_unit_test(weather_drives_and_choices_matter),
        cmocka_unit_test(stations_without_enough_are_refused),
        cmocka_unit_test(command_says_how_it_went),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
