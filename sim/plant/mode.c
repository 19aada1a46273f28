// SPDX-License-Identifier: MIT
#include "plant/mode.h"

#include "plant/wet_bulb.h"

#include <math.h>

/// Index of the given point below, and how far the value is on its way to the next, 0..1: constant
/// beyond the ends.
static int place(const double *given, int count, cbx_dual value, cbx_dual *way)
{
    *way = cbx_constant(0.0);
    const int last = count - 1;
    if (last == 0 || value.value <= given[0]) {
        return 0;
    }
    if (value.value >= given[last]) {
        return last;
    }
    int i = 0;
    while (value.value >= given[i + 1]) {
        i++;
    }
    const double span = given[i + 1] - given[i];
    *way = cbx_scale(1.0 / span, cbx_subtract(value, cbx_constant(given[i])));
    return i;
}

typedef struct reading {
    cbx_dual capacity, power, share;
} reading;

static reading reading_between(reading a, reading b, cbx_dual way)
{
    return (reading){cbx_between(a.capacity, b.capacity, way), cbx_between(a.power, b.power, way),
                     cbx_between(a.share, b.share, way)};
}

static reading read_curve(const cbx_curve *curve, double entering_c)
{
    reading at = {.share = cbx_curve_share(curve, entering_c)};
    cbx_curve_at(curve, entering_c, &at.capacity, &at.power);
    return at;
}

static reading read_sheet(const cbx_sheet *sheet, const cbx_condition *condition)
{
    cbx_dual way;
    const int i = place(sheet->flow_m3_s, sheet->flows, condition->flow_m3_s, &way);
    const reading at = read_curve(&sheet->curve[i], condition->entering_c);
    return way.value > 0.0
               ? reading_between(at, read_curve(&sheet->curve[i + 1], condition->entering_c), way)
               : at;
}

static reading read_level(const cbx_level *level, const cbx_condition *condition)
{
    cbx_dual way;
    const int i = place(level->air_c, level->airs, cbx_constant(condition->air_c), &way);
    const reading at = read_sheet(&level->sheet[i], condition);
    return way.value > 0.0 ? reading_between(at, read_sheet(&level->sheet[i + 1], condition), way)
                           : at;
}

bool cbx_mode_has_air(const cbx_mode *mode)
{
    bool has = false;
    for (int k = 0; k < mode->levels; k++) {
        has = has || mode->level[k].airs > 1;
    }
    return has;
}

double cbx_mode_air_c(const cbx_mode *mode, double indoor_c)
{
    if (!cbx_mode_has_air(mode)) {
        return mode->usual_air_c;
    }
    const bool usual = mode->air_is_fixed || isnan(indoor_c);
    const double dry_c = usual ? mode->usual_air_c : indoor_c;
    return mode->wet_bulb ? cbx_wet_bulb_c(dry_c, mode->humidity) : dry_c;
}

void cbx_mode_at(const cbx_mode *mode, const cbx_condition *condition, cbx_working *out)
{
    const double entering_c = condition->entering_c;
    out->levels = mode->levels;
    const cbx_dual added = cbx_constant(mode->added_w);
    for (int k = 0; k < mode->levels; k++) {
        const reading at = read_level(&mode->level[k], condition);
        out->capacity[k] = cbx_combine(1.0, at.capacity, mode->cooling ? -1.0 : 1.0, added);
        out->power[k] = cbx_add(at.power, added);
        out->share = k == 0 ? at.share : cbx_least(out->share, at.share);
    }
    const cbx_dual cold = cbx_fade(entering_c - mode->low_lockout_c, mode->recovery_k, 1.0);
    const cbx_dual warm = cbx_fade(mode->high_lockout_c - entering_c, mode->recovery_k, -1.0);
    out->share = cbx_multiply(out->share, cbx_multiply(cold, warm));
}

static cbx_pace cycling(const cbx_mode *mode, const cbx_working *at, cbx_dual rate)
{
    const cbx_dual load = cbx_divide(rate, at->capacity[0]); // PLR
    const cbx_dual idle = cbx_subtract(cbx_constant(1.0), load);
    const cbx_dual kept = cbx_subtract(cbx_constant(1.0), cbx_scale(mode->cycling_loss, idle));
    return (cbx_pace){.run = cbx_divide(load, kept),
                      .capacity = cbx_multiply(kept, at->capacity[0]),
                      .power = at->power[0]};
}

cbx_pace cbx_mode_pace(const cbx_mode *mode, const cbx_working *at, cbx_dual rate)
{
    int k = 0;
    while (k < at->levels && rate.value >= at->capacity[k].value) {
        k++;
    }
    if (k == 0) {
        return cycling(mode, at, rate);
    }
    if (k == at->levels) {
        return (cbx_pace){cbx_constant(1.0), at->capacity[k - 1], at->power[k - 1]};
    }
    const cbx_dual span = cbx_subtract(at->capacity[k], at->capacity[k - 1]);
    const cbx_dual way = cbx_divide(cbx_subtract(rate, at->capacity[k - 1]), span);
    return (cbx_pace){cbx_constant(1.0), rate, cbx_between(at->power[k - 1], at->power[k], way)};
}
