// SPDX-License-Identifier: MIT
#include <coilbed/coilbed.h>

#include <math.h>
#include <stdio.h>

/// Touches every library inside coilbed, so that a missing one fails to link or load: UDUNITS by a
/// quantity, YAML by a design that is none, HDF5 by a file that is not there, SUNDIALS by the
/// engine.
int main(void)
{
    cb_error error = {0};
    cb_units *units;
    double depth_m = 0.0;
    if (cb_units_create(&units, &error) != CB_OK ||
        cb_units_parse(units, CB_LENGTH, "6 ft", &depth_m, &error) != CB_OK) {
        fprintf(stderr, "%s\n", error.message);
        return 1;
    }
    cb_design *design;
    const cb_status parsed = cb_design_parse(&design, "[", "none.yaml", NULL, 0, units, &error);
    cb_units_destroy(units);
    cb_run_data *run;
    const cb_status read = cb_record_read(&run, "none.h5", &error);
    cb_engine_destroy(NULL);
    printf("coilbed %s: 6 ft = %.4f m; %s; %s\n", CB_VERSION, depth_m, cb_status_text(parsed),
           cb_status_text(read));
    return fabs(depth_m - 1.8288) <= 1e-12 && parsed == CB_BAD_INPUT && read == CB_IO ? 0 : 1;
}
