// SPDX-License-Identifier: MIT
#include "station_fill.h"

#include <math.h>

static const double pi = 3.14159265358979323846, year_days = 365.2425;

static double *at(const station_gaps *gaps, int day)
{
    return &gaps->value[(long)day * gaps->stride];
}

// Marks what is missing; false if too little is there.
static bool find_gaps(const station_gaps *gaps)
{
    int measured = 0;
    for (int day = 0; day < gaps->days; day++) {
        gaps->gap[day] = !isfinite(*at(gaps, day));
        measured += !gaps->gap[day];
    }
    return measured >= STATION_LEAST_DAYS;
}

static void put(const station_gaps *gaps, int day, double value)
{
    *at(gaps, day) = value;
    if (gaps->filled) {
        gaps->filled[day] = true;
    }
}

// Mean, cosine and sine by least squares.
typedef struct harmonic {
    double mean, cosine, sine;
} harmonic;

static void shape(double day, double phi[3])
{
    phi[0] = 1.0;
    phi[1] = cos(2.0 * pi * day / year_days);
    phi[2] = sin(2.0 * pi * day / year_days);
}

static double determinant(double m[3][3])
{
    return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
           m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
           m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

static harmonic fit(const station_gaps *gaps)
{
    double matrix[3][3] = {{0}}, right[3] = {0}, phi[3], answer[3];
    for (int day = 0; day < gaps->days; day++) {
        const double value = *at(gaps, day);
        if (!isfinite(value)) {
            continue;
        }
        shape(day, phi);
        for (int row = 0; row < 3; row++) {
            right[row] += phi[row] * value;
            for (int column = 0; column < 3; column++) {
                matrix[row][column] += phi[row] * phi[column];
            }
        }
    }
    const double whole = determinant(matrix);
    for (int n = 0; n < 3; n++) { // Cramer's rule
        double with[3][3];
        for (int row = 0; row < 3; row++) {
            for (int column = 0; column < 3; column++) {
                with[row][column] = column == n ? right[row] : matrix[row][column];
            }
        }
        answer[n] = determinant(with) / whole;
    }
    return (harmonic){answer[0], answer[1], answer[2]};
}

static double harmonic_at(const harmonic *wave, int day)
{
    double phi[3];
    shape(day, phi);
    return wave->mean + wave->cosine * phi[1] + wave->sine * phi[2];
}

// Of the measured days within `reach` of the calendar day of `day`, in every year; NaN if none.
static double calendar_mean(const station_gaps *gaps, int day, int reach)
{
    double sum = 0.0;
    int count = 0;
    const int years = (int)(gaps->days / year_days) + 1;
    for (int year = -years; year <= years; year++) {
        const int centre = day + (int)lround(year * year_days);
        for (int other = centre - reach; other <= centre + reach; other++) {
            if (other >= 0 && other < gaps->days && !gaps->gap[other]) {
                sum += *at(gaps, other);
                count++;
            }
        }
    }
    return count > 0 ? sum / count : NAN;
}

static void fill_gap(const station_gaps *gaps, const harmonic *wave, int first, int end)
{
    enum { REACH_DAYS = 7 };
    if (first > 0 && end < gaps->days && end - first <= STATION_SHORT_GAP_DAYS) {
        const double from = *at(gaps, first - 1), to = *at(gaps, end);
        for (int day = first; day < end; day++) {
            put(gaps, day, from + (to - from) * (day - first + 1) / (end - first + 1));
        }
        return;
    }
    for (int day = first; day < end; day++) {
        double value = calendar_mean(gaps, day, REACH_DAYS);
        // In one year alone the week around the calendar day is the gap's own edge.
        if (!isfinite(value) || gaps->days < 1.5 * year_days) {
            value = harmonic_at(wave, day);
        }
        put(gaps, day, value);
    }
}

bool station_fill(const station_gaps *gaps)
{
    if (!find_gaps(gaps)) {
        return false;
    }
    const harmonic wave = fit(gaps);
    for (int day = 0; day < gaps->days;) {
        int end = day;
        while (end < gaps->days && gaps->gap[end]) {
            end++;
        }
        if (end > day) {
            fill_gap(gaps, &wave, day, end);
        }
        day = end + 1;
    }
    return true;
}

bool station_fill_rain(const station_gaps *gaps)
{
    enum { REACH_DAYS = 15 };
    if (!find_gaps(gaps)) {
        return false;
    }
    double sum = 0.0;
    int count = 0;
    for (int day = 0; day < gaps->days; day++) {
        sum += gaps->gap[day] ? 0.0 : *at(gaps, day);
        count += !gaps->gap[day];
    }
    for (int day = 0; day < gaps->days; day++) {
        if (gaps->gap[day]) {
            const double near = calendar_mean(gaps, day, REACH_DAYS);
            put(gaps, day, isfinite(near) ? near : sum / count);
        }
    }
    return true;
}
