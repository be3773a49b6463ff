/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why every move is as it is: the plan priced again with its level, place or order otherwise. */
#include <math.h>

#include "base/mem.h"
#include "plan/whatif.h"

/* How far from its own a field's other places are looked for, and how many of the cheapest are
 * asked whether they keep the rules. */
#define FARTHEST 40
#define MOST_ASKED 5

typedef struct explainer {
    const sb_season *season;
    const sb_plan *plan;
    sb_whatif *whatif;
    size_t r, i; /* the stop at hand */
    sb_move *move;
} explainer;

static const sb_route *route_of(const explainer *e)
{
    return &e->plan->routes[e->r];
}

static sb_status explain_levels(explainer *e)
{
    int own = route_of(e)->stops[e->i].cleanout;
    sb_status status = SB_OK;
    for (int level = 0; status == SB_OK && level < (int)e->season->setup.n_cleanouts; level++) {
        sb_otherwise *other = &e->move->level[level];
        sb_whatif_brought(e->whatif, e->r, e->i, level, e->move->brought[level]);
        if (level == own)
            continue;
        status = sb_whatif_level(e->whatif, e->r, e->i, level, &other->more);
        if (status == SB_OK)
            status = sb_whatif_breaks(e->whatif, &other->breaks, &other->breach);
    }
    return status;
}

/* The gifts that cost most; of those that cost nothing, the largest. */
static bool weighs_more(const sb_gift *a, const sb_gift *b)
{
    return a->loss != b->loss ? a->loss > b->loss : a->seeds > b->seeds;
}

static void explain_gifts(explainer *e)
{
    const sb_ledger *ledger = &e->plan->ledger;
    sb_move *move = e->move;
    int to = route_of(e)->stops[e->i].field;
    for (size_t from = 0; from <= ledger->n_fields; from++)
        for (size_t k = 0; k < ledger->n_weeds; k++) {
            double seeds =
                ledger->ground[(from * ledger->n_fields + (size_t)to) * ledger->n_weeds + k];
            if (!(seeds > 0))
                continue;
            sb_gift gift = {(int)from, (int)k, seeds,
                            seeds * e->season->fields[to].loss_per_seed[k]};
            size_t at = move->n_gifts < SB_GIFTS ? move->n_gifts++ : SB_GIFTS;
            for (; at > 0 && weighs_more(&gift, &move->gifts[at - 1]); at--)
                if (at < SB_GIFTS)
                    move->gifts[at] = move->gifts[at - 1];
            if (at < SB_GIFTS)
                move->gifts[at] = gift;
        }
}

/* Would a plan that keeps every rule break one with field b cut before field a? */
static bool must_follow(const explainer *e, int b, int a)
{
    const sb_field *field = &e->season->fields[b];
    for (size_t k = 0; k < field->n_after && sb_whatif_broken(e->whatif) == 0; k++)
        if (field->after[k] == a)
            return true;
    return false;
}

/* The stops that field i can take at most. */
static void find_range(const explainer *e, size_t *least, size_t *most)
{
    const sb_route *route = route_of(e);
    int field = route->stops[e->i].field;
    size_t i = e->i;
    for (*least = i; *least > 0 && i - *least < FARTHEST &&
                     !must_follow(e, field, route->stops[*least - 1].field);)
        --*least;
    for (*most = i; *most + 1 < route->n_stops && *most - i < FARTHEST &&
                    !must_follow(e, route->stops[*most + 1].field, field);)
        ++*most;
}

static sb_status explain_place(explainer *e)
{
    size_t least, most;
    double more[2 * FARTHEST + 1] = {0};
    sb_status status = SB_OK;
    e->move->place = -1;
    find_range(e, &least, &most);
    for (size_t to = least; status == SB_OK && to <= most; to++) {
        sb_cost cost = {.total = INFINITY};
        if (to != e->i)
            status = sb_whatif_move(e->whatif, e->r, e->i, to, &cost);
        more[to - least] = isnan(cost.total) ? INFINITY : cost.total;
    }
    for (int asked = 0; status == SB_OK && asked < MOST_ASKED; asked++) {
        size_t best = least;
        for (size_t to = least; to <= most; to++)
            if (more[to - least] < more[best - least])
                best = to;
        if (isinf(more[best - least]))
            break;
        more[best - least] = INFINITY;
        sb_otherwise other = {0};
        status = sb_whatif_move(e->whatif, e->r, e->i, best, &other.more);
        if (status == SB_OK)
            status = sb_whatif_breaks(e->whatif, &other.breaks, &other.breach);
        if (status == SB_OK && !other.breaks) {
            e->move->place = (int)best;
            e->move->elsewhere = other;
            break;
        }
    }
    return status;
}

static sb_status try_move(explainer *e, size_t from, size_t to, sb_otherwise *other)
{
    sb_status status = sb_whatif_move(e->whatif, e->r, from, to, &other->more);
    return status == SB_OK ? sb_whatif_breaks(e->whatif, &other->breaks, &other->breach) : status;
}

static sb_status explain_swap(explainer *e)
{
    e->move->last = e->i + 1 == route_of(e)->n_stops;
    return e->move->last ? SB_OK : try_move(e, e->i, e->i + 1, &e->move->swap);
}

static sb_status explain_nearer(explainer *e)
{
    const sb_route *route = route_of(e);
    int from =
        e->i > 0 ? route->stops[e->i - 1].field : sb_season_start_place(e->season, route->machine);
    e->move->nearer = -1;
    e->move->nearer_km = route->stops[e->i].km;
    for (size_t later = e->i + 1; later < route->n_stops; later++) {
        double km = sb_season_km(e->season, from, route->stops[later].field);
        if (km < e->move->nearer_km) {
            e->move->nearer_km = km;
            e->move->nearer = (int)later;
        }
    }
    return e->move->nearer < 0 ? SB_OK
                               : try_move(e, (size_t)e->move->nearer, e->i, &e->move->first);
}

static sb_status explain_move(explainer *e)
{
    *e->move = (sb_move){.place = -1};
    explain_gifts(e);
    sb_status status = explain_levels(e);
    if (status == SB_OK)
        status = explain_place(e);
    if (status == SB_OK)
        status = explain_swap(e);
    return status == SB_OK ? explain_nearer(e) : status;
}

sb_status sb_plan_explain_moves(const sb_season *season, sb_plan *plan)
{
    explainer e = {.season = season, .plan = plan};
    sb_status status = sb_whatif_new(season, plan, &e.whatif);
    for (e.r = 0; status == SB_OK && e.r < plan->n_routes; e.r++) {
        sb_route *route = &plan->routes[e.r];
        sb_free(route->moves);
        route->moves = sb_alloc(route->n_stops, sizeof *route->moves);
        if (route->moves == NULL)
            status = SB_ERR_NOMEM;
        for (e.i = 0; status == SB_OK && e.i < route->n_stops; e.i++) {
            e.move = &route->moves[e.i];
            status = explain_move(&e);
        }
    }
    for (size_t r = 0; status != SB_OK && r < plan->n_routes; r++) {
        sb_free(plan->routes[r].moves);
        plan->routes[r].moves = NULL;
    }
    sb_whatif_free(e.whatif);
    return status;
}
