// SPDX-License-Identifier: MIT
/// What every reader of a run file looks at first.
#ifndef COILBED_RECORD_READER_H
#define COILBED_RECORD_READER_H

#include "record/h5.h"

/// Refuses a file that another program made.
void cbx_read_program(cbx_h5 *h5);

/// A counter of rows; one that no run can have is refused. 0 on failure.
long cbx_read_counter(cbx_h5 *h5, const char *path);

#endif
