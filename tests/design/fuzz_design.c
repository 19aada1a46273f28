// SPDX-License-Identifier: MIT
// libFuzzer target: any bytes must end in a design or in a message. A design that reads must echo
// to a text that reads.
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "coilbed/design.h"

int LLVMFuzzerInitialize(int *argument_count, char ***arguments);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static cb_units *units; // loading the unit database takes longer than reading a design

static void read_and_echo(const char *text)
{
    const cb_override normals = {"weather.normals", cb_starter_climate()};
    cb_design *design = NULL, *again = NULL;
    if (cb_design_parse(&design, text, "fuzz.yaml", &normals, 1, units, NULL) != CB_OK) {
        return;
    }
    char *echo = cb_design_echo(design);
    if (!echo || cb_design_parse(&again, echo, "echo.yaml", NULL, 0, units, NULL) != CB_OK) {
        abort();
    }
    free(echo);
    cb_design_destroy(again);
    cb_design_destroy(design);
}

int LLVMFuzzerInitialize(int *argument_count, char ***arguments)
{
    (void)argument_count, (void)arguments;
    return cb_units_create(&units, NULL) == CB_OK ? 0 : -1;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    if (text) {
        memcpy(text, data, size);
        text[size] = '\0';
        read_and_echo(text);
    }
    free(text);
    return 0;
}
