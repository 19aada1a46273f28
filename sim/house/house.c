// SPDX-License-Identifier: MIT
#include "coilbed/house.h"
#include "house/envelope.h"
#include "house/loads.h"

#include <stdlib.h>

static cb_status fill(cb_house *house, const cb_design *design, const cb_run_weather *weather,
                      const cb_units *units, cb_error *error)
{
    const size_t hours = (size_t)house->hours;
    house->heating_w = calloc(hours, sizeof *house->heating_w);
    house->cooling_w = calloc(hours, sizeof *house->cooling_w);
    if (!house->heating_w || !house->cooling_w) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for %ld hours of loads", house->hours);
    }
    switch (design->house.model) {
        case CB_HOUSE_LOAD_LINE:
            return cbx_load_line(house, design, weather, error);
        case CB_HOUSE_LOAD_FILE:
            return cbx_load_file(house, design, units, error);
        case CB_HOUSE_ENVELOPE:
            return cbx_envelope_loads(house, design, weather, error);
    }
    return cb_fail(error, CB_BAD_CALL, "there is no house model %d", (int)design->house.model);
}

static void take_share(cb_house *house, double share)
{
    for (long hour = 0; share != 1.0 && hour < house->hours; hour++) {
        house->heating_w[hour] *= share;
        house->cooling_w[hour] *= share;
    }
}

cb_status cb_house_create(cb_house **out, const cb_design *design, const cb_run_weather *weather,
                          const cb_units *units, cb_error *error)
{
    if (!out) {
        return cb_fail(error, CB_BAD_CALL, "cb_house_create: out is NULL");
    }
    *out = NULL;
    if (!design || !weather) {
        return cb_fail(error, CB_BAD_CALL, "cb_house_create: design or weather is NULL");
    }
    if (design->run.years < 1 || design->run.years > 100) {
        return cb_design_fail(design, "run.years", error, "%d years; expected 1 to 100",
                              design->run.years);
    }
    cb_house *house = calloc(1, sizeof *house);
    if (!house) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the house's loads");
    }
    house->hours = (long)design->run.years * CB_YEAR_HOURS;
    const cb_status status = fill(house, design, weather, units, error);
    if (status == CB_OK) {
        take_share(house, cbx_house_share(design));
    } else {
        house = cb_house_destroy(house);
    }
    *out = house;
    return status;
}

cb_house *cb_house_destroy(cb_house *house)
{
    if (house) {
        free(house->heating_w);
        free(house->cooling_w);
        free(house);
    }
    return NULL;
}
