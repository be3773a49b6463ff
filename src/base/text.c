/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include "base/text.h"

#include <errno.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/* One C locale for the life of the process. newlocale("C") allocates nothing in glibc. */
static locale_t c_locale(void)
{
    return newlocale(LC_ALL_MASK, "C", (locale_t)0);
}

static bool reserve(sb_text *text, size_t extra)
{
    size_t wanted = text->count + extra + 1;
    if (wanted <= text->capacity)
        return true;
    size_t capacity = text->capacity ? text->capacity : 64;
    while (capacity < wanted)
        capacity *= 2;
    char *grown = sb_resize(text->bytes, capacity, 1);
    if (grown == NULL) {
        text->failed = true;
        return false;
    }
    text->bytes = grown;
    text->capacity = capacity;
    return true;
}

void sb_text_add(sb_text *text, const char *bytes, size_t n)
{
    if (!reserve(text, n))
        return;
    memcpy(text->bytes + text->count, bytes, n);
    text->count += n;
    text->bytes[text->count] = '\0';
}

void sb_text_vaddf(sb_text *text, const char *format, va_list args)
{
    locale_t old = uselocale(c_locale());
    va_list again;
    va_copy(again, args);
    int length = vsnprintf(NULL, 0, format, args);
    if (length >= 0 && reserve(text, (size_t)length)) {
        length = vsnprintf(text->bytes + text->count, (size_t)length + 1, format, again);
        text->count += length >= 0 ? (size_t)length : 0;
    }
    if (length < 0)
        text->failed = true; /* a long number wants memory inside vsnprintf */
    va_end(again);
    uselocale(old);
}

void sb_text_addf(sb_text *text, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    sb_text_vaddf(text, format, args);
    va_end(args);
}

void sb_text_add_grouped(sb_text *text, double whole)
{
    sb_text digits = {0};
    sb_text_addf(&digits, "%.0f", whole);
    for (size_t i = 0; i < digits.count; i++) {
        if (i > 0 && (digits.count - i) % 3 == 0)
            sb_text_add(text, ",", 1);
        sb_text_add(text, digits.bytes + i, 1);
    }
    text->failed |= digits.failed;
    sb_text_release(&digits);
}

void sb_text_add_amount(sb_text *text, double money)
{
    if (!isfinite(money)) {
        sb_text_addf(text, "unknown");
        return;
    }
    double size = fabs(money);
    bool small = size < 99.995;
    if (money < 0 && size >= 0.005)
        sb_text_add(text, "-", 1);
    if (small)
        sb_text_addf(text, "%.2f", size);
    else
        sb_text_add_grouped(text, size);
}

const char *sb_text_get(const sb_text *text)
{
    return text->bytes != NULL ? text->bytes : "";
}

void sb_text_clear(sb_text *text)
{
    text->count = 0;
    if (text->bytes != NULL)
        text->bytes[0] = '\0';
}

void sb_text_release(sb_text *text)
{
    sb_free(text->bytes);
    *text = (sb_text){0};
}

const char *sb_excerpt(const char *text, char out[SB_EXCERPT_BYTES])
{
    static const char cut[] = "...";
    size_t n = strnlen(text, SB_EXCERPT_BYTES);
    bool whole = n < SB_EXCERPT_BYTES;
    if (!whole) {
        n = SB_EXCERPT_BYTES - sizeof cut;
        while (n > 0 && ((unsigned char)text[n] & 0xC0) == 0x80) /* inside a character */
            n--;
    }
    for (size_t i = 0; i < n; i++)
        out[i] = (unsigned char)text[i] < ' ' || text[i] == 0x7F ? '?' : text[i];
    memcpy(out + n, whole ? "" : cut, whole ? 1 : sizeof cut);
    return out;
}

char *sb_trim(char *s)
{
    while (is_blank(*s))
        s++;
    size_t n = strlen(s);
    while (n > 0 && is_blank(s[n - 1]))
        n--;
    s[n] = '\0';
    return s;
}

bool sb_parse_double(const char *s, double *value)
{
    while (is_blank(*s))
        s++;
    /* strtod also takes "nan", "inf" and "0x1p3": a decimal number has only these characters. */
    size_t n = strspn(s, "+-.0123456789eE");
    if (n == 0)
        return false;
    char *end = NULL;
    double parsed = strtod_l(s, &end, c_locale());
    if (end != s + n || !(fabs(parsed) <= SB_LARGEST))
        return false;
    while (is_blank(*end))
        end++;
    if (*end != '\0')
        return false;
    *value = parsed;
    return true;
}

bool sb_parse_long(const char *s, long min, long max, long *value)
{
    while (is_blank(*s))
        s++;
    if (*s == '\0')
        return false;
    char *end = NULL;
    errno = 0;
    long parsed = strtol(s, &end, 10);
    if (end == s || errno != 0 || parsed < min || parsed > max)
        return false;
    while (is_blank(*end))
        end++;
    if (*end != '\0')
        return false;
    *value = parsed;
    return true;
}
