# SPDX-License-Identifier: MIT
"""Opens a factorial and a sampled study as a user would. Prints what is wrong; exit 1."""

import sys
import warnings

try:
    import numpy
    import xarray
    import h5netcdf  # noqa: F401
except ImportError as missing:
    print(missing)
    sys.exit(77)  # the test counts as skipped

warnings.simplefilter("error")
wrong = []


def check(what, got, want):
    if not got == want:
        wrong.append(f"{what}: got {got!r}, want {want!r}")


def group(path, name=None):
    return xarray.open_dataset(path, group=name, engine="h5netcdf").load()


grid = group(sys.argv[1])
check("dimensions", dict(grid.sizes), {"limits_close": 3, "fluid_type": 2})
check("values", grid.limits_close.values.tolist(), [1, 2, 3])
check("unit", grid.limits_close.attrs["units"], "K")
check("path", grid.limits_close.attrs["long_name"], "limits.close")
check("words", grid.fluid_type.values.tolist(), ["ethanol", "methanol"])
coldest = grid.coldest_fluid
check("unit of a result", coldest.attrs["units"], "degree_Celsius")
check("by value", float(coldest.sel(limits_close=3, fluid_type="methanol")), 3 + 2 * 1)
failed = dict(limits_close=2, fluid_type="methanol")  # case 3: the last factor changes fastest
check("failed is missing", bool(numpy.isnan(coldest.sel(failed))), True)
check("failed status", grid.status.sel(failed).item(), "failed")
check("failed message", grid.message.sel(failed).item(), "über dem Grundwasser")
check("others", int((grid.status == "ok").sum()), 5)
check("margin", float(grid.margin_freeze_margin.sel(limits_close=1, fluid_type="ethanol")), -4)
check("severity", grid.severity_freeze_margin.values.tolist(), [[2, 2], [2, -1], [2, 0]])
check("count", grid.attrs["failed_cases"], "1")
check("study", "scheme: factorial" in grid.study_text.item(), True)
check("design", "conductivity" in grid.design_text.item(), True)

sobol = group(sys.argv[2])
check("samples", dict(sobol.sizes), {"sample": 4 * 512})
check("varied unit", sobol.ground_layers_1_conductivity.attrs["units"], "W m-1 K-1")
check("blocks", sobol.block.values[[0, 512, 1024, 1536]].tolist(),
      ["A", "B", "ground.layers[1].conductivity", "field.depth"])
check("seed", sobol.attrs["seed"], "2")
check("run files", sobol.run_file.values[17], "case-000017.h5")
value = sobol.ground_layers_1_conductivity + 2 * sobol.field_depth
check("result", bool((abs(value - sobol.coldest_fluid)[sobol.status == "ok"] < 1e-12).all()), True)
statistics = group(sys.argv[2], "statistics")
coldest = statistics.sel(output="coldest_fluid")
check("median", abs(float(coldest.value.sel(quantile=0.5)) - 5) < 0.03, True)
for factor in ("ground.layers[1].conductivity", "field.depth"):
    first = coldest.first_order_index.sel(factor=factor)
    check(f"index of {factor}", abs(float(first) - 0.5) < 0.02, True)
low = float(statistics.limit_probability_low.sel(limit="freeze_margin"))
high = float(statistics.limit_probability_high.sel(limit="freeze_margin"))
check("interval", 0.45 < low < 0.5 < high < 0.55, True)

for line in wrong:
    print(line)
sys.exit(1 if wrong else 0)
