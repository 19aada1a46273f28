#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Draws coldest_day.svg: the day of a run in which its fluid is coldest, the days around it, and all
that meets in them.

    coilbed new starter.yaml && coilbed run starter.yaml -o starter.h5
    /usr/bin/python3 validation/coldest_day.py starter.h5
"""
import pathlib
import sys

import h5py
import matplotlib

matplotlib.use("svg")
import matplotlib.pyplot as plt
import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
DARK, WARM, COLD, GREY = "#1b1b1b", "#d1660a", "#1565a8", "#8a8a8a"


def read(path):
    with h5py.File(path, "r") as run:
        coldest = run["/loop/coldest_fluid_temperature"][:]
        middle = int(np.argmin(coldest))
        hours = slice(max(0, middle - 60), middle + 36)
        names = {
            "load": "/house/heating_load", "output": "/plant/heating_output",
            "backup": "/plant/backup_power", "air": "/weather/air_temperature",
            "entering": "/loop/entering_water_temperature",
            "leaving": "/loop/leaving_water_temperature",
            "coldest": "/loop/coldest_fluid_temperature", "run": "/loop/pump_fraction",
            "flow": "/loop/flow_rate", "reynolds": "/loop/reynolds_number",
        }
        return hours.start, {key: run[name][hours] for key, name in names.items()}


def draw(start, day):
    plt.rcParams.update({"svg.hashsalt": "coilbed", "font.size": 9})
    figure, axes = plt.subplots(5, 1, figsize=(7.2, 9), sharex=True)
    hour = np.arange(len(day["load"])) + 0.5
    running = np.maximum(day["run"], 1e-3)
    axes[0].plot(hour, day["air"], color=GREY)
    axes[0].set_ylabel("outdoor air\n[°C]")
    axes[1].plot(hour, day["load"] / 1e3, color=DARK, label="load")
    axes[1].plot(hour, day["output"] / 1e3, color=WARM, linestyle="--", label="heat pumps")
    axes[1].plot(hour, day["backup"] / 1e3, color=COLD, linestyle=":", label="backup")
    axes[1].set_ylabel("heat [kW]")
    axes[2].plot(hour, 100 * day["run"], color=DARK)
    axes[2].set_ylim(0, 110)
    axes[2].set_ylabel("longest run\n[% of the hour]")
    axes[3].plot(hour, day["entering"], color=WARM, label="entering")
    axes[3].plot(hour, day["leaving"], color=DARK, linestyle="--", label="leaving")
    axes[3].plot(hour, day["coldest"], color=COLD, linestyle=":", label="coldest anywhere")
    axes[3].set_ylabel("water [°C]")
    axes[4].plot(hour, day["flow"] / running, color=DARK, label="flow while running [kg/s]")
    axes[4].plot(hour, day["reynolds"] / 1e3, color=WARM, linestyle="--",
                 label="least Reynolds number [thousands]")
    axes[4].set_ylim(0, 1.6 * max(day["flow"].max(), 1e-3 * day["reynolds"].max()))
    axes[4].set_xlabel(f"hours from hour {start} of the run")
    for one in axes:
        one.grid(alpha=0.3)
        if one.get_legend_handles_labels()[0]:
            one.legend(loc="best", fontsize=8)
    figure.tight_layout()
    figure.savefig(HERE / "coldest_day.svg", metadata={"Date": None})


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    draw(*read(sys.argv[1]))
