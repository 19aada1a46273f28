// SPDX-License-Identifier: MIT
// The same facts as plain tables (RFC 4180), in SI.
#include "coilbed/report.h"
#include "findings/cells.h"
#include "report/run.h"
#include "report/study.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

// ---- hours -----------------------------------------------------------------------------------

static void put_hours(const void *context, FILE *csv)
{
    const cbx_report_run *run = context;
    const cb_run_data *data = run->data;
    const struct {
        const char *name;
        const double *value;
    } column[] = {
        {"entering_water_degC", data->entering_water_c},
        {"leaving_water_degC", data->leaving_water_c},
        {"coldest_fluid_degC", data->coldest_fluid_c},
        {"hottest_fluid_degC", data->hottest_fluid_c},
        {"flow_kg_s", data->flow_kg_s},
        {"reynolds", data->reynolds},
        {"pump_fraction", data->pump_fraction},
        {"heat_from_ground_W", data->heat_from_ground_w},
        {"heating_output_W", data->heating_output_w},
        {"cooling_output_W", data->cooling_output_w},
        {"compressor_power_W", data->compressor_power_w},
        {"pump_power_W", data->pump_power_w},
        {"backup_power_W", data->backup_power_w},
        {"unmet_load_W", data->unmet_load_w},
        {"heating_load_W", data->heating_load_w},
        {"cooling_load_W", data->cooling_load_w},
        {"air_temperature_degC", data->air_temperature_c},
    };
    const size_t columns = sizeof column / sizeof *column;
    fputs("run_hour,run_year,month,day,hour", csv);
    for (size_t c = 0; c < columns; c++) {
        fprintf(csv, ",%s", column[c].name);
    }
    fputs("\r\n", csv);
    for (long h = 0; h < data->hours; h++) {
        const cb_moment at = cb_run_moment(&run->design->run, h);
        fprintf(csv, "%ld,%d,%d,%d,%d", h, at.run_year, at.month, at.day, at.hour);
        for (size_t c = 0; c < columns; c++) {
            cbx_cell_number(csv, column[c].value[h]);
        }
        fputs("\r\n", csv);
    }
}

// ---- months and years ------------------------------------------------------------------------

static void put_month(void *context, const cbx_month *month)
{
    FILE *csv = context;
    fprintf(csv, "%d,%d,%ld", month->run_year, month->month, month->hours);
    const double value[] = {month->heating_compressor_j,
                            month->cooling_compressor_j,
                            month->fan_j,
                            month->pump_j,
                            month->backup_j,
                            month->element_j,
                            month->heating_load_j,
                            month->cooling_load_j,
                            month->from_ground_j,
                            month->to_ground_j};
    for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
        cbx_cell_number(csv, value[i]);
    }
    fputs("\r\n", csv);
}

static void put_months(const void *context, FILE *csv)
{
    const cbx_report_run *run = context;
    fputs("run_year,month,hours,compressor_heating_J,compressor_cooling_J,fan_J,pump_J,backup_J,"
          "hot_water_element_J,"
          "heating_load_J,cooling_load_J,heat_from_ground_J,heat_into_ground_J\r\n",
          csv);
    cbx_months(run->data, &run->design->run, put_month, csv);
}

static void put_extreme(FILE *csv, const cbx_extreme *extreme)
{
    cbx_cell_number(csv, extreme->run_hour >= 0 ? extreme->value : (double)NAN);
    cbx_cell_number(csv, extreme->run_hour >= 0 ? (double)extreme->run_hour : (double)NAN);
}

static void put_years(const void *context, FILE *csv)
{
    const cbx_report_run *run = context;
    const cbx_summary *summary = cbx_report_summary(run);
    fputs("run_year,hours,whole,hard_winter,hot_summer,coldest_fluid_degC,coldest_fluid_hour,"
          "entering_minimum_degC,entering_minimum_hour,entering_maximum_degC,"
          "entering_maximum_hour,heating_load_J,heating_output_J,cooling_load_J,cooling_output_J,"
          "backup_J,backup_hours,seasonal_cop_heating,seasonal_cop_cooling\r\n",
          csv);
    for (int y = 0; y < summary->years; y++) {
        const cbx_period *year = &summary->year[y];
        fprintf(csv, "%d,%ld,%d,%d,%d", y + 1, year->hours, y < summary->whole_years,
                summary->hard_winter[y], summary->hot_summer[y]);
        put_extreme(csv, &year->coldest);
        put_extreme(csv, &year->entering_low);
        put_extreme(csv, &year->entering_high);
        const double value[] = {year->heating.load_j,
                                year->heating.output_j,
                                year->cooling.load_j,
                                year->cooling.output_j,
                                year->backup_j,
                                (double)year->backup_hours,
                                cbx_heating_performance(year),
                                cbx_cooling_performance(year)};
        for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
            cbx_cell_number(csv, value[i]);
        }
        fputs("\r\n", csv);
    }
}

static void put_findings(const void *context, FILE *csv)
{
    const cbx_report_run *run = context;
    fputs("number,code,severity,value,limit,margin,unit,run_hour,sentence\r\n", csv);
    for (size_t i = 0; i < run->findings->count; i++) {
        const cb_finding *finding = &run->findings->finding[i];
        fprintf(csv, "%zu", i + 1);
        cbx_cell_text(csv, finding->code);
        cbx_cell_text(csv, cb_severity_text((cb_severity)finding->severity));
        cbx_cell_number(csv, finding->value);
        cbx_cell_number(csv, finding->limit);
        cbx_cell_number(csv, finding->margin);
        cbx_cell_text(csv, cb_units_label(finding->kind, CB_UNITS_SI));
        cbx_cell_number(csv, finding->run_hour >= 0 ? (double)finding->run_hour : (double)NAN);
        cbx_cell_text(csv, finding->sentence);
        fputs("\r\n", csv);
    }
}

static void put_factors(const cbx_report_study *study, size_t index, FILE *csv)
{
    for (size_t f = 0; f < study->factor_count; f++) {
        const cbx_report_factor *factor = &study->factor[f];
        const size_t at = cbx_study_value_at(study, f, index);
        if (factor->words) {
            cbx_cell_text(csv, cbx_stored_text(factor->values, at));
        } else {
            cbx_cell_number(csv, factor->values->number[at]);
        }
    }
}

static void put_cases(const void *context, FILE *csv)
{
    const cbx_report_study *study = context;
    char head[160];
    fputs("case", csv);
    for (size_t f = 0; f < study->factor_count; f++) {
        const cbx_report_factor *factor = &study->factor[f];
        snprintf(head, sizeof head, "%s%s%s", factor->path, factor->words ? "" : " ",
                 factor->words ? "" : cb_kind_si_unit(factor->kind));
        cbx_cell_text(csv, head);
    }
    fputs(",status,message", csv);
    for (int h = 0; h < CB_HEADLINE_COUNT; h++) {
        snprintf(head, sizeof head, "%s %s", cb_headline_row_of(h)->name,
                 cb_headline_row_of(h)->unit);
        cbx_cell_text(csv, head);
    }
    for (size_t i = 0; i < study->cases; i++) {
        fprintf(csv, "\r\n%zu", i);
        put_factors(study, i, csv);
        cbx_cell_text(csv, cbx_stored_text(study->status, i));
        cbx_cell_text(csv, cbx_stored_text(study->message, i));
        for (int h = 0; h < CB_HEADLINE_COUNT; h++) {
            cbx_cell_number(csv, study->output[h][i]);
        }
    }
    fputs("\r\n", csv);
}

// ---- files -----------------------------------------------------------------------------------

typedef struct csv_table {
    const char *name;
    void (*put)(const void *context, FILE *csv);
} csv_table;

static const csv_table run_table[] = {{"hourly.csv", put_hours},
                                      {"monthly.csv", put_months},
                                      {"annual.csv", put_years},
                                      {"findings.csv", put_findings}};
static const csv_table study_table[] = {{"cases.csv", put_cases}};

static cb_status write_table(const csv_table *table, const void *context, const char *folder,
                             cb_error *error)
{
    const size_t size = strlen(folder) + strlen(table->name) + 2;
    char *path = malloc(size);
    if (!path) {
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    snprintf(path, size, "%s/%s", folder, table->name);
    cbx_report_file file = {0};
    cb_status status = cbx_report_file_open(&file, path, error);
    if (status == CB_OK) {
        table->put(context, file.stream);
        status = cbx_report_file_close(&file, true, error);
    }
    free(path);
    return status;
}

static cb_status make_folder(const char *folder, cb_error *error)
{
    return mkdir(folder, 0777) == 0 || errno == EEXIST
               ? CB_OK
               : cb_fail(error, CB_IO, "folder %s cannot be made: %s", folder, strerror(errno));
}

static cb_status write_run(const char *path, const char *folder, const cb_units *units,
                           cb_error *error)
{
    cbx_report_run run;
    cb_status status = cbx_report_run_open(&run, path, units, error);
    if (status == CB_OK) {
        status = make_folder(folder, error);
    }
    for (size_t i = 0; status == CB_OK && i < sizeof run_table / sizeof *run_table; i++) {
        status = write_table(&run_table[i], &run, folder, error);
    }
    cbx_report_run_close(&run);
    return status;
}

static cb_status write_study(const char *path, const char *folder, const cb_units *units,
                             cb_error *error)
{
    cbx_report_study study;
    cb_status status = cbx_report_study_open(&study, path, units, error);
    if (status == CB_OK) {
        status = make_folder(folder, error);
    }
    if (status == CB_OK) {
        status = write_table(&study_table[0], &study, folder, error);
    }
    cbx_report_study_close(&study);
    return status;
}

cb_status cb_report_csv(const char *path, const char *folder, const cb_units *units,
                        cb_error *error)
{
    if (!path || !folder || !units) {
        return cb_fail(error, CB_BAD_CALL, "cb_report_csv needs a run, a folder and units");
    }
    return cbx_report_study_is(path) ? write_study(path, folder, units, error)
                                     : write_run(path, folder, units, error);
}
