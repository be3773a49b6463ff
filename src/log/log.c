/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log in memory: entries in their order, each sealed upon the one before. */
#include "log/log.h"

#include <string.h>

#include "base/mem.h"
#include "base/report.h"

sb_status sb_log_new(const char *path, sb_log **log)
{
    *log = NULL;
    sb_log *made = sb_alloc(1, sizeof *made);
    if (made == NULL)
        return SB_ERR_NOMEM;
    made->path = sb_strdup(path);
    if (made->path == NULL) {
        sb_free(made);
        return SB_ERR_NOMEM;
    }
    sb_log_first_seal(made->seal);
    *log = made;
    return SB_OK;
}

void sb_log_free(sb_log *log)
{
    if (log == NULL)
        return;
    for (size_t i = 0; i < log->entries.count; i++)
        sb_log_entry_release(&log->entries.items[i]);
    sb_free(log->entries.items);
    sb_free(log->order.items);
    sb_free(log->path);
    sb_free(log);
}

/* Adds a copy of an entry, without what was counted and weighed if that is not to be known. */
static sb_status push_copy(sb_log *log, const sb_log_entry *from, bool uncounted, sb_report *report)
{
    sb_log_entry entry = {.kind = from->kind, .number = from->number, .line = from->line};
    sb_status status = SB_OK;
    for (size_t i = 0; i < from->words.count && status == SB_OK; i++) {
        const sb_word *word = &from->words.items[i];
        char id[SB_MAX_WEED_ID];
        bool density, counted = sb_log_weed_word(word, id, &density) ||
                                strcmp(word->key, "tarp_kg") == 0 ||
                                strcmp(word->key, "sample_kg") == 0;
        if (!counted || !uncounted)
            status = sb_log_entry_say(&entry, word->key, word->value);
    }
    if (status == SB_OK)
        status = sb_log_entry_understand(&entry, log->path, report);
    if (status == SB_OK)
        return sb_log_push(log, &entry, report);
    sb_log_entry_release(&entry);
    return status;
}

sb_status sb_log_first(const sb_log *log, size_t n, bool uncounted, sb_report *report,
                       sb_log **first)
{
    sb_log *made = NULL;
    sb_status status = sb_log_new(log->path, &made);
    *first = NULL;
    for (size_t i = 0; i < n && status == SB_OK; i++)
        status = push_copy(made, &log->entries.items[i], uncounted && i + 1 == n, report);
    if (status == SB_OK)
        *first = made;
    else
        sb_log_free(made);
    return status;
}

size_t sb_log_count(const sb_log *log)
{
    return log->entries.count;
}

const char *sb_log_last_seal(const sb_log *log)
{
    return log->seal;
}

static sb_status strike(sb_log *log, const sb_log_entry *entry, sb_report *report)
{
    sb_log_entry *struck = (size_t)entry->strikes <= log->entries.count
                               ? &log->entries.items[entry->strikes - 1]
                               : NULL;
    if (struck == NULL || struck->kind == SB_LOG_STRUCK)
        return sb_bad(report, log->path, entry->line, "strikes entry %ld, expected %s",
                      entry->strikes,
                      struck == NULL ? "the number of an entry before it"
                                     : "an entry that does not itself strike one");
    if (struck->is_struck)
        return sb_bad(report, log->path, entry->line, "strikes entry %ld, which is struck already",
                      entry->strikes);
    struck->is_struck = true;
    for (size_t i = 0; i < log->entries.count && struck->kind == SB_LOG_CLEANOUT; i++)
        if (log->entries.items[i].counts == struck->number)
            log->entries.items[i].is_struck = true;
    return SB_OK;
}

static sb_status seal(sb_log *log, sb_log_entry *entry, sb_report *report)
{
    char own[SB_SEAL_LENGTH + 1];
    if (entry->number != (long)log->entries.count + 1)
        return sb_bad(report, log->path, entry->line,
                      "entry number %ld, expected %zu: an entry is missing or was moved",
                      entry->number, log->entries.count + 1);
    if (log->entries.count >= SB_LOG_MAX_ENTRIES)
        return sb_bad(report, log->path, entry->line, "more than %d entries, expected at most that",
                      SB_LOG_MAX_ENTRIES);
    sb_status status = sb_log_seal(log->seal, entry, own);
    if (status != SB_OK)
        return status;
    if (entry->seal[0] != '\0' && strcmp(entry->seal, own) != 0)
        return sb_bad(report, log->path, entry->line,
                      "the seal of entry %ld does not fit: it, or an entry before it, is not what "
                      "was written",
                      entry->number);
    log->unsealed += entry->seal[0] == '\0';
    memcpy(log->seal, own, sizeof own);
    return SB_OK;
}

static sb_status check_before(const sb_log *log, const sb_log_entry *entry, sb_report *report)
{
    return entry->before <= (long)log->entries.count
               ? SB_OK
               : sb_bad(report, log->path, entry->line,
                        "it came before entry %ld, expected the number of an entry above it",
                        entry->before);
}

/* The newest entry takes its place among the others as they happened. */
static bool put_in_order(sb_log *log)
{
    size_t newest = log->entries.count - 1;
    long before = log->entries.items[newest].before;
    size_t at = before > 0 ? log->entries.items[before - 1].happened : newest;
    if (!SB_PUSH(&log->order, newest))
        return false;
    for (size_t i = newest; i > at; i--)
        log->order.items[i] = log->order.items[i - 1];
    log->order.items[at] = newest;
    for (size_t i = at; i <= newest; i++)
        log->entries.items[log->order.items[i]].happened = i;
    return true;
}

sb_status sb_log_push(sb_log *log, sb_log_entry *entry, sb_report *report)
{
    sb_status status = seal(log, entry, report);
    if (status == SB_OK && entry->kind == SB_LOG_STRUCK)
        status = strike(log, entry, report);
    if (status == SB_OK && entry->kind == SB_LOG_COUNTED)
        status = sb_log_check_count(log, entry, report);
    if (status == SB_OK)
        status = check_before(log, entry, report);
    if (status == SB_OK && !SB_PUSH(&log->entries, *entry))
        status = SB_ERR_NOMEM;
    if (status != SB_OK) {
        sb_log_entry_release(entry);
        return status;
    }
    *entry = (sb_log_entry){0}; /* handed over */
    return put_in_order(log) ? SB_OK : SB_ERR_NOMEM;
}
