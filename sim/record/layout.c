// SPDX-License-Identifier: MIT
#include "record/layout.h"

#include "coilbed/version.h"
#include "record/checkpoint.h"
#include "record/stored_effects.h"
#include "record/summary.h"
#include "record/tables.h"

#include <math.h>
#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

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
    cbx_h5_text(h5, "/design/assumptions", text->assumptions);
    cbx_h5_text_attribute(h5, "/design/assumptions", "long_name",
                          "values the design file did not give: path, value and reason of each");
    cbx_h5_text(h5, "/design/assumptions_us", text->assumptions_us);
    cbx_h5_text_attribute(h5, "/design/assumptions_us", "long_name", "the same in US units");
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
                                   .type = CBX_SERIES_TYPE,
                                   .rank = 1,
                                   .chunk = {CBX_HOUR_CHUNK},
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
                                       .type = CBX_SERIES_TYPE,
                                       .rank = 1,
                                       .dimension = {"/time"},
                                       .chunk = {CBX_HOUR_CHUNK},
                                       .units = series->units,
                                       .long_name = series->long_name,
                                       .standard_name = series->standard_name,
                                       .cell_methods = series->cell_methods});
    }
    cbx_h5_dataset(h5, &(cbx_plan){.group = "/loop",
                                   .name = "freeze_temperature",
                                   .type = CBX_SERIES_TYPE,
                                   .units = "degree_Celsius",
                                   .long_name = "freezing point of the fluid"});
    cbx_h5_write_rows(h5, "/loop/freeze_temperature", H5T_NATIVE_DOUBLE, 0, 1, &freeze_c);
}

void cbx_layout_make(cbx_h5 *h5, const cb_record_header *header, const cbx_layout_text *text)
{
    make_root(h5, header, text);
    make_series(h5, header->freeze_c);
    cbx_layout_ground(h5, header);
    cbx_layout_summaries(h5);
    cbx_layout_findings(h5, &header->design->run);
    cbx_layout_effects(h5);
    cbx_layout_checkpoint(h5);
    cbx_h5_group(h5, "/quality");
    cbx_layout_quality(h5, NULL);
    cbx_h5_text_attribute(h5, "/quality", "note",
                          "zeros until the run has ended; an error estimate of NaN: none was made "
                          "(draft accuracy, or a run that did not end)");
}
