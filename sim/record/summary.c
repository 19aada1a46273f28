// SPDX-License-Identifier: MIT
#include "record/summary.h"

#include <math.h>
#include <stddef.h>

#define HOUR(field) offsetof(cb_hour, field)
#define EXTREME(name, text, kind, field)                                                           \
    {name, "degree_Celsius", text, kind, HOUR(field)},                                             \
    {                                                                                              \
        name "_hour", "h", "run hour of the " text, CBX_WHEN, HOUR(field)                          \
    }

const cbx_column cbx_column_table[CBX_COLUMNS] = {
    {"hours", "h", "hours summed up in this row", CBX_COUNT, HOUR(pump_fraction)},
    EXTREME("entering_water_temperature_minimum", "least hourly entering water temperature",
            CBX_MINIMUM, entering_water_c),
    EXTREME("entering_water_temperature_maximum", "greatest hourly entering water temperature",
            CBX_MAXIMUM, entering_water_c),
    EXTREME("leaving_water_temperature_minimum", "least hourly leaving water temperature",
            CBX_MINIMUM, leaving_water_c),
    EXTREME("leaving_water_temperature_maximum", "greatest hourly leaving water temperature",
            CBX_MAXIMUM, leaving_water_c),
    EXTREME("coldest_fluid_temperature_minimum", "least hourly coldest-fluid temperature",
            CBX_MINIMUM, coldest_fluid_c),
    EXTREME("coldest_fluid_temperature_maximum", "greatest hourly coldest-fluid temperature",
            CBX_MAXIMUM, coldest_fluid_c),
    EXTREME("hottest_fluid_temperature_maximum", "greatest hourly hottest-fluid temperature",
            CBX_MAXIMUM, hottest_fluid_c),
    {"heating_energy", "J", "heat delivered by the compressors", CBX_ENERGY,
     HOUR(heating_output_w)},
    {"cooling_energy", "J", "cooling delivered by the compressors", CBX_ENERGY,
     HOUR(cooling_output_w)},
    {"compressor_energy", "J", "electricity of the compressors", CBX_ENERGY,
     HOUR(compressor_power_w)},
    {"fan_energy", "J", "electricity of the units' fans, where it is told apart", CBX_ENERGY,
     HOUR(fan_power_w)},
    {"pump_energy", "J", "electricity of the circulators", CBX_ENERGY, HOUR(pump_power_w)},
    {"backup_energy", "J", "electric backup heat", CBX_ENERGY, HOUR(backup_power_w)},
    {"unmet_energy", "J", "heating or cooling asked for and not delivered", CBX_ENERGY,
     HOUR(unmet_load_w)},
    {"desuperheater_heat", "J", "heat of the units into the hot water", CBX_ENERGY,
     HOUR(desuperheater_w)},
    {"element_energy", "J", "electric heat into the hot water", CBX_ENERGY, HOUR(element_power_w)},
    {"hot_water_heat", "J", "heat drawn as hot water", CBX_ENERGY, HOUR(hot_water_w)},
    {"hot_water_unmet_heat", "J", "what the hot water drawn lacked", CBX_ENERGY,
     HOUR(hot_water_unmet_w)},
    {"heat_from_ground", "J", "heat from the ground into the fluid", CBX_ENERGY,
     HOUR(heat_from_ground_w)},
    {"house_heating_load", "J", "heating load of the house", CBX_ENERGY, HOUR(heating_load_w)},
    {"house_cooling_load", "J", "cooling load of the house", CBX_ENERGY, HOUR(cooling_load_w)},
    {"pump_run_hours", "h", "time the circulators ran", CBX_HOURS, HOUR(pump_fraction)},
    {"backup_hours", "h", "hours with any backup heat", CBX_HOURS_ABOVE, HOUR(backup_power_w)},
    {"unmet_hours", "h", "hours with any load not delivered", CBX_HOURS_ABOVE, HOUR(unmet_load_w)},
};

cbx_summary cbx_summary_start(long first_hour)
{
    cbx_summary summary = {.first_hour = first_hour};
    for (int c = 0; c < CBX_COLUMNS; c++) {
        const cbx_column_kind kind = cbx_column_table[c].kind;
        if (kind == CBX_MINIMUM || kind == CBX_MAXIMUM) {
            summary.value[c] = NAN;
        } else if (kind == CBX_WHEN) {
            summary.value[c] = -1.0;
        }
    }
    return summary;
}

void cbx_summary_add(cbx_summary *summary, const cb_hour *hour)
{
    static const double hour_s = 3600.0;
    for (int c = 0; c < CBX_COLUMNS; c++) {
        const cbx_column *column = &cbx_column_table[c];
        const double now = *(const double *)((const char *)hour + column->hour_offset);
        double *value = &summary->value[c];
        switch (column->kind) {
            case CBX_MINIMUM:
            case CBX_MAXIMUM:
                if (isnan(*value) || (column->kind == CBX_MINIMUM ? now < *value : now > *value)) {
                    *value = now;
                    value[1] = (double)hour->run_hour;
                }
                break;
            case CBX_WHEN:
                break;
            case CBX_ENERGY:
                *value += now * hour_s;
                break;
            case CBX_HOURS:
                *value += now;
                break;
            case CBX_HOURS_ABOVE:
                *value += now > 0.0 ? 1.0 : 0.0;
                break;
            case CBX_COUNT:
                *value += 1.0;
                break;
        }
    }
}
