// SPDX-License-Identifier: MIT
#include "coilbed/yard.h"

#include "ground/column.h"
#include "ground/surface.h"
#include "ground/water.h"

#include <math.h>
#include <stdlib.h>

static const double hour_s = 3600.0;
static const double vaporisation_j_kg = 2.45e6; // FAO-56
static const double sublimation_j_kg = 2.84e6;
static const double given_film_w_m2k = 1e7;
static const double least_snow_kg_m2 = 0.05; // less is left to the soil's top cell

// A canopy is green when the air of the last ten days or so is warm: none below the first, all
// above the second (common practice for temperate grass, no source).
static const double dormant_c = 3.0, growing_c = 13.0, warmth_memory_h = 240.0;

struct cb_yard {
    cb_yard_plan plan;
    const cb_cover *cover;
    cb_surface surface; // without NaN
    cbx_column *column;
    cbx_snow snow;
    cbx_water water;
    double warmth_c;    // running mean of the air
    double top_c;       // what the sun saw last
    double into_w_m2;   // heat it let in then
    double takes_w_m2k; // how much more for a kelvin, as the last hour that was solved twice showed
    double *kept;       // [nz] enthalpies at the hour's start
};

static void fill(double *value, double by_default)
{
    if (isnan(*value)) {
        *value = by_default;
    }
}

static cb_surface resolved(const cb_surface *given, const cb_cover *cover)
{
    cb_surface surface = *given;
    fill(&surface.albedo, cover->albedo);
    fill(&surface.emissivity, cover->emissivity);
    fill(&surface.shade, 0.0);
    fill(&surface.snow_kept, 1.0);
    fill(&surface.evaporation_share, 1.0);
    return surface;
}

static double start_c(const cb_yard_plan *plan)
{
    double sum = 0.0;
    for (long hour = 0; hour < CB_YEAR_HOURS; hour++) {
        sum += plan->surface_c ? plan->surface_c(plan->context, hour)
                               : plan->weather(plan->context, hour).air_temperature_c;
    }
    return sum / CB_YEAR_HOURS;
}

static void set_soil(cb_yard *yard, int k, double temperature_c)
{
    const cb_section *section = yard->plan.column;
    cbx_column_enthalpy_j_m3(yard->column)[k] =
        cb_soil_enthalpy_j_m3(section->curves[section->soil[k]], temperature_c);
}

static double conductivity_at(const cb_section *section, int k)
{
    return cb_soil_at(section->curves[section->soil[k]], 0.0).conductivity_w_mk;
}

// What the geothermal flux adds from the middle of cell k - 1 to that of cell k.
static double geothermal_step_k(const cb_section *section, int k)
{
    return section->geothermal_flux_w_m2 * 0.5 *
           (section->dz_m[k - 1] / conductivity_at(section, k - 1) +
            section->dz_m[k] / conductivity_at(section, k));
}

static void start_steady(cb_yard *yard, double mean_c)
{
    for (int k = 0; k < yard->plan.column->nz; k++) {
        mean_c += k > 0 ? geothermal_step_k(yard->plan.column, k) : 0.0;
        set_soil(yard, k, mean_c);
    }
    yard->warmth_c = yard->top_c = mean_c;
    yard->water = cbx_water_unknown(yard->cover);
}

cb_status cb_yard_create(cb_yard **out, const cb_yard_plan *plan, cb_error *error)
{
    *out = NULL;
    const char *name = plan->surface->cover ? plan->surface->cover : "short_grass";
    const cb_cover *cover = cb_cover_find(name);
    if (!cover) {
        return cb_fail(error, CB_BAD_INPUT, "unknown cover \"%s\"", name);
    }
    cb_yard *yard = calloc(1, sizeof *yard);
    if (!yard) {
        return cb_fail(error, CB_NO_MEMORY, "no memory for the yard");
    }
    yard->plan = *plan;
    yard->cover = cover;
    yard->surface = resolved(plan->surface, cover);
    yard->kept = calloc((size_t)plan->column->nz, sizeof *yard->kept);
    cb_status status = yard->kept ? cbx_column_make(&yard->column, plan->column, error)
                                  : cb_fail(error, CB_NO_MEMORY, "no memory for the yard");
    if (status != CB_OK) {
        cb_yard_destroy(yard);
        return status;
    }
    start_steady(yard, start_c(plan));
    *out = yard;
    return CB_OK;
}

cb_yard *cb_yard_destroy(cb_yard *yard)
{
    if (yard) {
        cbx_column_unmake(yard->column);
        free(yard->kept);
        free(yard);
    }
    return NULL;
}

void cb_yard_start(cb_yard *yard, const double *temperature_c)
{
    for (int k = 0; k < yard->plan.column->nz; k++) {
        set_soil(yard, k, temperature_c[k]);
    }
    yard->snow = (cbx_snow){0};
    yard->water = cbx_water_unknown(yard->cover);
    yard->top_c = yard->warmth_c = temperature_c[0];
}

const double *cb_yard_temperature_c(const cb_yard *yard)
{
    return cbx_column_temperature_c(yard->column);
}

const double *cb_yard_enthalpy_j_m3(const cb_yard *yard)
{
    return cbx_column_enthalpy_j_m3(yard->column);
}

void cb_yard_change_weather(cb_yard *yard, cb_yard_weather *weather)
{
    yard->plan.weather = weather;
}

// ---- one hour --------------------------------------------------------------------------------

// Rain [kg/m2] that reaches the ground; snow is laid.
static double take_precipitation(cb_yard *yard, const cb_weather_hour *hour)
{
    const double kept = yard->surface.snow_kept, air_c = hour->air_temperature_c;
    const double fall = isfinite(hour->precipitation_kg_m2) ? hour->precipitation_kg_m2 : 0.0;
    double snow = kept * cbx_snow_share(air_c) * fall;
    double rain = (1.0 - cbx_snow_share(air_c)) * fall;
    if (isfinite(hour->snow_depth_m)) { // what was measured stands
        const double measured_m = kept * hour->snow_depth_m;
        const double change_m = measured_m - cbx_snow_depth_m(&yard->snow);
        snow = fmax(0.0, change_m) * cb_fresh_snow_density_kg_m3(air_c);
        if (change_m < 0.0 && yard->snow.mass_kg_m2 > 0.0) {
            cbx_snow_take(&yard->snow, -change_m * yard->snow.density_kg_m3);
        }
    }
    cbx_snow_fall(&yard->snow, snow, air_c);
    if (yard->snow.waiting_kg_m2 > 0.0 && cbx_snow_share(air_c) <= 0.0) {
        rain += yard->snow.waiting_kg_m2; // flakes that never lay
        yard->snow.waiting_kg_m2 = 0.0;
    }
    return rain;
}

// The last of the snow: what it lacks of heat the soil's top cell gives.
static void end_thin_snow(cb_yard *yard)
{
    if (yard->snow.mass_kg_m2 <= 0.0 || yard->snow.mass_kg_m2 >= least_snow_kg_m2) {
        return;
    }
    double heat_j_m2 = -yard->snow.mass_kg_m2 * 334e3;
    for (int n = 0; n < CBX_SNOW_CELLS; n++) {
        heat_j_m2 += yard->snow.heat_j_m2[n];
    }
    cbx_column_enthalpy_j_m3(yard->column)[0] += heat_j_m2 / yard->plan.column->dz_m[0];
    yard->snow = (cbx_snow){.waiting_kg_m2 = yard->snow.waiting_kg_m2};
}

static double growth(const cb_yard *yard)
{
    return fmin(1.0, fmax(0.0, (yard->warmth_c - dormant_c) / (growing_c - dormant_c)));
}

static cbx_surface surface_now(const cb_yard *yard)
{
    const cb_cover *cover = yard->cover;
    const cb_surface *own = &yard->surface;
    const double green = cover->green_share * growth(yard);
    cbx_surface surface = {
        .albedo = own->albedo,
        .emissivity = own->emissivity,
        .shade = own->shade,
        .height_m = cover->height_m,
        .leaf_share = own->evaporation_share * green * cbx_leaf_stress(&yard->water, cover),
        .leaf_resistance_s_m = cover->leaf_resistance_s_m,
        .soil_share = own->evaporation_share * (1.0 - green) * cbx_top_wetness(&yard->water, cover),
        .soil_resistance_s_m = cover->soil_resistance_s_m,
        .latent_j_kg = vaporisation_j_kg,
    };
    if (yard->snow.mass_kg_m2 > 0.0) {
        // Grass and clods show through the first 5 cm.
        const double hidden = fmin(1.0, cbx_snow_depth_m(&yard->snow) / 0.05);
        surface.albedo += hidden * (yard->snow.albedo - surface.albedo);
        surface.emissivity += hidden * (0.98 - surface.emissivity);
        surface.height_m += hidden * (fmin(0.01, cover->height_m) - surface.height_m);
        surface.latent_j_kg = sublimation_j_kg;
        surface.snow = true;
    }
    return surface;
}

// Resistance from the soil surface up to the surface of the snow, or to the middle of the lowest
// melting cell, whose temperature does not move.
static double snow_m2k_w(const cb_yard *yard, bool *melting)
{
    const cbx_snow *snow = &yard->snow;
    const double each =
        cbx_snow_depth_m(snow) / CBX_SNOW_CELLS / cb_snow_conductivity_w_mk(snow->density_kg_m3);
    *melting = true;
    for (int n = CBX_SNOW_CELLS - 1; n >= 0; n--) {
        if (snow->heat_j_m2[n] > 0.0) {
            return each * (CBX_SNOW_CELLS - 0.5 - n);
        }
    }
    *melting = false;
    return each * CBX_SNOW_CELLS;
}

// Without snow the exchange is the surface's own through the cover. Under snow the field sees the
// heat this column took, and a column of another temperature as much more or less as snow and film
// in steady state let through: exact for the slow disturbance a coil makes.
static cb_surface_exchange soil_exchange(const cb_yard *yard, const cb_surface_exchange *top,
                                         const cbx_step *step)
{
    const double cover = yard->plan.surface_c ? 0.0 : yard->cover->insulation_m2k_w;
    if (yard->snow.mass_kg_m2 <= 0.0) {
        const double through = 1.0 / (1.0 + top->h_w_m2k * cover);
        return (cb_surface_exchange){top->intake_w_m2 * through, top->h_w_m2k * through};
    }
    bool melting;
    const double resistance = cover + snow_m2k_w(yard, &melting);
    const double h = 1.0 / (resistance + (melting ? 0.0 : 1.0 / top->h_w_m2k));
    return (cb_surface_exchange){step->soil_w_m2 + h * step->soil_surface_c, h};
}

typedef struct hour_work {
    cb_weather_hour weather;
    cbx_surface surface;
    cbx_balance balance; // at `about_c`
    double about_c;
    cb_surface_exchange top;
    cbx_step step;
} hour_work;

static bool advance(cb_yard *yard, long hour, const cb_surface_exchange *top, cbx_step *step)
{
    const cb_yard_plan *plan = &yard->plan;
    const cbx_drive drive = {
        .duration_s = hour_s,
        .top = *top,
        .cover_m2k_w = plan->surface_c ? 0.0 : yard->cover->insulation_m2k_w,
        .dryness = cbx_dryness(&yard->water, yard->cover),
        .bottom_given = plan->bottom_c != NULL,
        .bottom_c = plan->bottom_c ? plan->bottom_c(plan->context, hour) : 0.0,
    };
    return cbx_column_advance(yard->column, &yard->snow, &drive, step);
}

// Where to draw the first tangent: the surface whose balance agrees with the ground of the hour
// before, of whose heat some is left. Only saves a pass; the hour's own solution decides.
static double likely_top_c(const cb_yard *yard, const hour_work *work)
{
    enum { MOST_STEPS = 4 };
    const double left = 0.9, near_enough_k = 0.1;
    double about_c = yard->top_c;
    for (int n = 0; n < MOST_STEPS; n++) {
        const cbx_balance balance =
            cbx_surface_balance(&work->surface, &work->weather, yard->plan.elevation_m, about_c);
        const cb_surface_exchange top = cbx_tangent(&balance, about_c);
        const double next_c =
            (top.intake_w_m2 - left * yard->into_w_m2 + yard->takes_w_m2k * yard->top_c) /
            (top.h_w_m2k + yard->takes_w_m2k);
        const bool near = fabs(next_c - about_c) < near_enough_k;
        about_c = next_c;
        if (near) {
            break;
        }
    }
    return about_c;
}

// What the passes of an hour tell the next hour's first guess.
static void learn(cb_yard *yard, const hour_work *work, int pass)
{
    const double top_c = work->step.top_c;
    const double into_w_m2 = work->top.intake_w_m2 - work->top.h_w_m2k * top_c;
    if (pass > 0 && fabs(top_c - yard->top_c) > 0.1) {
        const double takes = (into_w_m2 - yard->into_w_m2) / (top_c - yard->top_c);
        yard->takes_w_m2k = fmin(fmax(takes, 0.0), 100.0);
    }
    yard->into_w_m2 = into_w_m2;
    yard->top_c = top_c;
}

// The balance is drawn as its tangent at the temperature the surface turns out to have.
static bool solve_hour(cb_yard *yard, long hour, hour_work *work)
{
    enum { MOST_PASSES = 4 };
    const double near_k = 0.3;
    double *enthalpy = cbx_column_enthalpy_j_m3(yard->column);
    const cbx_snow snow = yard->snow;
    for (int k = 0; k < yard->plan.column->nz; k++) {
        yard->kept[k] = enthalpy[k];
    }
    work->about_c = likely_top_c(yard, work);
    for (int pass = 0; pass < MOST_PASSES; pass++) {
        if (pass > 0) {
            yard->snow = snow;
            for (int k = 0; k < yard->plan.column->nz; k++) {
                enthalpy[k] = yard->kept[k];
            }
        }
        work->balance = cbx_surface_balance(&work->surface, &work->weather, yard->plan.elevation_m,
                                            work->about_c);
        work->top = cbx_tangent(&work->balance, work->about_c);
        if (!advance(yard, hour, &work->top, &work->step)) {
            return false;
        }
        const double off_k = work->step.top_c - work->about_c;
        learn(yard, work, pass);
        if (fabs(off_k) < near_k) {
            break;
        }
        if (pass + 1 < MOST_PASSES) {
            work->about_c += pass < 2 ? off_k : 0.5 * off_k; // stability may make it swing
        }
    }
    return true;
}

static double evaporated_kg_m2(const hour_work *work)
{
    const cbx_balance *b = &work->balance;
    const double latent_w_m2 =
        b->latent_w_m2 + b->latent_slope_w_m2k * (work->step.top_c - work->about_c);
    return latent_w_m2 * hour_s / work->surface.latent_j_kg;
}

static void settle_water(cb_yard *yard, const hour_work *work, double rain_kg_m2, double evaporated)
{
    double gained = rain_kg_m2;
    double leaves = work->balance.leaf_part * evaporated;
    double top = evaporated - leaves;
    if (work->surface.snow) {
        cbx_snow_take(&yard->snow, fmax(0.0, evaporated));
        leaves = top = 0.0;
    }
    double surplus_j_m2;
    const double melted = cbx_snow_drain(&yard->snow, &surplus_j_m2);
    cbx_column_enthalpy_j_m3(yard->column)[0] += surplus_j_m2 / yard->plan.column->dz_m[0];
    gained += melted;
    cbx_snow_age(&yard->snow, melted > 0.0);
    end_thin_snow(yard);
    if (isfinite(work->weather.precipitation_kg_m2)) {
        cbx_water_step(&yard->water, yard->cover, gained, leaves, top);
    } else {
        yard->water = cbx_water_unknown(yard->cover);
    }
}

static cb_status fail_hour(long hour, cb_error *error)
{
    return cb_fail(error, CB_NUMERICS, "the ground of hour %ld could not be solved", hour);
}

static cb_status step_given(cb_yard *yard, long hour, cb_yard_hour *out, cb_error *error)
{
    const double t = yard->plan.surface_c(yard->plan.context, hour);
    const cb_surface_exchange top = cb_film(t, given_film_w_m2k, 0.0);
    cbx_step step;
    if (!advance(yard, hour, &top, &step)) {
        return fail_hour(hour, error);
    }
    *out = (cb_yard_hour){.exchange = top, .surface_c = t};
    return CB_OK;
}

cb_status cb_yard_step(cb_yard *yard, long hour, cb_yard_hour *out, cb_error *error)
{
    if (yard->plan.surface_c) {
        return step_given(yard, hour, out, error);
    }
    hour_work work = {.weather = yard->plan.weather(yard->plan.context, hour)};
    const double air_c = work.weather.air_temperature_c;
    yard->warmth_c += (air_c - yard->warmth_c) / warmth_memory_h;
    const double rain_kg_m2 = take_precipitation(yard, &work.weather);
    end_thin_snow(yard);
    work.surface = surface_now(yard);
    if (!solve_hour(yard, hour, &work)) {
        return fail_hour(hour, error);
    }
    const double evaporated = evaporated_kg_m2(&work);
    out->exchange = soil_exchange(yard, &work.top, &work.step);
    out->surface_c = work.step.soil_surface_c;
    settle_water(yard, &work, rain_kg_m2, evaporated);
    out->snow_depth_m = cbx_snow_depth_m(&yard->snow);
    out->snow_water_kg_m2 = yard->snow.mass_kg_m2;
    out->evaporation_kg_m2 = evaporated;
    out->dryness = cbx_dryness(&yard->water, yard->cover);
    return CB_OK;
}

// ---- settling --------------------------------------------------------------------------------

static const double settled_k = 0.005;
static const double wavering_k =
    0.1;                          // snow that comes an hour later shifts the next cycle a little
static const double skin_m = 0.5; // above it the state is last week's weather
static const double frost_reach_m = 4.0; // below it the ground never freezes and k is constant

// Sums the temperature of every cell over a cycle into mean [nz].
static cb_status step_cycle(cb_yard *yard, long first_hour, long hours, double *mean,
                            cb_error *error)
{
    const int nz = yard->plan.column->nz;
    const int sample_h = 6;
    for (int k = 0; k < nz; k++) {
        mean[k] = 0.0;
    }
    for (long hour = 0; hour < hours; hour++) {
        cb_yard_hour out;
        const cb_status status = cb_yard_step(yard, first_hour + hour, &out, error);
        if (status != CB_OK) {
            return status;
        }
        if (hour % sample_h == 0) {
            const double *t = cb_yard_temperature_c(yard);
            for (int k = 0; k < nz; k++) {
                mean[k] += t[k] * sample_h / (double)hours;
            }
        }
    }
    return CB_OK;
}

static void shift_deep(cb_yard *yard, const double *mean)
{
    const cb_section *section = yard->plan.column;
    const double *now = cb_yard_temperature_c(yard);
    int top = 0;
    while (top < section->nz - 1 && cb_row_depth_m(section, top) < frost_reach_m) {
        top++;
    }
    double wanted_c = mean[top];
    for (int k = top + 1; k < section->nz; k++) {
        wanted_c += geothermal_step_k(section, k);
        set_soil(yard, k, now[k] + wanted_c - mean[k]);
    }
}

static double change_k(cb_yard *yard, const double *before)
{
    const cb_section *section = yard->plan.column;
    const double *now = cb_yard_temperature_c(yard);
    double most = 0.0;
    for (int k = 0; k < section->nz; k++) {
        if (cb_row_depth_m(section, k) >= skin_m) {
            most = fmax(most, fabs(now[k] - before[k]));
        }
    }
    return most;
}

cb_status cb_yard_settle(cb_yard *yard, long first_hour, long cycle_hours, cb_yard_settled *settled,
                         cb_error *error)
{
    enum { MOST_CYCLES = 40, SHIFTED_CYCLES = 8, PATIENCE = 16 };
    const int nz = yard->plan.column->nz;
    double *work = calloc(2 * (size_t)nz, sizeof *work);
    if (!work) {
        return cb_fail(error, CB_NO_MEMORY, "no memory to settle the ground");
    }
    double *mean = work + nz;
    cb_status status = CB_OK;
    *settled = (cb_yard_settled){0, INFINITY};
    while (status == CB_OK &&
           !(settled->residual_k <= (settled->cycles < PATIENCE ? settled_k : wavering_k))) {
        if (settled->cycles == MOST_CYCLES) {
            status = cb_fail(error, CB_NUMERICS,
                             "the undisturbed ground still moved by %.3f K a cycle after %d cycles",
                             settled->residual_k, MOST_CYCLES);
            break;
        }
        if (settled->cycles > 0 && settled->cycles <= SHIFTED_CYCLES && !yard->plan.bottom_c) {
            shift_deep(yard, mean);
        }
        const double *now = cb_yard_temperature_c(yard);
        for (int k = 0; k < nz; k++) {
            work[k] = now[k];
        }
        status = step_cycle(yard, first_hour, cycle_hours, mean, error);
        settled->cycles++;
        settled->residual_k = status == CB_OK ? change_k(yard, work) : INFINITY;
    }
    free(work);
    return status;
}
