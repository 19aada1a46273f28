// SPDX-License-Identifier: MIT
#include "coilbed/energy.h"

#include "findings/months.h"
#include "findings/summary.h"

#include <math.h>

double cb_energy_use_sum(const cb_energy_use *use)
{
    return use->heating_compressor_j + use->cooling_compressor_j + use->fan_j + use->pump_j +
           use->backup_j + use->element_j;
}

typedef struct gathering {
    cb_energy_sheet *sheet;
    int first_month, years;
} gathering;

static void add_use(cb_energy_use *sum, const cb_energy_use *part)
{
    sum->heating_compressor_j += part->heating_compressor_j;
    sum->cooling_compressor_j += part->cooling_compressor_j;
    sum->fan_j += part->fan_j;
    sum->pump_j += part->pump_j;
    sum->backup_j += part->backup_j;
    sum->element_j += part->element_j;
}

static void add_month(void *context, const cbx_month *month)
{
    const gathering *of = context;
    const double years = of->sheet->years;
    if (month->run_year > of->years) {
        return; // of a year that is not whole
    }
    const cb_energy_use use = {.heating_compressor_j = month->heating_compressor_j / years,
                               .cooling_compressor_j = month->cooling_compressor_j / years,
                               .fan_j = month->fan_j / years,
                               .pump_j = month->pump_j / years,
                               .backup_j = month->backup_j / years,
                               .element_j = month->element_j / years};
    cb_energy_month *to = &of->sheet->month[(month->month - of->first_month + 12) % 12];
    add_use(&to->use, &use);
    add_use(&of->sheet->year, &use);
    to->heating_load_j += month->heating_load_j / years;
    to->cooling_load_j += month->cooling_load_j / years;
    to->from_ground_j += (month->from_ground_j - month->to_ground_j) / years;
}

static void divide(cb_alternative *one, double years)
{
    one->heating_electricity_j /= years;
    one->backup_electricity_j /= years;
    one->cooling_electricity_j /= years;
    one->fuel_j /= years;
    one->uncooled_j /= years;
}

static cb_status compare(cb_energy_sheet *sheet, const cb_run_data *data, long hours,
                         cb_error *error)
{
    const double least_w = 1000.0; // smaller machines are not sold
    const cb_house house = {hours, data->heating_load_w, data->cooling_load_w};
    sheet->air_rated_w = least_w;
    for (long h = 0; h < hours; h++) {
        sheet->air_rated_w = fmax(sheet->air_rated_w, data->heating_load_w[h]);
    }
    const cb_alternatives_given usual = cb_alternatives_usual(sheet->air_rated_w);
    cb_alternatives *others = &sheet->others;
    const cb_status status =
        cb_house_alternatives(others, &house, data->air_temperature_c, &usual, error);
    others->heating_j /= sheet->years;
    others->cooling_j /= sheet->years;
    divide(&others->air_source, sheet->years);
    divide(&others->resistance, sheet->years);
    divide(&others->furnace, sheet->years);
    const cb_alternative *air = &others->air_source;
    sheet->air_source_j =
        air->heating_electricity_j + air->backup_electricity_j + air->cooling_electricity_j;
    return status;
}

static void fill_ratios(cb_energy_sheet *sheet, const cbx_summary *summary)
{
    const cbx_period total = cbx_summary_total(summary);
    const double own_j = cb_energy_use_sum(&sheet->year) - sheet->year.element_j;
    const double useful_j = (total.heating.output_j + total.heating.into_tank_j +
                             total.cooling.output_j + total.backup_j) /
                            sheet->years;
    sheet->heating_cop = cbx_heating_performance(&total);
    sheet->cooling_cop = cbx_cooling_performance(&total);
    sheet->whole_cop = own_j > 0.0 ? useful_j / own_j : NAN;
    sheet->saved_share = sheet->air_source_j > 0.0 ? 1.0 - own_j / sheet->air_source_j : NAN;
}

cb_status cb_energy_sheet_of(cb_energy_sheet *out, const cb_run_data *data, const cb_design *design,
                             cb_error *error)
{
    if (!out || !data || !design || !data->air_temperature_c) {
        return cb_fail(error, CB_BAD_CALL, "an energy sheet needs a place, a whole run and design");
    }
    cbx_summary *summary;
    cb_status status = cbx_summary_create(&summary, data, design, error);
    if (status != CB_OK) {
        return status;
    }
    *out = (cb_energy_sheet){.years = cbx_summary_average_years(summary),
                             .whole = summary->whole_years > 0};
    for (int m = 0; m < 12; m++) {
        out->month[m].month = (design->run.start_month - 1 + m) % 12 + 1;
    }
    gathering of = {out, design->run.start_month, out->whole ? summary->whole_years : 1};
    cbx_months(data, &design->run, add_month, &of);
    const long hours = out->whole ? (long)summary->whole_years * CB_YEAR_HOURS : data->hours;
    status = compare(out, data, hours, error);
    if (status == CB_OK) {
        fill_ratios(out, summary);
    }
    cbx_summary_destroy(summary);
    return status;
}
