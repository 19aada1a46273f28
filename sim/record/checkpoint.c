// SPDX-License-Identifier: MIT
#include "record/checkpoint.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum { SLOTS = 2, VALUE_CHUNK = 4096 };

static const struct {
    const char *values, *hours, *days; // paths
} slot_table[SLOTS] = {
    {"/checkpoint/values_1", "/checkpoint/hours_done_1", "/checkpoint/days_done_1"},
    {"/checkpoint/values_2", "/checkpoint/hours_done_2", "/checkpoint/days_done_2"},
};
static const int64_t no_stamp = -1;

int cbx_checkpoint_other(int slot)
{
    return slot == 0 ? 1 : 0;
}

double cbx_checkpoint_bytes(const cb_checkpoint *checkpoint)
{
    return (double)sizeof(double) * (double)(checkpoint->size + VALUE_CHUNK);
}

static void make_slot(cbx_h5 *h5, int slot)
{
    const size_t group = sizeof CBX_CHECKPOINT_GROUP; // its length and the slash
    cbx_plan plan = {.group = CBX_CHECKPOINT_GROUP, .type = H5T_STD_I64LE};
    plan.name = slot_table[slot].hours + group;
    plan.units = "h";
    plan.long_name = "rows of time at this checkpoint; -1: it is empty or being written";
    cbx_h5_dataset(h5, &plan);
    cbx_h5_write_rows(h5, slot_table[slot].hours, H5T_NATIVE_INT64, 0, 1, &no_stamp);
    plan.name = slot_table[slot].days + group;
    plan.units = "1";
    plan.long_name = "rows of ground/day at this checkpoint";
    cbx_h5_dataset(h5, &plan);
    // Not compressed: chunks that keep their size keep their place, so the file does not grow.
    plan = (cbx_plan){.group = CBX_CHECKPOINT_GROUP,
                      .name = slot_table[slot].values + group,
                      .type = H5T_IEEE_F64LE,
                      .rank = 1,
                      .chunk = {VALUE_CHUNK},
                      .plain = true,
                      .long_name = "state of the solver; implementation detail, of use only to the "
                                   "version of the program that wrote it"};
    cbx_h5_dataset(h5, &plan);
}

void cbx_layout_checkpoint(cbx_h5 *h5)
{
    cbx_h5_group(h5, CBX_CHECKPOINT_GROUP);
    cbx_h5_text_attribute(h5, CBX_CHECKPOINT_GROUP, "long_name",
                          "implementation detail: where an interrupted run goes on; empty once it "
                          "is complete");
    for (int slot = 0; slot < SLOTS; slot++) {
        make_slot(h5, slot);
    }
}

static void put_stamp(cbx_h5 *h5, int slot, int64_t hours)
{
    cbx_h5_write_rows(h5, slot_table[slot].hours, H5T_NATIVE_INT64, 0, 1, &hours);
}

void cbx_checkpoint_empty(cbx_h5 *h5, int slot)
{
    put_stamp(h5, slot, no_stamp);
}

void cbx_checkpoint_write(cbx_h5 *h5, int slot, const cb_checkpoint *checkpoint, long days)
{
    const int64_t days_done = days;
    cbx_h5_set_rows(h5, slot_table[slot].values, checkpoint->size);
    cbx_h5_write_rows(h5, slot_table[slot].values, H5T_NATIVE_DOUBLE, 0, checkpoint->size,
                      checkpoint->value);
    cbx_h5_write_rows(h5, slot_table[slot].days, H5T_NATIVE_INT64, 0, 1, &days_done);
    cbx_h5_flush(h5);
    put_stamp(h5, slot, checkpoint->hours_done);
}

void cbx_checkpoint_clear(cbx_h5 *h5)
{
    const int64_t none = 0;
    for (int slot = 0; slot < SLOTS; slot++) {
        cbx_checkpoint_empty(h5, slot);
        cbx_h5_flush(h5);
        cbx_h5_write_rows(h5, slot_table[slot].days, H5T_NATIVE_INT64, 0, 1, &none);
        cbx_h5_set_rows(h5, slot_table[slot].values, 0);
    }
}

cbx_checkpoint_place cbx_checkpoint_find(cbx_h5 *h5, long hours)
{
    cbx_checkpoint_place found = {.slot = -1};
    for (int slot = 0; slot < SLOTS; slot++) {
        int64_t stamp = no_stamp;
        int64_t days = 0;
        cbx_h5_read_rows(h5, slot_table[slot].hours, H5T_NATIVE_INT64, 1, 1, &stamp);
        cbx_h5_read_rows(h5, slot_table[slot].days, H5T_NATIVE_INT64, 1, 1, &days);
        if (stamp > found.hours && stamp <= hours) {
            found = (cbx_checkpoint_place){slot, (long)stamp, (long)days};
        }
    }
    return found;
}

double *cbx_checkpoint_read(cbx_h5 *h5, int slot, size_t *size)
{
    const hsize_t count = cbx_h5_length(h5, slot_table[slot].values, 0);
    double *value = h5->status == CB_OK ? calloc(count ? count : 1, sizeof *value) : NULL;
    *size = (size_t)count;
    if (!value) {
        cbx_h5_refuse(h5, CB_NO_MEMORY, "no memory for a checkpoint of %llu values",
                      (unsigned long long)count);
    } else {
        cbx_h5_read_rows(h5, slot_table[slot].values, H5T_NATIVE_DOUBLE, count, 1, value);
    }
    if (h5->status != CB_OK) {
        free(value);
        value = NULL;
    }
    return value;
}
