#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Plot a year of a run: water into and out of the heat pumps, coldest fluid, freezing point.

An example of reading a run with xarray; it needs python3-xarray, python3-h5netcdf and
python3-matplotlib, and nothing of this project.
"""

import argparse
import sys

import h5netcdf
import matplotlib
import xarray

matplotlib.use("Agg")  # a picture file, no window
import matplotlib.dates  # noqa: E402
import matplotlib.pyplot as plt  # noqa: E402

YEAR_HOURS = 8760  # years of a run have 365 days

SERIES = {
    "entering_water_temperature": ("entering the heat pump", "tab:blue", "-"),
    "leaving_water_temperature": ("leaving the heat pump", "tab:orange", "-"),
    "coldest_fluid_temperature": ("coldest in the loop", "tab:green", ":"),
}


def open_group(path, group):
    """One group of a run as a dataset with dates."""
    try:
        return xarray.open_dataset(path, group=group, engine="h5netcdf")
    except OSError:
        # The run is appending at this moment, or was killed while it did.
        beside = h5netcdf.File(path, "r", swmr=True)
        return xarray.open_dataset(xarray.backends.H5NetCDFStore(beside, group=group))


def select_year(path, year):
    """The loop's hours of one run year, and its root attributes."""
    root = open_group(path, "/")
    loop = open_group(path, "loop").isel(time=slice(0, int(root["hours_done"])))
    years = -(-loop.sizes["time"] // YEAR_HOURS)
    if not 1 <= year <= years:
        sys.exit(f"{path}: has no year {year}; it holds years 1 to {years}")
    dates = loop["time"].values[:YEAR_HOURS]  # of the first year: it has no 29 February
    loop = loop.isel(time=slice((year - 1) * YEAR_HOURS, year * YEAR_HOURS))
    return loop.assign_coords(time=dates[: loop.sizes["time"]]), root.attrs


def plot(loop, title, picture):
    """Draws the three temperatures and the freezing point."""
    figure, axes = plt.subplots(figsize=(11, 5), layout="constrained")
    for name, (label, colour, line) in SERIES.items():
        axes.plot(loop["time"], loop[name], color=colour, linestyle=line, linewidth=0.8, label=label)
    freeze_c = float(loop["freeze_temperature"])
    axes.axhline(freeze_c, color="black", linestyle="--", label=f"freezes at {freeze_c:.1f} °C")
    axes.xaxis.set_major_formatter(matplotlib.dates.DateFormatter("%d %b"))
    axes.set(title=title, ylabel="temperature, °C")
    axes.grid(alpha=0.3)
    axes.legend(loc="best")
    figure.savefig(picture, dpi=120)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("run", help="the HDF5 file of a run")
    parser.add_argument("-y", "--year", type=int, default=1, help="year of the run (default: 1)")
    parser.add_argument("-o", "--output", default="run.png", help="picture (default: run.png)")
    arguments = parser.parse_args()

    try:
        loop, facts = select_year(arguments.run, arguments.year)
    except OSError as problem:
        sys.exit(f"{arguments.run}: {problem}")
    coldest = loop["coldest_fluid_temperature"]
    when = coldest.idxmin().dt.strftime("%d %B, %H:00").item()
    margin_k = float(coldest.min() - loop["freeze_temperature"])
    print(f"{facts['title']}, year {arguments.year}")
    print(f"coldest fluid {float(coldest.min()):.2f} °C on {when}: "
          f"{margin_k:.2f} K above the freezing point")
    if not facts["complete"]:
        print("the run is not complete")
    plot(loop, f"{facts['title']}, year {arguments.year}", arguments.output)


if __name__ == "__main__":
    main()
