// SPDX-License-Identifier: MIT
/// The HDF5 file of a study: the varied values as dimensions or per sample, and for each case its
/// headline numbers, margins, status and message.
#ifndef COILBED_STUDY_OUTPUT_H
#define COILBED_STUDY_OUTPUT_H

#include "coilbed/dataset.h"
#include "coilbed/study.h"

/// Errors: those of cb_dataset_write and cb_study_statistics_create.
cb_status cbx_study_write(const char *path, const cb_study *study, const cb_study_result *results,
                          cb_error *error);

enum { CBX_MOST_AXES = 32, CBX_MOST_VARIABLES = 200, CBX_MOST_NOTES = 16 };

/// A dataset while it is put together; everything in it lives as long as memory.
typedef struct cbx_study_output {
    const cb_study *study;
    const cb_study_result *results;
    struct cb_design_memory *memory;
    bool failed;                      ///< memory ran out
    int case_axis[CB_MAX_DIMENSIONS]; ///< of everything that each case has
    int case_rank;
    cb_dataset_axis axis[CBX_MOST_AXES];
    cb_dataset_variable variable[CBX_MOST_VARIABLES];
    cb_dataset_note note[CBX_MOST_NOTES];
    cb_dataset dataset;
} cbx_study_output;

/// Zeroed room for so many values; NULL, and output->failed, if memory runs out.
void *cbx_output_room(cbx_study_output *output, size_t count, size_t size);
/// Returns the place of the axis.
int cbx_output_axis(cbx_study_output *output, const cb_dataset_axis *axis);
void cbx_output_variable(cbx_study_output *output, const cb_dataset_variable *variable);

/// Adds the group /statistics of a sampled study.
cb_status cbx_output_statistics(cbx_study_output *output, cb_error *error);

#endif
