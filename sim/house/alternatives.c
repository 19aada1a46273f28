// SPDX-License-Identifier: MIT
// The same loads by other means. Method and sources: coilbed/house.h.
#include "coilbed/house.h"

#include <math.h>

static const double hour_s = 3600.0;
static const double sink_c = 40.0, source_c = 5.0, fall_1_k = 0.010, fall_from_c = 25.0;

cb_alternatives_given cb_alternatives_usual(double heating_w)
{
    return (cb_alternatives_given){
        .air = {.heating_w = heating_w,
                .heating_power_w = heating_w / 3.4,
                .heating_rated_c = 25.0 / 3.0,
                .cooling_w = heating_w,
                .cooling_power_w = heating_w / 3.5,
                .cooling_rated_c = 35.0,
                .least_outdoor_c = -25.0,
                .frost_low_c = -7.0,
                .frost_high_c = 5.5,
                .defrost_share = 0.08},
        .furnace_efficiency = 0.92,
        .furnace_electric = 0.02,
    };
}

static double air_cop(double lift_k)
{
    const double lift = fmin(fmax(lift_k, 5.0), 75.0);
    return 6.81 + lift * (-0.121 + lift * 0.000630);
}

static double cooling_cop(double outdoor_c)
{
    return air_cop(outdoor_c - source_c) - 1.0;
}

typedef struct output {
    double capacity_w, power_w;
} output;

static output heating_at(const cb_air_source *air, double outdoor_c)
{
    if (outdoor_c < air->least_outdoor_c) {
        return (output){0.0, 0.0};
    }
    const double share = air_cop(sink_c - outdoor_c) / air_cop(sink_c - air->heating_rated_c);
    const bool frosts = outdoor_c >= air->frost_low_c && outdoor_c <= air->frost_high_c;
    return (output){air->heating_w * share * (frosts ? 1.0 - air->defrost_share : 1.0),
                    air->heating_power_w};
}

static output cooling_at(const cb_air_source *air, double outdoor_c)
{
    const double share = (1.0 - fall_1_k * (outdoor_c - fall_from_c)) /
                         (1.0 - fall_1_k * (air->cooling_rated_c - fall_from_c));
    const double power = share * cooling_cop(air->cooling_rated_c) / cooling_cop(outdoor_c);
    return (output){air->cooling_w * share, air->cooling_power_w * power};
}

// Heat or cold that the unit delivers of a load, and the electricity for it [W].
static output carried(output full, double load_w)
{
    if (!(full.capacity_w > 0.0)) {
        return (output){0.0, 0.0};
    }
    const double run = fmin(1.0, load_w / full.capacity_w);
    return (output){run * full.capacity_w, run * full.power_w};
}

static cb_status check_given(const cb_alternatives_given *given, cb_error *error)
{
    const cb_air_source *air = &given->air;
    const struct {
        const char *what;
        double value, least, most;
    } bound[] = {
        {"heating capacity [W]", air->heating_w, 100.0, 1e6},
        {"power in heating [W]", air->heating_power_w, 10.0, air->heating_w},
        {"outdoor air of the heating rating [degC]", air->heating_rated_c, -30.0, 30.0},
        {"cooling capacity [W]", air->cooling_w, 0.0, 1e6},
        {"power in cooling [W]", air->cooling_power_w, air->cooling_w > 0.0 ? 10.0 : 0.0, 1e6},
        {"outdoor air of the cooling rating [degC]", air->cooling_rated_c, 15.0, 50.0},
        {"least outdoor air [degC]", air->least_outdoor_c, -60.0, 30.0},
        {"lower end of frosting [degC]", air->frost_low_c, -40.0, 20.0},
        {"upper end of frosting [degC]", air->frost_high_c, air->frost_low_c, 20.0},
        {"share lost to defrosting", air->defrost_share, 0.0, 0.5},
        {"furnace efficiency", given->furnace_efficiency, 0.5, 1.0},
        {"electricity of the furnace", given->furnace_electric, 0.0, 0.2},
    };
    for (size_t i = 0; i < sizeof bound / sizeof *bound; i++) {
        if (!(bound[i].value >= bound[i].least && bound[i].value <= bound[i].most)) {
            return cb_fail(error, CB_BAD_INPUT, "%s is %.6g; expected %.6g to %.6g", bound[i].what,
                           bound[i].value, bound[i].least, bound[i].most);
        }
    }
    return CB_OK;
}

static void add_hour(cb_alternatives *sum, const cb_air_source *air, double outdoor_c,
                     double heating_w, double cooling_w)
{
    const output warm = carried(heating_at(air, outdoor_c), heating_w);
    const output cold = carried(cooling_at(air, outdoor_c), cooling_w);
    sum->heating_j += hour_s * heating_w;
    sum->cooling_j += hour_s * cooling_w;
    sum->air_source.heating_electricity_j += hour_s * warm.power_w;
    sum->air_source.backup_electricity_j += hour_s * (heating_w - warm.capacity_w);
    sum->air_source.cooling_electricity_j += hour_s * cold.power_w;
    sum->air_source.uncooled_j += hour_s * (cooling_w - cold.capacity_w);
}

cb_status cb_house_alternatives(cb_alternatives *out, const cb_house *house,
                                const double *outdoor_c, const cb_alternatives_given *given,
                                cb_error *error)
{
    if (!out || !house || !outdoor_c || !given) {
        return cb_fail(error, CB_BAD_CALL,
                       "cb_house_alternatives needs a place, loads, outdoor air and machines");
    }
    *out = (cb_alternatives){0};
    const cb_status status = check_given(given, error);
    if (status != CB_OK) {
        return status;
    }
    for (long hour = 0; hour < house->hours; hour++) {
        add_hour(out, &given->air, outdoor_c[hour], house->heating_w[hour], house->cooling_w[hour]);
    }
    out->resistance = (cb_alternative){
        .backup_electricity_j = out->heating_j,
        .cooling_electricity_j = out->air_source.cooling_electricity_j,
        .uncooled_j = out->air_source.uncooled_j,
    };
    out->furnace = (cb_alternative){
        .heating_electricity_j = out->heating_j * given->furnace_electric,
        .cooling_electricity_j = out->air_source.cooling_electricity_j,
        .fuel_j = out->heating_j / given->furnace_efficiency,
        .uncooled_j = out->air_source.uncooled_j,
    };
    return CB_OK;
}
