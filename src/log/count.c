/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Counts of a tarp: with its cleanout, or by later entries that name the cleanout. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/report.h"
#include "log/log.h"

/* A tarp is not kept longer than until the next season (common practice, no source). */
#define MOST_DAYS_KEPT 366

/* Does entry i say something of the tarp of a cleanout, an index too? */
static bool is_about(const sb_log *log, size_t i, size_t cleanout)
{
    const sb_log_entry *entry = &log->entries.items[i];
    return !entry->is_struck &&
           (i == cleanout || entry->counts == log->entries.items[cleanout].number);
}

double sb_log_entry_count(const sb_log_entry *entry, const char *weed_id)
{
    char key[SB_MAX_WEED_ID + sizeof "weed:"];
    double seeds = NAN;
    snprintf(key, sizeof key, "weed:%s", weed_id);
    const char *value = sb_log_entry_word(entry, key);
    if (value != NULL)
        (void)sb_parse_double(value, &seeds); /* understood when the entry was read */
    return seeds;
}

size_t sb_log_count_of(const sb_log *log, size_t cleanout, const char *weed_id)
{
    for (size_t i = log->entries.count; i-- > cleanout;)
        if (is_about(log, i, cleanout) &&
            !isnan(sb_log_entry_count(&log->entries.items[i], weed_id)))
            return i;
    return SIZE_MAX;
}

double sb_log_tarp_kg(const sb_log *log, size_t cleanout, size_t *entry)
{
    for (*entry = log->entries.count; (*entry)-- > cleanout;)
        if (is_about(log, *entry, cleanout) && !isnan(log->entries.items[*entry].tarp_kg))
            return log->entries.items[*entry].tarp_kg;
    *entry = cleanout;
    return NAN;
}

double sb_log_counted_share(const sb_log *log, size_t cleanout, size_t entry)
{
    const sb_log_entry *says = &log->entries.items[entry];
    double tarp_kg = isnan(says->tarp_kg) ? log->entries.items[cleanout].tarp_kg : says->tarp_kg;
    return isnan(says->sample_kg) ? 1 : says->sample_kg / tarp_kg;
}

/* "2 (deep, 2026-08-04 17:30), 5 (...)": the cleanouts that hold. */
static void add_cleanouts(const sb_log *log, sb_text *text)
{
    size_t n = 0;
    for (size_t i = 0; i < log->entries.count; i++) {
        const sb_log_entry *entry = &log->entries.items[i];
        char stamp[17];
        if (entry->kind != SB_LOG_CLEANOUT || entry->is_struck)
            continue;
        sb_moment_format(entry->to, stamp);
        stamp[10] = ' ';
        sb_text_addf(text, "%s%ld (%s, %s)", n++ > 0 ? ", " : "", entry->number, entry->cleanout,
                     stamp);
    }
    if (n == 0)
        sb_text_addf(text, "there is none yet");
}

static sb_status refuse_no_cleanout(const sb_log *log, const sb_log_entry *entry, sb_report *report)
{
    const sb_log_entry *said =
        (size_t)entry->counts <= log->entries.count ? &log->entries.items[entry->counts - 1] : NULL;
    sb_text known = {0};
    add_cleanouts(log, &known);
    sb_status status = sb_bad(
        report, log->path, entry->line,
        "a tarp of entry %ld counted, %s%s; expected the number of a cleanout: %s", entry->counts,
        said == NULL      ? "but there is no such entry"
        : said->is_struck ? "which is struck"
                          : "which says ",
        said == NULL || said->is_struck ? "" : sb_log_kind_name(said->kind), sb_text_get(&known));
    sb_text_release(&known);
    return status;
}

static sb_status check_time(const sb_log *log, const sb_log_entry *entry,
                            const sb_log_entry *cleanout, sb_report *report)
{
    char said[17], done[17];
    sb_moment latest = cleanout->to + (sb_moment)MOST_DAYS_KEPT * SB_MINUTES_PER_DAY;
    if (entry->at >= cleanout->to && entry->at <= latest)
        return SB_OK;
    sb_moment_format(entry->at, said);
    sb_moment_format(cleanout->to, done);
    return sb_bad(report, log->path, entry->line,
                  "the tarp of entry %ld counted at %s, expected no earlier than %s, the end of "
                  "that cleanout, and within a year",
                  entry->counts, said, done);
}

/* Nothing that it says was said before, unless it is a recount. */
static sb_status check_new(const sb_log *log, const sb_log_entry *entry, sb_report *report)
{
    size_t cleanout = (size_t)entry->counts - 1, says;
    double kg = sb_log_tarp_kg(log, cleanout, &says);
    if (entry->recount)
        return SB_OK;
    if (!isnan(kg) && !isnan(entry->tarp_kg) && kg != entry->tarp_kg)
        return sb_bad(report, log->path, entry->line,
                      "the tarp of entry %ld weighs %g kg, but entry %ld says %g kg; if this holds "
                      "instead, say so: --recount",
                      entry->counts, entry->tarp_kg, log->entries.items[says].number, kg);
    for (size_t i = 0; i < entry->words.count; i++) {
        char id[SB_MAX_WEED_ID];
        bool density;
        if (!sb_log_weed_word(&entry->words.items[i], id, &density) ||
            (says = sb_log_count_of(log, cleanout, id)) == SIZE_MAX)
            continue;
        return sb_bad(report, log->path, entry->line,
                      "%s on the tarp of entry %ld was counted already, in entry %ld: %.10g seeds; "
                      "if this holds instead, say so: --recount",
                      id, entry->counts, log->entries.items[says].number,
                      sb_log_entry_count(&log->entries.items[says], id));
    }
    return SB_OK;
}

sb_status sb_log_check_count(const sb_log *log, const sb_log_entry *entry, sb_report *report)
{
    const sb_log_entry *cleanout =
        (size_t)entry->counts <= log->entries.count ? &log->entries.items[entry->counts - 1] : NULL;
    if (cleanout == NULL || cleanout->kind != SB_LOG_CLEANOUT || cleanout->is_struck)
        return refuse_no_cleanout(log, entry, report);
    if (!isnan(entry->sample_kg) && isnan(entry->tarp_kg) &&
        !(entry->sample_kg <= cleanout->tarp_kg))
        return sb_bad(
            report, log->path, entry->line,
            "a sample of %g kg of the tarp of entry %ld, expected what the whole weighed, "
            "at least as large, here or there ('tarp_kg', --tarp-kg)",
            entry->sample_kg, entry->counts);
    sb_status status = check_time(log, entry, cleanout, report);
    return status == SB_OK ? check_new(log, entry, report) : status;
}
