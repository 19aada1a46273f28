// SPDX-License-Identifier: MIT
#include "station_options.h"

#include "coilbed/yard.h"

#include <getopt.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { GO_ON = -1, HELPED = 0, WRONG = 2 };

static const char usage[] =
    "Usage: coilbed-validate soil [OPTION]... FILE...\n"
    "Judges the model of undisturbed ground against measured stations: daily means of soil\n"
    "temperature by depth. What a FILE is shows in its content; it may be compressed by gzip:\n"
    "  hourly profile     CSV: time, T5cm, T10cm ...; the shallowest and the deepest probe drive\n"
    "  hourly or daily    CSV with air temperature and soil temperature (t_100cm_C,\n"
    "                     soil_temp_50_daily, soiltemp_5cm ...); the weather drives\n"
    "  hourly02, daily01  text of the US Climate Reference Network, no row of names\n\n"
    "  --json             print JSON\n"
    "  --series FILE      write the daily means to FILE (CSV)\n"
    "  --explain          say by which rule a station gets its soil, cover and weather\n"
    "  --index FILE       leave out stations with a flag in this CSV (columns wban or name, flag)\n"
    "  --driven           let the probes drive even where there is weather\n"
    "  --latitude DEG     where the file has none (else it is estimated from the sun)\n"
    "  --elevation M      (else by the file's pressure, or 300)\n"
    "  --spin-up WHAT     cycle: settle on all years; none; or so many first years (else all of\n"
    "                     a series up to a year and a half, three of a longer one)\n"
    "In place of the rule:\n"
    "  --cover NAME  --material NAME  --water PERCENT  --dry-water PERCENT (both by volume)\n"
    "  --wind M/S (at 10 m)  --no-snow  --no-evaporation  --no-freezing\n"
    "  --help             print this\n\n"
    "Exit status: 0 judged, 2 nothing could be judged.\n";

static const struct option known[] = {{"json", no_argument, NULL, 'j'},
                                      {"series", required_argument, NULL, 's'},
                                      {"explain", no_argument, NULL, 'x'},
                                      {"index", required_argument, NULL, 'i'},
                                      {"driven", no_argument, NULL, 'd'},
                                      {"latitude", required_argument, NULL, 'l'},
                                      {"elevation", required_argument, NULL, 'e'},
                                      {"spin-up", required_argument, NULL, 'u'},
                                      {"cover", required_argument, NULL, 'c'},
                                      {"material", required_argument, NULL, 'm'},
                                      {"water", required_argument, NULL, 'w'},
                                      {"dry-water", required_argument, NULL, 'y'},
                                      {"wind", required_argument, NULL, 'v'},
                                      {"no-snow", no_argument, NULL, 'S'},
                                      {"no-evaporation", no_argument, NULL, 'E'},
                                      {"no-freezing", no_argument, NULL, 'F'},
                                      {"help", no_argument, NULL, 'h'},
                                      {0}};

static bool read_number(const char *name, double low, double high, double *out)
{
    char *end;
    *out = strtod(optarg, &end);
    if (end == optarg || *end != '\0' || !(*out >= low && *out <= high)) {
        fprintf(stderr, "coilbed-validate: --%s: \"%s\"; expected a number from %g to %g\n", name,
                optarg, low, high);
        return false;
    }
    return true;
}

static bool read_share(const char *name, double *out)
{
    const bool ok = read_number(name, 0.0, 100.0, out);
    *out /= 100.0;
    return ok;
}

static bool read_spin_up(int *out)
{
    double years;
    if (strcmp(optarg, "cycle") == 0) {
        *out = STATION_SPIN_CYCLE;
    } else if (strcmp(optarg, "none") == 0) {
        *out = STATION_SPIN_NONE;
    } else if (read_number("spin-up", 1.0, 100.0, &years)) {
        *out = (int)years;
    } else {
        fputs("coilbed-validate: --spin-up also takes cycle and none\n", stderr);
        return false;
    }
    return true;
}

static bool read_cover(const char **out)
{
    *out = optarg;
    if (cb_cover_find(optarg)) {
        return true;
    }
    fprintf(stderr, "coilbed-validate: --cover: \"%s\"; covers are", optarg);
    for (int n = 0; cb_cover_at(n); n++) {
        fprintf(stderr, " %s", cb_cover_at(n)->name);
    }
    fputc('\n', stderr);
    return false;
}

static bool read_material(const char **out)
{
    *out = optarg;
    if (cb_material_find(optarg)) {
        return true;
    }
    fprintf(stderr, "coilbed-validate: --material: \"%s\"; materials are", optarg);
    for (int n = 0; cb_material_at(n); n++) {
        fprintf(stderr, " %s", cb_material_at(n)->name);
    }
    fputc('\n', stderr);
    return false;
}

static bool take_choice(station_choice *choice, int option)
{
    switch (option) {
        case 'd':
            choice->driven = true;
            return true;
        case 'l':
            return read_number("latitude", -90.0, 90.0, &choice->site.latitude_deg);
        case 'e':
            return read_number("elevation", -500.0, 9000.0, &choice->site.elevation_m);
        case 'u':
            return read_spin_up(&choice->spin_up);
        case 'c':
            return read_cover(&choice->cover);
        case 'm':
            return read_material(&choice->material);
        case 'w':
            return read_share("water", &choice->water);
        case 'y':
            return read_share("dry-water", &choice->dry_water);
        case 'v':
            return read_number("wind", 0.0, 75.0, &choice->site.wind_m_s);
        case 'S':
            choice->no_snow = true;
            return true;
        case 'E':
            choice->no_evaporation = true;
            return true;
        case 'F':
            choice->no_freezing = true;
            return true;
        default:
            fputs(usage, stderr);
            return false;
    }
}

static bool take(station_options *out, int option)
{
    switch (option) {
        case 'j':
            out->json = true;
            return true;
        case 's':
            out->series = optarg;
            return true;
        case 'x':
            out->explain = true;
            return true;
        case 'i':
            out->index = optarg;
            return true;
        default:
            return take_choice(&out->choice, option);
    }
}

int station_options_read(station_options *out, int argc, char **argv)
{
    *out = (station_options){.choice = {.site = {NAN, NAN, NAN},
                                        .water = NAN,
                                        .dry_water = NAN,
                                        .spin_up = STATION_SPIN_BY_LENGTH}};
    optind = 1;
    for (int option; (option = getopt_long(argc, argv, "", known, NULL)) != -1;) {
        if (option == 'h') {
            fputs(usage, stdout);
            return HELPED;
        }
        if (!take(out, option)) {
            return WRONG;
        }
    }
    out->files = argc - optind;
    out->file = argv + optind;
    if (out->files == 0 && !out->explain) {
        fprintf(stderr, "coilbed-validate: soil: no file named\n%s", usage);
        return WRONG;
    }
    return GO_ON;
}
