/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One step of the trade-off curve in words: which cleanouts change, what that takes and what it
 * saves. Made of the two plans' numbers only. */
#include <math.h>
#include <stdlib.h>

#include "write/trade.h"
#include "write/words.h"

/* Cleanouts that a sentence names before it counts the others. */
#define MOST_NAMED 4
/* Saved money shown for each unit spent, from this much money spent on. */
#define LEAST_SPENT 0.005

/* The cleanout before a field, and the field cut before it (-1: it comes first). */
static void find_stop(const sb_plan *plan, int field, int *level, int *before)
{
    const sb_route *route = &plan->routes[0];
    for (size_t t = 0; t < route->n_stops; t++)
        if (route->stops[t].field == field) {
            *level = route->stops[t].cleanout;
            *before = t > 0 ? route->stops[t - 1].field : -1;
        }
}

/* "Deep clean before Oat Slough instead of Blow down"; the first letter is the name's own. */
static void add_change(const sb_season *season, int field, int from, int to, sb_add_name *add_name,
                       sb_text *text)
{
    const sb_cleanout *levels = season->setup.cleanouts;
    if (to > 0)
        add_name(text, levels[to].name);
    else
        sb_text_addf(text, "nothing");
    sb_text_addf(text, " before ");
    add_name(text, season->fields[field].name);
    if (from > 0) {
        sb_text_addf(text, " instead of ");
        add_name(text, levels[from].name);
    }
}

/* Changes of full cleanouts come first: they are what the step is about. */
static void add_changes(const sb_season *season, const sb_plan *from, const sb_plan *to,
                        sb_add_name *add_name, sb_text *text)
{
    const sb_cleanout *levels = season->setup.cleanouts;
    int named = 0, unnamed = 0, moved = 0;
    for (int full = 1; full >= 0; full--)
        for (int j = 0; j < (int)season->n_fields; j++) {
            int level[2] = {0, 0}, before[2] = {0, 0};
            find_stop(from, j, &level[0], &before[0]);
            find_stop(to, j, &level[1], &before[1]);
            if (full)
                moved += before[0] != before[1];
            if (level[0] == level[1] || (levels[level[0]].full != levels[level[1]].full) != full)
                continue;
            if (named == MOST_NAMED) {
                unnamed++;
                continue;
            }
            sb_text_addf(text, "%s", named++ > 0 ? ", " : "");
            add_change(season, j, level[0], level[1], add_name, text);
        }
    if (unnamed > 0)
        sb_text_addf(text, " and %d more cleanout%s changed", unnamed, unnamed > 1 ? "s" : "");
    if (moved > 0)
        sb_text_addf(text, "%s%d field%s cut after another field than before",
                     named > 0 ? "; " : "", moved, moved > 1 ? "s are" : " is");
}

static void add_money(const sb_season *season, double money, const char *more, const char *less,
                      sb_text *text)
{
    sb_words_money(text, season, fabs(money));
    sb_text_addf(text, " %s", money >= 0 ? more : less);
}

void sb_trade_step(const sb_season *season, const sb_curve_point *from, const sb_curve_point *to,
                   double spread_weight, sb_add_name *add_name, sb_text *text)
{
    double spent = to->trade.money - from->trade.money;
    double saved = from->trade.spread - to->trade.spread;
    double seeds = from->trade.seeds - to->trade.seeds;
    add_changes(season, from->plan, to->plan, add_name, text);
    sb_text_addf(text, ". Costs ");
    add_money(season, spent, "more", "less", text);
    sb_text_addf(text, " and saves ");
    sb_words_money(text, season, fabs(saved));
    sb_text_addf(text, saved >= 0 ? " of expected loss, " : " less of expected loss, ");
    sb_words_seeds(text, fabs(seeds));
    sb_text_addf(text, " seeds %s", seeds >= 0 ? "fewer" : "more");
    if (spent > LEAST_SPENT && saved > 0)
        sb_text_addf(text, ": %.2f saved for each 1 spent", saved / spent);
    sb_text_addf(text, ".%s", spread_weight * saved > spent ? " It pays." : "");
    if (spread_weight * saved <= spent) {
        sb_text_addf(text, " It does not pay");
        if (saved > 0)
            sb_text_addf(text, " unless spread counts %.2f times or more", spent / saved);
        sb_text_addf(text, ".");
    }
}

void sb_trade_full_name(int count, sb_text *text)
{
    static const char *const ordinals[] = {"no",    "first",   "second", "third", "fourth", "fifth",
                                           "sixth", "seventh", "eighth", "ninth", "tenth"};
    if (count < (int)(sizeof ordinals / sizeof *ordinals))
        sb_text_addf(text, "%s full cleanout", ordinals[count]);
    else
        sb_text_addf(text, "full cleanout number %d", count);
}
