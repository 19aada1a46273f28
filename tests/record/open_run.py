# SPDX-License-Identifier: MIT
"""Opens a run as a user would and checks what a user relies on. Prints what is wrong; exit 1."""

import sys
import warnings

try:
    import h5py
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


def group(name):
    return xarray.open_dataset(sys.argv[1], group=name, engine="h5netcdf").load()


HOURS, DAYS, SLICES, NZ, NX = (int(text) for text in sys.argv[2:7])
UNITS = {
    "loop": {
        "entering_water_temperature": "degree_Celsius",
        "leaving_water_temperature": "degree_Celsius",
        "coldest_fluid_temperature": "degree_Celsius",
        "hottest_fluid_temperature": "degree_Celsius",
        "flow_rate": "kg s-1",
        "reynolds_number": "1",
        "heat_from_ground": "W",
        "pump_fraction": "1",
    },
    "plant": dict.fromkeys(
        ["heating_output", "cooling_output", "compressor_power", "pump_power", "backup_power",
         "unmet_load"], "W"),
    "house": dict.fromkeys(["heating_load", "cooling_load"], "W"),
    "weather": {
        "air_temperature": "degree_Celsius",
        "dew_point_temperature": "degree_Celsius",
        "solar_radiation": "W m-2",
        "wind_speed": "m s-1",
        "longwave_radiation": "W m-2",
        "precipitation": "kg m-2",
    },
    "ground": {
        "surface_temperature": "degree_Celsius",
        "snow_depth": "m",
        "root_zone_dryness": "1",
    },
}
for name, variables in UNITS.items():
    data = group(name)
    for variable, units in variables.items():
        check(f"{name}/{variable} units", data[variable].attrs.get("units"), units)
        check(f"{name}/{variable} dims", data[variable].dims, ("time",))
        check(f"{name}/{variable} length", data[variable].size, HOURS)
    check(f"{name} first date", str(data.time.values[0])[:13], "2001-10-01T00")
    check(f"{name} last date", data.time.values[-1] - data.time.values[0],
          numpy.timedelta64(HOURS - 1, "h"))
    check(f"{name} is indexed by date", "time" in data.indexes, True)
first_day = group("loop").sel(time="2001-10-02")
check("a day selected by its date", first_day.sizes["time"], 24)
check("snow", group("ground").snow_depth.attrs["standard_name"], "surface_snow_thickness")
check("precipitation", group("weather").precipitation.attrs["cell_methods"], "time: sum")
check("standard name", group("weather").air_temperature.attrs["standard_name"], "air_temperature")

GROUND = {
    "undisturbed_temperature": (("day", "depth"), (DAYS, NZ)),
    "undisturbed_mean": (("depth",), (NZ,)),
    "undisturbed_amplitude": (("depth",), (NZ,)),
    "undisturbed_coldest_day": (("depth",), (NZ,)),
    "undisturbed_lowest": (("depth",), (NZ,)),
    "undisturbed_highest": (("depth",), (NZ,)),
    "frost_depth": ((), ()),
    "longest_snow_cover": ((), ()),
    "section_temperature": (("day", "slice", "z", "x"), (DAYS, SLICES, NZ, NX)),
    "section_ice_fraction": (("day", "slice", "z", "x"), (DAYS, SLICES, NZ, NX)),
    "coil_depth_temperature": (("day", "slice"), (DAYS, SLICES)),
    "pipe_wall_temperature": (("day", "slice"), (DAYS, SLICES)),
    "ice_radius": (("day", "slice"), (DAYS, SLICES)),
}
ground = group("ground")
for name, (dims, shape) in GROUND.items():
    check(f"ground/{name} dims", ground[name].dims, dims)
    check(f"ground/{name} shape", ground[name].shape, shape)
for name in ("day", "slice", "z", "x", "depth"):
    check(f"ground/{name} is a coordinate", name in ground.coords, True)
check("ground/day dates", str(ground.day.values[1])[:10], "2001-10-02")
check("z units", ground.z.attrs["units"], "m")
kept = ground.section_kept == 1
check("days kept", int(kept.sum()), -(-DAYS // 7))
check("sections of kept days are whole",
      bool(ground.section_temperature[kept.values].isnull().any()), False)
check("sections of other days are missing",
      bool(ground.section_temperature[~kept.values].isnull().all()), True)

annual = group("annual")
loop = group("loop")
coldest = loop.coldest_fluid_temperature
check("annual minimum", float(annual.coldest_fluid_temperature_minimum[0]),
      float(coldest[:8760].min()))
at = int(annual.coldest_fluid_temperature_minimum_hour[0])
check("hour of the annual minimum", float(coldest[at]), float(coldest[:8760].min()))
check("energy units", annual.heating_energy.attrs["units"], "J")
energy = float(annual.heating_energy[0])
check("annual energy", abs(energy / float(group("plant").heating_output[:8760].sum() * 3600) - 1)
      < 1e-12, True)
check("calendar months", [int(month) for month in group("monthly").calendar_month[:4]],
      [10, 11, 12, 1])

with warnings.catch_warnings():
    # xarray 2023.01 with numpy 1.24 remarks on casting a missing time, rightly decoded as NaT.
    warnings.filterwarnings("ignore", "invalid value encountered in cast", RuntimeWarning)
    findings = group("findings")
check("finding codes", list(findings.code.values), ["freeze_margin", "drift"])
check("finding sentence", findings.sentence.values[0], "Frei bei −8,5 °C.")
check("finding units", list(findings.unit.values), ["degree_Celsius", "K"])
check("finding time", str(findings.time.values[0])[:13], "2001-10-01T05")
check("finding without a time", bool(numpy.isnat(findings.time.values[1])), True)

root = group("/")
check("complete", int(root.attrs["complete"]), 1)
check("hours", int(root.hours_done), HOURS)
check("conventions", root.attrs["Conventions"], "CF-1.8")
check("steps", int(group("quality").attrs["steps"]), 12345)
check("text of the design", "invented sample" in group("design").resolved_text.values.item(), True)
with h5py.File(sys.argv[1], "r") as file:
    for name in ("loop/flow_rate", "ground/section_temperature"):
        check(f"{name} is checksummed, packed and growing",
              (file[name].fletcher32, file[name].shuffle, file[name].compression,
               file[name].maxshape[0]), (True, True, "gzip", None))

print("\n".join(wrong))
sys.exit(1 if wrong else 0)
