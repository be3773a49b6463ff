/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/why_move.h"

#include <math.h>
#include <string.h>

#include "base/near.h"
#include "base/report.h"
#include "write/breach.h"
#include "write/columns.h"
#include "write/receipts.h"
#include "write/stream.h"
#include "write/words.h"

/* Less money than this is not worth a word. */
#define LEAST_PART 0.005

typedef struct teller {
    const sb_season *season;
    const sb_route *route;
    size_t i;
    const sb_move *move;
    sb_add_name *add_name;
    sb_text *text;
} teller;

static const sb_stop *stop_of(const teller *t, size_t i)
{
    return &t->route->stops[i];
}

static void add_field(const teller *t, size_t stop)
{
    t->add_name(t->text, t->season->fields[stop_of(t, stop)->field].name);
}

static void add_level(const teller *t, int level)
{
    if (level > 0)
        t->add_name(t->text, t->season->setup.cleanouts[level].name);
    else
        sb_text_addf(t->text, "no cleanout");
}

/* "120 USD dearer", "40.00 USD cheaper", "the same". */
static void add_difference(const teller *t, const sb_otherwise *other)
{
    double more = other->more.total;
    if (!isfinite(more)) {
        sb_text_addf(t->text, "no way to price it");
    } else if (fabs(more) < LEAST_PART) {
        sb_text_addf(t->text, "the same");
    } else {
        sb_words_money(t->text, t->season, fabs(more));
        sb_text_addf(t->text, more > 0 ? " dearer" : " cheaper");
    }
    if (other->breaks && other->breach.rule == SB_BROKEN_NONE)
        sb_text_addf(t->text, " and breaks the rule on the growers' losses");
}

/* " (travel -20, spread +520)": what makes the difference. */
static void add_parts(const teller *t, const sb_cost *more)
{
    const struct {
        const char *name;
        double money;
    } parts[] = {{"travel", more->travel},
                 {"cleaning", more->cleanout},
                 {"spread", more->spread},
                 {"delay", more->delay}};
    bool any = false;
    for (size_t p = 0; p < sizeof parts / sizeof *parts; p++) {
        if (!isfinite(parts[p].money) || fabs(parts[p].money) < LEAST_PART)
            continue;
        sb_text_addf(t->text, "%s%s %s", any ? ", " : " (", parts[p].name,
                     parts[p].money > 0 ? "+" : "");
        sb_words_money(t->text, t->season, parts[p].money);
        any = true;
    }
    if (any)
        sb_text_addf(t->text, ")");
}

/* ", but Chapel would receive 310 seeds/ha of Kochia, its limit is 200". */
static void add_breach(const teller *t, const sb_otherwise *other)
{
    if (other->breach.rule == SB_BROKEN_NONE)
        return;
    sb_text_addf(t->text, other->more.total > 0 ? ", and " : ", but ");
    sb_breach_words(t->season, &other->breach, t->add_name, t->text);
}

/* Does any cleanout let seeds of this weed through? */
static bool weed_arrives(const teller *t, size_t weed)
{
    for (size_t l = 0; l < t->season->setup.n_cleanouts; l++)
        if (t->move->brought[l][weed] >= SB_SEEDS_TOLD)
            return true;
    return false;
}

static void tell_seeds(const teller *t)
{
    const sb_setup *setup = &t->season->setup;
    bool any = false;
    for (size_t k = 0; k < setup->n_weeds; k++) {
        if (!weed_arrives(t, k))
            continue;
        sb_text_addf(t->text, any ? ". " : "Seeds that arrive: ");
        t->add_name(t->text, setup->weeds[k].name);
        for (size_t l = 0; l < setup->n_cleanouts; l++) {
            sb_text_addf(t->text, l > 0 ? ", " : " ");
            sb_words_seeds(t->text, t->move->brought[l][k]);
            sb_text_addf(t->text, " after ");
            add_level(t, (int)l);
            if ((int)l == stop_of(t, t->i)->cleanout)
                sb_text_addf(t->text, " (as planned)");
        }
        any = true;
    }
    sb_text_addf(t->text, any ? "." : "No seeds arrive, whatever the cleanout.");
}

static void tell_gifts(const teller *t)
{
    const sb_move *move = t->move;
    if (move->n_gifts == 0 || move->gifts[0].loss < LEAST_PART)
        return;
    sb_text_addf(t->text, "\nMost of what they cost comes from ");
    for (size_t g = 0; g < move->n_gifts && move->gifts[g].loss >= LEAST_PART; g++) {
        const sb_gift *gift = &move->gifts[g];
        sb_text_addf(t->text, g > 0 ? ", " : "");
        t->add_name(t->text, sb_origin_name(t->season, (size_t)gift->from));
        sb_text_addf(t->text, " (");
        sb_words_some_seeds(t->text, gift->seeds);
        sb_text_addf(t->text, " of ");
        t->add_name(t->text, t->season->setup.weeds[gift->weed].name);
        sb_text_addf(t->text, ", ");
        sb_words_money(t->text, t->season, gift->loss);
        sb_text_addf(t->text, ")");
    }
    sb_text_addf(t->text, ".");
}

static void tell_levels(const teller *t)
{
    int own = stop_of(t, t->i)->cleanout, told = 0;
    for (int level = 0; level < (int)t->season->setup.n_cleanouts; level++) {
        if (level == own)
            continue;
        sb_text_addf(t->text, told++ > 0 ? "; " : "\nInstead of ");
        if (told == 1) {
            add_level(t, own);
            sb_text_addf(t->text, ": ");
        }
        add_level(t, level);
        sb_text_addf(t->text, ", ");
        add_difference(t, &t->move->level[level]);
        add_parts(t, &t->move->level[level].more);
        add_breach(t, &t->move->level[level]);
    }
    if (told > 0)
        sb_text_addf(t->text, ".");
}

static void tell_place(const teller *t)
{
    const sb_move *move = t->move;
    if (t->route->n_stops < 2)
        return;
    if (move->place < 0) {
        sb_text_addf(t->text, "\nNo other place near by keeps the rules for this field.");
    } else {
        size_t place = (size_t)move->place;
        sb_text_addf(t->text, "\nIts best other place is stop %zu, %s ", place + 1,
                     place < t->i ? "before" : "after");
        add_field(t, place);
        sb_text_addf(t->text, ": ");
        add_difference(t, &move->elsewhere);
        add_parts(t, &move->elsewhere.more);
        sb_text_addf(t->text, ".");
    }
    if (move->last || move->place == (int)t->i + 1)
        return;
    sb_text_addf(t->text, " Cut after ");
    add_field(t, t->i + 1);
    sb_text_addf(t->text, " instead: ");
    add_difference(t, &move->swap);
    add_breach(t, &move->swap);
    sb_text_addf(t->text, ".");
}

static void tell_nearer(const teller *t)
{
    const sb_move *move = t->move;
    if (move->nearer < 0) {
        sb_text_addf(t->text, move->last ? "" : "\nNo field that is cut later lies nearer.");
        return;
    }
    sb_text_addf(t->text, "\n");
    add_field(t, (size_t)move->nearer);
    sb_text_addf(t->text, " lies nearer (");
    sb_words_km(t->text, move->nearer_km);
    sb_text_addf(t->text, " instead of ");
    sb_words_km(t->text, stop_of(t, t->i)->km);
    bool better = move->first.more.total < 0 && !move->first.breaks;
    sb_text_addf(t->text, better ? "), and to go there first is " : "), but to go there first is ");
    add_difference(t, &move->first);
    add_parts(t, &move->first.more);
    add_breach(t, &move->first);
    sb_text_addf(t->text, ".");
}

void sb_why_move(const sb_season *season, const sb_route *route, size_t i, sb_add_name *add_name,
                 sb_text *text)
{
    teller t = {season, route, i, &route->moves[i], add_name, text};
    tell_seeds(&t);
    tell_gifts(&t);
    tell_levels(&t);
    tell_place(&t);
    tell_nearer(&t);
}

/* ---- On the terminal ----------------------------------------------------------------------- */

/* Sentences are parted by newlines; each begins a line of its own. */
static void add_sentences(sb_text *text, char *sentences)
{
    for (char *line = sentences; line != NULL;) {
        char *end = line;
        while (*end != '\n' && *end != '\0')
            end++;
        bool more = *end == '\n';
        *end = '\0';
        sb_text_addf(text, "   ");
        sb_columns_wrap(text, line, 3, 3);
        line = more ? end + 1 : NULL;
    }
}

static void add_stop(const sb_season *season, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    sb_text line = {0};
    sb_text_addf(&line, "%zu %s, ", i + 1, season->fields[stop->field].name);
    sb_words_km(&line, stop->km);
    if (i > 0)
        sb_text_addf(&line, " from %s", season->fields[route->stops[i - 1].field].name);
    if (stop->cleanout > 0)
        sb_text_addf(&line, ", %s before", season->setup.cleanouts[stop->cleanout].name);
    sb_columns_wrap(text, sb_text_get(&line), 0, 3);
    sb_text_clear(&line);
    sb_why_move(season, route, i, sb_add_plain_name, &line);
    if (line.bytes != NULL)
        add_sentences(text, line.bytes);
    text->failed |= line.failed;
    sb_text_release(&line);
}

static const char *field_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->fields[i].name;
}

/* The field of that name, or an error that says which it may have been. */
static sb_status find_field(const sb_season *season, const char *name, sb_report *report,
                            size_t *field)
{
    for (*field = 0; *field < season->n_fields; ++*field)
        if (strcmp(season->fields[*field].name, name) == 0)
            return SB_OK;
    sb_text near = {0};
    sb_text_add_meant(&near, name, field_at, season, season->n_fields);
    sb_status status = near.failed ? SB_ERR_NOMEM
                                   : sb_bad(report, NULL, 0, "no field '%s' in the season%s", name,
                                            sb_text_get(&near));
    sb_text_release(&near);
    return status;
}

sb_status sb_print_why(const sb_season *season, const sb_plan *plan, const char *field,
                       sb_report *report, FILE *stream)
{
    if (season == NULL || plan == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_plan *copy = NULL;
    const sb_plan *explained = plan;
    sb_text text = {0};
    size_t wanted = season->n_fields;
    sb_status status = field != NULL ? find_field(season, field, report, &wanted) : SB_OK;
    if (status == SB_OK)
        status = sb_plan_explained(season, plan, SB_EXPLAIN_MOVES, &copy, &explained);
    for (size_t r = 0; status == SB_OK && r < explained->n_routes; r++)
        for (size_t i = 0; i < explained->routes[r].n_stops; i++)
            if (field == NULL || explained->routes[r].stops[i].field == (int)wanted)
                add_stop(season, &explained->routes[r], i, &text);
    if (text.count > 0)
        sb_columns_wrap(&text,
                        "Each by pricing the whole plan again; where the order changes, every "
                        "field keeps the cleanout before it.",
                        0, 0);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    sb_plan_free(copy);
    return sb_report_settle(report, status);
}
