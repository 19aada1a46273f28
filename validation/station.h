// SPDX-License-Identifier: MIT
// A measured station: soil temperature by depth, and the weather above it if the file has any.
#ifndef VALIDATION_STATION_H
#define VALIDATION_STATION_H

#include "coilbed/status.h"

enum { STATION_MOST_DEPTHS = 32, STATION_NAME_SIZE = 80 };

typedef enum station_kind {
    STATION_AIR_C,
    STATION_LOW_C, // of the day
    STATION_HIGH_C,
    STATION_HUMIDITY, // per cent
    STATION_DEW_POINT_C,
    STATION_SOLAR_W_M2, // mean of the day or hour
    STATION_SUNSHINE_H,
    STATION_CLOUD,    // fraction of the sky
    STATION_WIND_M_S, // taken to be at 10 m
    STATION_RAIN_MM,
    STATION_SNOW_DEPTH_M,
    STATION_PRESSURE_KPA,
    STATION_SURFACE_C, // a thermometer on the ground
    STATION_KINDS
} station_kind;

// Values are as read: NaN is missing.
typedef struct station {
    char file[CB_PATH_SIZE], name[STATION_NAME_SIZE], id[32];
    double latitude_deg, longitude_deg, elevation_m; // NaN: not in the file
    int per_day;                                     // 24 or 1 values a day
    long first_day;                                  // since 1970-01-01, local standard time
    int days;
    double *value[STATION_KINDS]; // [days * per_day]; NULL: never measured
    int depths;
    double depth_m[STATION_MOST_DEPTHS];  // rising
    double *soil_c[STATION_MOST_DEPTHS];  // [days * per_day]
    double *daily_c[STATION_MOST_DEPTHS]; // [days] daily means, spikes taken out
} station;

typedef struct station_list {
    int count;
    station *one;
} station_list;

// Appends the stations of a file, whatever its format (station_columns.c); a file may be compressed
// by gzip. Errors: CB_IO, CB_BAD_INPUT with file and line, CB_NO_MEMORY; the list stays valid.
cb_status station_read(station_list *list, const char *path, cb_error *error);
void station_list_free(station_list *list);

// Daily means of the soil where three quarters of the day are there. At 1 m and deeper a day that
// departs by more than 2 K from the median of the week around it is a fault of the instrument.
cb_status station_daily_soil(station *one, cb_error *error);

#endif
