// SPDX-License-Identifier: MIT
#include "findings/remedy.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const double MOST_ANTIFREEZE = 0.6; // no design may hold more

typedef enum lever {
    LENGTH,
    DEPTH,
    PITCH,
    SPACING,
    CONCENTRATION,
    ANTIFREEZE,
    FLOW,
    CAPACITY,
    YEARS,
    ACCURACY
} lever;

// More flow narrows the drop across the heat pump: that lifts the coldest fluid, not the water that
// enters, which comes closer to the mean. Spacing acts over years, concentration not on the ground.
static const struct {
    lever lever;
    const char *text, *codes; ///< codes: those it acts on, each between blanks
} rule[] = {
    {LENGTH, "longer trenches, with more pipe",
     " freeze_margin entering_minimum entering_maximum drift_coldest drift_minimum drift_maximum "
     "ice pipe_temperature fluid_span_cold "},
    {DEPTH, "laid deeper",
     " freeze_margin entering_minimum entering_maximum frost_depth pipe_temperature "
     "fluid_span_cold "},
    {PITCH, "wider pitch",
     " freeze_margin entering_minimum entering_maximum drift_coldest drift_minimum drift_maximum "
     "ice "},
    {SPACING, "trenches further apart", " drift_coldest drift_minimum drift_maximum ice "},
    {CONCENTRATION, "more antifreeze (but thicker)", " freeze_margin drift_coldest "},
    {ANTIFREEZE, "an antifreeze mixture instead of plain water (block fluid)",
     " freeze_margin drift_coldest "},
    {FLOW, "more flow (takes pump power)", " freeze_margin drift_coldest reynolds "},
    {CAPACITY, "a larger or second heat pump, more backup, or a tighter house",
     " unmet_heating unmet_cooling backup "},
    {YEARS, "a run to its end, long enough to judge drift", " incomplete drift_unknown "},
    {ACCURACY, "a finer run", " energy_audit "},
};

static bool applies(lever which, const cb_design *design)
{
    const cb_design_field *field = &design->field;
    switch (which) {
        case PITCH:
            return field->layout != CB_STRAIGHT;
        case SPACING:
            return field->trenches > 1;
        case CONCENTRATION:
            return design->fluid.type != CB_WATER;
        case ANTIFREEZE:
            return design->fluid.type == CB_WATER;
        default:
            return true;
    }
}

/// Appends --set path='value unit', the value to three digits or whole units.
static void set(cbx_remedy *remedy, const char *path, cb_kind kind, cb_unit_system system,
                double si)
{
    if (remedy->move_count < CBX_MOST_MOVES) {
        remedy->move[remedy->move_count].path = path;
        remedy->move[remedy->move_count++].to = si;
    }
    const size_t used = strlen(remedy->settings);
    const double value = cb_units_value(kind, system, si);
    const bool large = fabs(value) >= 100.0; // to three digits it would read 1.25e+03
    snprintf(remedy->settings + used, sizeof remedy->settings - used, "%s--set %s='%.*g %s'",
             used > 0 ? " " : "", path, large ? 9 : 3, large ? round(value) : value,
             cb_units_label(kind, system));
}

/// Appends text, or as much as there is room for.
__attribute__((format(printf, 2, 3))) static void append(cbx_remedy *remedy, const char *format,
                                                         ...)
{
    const size_t used = strlen(remedy->settings);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(remedy->settings + used, sizeof remedy->settings - used, format, arguments);
    va_end(arguments);
}

/// All trenches longer, or each of those the design lists.
static void lengthen(cbx_remedy *remedy, const cb_design_field *field, cb_unit_system system,
                     double factor)
{
    if (field->length_count == 0) {
        set(remedy, "field.length", CB_LENGTH, system, factor * field->trench_length_m);
        return;
    }
    append(remedy, "%s--set field.lengths='[", remedy->settings[0] ? " " : "");
    for (int t = 0; t < field->length_count; t++) {
        append(remedy, "%s%.3g %s", t > 0 ? ", " : "",
               cb_units_value(CB_LENGTH, system, factor * field->length_m[t]),
               cb_units_label(CB_LENGTH, system));
    }
    append(remedy, "]'");
}

static void suggest(cbx_remedy *remedy, lever which, const cb_design *design, cb_unit_system system)
{
    const cb_design_field *field = &design->field;
    const double deeper_m = system == CB_UNITS_US ? 0.3048 : 0.3;
    switch (which) {
        case LENGTH:
            lengthen(remedy, field, system, 1.2);
            break;
        case DEPTH:
            if (field->layout != CB_STRAIGHT) {
                set(remedy, "field.depth", CB_LENGTH, system, field->depth_m + deeper_m);
            }
            break;
        case PITCH:
            set(remedy, "field.coil.pitch", CB_SMALL_LENGTH, system, 1.25 * field->coil_pitch_m);
            lengthen(remedy, field, system, 1.25);
            break;
        case SPACING:
            set(remedy, "field.spacing", CB_LENGTH, system, 1.25 * field->spacing_m);
            break;
        case CONCENTRATION:
            set(remedy, "fluid.concentration", CB_FRACTION, system,
                fmin(design->fluid.concentration + 0.05, MOST_ANTIFREEZE));
            break;
        case FLOW:
            set(remedy, "pumps.flow_per_circuit", CB_VOLUME_FLOW, system,
                1.25 * design->pumps.flow_per_circuit_m3_s);
            break;
        case YEARS:
            snprintf(remedy->settings, sizeof remedy->settings, "--set run.years=%d",
                     design->run.years > 20 ? design->run.years : 20);
            break;
        case ACCURACY:
            snprintf(remedy->settings, sizeof remedy->settings, "--set run.accuracy=fine");
            break;
        default:
            break;
    }
}

static bool acts_on(const char *codes, const char *code)
{
    char wanted[sizeof((cb_finding *)0)->code + 2];
    snprintf(wanted, sizeof wanted, " %s ", code);
    return strstr(codes, wanted) != NULL;
}

static const cb_run_effect *effect_on(const cb_run_effects *effects, const char *path)
{
    for (int i = 0; i < effects->count; i++) {
        if (strcmp(effects->effect[i].path, path) == 0) {
            return &effects->effect[i];
        }
    }
    return NULL;
}

/// Along the derivatives of all that is set.
static void estimate(cbx_remedy *remedy, const cb_run_effects *effects)
{
    remedy->change_k = remedy->move_count > 0 ? 0.0 : NAN;
    for (int i = 0; i < remedy->move_count; i++) {
        const cb_run_effect *effect = effect_on(effects, remedy->move[i].path);
        const double by = effect ? remedy->move[i].to - effect->value : (double)NAN;
        remedy->change_k += effect ? effect->slope * by : (double)NAN;
        remedy->blur_k += effect ? effect->blur * fabs(by) / effect->spread : 0.0;
    }
}

static bool ranks_before(const cbx_remedy *a, const cbx_remedy *b)
{
    return !isnan(a->change_k) && !(a->change_k <= b->change_k);
}

/// By insertion: few remedies, and equals keep their order.
static void rank(cbx_remedy *out, int count)
{
    for (int i = 1; i < count; i++) {
        const cbx_remedy moving = out[i];
        int at = i;
        for (; at > 0 && ranks_before(&moving, &out[at - 1]); at--) {
            out[at] = out[at - 1];
        }
        out[at] = moving;
    }
}

int cbx_ranked_remedies(const cb_findings *findings, const cb_run_effects *effects,
                        const cb_design *design, cb_unit_system system,
                        cbx_remedy out[CBX_MOST_REMEDIES])
{
    int count = 0;
    for (size_t i = 0; i < sizeof rule / sizeof *rule && count < CBX_MOST_REMEDIES; i++) {
        cbx_remedy *remedy = &out[count];
        *remedy = (cbx_remedy){.text = rule[i].text};
        for (size_t f = 0; f < findings->count; f++) {
            const cb_finding *finding = &findings->finding[f];
            if (finding->severity > CB_CLEAR && remedy->helped_count < CBX_MOST_HELPED &&
                acts_on(rule[i].codes, finding->code)) {
                remedy->helped[remedy->helped_count++] = finding->code;
            }
        }
        if (!applies(rule[i].lever, design)) {
            continue;
        }
        suggest(remedy, rule[i].lever, design, system);
        estimate(remedy, effects);
        count += remedy->helped_count > 0 || !isnan(remedy->change_k);
    }
    rank(out, count);
    return count;
}

int cbx_remedies(const cb_findings *findings, const cb_design *design, cb_unit_system system,
                 cbx_remedy out[CBX_MOST_REMEDIES])
{
    static const cb_run_effects none = {.count = 0};
    return cbx_ranked_remedies(findings, &none, design, system, out);
}

static bool is_plain(const char *path)
{
    for (; *path; path++) {
        if (!isalnum((unsigned char)*path) && !strchr("./_-+,:@", *path)) {
            return false;
        }
    }
    return true;
}

void cbx_design_argument(const char *path, char *buffer, size_t size)
{
    if (!path || !*path || strchr(path, '\'') || path[0] == '-') {
        snprintf(buffer, size, "FILE");
    } else {
        snprintf(buffer, size, is_plain(path) ? "%s" : "'%s'", path);
    }
}
