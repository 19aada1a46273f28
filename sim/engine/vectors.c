// SPDX-License-Identifier: MIT
#include "engine/vectors.h"

#include "base/wide.h"
#include "engine/system.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// Begins as a serial vector's, so that SUNDIALS' other operations serve.
typedef struct content {
    struct _N_VectorContent_Serial serial;
    cbx_vector_parts parts;
} content;

// One operation: arrays from the beginning, whose parts are worked on apart.
typedef struct operation operation;
typedef void part_task(operation *op, int from, int count);
struct operation {
    const cbx_vector_parts *parts;
    part_task *task;
    double a, b, c;
    const double *x, *y, *w;
    double *z, *other_z;
    double sum[CBX_MAX_SLICES];
};

static double *values(N_Vector vector)
{
    return N_VGetArrayPointer(vector);
}

static void do_part(void *context, int part)
{
    operation *op = context;
    const int size = op->parts->part_size, from = part * size;
    op->task(op, from, part + 1 < op->parts->parts ? size : op->parts->length - from);
}

static void run(operation *op, part_task *task, N_Vector like)
{
    op->parts = &((const content *)like->content)->parts;
    op->task = task;
    cbx_crew_run_together(op->parts->crew, do_part, op, op->parts->parts, CBX_TOGETHER);
}

// ---- kernels ---------------------------------------------------------------------------------

CBX_WIDE static void add(double *z, const double *x, const double *y, int n)
{
    for (int i = 0; i < n; i++) {
        z[i] = x[i] + y[i];
    }
}

CBX_WIDE static void combine(double *z, double a, const double *x, double b, const double *y, int n)
{
    for (int i = 0; i < n; i++) {
        z[i] = a * x[i] + b * y[i];
    }
}

CBX_WIDE static void combine_three(double *z, const operation *op, int from, int n)
{
    const double a = op->a, b = op->b, c = op->c;
    const double *x = op->x + from, *y = op->y + from, *w = op->w + from;
    for (int i = 0; i < n; i++) {
        z[i] = (a * x[i] + b * y[i]) + c * w[i];
    }
}

CBX_WIDE static void times(double *z, double c, const double *x, int n)
{
    for (int i = 0; i < n; i++) {
        z[i] = c * x[i];
    }
}

CBX_WIDE static void set(double *z, double c, int n)
{
    for (int i = 0; i < n; i++) {
        z[i] = c;
    }
}

// y += a x and w += b x in one pass over x, into z and other_z.
CBX_WIDE static void add_multiples(const operation *op, int from, int n)
{
    const double a = op->a, b = op->b;
    const double *x = op->x + from, *y = op->y + from, *w = op->w + from;
    double *z = op->z + from, *other_z = op->other_z + from;
    for (int i = 0; i < n; i++) {
        const double value = x[i];
        z[i] = a * value + y[i];
        other_z[i] = b * value + w[i];
    }
}

// Four chains of additions in a fixed order.
CBX_WIDE static double weighted_square(const double *a, const double *w, int n)
{
    double sum[4] = {0.0};
    int i = 0;
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

CBX_WIDE static void weigh(double *weight, const double *y, double relative, const double *absolute,
                           int n)
{
    for (int i = 0; i < n; i++) {
        weight[i] = 1.0 / (relative * fabs(y[i]) + absolute[i]);
    }
}

static void add_part(operation *op, int from, int count)
{
    add(op->z + from, op->x + from, op->y + from, count);
}

static void combine_part(operation *op, int from, int count)
{
    combine(op->z + from, op->a, op->x + from, op->b, op->y + from, count);
}

static void combine_three_part(operation *op, int from, int count)
{
    combine_three(op->z + from, op, from, count);
}

static void times_part(operation *op, int from, int count)
{
    times(op->z + from, op->a, op->x + from, count);
}

static void copy_part(operation *op, int from, int count)
{
    memcpy(op->z + from, op->x + from, (size_t)count * sizeof *op->z);
}

static void set_part(operation *op, int from, int count)
{
    set(op->z + from, op->a, count);
}

static void add_multiples_part(operation *op, int from, int count)
{
    add_multiples(op, from, count);
}

static void square_part(operation *op, int from, int count)
{
    op->sum[from / op->parts->part_size] = weighted_square(op->x + from, op->w + from, count);
}

static void weigh_part(operation *op, int from, int count)
{
    weigh(op->z + from, op->x + from, op->a, op->y + from, count);
}

// ---- operations ------------------------------------------------------------------------------

static void linear_sum(realtype a, N_Vector x, realtype b, N_Vector y, N_Vector z)
{
    operation op = {.a = a, .b = b, .x = values(x), .y = values(y), .z = values(z)};
    run(&op, a == 1.0 && b == 1.0 ? add_part : combine_part, x);
}

static void scale(realtype c, N_Vector x, N_Vector z)
{
    operation op = {.a = c, .x = values(x), .z = values(z)};
    if (c != 1.0 || z != x) {
        run(&op, c == 1.0 ? copy_part : times_part, x);
    }
}

static void constant(realtype c, N_Vector z)
{
    operation op = {.a = c, .z = values(z)};
    run(&op, set_part, z);
}

static realtype weighted_norm(N_Vector x, N_Vector weight)
{
    operation op = {.x = values(x), .w = values(weight)};
    run(&op, square_part, x);
    double sum = 0.0;
    for (int part = 0; part < op.parts->parts; part++) {
        sum += op.sum[part];
    }
    return sqrt(sum / (double)N_VGetLength(x));
}

// z_j = a_j x + y_j, two at a time.
static int scale_add_multi(int count, realtype *a, N_Vector x, N_Vector *y, N_Vector *z)
{
    int j = 0;
    for (; j + 1 < count; j += 2) {
        operation op = {.a = a[j],
                        .b = a[j + 1],
                        .x = values(x),
                        .y = values(y[j]),
                        .w = values(y[j + 1]),
                        .z = values(z[j]),
                        .other_z = values(z[j + 1])};
        run(&op, add_multiples_part, x);
    }
    if (j < count) {
        linear_sum(a[j], x, 1.0, y[j], z[j]);
    }
    return 0;
}

// z = sum of c_j x_j, z none of the x but the first. Orders 1 and 2 ask for two or three.
static int linear_combination(int count, realtype *c, N_Vector *x, N_Vector z)
{
    if (count == 3) {
        operation op = {.a = c[0],
                        .b = c[1],
                        .c = c[2],
                        .x = values(x[0]),
                        .y = values(x[1]),
                        .w = values(x[2]),
                        .z = values(z)};
        run(&op, combine_three_part, z);
        return 0;
    }
    scale(c[0], x[0], z);
    for (int j = 1; j < count; j++) {
        linear_sum(c[j], x[j], 1.0, z, z);
    }
    return 0;
}

void cbx_vectors_weigh(N_Vector y, double relative, N_Vector absolute, N_Vector weight,
                       bool behind_parts)
{
    const cbx_vector_parts *parts = &((const content *)y->content)->parts;
    operation op = {.a = relative, .x = values(y), .y = values(absolute), .z = values(weight)};
    if (behind_parts) {
        const int from = parts->parts * parts->part_size;
        weigh_part(&op, from, parts->length - from);
    } else {
        run(&op, weigh_part, y);
    }
}

// ---- making ----------------------------------------------------------------------------------

static bool fill(N_Vector vector, const cbx_vector_parts *parts)
{
    content *inside = calloc(1, sizeof *inside);
    double *data = calloc((size_t)parts->length + 1, sizeof *data);
    if (!inside || !data) {
        free(inside);
        free(data);
        return false;
    }
    *inside = (content){{parts->length, SUNTRUE, data}, *parts};
    vector->content = inside;
    return true;
}

// Freed by the serial vector's own operation.
static N_Vector clone(N_Vector from)
{
    N_Vector vector = N_VNewEmpty(from->sunctx);
    if (vector && (N_VCopyOps(from, vector) != 0 ||
                   !fill(vector, &((const content *)from->content)->parts))) {
        N_VFreeEmpty(vector);
        return NULL;
    }
    return vector;
}

static void use_operations(N_Vector_Ops ops)
{
    ops->nvclone = clone;
    ops->nvlinearsum = linear_sum;
    ops->nvscale = scale;
    ops->nvconst = constant;
    ops->nvwrmsnorm = weighted_norm;
    ops->nvscaleaddmulti = scale_add_multi;
    ops->nvlinearcombination = linear_combination;
}

N_Vector cbx_vectors_create(SUNContext context, const cbx_vector_parts *parts,
                            const double *numbers)
{
    N_Vector vector = N_VNewEmpty_Serial(parts->length, context);
    if (!vector) {
        return NULL;
    }
    free(vector->content);
    vector->content = NULL;
    if (!fill(vector, parts)) {
        N_VFreeEmpty(vector);
        return NULL;
    }
    use_operations(vector->ops);
    if (numbers) {
        memcpy(N_VGetArrayPointer(vector), numbers, (size_t)parts->length * sizeof *numbers);
    }
    return vector;
}
