// SPDX-License-Identifier: MIT
#include "loop/hydraulics.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const double purge_velocity_m_s = 2.0 * 0.3048;

// Below this Churchill's formula is 64/Re to the last bit, and its powers would overflow at rest.
static const double surely_laminar = 100.0;
// Dean number up to which White saw no resistance of the bend.
static const double white_start = 11.6;
// The blend between laminar and turbulent flow in a coil reaches so far to both sides in Re. The
// two laws lie within a tenth of each other there, so its width hardly matters.
static const double blend_reach = 1.25;

// d(f Re^2)/dRe from f and d(ln f)/d(ln Re).
static cbx_value number_of(double reynolds, double factor, double log_slope)
{
    return (cbx_value){factor * reynolds * reynolds, factor * reynolds * (2.0 + log_slope)};
}

// f = 8 [(8/Re)^12 + (A + B)^(-3/2)]^(1/12), A = (-2.457 ln h)^16, h = (7/Re)^0.9 + 0.27 e/d,
// B = (37530/Re)^16. Slopes are over ln Re; that of A is written so that ln h = 0 does no harm.
static cbx_value churchill(double reynolds, double roughness)
{
    if (reynolds < surely_laminar) {
        return (cbx_value){64.0 * reynolds, 64.0};
    }
    const double smooth = pow(7.0 / reynolds, 0.9);
    const double h = smooth + 0.27 * roughness;
    const double root = -2.457 * log(h);
    const double a = pow(root, 16.0), a_slope = 16.0 * pow(root, 15.0) * 2.457 * 0.9 * smooth / h;
    const double b = pow(37530.0 / reynolds, 16.0), b_slope = -16.0 * b;
    const double laminar = pow(8.0 / reynolds, 12.0), turbulent = pow(a + b, -1.5);
    const double sum = laminar + turbulent;
    const double sum_slope = -12.0 * laminar - 1.5 * turbulent * (a_slope + b_slope) / (a + b);
    return number_of(reynolds, 8.0 * pow(sum, 1.0 / 12.0), sum_slope / (12.0 * sum));
}

static cbx_value white(double reynolds, double curvature)
{
    const double dean = reynolds * sqrt(curvature);
    if (dean <= white_start) {
        return (cbx_value){64.0 * reynolds, 64.0};
    }
    const double power = pow(white_start / dean, 0.45);
    const double rest = 1.0 - pow(1.0 - power, 1.0 / 0.45);
    const double rest_slope = -power * pow(1.0 - power, 1.0 / 0.45 - 1.0); // over ln Re
    return number_of(reynolds, 64.0 / (reynolds * rest), -1.0 - rest_slope / rest);
}

static cbx_value mishra_gupta(double reynolds, double roughness, double curvature)
{
    const cbx_value straight = churchill(reynolds, roughness);
    const double extra = 0.03 * sqrt(curvature);
    return (cbx_value){straight.value + extra * reynolds * reynolds,
                       straight.slope + 2.0 * extra * reynolds};
}

static cbx_value coiled(double reynolds, double roughness, double curvature)
{
    const double reach = log(blend_reach);
    const double along = log(reynolds / cb_coil_transition(curvature)) / reach;
    if (!(along > -1.0)) {
        return white(reynolds, curvature);
    }
    const cbx_value turbulent = mishra_gupta(reynolds, roughness, curvature);
    if (along >= 1.0) {
        return turbulent;
    }
    const cbx_value laminar = white(reynolds, curvature);
    const double s = 0.5 * (1.0 + along);
    const double share = s * s * (3.0 - 2.0 * s);
    const double share_slope = 6.0 * s * (1.0 - s) * 0.5 / (reach * reynolds);
    return (cbx_value){laminar.value + share * (turbulent.value - laminar.value),
                       laminar.slope + share * (turbulent.slope - laminar.slope) +
                           share_slope * (turbulent.value - laminar.value)};
}

cbx_value cbx_friction_number(double reynolds, double roughness, double curvature)
{
    return curvature > 0.0 ? coiled(reynolds, roughness, curvature)
                           : churchill(reynolds, roughness);
}

double cb_friction_factor(double reynolds, double relative_roughness)
{
    return churchill(reynolds, relative_roughness).value / (reynolds * reynolds);
}

double cb_coil_friction_factor(double reynolds, double relative_roughness, double curvature)
{
    return cbx_friction_number(reynolds, relative_roughness, curvature).value /
           (reynolds * reynolds);
}

double cb_coil_transition(double curvature)
{
    return 2300.0 * (1.0 + 8.6 * pow(curvature, 0.45));
}

double cb_purge_flow_m3_s(double inside_diameter_m)
{
    return purge_velocity_m_s * pi / 4.0 * inside_diameter_m * inside_diameter_m;
}

// With v = Re mu / (rho d): f L/d rho v^2/2 = f Re^2 L mu^2 / (2 rho d^3).
cbx_value cbx_line_drop(const cbx_line *line, const cb_fluid_properties *fluid, double flow_m3_s)
{
    const double size = fabs(flow_m3_s), d = line->inside_m;
    const double area = pi / 4.0 * d * d;
    const double reynolds_per_flow = cb_reynolds(fluid, 1.0, d);
    const double reynolds = reynolds_per_flow * size;
    const double scale =
        fluid->viscosity_pa_s * fluid->viscosity_pa_s / (2.0 * fluid->density_kg_m3 * d * d * d);
    cbx_value drop = {0.0, 0.0};
    const double length[] = {line->straight_m, line->coiled_m};
    const double curvature[] = {0.0, line->curvature};
    for (int n = 0; n < 2; n++) {
        if (length[n] > 0.0) {
            const cbx_value number = cbx_friction_number(reynolds, line->roughness, curvature[n]);
            drop.value += length[n] * scale * number.value;
            drop.slope += length[n] * scale * number.slope * reynolds_per_flow;
        }
    }
    const double fittings = 0.5 * line->fittings_k * fluid->density_kg_m3 / (area * area);
    drop.value += fittings * size * size;
    drop.slope += 2.0 * fittings * size;
    drop.value = flow_m3_s < 0.0 ? -drop.value : drop.value;
    return drop;
}
