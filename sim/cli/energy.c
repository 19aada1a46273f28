// SPDX-License-Identifier: MIT
#include "cli/energy.h"

#include "cli/failure.h"
#include "cli/message.h"
#include "coilbed/energy.h"
#include "findings/json_writer.h"

#include <math.h>
#include <string.h>

enum { USES = 6 };
static const struct {
    const char *title, *key;
    size_t offset;
} use_table[USES] = {
    {"heating", "heating_compressor_J", offsetof(cb_energy_use, heating_compressor_j)},
    {"cooling", "cooling_compressor_J", offsetof(cb_energy_use, cooling_compressor_j)},
    {"fans", "fan_J", offsetof(cb_energy_use, fan_j)},
    {"loop pump", "pump_J", offsetof(cb_energy_use, pump_j)},
    {"backup", "backup_J", offsetof(cb_energy_use, backup_j)},
    {"hot water", "hot_water_element_J", offsetof(cb_energy_use, element_j)},
};

static const char *const month_name[] = {"January",   "February", "March",    "April",
                                         "May",       "June",     "July",     "August",
                                         "September", "October",  "November", "December"};

static double use_at(const cb_energy_use *use, int n)
{
    return *(const double *)((const char *)use + use_table[n].offset);
}

static double kwh(double joule)
{
    const double value = joule / 3.6e6;
    return fabs(value) < 0.5 ? 0.0 : value; // what is printed without decimals must not be "-0"
}

// ---- text ------------------------------------------------------------------------------------

static void print_row(const char *name, const cb_energy_use *use)
{
    printf("  %-12s", name);
    for (int n = 0; n < USES; n++) {
        printf("%10.0f", kwh(use_at(use, n)));
    }
    printf("%10.0f\n", kwh(cb_energy_use_sum(use)));
}

static void print_ratio(const char *name, double ratio)
{
    if (isfinite(ratio)) {
        printf("  %-52s%10.2f\n", name, ratio);
    }
}

static void print_other(const char *name, double joule)
{
    printf("  %-52s%10.0f\n", name, kwh(joule));
}

static void print_others(const cb_energy_sheet *sheet, const cli_options *options)
{
    const cb_alternatives *others = &sheet->others;
    const cb_alternative *air = &others->air_source;
    char rated[32];
    cb_units_format(CB_POWER, options->units, sheet->air_rated_w, 3, rated, sizeof rated);
    printf("\nThe same heat and cold by other means, kWh a year\n");
    print_other("this loop, hot water element not counted",
                cb_energy_use_sum(&sheet->year) - sheet->year.element_j);
    print_other("air-source heat pump", sheet->air_source_j);
    print_other("  of it backup", air->backup_electricity_j);
    print_other("electric resistance and an air conditioner",
                others->resistance.backup_electricity_j + others->resistance.cooling_electricity_j);
    print_other("furnace and an air conditioner, electricity",
                others->furnace.heating_electricity_j + others->furnace.cooling_electricity_j);
    print_other("  and its fuel", others->furnace.fuel_j);
    if (isfinite(sheet->saved_share)) {
        printf("  The loop takes %.0f %% %s than the air-source unit.\n",
               100.0 * fabs(sheet->saved_share), sheet->saved_share >= 0.0 ? "less" : "more");
    }
    printf(
        "\n  Air source: %s at 8.3 degC = 47 degF outdoors with COP 3.4, cooling COP 3.5 at\n"
        "  35 degC = 95 degF, COP over the lift by Staffell et al. 2012 (from memory), 8 %% of\n"
        "  the heat lost while it frosts, none below -25 degC = -13 degF; furnace 92 %%: common\n"
        "  practice, no source. Energy only: prices differ. A load that this run did not meet\n"
        "  is met by the others.\n",
        rated);
}

static void print_sheet(const cb_energy_sheet *sheet, const cli_options *options)
{
    if (sheet->whole) {
        printf("%s: electricity in kWh, mean of %.0f year%s\n\n", options->operand, sheet->years,
               sheet->years > 1.0 ? "s" : "");
    } else {
        printf("%s: electricity in kWh; the run holds no whole year\n\n", options->operand);
    }
    printf("  %-12s", "");
    for (int n = 0; n < USES; n++) {
        printf("%10s", use_table[n].title);
    }
    printf("%10s\n", "all");
    for (int m = 0; m < 12; m++) {
        print_row(month_name[sheet->month[m].month - 1], &sheet->month[m].use);
    }
    print_row("year", &sheet->year);
    printf("\nSeasonal COP\n");
    print_ratio("heating, with fans and circulators", sheet->heating_cop);
    print_ratio("cooling, with fans and circulators", sheet->cooling_cop);
    print_ratio("both, with backup", sheet->whole_cop);
    print_others(sheet, options);
}

// ---- JSON ------------------------------------------------------------------------------------

static void put_use(cbx_json *json, const cb_energy_use *use)
{
    for (int n = 0; n < USES; n++) {
        cbx_json_number(json, use_table[n].key, use_at(use, n));
    }
    cbx_json_number(json, "all_J", cb_energy_use_sum(use));
}

static void put_other(cbx_json *json, const char *key, const cb_alternative *other)
{
    cbx_json_open(json, key, '{');
    cbx_json_number(json, "heating_electricity_J", other->heating_electricity_j);
    cbx_json_number(json, "backup_electricity_J", other->backup_electricity_j);
    cbx_json_number(json, "cooling_electricity_J", other->cooling_electricity_j);
    cbx_json_number(json, "fuel_J", other->fuel_j);
    cbx_json_number(json, "uncooled_J", other->uncooled_j);
    cbx_json_close(json, '}');
}

static void put_sheet(const cb_energy_sheet *sheet, const cli_options *options)
{
    cbx_json json = {.stream = stdout};
    cbx_json_open(&json, NULL, '{');
    cbx_json_text(&json, "program", "coilbed");
    cbx_json_text(&json, "file", options->operand);
    cbx_json_number(&json, "years", sheet->years);
    cbx_json_flag(&json, "whole_years", sheet->whole);
    cbx_json_open(&json, "months", '[');
    for (int m = 0; m < 12; m++) {
        const cb_energy_month *month = &sheet->month[m];
        cbx_json_open(&json, NULL, '{');
        cbx_json_number(&json, "month", month->month);
        put_use(&json, &month->use);
        cbx_json_number(&json, "heating_load_J", month->heating_load_j);
        cbx_json_number(&json, "cooling_load_J", month->cooling_load_j);
        cbx_json_number(&json, "heat_from_ground_J", month->from_ground_j);
        cbx_json_close(&json, '}');
    }
    cbx_json_close(&json, ']');
    cbx_json_open(&json, "year", '{');
    put_use(&json, &sheet->year);
    cbx_json_close(&json, '}');
    cbx_json_number(&json, "heating_cop", sheet->heating_cop);
    cbx_json_number(&json, "cooling_cop", sheet->cooling_cop);
    cbx_json_number(&json, "whole_cop", sheet->whole_cop);
    cbx_json_open(&json, "by_other_means", '{');
    cbx_json_number(&json, "air_source_rated_W", sheet->air_rated_w);
    put_other(&json, "air_source", &sheet->others.air_source);
    put_other(&json, "resistance", &sheet->others.resistance);
    put_other(&json, "furnace", &sheet->others.furnace);
    cbx_json_number(&json, "saved_share_against_air_source", sheet->saved_share);
    cbx_json_close(&json, '}');
    cbx_json_close(&json, '}');
    fputc('\n', stdout);
}

int cli_show_energy(const cli_options *options, const cb_units *units)
{
    cb_run_data *data = NULL;
    cb_design *design = NULL;
    cb_energy_sheet sheet;
    cb_error error = {0};
    cb_status status = cb_record_read(&data, options->operand, &error);
    if (status == CB_OK) {
        status =
            cb_design_parse(&design, data->design_text, options->operand, NULL, 0, units, &error);
    }
    if (status == CB_OK) {
        status = cb_energy_sheet_of(&sheet, data, design, &error);
    }
    int result = CLI_HELD;
    if (status != CB_OK) {
        result = cli_fail(options, &error);
    } else if (options->json) {
        put_sheet(&sheet, options);
    } else {
        print_sheet(&sheet, options);
    }
    cb_design_destroy(design);
    cb_run_data_destroy(data);
    return result;
}
