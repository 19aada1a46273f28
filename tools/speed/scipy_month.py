#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""One month of the bench's system by SciPy's BDF with sparse LU.

usage: scipy_month.py MODULE QUICK

The rates are the program's own, called in MODULE. Prints processor seconds, the entering water at
each hour's end and the states at the end.
"""
import ctypes
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import csc_matrix

handle, doubles, integers = ctypes.c_void_p, ctypes.POINTER(ctypes.c_double), ctypes.POINTER(ctypes.c_int)
library = ctypes.CDLL(sys.argv[1])


def function(name, result, *arguments):
    found = getattr(library, "speed_month_" + name)
    found.restype, found.argtypes = result, arguments
    return found


month = function("open", handle, ctypes.c_int)(int(sys.argv[2]))
if not month:
    sys.exit(1)
size = function("size", ctypes.c_int, handle)(month)
hours = function("hours", ctypes.c_int, handle)(month)
start_s = function("start_s", ctypes.c_double, handle)(month)
relative = function("relative", ctypes.c_double, handle)(month)
entering = function("entering_at", ctypes.c_int, handle)(month)
rates_at = function("rates", ctypes.c_int, handle, ctypes.c_double, doubles, doubles)


def array(name, count, kind=doubles):
    return np.ctypeslib.as_array(function(name, kind, handle)(month), (count,)).copy()


start, tolerance = array("start", size), array("tolerance", size)
column = array("column", size + 1, integers)
row = array("row", int(column[-1]), integers)
pattern = csc_matrix((np.ones(len(row)), row, column), (size, size))


def rates(t, y):
    y = np.ascontiguousarray(y, dtype=float)
    rate = np.empty(size)
    if rates_at(month, t, y.ctypes.data_as(doubles), rate.ctypes.data_as(doubles)):
        rate[:] = np.nan
    return rate


began = time.process_time()
times = start_s + 3600.0 * np.arange(1, hours + 1)
found = solve_ivp(rates, (start_s, times[-1]), start, method="BDF", t_eval=times, rtol=relative,
                  atol=tolerance, jac_sparsity=pattern, max_step=3600.0)
seconds = time.process_time() - began
if not found.success:
    sys.exit(found.message)
print(repr(seconds))
np.savetxt(sys.stdout, found.y[entering], "%.17g")
np.savetxt(sys.stdout, found.y[:, -1], "%.17g")
