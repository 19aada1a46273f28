// SPDX-License-Identifier: MIT
#include "design/schema.h"

// ---- climate file ----------------------------------------------------------------------------

#define MONTHLY(NAME, KIND, MEMBER, LOW, HIGH, HELP)                                               \
    {                                                                                              \
        .name = (NAME), .type = CBX_VALUES, .kind = (KIND),                                        \
        .offset = offsetof(cb_normals, MEMBER), .minimum = (LOW), .maximum = (HIGH),               \
        .least = CB_MONTHS, .most = CB_MONTHS, .required = true, .help = (HELP)                    \
    }

const cbx_row cbx_climate_rows[] = {
    {.name = "name",
     .type = CBX_TEXT,
     .offset = offsetof(cb_normals, name),
     .required = true,
     .help = "what the climate is called in reports"},
    MONTHLY("air_temperature", CB_TEMPERATURE, air_temperature_c, -60, 45,
            "monthly mean, January first"),
    MONTHLY("daily_range", CB_TEMPERATURE_DIFFERENCE, daily_range_k, 0, 30,
            "mean daily highest minus mean daily lowest"),
    MONTHLY("solar", CB_SOLAR_ENERGY, solar_j_m2_day, 0, 45e6,
            "mean global horizontal radiation per day"),
    MONTHLY("dew_point", CB_TEMPERATURE, dew_point_c, -65, 35, "monthly mean"),
    MONTHLY("wind", CB_SPEED, wind_m_s, 0, 25, "monthly mean speed at 10 m"),
    MONTHLY("day_to_day", CB_TEMPERATURE_DIFFERENCE, day_to_day_k, 0, 15,
            "standard deviation of the daily mean temperature within the month"),
    {.name = "precipitation",
     .type = CBX_VALUES,
     .kind = CB_SMALL_LENGTH,
     .offset = offsetof(cb_normals, precipitation_kg_m2),
     .per = 0.001, // 1 mm of water is 1 kg/m2
     .minimum = 0,
     .maximum = 4000,
     .least = CB_MONTHS,
     .most = CB_MONTHS,
     .reason = "not known, so the yard gets neither snow nor rain",
     .help = "rain and melted snow of the whole month, e.g. 45 mm or 1.8 in"},
    {.name = NULL},
};

// ---- weather block ---------------------------------------------------------------------------

static bool file_is_given(const void *base)
{
    return ((const cb_design_weather *)base)->file != NULL;
}

static bool is_generated(const void *base)
{
    return ((const cb_design_weather *)base)->file == NULL;
}

static bool has_columns(const void *base)
{
    return ((const cb_design_weather *)base)->format == CB_WEATHER_COLUMNS;
}

static bool snaps(const void *base)
{
    return ((const cb_hard_winter *)base)->has_cold_snap;
}

static bool has_wave(const void *base)
{
    return ((const cb_hot_summer *)base)->has_heat_wave;
}

#define COLUMN(NAME, HELP)                                                                         \
    {                                                                                              \
        .name = "column", .type = CBX_TEXT, .offset = offsetof(cb_weather_columns, NAME),          \
        .required = true, .help = (HELP)                                                           \
    }
#define COLUMN_WITH_UNIT(NAME, HELP)                                                               \
    static const cbx_row NAME##_rows[] = {                                                         \
        COLUMN(NAME, "name of the column in the file's heading"),                                  \
        {.name = "unit",                                                                           \
         .type = CBX_TEXT,                                                                         \
         .offset = offsetof(cb_weather_columns, NAME##_unit),                                      \
         .help = (HELP)},                                                                          \
        {.name = NULL},                                                                            \
    }

COLUMN_WITH_UNIT(air_temperature, "degC or degF; degC when left out");
COLUMN_WITH_UNIT(dew_point, "degC or degF; degC when left out");
COLUMN_WITH_UNIT(solar, "W/m2 when left out");
COLUMN_WITH_UNIT(wind, "m/s when left out");
COLUMN_WITH_UNIT(cloud, "fraction, percent or tenths; fraction when left out");
COLUMN_WITH_UNIT(precipitation, "mm or in, of each row's interval; mm when left out");
COLUMN_WITH_UNIT(snow_depth, "m, cm, mm or in; m when left out");
static const cbx_row longwave_rows[] = {
    COLUMN(longwave, "name of the column, in W/m2"),
    {.name = NULL},
};
static const cbx_row relative_humidity_rows[] = {
    COLUMN(relative_humidity, "name of the column, in percent"),
    {.name = NULL},
};

#define COLUMN_BLOCK(NAME, HELP)                                                                   \
    {                                                                                              \
        .name = #NAME, .type = CBX_BLOCK, .optional_block = true, .rows = NAME##_rows,             \
        .help = (HELP)                                                                             \
    }

static const char *const stamps[] = {"beginning", "ending", NULL};

static const cbx_row columns[] = {
    COLUMN_BLOCK(air_temperature, "outdoor air temperature"),
    COLUMN_BLOCK(dew_point, "dew point; or give relative_humidity"),
    COLUMN_BLOCK(relative_humidity, "relative humidity; or give dew_point"),
    COLUMN_BLOCK(solar, "global horizontal radiation"),
    COLUMN_BLOCK(wind, "wind speed at 10 m"),
    COLUMN_BLOCK(cloud, "cloud cover"),
    COLUMN_BLOCK(precipitation, "rain and melted snow of each row"),
    COLUMN_BLOCK(snow_depth, "measured snow depth on the ground"),
    COLUMN_BLOCK(longwave, "longwave from the sky, measured; reckoned from clouds when left out"),
    {.name = "header_lines",
     .type = CBX_WHOLE,
     .offset = offsetof(cb_weather_columns, header_lines),
     .minimum = 0,
     .maximum = 1000,
     .standard = "0",
     .reason = "the first line of a CSV file usually names its columns",
     .help = "lines before the line of column names"},
    {.name = "hour",
     .type = CBX_SWITCH,
     .offset = offsetof(cb_weather_columns, hour_ending),
     .choices = stamps,
     .standard = "beginning",
     .reason = "taken when the file does not say; an hour off moves the sun, not the winter",
     .help = "whether a row's stamp is the beginning or the end of its hour"},
    {.name = "first",
     .type = CBX_DATE,
     .offset = offsetof(cb_weather_columns, first_month),
     .offset_2 = offsetof(cb_weather_columns, first_day),
     .standard = "01-01",
     .reason = "most yearly files begin on 1 January",
     .help = "month and day of the first row"},
    {.name = NULL},
};

static const cbx_row hard_winter[] = {
    {.name = "year",
     .type = CBX_WHOLE,
     .offset = offsetof(cb_hard_winter, year),
     .minimum = 1,
     .maximum = 100,
     .word = "last",
     .word_value = -1,
     .required = true,
     .help = "year of the run, 1 being the first; or last"},
    {.name = "one_in",
     .type = CBX_QUANTITY,
     .kind = CB_NUMBER,
     .offset = offsetof(cb_hard_winter, one_in_years),
     .minimum = 2,
     .maximum = 1000,
     .required = true,
     .help = "a winter this cold comes once in so many years"},
    {.name = "cold_snap",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_hard_winter, cold_snap_c),
     .minimum = -70,
     .maximum = 20,
     .flagged = true,
     .flag = offsetof(cb_hard_winter, has_cold_snap),
     .applies = snaps,
     .help = "lowest hour of a cold snap in that winter; none when left out"},
    {.name = "snap_length",
     .type = CBX_QUANTITY,
     .kind = CB_TIME,
     .offset = offsetof(cb_hard_winter, snap_days),
     .per = 86400,
     .minimum = 1,
     .maximum = 30,
     .applies = snaps,
     .standard = "5 days",
     .reason = "common practice, no source",
     .help = "how long the cold snap lasts"},
    {.name = "snow",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_hard_winter, snow_share),
     .minimum = 0,
     .maximum = 3,
     .standard = "100 %",
     .reason = "as much as in the typical year",
     .help = "rain and snow of that November-March as a share of the usual; frost goes deepest at "
             "0 %"},
    {.name = NULL},
};

static const cbx_row hot_summer[] = {
    {.name = "year",
     .type = CBX_WHOLE,
     .offset = offsetof(cb_hot_summer, year),
     .minimum = 1,
     .maximum = 100,
     .word = "last",
     .word_value = -1,
     .required = true,
     .help = "year of the run, 1 being the first; or last"},
    {.name = "one_in",
     .type = CBX_QUANTITY,
     .kind = CB_NUMBER,
     .offset = offsetof(cb_hot_summer, one_in_years),
     .minimum = 2,
     .maximum = 1000,
     .required = true,
     .help = "a summer this hot comes once in so many years"},
    {.name = "heat_wave",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE,
     .offset = offsetof(cb_hot_summer, heat_wave_c),
     .minimum = -10,
     .maximum = 60,
     .flagged = true,
     .flag = offsetof(cb_hot_summer, has_heat_wave),
     .applies = has_wave,
     .help = "highest hour of a heat wave in that summer; none when left out"},
    {.name = "wave_length",
     .type = CBX_QUANTITY,
     .kind = CB_TIME,
     .offset = offsetof(cb_hot_summer, wave_days),
     .per = 86400,
     .minimum = 1,
     .maximum = 30,
     .applies = has_wave,
     .standard = "5 days",
     .reason = "common practice, no source",
     .help = "how long the heat wave lasts"},
    {.name = "rain",
     .type = CBX_QUANTITY,
     .kind = CB_FRACTION,
     .offset = offsetof(cb_hot_summer, rain_share),
     .minimum = 0,
     .maximum = 3,
     .standard = "50 %",
     .reason = "hot summers are dry ones; common practice, no source",
     .help = "rain of that May-September as a share of the usual"},
    {.name = NULL},
};

static const char *const formats[] = {"normals", "tmy3", "nsrdb", "pvgis", "columns", NULL};

const cbx_row cbx_weather_rows[] = {
    {.name = "normals",
     .type = CBX_NORMALS,
     .offset = offsetof(cb_design_weather, normals),
     .applies = is_generated,
     .rows = cbx_climate_rows,
     .help = "a climate file of monthly normals (or its keys, in place) from which a year is made"},
    {.name = "file",
     .type = CBX_FILE,
     .offset = offsetof(cb_design_weather, file),
     .applies = file_is_given,
     .help = "a CSV file of hourly weather, instead of normals"},
    {.name = "format",
     .type = CBX_CHOICE,
     .offset = offsetof(cb_design_weather, format),
     .choices = formats,
     .applies = file_is_given,
     .required = true,
     .help = "what the file is: tmy3, nsrdb, pvgis, or columns described below"},
    {.name = "columns",
     .type = CBX_BLOCK,
     .offset = offsetof(cb_design_weather, columns),
     .rows = columns,
     .applies = has_columns,
     .help = "which column holds what (format: columns)"},
    {.name = "seed",
     .type = CBX_WHOLE,
     .offset = offsetof(cb_design_weather, seed),
     .minimum = 0,
     .maximum = 2147483647,
     .applies = is_generated,
     .standard = "7",
     .reason = "any number does; the same number gives the same year",
     .help = "start of the random numbers that make a year from normals"},
    {.name = "winter_deviation",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE_DIFFERENCE,
     .offset = offsetof(cb_design_weather, winter_deviation_k),
     .minimum = 0.1,
     .maximum = 8,
     .standard = "2.2 K",
     .reason = "inland mid-latitude stations, from memory; better from the site's own records",
     .help = "standard deviation of the December-February mean from year to year"},
    {.name = "hard_winters",
     .type = CBX_LIST,
     .offset = offsetof(cb_design_weather, hard_winter),
     .counted = true,
     .offset_2 = offsetof(cb_design_weather, hard_winter_count),
     .stride = sizeof(cb_hard_winter),
     .least = 0,
     .most = CB_MAX_HARD_WINTERS,
     .rows = hard_winter,
     .reason = "none asked for: the typical winter is repeated, which hides the hard ones",
     .help = "winters made colder than the typical one"},
    {.name = "summer_deviation",
     .type = CBX_QUANTITY,
     .kind = CB_TEMPERATURE_DIFFERENCE,
     .offset = offsetof(cb_design_weather, summer_deviation_k),
     .minimum = 0.1,
     .maximum = 8,
     .standard = "1.5 K",
     .reason = "inland mid-latitude stations, from memory; better from the site's own records",
     .help = "standard deviation of the June-August mean from year to year"},
    {.name = "hot_summers",
     .type = CBX_LIST,
     .offset = offsetof(cb_design_weather, hot_summer),
     .counted = true,
     .offset_2 = offsetof(cb_design_weather, hot_summer_count),
     .stride = sizeof(cb_hot_summer),
     .least = 0,
     .most = CB_MAX_HOT_SUMMERS,
     .rows = hot_summer,
     .reason = "none asked for: the typical summer is repeated",
     .help = "summers made hotter and drier than the typical one"},
    {.name = NULL},
};
