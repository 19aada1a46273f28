// SPDX-License-Identifier: MIT
/// A run made by hand, all of it clear, for tests to spoil in one place.
#ifndef TESTS_FINDINGS_FIXTURE_H
#define TESTS_FINDINGS_FIXTURE_H

#include "coilbed/findings.h"
#include "coilbed/loop.h"

/// Run years begin on 1 October; the coldest day is run day 100 (9 January). Every year is the
/// same: entering water 2 to 14 degC, coldest fluid 3 K below it, hottest 4 K above; the fluid
/// freezes at -9 degC with 3 K of safety; limits of entering water -4 and 35 degC, pipe 50 degC.
/// Heating load 5 kW on the coldest day, cooling 2 kW on the warmest, all of it delivered at four
/// to one; the pump takes 75 W in every hour.
typedef struct fixture {
    cb_run_data data;
    cb_design design;
    double *block; ///< holds all series
} fixture;

enum { COLDEST_HOUR = 100 * 24, WARMEST_HOUR = COLDEST_HOUR + 4380, YEAR = 8760 };

/// Fails the test if memory runs out.
void fixture_open(fixture *f, int years);
void fixture_close(fixture *f);

/// Adds to entering, coldest and hottest water of one run year (0-based).
void fixture_shift_year(fixture *f, int year, double kelvin);

/// Judges, fails the test if that fails; the caller destroys.
cb_findings *fixture_judge(const fixture *f);

/// The finding of that code; fails the test if there is none.
const cb_finding *fixture_find(const cb_findings *findings, const char *code);

void fixture_expect(const char *what, double got, double want, double tolerance);

#endif
