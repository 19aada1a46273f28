// SPDX-License-Identifier: MIT
#include "record/layout.h"

#include "coilbed/version.h"
#include "record/summary.h"
#include "record/tables.h"

#include <math.h>
#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

// Chunk lengths. A chunk that is not full at the end of a month is written again, elsewhere, a
// month later (its old place may be in use by a reader), so a chunk of a month would waste half of
// what it stores; ten days waste a sixth and still compress well.
enum { HOUR_CHUNK = 240, DAY_CHUNK = 32, YEAR_CHUNK = 16, MONTH_CHUNK = 24, FINDING_CHUNK = 16 };

// Hourly series are stored in 64 bits: limits and energy sums are judged on what is read back, and
// 25 years of 21 of them are 37 MB before compression. Soil sections are a thousand times more
// numbers of which nobody needs more than the seven digits of 32 bits.
#define SERIES_TYPE H5T_IEEE_F64LE
#define FIELD_TYPE H5T_IEEE_F32LE

hid_t cbx_fixed_text(size_t size)
{
    const hid_t type = H5Tcopy(H5T_C_S1);
    H5Tset_size(type, size);
    H5Tset_cset(type, H5T_CSET_UTF8);
    return type;
}

void cbx_time_units(const cb_design_run *run, const char *unit, char *buffer, size_t size)
{
    snprintf(buffer, size, "%s since 2001-%02d-%02d 00:00:00", unit, run->start_month,
             run->start_day);
}

// ---- root ------------------------------------------------------------------------------------

static void sha256_hex(const char *text, char hex[2 * SHA256_DIGEST_SIZE + 1])
{
    struct sha256_ctx context;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&context);
    sha256_update(&context, strlen(text), (const uint8_t *)text);
    sha256_digest(&context, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        snprintf(hex + 2 * i, 3, "%02x", digest[i]);
    }
}

static void make_provenance(cbx_h5 *h5, const cb_record_header *header, const cbx_layout_text *text)
{
    char line[200];
    cbx_h5_text_attribute(h5, "/", "program", "coilbed");
    cbx_h5_text_attribute(h5, "/", "program_version", CB_VERSION);
    unsigned major = 0;
    unsigned minor = 0;
    unsigned release = 0;
    H5get_libversion(&major, &minor, &release);
    snprintf(line, sizeof line, "%u.%u.%u", major, minor, release);
    cbx_h5_text_attribute(h5, "/", "hdf5_version", line);
    cbx_h5_text_attribute(h5, "/", "libraries", header->libraries);
    const time_t now = time(NULL);
    struct tm utc;
    if (gmtime_r(&now, &utc) && strftime(line, sizeof line, "%Y-%m-%dT%H:%M:%SZ", &utc) > 0) {
        cbx_h5_text_attribute(h5, "/", "created", line);
    }
    cbx_h5_text_attribute(h5, "/", "weather_description", header->weather->description);
    cbx_h5_text_attribute(h5, "/", "weather_sha256", header->weather->sha256);
    cbx_h5_text_attribute(h5, "/", "weather_notes", text->weather_notes);
    cbx_h5_text_attribute(h5, "/", "weather_notes_us", text->weather_notes_us);
    cbx_h5_text_attribute(h5, "/", "design_path", header->design->path ? header->design->path : "");
    char hex[2 * SHA256_DIGEST_SIZE + 1];
    sha256_hex(text->design, hex);
    cbx_h5_text_attribute(h5, "/", "design_sha256", hex);
    cbx_h5_group(h5, "/design");
    cbx_h5_text(h5, "/design/resolved_text", text->design);
    cbx_h5_text_attribute(h5, "/design/resolved_text", "long_name",
                          "the whole design, every value in SI, as the program reads it");
}

static void make_site(cbx_h5 *h5, const cb_site *site)
{
    cbx_h5_double_attribute(h5, "/", "site_latitude_degrees_north", site->latitude_deg);
    cbx_h5_double_attribute(h5, "/", "site_longitude_degrees_east", site->longitude_deg);
    cbx_h5_double_attribute(h5, "/", "site_elevation_m", site->elevation_m);
    cbx_h5_double_attribute(h5, "/", "site_time_zone_h", site->time_zone_h);
}

static void make_counter(cbx_h5 *h5, const char *name, const char *units, const char *long_name)
{
    const cbx_plan plan = {
        .group = "", .name = name, .type = H5T_STD_I64LE, .units = units, .long_name = long_name};
    char path[80];
    const int64_t none = 0;
    snprintf(path, sizeof path, "/%s", name);
    cbx_h5_dataset(h5, &plan);
    cbx_h5_write_rows(h5, path, H5T_NATIVE_INT64, 0, 1, &none);
}

static void make_root(cbx_h5 *h5, const cb_record_header *header, const cbx_layout_text *text)
{
    const cb_design *design = header->design;
    char title[300];
    char units[64];
    snprintf(title, sizeof title, "Hourly simulation of a buried ground loop: %s",
             design->name ? design->name : "unnamed design");
    cbx_h5_text_attribute(h5, "/", "title", title);
    cbx_h5_text_attribute(h5, "/", "Conventions", "CF-1.8");
    cbx_h5_integer_attribute(h5, "/", "complete", 0);
    cbx_h5_integer_attribute(h5, "/", "hours_done", 0);
    cbx_h5_text_attribute(
        h5, "/", "calendar_note",
        "Every year of a run is a typical year of 365 days in local standard time; there are no "
        "leap days. The calendar attribute is 'standard', so decoded dates fall behind by one day "
        "after each 29 February; the year 2001 of the first date is nominal. For exact months and "
        "days over many years change the calendar attribute of time to 'noleap' before decoding.");
    make_provenance(h5, header, text);
    make_site(h5, &design->site);

    cbx_time_units(&design->run, "seconds", units, sizeof units);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "",
                                   .name = "time",
                                   .type = SERIES_TYPE,
                                   .rank = 1,
                                   .chunk = {HOUR_CHUNK},
                                   .units = units,
                                   .long_name = "start of the hour that a value is the mean of",
                                   .standard_name = "time"});
    cbx_h5_text_attribute(h5, "/time", "calendar", "standard");
    cbx_h5_text_attribute(h5, "/time", "axis", "T");
    cbx_h5_text_attribute(h5, "/time", "comment", "typical years: no leap days in the data");
    make_counter(h5, "hours_done", "h", "rows of time that are complete");
    make_counter(h5, "days_done", "1", "rows of ground/day that are complete");
}

// ---- hourly series ---------------------------------------------------------------------------

static void make_series(cbx_h5 *h5, double freeze_c)
{
    const char *group = "";
    char path[80];
    for (int s = 0; s < CBX_SERIES_COUNT; s++) {
        const cbx_series *series = &cbx_series_table[s];
        if (strcmp(group, series->group) != 0) {
            group = series->group;
            cbx_h5_group(h5, group);
            // The same object as /time: readers that look at one group find the dates in it.
            snprintf(path, sizeof path, "%s/time", group);
            cbx_h5_hard_link(h5, "/time", path);
        }
        cbx_h5_dataset(h5, &(cbx_plan){.group = group,
                                       .name = series->name,
                                       .type = SERIES_TYPE,
                                       .rank = 1,
                                       .dimension = {"/time"},
                                       .chunk = {HOUR_CHUNK},
                                       .units = series->units,
                                       .long_name = series->long_name,
                                       .standard_name = series->standard_name,
                                       .cell_methods = "time: mean"});
    }
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/loop",
                                   .name = "freeze_temperature",
                                   .type = SERIES_TYPE,
                                   .units = "degree_Celsius",
                                   .long_name = "freezing point of the fluid"});
    cbx_h5_write_rows(h5, "/loop/freeze_temperature", H5T_NATIVE_DOUBLE, 0, 1, &freeze_c);
}

// ---- ground ----------------------------------------------------------------------------------

typedef struct axis {
    const char *name, *long_name, *standard_name;
    int count;
    const double *middle_m;
    const double *edge_m; // NULL: no bounds
} axis;

static void make_axis(cbx_h5 *h5, const axis *a)
{
    char path[80];
    char bounds[40];
    snprintf(path, sizeof path, "/ground/%s", a->name);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = a->name,
                                   .type = SERIES_TYPE,
                                   .rank = 1,
                                   .size = {(hsize_t)a->count},
                                   .units = "m",
                                   .long_name = a->long_name,
                                   .standard_name = a->standard_name});
    cbx_h5_write_rows(h5, path, H5T_NATIVE_DOUBLE, 0, (hsize_t)a->count, a->middle_m);
    if (a->standard_name && strcmp(a->standard_name, "depth") == 0) {
        cbx_h5_text_attribute(h5, path, "positive", "down");
    }
    if (!a->edge_m) {
        return;
    }
    snprintf(bounds, sizeof bounds, "%s_bounds", a->name);
    cbx_h5_text_attribute(h5, path, "bounds", bounds);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = bounds,
                                   .type = SERIES_TYPE,
                                   .rank = 2,
                                   .dimension = {path, "/ground/bound"},
                                   .size = {(hsize_t)a->count, 2},
                                   .units = "m",
                                   .long_name = "edges of the cells"});
    char bounds_path[80];
    snprintf(bounds_path, sizeof bounds_path, "/ground/%s", bounds);
    for (int i = 0; i < a->count; i++) {
        cbx_h5_write_rows(h5, bounds_path, H5T_NATIVE_DOUBLE, (hsize_t)i, 1, &a->edge_m[i]);
    }
}

static void make_axes(cbx_h5 *h5, const cb_record_header *header)
{
    const cb_sections *s = header->sections;
    cbx_h5_bare_dimension(h5, "/ground", "bound", 2);
    make_axis(h5, &(axis){"z", "depth of a cell's centre", "depth", s->nz, s->z_m, s->z_edge_m});
    make_axis(h5, &(axis){"depth", "depth of a cell's centre", "depth", s->nz, s->z_m, NULL});
    const char *across = s->half ? "distance from the field's centre line (right half of a "
                                   "symmetric field)"
                                 : "distance across the field from its left side";
    make_axis(h5, &(axis){"x", across, NULL, s->nx, s->x_m, s->x_edge_m});
    make_axis(h5, &(axis){"slice", "middle of a slice along the trench, from the supply end", NULL,
                          s->slices, s->slice_m, NULL});
    char units[64];
    cbx_time_units(&header->design->run, "days", units, sizeof units);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "day",
                                   .type = SERIES_TYPE,
                                   .rank = 1,
                                   .chunk = {DAY_CHUNK},
                                   .units = units,
                                   .long_name = "midnight at the start of a day",
                                   .standard_name = "time"});
    cbx_h5_text_attribute(h5, "/ground/day", "calendar", "standard");
}

static void make_fields(cbx_h5 *h5, const cb_sections *s)
{
    const hsize_t slices = (hsize_t)s->slices;
    const hsize_t nz = (hsize_t)s->nz;
    const hsize_t nx = (hsize_t)s->nx;
    cbx_plan plan = {
        .group = "/ground", .type = FIELD_TYPE, .rank = 2, .dimension = {"/ground/day"}};
    for (int i = 0; i < CBX_SLICE_STATES + CBX_SECTION_STATES; i++) {
        const bool section = i >= CBX_SLICE_STATES;
        const cbx_state *state =
            section ? &cbx_section_table[i - CBX_SLICE_STATES] : &cbx_slice_table[i];
        plan.rank = section ? 4 : 2;
        plan.dimension[1] = "/ground/slice";
        plan.dimension[2] = section ? "/ground/z" : NULL;
        plan.dimension[3] = section ? "/ground/x" : NULL;
        memcpy(plan.size, (hsize_t[]){0, slices, nz, nx}, sizeof plan.size);
        memcpy(plan.chunk, (hsize_t[]){section ? 1 : DAY_CHUNK, slices, nz, nx}, sizeof plan.chunk);
        plan.name = state->name;
        plan.units = state->units;
        plan.long_name = state->long_name;
        plan.standard_name = state->standard_name;
        plan.cell_methods = "day: point";
        cbx_h5_dataset(h5, &plan);
    }
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "undisturbed_temperature",
                                   .type = FIELD_TYPE,
                                   .rank = 2,
                                   .dimension = {"/ground/day", "/ground/depth"},
                                   .size = {0, nz},
                                   .chunk = {DAY_CHUNK, nz},
                                   .units = "degree_Celsius",
                                   .long_name = "soil far from the loop in a typical year",
                                   .standard_name = "soil_temperature",
                                   .cell_methods = "day: mean"});
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "section_kept",
                                   .type = H5T_STD_I8LE,
                                   .rank = 1,
                                   .dimension = {"/ground/day"},
                                   .chunk = {DAY_CHUNK},
                                   .units = "1",
                                   .long_name = "1 where this day's soil sections are stored; the "
                                                "other days hold no sections (NaN)"});
}

double cbx_frost_depth_m(const cb_record_header *header)
{
    const cb_sections *s = header->sections;
    double deepest_m = 0.0;
    for (long day = 0; day < CB_YEAR_DAYS; day++) {
        const double *now_c = header->undisturbed_c + day * s->nz;
        int k = s->nz - 1;
        while (k >= 0 && now_c[k] > 0.0) {
            k--;
        }
        if (k < 0) {
            continue;
        }
        double depth_m = s->z_m[k];
        if (k < s->nz - 1) {
            depth_m += (s->z_m[k + 1] - s->z_m[k]) * -now_c[k] / (now_c[k + 1] - now_c[k]);
        }
        deepest_m = fmax(deepest_m, depth_m);
    }
    return deepest_m;
}

static void make_ground(cbx_h5 *h5, const cb_record_header *header)
{
    cbx_h5_group(h5, "/ground");
    make_axes(h5, header);
    make_fields(h5, header->sections);
    cbx_h5_integer_attribute(h5, "/ground", "trenches", header->sections->trenches);
    cbx_h5_integer_attribute(h5, "/ground", "half_section", header->sections->half);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/ground",
                                   .name = "frost_depth",
                                   .type = SERIES_TYPE,
                                   .units = "m",
                                   .long_name = "deepest 0 degC of the undisturbed year"});
    const double frost_m = cbx_frost_depth_m(header);
    cbx_h5_write_rows(h5, "/ground/frost_depth", H5T_NATIVE_DOUBLE, 0, 1, &frost_m);
}

// ---- summaries, findings, quality ------------------------------------------------------------

static void make_index(cbx_h5 *h5, cbx_plan plan)
{
    plan.type = plan.type ? plan.type : H5T_STD_I32LE;
    plan.rank = 1;
    plan.plain = true;
    cbx_h5_dataset(h5, &plan);
}

// Rows of the summaries are rewritten as a year goes on; uncompressed chunks keep their size and
// with it their place in the file.
static void make_summary(cbx_h5 *h5, const char *group, const char *scale, hsize_t chunk)
{
    for (int c = 0; c < CBX_COLUMNS; c++) {
        const cbx_column *column = &cbx_column_table[c];
        make_index(h5, (cbx_plan){.group = group,
                                  .name = column->name,
                                  .type = column->kind == CBX_WHEN ? H5T_STD_I64LE : SERIES_TYPE,
                                  .dimension = {scale},
                                  .chunk = {chunk},
                                  .units = column->units,
                                  .long_name = column->long_name});
    }
}

static void make_summaries(cbx_h5 *h5)
{
    cbx_h5_group(h5, "/annual");
    make_index(h5, (cbx_plan){.group = "/annual",
                              .name = "year",
                              .chunk = {YEAR_CHUNK},
                              .units = "1",
                              .long_name = "year of the run, from 1"});
    make_summary(h5, "/annual", "/annual/year", YEAR_CHUNK);
    cbx_h5_group(h5, "/monthly");
    make_index(h5, (cbx_plan){.group = "/monthly",
                              .name = "month",
                              .chunk = {MONTH_CHUNK},
                              .units = "1",
                              .long_name = "calendar month of the run, from 1"});
    cbx_plan label = {
        .group = "/monthly", .dimension = {"/monthly/month"}, .chunk = {MONTH_CHUNK}, .units = "1"};
    label.name = "run_year";
    label.long_name = "year of the run in which the month begins, from 1";
    make_index(h5, label);
    label.name = "calendar_month";
    label.long_name = "1 is January";
    make_index(h5, label);
    make_summary(h5, "/monthly", "/monthly/month", MONTH_CHUNK);
}

static void make_finding_text(cbx_h5 *h5, const char *name, size_t size, const char *long_name)
{
    const hid_t type = cbx_fixed_text(size);
    char path[80];
    snprintf(path, sizeof path, "/findings/%s", name);
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/findings",
                                   .name = name,
                                   .type = type,
                                   .rank = 1,
                                   .dimension = {"/findings/finding"},
                                   .chunk = {FINDING_CHUNK},
                                   .long_name = long_name});
    cbx_h5_text_attribute(h5, path, "_Encoding", "utf-8");
    H5Tclose(type);
}

static void make_findings(cbx_h5 *h5, const cb_design_run *run)
{
    cbx_h5_group(h5, "/findings");
    cbx_plan plan = {.group = "/findings", .chunk = {FINDING_CHUNK}};
    plan.name = "finding";
    plan.long_name = "number of the finding, from 1";
    make_index(h5, plan);
    make_finding_text(h5, "code", CBX_CODE_SIZE, "what was judged");
    make_finding_text(h5, "unit", CBX_UNIT_SIZE, "unit of value, limit and margin");
    make_finding_text(h5, "sentence", CBX_SENTENCE_SIZE, "the finding in plain words");
    plan.dimension[0] = "/findings/finding";
    plan.name = "severity";
    plan.long_name = "0 clear, 1 close, 2 broken";
    make_index(h5, plan);
    plan.type = SERIES_TYPE;
    static const char *const number[][2] = {{"value", "what the run came to"},
                                            {"limit", "what it must not pass"},
                                            {"margin", "distance to the limit, positive if held"}};
    for (size_t i = 0; i < sizeof number / sizeof *number; i++) {
        plan.name = number[i][0];
        plan.long_name = number[i][1];
        make_index(h5, plan);
    }
    char units[64];
    cbx_time_units(run, "seconds", units, sizeof units);
    plan.name = "time";
    plan.units = units;
    plan.long_name = "start of the hour it is about; missing if it is about no hour";
    make_index(h5, plan);
    cbx_h5_text_attribute(h5, "/findings/time", "calendar", "standard");
    plan.type = H5T_STD_I64LE;
    plan.name = "run_hour";
    plan.units = "h";
    plan.long_name = "the same as hours since the start; -1 if it is about no hour";
    make_index(h5, plan);
}

void cbx_layout_quality(cbx_h5 *h5, const cb_quality *quality)
{
    static const cb_quality none = {0};
    const char *base = (const char *)(quality ? quality : &none);
    for (int i = 0; i < CBX_QUALITY_FIELDS; i++) {
        const cbx_quality_field *field = &cbx_quality_table[i];
        const void *value = base + field->offset;
        switch (field->number) {
            case CBX_DOUBLE:
                cbx_h5_double_attribute(h5, "/quality", field->name, *(const double *)value);
                break;
            case CBX_LONG:
                cbx_h5_integer_attribute(h5, "/quality", field->name, *(const long *)value);
                break;
            case CBX_INT:
                cbx_h5_integer_attribute(h5, "/quality", field->name, *(const int *)value);
                break;
        }
    }
}

void cbx_layout_make(cbx_h5 *h5, const cb_record_header *header, const cbx_layout_text *text)
{
    make_root(h5, header, text);
    make_series(h5, header->freeze_c);
    make_ground(h5, header);
    make_summaries(h5);
    make_findings(h5, &header->design->run);
    cbx_h5_group(h5, "/quality");
    cbx_layout_quality(h5, NULL);
    cbx_h5_double_attribute(h5, "/quality", "estimated_discretisation_error_K", NAN);
    cbx_h5_text_attribute(h5, "/quality", "note",
                          "zeros until the run has ended; an error estimate of NaN: none was made");
}
