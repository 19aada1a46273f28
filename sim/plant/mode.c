// SPDX-License-Identifier: MIT
#include "plant/mode.h"

/// Index of the flow below and how far the flow is on its way to the next, 0..1: constant beyond
/// the ends.
static int flow_place(const cbx_level *level, cbx_dual flow, cbx_dual *way)
{
    *way = cbx_constant(0.0);
    const int last = level->flows - 1;
    if (last == 0 || flow.value <= level->flow_m3_s[0]) {
        return 0;
    }
    if (flow.value >= level->flow_m3_s[last]) {
        return last;
    }
    int i = 0;
    while (flow.value >= level->flow_m3_s[i + 1]) {
        i++;
    }
    const double span = level->flow_m3_s[i + 1] - level->flow_m3_s[i];
    *way = cbx_scale(1.0 / span, cbx_subtract(flow, cbx_constant(level->flow_m3_s[i])));
    return i;
}

static void level_at(const cbx_level *level, double entering_c, cbx_dual flow, cbx_dual *capacity,
                     cbx_dual *power, cbx_dual *share)
{
    cbx_dual way;
    const int i = flow_place(level, flow, &way);
    cbx_curve_at(&level->curve[i], entering_c, capacity, power);
    *share = cbx_curve_share(&level->curve[i], entering_c);
    if (way.value > 0.0) {
        cbx_dual next_capacity, next_power;
        cbx_curve_at(&level->curve[i + 1], entering_c, &next_capacity, &next_power);
        *capacity = cbx_between(*capacity, next_capacity, way);
        *power = cbx_between(*power, next_power, way);
        *share = cbx_between(*share, cbx_curve_share(&level->curve[i + 1], entering_c), way);
    }
}

void cbx_mode_at(const cbx_mode *mode, double entering_c, cbx_dual flow_m3_s, cbx_working *out)
{
    out->levels = mode->levels;
    const cbx_dual added = cbx_constant(mode->added_w);
    for (int k = 0; k < mode->levels; k++) {
        cbx_dual *capacity = &out->capacity[k], *power = &out->power[k], share;
        level_at(&mode->level[k], entering_c, flow_m3_s, capacity, power, &share);
        *capacity = cbx_combine(1.0, *capacity, mode->cooling ? -1.0 : 1.0, added);
        *power = cbx_add(*power, added);
        out->share = k == 0 ? share : cbx_least(out->share, share);
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
