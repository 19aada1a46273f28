// SPDX-License-Identifier: MIT
// What the answer rests on: weather, assumptions, the design as read, numerical quality, versions.
#include "coilbed/version.h"
#include "record/tables.h"
#include "report/fill.h"
#include "report/html.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static char *copy_part(const char *text, size_t length)
{
    char *part = malloc(length + 1);
    if (part) {
        memcpy(part, text, length);
        part[length] = '\0';
    }
    return part;
}

/// Takes the next part of *text, up to a mark or its end. Owned by the caller; NULL at the end.
static char *next_part(const char **text, const char *marks)
{
    if (!**text) {
        return NULL;
    }
    const size_t length = strcspn(*text, marks);
    char *part = copy_part(*text, length);
    *text += length + ((*text)[length] != '\0');
    return part;
}

// ---- weather ---------------------------------------------------------------------------------

void cbx_fill_weather(cbx_fill *fill)
{
    const cbx_report_run *run = fill->run;
    FILE *page = fill->page;
    fputs("<p>", page);
    cbx_html_text(page, run->origin->weather_description);
    fputs("</p>\n", page);
    const char *us = run->data->weather_notes_us, *si = run->data->weather_notes;
    if (!si || !si[strspn(si, " \n")]) {
        fputs("<p>Nothing was done to it: a typical year, repeated. It holds no hard winter and "
              "no hot summer.</p>\n",
              page);
        return;
    }
    fputs("<p>What was done to it:</p>\n<ul>\n", page);
    for (;;) {
        char *line_us = next_part(&us, "\n"), *line_si = next_part(&si, "\n");
        if (line_us && line_si) {
            fputs("<li>", page);
            cbx_html_both(page, line_us, line_si);
            fputs("</li>\n", page);
        }
        const bool end = !line_us || !line_si;
        free(line_us);
        free(line_si);
        if (end) {
            break;
        }
    }
    fputs("</ul>\n", page);
}

// ---- assumptions -----------------------------------------------------------------------------

typedef struct assumption {
    char *path, *value, *reason;
} assumption;

static bool next_assumption(const char **text, assumption *out)
{
    char *line = next_part(text, "\n");
    *out = (assumption){0};
    if (!line) {
        return false;
    }
    const char *at = line;
    out->path = next_part(&at, "\t");
    out->value = next_part(&at, "\t");
    out->reason = next_part(&at, "\t");
    free(line);
    return true;
}

static void free_assumption(assumption *a)
{
    free(a->path);
    free(a->value);
    free(a->reason);
}

static void put_assumption(FILE *page, const assumption *us, const assumption *si)
{
    fputs("<tr><th scope=\"row\"><code>", page);
    cbx_html_text(page, si->path ? si->path : "");
    fputs("</code></th><td>", page);
    cbx_html_both(page, us->value ? us->value : "", si->value ? si->value : "");
    fputs("</td><td>", page);
    cbx_html_text(page, si->reason ? si->reason : "");
    fputs("</td></tr>\n", page);
}

void cbx_fill_assumptions(cbx_fill *fill)
{
    const char *us = fill->run->origin->assumptions_us, *si = fill->run->origin->assumptions;
    FILE *page = fill->page;
    if (!*si) {
        fputs("<p>The run's file lists no value that the design left open.</p>\n", page);
        return;
    }
    cbx_table_open(page, "Values that the design file did not give", "Value of|Assumed|Why");
    assumption a_us, a_si;
    while (next_assumption(&si, &a_si)) {
        if (next_assumption(&us, &a_us)) {
            put_assumption(page, &a_us, &a_si);
        }
        free_assumption(&a_us);
        free_assumption(&a_si);
    }
    cbx_table_close(page);
}

void cbx_fill_design(cbx_fill *fill)
{
    fputs("<pre tabindex=\"0\" role=\"region\" aria-label=\"The design as read\">", fill->page);
    cbx_html_text(fill->page, fill->run->data->design_text);
    fputs("</pre>\n", fill->page);
}

// ---- quality and origin ----------------------------------------------------------------------

static void put_row(FILE *page, const char *name, const char *text)
{
    fputs("<tr><th scope=\"row\">", page);
    cbx_html_text(page, name);
    fputs("</th><td>", page);
    cbx_html_text(page, *text ? text : "not stated");
    fputs("</td></tr>\n", page);
}

static void quality_text(const cbx_quality_field *field, const cb_quality *quality, char *text,
                         size_t size)
{
    const void *at = (const char *)quality + field->offset;
    if (field->number == CBX_DOUBLE && !isfinite(*(const double *)at)) {
        snprintf(text, size, "no estimate");
    } else if (field->number == CBX_DOUBLE) {
        snprintf(text, size, "%.3g", *(const double *)at);
    } else {
        snprintf(text, size, "%ld",
                 field->number == CBX_LONG ? *(const long *)at : (long)*(const int *)at);
    }
}

static const char *plain_name(const char *name)
{
    static const struct {
        const char *name, *plain;
    } known[] = {
        {"energy_audit_relative", "Energy in, out and stored: what does not add up, relative"},
        {"surface_heat_mismatch_relative", "Surface heat, two ways of adding up, relative"},
        {"estimated_discretisation_error_K",
         "A coarser grid moves the first year's coldest fluid by, K"},
        {"steps", "Time steps"},
        {"rhs_evaluations", "Evaluations of the equations"},
        {"linear_setups", "Matrix set-ups"},
        {"newton_iterations", "Newton iterations"},
        {"error_test_failures", "Steps repeated for their error"},
        {"newton_failures", "Steps repeated for convergence"},
        {"wall_seconds", "Computing time, s"},
        {"cells", "Soil cells"},
        {"slices", "Slices along the trench"},
        {"spin_up_years", "Years until the undisturbed ground repeated itself"},
        {"spin_up_residual_K", "Its largest change in the last of them, K"},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strcmp(known[i].name, name) == 0) {
            return known[i].plain;
        }
    }
    return name;
}

void cbx_fill_quality(cbx_fill *fill)
{
    const cb_quality *quality = &fill->run->data->quality;
    FILE *page = fill->page;
    if (quality->steps == 0) {
        fputs(
            "<p>The run did not end, so its file holds no account of its numerical quality.</p>\n",
            page);
        return;
    }
    cbx_table_open(page, "Numerical quality", "Measure|Value");
    for (int i = 0; i < CBX_QUALITY_FIELDS; i++) {
        char text[48];
        quality_text(&cbx_quality_table[i], quality, text, sizeof text);
        put_row(page, plain_name(cbx_quality_table[i].name), text);
    }
    cbx_table_close(page);
}

void cbx_fill_origin(cbx_fill *fill)
{
    const cb_run_origin *origin = fill->run->origin;
    FILE *page = fill->page;
    char text[CB_MESSAGE_SIZE];
    cbx_table_open(page, "Versions and hashes", "What|Stated in the run");
    snprintf(text, sizeof text, "coilbed %s", origin->program_version);
    put_row(page, "Run computed by", text);
    put_row(page, "Page written by", "coilbed " CB_VERSION);
    put_row(page, "Libraries", origin->libraries);
    put_row(page, "HDF5 of the file", origin->hdf5_version);
    put_row(page, "Run begun (UTC)", origin->created);
    put_row(page, "Design file", fill->run->data->design_path);
    put_row(page, "SHA-256 of the design as read", origin->design_sha256);
    put_row(page, "SHA-256 of the weather", origin->weather_sha256);
    snprintf(text, sizeof text, "%ld hours%s", fill->run->data->hours,
             fill->run->data->complete ? "" : "; the run was cut short");
    put_row(page, "Computed", text);
    cbx_table_close(page);
}
