/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STDIO_H
#define STDIO_H
#include <stdarg.h>
#include <stddef.h>
typedef struct file FILE;
int snprintf(char *out, size_t size, const char *format, ...);
int vsnprintf(char *out, size_t size, const char *format, va_list args);
#endif
