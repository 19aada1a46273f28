// SPDX-License-Identifier: MIT
// The written rule by which a judge fills gaps in weather. (The product's readers refuse gaps.)
#ifndef VALIDATION_STATION_FILL_H
#define VALIDATION_STATION_FILL_H

#include <stdbool.h>

enum {
    STATION_SHORT_GAP_DAYS = 10, // no longer: a straight line between the neighbours
    STATION_LEAST_DAYS = 180     // fewer say nothing about a year
};

// One value a day at value[day * stride].
typedef struct station_gaps {
    double *value;
    int days, stride;
    long first_day; // since 1970-01-01
    bool *gap;      // [days] work space
    bool *filled;   // [days] set where a value was filled; or NULL
} station_gaps;

// Fills NaN: gaps of up to 10 days, with a value on both sides, by a straight line; else by the
// mean of that calendar day (within a week) over the other years; where no other year has it, by
// the mean and annual harmonic fitted to all days that were measured. False with fewer than 180
// measured days; nothing is filled then.
bool station_fill(const station_gaps *gaps);

// Fills a gap in rain by the mean of the 31 days around that calendar day over all years: many
// small rains in place of few large ones. False if fewer than 180 days were measured.
bool station_fill_rain(const station_gaps *gaps);

#endif
