// SPDX-License-Identifier: MIT
// The findings as one JSON object (RFC 8259). Numbers are in the SI unit their key or "unit" names.
#include "findings/remedy.h"
#include "findings/summary.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct json {
    FILE *stream;
    bool comma; ///< a value precedes in the open object or array
} json;

static void separate(json *j)
{
    if (j->comma) {
        fputc(',', j->stream);
    }
    j->comma = true;
}

/// Bytes of the UTF-8 character at text, 0 if it is none.
static size_t utf8_bytes(const unsigned char *text)
{
    static const struct {
        size_t bytes;
        unsigned least; ///< shorter forms exist below this
        unsigned char mask, lead;
    } form[] = {{1, 0, 0x80, 0x00},
                {2, 0x80, 0xE0, 0xC0},
                {3, 0x800, 0xF0, 0xE0},
                {4, 0x10000, 0xF8, 0xF0}};
    for (size_t i = 0; i < sizeof form / sizeof *form; i++) {
        if ((text[0] & form[i].mask) != form[i].lead) {
            continue;
        }
        unsigned code = text[0] & (unsigned char)~form[i].mask;
        for (size_t k = 1; k < form[i].bytes; k++) {
            if ((text[k] & 0xC0u) != 0x80u) {
                return 0;
            }
            code = code << 6u | (text[k] & 0x3Fu);
        }
        const bool surrogate = code >= 0xD800u && code <= 0xDFFFu;
        return code >= form[i].least && code <= 0x10FFFFu && !surrogate ? form[i].bytes : 0;
    }
    return 0;
}

static void put_text(const json *j, const char *text)
{
    fputc('"', j->stream);
    const unsigned char *at = (const unsigned char *)text;
    while (*at) {
        const size_t bytes = utf8_bytes(at);
        if (bytes == 0) {
            fputs("\\ufffd", j->stream);
        } else if (*at == '"' || *at == '\\') {
            fprintf(j->stream, "\\%c", *at);
        } else if (*at < 0x20u) {
            fprintf(j->stream, "\\u%04x", *at);
        } else {
            fwrite(at, 1, bytes, j->stream);
        }
        at += bytes > 0 ? bytes : 1;
    }
    fputc('"', j->stream);
}

static void put_key(json *j, const char *key)
{
    separate(j);
    put_text(j, key);
    fputc(':', j->stream);
}

static void open_value(json *j, const char *key, char bracket)
{
    if (key) {
        put_key(j, key);
    } else {
        separate(j);
    }
    fputc(bracket, j->stream);
    j->comma = false;
}

static void close_value(json *j, char bracket)
{
    fputc(bracket, j->stream);
    j->comma = true;
}

static void text_member(json *j, const char *key, const char *text)
{
    put_key(j, key);
    put_text(j, text);
}

static void number_member(json *j, const char *key, double value)
{
    put_key(j, key);
    if (!isfinite(value)) {
        fputs("null", j->stream);
        return;
    }
    char digits[40];
    snprintf(digits, sizeof digits, "%.10g", value);
    char *comma = strchr(digits, ','); // a locale's decimal mark is not JSON's
    if (comma) {
        *comma = '.';
    }
    fputs(digits, j->stream);
}

static void flag_member(json *j, const char *key, bool value)
{
    put_key(j, key);
    fputs(value ? "true" : "false", j->stream);
}

// ---- parts -----------------------------------------------------------------------------------

static const char *si_unit(cb_kind kind)
{
#define AS_SI(kind, name, si, us, us_example, si_example) [kind] = (si),
    static const char *const unit[CB_KIND_COUNT] = {CB_KIND_LIST(AS_SI)};
#undef AS_SI
    return (unsigned)kind < CB_KIND_COUNT ? unit[kind] : "1";
}

static void put_moment(json *j, const cb_design *design, long run_hour)
{
    static const char *const key[] = {"run_year", "month", "day", "hour"};
    const bool known = run_hour >= 0;
    const cb_moment at = known ? cb_run_moment(&design->run, run_hour) : (cb_moment){0};
    const int value[] = {at.run_year, at.month, at.day, at.hour};
    for (size_t i = 0; i < sizeof key / sizeof *key; i++) {
        number_member(j, key[i], known ? (double)value[i] : (double)NAN);
    }
}

static void put_findings(json *j, const cb_findings *findings, const cb_design *design)
{
    open_value(j, "findings", '[');
    for (size_t i = 0; i < findings->count; i++) {
        const cb_finding *finding = &findings->finding[i];
        open_value(j, NULL, '{');
        text_member(j, "code", finding->code);
        text_member(j, "severity", cb_severity_text((cb_severity)finding->severity));
        number_member(j, "value", finding->value);
        number_member(j, "limit", finding->limit);
        number_member(j, "margin", finding->margin);
        text_member(j, "unit", si_unit(finding->kind));
        text_member(
            j, "margin_unit",
            si_unit(finding->kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : finding->kind));
        put_moment(j, design, finding->run_hour);
        text_member(j, "sentence", finding->sentence);
        close_value(j, '}');
    }
    close_value(j, ']');
}

static void put_mode(json *j, const char *key, const cbx_mode *mode, double years)
{
    open_value(j, key, '{');
    number_member(j, "load_J", mode->load_j / years);
    number_member(j, "output_J", mode->output_j / years);
    number_member(j, "compressor_J", mode->compressor_j / years);
    number_member(j, "pump_J", mode->pump_j / years);
    number_member(j, "unmet_J", mode->unmet_j / years);
    number_member(j, "unmet_hours", (double)mode->unmet_hours / years);
    number_member(j, "seasonal_performance", cbx_performance(mode));
    close_value(j, '}');
}

static void put_energies(json *j, const cbx_period *period, double years)
{
    put_mode(j, "heating", &period->heating, years);
    put_mode(j, "cooling", &period->cooling, years);
    number_member(j, "backup_J", period->backup_j / years);
    number_member(j, "backup_hours", (double)period->backup_hours / years);
}

static void put_annual(json *j, const cbx_summary *summary)
{
    open_value(j, "annual", '[');
    for (int y = 0; y < summary->years; y++) {
        const cbx_period *year = &summary->year[y];
        const bool whole = y < summary->whole_years;
        open_value(j, NULL, '{');
        number_member(j, "run_year", y + 1);
        flag_member(j, "whole", whole);
        flag_member(j, "hard_winter", whole && !summary->ordinary[y]);
        number_member(j, "entering_water_minimum_degree_Celsius", year->entering_low.value);
        number_member(j, "entering_water_maximum_degree_Celsius", year->entering_high.value);
        number_member(j, "coldest_fluid_degree_Celsius", year->coldest.value);
        number_member(j, "hottest_fluid_degree_Celsius", year->hottest.value);
        put_energies(j, year, 1.0);
        close_value(j, '}');
    }
    close_value(j, ']');
}

static void put_remedies(json *j, const cb_findings *findings, const cb_design *design)
{
    cbx_remedy remedy[CBX_MOST_REMEDIES];
    const int count = cbx_remedies(findings, design, CB_UNITS_SI, remedy);
    open_value(j, "directions_to_try", '[');
    for (int i = 0; i < count; i++) {
        open_value(j, NULL, '{');
        text_member(j, "direction", remedy[i].text);
        text_member(j, "settings", remedy[i].settings);
        open_value(j, "acts_on", '[');
        for (int k = 0; k < remedy[i].helped_count; k++) {
            separate(j);
            put_text(j, remedy[i].helped[k]);
        }
        close_value(j, ']');
        close_value(j, '}');
    }
    close_value(j, ']');
}

bool cb_findings_json(const cb_findings *findings, const cb_run_data *data, const cb_design *design,
                      FILE *stream)
{
    cbx_summary *summary = NULL;
    if (!findings || !data || !design || !stream ||
        cbx_summary_create(&summary, data, design, NULL) != CB_OK) {
        return false;
    }
    json j = {.stream = stream};
    open_value(&j, NULL, '{');
    text_member(&j, "design", design->name ? design->name : "");
    text_member(&j, "verdict", cb_severity_text(findings->verdict));
    flag_member(&j, "complete", findings->complete);
    number_member(&j, "hours", (double)data->hours);
    put_findings(&j, findings, design);
    put_annual(&j, summary);
    open_value(&j, "average_year", '{');
    const cbx_period total = cbx_summary_total(summary);
    flag_member(&j, "whole", summary->whole_years > 0);
    put_energies(&j, &total, cbx_summary_average_years(summary));
    close_value(&j, '}');
    put_remedies(&j, findings, design);
    text_member(&j, "weather_notes", data->weather_notes ? data->weather_notes : "");
    close_value(&j, '}');
    fputc('\n', stream);
    cbx_summary_destroy(summary);
    return fflush(stream) == 0 && !ferror(stream);
}
