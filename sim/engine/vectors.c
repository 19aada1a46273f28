// SPDX-License-Identifier: MIT
#include "engine/vectors.h"

#include "base/wide.h"

#include <math.h>
#include <string.h>

static double *values(N_Vector vector)
{
    return N_VGetArrayPointer(vector);
}

CBX_WIDE static void add(double *z, const double *x, const double *y, sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = x[i] + y[i];
    }
}

CBX_WIDE static void subtract(double *z, const double *x, const double *y, sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = x[i] - y[i];
    }
}

CBX_WIDE static void add_times(double *z, double b, const double *y, const double *x,
                               sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = b * y[i] + x[i];
    }
}

CBX_WIDE static void combine(double *z, double a, const double *x, double b, const double *y,
                             sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = a * x[i] + b * y[i];
    }
}

static void linear_sum(realtype a, N_Vector x, realtype b, N_Vector y, N_Vector z)
{
    const sunindextype n = N_VGetLength(x);
    if (a == 1.0 && b == 1.0) {
        add(values(z), values(x), values(y), n);
    } else if (a == 1.0 && b == -1.0) {
        subtract(values(z), values(x), values(y), n);
    } else if (a == -1.0 && b == 1.0) {
        subtract(values(z), values(y), values(x), n);
    } else if (a == 1.0) {
        add_times(values(z), b, values(y), values(x), n);
    } else if (b == 1.0) {
        add_times(values(z), a, values(x), values(y), n);
    } else {
        combine(values(z), a, values(x), b, values(y), n);
    }
}

CBX_WIDE static void times(double *z, double c, const double *x, sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = c * x[i];
    }
}

static void scale(realtype c, N_Vector x, N_Vector z)
{
    const sunindextype n = N_VGetLength(x);
    if (c != 1.0) {
        times(values(z), c, values(x), n);
    } else if (z != x) {
        memcpy(values(z), values(x), (size_t)n * sizeof(double));
    }
}

CBX_WIDE static void set(double *z, double c, sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = c;
    }
}

static void constant(realtype c, N_Vector z)
{
    set(values(z), c, N_VGetLength(z));
}

// Four chains of additions in a fixed order.
CBX_WIDE static double weighted_square(const double *a, const double *w, sunindextype n)
{
    double sum[4] = {0.0};
    sunindextype i = 0;
    for (; i + 3 < n; i += 4) {
        for (int k = 0; k < 4; k++) {
            const double part = a[i + k] * w[i + k];
            sum[k] += part * part;
        }
    }
    for (; i < n; i++) {
        sum[0] += a[i] * w[i] * a[i] * w[i];
    }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

static realtype weighted_norm(N_Vector x, N_Vector weight)
{
    const sunindextype n = N_VGetLength(x);
    return sqrt(weighted_square(values(x), values(weight), n) / (double)n);
}

CBX_WIDE static void weigh(double *weight, const double *y, double relative, const double *absolute,
                           sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        weight[i] = 1.0 / (relative * fabs(y[i]) + absolute[i]);
    }
}

void cbx_vectors_weigh(N_Vector y, double relative, N_Vector absolute, N_Vector weight)
{
    weigh(values(weight), values(y), relative, values(absolute), N_VGetLength(y));
}

void cbx_vectors_use(N_Vector vector)
{
    N_Vector_Ops ops = vector->ops;
    ops->nvlinearsum = linear_sum;
    ops->nvscale = scale;
    ops->nvconst = constant;
    ops->nvwrmsnorm = weighted_norm;
}
