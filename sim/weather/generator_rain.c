// SPDX-License-Identifier: MIT
/// Rain and melted snow of the generated year: which days are wet, how much falls, and when.
#include "weather/calendar.h"
#include "weather/generator.h"

#include <assert.h>
#include <math.h>

// Wet days of a month: so many for the square root of its millimetres. Gives 5 wet days to 15 mm, 8
// to 45 mm and 12 to 100 mm, which is the order of monthly tables (from memory; 1.2 itself has no
// source).
static const double wet_days_per_root_mm = 1.2;

// A wet day's rain falls within so many hours on end, evenly (common practice, no source).
enum { SPELL_HOURS = 6 };

static int wet_day_count(double month_kg_m2, int days)
{
    if (!(month_kg_m2 > 0)) {
        return 0;
    }
    const double count = round(wet_days_per_root_mm * sqrt(month_kg_m2));
    return (int)fmin(days, fmax(1, count));
}

// 0 for the cloudiest day of the month; of equal days the earlier comes first.
static int cloud_rank(const double *clearness, int days, int day)
{
    int rank = 0;
    for (int other = 0; other < days; other++) {
        const bool cloudier = clearness[other] < clearness[day];
        rank += cloudier || (clearness[other] == clearness[day] && other < day) ? 1 : 0;
    }
    return rank;
}

// Amounts of wet days follow the exponential distribution (common practice, no source). As with the
// temperatures a month holds its usual spread, not a draw: the quantiles of the middles of `wet`
// equal shares, the largest for rank 0.
static double exponential_quantile(int rank, int wet)
{
    return -log((rank + 0.5) / wet);
}

static void fill_month(double *hour, const double *clearness, int days, double month_kg_m2,
                       const int *start_hour)
{
    const int wet = wet_day_count(month_kg_m2, days);
    double sum = 0;
    for (int rank = 0; rank < wet; rank++) {
        sum += exponential_quantile(rank, wet);
    }
    for (int day = 0; day < days; day++) {
        const int rank = cloud_rank(clearness, days, day);
        if (rank >= wet) {
            continue;
        }
        const double day_kg_m2 = month_kg_m2 * exponential_quantile(rank, wet) / sum;
        for (int i = 0; i < SPELL_HOURS; i++) {
            hour[24 * day + start_hour[day] + i] = day_kg_m2 / SPELL_HOURS;
        }
    }
}

void cbx_generate_precipitation(const cbx_days *days, const double month_kg_m2[CB_MONTHS],
                                cbx_random *random, double hour[CB_YEAR_HOURS])
{
    int start_hour[CB_YEAR_DAYS];
    for (int day = 0; day < CB_YEAR_DAYS; day++) {
        start_hour[day] = (int)(cbx_random_uniform(random) * (24 - SPELL_HOURS + 1));
        assert(start_hour[day] >= 0 && start_hour[day] <= 24 - SPELL_HOURS);
    }
    for (int i = 0; i < CB_YEAR_HOURS; i++) {
        hour[i] = isnan(month_kg_m2[0]) ? NAN : 0.0;
    }
    int first = 0;
    for (int m = 0; m < CB_MONTHS; m++) {
        fill_month(hour + (ptrdiff_t)24 * first, days->clearness + first, cbx_month_days[m],
                   month_kg_m2[m], start_hour + first);
        first += cbx_month_days[m];
    }
}
