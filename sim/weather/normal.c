// SPDX-License-Identifier: MIT
#include "weather/random.h"

#include <math.h>

enum { TERMS = 8 };

// Quotient of two polynomials, coefficients from the constant term up.
static double ratio(const double above[TERMS], const double below[TERMS], double x)
{
    double a = above[TERMS - 1], b = below[TERMS - 1];
    for (int i = TERMS - 2; i >= 0; i--) {
        a = a * x + above[i];
        b = b * x + below[i];
    }
    return a / b;
}

static double middle(double q)
{
    static const double a[TERMS] = {3.3871328727963666080e0, 1.3314166789178437745e2,
                                    1.9715909503065514427e3, 1.3731693765509461125e4,
                                    4.5921953931549871457e4, 6.7265770927008700853e4,
                                    3.3430575583588128105e4, 2.5090809287301226727e3};
    static const double b[TERMS] = {1.0,
                                    4.2313330701600911252e1,
                                    6.8718700749205790830e2,
                                    5.3941960214247511077e3,
                                    2.1213794301586595867e4,
                                    3.9307895800092710610e4,
                                    2.8729085735721942674e4,
                                    5.2264952788528545610e3};
    return q * ratio(a, b, 0.180625 - q * q);
}

static double near_tail(double r)
{
    static const double c[TERMS] = {1.42343711074968357734e0,  4.63033784615654529590e0,
                                    5.76949722146069140550e0,  3.64784832476320460504e0,
                                    1.27045825245236838258e0,  2.41780725177450611770e-1,
                                    2.27238449892691845833e-2, 7.74545014278341407640e-4};
    static const double d[TERMS] = {1.0,
                                    2.05319162663775882187e0,
                                    1.67638483018380384940e0,
                                    6.89767334985100004550e-1,
                                    1.48103976427480074590e-1,
                                    1.51986665636164571966e-2,
                                    5.47593808499534494600e-4,
                                    1.05075007164441684324e-9};
    return ratio(c, d, r - 1.6);
}

static double far_tail(double r)
{
    static const double e[TERMS] = {6.65790464350110377720e0,  5.46378491116411436990e0,
                                    1.78482653991729133580e0,  2.96560571828504891230e-1,
                                    2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                    2.71155556874348757815e-5, 2.01033439929228813265e-7};
    static const double f[TERMS] = {1.0,
                                    5.99832206555887937690e-1,
                                    1.36929880922735805310e-1,
                                    1.48753612908506148525e-2,
                                    7.86869131145613259100e-4,
                                    1.84631831751005468180e-5,
                                    1.42151175831644588870e-7,
                                    2.04426310338993978564e-15};
    return ratio(e, f, r - 5.0);
}

double cbx_inverse_normal(double p)
{
    const double q = p - 0.5;
    if (fabs(q) <= 0.425) {
        return middle(q);
    }
    const double r = sqrt(-log(q < 0 ? p : 1.0 - p));
    const double z = r <= 5.0 ? near_tail(r) : far_tail(r);
    return q < 0 ? -z : z;
}
