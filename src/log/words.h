/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Entries of a log as people say them. */
#ifndef SB_LOG_WORDS_H
#define SB_LOG_WORDS_H

#include "log/log.h"

/** "ring: 'Home Quarter' cut, 2026-08-15 09:57 to 2026-08-17 12:10, 62 ha". */
void sb_log_entry_words(sb_text *text, const sb_log_entry *entry);

#endif
