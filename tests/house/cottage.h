// SPDX-License-Identifier: MIT
/// The starter design with an invented cottage in place of its load line.
#ifndef TESTS_HOUSE_COTTAGE_H
#define TESTS_HOUSE_COTTAGE_H

#include "coilbed/house.h"
#include "weather/support.h"

static const char cottage_house[] =
    "house:\n"
    "  envelope:                     # an INVENTED cottage\n"
    "    floor_area: 1800 ft2        # heated, all storeys\n"
    "    storeys: 2\n"
    "    mass: medium\n"
    "    walls: {area: 1500 ft2, u_value: 0.06 BTU/h/ft2/degF}\n"
    "    roof: {area: 900 ft2, u_value: 0.03 BTU/h/ft2/degF}\n"
    "    doors: {area: 40 ft2}\n"
    "    slab: {area: 900 ft2, perimeter: 120 ft, resistance: 10 h.ft2.degF/BTU}\n"
    "    windows:\n"
    "      - {area: 120 ft2, azimuth: 180 deg}\n"
    "      - {area: 40 ft2, azimuth: 90 deg, shade: 50 %}\n"
    "      - {area: 10 ft2, azimuth: 0 deg, tilt: 40 deg}   # in the roof\n"
    "    air_changes_at_50_pa: 3\n"
    "    ventilation: 60 cfm\n"
    "    heat_recovery: 70 %\n"
    "    gains: 500 W\n"
    "    gains_by_hour: [1, 1, 1, 1, 1, 1, 2, 3, 2, 1, 1, 1, 2, 1, 1, 1, 1, 3, 4, 4, 3, 3, 2, 1]\n"
    "    heating_setpoint: 70 degF\n"
    "    heating_night: 65 degF\n"
    "    cooling_setpoint: 76 degF\n"
    "\n";

/// The whole text, its first `find` replaced (nothing if find is NULL). Owned by the caller.
static inline char *cottage_with(const char *find, const char *replace)
{
    const char *starter = cb_starter_design();
    const char *house = strstr(starter, "house:\n"), *limits = strstr(starter, "limits:\n");
    assert_true(house && limits);
    const size_t size =
        strlen(starter) + sizeof cottage_house + (replace ? strlen(replace) : 0) + 1;
    char *plain = calloc(1, size), *text = calloc(1, size);
    assert_true(plain && text);
    snprintf(plain, size, "%.*s%s%s", (int)(house - starter), starter, cottage_house, limits);
    const char *at = find ? strstr(plain, find) : plain;
    assert_non_null(at);
    snprintf(text, size, "%.*s%s%s", (int)(at - plain), plain, replace ? replace : "",
             at + (find ? strlen(find) : 0));
    free(plain);
    return text;
}

/// Line (1-based) on which `find` stands.
static inline int cottage_line(const char *text, const char *find)
{
    const char *at = strstr(text, find);
    assert_non_null(at);
    int line = 1;
    for (const char *c = text; c < at; c++) {
        line += *c == '\n';
    }
    return line;
}

static inline cb_status cottage_read(cb_design **out, const char *text, const cb_units *units,
                                     cb_error *error)
{
    const cb_override climate = {"weather.normals", cb_starter_climate()};
    return cb_design_parse(out, text, "cottage.yaml", &climate, 1, units, error);
}

#endif
