// SPDX-License-Identifier: MIT
/// Outcome of a library call, and the one message that explains a failure.
#ifndef COILBED_STATUS_H
#define COILBED_STATUS_H

#ifdef __cplusplus
extern "C" {
#endif

/// name, value, text. The values are stable; callers may store them.
#define CB_STATUS_LIST(X)                                                                          \
    X(CB_OK, 0, "ok")                                                                              \
    X(CB_BAD_INPUT, 1, "the design, weather or another input file is invalid")                     \
    X(CB_IO, 2, "a file could not be read or written")                                             \
    X(CB_NO_MEMORY, 3, "an allocation failed")                                                     \
    X(CB_NUMERICS, 4, "the numerical solution failed")                                             \
    X(CB_STOPPED, 5, "the run was stopped before its end")                                         \
    X(CB_BAD_CALL, 6, "a library function was called outside its stated contract")

#define CB_AS_ENUM(name, value, text) name = value,
typedef enum cb_status { CB_STATUS_LIST(CB_AS_ENUM) } cb_status;
#undef CB_AS_ENUM

enum { CB_PATH_SIZE = 512, CB_MESSAGE_SIZE = 1024 };

/// Where and why a call failed. Plain value; nothing to free.
typedef struct cb_error {
    cb_status status;
    char file[CB_PATH_SIZE];       ///< "" when no file is involved
    int line;                      ///< 1-based; 0 when unknown
    int column;                    ///< 1-based; 0 when unknown
    char message[CB_MESSAGE_SIZE]; ///< what is wrong, the offending value, what would be accepted
} cb_error;

/// Short English text for a status; never NULL.
const char *cb_status_text(cb_status status);

/// Fills *error (if not NULL) with a formatted message and no place. Returns `status`, so that
/// `return cb_fail(error, CB_IO, "...")` reads as one line.
cb_status cb_fail(cb_error *error, cb_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/// As cb_fail, with the place in a file. file may be NULL; line and column may be 0.
cb_status cb_fail_at(cb_error *error, cb_status status, const char *file, int line, int column,
                     const char *format, ...) __attribute__((format(printf, 6, 7)));

#ifdef __cplusplus
}
#endif
#endif
