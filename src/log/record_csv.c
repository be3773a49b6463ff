/* SPDX-License-Identifier: GPL-3.0-or-later */
/* record.csv: the record for a spreadsheet, a fact a line (RFC 4180). */
#include <math.h>

#include "log/record.h"
#include "write/csv_out.h"
#include "write/receipts.h"

static void add(sb_text *text, const char *value)
{
    sb_csv_value(text, value != NULL ? value : "");
    sb_text_add(text, ",", 1);
}

static void add_moment(sb_text *text, sb_moment moment)
{
    char stamp[17] = "";
    if (moment != SB_NO_MOMENT)
        sb_moment_format(moment, stamp);
    add(text, stamp);
}

static void add_number(sb_text *text, double value)
{
    if (!isnan(value))
        sb_text_addf(text, "%.6g", value);
    sb_text_add(text, ",", 1);
}

/* The entry of a tarp that was counted later: its number, who counted, its seal. */
static void add_count(const sb_log *log, const sb_record_line *line, sb_text *text)
{
    const sb_log_entry *counted = &log->entries.items[line->counted];
    bool later = line->counted != line->entry;
    add_number(text, later ? (double)counted->number : NAN);
    add(text, later ? counted->checked_by : "");
    sb_csv_value(text, later ? counted->seal : "");
}

static void add_line(const sb_log_state *state, const sb_record_line *line, sb_text *text)
{
    const sb_season *season = state->season;
    const sb_log_entry *entry = &state->log->entries.items[line->entry];
    bool work = line->kind == SB_RECORD_CUT || line->kind == SB_RECORD_CLEANED;
    bool brought = line->kind == SB_RECORD_BROUGHT;
    int giver =
        brought && line->origin < season->n_fields ? season->fields[line->origin].grower : -1;
    add(text, sb_record_grower(season, line->grower));
    add(text, season->fields[line->field].name);
    sb_text_addf(text, "%ld,", entry->number);
    add(text, sb_record_word(line->kind));
    add(text, entry->machine);
    add_moment(text, work ? entry->from : SB_NO_MOMENT);
    add_moment(text, entry->to != SB_NO_MOMENT ? entry->to : entry->at);
    add_number(text, line->cut_ha);
    add_number(text, line->kind == SB_RECORD_CUT ? entry->ha : NAN);
    add_number(text, line->kind == SB_RECORD_CUT ? entry->left_ha : NAN);
    add(text, entry->cleanout);
    add_number(text, line->kind == SB_RECORD_CLEANED ? entry->minutes : NAN);
    add(text, entry->checked_by);
    add(text, line->weed >= 0 ? season->setup.weeds[line->weed].id : "");
    add_number(text, line->expected);
    add_number(text, line->kind == SB_RECORD_SEEDLINGS ? NAN : line->found);
    add_number(text, line->kind == SB_RECORD_SEEDLINGS ? line->found : NAN);
    add(text, brought ? sb_origin_name(season, line->origin) : "");
    add(text, brought && giver >= 0 ? season->growers[giver] : "");
    add(text, entry->written);
    add(text, entry->seal);
    add_count(state->log, line, text);
    sb_text_addf(text, "\r\n");
}

sb_status sb_render_record_csv(const sb_record *record, sb_text *text)
{
    sb_text_addf(
        text,
        "grower,field,entry,what,machine,from,to,cut_ha,counted_ha,left_ha,cleanout,minutes,"
        "checked_by,weed,expected_seeds,found_seeds,found_seedlings,from_field,from_grower,written,"
        "seal,count_entry,counted_by,count_seal\r\n");
    for (size_t i = 0; i < record->lines.count; i++)
        add_line(record->state, &record->lines.items[i], text);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
