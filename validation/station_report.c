// SPDX-License-Identifier: MIT
#include "station_report.h"

#include "findings/json_writer.h"
#include "station_text.h"

#include <math.h>
#include <stdlib.h>

static const double summary_depth_m[] = {0.5, 1.0};
enum { SUMMARY_DEPTHS = 2, DATE_SIZE = 32 };

static const char *date_text(long day, char text[DATE_SIZE])
{
    int year, month, day_of_month, day_of_year;
    station_calendar(day, &year, &month, &day_of_month, &day_of_year);
    snprintf(text, DATE_SIZE, "%04d-%02d-%02d", year, month, day_of_month);
    return text;
}

static const char *mode_of(const station_verdict *verdict)
{
    return verdict->driven ? "driven" : "weather";
}

// ---- text ------------------------------------------------------------------------------------

static void print_weather(const station_verdict *v, FILE *out)
{
    fprintf(out, "  %.1f %c%s, %.0f m; air %.1f degC, solar %.1f MJ/m2 a day by %s; ",
            fabs(v->site.latitude_deg), v->site.latitude_deg < 0 ? 'S' : 'N',
            v->latitude_estimated ? " (estimated)" : "", v->site.elevation_m, v->climate.mean_air_c,
            v->climate.solar_mj_m2_day, v->solar_from);
    if (isfinite(v->climate.precipitation_mm)) {
        fprintf(out, "%.0f mm of rain, ", v->climate.precipitation_mm);
    } else {
        fputs("rain unknown, ", out);
    }
    fprintf(out, "%.0f mm reference evaporation a year\n", v->climate.reference_evaporation_mm);
}

static void print_ground(const station_verdict *v, FILE *out)
{
    fputs("  ", out);
    for (int n = 0; n < v->ground.layers; n++) {
        const cb_soil *soil = &v->ground.soil[n];
        fprintf(out, "%s, %.0f %% water", soil->material, 100.0 * soil->water_fraction);
        if (!v->driven) {
            fprintf(out, " (dry %.0f %%)", 100.0 * soil->dry_water_fraction);
        }
        if (n < v->ground.layers - 1) {
            fprintf(out, " to %.2f m, then ", v->ground.bottom_m[n]);
        }
    }
    if (!v->driven) {
        fprintf(out, ", under %s", v->ground.surface.cover);
    }
    if (v->cycles > 0) {
        fprintf(out, "; settled in %d cycles", v->cycles);
    }
    fputc('\n', out);
}

void station_print_text(const station_verdict *v, FILE *out)
{
    fprintf(out, "%s (%s)\n  %s, %d days, %d filled\n", v->one->name, v->one->file, mode_of(v),
            v->one->days, v->days_filled);
    if (!v->driven) {
        print_weather(v, out);
    }
    print_ground(v, out);
    fprintf(out, "  %8s %6s %8s %8s  %-20s %-20s\n", "depth m", "days", "RMSE K", "bias K",
            "lowest measured", "lowest modelled");
    for (int d = 0; d < v->depths; d++) {
        const station_depth *depth = &v->depth[d];
        char measured[DATE_SIZE], modelled[DATE_SIZE];
        if (depth->days > 0) {
            fprintf(out, "  %8.2f %6d %8.2f %+8.2f  %6.1f  %-12s %6.1f  %-12s\n", depth->depth_m,
                    depth->days, depth->rmse_k, depth->bias_k, depth->low_measured_c,
                    date_text(depth->low_measured_day, measured), depth->low_modelled_c,
                    date_text(depth->low_modelled_day, modelled));
        }
    }
    fputc('\n', out);
}

// ---- summary ---------------------------------------------------------------------------------

typedef struct medians {
    int stations;
    double rmse_k, bias_k;
} medians;

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *value, int count)
{
    qsort(value, (size_t)count, sizeof *value, by_size);
    return count > 0 ? 0.5 * (value[(count - 1) / 2] + value[count / 2]) : NAN;
}

static medians medians_at(const station_verdict *verdicts, int count, double depth_m)
{
    medians out = {0, NAN, NAN};
    double *rmse = calloc(2 * (size_t)count + 1, sizeof *rmse);
    if (!rmse) {
        return out;
    }
    double *bias = rmse + count;
    for (int n = 0; n < count; n++) {
        const station_verdict *v = &verdicts[n];
        for (int d = 0; d < v->depths && !v->driven; d++) {
            if (fabs(v->depth[d].depth_m - depth_m) < 0.011 && v->depth[d].days > 0) {
                rmse[out.stations] = v->depth[d].rmse_k;
                bias[out.stations++] = v->depth[d].bias_k;
                break;
            }
        }
    }
    out.rmse_k = median(rmse, out.stations);
    out.bias_k = median(bias, out.stations);
    free(rmse);
    return out;
}

void station_print_summary(const station_verdict *verdicts, int count, FILE *out)
{
    for (int n = 0; n < SUMMARY_DEPTHS; n++) {
        const medians m = medians_at(verdicts, count, summary_depth_m[n]);
        if (m.stations > 0) {
            fprintf(out,
                    "At %.1f m, %d station%s by weather: median RMSE %.2f K, median bias %+.2f K\n",
                    summary_depth_m[n], m.stations, m.stations == 1 ? "" : "s", m.rmse_k, m.bias_k);
        }
    }
}

// ---- JSON ------------------------------------------------------------------------------------

static void depth_json(cbx_json *json, const station_depth *depth)
{
    char text[DATE_SIZE];
    cbx_json_open(json, NULL, '{');
    cbx_json_number(json, "depth_m", depth->depth_m);
    cbx_json_number(json, "rmse_K", depth->rmse_k);
    cbx_json_number(json, "bias_K", depth->bias_k);
    cbx_json_number(json, "days", depth->days);
    cbx_json_number(json, "minimum_measured_C", depth->low_measured_c);
    cbx_json_text(json, "minimum_measured_date", date_text(depth->low_measured_day, text));
    cbx_json_number(json, "minimum_modelled_C", depth->low_modelled_c);
    cbx_json_text(json, "minimum_modelled_date", date_text(depth->low_modelled_day, text));
    cbx_json_close(json, '}');
}

static void station_json(cbx_json *json, const station_verdict *v)
{
    cbx_json_open(json, NULL, '{');
    cbx_json_text(json, "file", v->one->file);
    cbx_json_text(json, "name", v->one->name);
    cbx_json_text(json, "mode", mode_of(v));
    cbx_json_number(json, "days", v->one->days);
    cbx_json_number(json, "days_filled", v->days_filled);
    if (!v->driven) {
        cbx_json_number(json, "latitude_deg", v->site.latitude_deg);
        cbx_json_flag(json, "latitude_estimated", v->latitude_estimated);
        cbx_json_number(json, "elevation_m", v->site.elevation_m);
        cbx_json_text(json, "solar_by", v->solar_from);
        cbx_json_number(json, "mean_air_C", v->climate.mean_air_c);
        cbx_json_number(json, "precipitation_mm_a_year", v->climate.precipitation_mm);
        cbx_json_number(json, "reference_evaporation_mm_a_year",
                        v->climate.reference_evaporation_mm);
        cbx_json_text(json, "cover", v->ground.surface.cover);
    }
    cbx_json_text(json, "material", v->ground.soil[0].material);
    cbx_json_number(json, "water_fraction", v->ground.soil[0].water_fraction);
    cbx_json_open(json, "depths", '[');
    for (int d = 0; d < v->depths; d++) {
        if (v->depth[d].days > 0) {
            depth_json(json, &v->depth[d]);
        }
    }
    cbx_json_close(json, ']');
    cbx_json_close(json, '}');
}

void station_print_json(const station_verdict *verdicts, int count, FILE *out)
{
    cbx_json json = {.stream = out};
    cbx_json_open(&json, NULL, '{');
    cbx_json_open(&json, "stations", '[');
    for (int n = 0; n < count; n++) {
        station_json(&json, &verdicts[n]);
    }
    cbx_json_close(&json, ']');
    cbx_json_open(&json, "summary", '[');
    for (int n = 0; n < SUMMARY_DEPTHS; n++) {
        const medians m = medians_at(verdicts, count, summary_depth_m[n]);
        cbx_json_open(&json, NULL, '{');
        cbx_json_number(&json, "depth_m", summary_depth_m[n]);
        cbx_json_number(&json, "stations", m.stations);
        cbx_json_number(&json, "median_rmse_K", m.rmse_k);
        cbx_json_number(&json, "median_bias_K", m.bias_k);
        cbx_json_close(&json, '}');
    }
    cbx_json_close(&json, ']');
    cbx_json_close(&json, '}');
    fputc('\n', out);
}

// ---- series ----------------------------------------------------------------------------------

void station_print_series(const station_verdict *verdicts, int count, FILE *out)
{
    fputs("station,date,depth_m,measured_C,modelled_C\n", out);
    for (int n = 0; n < count; n++) {
        const station_verdict *v = &verdicts[n];
        for (int d = 0; d < v->depths; d++) {
            for (int day = 0; day < v->one->days; day++) {
                char date[DATE_SIZE];
                fprintf(out, "\"%s\",%s,%g,", v->one->name,
                        date_text(v->one->first_day + day, date), v->depth[d].depth_m);
                if (isfinite(v->depth[d].measured_c[day])) {
                    fprintf(out, "%.2f", v->depth[d].measured_c[day]);
                }
                fprintf(out, ",%.3f\n", v->depth[d].modelled_c[day]);
            }
        }
    }
}
