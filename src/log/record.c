/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/record.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "write/file.h"
#include "write/receipts.h"
#include "write/stream.h"
#include "write/words.h"

const char *sb_record_word(sb_record_kind kind)
{
    static const char *const WORDS[] = {
        [SB_RECORD_CUT] = "cut",
        [SB_RECORD_CLEANED] = "cleaned",
        [SB_RECORD_TARP] = "on the tarp",
        [SB_RECORD_BROUGHT] = "brought",
        [SB_RECORD_SEEDLINGS] = "seedlings",
    };
    return WORDS[kind];
}

const char *sb_record_grower(const sb_season *season, int grower)
{
    return grower >= 0 ? season->growers[grower] : "grower not named";
}

static bool add(sb_record *record, sb_record_line line)
{
    line.grower = record->state->season->fields[line.field].grower;
    line.place = record->state->log->entries.items[line.entry].happened;
    return SB_PUSH(&record->lines, line);
}

static int field_named(const sb_season *season, const char *name)
{
    for (size_t i = 0; i < season->n_fields; i++)
        if (strcmp(season->fields[i].name, name) == 0)
            return (int)i;
    return 0; /* the replay has seen that there is one */
}

/* The next field that the machine of an entry cuts after it; the last before it when none. */
static int field_cleaned_for(const sb_log_state *state, size_t entry)
{
    const sb_log *log = state->log;
    const char *machine = log->entries.items[entry].machine;
    int last = -1;
    for (size_t i = 0; i < log->order.count; i++) {
        const sb_log_entry *cut = &log->entries.items[log->order.items[i]];
        if (cut->kind != SB_LOG_CUT || cut->is_struck || strcmp(cut->machine, machine) != 0)
            continue;
        last = field_named(state->season, cut->field);
        if (i > log->entries.items[entry].happened)
            break;
    }
    return last;
}

/* Seeds found of a weed on a whole tarp, a sample scaled up by its weight, and who says so. */
static void find_count(const sb_log_state *state, size_t weed, sb_record_line *line)
{
    const char *id = state->season->setup.weeds[weed].id;
    size_t counted = sb_log_count_of(state->log, line->entry, id);
    line->counted = counted != SIZE_MAX ? counted : line->entry;
    line->found = sb_log_entry_count(&state->log->entries.items[line->counted], id) /
                  sb_log_counted_share(state->log, line->entry, line->counted);
}

static bool add_cleanout(sb_record *record, const sb_tarp_state *tarp)
{
    const sb_season *season = record->state->season;
    int field = field_cleaned_for(record->state, tarp->entry);
    if (field < 0)
        return true; /* cleaned before it cut anything, and it cut nothing since */
    sb_record_line line = {.kind = SB_RECORD_CLEANED,
                           .field = field,
                           .entry = tarp->entry,
                           .counted = tarp->entry,
                           .weed = -1,
                           .cut_ha = NAN,
                           .expected = NAN,
                           .found = NAN};
    bool added = add(record, line);
    for (size_t w = 0; w < season->setup.n_weeds && added; w++) {
        line.kind = SB_RECORD_TARP;
        line.weed = (int)w;
        line.expected = tarp->seeds[w];
        find_count(record->state, w, &line);
        if (line.expected >= SB_SEEDS_TOLD || !isnan(line.found))
            added = add(record, line);
    }
    return added;
}

static bool add_field(sb_record *record, size_t field)
{
    const sb_log_state *state = record->state;
    const sb_season *season = state->season;
    bool added = true;
    if (state->fields[field].machine < 0)
        return true;
    for (size_t o = 0; o <= season->n_fields && added; o++)
        for (size_t w = 0; w < season->setup.n_weeds && added; w++) {
            double seeds = sb_given(&state->ledger, o, (int)field, (int)w);
            if (seeds >= SB_SEEDS_TOLD)
                added = add(record, (sb_record_line){.kind = SB_RECORD_BROUGHT,
                                                     .field = (int)field,
                                                     .entry = state->fields[field].entry,
                                                     .counted = state->fields[field].entry,
                                                     .weed = (int)w,
                                                     .origin = o,
                                                     .cut_ha = NAN,
                                                     .expected = seeds,
                                                     .found = NAN});
        }
    return added;
}

/* Hectares of its field that an entry says were cut. */
static double cut_ha_of(const sb_log_state *state, size_t entry)
{
    for (size_t i = 0; i < state->steps.count; i++) {
        const sb_log_step *step = &state->steps.items[i];
        if (step->entry == entry)
            return step->share * state->season->fields[step->field].area_ha;
    }
    return NAN; /* not reached: the replay makes a step of every cut */
}

static bool add_entry(sb_record *record, size_t i)
{
    const sb_season *season = record->state->season;
    const sb_log_entry *entry = &record->state->log->entries.items[i];
    bool added = true;
    if (entry->is_struck || (entry->kind != SB_LOG_CUT && entry->kind != SB_LOG_SEEDLINGS))
        return true;
    sb_record_line line = {.kind = SB_RECORD_CUT,
                           .field = field_named(season, entry->field),
                           .entry = i,
                           .counted = i,
                           .weed = -1,
                           .cut_ha = NAN,
                           .expected = NAN,
                           .found = NAN};
    if (entry->kind == SB_LOG_CUT) {
        line.cut_ha = cut_ha_of(record->state, i);
        return add(record, line);
    }
    line.kind = SB_RECORD_SEEDLINGS;
    for (size_t w = 0; w < season->setup.n_weeds && added; w++) {
        line.weed = (int)w;
        line.found = sb_log_entry_count(entry, season->setup.weeds[w].id);
        if (!isnan(line.found))
            added = add(record, line);
    }
    return added;
}

static int compare_lines(const void *a, const void *b)
{
    const sb_record_line *one = a, *other = b;
    if (one->grower != other->grower)
        return one->grower < other->grower ? -1 : 1;
    if (one->place != other->place)
        return one->place < other->place ? -1 : 1;
    if (one->kind != other->kind)
        return one->kind < other->kind ? -1 : 1;
    if (one->weed != other->weed)
        return one->weed < other->weed ? -1 : 1;
    return one->origin < other->origin ? -1 : one->origin > other->origin;
}

sb_status sb_record_make(const sb_log_state *state, sb_record *record)
{
    *record = (sb_record){.state = state};
    bool added = true;
    for (size_t i = 0; i < state->log->entries.count && added; i++)
        added = add_entry(record, i);
    for (size_t i = 0; i < state->tarps.count && added; i++)
        added = add_cleanout(record, &state->tarps.items[i]);
    for (size_t i = 0; i < state->season->n_fields && added; i++)
        added = add_field(record, i);
    if (record->lines.count > 0)
        qsort(record->lines.items, record->lines.count, sizeof *record->lines.items, compare_lines);
    return added ? SB_OK : SB_ERR_NOMEM;
}

void sb_record_release(sb_record *record)
{
    sb_free(record->lines.items);
    *record = (sb_record){0};
}

/* ---- The public calls --------------------------------------------------------------------------
 */

static sb_status render(const void *context, size_t i, sb_text *text)
{
    const sb_record *record = context;
    switch (i) {
    case 0:
        return sb_render_record_csv(record, text);
    case 1:
        return sb_render_record_html(record, text);
    default:
        return sb_render_scouting_gpx(record->state, text);
    }
}

sb_status sb_write_record(const sb_season *season, const sb_log *log, const char *folder,
                          sb_report *report)
{
    static const char *const names[] = {"record.csv", "record.html", "scouting.gpx"};
    if (season == NULL || log == NULL || folder == NULL || report == NULL)
        return SB_ERR_ARG;
    sb_log_state state;
    sb_record record = {0};
    sb_status status = sb_log_replay(season, log, report, &state);
    if (status == SB_OK)
        status = sb_record_make(&state, &record);
    sb_file_set set = {sizeof names / sizeof *names, names, render, &record};
    if (status == SB_OK)
        status = sb_write_set(&set, folder, report);
    sb_record_release(&record);
    sb_log_state_release(&state);
    return sb_report_settle(report, status);
}

sb_status sb_print_record_csv(const sb_season *season, const sb_log *log, sb_report *report,
                              FILE *stream)
{
    if (season == NULL || log == NULL || stream == NULL || report == NULL)
        return SB_ERR_ARG;
    sb_log_state state;
    sb_record record = {0};
    sb_text text = {0};
    sb_status status = sb_log_replay(season, log, report, &state);
    if (status == SB_OK)
        status = sb_record_make(&state, &record);
    if (status == SB_OK)
        status = sb_render_record_csv(&record, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    sb_record_release(&record);
    sb_log_state_release(&state);
    return status;
}
