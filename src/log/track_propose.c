/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the stays of a track to entries of the log. */
#define _POSIX_C_SOURCE 200809L
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/report.h"
#include "log/track.h"
#include "season/named.h"
#include "write/columns.h"
#include "write/stream.h"
#include "write/words.h"

#define MOST_WORDS 7
#define NAME 20 /* columns */

/* What an entry says; the words point into it. */
typedef struct proposed {
    char from[17], to[17], ha[32];
    sb_log_word words[MOST_WORDS];
    size_t n_words;
} proposed;

struct sb_proposal {
    char *machine, *why;
    char **fields;   /* n_entries */
    proposed *texts; /* n_entries */
    sb_log_said *entries;
    size_t n_entries;
    sb_text table;
};

/* A track on its season. */
typedef struct tracked {
    const char *path;
    sb_report *report;
    sb_season *season;
    sb_log *log;
    sb_log_state state;
    sb_track track;
    sb_stays stays;
    int machine;
} tracked;

void sb_proposal_free(sb_proposal *p)
{
    if (p == NULL)
        return;
    for (size_t i = 0; p->fields != NULL && i < p->n_entries; i++)
        sb_free(p->fields[i]);
    sb_free(p->machine);
    sb_free(p->why);
    sb_free(p->fields);
    sb_free(p->texts);
    sb_free(p->entries);
    sb_text_release(&p->table);
    sb_free(p);
}

const sb_log_said *sb_proposal_entries(const sb_proposal *proposal, size_t *count)
{
    *count = proposal->n_entries;
    return proposal->entries;
}

/* ---- The table --------------------------------------------------------------------------------
 */

static void add_time(sb_text *text, long long seconds)
{
    char stamp[17];
    sb_moment_format(sb_moment_local(seconds), stamp);
    stamp[10] = ' ';
    sb_text_addf(text, "%s", stamp);
}

static void add_stay(const tracked *t, const sb_stay *stay, sb_text *table)
{
    const sb_field *field = &t->season->fields[stay->field];
    sb_text words = {0};
    if (stay->counts || stay->logged > 0) {
        add_time(&words, stay->from_s);
        sb_text_addf(&words, " to ");
        add_time(&words, stay->to_s);
    } else {
        sb_text_addf(&words, "passed, ");
        sb_words_minutes(&words, (double)(stay->to_s - stay->from_s) / 60);
    }
    if (stay->logged > 0) {
        sb_text_addf(&words, ", in the log already: entry %zu", stay->logged);
    } else if (stay->counts) {
        sb_text_addf(&words, ", %.1f of ", stay->share * field->area_ha);
        sb_words_area(&words, field->area_ha);
        sb_text_addf(&words, "%s", stay->finishes ? "" : ", not finished");
    }
    sb_columns_add(table, field->name, NAME, false);
    sb_text_addf(table, " ");
    sb_columns_wrap(table, sb_text_get(&words), NAME + 1, NAME + 1);
    table->failed |= words.failed;
    sb_text_release(&words);
}

static void add_table(const tracked *t, sb_text *table)
{
    const sb_machine *machine = &t->season->setup.machines[t->machine];
    sb_text_addf(table, "Track of %s, a swath of %g m\n", machine->name, machine->header_m);
    for (size_t i = 0; i < t->stays.count; i++)
        add_stay(t, &t->stays.items[i], table);
}

/* ---- The entries ------------------------------------------------------------------------------
 */

static void say(proposed *text, const char *key, const char *value)
{
    text->words[text->n_words++] = (sb_log_word){key, value};
}

static bool propose(const tracked *t, const sb_stay *stay, sb_proposal *p)
{
    const sb_field *field = &t->season->fields[stay->field];
    size_t i = p->n_entries;
    proposed *text = &p->texts[i];
    p->fields[i] = sb_strdup(field->name);
    if (p->fields[i] == NULL)
        return false;
    sb_text ha = {0};
    sb_text_addf(&ha, "%.2f", stay->share * field->area_ha);
    snprintf(text->ha, sizeof text->ha, "%s", sb_text_get(&ha));
    bool failed = ha.failed;
    sb_text_release(&ha);
    sb_moment_format(sb_moment_local(stay->from_s), text->from);
    sb_moment_format(sb_moment_local(stay->to_s), text->to);
    say(text, "machine", p->machine);
    say(text, "field", p->fields[i]);
    say(text, "from", text->from);
    say(text, "to", text->to);
    if (strcmp(text->ha, "0.00") != 0)
        say(text, "ha", text->ha);
    if (!stay->finishes)
        say(text, "part", "true");
    say(text, "why", p->why);
    p->entries[i] = (sb_log_said){"cut", text->words, text->n_words};
    p->n_entries++;
    return !failed;
}

/* Is it a field that this track can have cut? */
static sb_status may_be_cut(const tracked *t, const sb_stay *stay)
{
    const sb_field *field = &t->season->fields[stay->field];
    const sb_field_state *state = &t->state.fields[stay->field];
    char at[17];
    sb_moment_format(sb_moment_local(stay->from_s), at);
    if (state->finished || state->dropped)
        return sb_bad(t->report, t->path, 0,
                      "field '%s' cut from %s on, but entry %ld of the log says that it %s",
                      field->name, at, t->log->entries.items[state->entry].number,
                      state->finished ? "was cut" : "was dropped");
    if (field->n_split > 0)
        return sb_bad(t->report, t->path, 0,
                      "field '%s' cut from %s on, which is split between machines into %d parts "
                      "without an outline: the track cannot tell which part this is; expected "
                      "entries by hand, as cut '%s', or a field with an outline for each part",
                      field->whole, at, field->n_split, field->name);
    return SB_OK;
}

/* Everything that the track shows stands in the log. */
static sb_status refuse_logged(const tracked *t)
{
    sb_text logged = {0};
    for (size_t i = 0; i < t->stays.count; i++) {
        const sb_stay *stay = &t->stays.items[i];
        if (stay->logged == 0)
            continue;
        sb_text_addf(&logged, "%s '%s' ", logged.count > 0 ? ";" : "",
                     t->season->fields[stay->field].name);
        add_time(&logged, stay->from_s);
        sb_text_addf(&logged, " to ");
        add_time(&logged, stay->to_s);
        sb_text_addf(&logged, " is entry %zu", stay->logged);
    }
    sb_status status = sb_bad(t->report, t->path, 0,
                              "what this track shows is in the log already:%s; expected something "
                              "new",
                              sb_text_get(&logged));
    sb_text_release(&logged);
    return status;
}

static sb_status fill(const tracked *t, sb_proposal *p)
{
    const char *slash = strrchr(t->path, '/');
    sb_text why = {0};
    sb_text_addf(&why, "track %s", slash != NULL ? slash + 1 : t->path);
    p->why = why.bytes; /* handed over */
    p->machine = sb_strdup(t->season->setup.machines[t->machine].id);
    p->fields = sb_alloc(t->stays.count, sizeof *p->fields);
    p->texts = sb_alloc(t->stays.count, sizeof *p->texts);
    p->entries = sb_alloc(t->stays.count, sizeof *p->entries);
    if (why.failed || !p->why || !p->machine || !p->fields || !p->texts || !p->entries)
        return SB_ERR_NOMEM;
    sb_status status = SB_OK;
    size_t n_logged = 0;
    for (size_t i = 0; i < t->stays.count; i++) {
        const sb_stay *stay = &t->stays.items[i];
        n_logged += stay->logged > 0;
        if (!stay->counts)
            continue;
        sb_status fits = may_be_cut(t, stay);
        status = status == SB_OK ? fits : status;
        if (fits == SB_OK && !propose(t, stay, p))
            return SB_ERR_NOMEM;
    }
    add_table(t, &p->table);
    if (status == SB_OK && p->n_entries == 0 && n_logged > 0)
        status = refuse_logged(t);
    else if (status == SB_OK && p->n_entries == 0)
        status = sb_bad(t->report, t->path, 0,
                        "the track stays in no field long enough to have cut there, expected %d "
                        "min and %g %% of its area at least",
                        SB_TRACK_STAY_S / 60, SB_TRACK_SHARE * 100);
    return p->table.failed ? SB_ERR_NOMEM : status;
}

/* ---- The whole --------------------------------------------------------------------------------
 */

static sb_status find_machine(tracked *t, const char *id)
{
    const sb_setup *setup = &t->season->setup;
    t->machine = 0;
    if (id == NULL && setup->n_machines == 1)
        return SB_OK;
    if (id != NULL)
        return sb_machine_named(t->season, id, t->path, t->report, &t->machine);
    sb_text names = {0};
    sb_add_machine_names(t->season, &names);
    sb_status status = sb_bad(t->report, t->path, 0,
                              "%zu machines in the season, expected one of %s to be named "
                              "(--machine): a track is of one machine",
                              setup->n_machines, sb_text_get(&names));
    sb_text_release(&names);
    return status;
}

/* The season as the log knows it. */
static sb_status read_season(tracked *t, const sb_log_addition *where)
{
    sb_status status = access(where->log_path, F_OK) == 0
                           ? sb_log_read(where->log_path, t->report, &t->log)
                           : sb_log_new(where->log_path, &t->log);
    if (status == SB_OK)
        status = sb_season_read_log(t->log, where->files, where->n_files, where->options, t->report,
                                    &t->season);
    return status == SB_OK ? sb_log_replay(t->season, t->log, t->report, &t->state) : status;
}

/* Marks the stays of which the log has an entry: the machine's, in that field, over that time. */
static bool mark_logged(const tracked *t)
{
    bool any = false;
    for (size_t i = 0; i < t->stays.count; i++) {
        sb_stay *stay = &t->stays.items[i];
        sb_moment from = sb_moment_local(stay->from_s), to = sb_moment_local(stay->to_s);
        if (!stay->counts)
            continue;
        for (size_t s = 0; s < t->state.steps.count; s++) {
            const sb_log_step *step = &t->state.steps.items[s];
            const sb_log_entry *entry = &t->log->entries.items[step->entry];
            if (step->machine == t->machine && step->field == stay->field &&
                entry->from != SB_NO_MOMENT && entry->from <= from && entry->to >= to)
                stay->logged = (size_t)entry->number;
        }
        any |= stay->logged > 0;
    }
    return any;
}

static sb_status match(tracked *t)
{
    size_t n = t->season->n_fields;
    double width_m = t->season->setup.machines[t->machine].header_m;
    double *cut_share = sb_alloc(n, sizeof *cut_share);
    if (cut_share == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++)
        cut_share[i] = t->state.fields[i].cut_share;
    sb_status status = sb_track_read(t->path, t->report, &t->track);
    if (status == SB_OK)
        status = sb_track_stays(t->season, &t->track, width_m, cut_share, &t->stays);
    if (status == SB_OK && mark_logged(t))
        status = sb_track_judge(t->season, width_m, cut_share, &t->stays);
    sb_free(cut_share);
    return status;
}

sb_status sb_log_propose(const sb_log_addition *where, const char *track, const char *machine,
                         sb_report *report, sb_proposal **proposal)
{
    if (where == NULL || track == NULL || report == NULL || proposal == NULL ||
        where->log_path == NULL)
        return SB_ERR_ARG;
    *proposal = NULL;
    tracked t = {.path = track, .report = report};
    sb_proposal *made = sb_alloc(1, sizeof *made);
    sb_status status = made != NULL ? read_season(&t, where) : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = find_machine(&t, machine);
    if (status == SB_OK)
        status = match(&t);
    if (status == SB_OK)
        status = fill(&t, made);
    status = sb_report_settle(report, status);
    if (status == SB_OK) {
        *proposal = made;
        made = NULL;
    }
    sb_proposal_free(made);
    sb_free(t.stays.items);
    sb_track_release(&t.track);
    if (t.state.season != NULL)
        sb_log_state_release(&t.state);
    sb_season_free(t.season);
    sb_log_free(t.log);
    return status;
}

sb_status sb_print_proposal(const sb_proposal *proposal, FILE *stream)
{
    if (proposal == NULL || stream == NULL)
        return SB_ERR_ARG;
    return sb_stream_text(&proposal->table, stream);
}
