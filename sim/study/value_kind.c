// SPDX-License-Identifier: MIT
#include "study/value_kind.h"

#include "study/lever.h"

bool cbx_value_kind(cb_kind *kind, const cb_design *design, const char *path, const cb_units *units)
{
    cb_error unread;
    cbx_lever lever = {.path = path, .option = "--vary"};
    const bool known = cbx_lever_open(&lever, design, units, &unread) == CB_OK;
    if (known) {
        *kind = lever.kind;
    }
    cbx_lever_close(&lever);
    return known;
}
