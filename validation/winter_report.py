#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Runs `coilbed-validate winter`, puts its table into validation/README.md and draws winter.svg.

    /usr/bin/python3 validation/winter_report.py build/release/coilbed-validate
    /usr/bin/python3 validation/winter_report.py --from TABLE.md SERIES.csv   (without running it)
"""
import csv
import pathlib
import subprocess
import sys
import tempfile

import matplotlib

matplotlib.use("svg")
import matplotlib.pyplot as plt

HERE = pathlib.Path(__file__).resolve().parent
BEGIN, END = "<!-- winter table -->", "<!-- end of winter table -->"
RESOLVED, TWO_SCALE = "#1b1b1b", "#d1660a"


def run(program):
    with tempfile.TemporaryDirectory() as folder:
        series = pathlib.Path(folder) / "series.csv"
        done = subprocess.run([program, "winter", "--markdown", "--series", str(series)],
                              stdout=subprocess.PIPE, text=True, check=False)
        if done.returncode > 1:
            sys.exit("winter_report: the program computed nothing")
        return done.stdout, series.read_text()


def put_table(table):
    readme = HERE / "README.md"
    text = readme.read_text()
    before, rest = text.split(BEGIN)
    after = rest.split(END)[1]
    readme.write_text(f"{before}{BEGIN}\n\n{table.strip()}\n\n{END}{after}")


def read_cases(series):
    cases = {}
    for row in csv.DictReader(series.splitlines()):
        one = cases.setdefault(row["case"], {"day": [], "two": [], "resolved": []})
        one["day"].append(float(row["hour"]) / 24.0)
        one["two"].append(float(row["two_scale_c"]))
        one["resolved"].append(float(row["resolved_c"]))
    return cases


def draw(series):
    cases = read_cases(series)
    rows = (len(cases) + 2) // 3
    plt.rcParams.update({"svg.hashsalt": "coilbed", "font.size": 8, "svg.fonttype": "none"})
    figure, axes = plt.subplots(rows, 3, figsize=(10, 2.3 * rows), sharex=True, squeeze=False)
    for axis, (name, one) in zip(axes.flat, cases.items()):
        axis.plot(one["day"], one["resolved"], color=RESOLVED, linewidth=1.4, label="resolved in 3-D")
        axis.plot(one["day"], one["two"], color=TWO_SCALE, linewidth=0.7, label="two scales")
        axis.set_title(name, loc="left")
        axis.axhline(0.0, color="#bbbbbb", linewidth=0.5, zorder=0)
        for side in ("top", "right"):
            axis.spines[side].set_visible(False)
    for axis in axes[-1]:
        axis.set_xlabel("day of January")
    for row in axes:
        row[0].set_ylabel("pipe wall, °C")
    for axis in list(axes.flat)[len(cases):]:
        axis.set_visible(False)
    axes[0][0].legend(frameon=False, loc="lower left")
    figure.tight_layout()
    figure.savefig(HERE / "winter.svg", metadata={"Date": None})


def main():
    if len(sys.argv) == 4 and sys.argv[1] == "--from":
        table, series = (pathlib.Path(name).read_text() for name in sys.argv[2:])
    elif len(sys.argv) == 2:
        table, series = run(sys.argv[1])
    else:
        sys.exit(__doc__)
    put_table(table)
    draw(series)


if __name__ == "__main__":
    main()
