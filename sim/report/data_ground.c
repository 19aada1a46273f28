// SPDX-License-Identifier: MIT
// Of the soil: sections through up to three years, the column under a trench by month, the ice.
#include "report/data.h"

#include "coilbed/field.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_YEARS = 3, MOST_FRAMES = MOST_YEARS * 53, MOST_BYTES = 780000, LEVELS = 255 };

/// Which days of one slice are shown, and which rows of cells.
typedef struct plan {
    int slice, rows;
    int year[MOST_YEARS], years;
    int every_days;
    size_t count;
    long row[MOST_FRAMES];    // place in ground->run_day
    int of_year[MOST_FRAMES]; // run year of each
} plan;

// ---- what to show ----------------------------------------------------------------------------

/// The slice whose pipe gets coldest.
static int coldest_slice(const cb_run_ground *ground)
{
    int coldest = 0;
    double least = INFINITY;
    for (long d = 0; d < ground->days; d++) {
        for (int s = 0; s < ground->slices; s++) {
            const double wall_c = ground->pipe_wall_c[d * ground->slices + s];
            if (wall_c < least) {
                least = wall_c;
                coldest = s;
            }
        }
    }
    return coldest;
}

/// Down to twice the deepest pipe: below, little moves within a year.
static int rows_shown(const cbx_report_run *run)
{
    cb_leg legs[CB_MAX_LEGS];
    const int count = cb_field_legs(&run->design->field, legs);
    double deepest_m = 0.0;
    for (int i = 0; i < count; i++) {
        const double below_m = legs[i].upright ? 0.5 * legs[i].coil_diameter_m : 0.0;
        deepest_m = fmax(deepest_m, legs[i].depth_m + below_m);
    }
    const double to_m = fmax(2.0 * deepest_m, deepest_m + 1.5);
    int rows = 1;
    while (rows < run->ground->nz && run->ground->z_edge_m[rows] < to_m) {
        rows++;
    }
    return rows;
}

static void add_year(plan *p, int year)
{
    for (int i = 0; i < p->years; i++) {
        if (p->year[i] == year) {
            return;
        }
    }
    p->year[p->years++] = year;
}

/// The year of the coldest fluid, the last and the first, as far as they fit.
static void choose_years(plan *p, const cbx_report_run *run)
{
    const cbx_summary *summary = cbx_report_summary(run);
    const size_t cells = (size_t)p->rows * (size_t)run->ground->nx;
    const size_t frame_bytes = cells + (cells + 1) / 2;
    p->every_days = 7;
    while (frame_bytes * (size_t)(CB_YEAR_DAYS / p->every_days + 1) > MOST_BYTES &&
           p->every_days < 56) {
        p->every_days *= 2;
    }
    const size_t year_bytes = frame_bytes * (size_t)(CB_YEAR_DAYS / p->every_days + 1);
    const int fit = (int)(MOST_BYTES / year_bytes);
    const int wanted[MOST_YEARS] = {(int)(summary->run.coldest.run_hour / CB_YEAR_HOURS),
                                    summary->years - 1, 0};
    for (int i = 0; i < MOST_YEARS && (p->years < fit || p->years == 0); i++) {
        add_year(p, wanted[i]);
    }
}

static void choose_days(plan *p, const cb_run_ground *ground)
{
    for (int y = 0; y < p->years; y++) {
        long next = (long)p->year[y] * CB_YEAR_DAYS;
        const long end = next + CB_YEAR_DAYS;
        for (long d = 0; d < ground->days && p->count < MOST_FRAMES; d++) {
            const long day = ground->run_day[d];
            if (ground->kept[d] && day >= next && day <= end) {
                p->row[p->count] = d;
                p->of_year[p->count++] = p->year[y];
                next = day + p->every_days;
            }
        }
    }
}

// ---- sections --------------------------------------------------------------------------------

typedef struct sections {
    float *temperature_c, *ice;
    double low_c, step_k;
} sections;

static void find_range(sections *s, size_t values)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < values; i++) {
        if (isfinite(s->temperature_c[i])) {
            low = fmin(low, (double)s->temperature_c[i]);
            high = fmax(high, (double)s->temperature_c[i]);
        }
    }
    s->low_c = isfinite(low) ? low : 0.0;
    s->step_k = isfinite(low) ? fmax(high - low, 1.0) / (LEVELS - 1) : 1.0;
}

static void put_frame(cbx_json *json, const sections *s, const plan *p, const cb_run_ground *ground,
                      size_t frame, uint8_t *bytes)
{
    const size_t all = (size_t)ground->nz * (size_t)ground->nx;
    const size_t cells = (size_t)p->rows * (size_t)ground->nx;
    const float *temperature = s->temperature_c + frame * all;
    const float *ice = s->ice + frame * all;
    for (size_t c = 0; c < cells; c++) {
        const double level = ((double)temperature[c] - s->low_c) / s->step_k;
        bytes[c] = (uint8_t)(level >= 0.0 && level < LEVELS ? lround(level) : LEVELS);
    }
    cbx_json_open(json, NULL, '{');
    cbx_json_number(json, "day", (double)ground->run_day[p->row[frame]]);
    cbx_json_number(json, "year", p->of_year[frame] + 1);
    cbx_pack_bytes(json, "t", bytes, cells);
    size_t used = 0;
    bool frozen = false;
    for (size_t c = 0; c < cells; c += 2) { // two cells a byte, in fifteenths
        const double a = (double)ice[c], b = c + 1 < cells ? (double)ice[c + 1] : 0.0;
        const unsigned low = a > 0.0 && a <= 1.0 ? (unsigned)lround(15.0 * a) : 0u;
        const unsigned high = b > 0.0 && b <= 1.0 ? (unsigned)lround(15.0 * b) : 0u;
        frozen = frozen || low > 0u || high > 0u;
        bytes[used++] = (uint8_t)(low | high << 4u);
    }
    cbx_pack_bytes(json, "ice", bytes, frozen ? used : 0);
    cbx_json_close(json, '}');
}

static cb_status put_frames(cbx_json *json, const cbx_report_run *run, const plan *p,
                            cb_error *error)
{
    const cb_run_ground *ground = run->ground;
    const size_t cells = (size_t)ground->nz * (size_t)ground->nx;
    sections s = {.temperature_c = malloc((p->count * cells + 1) * sizeof(float)),
                  .ice = malloc((p->count * cells + 1) * sizeof(float))};
    uint8_t *bytes = malloc(cells + 1);
    const bool room = s.temperature_c && s.ice && bytes;
    cb_status status = room ? CB_OK : cb_fail(error, CB_NO_MEMORY, "no memory for soil sections");
    if (room) {
        const cb_section_request request = {p->row, p->count, p->slice};
        status =
            cb_record_read_sections(run->path, ground, &request, s.temperature_c, s.ice, error);
    }
    if (room && status == CB_OK) {
        find_range(&s, p->count * cells);
        cbx_json_number(json, "low", s.low_c);
        cbx_json_number(json, "step", s.step_k);
        cbx_json_open(json, "frames", '[');
        for (size_t f = 0; f < p->count; f++) {
            put_frame(json, &s, p, ground, f, bytes);
        }
        cbx_json_close(json, ']');
    }
    free(s.temperature_c);
    free(s.ice);
    free(bytes);
    return status;
}

// ---- axes and columns ------------------------------------------------------------------------

static void put_numbers(cbx_json *json, const char *key, const double *value, int count)
{
    cbx_json_open(json, key, '[');
    for (int i = 0; i < count; i++) {
        cbx_json_number(json, NULL, round(value[i] * 1e4) / 1e4);
    }
    cbx_json_close(json, ']');
}

/// The undisturbed ground on the days of the frames of the first year shown.
static void put_undisturbed(cbx_json *json, const cb_run_ground *ground, const plan *p)
{
    cbx_json_open(json, "undisturbed", '[');
    for (size_t f = 0; f < p->count; f++) {
        const long day = ground->run_day[p->row[f]] % CB_YEAR_DAYS;
        if (p->of_year[f] != p->year[0]) {
            continue;
        }
        cbx_json_open(json, NULL, '[');
        for (int k = 0; k < p->rows && day < ground->undisturbed_days; k++) {
            const double value = ground->undisturbed_c[day * ground->nz + k];
            cbx_json_number(json, NULL, round(value * 100.0) / 100.0);
        }
        cbx_json_close(json, ']');
    }
    cbx_json_close(json, ']');
}

/// Every so many days such that about 4000 values stand for the run: the greatest ice and the least
/// temperature of each stretch.
static bool put_daily(cbx_json *json, const cb_run_ground *ground)
{
    const long every = ground->days / 4000 + 1, count = (ground->days + every - 1) / every;
    double *ice = malloc(((size_t)count + 1) * sizeof *ice);
    double *coil = malloc(((size_t)count + 1) * sizeof *coil);
    bool ok = ice && coil;
    for (long i = 0; ok && i < count; i++) {
        ice[i] = 0.0;
        coil[i] = INFINITY;
        for (long d = i * every; d < (i + 1) * every && d < ground->days; d++) {
            double sum = 0.0;
            for (int s = 0; s < ground->slices; s++) {
                ice[i] = fmax(ice[i], ground->ice_radius_m[d * ground->slices + s]);
                sum += ground->coil_depth_c[d * ground->slices + s];
            }
            coil[i] = fmin(coil[i], sum / ground->slices);
        }
    }
    if (ok) {
        cbx_json_open(json, "daily", '{');
        cbx_json_number(json, "every", (double)every);
        cbx_json_number(json, "ice_step", 0.001);
        cbx_json_number(json, "coil_step", 0.01);
        ok = cbx_pack_values(json, "ice", ice, (size_t)count, 0.001) &&
             cbx_pack_values(json, "coil", coil, (size_t)count, 0.01);
        cbx_json_close(json, '}');
    }
    free(ice);
    free(coil);
    return ok;
}

cb_status cbx_data_ground(cbx_json *json, const cbx_report_run *run, cb_error *error)
{
    const cb_run_ground *ground = run->ground;
    plan p = {.slice = coldest_slice(ground), .rows = rows_shown(run)};
    choose_years(&p, run);
    choose_days(&p, ground);
    cbx_json_open(json, "ground", '{');
    cbx_json_number(json, "rows", p.rows);
    cbx_json_number(json, "columns", ground->nx);
    cbx_json_flag(json, "half", ground->half);
    cbx_json_number(json, "slice_at", ground->slice_m[p.slice]);
    cbx_json_number(json, "slices", ground->slices);
    cbx_json_number(json, "every_days", p.every_days);
    put_numbers(json, "z", ground->z_edge_m, p.rows + 1);
    put_numbers(json, "x", ground->x_edge_m, ground->nx + 1);
    put_numbers(json, "lowest", ground->lowest_c, p.rows);
    put_numbers(json, "highest", ground->highest_c, p.rows);
    put_numbers(json, "run_lowest", ground->run_lowest_c, p.rows);
    put_numbers(json, "run_highest", ground->run_highest_c, p.rows);
    put_undisturbed(json, ground, &p);
    if (!put_daily(json, ground)) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the ice of a run");
    }
    const cb_status status = put_frames(json, run, &p, error);
    cbx_json_close(json, '}');
    return status;
}
