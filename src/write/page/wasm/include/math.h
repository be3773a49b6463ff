/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What one instruction does is inline; exp and its kin come from the browser (host.h); the rest is
 * in math.c. */
#ifndef MATH_H
#define MATH_H

#define INFINITY __builtin_inff()
#define NAN __builtin_nanf("")
#define isnan(x) __builtin_isnan(x)
#define isfinite(x) __builtin_isfinite(x)

static inline double fabs(double x)
{
    return __builtin_fabs(x);
}
static inline double floor(double x)
{
    return __builtin_floor(x);
}
static inline double ceil(double x)
{
    return __builtin_ceil(x);
}
static inline double sqrt(double x)
{
    return __builtin_sqrt(x);
}

double exp(double x);
double expm1(double x);
double log10(double x);
double pow(double x, double y);
double sin(double x);
double cos(double x);

double fmin(double x, double y);
double fmax(double x, double y);
double round(double x);
long lround(double x);
double fmod(double x, double y);
double remainder(double x, double y);
double hypot(double x, double y);

#endif
