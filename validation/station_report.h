// SPDX-License-Identifier: MIT
// Verdicts as text, as JSON and as series.
#ifndef VALIDATION_STATION_REPORT_H
#define VALIDATION_STATION_REPORT_H

#include "station_judge.h"

#include <stdio.h>

// One station with its table.
void station_print_text(const station_verdict *verdict, FILE *out);

// Medians over the stations judged by their weather.
void station_print_summary(const station_verdict *verdicts, int count, FILE *out);

void station_print_json(const station_verdict *verdicts, int count, FILE *out);

// Daily means: station, date, depth_m, measured_C, modelled_C; a missing value is empty.
void station_print_series(const station_verdict *verdicts, int count, FILE *out);

#endif
