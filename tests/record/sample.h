// SPDX-License-Identifier: MIT
/// An invented run, whose every value follows from its place, for the tests of the record.
#ifndef SAMPLE_H
#define SAMPLE_H

#include "coilbed/record.h"

enum { SAMPLE_SLICES = 2, SAMPLE_NZ = 6, SAMPLE_NX = 5, SAMPLE_CHECKPOINT = 10000 };

typedef struct sample {
    cb_design design;
    cb_weather *weather;
    cb_run_weather *run_weather;
    cb_sections sections;
    double *undisturbed_c;
    cb_ground_summary ground;
    cb_record_header header;
    char folder[64]; // for its files, removed with everything in it
    char path[96];
} sample;

/// Sections of slices x nz x nx cells, kept every `every_days`.
sample *sample_create(int every_days, int nz, int nx);
void sample_destroy(sample *s);

/// What the sample run has at an hour, and at a midnight in cell or slice `i`.
cb_hour sample_hour(long run_hour);
double sample_temperature_c(long run_day, size_t i);
double sample_ice_fraction(long run_day, size_t i);
double sample_slice_value(int which, long run_day, int slice); // 0 coil, 1 wall, 2 ice

/// The undisturbed ground of depth number k, 0 being the surface.
cb_ground_depth sample_ground_depth(int k);

/// Value `i` of the SAMPLE_CHECKPOINT ones of a month's end.
double sample_checkpoint_value(long hours_done, size_t i);

/// Feeds whole days `first` .. `end` - 1 and ends each calendar month.
cb_status sample_feed(const sample *s, const cb_sink *sink, long first_day, long end_day,
                      cb_error *error);
/// Makes the record append every month by itself, however fast they come.
void sample_append_monthly(cb_record *record);
/// The end of calendar month `count` (1-based) of the run, in days since its start.
long sample_month_end(const sample *s, int count);

cb_quality sample_quality(void);

/// Writes days 0 .. days - 1 in a child, or with from_file those that the file lacks, and kills it
/// `delay_s` after its file is there.
void sample_write_and_kill(const sample *s, long days, bool from_file, double delay_s);

/// Whether HDF5 opens the file as one that was closed, not marked as being written.
bool sample_opens_plainly(const sample *s);

#endif
