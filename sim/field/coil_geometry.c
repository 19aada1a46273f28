// SPDX-License-Identifier: MIT
#include "coilbed/field.h"

#include <math.h>

// Centre line x = a t + R cos t, y = R sin t with a = pitch / 2 pi. Its speed is
//     |dr/dt|^2 = a^2 + R^2 - 2 a R sin t,
// and with psi = (t + pi/2) / 2, sin t = -cos 2 psi:
//     |dr/dt|^2 = (R + a)^2 (1 - m sin^2 psi),   m = 4 a R / (R + a)^2.
// So a length along the curve is 2 (R + a) E(psi | m), and a whole turn 4 (R + a) E(m).

static const double pi = 3.14159265358979323846;

// Complete elliptic integral of the second kind by the arithmetic-geometric mean:
//     E = K (1 - sum 2^(n-1) c_n^2), K = pi / (2 agm)    (Abramowitz & Stegun 17.6).
// At m = 1 the mean is 0 and K infinite, while E = 1.
static double complete_e(double m)
{
    if (m >= 1.0) {
        return 1.0;
    }
    double a = 1.0, b = sqrt(1.0 - m), weight = 0.5, sum = weight * m;
    while (fabs(a - b) > 1e-15 * a) {
        const double c = 0.5 * (a - b);
        const double mean = 0.5 * (a + b);
        b = sqrt(a * b);
        a = mean;
        weight *= 2.0;
        sum += weight * c * c;
    }
    return pi / (2.0 * a) * (1.0 - sum);
}

// Carlson's symmetric integrals by duplication, B. C. Carlson, Numerical Algorithms 10 (1995)
// 13-26. The series after the duplication is cut at fifth order; its first missing term is of
// sixth order in the largest relative difference, so 1e-3 leaves 1e-18.
static const double series_limit = 1e-3;

static double carlson_rf(double x, double y, double z)
{
    for (;;) {
        const double mean = (x + y + z) / 3.0;
        const double dx = 1.0 - x / mean, dy = 1.0 - y / mean, dz = 1.0 - z / mean;
        if (fmax(fabs(dx), fmax(fabs(dy), fabs(dz))) < series_limit) {
            const double e2 = dx * dy - dz * dz, e3 = dx * dy * dz;
            return (1.0 - e2 / 10.0 + e3 / 14.0 + e2 * e2 / 24.0 - 3.0 * e2 * e3 / 44.0) /
                   sqrt(mean);
        }
        const double step = sqrt(x * y) + sqrt(y * z) + sqrt(z * x);
        x = 0.25 * (x + step);
        y = 0.25 * (y + step);
        z = 0.25 * (z + step);
    }
}

static double carlson_rd(double x, double y, double z)
{
    double sum = 0.0, power = 1.0;
    for (;;) {
        const double mean = (x + y + 3.0 * z) / 5.0;
        const double dx = 1.0 - x / mean, dy = 1.0 - y / mean, dz = 1.0 - z / mean;
        if (fmax(fabs(dx), fmax(fabs(dy), fabs(dz))) < series_limit) {
            const double xy = dx * dy, zz = dz * dz;
            const double e2 = xy - 6.0 * zz, e3 = (3.0 * xy - 8.0 * zz) * dz;
            const double e4 = 3.0 * (xy - zz) * zz, e5 = xy * zz * dz;
            const double series = 1.0 - 3.0 * e2 / 14.0 + e3 / 6.0 + 9.0 * e2 * e2 / 88.0 -
                                  3.0 * e4 / 22.0 - 9.0 * e2 * e3 / 52.0 + 3.0 * e5 / 26.0;
            return 3.0 * sum + power * series / (mean * sqrt(mean));
        }
        const double step = sqrt(x * y) + sqrt(y * z) + sqrt(z * x);
        sum += power / (sqrt(z) * (z + step));
        power *= 0.25;
        x = 0.25 * (x + step);
        y = 0.25 * (y + step);
        z = 0.25 * (z + step);
    }
}

/// E(psi | m), psi in 0..pi/2.
static double incomplete_e(double psi, double m)
{
    const double s = sin(psi), s2 = s * s;
    const double c2 = 1.0 - s2, d2 = 1.0 - m * s2;
    if (m >= 1.0 || s2 == 0.0) {
        return s; // E(psi | 1) = sin psi
    }
    return s * carlson_rf(c2, d2, 1.0) - m * s * s2 / 3.0 * carlson_rd(c2, d2, 1.0);
}

static double advance_m(double pitch_m)
{
    return pitch_m / (2.0 * pi);
}

static double parameter(double radius_m, double advance)
{
    const double sum = radius_m + advance;
    return 4.0 * radius_m * advance / (sum * sum);
}

double cb_coil_turn_length_m(double coil_diameter_m, double pitch_m)
{
    const double radius_m = 0.5 * coil_diameter_m, advance = advance_m(pitch_m);
    return 4.0 * (radius_m + advance) * complete_e(parameter(radius_m, advance));
}

double cb_coil_share(double coil_diameter_m, double pitch_m, double y_low_m, double y_high_m)
{
    const double radius_m = 0.5 * coil_diameter_m;
    const double m = parameter(radius_m, advance_m(pitch_m));
    if (!(radius_m > 0.0 && m > 0.0) || isnan(y_low_m) || isnan(y_high_m)) {
        return NAN;
    }
    const double low = fmin(fmax(y_low_m / radius_m, -1.0), 1.0);
    const double high = fmin(fmax(y_high_m / radius_m, -1.0), 1.0);
    if (!(low < high)) {
        return 0.0;
    }
    // The left and the right half of a turn mirror each other, so one half gives the share.
    const double psi_low = 0.5 * (asin(low) + 0.5 * pi), psi_high = 0.5 * (asin(high) + 0.5 * pi);
    return (incomplete_e(psi_high, m) - incomplete_e(psi_low, m)) / complete_e(m);
}
