/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ERRNO_H
#define ERRNO_H
#define ENOMEM 12
extern int errno;
#endif
