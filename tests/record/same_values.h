// SPDX-License-Identifier: MIT
/// Whether two run files hold the same values.
#ifndef SAME_VALUES_H
#define SAME_VALUES_H

/// Fails the test, naming the dataset, unless every dataset of one file is in the other with the
/// same shape and the same bits, and /quality with the same numbers, wall_seconds apart. Returns
/// how many datasets were compared.
int assert_same_values(const char *got, const char *want);

#endif
