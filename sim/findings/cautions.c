// SPDX-License-Identifier: MIT
#include "findings/remedy.h"

// Common practice, no source.
static const char *const caution[] = {
    "Never enter an unshored trench: its walls can collapse without warning and kill.",
    "Have buried utilities located and marked before any digging.",
    "Electrical work belongs to a licensed electrician.",
    "Pressure-test the loop before backfilling.",
    "No cross-connection with drinking water.",
    "Where backup heat burns fuel, vent it and fit carbon monoxide alarms.",
    "Local codes, licensed practice and the equipment maker's warranty terms come first.",
};

const char *cbx_caution(int index)
{
    return index >= 0 && index < (int)(sizeof caution / sizeof *caution) ? caution[index] : 0;
}
