/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entries in words, a line each. */
#include <math.h>
#include <string.h>

#include "log/words.h"
#include "write/columns.h"
#include "write/stream.h"

static void add_time(sb_text *text, sb_moment moment)
{
    char stamp[17];
    sb_moment_format(moment, stamp);
    stamp[10] = ' ';
    sb_text_addf(text, "%s", stamp);
}

static void add_span(sb_text *text, const sb_log_entry *entry)
{
    if (entry->from != SB_NO_MOMENT) {
        add_time(text, entry->from);
        sb_text_addf(text, " to ");
    }
    add_time(text, entry->to);
}

static void add_weeds(sb_text *text, const sb_log_entry *entry)
{
    const char *separator = ": ";
    char id[SB_MAX_WEED_ID];
    bool density;
    for (size_t i = 0; i < entry->words.count; i++) {
        const sb_word *word = &entry->words.items[i];
        if (!sb_log_weed_word(word, id, &density))
            continue;
        sb_text_addf(text, "%s%s %s%s", separator, id, word->value,
                     density                           ? " plants/m2"
                     : entry->kind == SB_LOG_CLEANOUT  ? " seeds"
                     : entry->kind == SB_LOG_COUNTED   ? " seeds"
                     : entry->kind == SB_LOG_SEEDLINGS ? " seedlings"
                                                       : "");
        separator = ", ";
    }
}

static void add_cut(sb_text *text, const sb_log_entry *entry)
{
    sb_text_addf(text, "%s: '%s' cut, ", entry->machine, entry->field);
    add_span(text, entry);
    if (!isnan(entry->ha))
        sb_text_addf(text, ", %g ha%s", entry->ha, entry->part ? " of it so far" : "");
    if (!isnan(entry->left_ha))
        sb_text_addf(text, ", %g ha left standing for good", entry->left_ha);
}

/* What lay on a tarp. */
static void add_tarp(sb_text *text, const sb_log_entry *entry)
{
    if (!isnan(entry->tarp_kg))
        sb_text_addf(text, ", %g kg on the tarp", entry->tarp_kg);
    if (!isnan(entry->sample_kg))
        sb_text_addf(text, ", %g kg looked through", entry->sample_kg);
    add_weeds(text, entry);
}

static void add_cleanout(sb_text *text, const sb_log_entry *entry)
{
    sb_text_addf(text, "%s: cleanout '%s', ", entry->machine, entry->cleanout);
    add_span(text, entry);
    if (!isnan(entry->minutes))
        sb_text_addf(text, ", %g min", entry->minutes);
    if (entry->place != NULL)
        sb_text_addf(text, ", at '%s'", entry->place);
    if (entry->checked_by != NULL)
        sb_text_addf(text, ", checked by %s", entry->checked_by);
    add_tarp(text, entry);
}

static void add_count(sb_text *text, const sb_log_entry *entry)
{
    sb_text_addf(text, "tarp of entry %ld %s, ", entry->counts,
                 entry->recount ? "counted again" : "counted");
    add_time(text, entry->at);
    if (entry->checked_by != NULL)
        sb_text_addf(text, ", by %s", entry->checked_by);
    add_tarp(text, entry);
}

static void add_walk(sb_text *text, const sb_log_entry *entry)
{
    sb_text_addf(text, "'%s', %g m of the first pass walked", entry->field, entry->strip_m);
    if (!isnan(entry->width_m))
        sb_text_addf(text, ", %g m wide", entry->width_m);
    sb_text_addf(text, ", ");
    add_time(text, entry->at);
    if (entry->checked_by != NULL)
        sb_text_addf(text, ", by %s", entry->checked_by);
    add_weeds(text, entry);
}

/* A field that comes in, with whatever is said of it. */
static void add_field(sb_text *text, const sb_log_entry *entry)
{
    static const char *const SAID[][3] = {
        {"area_ha", "", " ha"},  {"lon", "lon ", ""},           {"lat", "lat ", ""},
        {"crop", "", ""},        {"yield_t_ha", "", " t/ha"},   {"grower", "of ", ""},
        {"ready", "ready ", ""}, {"latest", "latest ", ""},     {"best_before", "best before ", ""},
        {"worth", "worth ", ""}, {"entry", "entry after ", ""}, {"after", "after ", ""},
    };
    sb_text_addf(text, "'%s' added, ", entry->field);
    add_time(text, entry->at);
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++) {
        const char *value = sb_log_entry_word(entry, SAID[i][0]);
        if (value != NULL)
            sb_text_addf(text, ", %s%s%s", SAID[i][1], value, SAID[i][2]);
    }
    add_weeds(text, entry);
}

void sb_log_entry_words(sb_text *text, const sb_log_entry *entry)
{
    char first[11], last[11];
    switch (entry->kind) {
    case SB_LOG_CUT:
        add_cut(text, entry);
        break;
    case SB_LOG_CLEANOUT:
        add_cleanout(text, entry);
        break;
    case SB_LOG_COUNTED:
        add_count(text, entry);
        break;
    case SB_LOG_RATING:
        sb_text_addf(text, "'%s' rated, ", entry->field);
        add_time(text, entry->at);
        add_weeds(text, entry);
        break;
    case SB_LOG_SEEDLINGS:
        add_walk(text, entry);
        break;
    case SB_LOG_ADDED:
        add_field(text, entry);
        break;
    case SB_LOG_DROPPED:
        sb_text_addf(text, "'%s' dropped, ", entry->field);
        add_time(text, entry->at);
        break;
    case SB_LOG_AWAY:
        sb_text_addf(text, "%s: away, ", entry->machine);
        add_span(text, entry);
        if (entry->place != NULL)
            sb_text_addf(text, ", back at '%s'", entry->place);
        break;
    case SB_LOG_LOST:
        sb_date_format(entry->first_day, first);
        sb_date_format(entry->last_day, last);
        if (entry->first_day == entry->last_day)
            sb_text_addf(text, "%s lost", first);
        else
            sb_text_addf(text, "%s to %s lost", first, last);
        break;
    case SB_LOG_STRUCK:
        sb_text_addf(text, "entry %ld does not hold", entry->strikes);
        break;
    case SB_LOG_N_KINDS:
        break;
    }
    if (entry->why != NULL)
        sb_text_addf(text, " (%s)", entry->why);
    if (entry->before > 0)
        sb_text_addf(text, " [forgotten, came before entry %ld]", entry->before);
    if (entry->is_struck)
        sb_text_addf(text, " [struck]");
}

sb_status sb_print_log(const sb_log *log, size_t first, size_t count, FILE *stream)
{
    if (log == NULL || stream == NULL || first == 0)
        return SB_ERR_ARG;
    sb_text text = {0};
    for (size_t i = first; i <= log->entries.count && i - first < count; i++) {
        const sb_log_entry *entry = &log->entries.items[i - 1];
        sb_text words = {0};
        sb_log_entry_words(&words, entry);
        sb_text_addf(&text, "%4ld ", entry->number);
        sb_columns_wrap(&text, sb_text_get(&words), 5, 7);
        text.failed |= words.failed;
        sb_text_release(&words);
    }
    sb_status status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}
