// SPDX-License-Identifier: MIT
// The findings as one JSON object. Numbers are in the SI unit their key or "unit" names.
#include "coilbed/version.h"
#include "findings/json_writer.h"
#include "findings/remedy.h"
#include "findings/summary.h"
#include "record/tables.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// ---- parts -----------------------------------------------------------------------------------

static void put_moment(cbx_json *j, const cb_design *design, long run_hour)
{
    static const char *const key[] = {"run_year", "month", "day", "hour"};
    const bool known = run_hour >= 0;
    const cb_moment at = known ? cb_run_moment(&design->run, run_hour) : (cb_moment){0};
    const int value[] = {at.run_year, at.month, at.day, at.hour};
    for (size_t i = 0; i < sizeof key / sizeof *key; i++) {
        cbx_json_number(j, key[i], known ? (double)value[i] : (double)NAN);
    }
}

static void put_findings(cbx_json *j, const cb_findings *findings, const cb_design *design)
{
    cbx_json_open(j, "findings", '[');
    for (size_t i = 0; i < findings->count; i++) {
        const cb_finding *finding = &findings->finding[i];
        cbx_json_open(j, NULL, '{');
        cbx_json_text(j, "code", finding->code);
        cbx_json_text(j, "severity", cb_severity_text((cb_severity)finding->severity));
        cbx_json_number(j, "value", finding->value);
        cbx_json_number(j, "limit", finding->limit);
        cbx_json_number(j, "margin", finding->margin);
        cbx_json_text(j, "unit", cb_kind_si_unit(finding->kind));
        cbx_json_text(j, "margin_unit",
                      cb_kind_si_unit(finding->kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE
                                                                      : finding->kind));
        put_moment(j, design, finding->run_hour);
        cbx_json_text(j, "sentence", finding->sentence);
        cbx_json_close(j, '}');
    }
    cbx_json_close(j, ']');
}

static void put_mode(cbx_json *j, const char *key, const cbx_mode *mode, double performance,
                     double years)
{
    cbx_json_open(j, key, '{');
    cbx_json_number(j, "load_J", mode->load_j / years);
    cbx_json_number(j, "output_J", mode->output_j / years);
    cbx_json_number(j, "compressor_J", mode->compressor_j / years);
    cbx_json_number(j, "fan_J", mode->fan_j / years);
    cbx_json_number(j, "pump_J", mode->pump_j / years);
    cbx_json_number(j, "into_tank_J", mode->into_tank_j / years);
    cbx_json_number(j, "unmet_J", mode->unmet_j / years);
    cbx_json_number(j, "unmet_hours", (double)mode->unmet_hours / years);
    cbx_json_number(j, "seasonal_performance", performance);
    cbx_json_close(j, '}');
}

static void put_energies(cbx_json *j, const cbx_period *period, double years)
{
    put_mode(j, "heating", &period->heating, cbx_heating_performance(period), years);
    put_mode(j, "cooling", &period->cooling, cbx_cooling_performance(period), years);
    cbx_json_number(j, "backup_J", period->backup_j / years);
    cbx_json_number(j, "backup_hours", (double)period->backup_hours / years);
    cbx_json_number(j, "hot_water_element_J", period->element_j / years);
    cbx_json_number(j, "hot_water_drawn_J", period->hot_water_j / years);
    cbx_json_number(j, "hot_water_unmet_J", period->hot_water_unmet_j / years);
}

static void put_annual(cbx_json *j, const cbx_summary *summary)
{
    cbx_json_open(j, "annual", '[');
    for (int y = 0; y < summary->years; y++) {
        const cbx_period *year = &summary->year[y];
        const bool whole = y < summary->whole_years;
        cbx_json_open(j, NULL, '{');
        cbx_json_number(j, "run_year", y + 1);
        cbx_json_flag(j, "whole", whole);
        cbx_json_flag(j, "hard_winter", whole && summary->hard_winter[y]);
        cbx_json_flag(j, "hot_summer", whole && summary->hot_summer[y]);
        cbx_json_number(j, "entering_water_minimum_degree_Celsius", year->entering_low.value);
        cbx_json_number(j, "entering_water_maximum_degree_Celsius", year->entering_high.value);
        cbx_json_number(j, "coldest_fluid_degree_Celsius", year->coldest.value);
        cbx_json_number(j, "hottest_fluid_degree_Celsius", year->hottest.value);
        put_energies(j, year, 1.0);
        cbx_json_close(j, '}');
    }
    cbx_json_close(j, ']');
}

static void put_effects(cbx_json *j, const cb_run_effects *effects)
{
    if (effects->count == 0) {
        cbx_json_null(j, "sensitivity");
        return;
    }
    cbx_json_open(j, "sensitivity", '{');
    cbx_json_text(j, "number", effects->number);
    cbx_json_text(j, "unit", "K");
    cbx_json_open(j, "effects", '[');
    for (int i = 0; i < effects->count; i++) {
        const cb_run_effect *effect = &effects->effect[i];
        cbx_json_open(j, NULL, '{');
        cbx_json_text(j, "path", effect->path);
        cbx_json_text(j, "unit", cb_kind_si_unit(effect->kind));
        cbx_json_number(j, "value", effect->value);
        cbx_json_number(j, "step", effect->step);
        cbx_json_number(j, "spread", effect->spread);
        cbx_json_number(j, "slope", effect->slope);
        cbx_json_number(j, "bend", effect->bend);
        cbx_json_number(j, "blur", effect->blur);
        cbx_json_close(j, '}');
    }
    cbx_json_close(j, ']');
    cbx_json_close(j, '}');
}

static void put_remedies(cbx_json *j, const cb_findings *findings, const cb_run_effects *effects,
                         const cb_design *design)
{
    cbx_remedy remedy[CBX_MOST_REMEDIES];
    const int count = cbx_ranked_remedies(findings, effects, design, CB_UNITS_SI, remedy);
    cbx_json_open(j, "directions_to_try", '[');
    for (int i = 0; i < count; i++) {
        cbx_json_open(j, NULL, '{');
        cbx_json_text(j, "direction", remedy[i].text);
        cbx_json_text(j, "settings", remedy[i].settings);
        cbx_json_number(j, "margin_change_K", remedy[i].change_k);
        cbx_json_open(j, "acts_on", '[');
        for (int k = 0; k < remedy[i].helped_count; k++) {
            cbx_json_text(j, NULL, remedy[i].helped[k]);
        }
        cbx_json_close(j, ']');
        cbx_json_close(j, '}');
    }
    cbx_json_close(j, ']');
}

static void put_quality(cbx_json *j, const cb_quality *quality)
{
    cbx_json_open(j, "quality", '{');
    for (int i = 0; i < CBX_QUALITY_FIELDS; i++) {
        const cbx_quality_field *field = &cbx_quality_table[i];
        const void *value = (const char *)quality + field->offset;
        cbx_json_number(j, field->name,
                        field->number == CBX_DOUBLE ? *(const double *)value
                        : field->number == CBX_LONG ? (double)*(const long *)value
                                                    : (double)*(const int *)value);
    }
    cbx_json_close(j, '}');
}

static void put_head(cbx_json *j, const cb_findings *findings, const cb_findings_caller *caller)
{
    cbx_json_text(j, "program", "coilbed " CB_VERSION);
    cbx_json_text(j, "file", caller ? caller->file : NULL);
    cbx_json_text(j, "verdict", cb_severity_text(findings->verdict));
    cbx_json_number(j, "exit_status", caller ? caller->exit_status : (double)NAN);
    cbx_json_text(j, "exit_meaning", caller ? caller->exit_meaning : NULL);
}

bool cb_findings_json(const cb_findings *findings, const cb_run_data *data, const cb_design *design,
                      const cb_findings_caller *caller, FILE *stream)
{
    cbx_summary *summary = NULL;
    if (!findings || !data || !design || !stream ||
        cbx_summary_create(&summary, data, design, NULL) != CB_OK) {
        return false;
    }
    cbx_json j = {.stream = stream};
    cbx_json_open(&j, NULL, '{');
    put_head(&j, findings, caller);
    cbx_json_text(&j, "design", design->name ? design->name : "");
    cbx_json_text(&j, "design_file", data->design_path ? data->design_path : "");
    cbx_json_flag(&j, "complete", findings->complete);
    cbx_json_number(&j, "hours", (double)data->hours);
    put_quality(&j, &data->quality);
    put_findings(&j, findings, design);
    put_annual(&j, summary);
    cbx_json_open(&j, "average_year", '{');
    const cbx_period total = cbx_summary_total(summary);
    cbx_json_flag(&j, "whole", summary->whole_years > 0);
    put_energies(&j, &total, cbx_summary_average_years(summary));
    cbx_json_close(&j, '}');
    put_remedies(&j, findings, &data->effects, design);
    put_effects(&j, &data->effects);
    cbx_json_text(&j, "weather_notes", data->weather_notes ? data->weather_notes : "");
    cbx_json_close(&j, '}');
    fputc('\n', stream);
    cbx_summary_destroy(summary);
    return fflush(stream) == 0 && !ferror(stream);
}
