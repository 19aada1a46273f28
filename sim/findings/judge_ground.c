// SPDX-License-Identifier: MIT
#include "findings/judge.h"

#include "coilbed/field.h"

#include <math.h>
#include <stdio.h>

// Marks chosen here, common practice, no source.
static const double ICE_NOTED_M = 0.10;   // ice this thick around a pipe can lift and settle ground
static const double FROST_CLOSE_M = 0.15; // frost this near to the pipe is called close
static const double PLAIN_WATER_C = -0.5; // a fluid that freezes above this has no antifreeze

typedef struct ice_story {
    double largest_m;
    long largest_day; ///< -1 if there is none
    int most_months;  ///< months with ice in the worst run year
    int year_round;   ///< first whole run year without a day free of ice; 0 if each one thaws
} ice_story;

static void close_year(ice_story *story, unsigned months, bool thawed, int run_year, bool whole)
{
    int count = 0;
    for (unsigned left = months; left; left >>= 1) {
        count += (int)(left & 1u);
    }
    story->most_months = count > story->most_months ? count : story->most_months;
    if (whole && !thawed && story->year_round == 0) {
        story->year_round = run_year;
    }
}

static ice_story read_ice(const cbx_case *judged)
{
    const cb_run_data *data = judged->data;
    ice_story story = {.largest_day = -1};
    unsigned months = 0;
    bool thawed = false;
    int run_year = 1;
    for (long i = 0; i < data->days; i++) {
        const long day = (long)data->day_number[i];
        const cb_moment moment = cb_run_moment(&judged->design->run, day * 24);
        if (moment.run_year != run_year) {
            close_year(&story, months, thawed, run_year, run_year <= judged->summary->whole_years);
            months = 0;
            thawed = false;
            run_year = moment.run_year;
        }
        if (data->ice_radius_m[i] > 0.0) {
            months |= 1u << (unsigned)(moment.month - 1);
        } else {
            thawed = true;
        }
        if (data->ice_radius_m[i] > story.largest_m) {
            story.largest_m = data->ice_radius_m[i];
            story.largest_day = day;
        }
    }
    if (data->days > 0) {
        close_year(&story, months, thawed, run_year, run_year <= judged->summary->whole_years);
    }
    return story;
}

static void judge_ice(cbx_case *judged)
{
    if (judged->data->days == 0 || !judged->data->ice_radius_m || !judged->data->day_number) {
        return;
    }
    const ice_story story = read_ice(judged);
    cb_finding *finding = cbx_add_finding(judged, "ice", CB_SMALL_LENGTH);
    finding->value = story.largest_m;
    if (story.largest_day < 0) {
        cbx_say(finding, "The ground around the pipe never froze.");
        return;
    }
    finding->run_hour = story.largest_day * 24;
    const cbx_text radius = cbx_quantity(CB_SMALL_LENGTH, judged->system, story.largest_m);
    const cbx_text when = cbx_when(judged->design, finding->run_hour);
    const char *plural = story.most_months == 1 ? "" : "s";
    if (story.year_round > 0) {
        finding->severity = CB_BROKEN;
        cbx_say(finding,
                "Ice around the pipe reaches a radius of %s (%s) and from year %d on no longer "
                "thaws in summer: it grows from year to year, and ground that stays frozen can "
                "heave.",
                radius.text, when.text, story.year_round);
    } else if (story.largest_m >= ICE_NOTED_M) {
        finding->severity = CB_CLOSE;
        cbx_say(finding,
                "Ice around the pipe reaches a radius of %s (%s), in up to %d month%s of the year, "
                "and thaws each summer. Freezing ground can heave: keep footings and drains away.",
                radius.text, when.text, story.most_months, plural);
    } else {
        cbx_say(
            finding,
            "Ice around the pipe stays thin: radius %s at most (%s), in up to %d month%s of the "
            "year, gone each summer.",
            radius.text, when.text, story.most_months, plural);
    }
}

static double shallowest_pipe_m(const cb_design_field *field)
{
    cb_field_bill bill;
    const cb_pipe thin = {0}; // the pipe's middle
    cb_field_bill_of(&bill, field, &thin, NULL);
    return field->runout.given ? fmin(bill.shallowest_m, field->runout.depth_m) : bill.shallowest_m;
}

typedef struct snow_words {
    char text[200];
} snow_words;

// What the frost depth takes for granted about snow; "" where there is none to speak of.
static snow_words about_snow(const cbx_case *judged)
{
    snow_words text = {""};
    const double kept = judged->design->ground.surface.snow_kept;
    const double snow_m = judged->data->run_snow_depth_m;
    if (kept <= 0.0) {
        snprintf(text.text, sizeof text.text, " The yard is taken as cleared of snow.");
    } else if (snow_m >= CB_SNOW_LIES_M) {
        const cbx_text snow = cbx_quantity(CB_SMALL_LENGTH, judged->system, snow_m);
        snprintf(text.text, sizeof text.text,
                 " That counts on snow (up to %s) to lie; frost goes deeper on a cleared yard: "
                 "--set ground.surface.snow_kept='0 %%'.",
                 snow.text);
    }
    return text;
}

static void judge_frost(cbx_case *judged)
{
    const cb_run_data *data = judged->data;
    const double depth_m = shallowest_pipe_m(&judged->design->field);
    const double frost_m = data->run_frost_depth_m;
    if (!isfinite(frost_m) || !isfinite(depth_m)) {
        return;
    }
    cb_finding *finding = cbx_add_finding(judged, "frost_depth", CB_LENGTH);
    cbx_hold_against(
        finding,
        &(cbx_bound){.value = frost_m, .limit = depth_m, .above = false, .close = FROST_CLOSE_M});
    const snow_words snow = about_snow(judged);
    if (data->run_frost_hour < 0) {
        cbx_say(finding, "Undisturbed ground does not freeze.%s", snow.text);
        return;
    }
    finding->run_hour = data->run_frost_hour < data->hours ? data->run_frost_hour : -1;
    const bool water = data->freeze_c > PLAIN_WATER_C;
    const cbx_text frost = cbx_quantity(CB_LENGTH, judged->system, frost_m);
    const cbx_text typical = cbx_quantity(CB_LENGTH, judged->system, data->frost_depth_m);
    const cbx_text depth = cbx_quantity(CB_LENGTH, judged->system, depth_m);
    const cbx_text when = cbx_when(judged->design, data->run_frost_hour);
    if (finding->severity != CB_BROKEN) {
        cbx_say(finding,
                "Frost in undisturbed ground reaches %s (%s; %s in a typical year); the shallowest "
                "pipe lies at %s.%s",
                frost.text, when.text, typical.text, depth.text, snow.text);
        return;
    }
    // With antifreeze, frost at the pipe costs performance; the temperatures judge that.
    finding->severity = water ? CB_BROKEN : CB_CLOSE;
    cbx_say(finding,
            "Frost in undisturbed ground reaches %s (%s; %s in a typical year), down to the "
            "shallowest pipe at %s%s.%s",
            frost.text, when.text, typical.text, depth.text,
            water ? ": plain water standing there freezes" : ": it lies in frozen ground",
            snow.text);
}

void cbx_judge_ground(cbx_case *judged)
{
    judge_ice(judged);
    judge_frost(judged);
}
