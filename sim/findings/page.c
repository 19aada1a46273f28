// SPDX-License-Identifier: MIT
// One page for the kitchen table, 80 columns, some 70 lines: the verdict first. Where much is
// wrong, the findings that their numbers explain give up their sentences so that the page stays
// one.
#include "findings/judge.h"
#include "findings/remedy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 79, MOST_LINES = 70, SHOWN_YEARS = 6, SHOWN_NOTES = 2 };

/// Which findings that are not clear get a sentence.
typedef enum detail { ALL, WITHOUT_LIMIT_OR_DRIFT, WITHOUT_LIMIT, NONE } detail;

typedef struct page {
    FILE *stream;
    bool colour;
    const cb_findings *findings;
    const cb_run_data *data;
    const cb_design *design;
    cb_unit_system system;
    const cbx_case *judged; ///< again, for sentences in the page's units
    detail sentences;
} page;

static const char *paint(const page *p, int severity)
{
    static const char *const code[] = {"\033[32m", "\033[1;33m", "\033[1;31m"};
    return p->colour && severity >= CB_CLEAR && severity <= CB_BROKEN ? code[severity] : "";
}

static const char *plain(const page *p)
{
    return p->colour ? "\033[0m" : "";
}

static void heading(const page *p, const char *text)
{
    fprintf(p->stream, "\n%s%s%s\n", p->colour ? "\033[1m" : "", text, plain(p));
}

static const char *sentence_of(const page *p, const cb_finding *finding)
{
    for (size_t i = 0; i < p->judged->count; i++) {
        if (strcmp(p->judged->finding[i].code, finding->code) == 0) {
            return p->judged->finding[i].sentence;
        }
    }
    return finding->sentence;
}

// ---- verdict ---------------------------------------------------------------------------------

static bool has_code(const cb_finding *finding, const char *code)
{
    return strcmp(finding->code, code) == 0;
}

static bool is_incomplete(const cb_finding *finding)
{
    return has_code(finding, "incomplete");
}

/// The finding the verdict speaks of: the worst; if nothing is amiss, the first: the coldest fluid.
static const cb_finding *headline(const cb_findings *findings)
{
    for (size_t i = 0; i < findings->count; i++) {
        if (!is_incomplete(&findings->finding[i])) {
            return &findings->finding[i];
        }
    }
    return NULL;
}

static void print_led(const page *p, const char *word, const char *sentence)
{
    char text[700];
    snprintf(text, sizeof text, "%s%s", word, sentence);
    cbx_print_wrapped(p->stream, &(cbx_wrap){"", 2, WIDTH}, text);
}

static void print_verdict(const page *p)
{
    static const char *const word[] = {"HOLDS", "CLOSE", "DOES NOT HOLD"};
    const cb_findings *findings = p->findings;
    const cb_finding *top = headline(findings);
    char first[80];
    if (findings->count > 0 && is_incomplete(&findings->finding[0])) {
        snprintf(first, sizeof first, "%sINCOMPLETE:%s ", paint(p, CB_CLOSE), plain(p));
        print_led(p, first, sentence_of(p, &findings->finding[0]));
    }
    if (!top) {
        return;
    }
    snprintf(first, sizeof first, "%s%s%s:%s ", paint(p, top->severity), word[top->severity],
             findings->complete ? "" : " SO FAR", plain(p));
    print_led(p, first, sentence_of(p, top));
}

// ---- tables ----------------------------------------------------------------------------------

static int year_of(long run_hour)
{
    return run_hour < 0 ? -1 : (int)(run_hour / CB_YEAR_HOURS);
}

/// The years worth a line: those of the extremes, the first, the last, the hard winters and
/// hot summers.
static void choose_years(const cbx_summary *summary, bool *shown)
{
    int candidate[5] = {year_of(summary->run.coldest.run_hour), summary->years - 1, 0,
                        year_of(summary->run.entering_low.run_hour),
                        year_of(summary->run.entering_high.run_hour)};
    int count = 0;
    for (int i = 0; i < 5; i++) {
        if (candidate[i] >= 0 && !shown[candidate[i]]) {
            shown[candidate[i]] = true;
            count++;
        }
    }
    for (int y = 0; y < summary->whole_years && count < SHOWN_YEARS; y++) {
        if (!summary->ordinary[y] && !shown[y]) {
            shown[y] = true;
            count++;
        }
    }
}

static void print_cell(const page *p, const cbx_extreme *extreme)
{
    if (extreme->run_hour < 0) {
        fprintf(p->stream, "%14s", "-");
    } else {
        const double shown = cb_units_value(CB_TEMPERATURE, p->system, extreme->value);
        fprintf(p->stream, "%14.1f", round(shown * 10.0) / 10.0 + 0.0);
    }
}

static const char *about_year(const cbx_summary *summary, int y)
{
    if (y >= summary->whole_years) {
        return " (part)";
    }
    if (summary->hard_winter[y]) {
        return summary->hot_summer[y] ? " (hard and hot)" : " (hard winter)";
    }
    return summary->hot_summer[y] ? " (hot summer)" : "";
}

static bool print_water(const page *p)
{
    const cbx_summary *summary = p->judged->summary;
    bool *shown = calloc((size_t)summary->years, sizeof *shown);
    if (!shown) {
        return false;
    }
    choose_years(summary, shown);
    char title[80];
    snprintf(title, sizeof title, "%-24s%14s%14s%14s",
             p->system == CB_UNITS_US ? "Water, degF" : "Water, degC", "entering min",
             "entering max", "coldest fluid");
    heading(p, title);
    for (int y = 0; y < summary->years; y++) {
        if (shown[y]) {
            char name[32];
            snprintf(name, sizeof name, "year %d%s", y + 1, about_year(summary, y));
            fprintf(p->stream, "  %-22s", name);
            print_cell(p, &summary->year[y].entering_low);
            print_cell(p, &summary->year[y].entering_high);
            print_cell(p, &summary->year[y].coldest);
            fputc('\n', p->stream);
        }
    }
    free(shown);
    return true;
}

static void print_energy_row(const page *p, const char *name, double heating_j, double cooling_j)
{
    fprintf(p->stream, "  %-22s%14.0f", name,
            cb_units_value(CB_ENERGY, p->system, heating_j) + 0.0);
    if (cooling_j >= 0.0) {
        fprintf(p->stream, "%14.0f", cb_units_value(CB_ENERGY, p->system, cooling_j) + 0.0);
    }
    fputc('\n', p->stream);
}

static void print_ratio(const page *p, double ratio)
{
    if (isfinite(ratio)) {
        fprintf(p->stream, "%14.2f", ratio);
    } else {
        fprintf(p->stream, "%14s", "-");
    }
}

static void print_energies(const page *p)
{
    const cbx_summary *summary = p->judged->summary;
    const cbx_period total = cbx_summary_total(summary);
    const double years = cbx_summary_average_years(summary);
    const cbx_mode *warm = &total.heating, *cool = &total.cooling;
    char label[40], title[100];
    if (summary->whole_years > 0) {
        snprintf(label, sizeof label, "Average year, %s", cb_units_label(CB_ENERGY, p->system));
    } else {
        snprintf(label, sizeof label, "First %ld days, %s", total.hours / 24,
                 cb_units_label(CB_ENERGY, p->system));
    }
    snprintf(title, sizeof title, "%-24s%14s%14s", label, "heating", "cooling");
    heading(p, title);
    print_energy_row(p, "house asks for", warm->load_j / years, cool->load_j / years);
    print_energy_row(p, "heat pump delivers", warm->output_j / years, cool->output_j / years);
    print_energy_row(p, "compressor takes", warm->compressor_j / years, cool->compressor_j / years);
    if (warm->fan_j + cool->fan_j > 0.0) {
        print_energy_row(p, "fan takes", warm->fan_j / years, cool->fan_j / years);
    }
    print_energy_row(p, "pump takes", warm->pump_j / years, cool->pump_j / years);
    print_energy_row(p, "backup heat", total.backup_j / years, -1.0);
    if (total.hot_water_j + total.element_j > 0.0) {
        print_energy_row(p, "hot water by the unit", warm->into_tank_j / years,
                         cool->into_tank_j / years);
        print_energy_row(p, "hot water element", total.element_j / years, -1.0);
    }
    fprintf(p->stream, "  %-22s", "seasonal COP with pump");
    print_ratio(p, cbx_heating_performance(&total));
    print_ratio(p, cbx_cooling_performance(&total));
    fputc('\n', p->stream);
}

// ---- findings --------------------------------------------------------------------------------

/// Behind its severity, wrapped if it must be.
static void print_line(const page *p, const cb_finding *finding, const char *text)
{
    const int severity = finding->severity;
    char first[40];
    snprintf(first, sizeof first, "  %s%-6s%s ", paint(p, severity),
             cbx_severity_word(finding->severity), plain(p));
    cbx_print_wrapped(p->stream, &(cbx_wrap){first, 9, WIDTH}, text);
}

static void print_numbers(const page *p, const cb_finding *finding)
{
    const cb_unit_system system = p->system;
    char text[200];
    int used = snprintf(text, sizeof text, "%-23s %s", cbx_title(finding->code),
                        cbx_quantity(finding->kind, system, finding->value).text);
    if (!isnan(finding->limit)) {
        const bool beyond = finding->margin < 0.0;
        snprintf(text + used, sizeof text - (size_t)used, ", limit %s, %s %s",
                 cbx_quantity(finding->kind, system, finding->limit).text,
                 beyond ? "short by" : "margin",
                 cbx_distance(finding->kind, system, finding->margin).text);
    }
    print_line(p, finding, text);
}

static bool gets_sentence(const page *p, const cb_finding *finding, const cb_finding *top)
{
    if (isnan(finding->value)) {
        return true; // there are no numbers
    }
    if (finding == top || finding->severity == CB_CLEAR) {
        return false; // said on top; nothing to say
    }
    const bool has_limit = !isnan(finding->limit);
    const bool drifts = strncmp(finding->code, "drift", strlen("drift")) == 0;
    switch (p->sentences) {
        case ALL:
            return true;
        case WITHOUT_LIMIT_OR_DRIFT:
            return !has_limit || drifts;
        case WITHOUT_LIMIT:
            return !has_limit;
        case NONE:
            break;
    }
    return false;
}

/// Whether two drifts that say the same are printed as one: not if one has its own place on top.
static bool joins_drifts(const page *p, const cb_finding *top)
{
    return top && p->judged->both_drifts[0] && !has_code(top, "drift_coldest") &&
           !has_code(top, "drift_minimum");
}

static void print_findings(const page *p)
{
    heading(p, "Findings");
    const cb_finding *top = headline(p->findings);
    const bool joined = joins_drifts(p, top);
    for (size_t i = 0; i < p->findings->count; i++) {
        const cb_finding *finding = &p->findings->finding[i];
        if (is_incomplete(finding)) {
            continue; // said on top
        }
        if (!gets_sentence(p, finding, top)) {
            print_numbers(p, finding);
        } else if (joined && has_code(finding, "drift_coldest")) {
            print_line(p, finding, p->judged->both_drifts);
        } else if (!joined || !has_code(finding, "drift_minimum")) {
            print_line(p, finding, sentence_of(p, finding));
        }
    }
}

static void print_weather(const page *p)
{
    heading(p, "What was done to the weather");
    const bool us = p->system == CB_UNITS_US;
    const char *notes = us ? p->data->weather_notes_us : p->data->weather_notes;
    const bool some = notes && notes[strspn(notes, " \n")];
    int count = 0;
    while (some && *notes) {
        const size_t length = strcspn(notes, "\n");
        char line[400];
        snprintf(line, sizeof line, "%.*s", (int)(length < sizeof line ? length : sizeof line - 1),
                 notes);
        count += length > 0;
        if (length > 0 && count <= SHOWN_NOTES) {
            cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH}, line);
        }
        notes += length + (notes[length] == '\n');
    }
    if (count > SHOWN_NOTES) {
        fprintf(p->stream, "  and %d more of this kind, listed in the run's file.\n",
                count - SHOWN_NOTES);
    }
    if (!some) {
        cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH},
                          "Nothing: a typical year, repeated. It holds no hard winter and no "
                          "hot summer.");
    }
}

static const char *margin_name(const cb_run_effects *effects)
{
    return strcmp(effects->number, "worst_margin") == 0 ? "least margin" : "freezing margin";
}

/// "+1.1 degF  " or, where some other remedy has one, blanks.
static void put_change(const page *p, const cbx_remedy *remedy, char *text, size_t size)
{
    if (p->data->effects.count == 0) {
        text[0] = '\0';
    } else if (isnan(remedy->change_k)) {
        snprintf(text, size, "%-13s", "");
    } else {
        const bool noise = fabs(remedy->change_k) <= 2.0 * remedy->blur_k;
        snprintf(text, size, "%-13s",
                 noise ? "nothing" : cbx_change(p->system, remedy->change_k).text);
    }
}

static bool is_moved_by(const cbx_remedy *remedy, int count, const char *path)
{
    for (int i = 0; i < count; i++) {
        for (int m = 0; m < remedy[i].move_count; m++) {
            if (!isnan(remedy[i].change_k) && strcmp(remedy[i].move[m].path, path) == 0) {
                return true;
            }
        }
    }
    return false;
}

/// What the margin hangs on besides the remedies: what is known badly rather than chosen.
static void print_doubts(const page *p, const cbx_remedy *remedy, int count)
{
    const cb_run_effects *effects = &p->data->effects;
    char text[1000] = "";
    size_t used = 0;
    for (int i = 0; i < effects->count && used < sizeof text; i++) {
        const cb_run_effect *effect = &effects->effect[i];
        if (isnan(effect->slope) || is_moved_by(remedy, count, effect->path)) {
            continue;
        }
        const cb_kind kind =
            effect->kind == CB_TEMPERATURE ? CB_TEMPERATURE_DIFFERENCE : effect->kind;
        char spread[48];
        cb_units_format(kind, p->system, effect->spread, 3, spread, sizeof spread);
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s %s more: %s",
                                 used > 0 ? "; " : "If other than thought: ", effect->path, spread,
                                 cbx_change(p->system, effect->slope * effect->spread).text);
    }
    if (used > 0) {
        cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH}, text);
    }
}

static void print_help(const page *p)
{
    const cb_run_effects *effects = &p->data->effects;
    cbx_remedy remedy[CBX_MOST_REMEDIES];
    const int count = cbx_ranked_remedies(p->findings, effects, p->design, p->system, remedy);
    if (count == 0) {
        return;
    }
    char file[CB_PATH_SIZE], text[CB_PATH_SIZE + 64];
    cbx_design_argument(p->data->design_path, file, sizeof file);
    if (effects->count > 0) {
        snprintf(text, sizeof text, "What would help, change of the %s by its derivatives",
                 margin_name(effects));
        heading(p, text);
    } else {
        heading(p, "What would help (directions; coilbed sensitivity --into puts numbers to them)");
    }
    snprintf(text, sizeof text, "try coilbed run %s with", file);
    cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH}, text);
    for (int i = 0; i < count; i++) {
        char change[60], first[64], line[800];
        const bool has_setting = *remedy[i].settings != '\0';
        put_change(p, &remedy[i], change, sizeof change);
        snprintf(first, sizeof first, "  %s", change);
        snprintf(line, sizeof line, "%s%s%s", has_setting ? remedy[i].settings : "or",
                 has_setting ? "  " : " ", remedy[i].text);
        cbx_print_wrapped(p->stream, &(cbx_wrap){first, *change ? 17 : 6, WIDTH}, line);
    }
    print_doubts(p, remedy, count);
    if (effects->count > 0) {
        cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH},
                          "Straight lines from small steps: a large step may bring less, so run "
                          "the one you choose.");
    }
}

static void print_cautions(const page *p)
{
    char text[2000];
    size_t used = 0;
    for (int i = 0; cbx_caution(i) && used < sizeof text; i++) {
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", i > 0 ? " " : "",
                                 cbx_caution(i));
    }
    heading(p, "Cautions");
    cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH}, text);
    snprintf(text, sizeof text, "The fluid, %s: %s", cb_fluid_name(p->design->fluid.type),
             cb_fluid_hazard(p->design->fluid.type));
    cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH}, text);
    cbx_print_wrapped(p->stream, &(cbx_wrap){"  ", 2, WIDTH},
                      "This page informs a decision; it is not a stamped design.");
}

static bool print_page(const page *p)
{
    const char *name = p->design->name && *p->design->name ? p->design->name : "unnamed design";
    cbx_print_wrapped(p->stream, &(cbx_wrap){"", 0, WIDTH}, name);
    fputc('\n', p->stream);
    print_verdict(p);
    if (!print_water(p)) {
        return false;
    }
    print_energies(p);
    print_findings(p);
    print_weather(p);
    print_help(p);
    print_cautions(p);
    return true;
}

static int lines_of(const char *text)
{
    int lines = 0;
    for (; *text; text++) {
        lines += *text == '\n';
    }
    return lines;
}

/// The page as text, owned by the caller; NULL without memory.
static char *page_text(page *p)
{
    char *text = NULL;
    size_t size = 0;
    p->stream = open_memstream(&text, &size);
    if (!p->stream) {
        return NULL;
    }
    const bool printed = print_page(p) && !ferror(p->stream);
    if (fclose(p->stream) == 0 && printed) {
        return text;
    }
    free(text);
    return NULL;
}

bool cb_findings_print(const cb_findings *findings, const cb_run_data *data,
                       const cb_design *design, cb_unit_system system, bool colour, FILE *stream)
{
    if (!findings || !data || !design || !stream) {
        return false;
    }
    cbx_case *judged = NULL;
    if (cbx_case_create(&judged, data, design, system, NULL) != CB_OK) {
        return false;
    }
    page p = {NULL, colour, findings, data, design, system, judged, ALL};
    char *text = page_text(&p);
    while (text && lines_of(text) > MOST_LINES && p.sentences < NONE) {
        free(text);
        p.sentences++;
        text = page_text(&p);
    }
    const bool ok = text && fputs(text, stream) >= 0 && fflush(stream) == 0 && !ferror(stream);
    free(text);
    cbx_case_destroy(judged);
    return ok;
}
