// SPDX-License-Identifier: MIT
// The model of undisturbed ground against one station.
#ifndef VALIDATION_STATION_JUDGE_H
#define VALIDATION_STATION_JUDGE_H

#include "station_rule.h"

#include <stdbool.h>

enum { STATION_SPIN_BY_LENGTH = -2, STATION_SPIN_CYCLE = -1, STATION_SPIN_NONE = 0 };

// What replaces the rule; NaN and NULL: nothing.
typedef struct station_choice {
    station_site_choice site;
    const char *cover, *material;
    double water, dry_water; // by volume, 0..1
    bool no_snow, no_evaporation, no_freezing;
    bool driven; // use the probes even where there is weather
    int spin_up; // years, or one of the above
} station_choice;

typedef struct station_depth {
    double depth_m;
    int days;                                // compared
    double rmse_k, bias_k;                   // of daily means; bias: modelled minus measured
    double low_measured_c, low_modelled_c;   // of the days compared
    long low_measured_day, low_modelled_day; // since 1970-01-01
    double *modelled_c;                      // [days of the station]
    const double *measured_c;                // the station's
} station_depth;

typedef struct station_verdict {
    const station *one;
    bool driven;
    int days_filled;
    int cycles;              // that the ground took to settle; 0: it was not settled
    station_climate climate; // weather mode
    cb_site site;
    bool latitude_estimated;
    const char *solar_from;
    station_ground ground; // resolved
    int depths;
    station_depth depth[STATION_MOST_DEPTHS];
} station_verdict;

// `one` must outlive the verdict. Errors: CB_BAD_INPUT if the station has not enough for a
// comparison or a choice is impossible, CB_NUMERICS, CB_NO_MEMORY. Free with station_verdict_free
// in any case.
cb_status station_judge(station_verdict *out, const station *one, const station_choice *choice,
                        cb_error *error);
void station_verdict_free(station_verdict *verdict);

#endif
