/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which number drives the answer. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "doubt/bands.h"

/* Classes that n samples are parted into: more follow a bent line better, fewer leave more samples
 * in each. */
#define CLASSES_POWER 0.4
#define LEAST_CLASSES 2

typedef struct point {
    double x, y;
    double rank; /* of x */
    size_t at;
} point;

static int by_x(const void *a, const void *b)
{
    const point *p = a, *q = b;
    if (p->x != q->x)
        return p->x < q->x ? -1 : 1;
    return (p->at > q->at) - (p->at < q->at);
}

static int by_y(const void *a, const void *b)
{
    const point *p = a, *q = b;
    if (p->y != q->y)
        return p->y < q->y ? -1 : 1;
    return (p->at > q->at) - (p->at < q->at);
}

/* The mean rank of the equal values that begin at i; *end is where they end. */
static double mean_rank(const point *points, size_t n, size_t i, bool of_y, size_t *end)
{
    size_t j = i + 1;
    while (j < n && (of_y ? points[j].y == points[i].y : points[j].x == points[i].x))
        j++;
    *end = j;
    return ((double)i + (double)(j - 1)) / 2;
}

/* Correlation of the ranks; points are sorted by x on entry and by y on return. */
static double rank_correlation(point *points, size_t n)
{
    double middle = ((double)n - 1) / 2, both = 0, of_x = 0, of_y = 0;
    for (size_t i = 0, end; i < n; i = end) {
        double rank = mean_rank(points, n, i, false, &end);
        for (size_t j = i; j < end; j++)
            points[j].rank = rank - middle;
    }
    qsort(points, n, sizeof *points, by_y);
    for (size_t i = 0, end; i < n; i = end) {
        double rank = mean_rank(points, n, i, true, &end) - middle;
        for (size_t j = i; j < end; j++) {
            both += points[j].rank * rank;
            of_x += points[j].rank * points[j].rank;
            of_y += rank * rank;
        }
    }
    return of_x > 0 && of_y > 0 ? both / sqrt(of_x * of_y) : 0;
}

/* Points are sorted by x. */
static double between_classes(const point *points, size_t n)
{
    size_t classes = (size_t)fmax(LEAST_CLASSES, floor(pow((double)n, CLASSES_POWER)));
    double mean = 0, whole = 0, between = 0;
    bool changes = false;
    for (size_t i = 0; i < n; i++) {
        mean += points[i].y / (double)n;
        changes |= points[i].y != points[0].y;
    }
    if (n <= classes || !changes || points[0].x == points[n - 1].x)
        return 0;
    for (size_t i = 0; i < n; i++)
        whole += (points[i].y - mean) * (points[i].y - mean);
    for (size_t c = 0; c < classes; c++) {
        size_t begin = c * n / classes, end = (c + 1) * n / classes;
        double sum = 0;
        for (size_t i = begin; i < end; i++)
            sum += points[i].y - mean;
        between += sum * sum / (double)(end - begin);
    }
    if (!(whole > 0)) /* differences too small to be squared */
        return 0;
    double by_chance = (whole - between) / (double)(n - classes) * (double)(classes - 1);
    return fmin(fmax((between - by_chance) / whole, 0), 1);
}

sb_status sb_driver_of(const double *x, const double *y, size_t n, sb_driver *driver)
{
    point *points = sb_alloc(n, sizeof *points);
    if (points == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++)
        points[i] = (point){.x = x[i], .y = y[i], .at = i};
    qsort(points, n, sizeof *points, by_x);
    driver->first_order = between_classes(points, n);
    driver->rank = rank_correlation(points, n);
    sb_free(points);
    return SB_OK;
}
