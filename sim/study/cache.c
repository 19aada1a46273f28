// SPDX-License-Identifier: MIT
#include "study/cache.h"

#include "coilbed/version.h"
#include "study/headline.h"
#include "study/source_digest.h"
#include "weather/csv.h"

#include <errno.h>
#include <nettle/sha2.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char heading[] = "coilbed case 1\n";

enum { CHECKSUM = 65, MOST_FINDINGS = 100, MOST_BYTES = 1 << 20 };

// ---- key -------------------------------------------------------------------------------------

static void add(struct sha256_ctx *hash, const void *bytes, size_t size)
{
    // The length goes in too, so that no two rows of parts run together into the same bytes.
    const uint64_t length = size;
    sha256_update(hash, sizeof length, (const uint8_t *)&length);
    sha256_update(hash, size, bytes);
}

static void add_text(struct sha256_ctx *hash, const char *text)
{
    add(hash, text, strlen(text));
}

cb_status cbx_case_key(char key[65], const cb_inputs *inputs, cb_error *error)
{
    char *design = cb_design_echo(inputs->design);
    if (!design) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the design's text");
    }
    const cb_house *house = inputs->house;
    struct sha256_ctx hash;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&hash);
    add_text(&hash, CB_VERSION);
    add_text(&hash, cbx_source_digest());
    add_text(&hash, design);
    add_text(&hash, inputs->weather->sha256);
    add(&hash, house->heating_w, (size_t)house->hours * sizeof *house->heating_w);
    add(&hash, house->cooling_w, (size_t)house->hours * sizeof *house->cooling_w);
    sha256_digest(&hash, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        snprintf(key + 2 * i, 3, "%02x", digest[i]);
    }
    free(design);
    return CB_OK;
}

// ---- places ----------------------------------------------------------------------------------

cb_status cbx_make_folder(const char *folder, cb_error *error)
{
    char *path = strdup(folder);
    if (!path) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for a folder's name");
    }
    int reason = ENOTDIR;
    for (char *slash = *path ? strchr(path + 1, '/') : NULL; slash;
         slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        reason = mkdir(path, 0777) != 0 && errno != EEXIST ? errno : reason;
        *slash = '/';
    }
    reason = mkdir(path, 0777) != 0 && errno != EEXIST ? errno : reason;
    free(path);
    struct stat found;
    const bool there = stat(folder, &found) == 0 && S_ISDIR(found.st_mode);
    if (there && access(folder, W_OK | X_OK) == 0) {
        return CB_OK;
    }
    return cb_fail_at(error, CB_IO, folder, 0, 0, "the folder cannot be written to: %s",
                      strerror(there ? errno : reason));
}

char *cbx_cache_path(const char *folder, const char *key, const char *ending, bool mine)
{
    const size_t size = strlen(folder) + strlen(key) + strlen(ending) + 40;
    char *path = malloc(size);
    if (path && mine) {
        snprintf(path, size, "%s/%s.%ld%s.new", folder, key, (long)getpid(), ending);
    } else if (path) {
        snprintf(path, size, "%s/%s%s", folder, key, ending);
    }
    return path;
}

// ---- writing ---------------------------------------------------------------------------------

/// Numbers as %a: they are read back to the same bits.
static void put_body(const cb_case *result, FILE *stream)
{
    fputs(heading, stream);
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        fprintf(stream, "%s %a\n", cb_headline_row_of(i)->name,
                cb_headline_value(&result->headline, i));
    }
    const cb_findings *findings = result->findings;
    fprintf(stream, "findings %zu %d %d\n", findings->count, (int)findings->verdict,
            findings->complete);
    for (size_t i = 0; i < findings->count; i++) {
        const cb_finding *finding = &findings->finding[i];
        fprintf(stream, "%s %d %a %a %a %d %ld %s\n", finding->code, finding->severity,
                finding->value, finding->limit, finding->margin, (int)finding->kind,
                finding->run_hour, finding->sentence);
    }
}

/// The entry's text with its checksum on a last line; NULL without memory.
static char *entry_of(const cb_case *result)
{
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream) {
        return NULL;
    }
    put_body(result, stream);
    bool whole = fflush(stream) == 0 && !ferror(stream);
    if (whole) {
        char checksum[CHECKSUM];
        cbx_sha256(text, size, checksum);
        fprintf(stream, "%s\n", checksum);
    }
    whole = fclose(stream) == 0 && whole;
    if (!whole) {
        free(text);
        return NULL;
    }
    return text;
}

static bool write_text(const char *path, const char *text)
{
    FILE *stream = fopen(path, "w");
    if (!stream) {
        return false;
    }
    const bool written = fputs(text, stream) >= 0;
    return fclose(stream) == 0 && written;
}

cb_status cbx_cache_write(const cb_case *result, const char *folder, cb_error *error)
{
    char *text = entry_of(result);
    char *beside = cbx_cache_path(folder, result->key, ".case", true);
    char *path = cbx_cache_path(folder, result->key, ".case", false);
    cb_status status = CB_OK;
    if (!text || !beside || !path) {
        status = cb_fail(error, CB_NO_MEMORY, "no memory to keep a case");
    } else if (!write_text(beside, text) || rename(beside, path) != 0) {
        status =
            cb_fail_at(error, CB_IO, path, 0, 0, "the case cannot be kept: %s", strerror(errno));
        unlink(beside);
    }
    free(text);
    free(beside);
    free(path);
    return status;
}

// ---- reading ---------------------------------------------------------------------------------

/// NULL if there is none, or none that can be read.
static char *read_text(const char *path)
{
    FILE *stream = fopen(path, "r");
    if (!stream) {
        return NULL;
    }
    char *text = malloc(MOST_BYTES);
    const size_t size = text ? fread(text, 1, MOST_BYTES - 1, stream) : 0;
    fclose(stream);
    if (text) {
        text[size] = '\0';
    }
    return text;
}

/// Cuts the checksum off. False if it is not that of the rest.
static bool cut_checksum(char *text)
{
    const size_t size = strlen(text);
    if (size < CHECKSUM || text[size - 1] != '\n') {
        return false;
    }
    char *stored = text + size - CHECKSUM;
    char checksum[CHECKSUM];
    cbx_sha256(text, size - CHECKSUM, checksum);
    const bool same = memcmp(stored, checksum, CHECKSUM - 1) == 0;
    *stored = '\0';
    return same;
}

/// The line at *at without its end, *at then being the next; NULL past the last.
static char *next_line(char **at)
{
    char *line = *at, *end = strchr(line, '\n');
    if (!end) {
        return NULL;
    }
    *end = '\0';
    *at = end + 1;
    return line;
}

static bool take_headline(cb_headline *headline, char **at)
{
    for (int i = 0; i < CB_HEADLINE_COUNT; i++) {
        const char *line = next_line(at), *name = cb_headline_row_of(i)->name;
        const size_t length = strlen(name);
        if (!line || strncmp(line, name, length) != 0 || line[length] != ' ') {
            return false;
        }
        *cbx_headline_place(headline, i) = strtod(line + length, NULL);
    }
    return true;
}

static bool take_finding(cb_finding *finding, char **at)
{
    char *line = next_line(at);
    char *rest = line ? strchr(line, ' ') : NULL;
    if (!rest || (size_t)(rest - line) >= sizeof finding->code) {
        return false;
    }
    snprintf(finding->code, sizeof finding->code, "%.*s", (int)(rest - line), line);
    finding->severity = (int)strtol(rest, &rest, 10);
    finding->value = strtod(rest, &rest);
    finding->limit = strtod(rest, &rest);
    finding->margin = strtod(rest, &rest);
    finding->kind = (cb_kind)strtol(rest, &rest, 10);
    finding->run_hour = strtol(rest, &rest, 10);
    snprintf(finding->sentence, sizeof finding->sentence, "%s", *rest ? rest + 1 : rest);
    return true;
}

static cb_findings *take_findings(char **at)
{
    static const char word[] = "findings ";
    char *line = next_line(at);
    if (!line || strncmp(line, word, sizeof word - 1) != 0) {
        return NULL;
    }
    char *rest = line + sizeof word - 1;
    const unsigned long count = strtoul(rest, &rest, 10);
    cb_findings *findings =
        count > 0 && count <= MOST_FINDINGS ? calloc(1, sizeof *findings) : NULL;
    if (!findings) {
        return NULL;
    }
    findings->count = count;
    findings->verdict = (cb_severity)strtol(rest, &rest, 10);
    findings->complete = strtol(rest, &rest, 10) != 0;
    findings->finding = calloc(count, sizeof *findings->finding);
    bool whole = findings->finding != NULL;
    for (size_t i = 0; whole && i < count; i++) {
        whole = take_finding(&findings->finding[i], at);
    }
    return whole ? findings : cb_findings_destroy(findings);
}

bool cbx_cache_read(cb_case *into, const char *folder)
{
    char *path = cbx_cache_path(folder, into->key, ".case", false);
    char *text = path ? read_text(path) : NULL;
    const size_t head = sizeof heading - 1;
    if (text && cut_checksum(text) && strncmp(text, heading, head) == 0) {
        char *at = text + head;
        if (take_headline(&into->headline, &at)) {
            into->findings = take_findings(&at);
        }
    }
    free(text);
    free(path);
    return into->findings != NULL;
}
