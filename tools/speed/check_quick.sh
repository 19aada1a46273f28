#!/bin/sh
# SPDX-License-Identifier: MIT
# usage: check_quick.sh PROGRAM FILE.json
# The bench's quick mode comes to an end, and its JSON has every number that the full one has.
set -eu
"$1" --quick --json "$2"
for key in engine stages weather residual jacobian factorisation solve record same_system cvode_klu \
    scipy_bdf floor growth by_cells power_of_cells by_years by_slices two_threads_gain \
    peak_memory_mb file_mb accuracy error_annual_minimum_k error_coldest_k energy_audit_relative; do
    grep -q "\"$key\"" "$2" || { echo "no \"$key\" in $2" >&2; exit 1; }
done
