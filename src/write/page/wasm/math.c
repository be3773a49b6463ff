/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

double fmin(double x, double y)
{
    return isnan(y) || x < y ? x : y;
}

double fmax(double x, double y)
{
    return isnan(y) || x > y ? x : y;
}

double round(double x)
{
    double down = floor(fabs(x)), rest = fabs(x) - down;
    return __builtin_copysign(rest >= 0.5 ? down + 1 : down, x);
}

long lround(double x)
{
    return (long)round(x);
}

/* Exact: one binary digit of the quotient after the other. */
double fmod(double x, double y)
{
    double left = fabs(x), divisor = fabs(y);
    if (isnan(x) || isnan(y) || !isfinite(x) || divisor == 0)
        return NAN;
    while (left >= divisor) {
        double step = divisor;
        while (step * 2 <= left)
            step *= 2;
        left -= step;
    }
    return __builtin_copysign(left, x);
}

double remainder(double x, double y)
{
    double divisor = fabs(y), rest = fmod(x, divisor);
    if (2 * fabs(rest) > divisor)
        rest -= __builtin_copysign(divisor, rest);
    return rest;
}

/* Of distances on a map: neither very large nor very small. */
double hypot(double x, double y)
{
    return sqrt(x * x + y * y);
}
