/* SPDX-License-Identifier: GPL-3.0-or-later */
/* printf for the formats that this program writes: flags '-' and '0', width, precision, and the
 * conversions c d f g i s u x. */
#include <host.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

typedef struct sink {
    char *out;
    size_t size, count;
} sink;

typedef struct spec {
    bool left, zeros;
    int width, precision; /* precision -1: none */
    int longs;
    char conversion;
} spec;

static void put(sink *s, char c)
{
    if (s->count + 1 < s->size)
        s->out[s->count] = c;
    s->count++;
}

/* Text filled up to the width; zeros go between sign and digits. */
static void put_field(sink *s, const spec *f, const char *text, size_t n, bool number)
{
    size_t fill = f->width > 0 && (size_t)f->width > n ? (size_t)f->width - n : 0;
    bool zeros = f->zeros && number && !f->left;
    if (!f->left && !zeros)
        for (; fill > 0; fill--)
            put(s, ' ');
    if (zeros && n > 0 && *text == '-') {
        put(s, *text++);
        n--;
    }
    for (; zeros && fill > 0; fill--)
        put(s, '0');
    for (size_t i = 0; i < n; i++)
        put(s, text[i]);
    for (; fill > 0; fill--)
        put(s, ' ');
}

static const char *read_number(const char *at, int *value, va_list *args)
{
    if (*at == '*') {
        *value = va_arg(*args, int);
        return at + 1;
    }
    for (*value = 0; *at >= '0' && *at <= '9'; at++)
        *value = *value * 10 + (*at - '0');
    return at;
}

static const char *read_spec(const char *at, spec *f, va_list *args)
{
    *f = (spec){.precision = -1};
    for (;; at++) {
        if (*at == '-')
            f->left = true;
        else if (*at == '0')
            f->zeros = true;
        else
            break;
    }
    at = read_number(at, &f->width, args);
    if (f->width < 0) {
        f->left = true;
        f->width = -f->width;
    }
    if (*at == '.')
        at = read_number(at + 1, &f->precision, args);
    for (; *at == 'l' || *at == 'z'; at++)
        f->longs += *at == 'l'; /* size_t is as wide as int here */
    f->conversion = *at;
    return at + 1;
}

static void put_whole(sink *s, const spec *f, va_list *args)
{
    bool is_signed = f->conversion == 'd' || f->conversion == 'i';
    uint64_t value = f->longs > 1 ? va_arg(*args, uint64_t)
                     : is_signed  ? (uint64_t)(int64_t)va_arg(*args, int32_t)
                                  : va_arg(*args, uint32_t);
    bool negative = is_signed && (int64_t)value < 0;
    unsigned base = f->conversion == 'x' ? 16 : 10;
    char digits[24], *at = digits + sizeof digits;
    uint64_t rest = negative ? 0 - value : value;
    do {
        *--at = "0123456789abcdef"[rest % base];
        rest /= base;
    } while (rest > 0);
    if (negative)
        *--at = '-';
    put_field(s, f, at, (size_t)(digits + sizeof digits - at), true);
}

static void put_double(sink *s, const spec *f, double value)
{
    char digits[HOST_NUMBER_BYTES];
    int precision = f->precision < 0 ? 6 : f->precision;
    int n = f->conversion == 'f' ? host_fixed(value, precision, digits)
                                 : host_general(value, precision, digits);
    put_field(s, f, digits, (size_t)n, true);
}

int vsnprintf(char *out, size_t size, const char *format, va_list args)
{
    sink s = {out, size, 0};
    va_list rest;
    va_copy(rest, args);
    while (*format != '\0') {
        if (*format != '%') {
            put(&s, *format++);
            continue;
        }
        spec f;
        format = read_spec(format + 1, &f, &rest);
        if (f.conversion == '%') {
            put(&s, '%');
        } else if (f.conversion == 'c') {
            char c = (char)va_arg(rest, int);
            put_field(&s, &f, &c, 1, false);
        } else if (f.conversion == 's') {
            const char *text = va_arg(rest, const char *);
            put_field(&s, &f, text,
                      f.precision < 0 ? strlen(text) : strnlen(text, (size_t)f.precision), false);
        } else if (f.conversion == 'f' || f.conversion == 'g') {
            put_double(&s, &f, va_arg(rest, double));
        } else {
            put_whole(&s, &f, &rest);
        }
    }
    va_end(rest);
    if (size > 0)
        out[s.count < size ? s.count : size - 1] = '\0';
    return (int)s.count;
}

int snprintf(char *out, size_t size, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int n = vsnprintf(out, size, format, args);
    va_end(args);
    return n;
}
