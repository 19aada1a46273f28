// SPDX-License-Identifier: MIT
#include "cli/message.h"
#include "cli/options.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char climate_name[] = "cold-plain.yaml";

/// Writes a file that must not exist yet. O_EXCL: looking first and opening later could overwrite.
static int write_new(const char *path, const char *text)
{
    const int handle = open(path, O_WRONLY | O_CREAT | O_EXCL, 0666);
    if (handle < 0) {
        return errno == EEXIST ? cli_complain("%s exists already; it was left as it is", path)
                               : cli_complain("%s could not be written: %s", path, strerror(errno));
    }
    FILE *stream = fdopen(handle, "w");
    if (!stream) {
        close(handle);
        return cli_complain("%s could not be written: %s", path, strerror(errno));
    }
    const bool written = fputs(text, stream) >= 0;
    if (fclose(stream) != 0 || !written) {
        return cli_complain("%s could not be written: %s", path, strerror(errno));
    }
    return CLI_HELD;
}

/// The climate file's path in the folder of `design`; owned by the caller, NULL without memory.
static char *beside(const char *design)
{
    const char *slash = strrchr(design, '/');
    const size_t folder = slash ? (size_t)(slash - design) + 1 : 0;
    const size_t size = folder + sizeof climate_name;
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%.*s%s", (int)folder, design, climate_name);
    }
    return path;
}

/// True if `path` holds exactly `text`, so that a second design can share the climate file.
static bool holds(const char *path, const char *text)
{
    FILE *stream = fopen(path, "r");
    if (!stream) {
        return false;
    }
    bool same = true;
    for (int c = fgetc(stream); same && c != EOF; c = fgetc(stream)) {
        same = *text != '\0' && (unsigned char)*text++ == c;
    }
    same = same && *text == '\0' && !ferror(stream);
    fclose(stream);
    return same;
}

static int write_both(const char *design, const char *climate)
{
    struct stat found;
    if (strcmp(design, climate) == 0) {
        return cli_complain("%s is the name of the climate file; name the design otherwise",
                            design);
    }
    if (lstat(design, &found) == 0) {
        return cli_complain("%s exists already; it was left as it is", design);
    }
    const bool shared = holds(climate, cb_starter_climate());
    int result = shared ? CLI_HELD : write_new(climate, cb_starter_climate());
    if (result == CLI_HELD) {
        result = write_new(design, cb_starter_design());
        if (result != CLI_HELD && !shared) {
            remove(climate); // half of the pair is of no use
        }
    }
    return result;
}

/// Prints a command to copy into a shell: a name with blanks or the like is quoted, one that looks
/// like an option is made a path.
static void print_next(const char *command, const char *name, const char *what)
{
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                                "-_./+,:@%=";
    printf("  coilbed %s %s", command, *name == '-' ? "./" : "");
    if (name[strspn(name, plain)] == '\0') {
        fputs(name, stdout);
    } else {
        putchar('\'');
        for (const char *c = name; *c; c++) {
            fputs(*c == '\'' ? "'\\''" : (const char[]){*c, '\0'}, stdout);
        }
        putchar('\'');
    }
    printf("  %s\n", what);
}

static int new_run(const cli_options *options)
{
    char *climate = beside(options->operand);
    if (!climate) {
        return cli_complain("out of memory");
    }
    const int result = write_both(options->operand, climate);
    if (result == CLI_HELD && !options->quiet) {
        printf("Wrote %s, a design to edit, and %s, an invented climate.\nNext:\n",
               options->operand, climate);
        print_next("check", options->operand, "  what the design comes to; no simulation");
        print_next("run", options->operand, "    simulate it");
    }
    free(climate);
    return result;
}

const cli_command cli_new = {
    .name = "new",
    .operand = "FILE",
    .summary = "write a commented starter design and its climate file",
    .details = "Writes a starter design to FILE and the invented climate it uses beside it, as\n"
               "cold-plain.yaml. Both are meant to be edited. A file that exists is never\n"
               "overwritten.\n",
    .takes = CLI_TAKES_QUIET,
    .run = new_run,
};
