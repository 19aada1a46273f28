// SPDX-License-Identifier: MIT
#include "findings/summary.h"

#include <math.h>
#include <stdlib.h>

const double cbx_pump_runs = 0.02;

static const double HOUR_S = 3600.0;
// A load is called unmet, and backup in use, from this power on: below it lies the integrator's
// tolerance, not a cold room.
static const double NOTICED_W = 10.0;

static void lower(cbx_extreme *extreme, double value, long hour)
{
    if (extreme->run_hour < 0 || value < extreme->value) {
        *extreme = (cbx_extreme){value, hour};
    }
}

static void raise(cbx_extreme *extreme, double value, long hour)
{
    if (extreme->run_hour < 0 || value > extreme->value) {
        *extreme = (cbx_extreme){value, hour};
    }
}

static cbx_period empty_period(void)
{
    const cbx_extreme none = {NAN, -1};
    return (cbx_period){.entering_low = none,
                        .entering_high = none,
                        .coldest = none,
                        .hottest = none,
                        .coldest_running = none,
                        .backup = none,
                        .shortfall = none};
}

static void add_temperatures(cbx_period *period, const cb_run_data *data, long h)
{
    lower(&period->coldest, data->coldest_fluid_c[h], h);
    raise(&period->hottest, data->hottest_fluid_c[h], h);
    if (data->pump_fraction[h] > cbx_pump_runs) {
        lower(&period->coldest_running, data->coldest_fluid_c[h], h);
        lower(&period->entering_low, data->entering_water_c[h], h);
        raise(&period->entering_high, data->entering_water_c[h], h);
    }
}

/// Share of the hour's unmet load that is heating: by what each mode was left short of.
static double heating_share_of_unmet(const cb_run_data *data, long h)
{
    const double supplied = data->heating_output_w[h] + data->backup_power_w[h];
    const double warm = fmax(0.0, data->heating_load_w[h] - supplied);
    const double cool = fmax(0.0, data->cooling_load_w[h] - data->cooling_output_w[h]);
    if (warm + cool > 0.0) {
        return warm / (warm + cool);
    }
    return data->heating_load_w[h] >= data->cooling_load_w[h] ? 1.0 : 0.0;
}

static void add_mode(cbx_mode *mode, double load_w, double output_w, double unmet_w)
{
    mode->load_j += load_w * HOUR_S;
    mode->output_j += output_w * HOUR_S;
    if (unmet_w > NOTICED_W) {
        mode->unmet_j += unmet_w * HOUR_S;
        mode->unmet_hours++;
    }
}

static void add_energies(cbx_period *period, const cb_run_data *data, long h)
{
    const double warm_w = data->heating_output_w[h], cool_w = data->cooling_output_w[h];
    const double pump_j = data->pump_power_w[h] * HOUR_S;
    const double compressor_j = data->compressor_power_w[h] * HOUR_S;
    if (warm_w + cool_w > 0.0) {
        const double share = warm_w / (warm_w + cool_w);
        cbx_mode *mode[] = {&period->heating, &period->cooling};
        for (int m = 0; m < 2; m++) {
            const double part = m == 0 ? share : 1.0 - share;
            mode[m]->pump_j += part * pump_j;
            mode[m]->compressor_j += part * compressor_j;
            mode[m]->fan_j += part * data->fan_power_w[h] * HOUR_S;
            mode[m]->into_tank_j += part * data->desuperheater_w[h] * HOUR_S;
        }
    } else {
        period->idle_pump_j += pump_j;
    }
    const double unmet_w = data->unmet_load_w[h];
    const double share = unmet_w > 0.0 ? heating_share_of_unmet(data, h) : 0.0;
    add_mode(&period->heating, data->heating_load_w[h], warm_w, share * unmet_w);
    add_mode(&period->cooling, data->cooling_load_w[h], cool_w, (1.0 - share) * unmet_w);
    raise(&period->shortfall, unmet_w, h);

    period->element_j += data->element_power_w[h] * HOUR_S;
    period->hot_water_j += data->hot_water_w[h] * HOUR_S;
    period->hot_water_unmet_j += data->hot_water_unmet_w[h] * HOUR_S;
    period->backup_j += data->backup_power_w[h] * HOUR_S;
    if (data->backup_power_w[h] > NOTICED_W) {
        period->backup_hours++;
        raise(&period->backup, data->backup_power_w[h], h);
    }
}

/// A pump that also runs in idle hours runs for both seasons: shared by their output.
static void share_idle_pump(cbx_period *period)
{
    const double output_j = period->heating.output_j + period->cooling.output_j;
    const double share = output_j > 0.0 ? period->heating.output_j / output_j : 0.5;
    period->heating.pump_j += share * period->idle_pump_j;
    period->cooling.pump_j += (1.0 - share) * period->idle_pump_j;
}

static void fill_period(cbx_period *period, const cb_run_data *data, long from, long to)
{
    *period = empty_period();
    period->hours = to - from;
    for (long h = from; h < to; h++) {
        add_temperatures(period, data, h);
        add_energies(period, data, h);
    }
    share_idle_pump(period);
}

/// Every series a judgement rests on must be there and hold numbers; water that stands still and
/// its Reynolds number need not.
static cb_status check_series(const cb_run_data *data, cb_error *error)
{
    const struct {
        const char *name;
        const double *value;
    } series[] = {
        {"coldest fluid temperature", data->coldest_fluid_c},
        {"hottest fluid temperature", data->hottest_fluid_c},
        {"pump fraction", data->pump_fraction},
        {"heating output", data->heating_output_w},
        {"cooling output", data->cooling_output_w},
        {"compressor power", data->compressor_power_w},
        {"pump power", data->pump_power_w},
        {"backup power", data->backup_power_w},
        {"unmet load", data->unmet_load_w},
        {"fan power", data->fan_power_w},
        {"desuperheater heat", data->desuperheater_w},
        {"hot water element", data->element_power_w},
        {"hot water drawn", data->hot_water_w},
        {"hot water unmet", data->hot_water_unmet_w},
        {"heating load", data->heating_load_w},
        {"cooling load", data->cooling_load_w},
        {"entering water temperature", data->entering_water_c},
        {"Reynolds number", data->reynolds},
    };
    const size_t count = sizeof series / sizeof *series, always = count - 2;
    for (size_t i = 0; i < count; i++) {
        if (!series[i].value) {
            return cb_fail(error, CB_BAD_CALL, "the run data hold no %s", series[i].name);
        }
        for (long h = 0; h < data->hours; h++) {
            const bool counts = i < always || data->pump_fraction[h] > cbx_pump_runs;
            if (counts && !isfinite(series[i].value[h])) {
                return cb_fail(error, CB_BAD_INPUT, "the run's %s is not a number in hour %ld",
                               series[i].name, h);
            }
        }
    }
    return CB_OK;
}

// `listed` counts from 1, or backwards from -1, the last.
static void mark_year(bool marked[CBX_MOST_YEARS], const cb_design *design, int listed)
{
    const int run_year = listed < 0 ? design->run.years + 1 + listed : listed;
    if (run_year >= 1 && run_year <= CBX_MOST_YEARS) {
        marked[run_year - 1] = true;
    }
}

static void mark_shaped_years(cbx_summary *summary, const cb_design *design)
{
    for (int i = 0; i < design->weather.hard_winter_count; i++) {
        mark_year(summary->hard_winter, design, design->weather.hard_winter[i].year);
    }
    for (int i = 0; i < design->weather.hot_summer_count; i++) {
        mark_year(summary->hot_summer, design, design->weather.hot_summer[i].year);
    }
}

cb_status cbx_summary_create(cbx_summary **out, const cb_run_data *data, const cb_design *design,
                             cb_error *error)
{
    *out = NULL;
    if (data->hours < 24) {
        return cb_fail(error, CB_BAD_INPUT,
                       "the run holds %ld hours; findings need at least a day (24 hours)",
                       data->hours);
    }
    const cb_status status = check_series(data, error);
    if (status != CB_OK) {
        return status;
    }
    const int years = (int)((data->hours + CB_YEAR_HOURS - 1) / CB_YEAR_HOURS);
    if (years > CBX_MOST_YEARS) {
        return cb_fail(error, CB_BAD_INPUT, "the run holds %d years; at most %d can be judged",
                       years, CBX_MOST_YEARS);
    }
    cbx_summary *summary = calloc(1, sizeof *summary);
    if (summary) {
        summary->year = calloc((size_t)years, sizeof *summary->year);
        summary->ordinary = calloc((size_t)years, sizeof *summary->ordinary);
    }
    if (!summary || !summary->year || !summary->ordinary) {
        cbx_summary_destroy(summary);
        return cb_fail(error, CB_NO_MEMORY, "no memory for the summary of %d years", years);
    }
    summary->years = years;
    summary->whole_years = (int)(data->hours / CB_YEAR_HOURS);
    mark_shaped_years(summary, design);
    for (int y = 0; y < years; y++) {
        const long from = (long)y * CB_YEAR_HOURS;
        const long to = from + CB_YEAR_HOURS < data->hours ? from + CB_YEAR_HOURS : data->hours;
        fill_period(&summary->year[y], data, from, to);
        summary->ordinary[y] =
            y < summary->whole_years && !summary->hard_winter[y] && !summary->hot_summer[y];
    }
    fill_period(&summary->run, data, 0, data->hours);
    *out = summary;
    return CB_OK;
}

cbx_summary *cbx_summary_destroy(cbx_summary *summary)
{
    if (summary) {
        free(summary->year);
        free(summary->ordinary);
        free(summary);
    }
    return NULL;
}

double cbx_summary_average_years(const cbx_summary *summary)
{
    return summary->whole_years > 0 ? summary->whole_years : 1.0;
}

static void add_mode_totals(cbx_mode *sum, const cbx_mode *mode)
{
    sum->load_j += mode->load_j;
    sum->output_j += mode->output_j;
    sum->compressor_j += mode->compressor_j;
    sum->fan_j += mode->fan_j;
    sum->pump_j += mode->pump_j;
    sum->into_tank_j += mode->into_tank_j;
    sum->unmet_j += mode->unmet_j;
    sum->unmet_hours += mode->unmet_hours;
}

cbx_period cbx_summary_total(const cbx_summary *summary)
{
    if (summary->whole_years == 0) {
        return summary->run;
    }
    cbx_period sum = summary->run;
    sum.heating = sum.cooling = (cbx_mode){0};
    sum.hours = sum.backup_hours = 0;
    sum.backup_j = sum.element_j = sum.hot_water_j = sum.hot_water_unmet_j = 0.0;
    for (int y = 0; y < summary->whole_years; y++) {
        const cbx_period *year = &summary->year[y];
        add_mode_totals(&sum.heating, &year->heating);
        add_mode_totals(&sum.cooling, &year->cooling);
        sum.hours += year->hours;
        sum.backup_hours += year->backup_hours;
        sum.backup_j += year->backup_j;
        sum.element_j += year->element_j;
        sum.hot_water_j += year->hot_water_j;
        sum.hot_water_unmet_j += year->hot_water_unmet_j;
    }
    return sum;
}

static double performance(const cbx_mode *mode, double useful_j)
{
    const double electricity_j = mode->compressor_j + mode->fan_j + mode->pump_j;
    return electricity_j > 0.0 && useful_j > 0.0 ? useful_j / electricity_j : NAN;
}

double cbx_heating_performance(const cbx_period *period)
{
    return performance(&period->heating, period->heating.output_j + period->heating.into_tank_j);
}

double cbx_cooling_performance(const cbx_period *period)
{
    return performance(&period->cooling, period->cooling.output_j);
}
