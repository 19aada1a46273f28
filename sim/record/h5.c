// SPDX-License-Identifier: MIT
#include "record/h5.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

// ---- failures --------------------------------------------------------------------------------

typedef struct cause {
    char system[200];    // the operating system's words, if it was asked
    char innermost[300]; // else HDF5's own, from where it happened
} cause;

static herr_t note_cause(unsigned depth, const H5E_error2_t *entry, void *context)
{
    cause *found = context;
    const char *text = entry->desc ? entry->desc : "";
    if (depth == 0) {
        snprintf(found->innermost, sizeof found->innermost, "%s", text);
    }
    // HDF5's drivers report "..., errno = 28, error message = 'No space left on device', ...".
    static const char mark[] = "error message = '";
    const char *start = strstr(text, mark);
    if (start && !found->system[0]) {
        start += sizeof mark - 1;
        snprintf(found->system, sizeof found->system, "%.*s", (int)strcspn(start, "'"), start);
    }
    return 0;
}

bool cbx_h5_check(cbx_h5 *h5, bool ok, const char *doing, const char *name)
{
    if (!ok && h5->status == CB_OK) {
        cause found = {{0}, {0}};
        H5Ewalk2(H5E_DEFAULT, H5E_WALK_UPWARD, note_cause, &found);
        const char *why = found.system[0]      ? found.system
                          : found.innermost[0] ? found.innermost
                                               : "the HDF5 library gives no reason";
        h5->status = CB_IO;
        snprintf(h5->reason, sizeof h5->reason, "cannot %s %s: %s", doing, name, why);
    }
    return h5->status == CB_OK;
}

void cbx_h5_refuse(cbx_h5 *h5, cb_status status, const char *format, ...)
{
    if (h5->status != CB_OK) {
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(h5->reason, sizeof h5->reason, format, arguments);
    va_end(arguments);
    h5->status = status;
}

// ---- files -----------------------------------------------------------------------------------

void cbx_h5_begin(cbx_h5 *h5, const char *path)
{
    *h5 = (cbx_h5){.file = H5I_INVALID_HID, .path = path, .status = CB_OK};
    H5Eget_auto2(H5E_DEFAULT, &h5->printer, &h5->printer_data);
    H5Eset_auto2(H5E_DEFAULT, NULL, NULL);
}

cb_status cbx_h5_end(cbx_h5 *h5, cb_error *error)
{
    if (h5->file >= 0) {
        const herr_t closed = H5Fclose(h5->file);
        cbx_h5_check(h5, closed >= 0, "write", "its last blocks");
    }
    h5->file = H5I_INVALID_HID;
    H5Eclear2(H5E_DEFAULT);
    H5Eset_auto2(H5E_DEFAULT, h5->printer, h5->printer_data);
    if (h5->status == CB_OK) {
        return CB_OK;
    }
    return cb_fail_at(error, h5->status, h5->path, 0, 0, "%s", h5->reason);
}

// Bounds of HDF5 1.10: appending while others read needs them, and files stay readable by 1.10
// when a newer library wrote them. Locking is off because a reader that holds the file open (a
// notebook, a viewer) must not stop the run. Such a reader gets an error from HDF5 when it follows
// an index that has grown behind its back, and has to open the file again; it never gets wrong
// values, because an append does not reuse the space of older blocks.
static hid_t access_list(void)
{
    const hid_t list = H5Pcreate(H5P_FILE_ACCESS);
    H5Pset_libver_bounds(list, H5F_LIBVER_V110, H5F_LIBVER_V110);
    H5Pset_file_locking(list, false, true);
    H5Pset_fclose_degree(list, H5F_CLOSE_STRONG);
    return list;
}

// Many attributes of one object are kept in its header, not in a heap: only there can they be
// overwritten while others read.
enum { ATTRIBUTES_IN_HEADER = 200 };

void cbx_h5_create(cbx_h5 *h5)
{
    const hid_t access = access_list();
    const hid_t creation = H5Pcreate(H5P_FILE_CREATE);
    H5Pset_attr_phase_change(creation, ATTRIBUTES_IN_HEADER, 0);
    H5Pset_attr_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    H5Pset_link_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    H5Pset_obj_track_times(creation, false); // the same values make the same bytes
    h5->file = H5Fcreate(h5->path, H5F_ACC_EXCL, creation, access);
    cbx_h5_check(h5, h5->file >= 0, "create", "the file");
    H5Pclose(creation);
    H5Pclose(access);
}

static bool is_readable_file(cbx_h5 *h5)
{
    struct stat facts;
    if (stat(h5->path, &facts) != 0) {
        cbx_h5_refuse(h5, CB_IO, "cannot open the file: %s", strerror(errno));
    } else if (S_ISDIR(facts.st_mode)) {
        cbx_h5_refuse(h5, CB_IO, "cannot open the file: it is a folder");
    }
    return h5->status == CB_OK;
}

// HDF5 knows how long the file was when it was last closed.
static bool is_cut_short(const cbx_h5 *h5, long long *have, long long *want)
{
    const char *text = strstr(h5->reason, "truncated file: eof = ");
    const char *stored = text ? strstr(text, "stored_eof = ") : NULL;
    return stored && sscanf(text, "truncated file: eof = %lld", have) == 1 &&
           sscanf(stored, "stored_eof = %lld", want) == 1;
}

static void refuse_to_open(cbx_h5 *h5, const char *what)
{
    cbx_h5_check(h5, false, "open", what); // first: the next call forgets HDF5's reason
    long long have = 0;
    long long want = 0;
    if (is_cut_short(h5, &have, &want)) {
        h5->status = CB_OK;
        cbx_h5_refuse(h5, CB_IO,
                      "is cut short: only %lld of its %lld bytes are there, as after a copy that "
                      "was not finished; it cannot be read",
                      have, want);
    } else if (H5Fis_hdf5(h5->path) == 0) {
        h5->status = CB_OK;
        cbx_h5_refuse(h5, CB_IO, "is not an HDF5 file, so it is not a run");
    }
}

void cbx_h5_open_read(cbx_h5 *h5)
{
    if (!is_readable_file(h5)) {
        return;
    }
    // A file that is marked by a live run opens in the second way only, any other in the first; the
    // mark may come or go between the two.
    enum { TRIES = 5 };
    const struct timespec pause = {.tv_nsec = 10000000};
    const hid_t access = access_list();
    for (int i = 0; h5->file < 0 && i < TRIES && (i == 0 || H5Fis_hdf5(h5->path) > 0); i++) {
        if (i > 0) {
            nanosleep(&pause, NULL);
        }
        h5->file = H5Fopen(h5->path, H5F_ACC_RDONLY, access);
        if (h5->file < 0) {
            h5->file = H5Fopen(h5->path, H5F_ACC_RDONLY | H5F_ACC_SWMR_READ, access);
        }
    }
    if (h5->file < 0) {
        refuse_to_open(h5, "the file");
    }
    H5Pclose(access);
}

// Drops the mark of a writer that was killed, by the means of HDF5's own h5clear. The file's end
// is set anew: that writer's last blocks lie beyond the end that it had noted.
static void drop_writer_mark(const char *path)
{
    hbool_t yes = true;
    const hid_t access = access_list();
    H5Pset(access, "clear_status_flags", &yes);
    H5Pset(access, "skip_eof_check", &yes);
    const hid_t file = H5Fopen(path, H5F_ACC_RDWR, access);
    if (file >= 0) {
        H5Fincrement_filesize(file, 0);
        H5Fclose(file);
    }
    H5Pclose(access);
}

void cbx_h5_open_append(cbx_h5 *h5, bool revive)
{
    if (!is_readable_file(h5)) {
        return;
    }
    // A live run marks its file only for the instant of a monthly append; a mark that stays for a
    // second belongs to a writer that is gone.
    enum { TRIES = 20 };
    const struct timespec pause = {.tv_nsec = 50000000};
    const hid_t access = access_list();
    const unsigned mode = H5F_ACC_RDWR | H5F_ACC_SWMR_WRITE;
    h5->file = H5Fopen(h5->path, mode, access);
    for (int i = 1; revive && h5->file < 0 && H5Fis_hdf5(h5->path) > 0 && i <= TRIES; i++) {
        nanosleep(&pause, NULL);
        if (i == TRIES) {
            drop_writer_mark(h5->path);
        }
        h5->file = H5Fopen(h5->path, mode, access);
    }
    if (h5->file < 0) {
        refuse_to_open(h5, "the file for writing");
    }
    H5Pclose(access);
}

void cbx_h5_flush(cbx_h5 *h5)
{
    if (h5->status == CB_OK) {
        cbx_h5_check(h5, H5Fflush(h5->file, H5F_SCOPE_GLOBAL) >= 0, "write", "the file");
    }
}

// ---- structure -------------------------------------------------------------------------------

void cbx_h5_group(cbx_h5 *h5, const char *path)
{
    if (h5->status != CB_OK) {
        return;
    }
    const hid_t creation = H5Pcreate(H5P_GROUP_CREATE);
    H5Pset_attr_phase_change(creation, ATTRIBUTES_IN_HEADER, 0);
    H5Pset_attr_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    H5Pset_link_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    H5Pset_obj_track_times(creation, false);
    const hid_t group = H5Gcreate2(h5->file, path, H5P_DEFAULT, creation, H5P_DEFAULT);
    cbx_h5_check(h5, group >= 0, "create", path);
    H5Pclose(creation);
    if (group >= 0) {
        H5Gclose(group);
    }
}

void cbx_h5_hard_link(cbx_h5 *h5, const char *existing, const char *link)
{
    if (h5->status == CB_OK) {
        const herr_t made =
            H5Lcreate_hard(h5->file, existing, h5->file, link, H5P_DEFAULT, H5P_DEFAULT);
        cbx_h5_check(h5, made >= 0, "create", link);
    }
}
