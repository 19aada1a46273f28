// SPDX-License-Identifier: MIT
/// A bare weather file or climate becomes the weather of a design made up around it, so that the
/// design's own reading checks every option.
#include "cli/weather.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { PATH_SIZE = 96, VALUE_SIZE = 64, LINE_SIZE = 1024, SENTENCE_SIZE = 160 };

/// One value of the made-up design and the option it came from, for messages.
typedef struct setting {
    char path[PATH_SIZE];
    char *value;  ///< owned, YAML
    char *option; ///< owned, as the user may have written it
} setting;

typedef struct settings {
    setting *item; ///< [count]
    size_t count;
    bool failed; ///< memory ran out
} settings;

static void settings_free(settings *all)
{
    for (size_t i = 0; i < all->count; i++) {
        free(all->item[i].value);
        free(all->item[i].option);
    }
    free(all->item);
    *all = (settings){0};
}

/// A YAML double-quoted scalar; owned by the caller, NULL without memory.
static char *quoted(const char *text)
{
    char *yaml = malloc(4 * strlen(text) + 3);
    if (!yaml) {
        return NULL;
    }
    char *to = yaml;
    *to++ = '"';
    for (; *text; text++) {
        const unsigned char c = (unsigned char)*text;
        if (c < ' ') {
            to += snprintf(to, 5, "\\x%02x", c);
            continue;
        }
        if (c == '"' || c == '\\') {
            *to++ = '\\';
        }
        *to++ = *text;
    }
    *to++ = '"';
    *to = '\0';
    return yaml;
}

/// Takes value, which is owned and may be NULL for lack of memory.
__attribute__((format(printf, 4, 5))) static void add(settings *all, const char *path, char *value,
                                                      const char *option, ...)
{
    setting *larger = realloc(all->item, (all->count + 1) * sizeof *larger);
    if (!larger || !value) {
        all->failed = true;
        free(value);
        all->item = larger ? larger : all->item;
        return;
    }
    all->item = larger;
    setting *made = &all->item[all->count++];
    *made = (setting){.value = value};
    snprintf(made->path, sizeof made->path, "%s", path);
    char text[LINE_SIZE];
    va_list arguments;
    va_start(arguments, option);
    vsnprintf(text, sizeof text, option, arguments);
    va_end(arguments);
    made->option = strdup(text);
    all->failed = all->failed || !made->option;
}

/// Adds "47" as "47 deg": the option's name says which unit a bare number has.
static void add_with_unit(settings *all, const char *path, const cli_weather_options *options,
                          cli_weather_value value, const char *unit)
{
    const char *text = options->value[value];
    if (!text) {
        return;
    }
    char full[VALUE_SIZE * 2];
    const size_t length = strlen(text);
    const bool bare =
        length > 0 && (isdigit((unsigned char)text[length - 1]) || text[length - 1] == '.');
    snprintf(full, sizeof full, "%.*s%s%s", VALUE_SIZE, text, bare && unit ? " " : "",
             bare && unit ? unit : "");
    add(all, path, quoted(full), "%s %s", cli_weather_option_name(value), text);
}

static void add_number(settings *all, const char *path, double number, const char *unit)
{
    char text[VALUE_SIZE];
    snprintf(text, sizeof text, "%.17g %s", number, unit);
    add(all, path, quoted(text), "the site");
}

static void add_place(settings *all, const cb_site *site)
{
    add_number(all, "site.latitude", site->latitude_deg, "deg");
    add_number(all, "site.longitude", site->longitude_deg, "deg");
    add_number(all, "site.elevation", site->elevation_m, "m");
    add_number(all, "site.time_zone", site->time_zone_h, "h");
}

static cb_status add_site_of(settings *all, const char *path, const cb_units *units,
                             cb_error *error)
{
    cb_design *other = NULL;
    const cb_status status = cb_design_read(&other, path, NULL, 0, units, error);
    if (status == CB_OK) {
        add_place(all, &other->site);
    }
    cb_design_destroy(other);
    return status;
}

const char *cli_weather_format_name(cb_weather_format format)
{
    static const char *const name[] = {[CB_WEATHER_NORMALS] = "monthly normals",
                                       [CB_WEATHER_TMY3] = "tmy3",
                                       [CB_WEATHER_NSRDB] = "nsrdb",
                                       [CB_WEATHER_PVGIS] = "pvgis",
                                       [CB_WEATHER_COLUMNS] = "columns"};
    return name[format];
}

/// Whether the file's format states its place in its head.
static bool says_where(const cli_weather_options *options, cb_weather_format *format)
{
    static const cb_weather_format with_place[] = {CB_WEATHER_TMY3, CB_WEATHER_NSRDB,
                                                   CB_WEATHER_PVGIS};
    const char *given = options->value[CLI_WEATHER_FORMAT];
    for (size_t i = 0; given && i < sizeof with_place / sizeof *with_place; i++) {
        if (strcmp(given, cli_weather_format_name(with_place[i])) == 0) {
            *format = with_place[i];
            return true;
        }
    }
    return false;
}

/// The zone that belongs to a longitude, if the text begins with a number that can be one.
static bool zone_of(const char *longitude, double *zone_h)
{
    char *end;
    const double degrees = strtod(longitude, &end);
    *zone_h = round(degrees / 15.0);
    return end != longitude && degrees >= -180 && degrees <= 180;
}

static cb_status add_bare_site(settings *all, cli_weather_source *source,
                               const cli_weather_options *options, cb_error *error)
{
    const char *longitude = options->value[CLI_WEATHER_LONGITUDE];
    if (!options->value[CLI_WEATHER_LATITUDE] || !longitude) {
        return cb_fail(error, CB_IO,
                       "where is it? Give --latitude and --longitude (with --elevation and "
                       "--time-zone), or --site-of DESIGN");
    }
    double zone_h;
    if (!options->value[CLI_WEATHER_TIME_ZONE] && zone_of(longitude, &zone_h)) {
        source->time_zone_assumed = true;
        add_number(all, "site.time_zone", zone_h, "h");
    }
    if (!options->value[CLI_WEATHER_ELEVATION]) {
        source->elevation_assumed = true;
        add_number(all, "site.elevation", 0, "m");
    }
    return CB_OK;
}

static cb_status add_site(settings *all, cli_weather_source *source,
                          const cli_weather_options *options, cb_error *error)
{
    cb_site site;
    cb_weather_format format;
    cb_status status;
    add(all, "site", strdup("{}"), "the site");
    if (options->site_of) {
        status = add_site_of(all, options->site_of, source->units, error);
    } else if (says_where(options, &format)) {
        status = cb_weather_file_site(&site, format, options->common.operand, error);
        if (status == CB_OK) {
            add_place(all, &site);
            source->time_zone_assumed =
                format == CB_WEATHER_PVGIS && !options->value[CLI_WEATHER_TIME_ZONE];
        }
    } else {
        status = add_bare_site(all, source, options, error);
    }
    add_with_unit(all, "site.latitude", options, CLI_WEATHER_LATITUDE, "deg");
    add_with_unit(all, "site.longitude", options, CLI_WEATHER_LONGITUDE, "deg");
    add_with_unit(all, "site.elevation", options, CLI_WEATHER_ELEVATION, NULL);
    add_with_unit(all, "site.time_zone", options, CLI_WEATHER_TIME_ZONE, "h");
    return status;
}

static void add_key(settings *all, const cli_weather_key *key)
{
    const char *equals = strchr(key->text, '=');
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "weather.columns.%.*s.%s",
             (int)(equals - key->text < VALUE_SIZE / 2 ? equals - key->text : VALUE_SIZE / 2),
             key->text, key->unit ? "unit" : "column");
    add(all, path, quoted(equals + 1), "%s %s", key->unit ? "--column-unit" : "--column",
        key->text);
}

/// Columns as cb_weather_write_csv names them, if the first line has them: our own files need no
/// description.
static cb_status add_own_columns(settings *all, const char *file, cb_error *error)
{
    char line[LINE_SIZE];
    FILE *stream = fopen(file, "r");
    if (!stream) {
        return cb_fail_at(error, CB_IO, file, 0, 0, "cannot be opened: %s", strerror(errno));
    }
    const bool got = fgets(line, sizeof line, stream) != NULL;
    fclose(stream);
    for (int i = 0; got && i < CB_COLUMN_COUNT; i++) {
        const cb_weather_column_name *name = cb_weather_column_of((cb_weather_column)i);
        if (!strstr(line, name->heading)) {
            continue;
        }
        char path[PATH_SIZE];
        snprintf(path, sizeof path, "weather.columns.%s.column", name->key);
        add(all, path, quoted(name->heading), "the heading of %s", file);
        if (name->unit) {
            snprintf(path, sizeof path, "weather.columns.%s.unit", name->key);
            add(all, path, quoted(name->unit), "the heading of %s", file);
        }
    }
    return CB_OK;
}

static cb_status add_file(settings *all, const cli_weather_options *options, cb_error *error)
{
    const char *given = options->value[CLI_WEATHER_FORMAT];
    const char *format = given ? given : ""; // given it is, or this would be a design
    const char *file = options->common.operand;
    add(all, "weather", strdup("{}"), "--format %s %s", format, file);
    add(all, "weather.file", quoted(file), "%s", file);
    add(all, "weather.format", quoted(format), "--format %s", format);
    if (options->key_count == 0 && strcmp(format, "columns") == 0) {
        const cb_status status = add_own_columns(all, file, error);
        if (status != CB_OK) {
            return status;
        }
    }
    for (size_t i = 0; i < options->key_count; i++) {
        add_key(all, &options->key[i]);
    }
    add_with_unit(all, "weather.columns.header_lines", options, CLI_WEATHER_HEADER_LINES, NULL);
    add_with_unit(all, "weather.columns.hour", options, CLI_WEATHER_HOUR, NULL);
    add_with_unit(all, "weather.columns.first", options, CLI_WEATHER_FIRST, NULL);
    return CB_OK;
}

/// "--set weather.format=x: ..." means nothing to one who wrote --format x.
static void name_the_option(const settings *all, cb_error *error)
{
    for (size_t i = all->count; i-- > 0;) {
        char set[CB_MESSAGE_SIZE];
        const int length =
            snprintf(set, sizeof set, "--set %s=%s", all->item[i].path, all->item[i].value);
        if (length > 0 && (size_t)length < sizeof set &&
            strncmp(error->message, set, (size_t)length) == 0) {
            char rest[CB_MESSAGE_SIZE];
            snprintf(rest, sizeof rest, "%s", error->message + length);
            snprintf(error->message, sizeof error->message, "%.400s%.600s", all->item[i].option,
                     rest);
            return;
        }
    }
}

static cb_status parse(cli_weather_source *source, const settings *all, const cli_options *common,
                       cb_error *error)
{
    const size_t count = all->count + common->set_count;
    cb_override *override = malloc((count ? count : 1) * sizeof *override);
    if (all->failed || !override) {
        free(override);
        return cb_fail(error, CB_NO_MEMORY, "out of memory");
    }
    for (size_t i = 0; i < all->count; i++) {
        override[i] = (cb_override){all->item[i].path, all->item[i].value};
    }
    for (size_t i = 0; i < common->set_count; i++) {
        override[all->count + i] = common->set[i];
    }
    // The rest of the starter plays no part.
    const cb_status status = cb_design_parse(&source->design, cb_starter_design(), "", override,
                                             count, source->units, error);
    free(override);
    return status;
}

static cb_status read_made_up(cli_weather_source *source, const cli_weather_options *options,
                              cb_error *error)
{
    settings all = {0};
    cb_status status = add_site(&all, source, options, error);
    if (status == CB_OK && source->operand == CLI_OPERAND_CLIMATE) {
        add(&all, "weather", strdup("{}"), "%s", options->common.operand);
        add(&all, "weather.normals", quoted(options->common.operand), "%s",
            options->common.operand);
        add_with_unit(&all, "weather.seed", options, CLI_WEATHER_SEED, NULL);
    } else if (status == CB_OK) {
        status = add_file(&all, options, error);
    }
    if (status == CB_OK) {
        status = parse(source, &all, &options->common, error);
    }
    if (status == CB_OK) {
        status = cb_weather_create(&source->weather, source->design, source->units, error);
    }
    if (status != CB_OK) {
        name_the_option(&all, error);
    }
    settings_free(&all);
    return status;
}

cb_status cli_weather_source_open(cli_weather_source *source, const cli_weather_options *options,
                                  bool climate, cb_error *error)
{
    *source =
        (cli_weather_source){.operand = climate                              ? CLI_OPERAND_CLIMATE
                                        : options->value[CLI_WEATHER_FORMAT] ? CLI_OPERAND_FILE
                                                                             : CLI_OPERAND_DESIGN};
    cb_status status = cb_units_create(&source->units, error);
    if (status != CB_OK) {
        return status;
    }
    if (source->operand != CLI_OPERAND_DESIGN) {
        return read_made_up(source, options, error);
    }
    status = cb_design_read(&source->design, options->common.operand, options->common.set,
                            options->common.set_count, source->units, error);
    return status == CB_OK
               ? cb_weather_create(&source->weather, source->design, source->units, error)
               : status;
}

void cli_weather_source_close(cli_weather_source *source)
{
    source->weather = cb_weather_destroy(source->weather);
    source->design = cb_design_destroy(source->design);
    source->units = cb_units_destroy(source->units);
}

bool cli_longwave_is_measured(const cb_design *design)
{
    const cb_design_weather *weather = &design->weather;
    return weather->format == CB_WEATHER_PVGIS ||
           (weather->format == CB_WEATHER_COLUMNS && weather->columns.longwave);
}

void cli_weather_assumed(const cli_weather_source *source, cb_unit_system system,
                         void (*say)(void *context, const char *sentence), void *context)
{
    char sentence[SENTENCE_SIZE];
    if (source->elevation_assumed) {
        char sea_level[VALUE_SIZE];
        snprintf(sentence, sizeof sentence, "elevation %s taken; give --elevation",
                 cb_units_format(CB_LENGTH, system, source->design->site.elevation_m, 2, sea_level,
                                 sizeof sea_level));
        say(context, sentence);
    }
    if (source->time_zone_assumed) {
        snprintf(sentence, sizeof sentence,
                 "time zone %+g h taken from the longitude; give --time-zone if it is another",
                 source->design->site.time_zone_h);
        say(context, sentence);
    }
}
