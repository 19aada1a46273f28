// SPDX-License-Identifier: MIT
#include "study/headline.h"

#include "findings/summary.h"

#include <math.h>
#include <string.h>

static const double HOUR_S = 3600.0;

// ---- the table -------------------------------------------------------------------------------

#define AS_ROW(name, kind, unit, moment, title, meaning)                                           \
    {#name, kind, unit, moment, title, meaning},
static const cb_headline_row row[CB_HEADLINE_COUNT] = {CB_HEADLINE_LIST(AS_ROW)};
#undef AS_ROW
#define AS_OFFSET(name, kind, unit, moment, title, meaning) offsetof(cb_headline, name),
static const size_t offset[CB_HEADLINE_COUNT] = {CB_HEADLINE_LIST(AS_OFFSET)};
#undef AS_OFFSET

const cb_headline_row *cb_headline_row_of(int index)
{
    return index >= 0 && index < CB_HEADLINE_COUNT ? &row[index] : NULL;
}

int cb_headline_find(const char *name)
{
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        if (strcmp(row[i].name, name) == 0) {
            return i;
        }
    }
    return -1;
}

double *cbx_headline_place(cb_headline *headline, int index)
{
    return (double *)((char *)headline + offset[index]);
}

double cb_headline_value(const cb_headline *headline, int index)
{
    return index >= 0 && index < CB_HEADLINE_COUNT
               ? *(const double *)((const char *)headline + offset[index])
               : NAN;
}

// ---- from a run ------------------------------------------------------------------------------

static const cb_finding *find(const cb_findings *findings, const char *code)
{
    for (size_t i = 0; i < findings->count; i++) {
        if (strcmp(findings->finding[i].code, code) == 0) {
            return &findings->finding[i];
        }
    }
    return NULL;
}

const cb_finding *cb_case_finding(const cb_case *result, const char *code)
{
    return find(result->findings, code);
}

static void put_margins(cb_headline *out, const cb_findings *findings)
{
    static const char *const code[] = {"freeze_margin", "entering_minimum", "entering_maximum",
                                       "pipe_temperature"};
    out->verdict = findings->verdict;
    out->worst_margin = out->freeze_margin = NAN;
    for (size_t i = 0; i < sizeof code / sizeof *code; i++) {
        const cb_finding *finding = find(findings, code[i]);
        if (finding) {
            out->worst_margin = fmin(out->worst_margin, finding->margin); // passes over NaN
            out->freeze_margin = i == 0 ? finding->margin : out->freeze_margin;
        }
    }
}

static void put_extreme(double *value, double *time, const cbx_extreme *extreme)
{
    const bool any = extreme->run_hour >= 0;
    *value = any ? extreme->value : NAN;
    *time = any ? (double)extreme->run_hour * HOUR_S : NAN;
}

/// Drift of one annual extreme, by its place in cbx_period; none if a year in use has none.
static void put_drift(double *change, double *settled, const cbx_summary *summary, size_t place)
{
    double annual[CBX_MOST_YEARS] = {0.0};
    int in_use = 0;
    bool whole = true;
    for (int y = 0; y < summary->years; y++) {
        const cbx_extreme *extreme = (const cbx_extreme *)((const char *)&summary->year[y] + place);
        annual[y] = extreme->value;
        in_use += summary->ordinary[y];
        whole = whole && (extreme->run_hour >= 0 || !summary->ordinary[y]);
    }
    *change = *settled = NAN;
    if (whole && in_use >= 2) {
        const cb_drift drift = cb_drift_fit(annual, summary->ordinary, summary->years);
        *change = drift.last_change_k;
        *settled = drift.settled_c;
    }
}

static void put_ground(cb_headline *out, const cb_run_data *data, long hours, double years)
{
    double from_j = 0.0, to_j = 0.0;
    for (long h = 0; h < hours; h++) {
        const double heat_j = data->heat_from_ground_w[h] * HOUR_S;
        from_j += fmax(heat_j, 0.0);
        to_j += fmax(-heat_j, 0.0);
    }
    out->heat_from_ground = from_j / years;
    out->heat_to_ground = to_j / years;
}

static void put_energies(cb_headline *out, const cb_run_data *data, const cbx_summary *summary)
{
    const double years = cbx_summary_average_years(summary);
    const cbx_period total = cbx_summary_total(summary);
    put_ground(out, data, total.hours, years); // whole years stand at the beginning
    out->heating_output = total.heating.output_j / years;
    out->cooling_output = total.cooling.output_j / years;
    out->compressor_energy = (total.heating.compressor_j + total.cooling.compressor_j) / years;
    out->fan_energy = (total.heating.fan_j + total.cooling.fan_j) / years;
    out->pump_energy = (total.heating.pump_j + total.cooling.pump_j) / years;
    out->backup_energy = total.backup_j / years;
    out->element_energy = total.element_j / years;
    out->unmet_heating = total.heating.unmet_j / years;
    out->unmet_cooling = total.cooling.unmet_j / years;
    out->unmet_hot_water = total.hot_water_unmet_j / years;
    out->heating_performance = cbx_heating_performance(&total);
    out->cooling_performance = cbx_cooling_performance(&total);
}

static void put_bill(cb_headline *out, const cb_field_bill *bill)
{
    out->pipe_length = bill->pipe_m + bill->runout_pipe_m;
    out->trench_length = bill->trench_m;
    out->excavation = bill->dug_m3 + bill->runout_dug_m3;
}

cb_status cbx_headline_of(cb_headline *out, const cb_run_data *data, const cb_design *design,
                          const cb_findings *findings, const cb_field_bill *bill, cb_error *error)
{
    cbx_summary *summary;
    const cb_status status = cbx_summary_create(&summary, data, design, error);
    if (status != CB_OK) {
        return status;
    }
    const cbx_period *run = &summary->run;
    put_margins(out, findings);
    put_extreme(&out->coldest_fluid, &out->coldest_fluid_time, &run->coldest);
    put_extreme(&out->entering_minimum, &out->entering_minimum_time, &run->entering_low);
    put_extreme(&out->entering_maximum, &out->entering_maximum_time, &run->entering_high);
    put_drift(&out->coldest_fluid_drift, &out->coldest_fluid_settled, summary,
              offsetof(cbx_period, coldest));
    put_drift(&out->entering_minimum_drift, &out->entering_minimum_settled, summary,
              offsetof(cbx_period, entering_low));
    put_drift(&out->entering_maximum_drift, &out->entering_maximum_settled, summary,
              offsetof(cbx_period, entering_high));
    put_energies(out, data, summary);
    put_bill(out, bill);
    out->energy_audit = data->quality.energy_audit_relative;
    out->grid_error = data->quality.estimated_discretisation_error_k;
    cbx_summary_destroy(summary);
    return CB_OK;
}
