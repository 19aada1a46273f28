// SPDX-License-Identifier: MIT
#include <coilbed/coilbed.h>

#include <math.h>
#include <stdio.h>

/// Reads a quantity and a whole design, so that units, YAML and their data are really linked.
int main(void)
{
    cb_error error = {0};
    cb_units *units;
    cb_design *design;
    double depth_m = 0.0;
    if (cb_units_create(&units, &error) != CB_OK ||
        cb_units_parse(units, CB_LENGTH, "6 ft", &depth_m, &error) != CB_OK ||
        cb_design_parse(&design, cb_starter_design(), "starter.yaml", NULL, 0, units, &error) !=
            CB_OK) {
        fprintf(stderr, "%s\n", error.message);
        return 1;
    }
    const double off_m = fabs(depth_m - 1.8288);
    printf("coilbed %s: 6 ft = %.4f m, %d trenches in the starter design\n", CB_VERSION, depth_m,
           design->field.trenches);
    cb_design_destroy(design);
    cb_units_destroy(units);
    return off_m <= 1e-12 ? 0 : 1;
}
