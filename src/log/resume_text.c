/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a season stands, in words and tables. */
#include <math.h>

#include "log/resume.h"
#include "write/columns.h"
#include "write/lessons.h"
#include "write/stream.h"
#include "write/why.h"
#include "write/words.h"

#define NAME 24 /* columns */
#define SEEDS 10

typedef struct page {
    const sb_resumed *resumed;
    sb_text *text;
    int weeds[SB_MAX_WEEDS];
    int n_weeds;
} page;

static void choose_weeds(page *p)
{
    for (int w = 0; w < (int)p->resumed->whole->setup.n_weeds; w++)
        if (sb_weed_in_play(p->resumed->whole, w))
            p->weeds[p->n_weeds++] = w;
}

static const char *place_name(const sb_season *season, int place)
{
    size_t p = (size_t)place;
    return p < season->n_fields ? season->fields[p].name : season->yards[p - season->n_fields].name;
}

static void wrap(page *p, sb_text *words)
{
    sb_columns_wrap(p->text, sb_text_get(words), 0, 2);
    p->text->failed |= words->failed;
    sb_text_release(words);
}

static void add_position(page *p, size_t m)
{
    const sb_resumed *resumed = p->resumed;
    const sb_season *season = resumed->whole;
    const sb_machine_state *state = &resumed->state.machines[m];
    sb_text words = {0};
    sb_words_machine(&words, season, (int)m, sb_add_plain_name);
    sb_text_addf(&words, " ");
    if (!state->worked) {
        sb_text_addf(&words, "has not begun");
    } else {
        sb_text_addf(&words, "stands %s '%s', free from ",
                     state->place < (int)season->n_fields ? "in" : "at",
                     place_name(season, state->place));
        sb_words_moment(&words, &season->setup.calendar, state->free_h, false);
        if (state->cleanout >= 0)
            sb_text_addf(&words, ", cleaned since its last field: %s",
                         season->setup.cleanouts[state->cleanout].id);
        if (state->half_way) {
            const sb_field_state *field = &resumed->state.fields[state->place];
            sb_text_addf(&words, "; ");
            sb_words_area(&words, season->fields[state->place].area_ha * (1 - field->cut_share));
            sb_text_addf(&words, " of it are still to cut");
        }
    }
    wrap(p, &words);
}

/* What the end of the season still asks of a machine when no plan is left to say so. */
static void add_way_home(page *p, size_t m)
{
    const sb_resumed *resumed = p->resumed;
    const sb_season *season = resumed->whole;
    const sb_machine_state *state = &resumed->state.machines[m];
    if (!sb_resumed_is_over(resumed) || !sb_state_is_due_home(&resumed->state, (int)m))
        return;
    sb_text words = {0};
    sb_text_addf(&words, "Still to do:");
    int yard = sb_season_yard_place(season, (int)m);
    if (state->place != yard) {
        sb_text_addf(&words, " home to '%s', ", place_name(season, yard));
        sb_words_km(&words, sb_season_km(season, state->place, yard));
    }
    int final_cleanout = season->joins[m].final_cleanout;
    if (!sb_season_satisfies(season, state->cleanout, final_cleanout)) {
        sb_text_addf(&words, "%s cleanout '%s', ", state->place != yard ? ", and there" : "",
                     season->setup.cleanouts[final_cleanout].id);
        sb_words_minutes(&words, season->setup.cleanouts[final_cleanout].minutes);
    }
    sb_text_addf(&words, ".");
    sb_text_addf(p->text, "  ");
    sb_columns_wrap(p->text, sb_text_get(&words), 2, 2);
    p->text->failed |= words.failed;
    sb_text_release(&words);
}

/* ---- What a machine holds ---------------------------------------------------------------------
 */

static void add_heads(page *p, const char *first)
{
    const char *names[SB_MAX_WEEDS];
    int widths[SB_MAX_WEEDS];
    for (int i = 0; i < p->n_weeds; i++) {
        names[i] = p->resumed->whole->setup.weeds[p->weeds[i]].name;
        widths[i] = SEEDS;
    }
    sb_text head = {0};
    sb_columns_add(&head, first, NAME, false);
    sb_columns_heads(p->text, sb_text_get(&head), names, widths, p->n_weeds);
    p->text->failed |= head.failed;
    sb_text_release(&head);
}

static void add_row(page *p, const char *name, const double *seeds)
{
    sb_columns_add(p->text, name, NAME, false);
    for (int i = 0; i < p->n_weeds; i++) {
        sb_text cell = {0};
        sb_words_seeds(&cell, seeds[p->weeds[i]]);
        sb_text_addf(p->text, " ");
        sb_columns_add(p->text, sb_text_get(&cell), SEEDS, true);
        p->text->failed |= cell.failed;
        sb_text_release(&cell);
    }
    sb_text_addf(p->text, "\n");
}

/* "Rock trap" of "rock_trap": the full names are too long for the column. */
static void add_section_word(sb_text *text, const char *id)
{
    for (const char *c = id; *c != '\0'; c++) {
        char shown = *c;
        if (shown == '_')
            shown = ' ';
        else if (c == id && shown >= 'a' && shown <= 'z')
            shown = (char)(shown - 'a' + 'A');
        sb_text_add(text, &shown, 1);
    }
}

static void add_sections(page *p, size_t m)
{
    const sb_season *season = p->resumed->whole;
    const sb_machine_state *state = &p->resumed->state.machines[m];
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++) {
        double seeds[SB_MAX_WEEDS] = {0};
        for (size_t o = 0; o <= season->n_fields; o++)
            for (size_t w = 0; w < season->setup.n_weeds; w++)
                seeds[w] += state->loads[o].seeds[pool][w];
        sb_text name = {0};
        add_section_word(&name, season->setup.machines[m].sections[pool / 2].id);
        sb_text_addf(&name, ", %s", pool % 2 ? "lodged" : "loose");
        add_row(p, sb_text_get(&name), seeds);
        p->text->failed |= name.failed;
        sb_text_release(&name);
    }
}

static void add_origins(page *p, size_t m)
{
    const sb_season *season = p->resumed->whole;
    const sb_machine_state *state = &p->resumed->state.machines[m];
    for (size_t o = 0; o <= season->n_fields; o++) {
        double seeds[SB_MAX_WEEDS] = {0}, most = 0;
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
                seeds[w] += state->loads[o].seeds[pool][w];
            most = fmax(most, seeds[w]);
        }
        if (most < SB_SEEDS_TOLD)
            continue;
        sb_text name = {0};
        sb_text_addf(&name, "from %s",
                     o < season->n_fields ? season->fields[o].name : "before the season");
        add_row(p, sb_text_get(&name), seeds);
        p->text->failed |= name.failed;
        sb_text_release(&name);
    }
}

static bool holds_seeds(const page *p, size_t m)
{
    for (int i = 0; i < p->n_weeds; i++)
        if (sb_machine_state_seeds(&p->resumed->state, (int)m, p->weeds[i]) >= SB_SEEDS_TOLD)
            return true;
    return false;
}

static void add_machines(page *p)
{
    const sb_resumed *resumed = p->resumed;
    for (size_t m = 0; m < resumed->whole->setup.n_machines; m++) {
        add_position(p, m);
        add_way_home(p, m);
        if (!holds_seeds(p, m)) {
            sb_text_addf(p->text, "  It holds no seeds.\n");
            continue;
        }
        add_heads(p, "Seeds in the machine");
        add_sections(p, m);
        add_origins(p, m);
    }
}

/* ---- Fields ------------------------------------------------------------------------------------
 */

/* Hectares that the log's cuts leave standing for good. */
static double left_ha(const sb_log *log)
{
    double ha = 0;
    for (size_t i = 0; i < log->entries.count; i++) {
        const sb_log_entry *entry = &log->entries.items[i];
        if (entry->kind == SB_LOG_CUT && !entry->is_struck && !isnan(entry->left_ha))
            ha += entry->left_ha;
    }
    return ha;
}

static void add_fields(page *p)
{
    const sb_log_state *state = &p->resumed->state;
    size_t cut = 0, dropped = 0, begun = 0;
    for (size_t i = 0; i < p->resumed->whole->n_fields; i++) {
        cut += state->fields[i].finished;
        dropped += state->fields[i].dropped;
        begun += !state->fields[i].finished && !state->fields[i].dropped &&
                 state->fields[i].cut_share > 0;
    }
    sb_text words = {0};
    sb_text_addf(&words, "%zu of %zu fields cut", cut, p->resumed->whole->n_fields);
    double left = left_ha(state->log);
    if (left > 0)
        sb_text_addf(&words, " (%.4g ha of them left standing for good)", left);
    if (begun > 0)
        sb_text_addf(&words, ", %zu begun", begun);
    if (dropped > 0)
        sb_text_addf(&words, ", %zu dropped", dropped);
    sb_cost cost = sb_state_cost(state);
    sb_text_addf(&words, "; spent and lost until now: ");
    sb_words_money(&words, p->resumed->whole, cost.total);
    if (sb_resumed_is_over(p->resumed))
        sb_text_addf(&words, ". Nothing is left to cut");
    wrap(p, &words);
}

sb_status sb_print_resumed(const sb_resumed *resumed, FILE *stream)
{
    if (resumed == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    page p = {.resumed = resumed, .text = &text};
    choose_weeds(&p);
    add_fields(&p);
    add_machines(&p);
    if (resumed->whole->lessons.samples > 0) {
        sb_text_addf(&text, "\n");
        sb_lessons_text(resumed->whole, &text);
    }
    sb_against_text(resumed, &text);
    sb_status status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}
