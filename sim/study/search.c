// SPDX-License-Identifier: MIT
#include "coilbed/search.h"

#include <math.h>
#include <stddef.h>

// Inside, values run from 0, the end where the least margin is expected, to 1, where it should
// hold: the search for the most and that for the least are the same one.
typedef struct walk {
    const cb_search *search;
    cb_search_result *result;
    cb_error *error;
} walk;

/// The readable number near a value, as long as it lies between two others.
static double snapped(const cb_search *s, double value, double a, double b)
{
    const double near = s->snap ? s->snap(s->context, value) : value;
    return near > fmin(a, b) && near < fmax(a, b) ? near : value;
}

static double value_at(const cb_search *s, double share)
{
    const double value =
        s->most ? s->high + share * (s->low - s->high) : s->low + share * (s->high - s->low);
    return s->whole ? round(value) : snapped(s, value, s->low, s->high);
}

static double share_of(const cb_search *s, double value)
{
    return s->most ? (s->high - value) / (s->high - s->low) : (value - s->low) / (s->high - s->low);
}

static bool holds(const cb_search_point *point)
{
    return point->margin >= 0.0;
}

static cb_status ask(walk *w, double value, bool look, const cb_search_point **out)
{
    const cb_search *s = w->search;
    cb_search_result *r = w->result;
    cb_search_point *point = &r->point[r->count];
    *point = (cb_search_point){.value = value, .margin = NAN, .look = look};
    if (out) {
        *out = point;
    }
    const cb_status status = s->margin(s->context, value, &point->margin, w->error);
    if (status != CB_OK) {
        return status;
    }
    if (isnan(point->margin)) {
        return cb_fail(w->error, CB_NUMERICS, "the margin at %.6g is not a number", value);
    }
    r->count++;
    return CB_OK;
}

// ---- between what holds and what does not ----------------------------------------------------

/// Where a straight line between the margins crosses zero, as a share of the way from bad to good.
/// It is moved a little towards the end that lies further off, so that this end, too, comes close.
static double line_share(const cb_search_point *bad, const cb_search_point *good, double nudge)
{
    const double line = bad->margin / (bad->margin - good->margin);
    return line < 0.5 ? line + nudge : line - nudge;
}

/// The next value to ask for; NaN where none is left between the two.
static double between(const walk *w, const cb_search_point *bad, const cb_search_point *good,
                      bool middle)
{
    const cb_search *s = w->search;
    const double gap = good->value - bad->value;
    const double half_step = 0.45 * s->step / fabs(gap);
    double share = line_share(bad, good, half_step);
    // Infinite margins make no line. Off the ends, or the same point would be asked for twice.
    share = middle || !isfinite(share) ? 0.5 : share;
    share = fmin(fmax(share, fmin(0.5, half_step)), fmax(0.5, 1.0 - half_step));
    double value = bad->value + share * gap;
    if (s->whole) {
        value = round(value);
        value += value == bad->value ? copysign(1.0, gap) : 0.0;
        value -= value == good->value ? copysign(1.0, gap) : 0.0;
        return value == bad->value ? NAN : value;
    }
    return snapped(s, value, bad->value, good->value);
}

static cb_status close_in(walk *w, const cb_search_point *bad, const cb_search_point *good)
{
    const cb_search *s = w->search;
    cb_search_result *r = w->result;
    bool middle = false;
    double gap = fabs(good->value - bad->value);
    // A hair of slack, so that a gap of exactly one step, rounded, is not halved once more.
    while (gap > s->step * (1.0 + 1e-9)) {
        const double value = between(w, bad, good, middle);
        if (isnan(value)) {
            break;
        }
        if (r->count >= s->most_points) {
            r->outcome = CB_SEARCH_UNFINISHED;
            break;
        }
        const cb_search_point *asked = NULL;
        const cb_status status = ask(w, value, false, &asked);
        if (status != CB_OK) {
            return status;
        }
        *(holds(asked) ? &good : &bad) = asked;
        const double left = fabs(good->value - bad->value);
        middle = left > 0.5 * gap; // the line led nowhere
        gap = left;
    }
    r->value = good->value;
    r->margin = good->margin;
    r->beyond = bad->value;
    return CB_OK;
}

// ---- looking around --------------------------------------------------------------------------

/// Places of the points in the order of their values, worst end first.
static void sort(const walk *w, int order[CB_SEARCH_POINTS])
{
    const cb_search_result *r = w->result;
    for (int i = 0; i < r->count; i++) {
        int at = i;
        const double share = share_of(w->search, r->point[i].value);
        for (; at > 0 && share_of(w->search, r->point[order[at - 1]].value) > share; at--) {
            order[at] = order[at - 1];
        }
        order[at] = i;
    }
}

static cb_status look_around(walk *w)
{
    const cb_search *s = w->search;
    cb_search_result *r = w->result;
    for (int look = 0; look < s->looks && r->count < s->most_points; look++) {
        int order[CB_SEARCH_POINTS];
        sort(w, order);
        double widest = 0.0, middle = NAN;
        for (int i = 1; i < r->count; i++) {
            const double from = share_of(s, r->point[order[i - 1]].value);
            const double to = share_of(s, r->point[order[i]].value);
            if (to - from > widest * (1.0 + 1e-9)) {
                widest = to - from;
                middle = value_at(s, 0.5 * (from + to));
            }
        }
        if (widest * (s->high - s->low) < 2.0 * s->step) {
            return CB_OK; // nothing is left that the step would tell apart
        }
        const cb_status status = ask(w, middle, true, NULL);
        if (status != CB_OK) {
            return status;
        }
    }
    return CB_OK;
}

/// Looks for points in the wrong order: the worst pair, one that contradicts before any other.
static void judge_order(walk *w)
{
    const cb_search *s = w->search;
    cb_search_result *r = w->result;
    int order[CB_SEARCH_POINTS];
    double worst = s->noise;
    sort(w, order);
    for (int i = 0; i < r->count; i++) {
        for (int k = i + 1; k < r->count; k++) {
            const cb_search_point *from = &r->point[order[i]], *to = &r->point[order[k]];
            const double fall = from->margin - to->margin;
            const bool against = holds(from) && !holds(to);
            if (fall > s->noise &&
                (against > r->contradicted || (against == r->contradicted && fall > worst))) {
                worst = fall;
                r->turns = true;
                r->contradicted = against;
                r->turn_from = from->value;
                r->turn_to = to->value;
            }
        }
    }
}

/// Where no end holds, or only the wrong one, one of the looks may.
static void take_what_holds(walk *w)
{
    cb_search_result *r = w->result;
    int order[CB_SEARCH_POINTS];
    sort(w, order);
    for (int i = 0; i < r->count; i++) {
        const cb_search_point *point = &r->point[order[i]];
        if (holds(point)) {
            r->outcome = CB_SEARCH_UNFINISHED;
            r->value = point->value;
            r->margin = point->margin;
            r->beyond = i > 0 ? r->point[order[i - 1]].value : NAN;
            return;
        }
    }
}

static bool sound(const cb_search *s)
{
    const bool numbers = isfinite(s->low) && isfinite(s->high) && s->low < s->high && s->step > 0 &&
                         isfinite(s->step) && s->noise >= 0;
    const bool whole =
        !s->whole || (s->low == round(s->low) && s->high == round(s->high) && s->step >= 1.0);
    return numbers && whole && s->margin && s->looks >= 0 && s->most_points >= 3 &&
           s->most_points <= CB_SEARCH_POINTS;
}

static cb_status search_range(walk *w)
{
    cb_search_result *r = w->result;
    const cb_search_point *bad = NULL, *good = NULL;
    cb_status status = ask(w, value_at(w->search, 1.0), false, &good);
    if (status == CB_OK) {
        status = ask(w, value_at(w->search, 0.0), false, &bad);
    }
    if (status != CB_OK) {
        return status;
    }
    if (holds(bad)) {
        r->outcome = CB_SEARCH_ALL_HOLD;
        r->value = bad->value;
        r->margin = bad->margin;
    } else if (holds(good)) {
        r->outcome = CB_SEARCH_FOUND;
        status = close_in(w, bad, good);
    }
    return status == CB_OK ? look_around(w) : status;
}

cb_status cb_search_run(cb_search_result *result, const cb_search *search, cb_error *error)
{
    if (!result || !search || !sound(search)) {
        return cb_fail(error, CB_BAD_CALL,
                       "cb_search_run needs a range from low to high, a step and a margin");
    }
    *result = (cb_search_result){.outcome = CB_SEARCH_NONE_HOLD,
                                 .value = NAN,
                                 .margin = NAN,
                                 .beyond = NAN,
                                 .turn_from = NAN,
                                 .turn_to = NAN};
    walk w = {search, result, error};
    const cb_status status = search_range(&w);
    if (status == CB_OK) {
        judge_order(&w);
        if (result->outcome == CB_SEARCH_NONE_HOLD) {
            take_what_holds(&w);
        }
    }
    return status;
}
