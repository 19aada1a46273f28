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

// z_j = a_j x + y_j for all j in one pass over x; two at a time.
CBX_WIDE static void add_multiples(double a, double b, const double *x, const double *y0,
                                   const double *y1, double *z0, double *z1, sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        const double value = x[i];
        z0[i] = a * value + y0[i];
        z1[i] = b * value + y1[i];
    }
}

static int scale_add_multi(int count, realtype *a, N_Vector x, N_Vector *y, N_Vector *z)
{
    const sunindextype n = N_VGetLength(x);
    int j = 0;
    for (; j + 1 < count; j += 2) {
        add_multiples(a[j], a[j + 1], values(x), values(y[j]), values(y[j + 1]), values(z[j]),
                      values(z[j + 1]), n);
    }
    if (j < count) {
        linear_sum(a[j], x, 1.0, y[j], z[j]);
    }
    return 0;
}

CBX_WIDE static void combine_three(const double *c, const double *x0, const double *x1,
                                   const double *x2, double *z, sunindextype n)
{
    for (sunindextype i = 0; i < n; i++) {
        z[i] = (c[0] * x0[i] + c[1] * x1[i]) + c[2] * x2[i];
    }
}

// z = sum of c_j x_j. Orders 1 and 2 ask for two or three.
static int linear_combination(int count, realtype *c, N_Vector *x, N_Vector z)
{
    if (count == 3) {
        combine_three(c, values(x[0]), values(x[1]), values(x[2]), values(z), N_VGetLength(z));
        return 0;
    }
    scale(c[0], x[0], z);
    for (int j = 1; j < count; j++) {
        linear_sum(c[j], x[j], 1.0, z, z);
    }
    return 0;
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
    ops->nvscaleaddmulti = scale_add_multi;
    ops->nvlinearcombination = linear_combination;
}
