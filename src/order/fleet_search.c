/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Annealing over all routes. A move changes a stretch of one route or of two (fleet_moves) and is
 * priced by walking those stretches alone (fleet_route). Broken rules cost money while searching
 * and are never accepted as a result. */
#include "order/fleet_search.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_moves.h"

/* Temperatures, as multiples of the mean cost of a move. */
#define HOTTEST 1.0
#define COLDEST 1e-3
/* A broken rule costs this many times the mean cost of a move. */
#define RULE_PRICE 3.0
/* It is looked at so many times in a run: dearer after a broken state, cheaper after a kept one. */
#define PRICE_REVIEWS 200
#define PRICE_UP 1.3
#define PRICE_DOWN 0.87
#define PRICE_MOST 1e6 /* of where it began */
/* Sums that differ by less than this share of them may be equal. */
#define SURE 1e-9
/* Moves tried by one start, for each n log2 n. */
#define MOVES_PER_FIELD 1500.0
#define LEAST_MOVES 3000

typedef struct search {
    const sb_fleet *fleet;
    const sb_fleet_search_options *options;
    sb_crew *crew;
    sb_ways *ways; /* machines; filled for the first of each kind */
    sb_near near;
    double unit;            /* mean cost of a move */
    const sb_routes *begin; /* where every start begins; cost INFINITY: at random */
    sb_routes *best;        /* starts */
    atomic_bool out_of_memory;
} search;

typedef struct walker {
    sb_routes_state state;
    const sb_fleet *fleet;
    double rule_price;
    sb_fleet_move move;
    double *arrive_h, *finish_h;         /* n, of the routes as they are; only with `after` */
    double *new_arrive_h, *new_finish_h; /* n, scratch */
    double cost, broken_alone;           /* of all routes, each by itself */
    double broken;                       /* rules that couple them included */
    double spend, full;
    sb_routes trial; /* for what couples routes */
    bool out_of_memory;
} walker;

long sb_fleet_search_moves(int n)
{
    return (long)fmax(MOVES_PER_FIELD * n * log2(n + 1.0), LEAST_MOVES);
}

/* ---- Making a walker ----------------------------------------------------------------------- */

static bool alloc_ints(int **to, size_t count)
{
    *to = sb_alloc(count, sizeof **to);
    return *to != NULL;
}

static bool alloc_doubles(double **to, size_t count)
{
    *to = sb_alloc(count, sizeof **to);
    return *to != NULL;
}

static bool walker_init(walker *w, search *s, int start)
{
    const sb_fleet *f = s->fleet;
    size_t n = (size_t)f->n;
    *w = (walker){.fleet = f, .state = {.fleet = f, .near = &s->near}};
    w->state.random = sb_random_init(s->options->seed, (uint64_t)start);
    /* Some starts take rules very seriously while everything is still molten: a season may be dear
     * wherever it keeps its rules. */
    w->rule_price = RULE_PRICE * s->unit * pow(10, start % 4);
    w->state.routes = sb_alloc((size_t)f->machines, sizeof *w->state.routes);
    bool made = w->state.routes != NULL && alloc_ints(&w->state.machine_of, n) &&
                alloc_ints(&w->state.place_of, n) && alloc_doubles(&w->arrive_h, n) &&
                alloc_doubles(&w->finish_h, n) && alloc_doubles(&w->new_arrive_h, n) &&
                alloc_doubles(&w->new_finish_h, n);
    made = made && sb_routes_init(&w->trial, f) == SB_OK;
    for (int c = 0; c < 2 && made; c++)
        made = alloc_ints(&w->move.change[c].field, n) && alloc_ints(&w->move.change[c].level, n) &&
               alloc_doubles(&w->move.change[c].stop_least, n);
    for (int m = 0; m < f->machines && made; m++)
        made = sb_route_state_init(&w->state.routes[m], &f->problems[m], &s->ways[f->kind[m]],
                                   w->rule_price) == SB_OK;
    return made;
}

static void walker_release(walker *w)
{
    for (int m = 0; w->state.routes != NULL && m < w->fleet->machines; m++)
        sb_route_state_release(&w->state.routes[m]);
    for (int c = 0; c < 2; c++) {
        sb_free(w->move.change[c].field);
        sb_free(w->move.change[c].level);
        sb_free(w->move.change[c].stop_least);
    }
    sb_routes_release(&w->trial);
    void *owned[] = {w->state.routes, w->state.machine_of, w->state.place_of, w->arrive_h,
                     w->finish_h,     w->new_arrive_h,     w->new_finish_h};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
}

/* ---- Where a start begins ------------------------------------------------------------------ */

/* A random machine among those that may cut the field, rather one with less to do. */
static int draw_machine(walker *w, int field, const double *hours)
{
    const sb_fleet *f = w->fleet;
    int best = -1;
    double best_hours = INFINITY;
    for (int m = 0; m < f->machines; m++) {
        if (!f->may_cut[m * f->n + field])
            continue;
        double drawn =
            (hours[m] + f->problems[m].cut_h[field]) * (0.5 + sb_random_unit(&w->state.random));
        if (best < 0 || drawn < best_hours) {
            best = m;
            best_hours = drawn;
        }
    }
    return best < 0 ? 0 : best; /* nobody may: it counts as a broken rule wherever it is */
}

/* Fields roughly by date, each after those it has to follow. */
static bool random_start(walker *w)
{
    const sb_fleet *f = w->fleet;
    const sb_problem *p = &f->problems[0];
    double *wish = w->new_arrive_h, *hours = sb_alloc((size_t)f->machines, sizeof *hours);
    uint64_t *seen = sb_alloc((size_t)p->words, sizeof *seen);
    for (int j = 0; j < f->n; j++) {
        double date = isfinite(p->latest_h[j]) ? p->latest_h[j] : p->ready_h[j];
        wish[j] = date + sb_random_unit(&w->state.random) * 20;
    }
    for (int t = 0; t < f->n && hours != NULL && seen != NULL; t++) {
        int next = -1;
        for (int j = 0; j < f->n; j++) {
            if (sb_has(seen, j) || (next >= 0 && wish[j] >= wish[next]))
                continue;
            bool free_to_go = true;
            for (int word = 0; word < p->words; word++)
                free_to_go &=
                    !(p->before[(size_t)j * (size_t)p->words + (size_t)word] & ~seen[word]);
            if (free_to_go)
                next = j;
        }
        int m = draw_machine(w, next, hours);
        sb_route_state *r = &w->state.routes[m];
        r->field[r->count] = next;
        r->level[r->count++] = 0;
        hours[m] += f->problems[m].cut_h[next];
        sb_include(seen, next);
    }
    bool made = hours != NULL && seen != NULL;
    sb_free(hours);
    sb_free(seen);
    return made;
}

static void begin_at(walker *w, const sb_routes *routes)
{
    const sb_fleet *f = w->fleet;
    for (int m = 0; m < f->machines; m++) {
        sb_route_state *r = &w->state.routes[m];
        size_t at = (size_t)m * (size_t)f->n;
        r->count = routes->count[m];
        memcpy(r->field, routes->field + at, (size_t)r->count * sizeof *r->field);
        memcpy(r->level, routes->level + at, (size_t)r->count * sizeof *r->level);
    }
}

/* ---- Rules that couple routes -------------------------------------------------------------- */

static double totals_broken(const walker *w, double spend, double full)
{
    const sb_fleet *f = w->fleet;
    double money = 0;
    if (isfinite(f->most_spend)) {
        double excess = (spend - f->most_spend) / (f->most_spend + w->rule_price);
        money += sb_rule_broken(w->rule_price, excess - 1e-12);
    }
    if (isfinite(f->most_full))
        money += sb_rule_broken(w->rule_price, full - f->most_full);
    return money;
}

static double after_broken(const walker *w, const double *arrive_h, const double *finish_h)
{
    const sb_fleet *f = w->fleet;
    double money = 0;
    for (size_t a = 0; a < f->n_after; a++) {
        double early_h = finish_h[f->after[a].earlier] - arrive_h[f->after[a].later];
        money += sb_rule_broken(w->rule_price, fmin(early_h - SB_SAME_TIME_H, 10));
    }
    return money;
}

static double coupled_after_move(walker *w, double spend, double full)
{
    double money = totals_broken(w, spend, full);
    if (w->fleet->n_after == 0)
        return money;
    size_t bytes = (size_t)w->fleet->n * sizeof(double);
    memcpy(w->new_arrive_h, w->arrive_h, bytes);
    memcpy(w->new_finish_h, w->finish_h, bytes);
    for (int c = 0; c < w->move.n_changes; c++)
        sb_route_times(&w->state.routes[w->move.machine[c]], &w->move.change[c], w->new_arrive_h,
                       w->new_finish_h);
    return money + after_broken(w, w->new_arrive_h, w->new_finish_h);
}

/* Sums over all routes, in the same order every time. */
static void add_up(walker *w)
{
    w->cost = w->broken_alone = w->spend = w->full = 0;
    for (int m = 0; m < w->fleet->machines; m++) {
        const sb_route_state *r = &w->state.routes[m];
        w->cost += r->total;
        w->broken_alone += r->total_broken;
        w->spend += r->before[r->count].spend;
        w->full += r->before[r->count].full;
    }
    w->broken = w->broken_alone + totals_broken(w, w->spend, w->full);
    if (w->fleet->n_after > 0)
        w->broken += after_broken(w, w->arrive_h, w->finish_h);
}

static void note_places(walker *w, int machine, int from)
{
    const sb_route_state *r = &w->state.routes[machine];
    for (int t = from; t < r->count; t++) {
        w->state.machine_of[r->field[t]] = machine;
        w->state.place_of[r->field[t]] = t;
    }
    if (w->fleet->n_after > 0)
        sb_route_times(r, NULL, w->arrive_h, w->finish_h);
}

/* ---- Annealing ----------------------------------------------------------------------------- */

/* Machines may wait for each other: that is no broken rule, but it may cost. */
static void keep_best(walker *w, sb_routes *best)
{
    if (w->broken_alone + totals_broken(w, w->spend, w->full) > 0 ||
        w->cost >= best->cost - 1e-12 * fabs(best->cost))
        return;
    sb_routes *here = w->fleet->coupled ? &w->trial : best;
    here->cost = w->cost;
    for (int m = 0; m < w->fleet->machines; m++) {
        const sb_route_state *r = &w->state.routes[m];
        size_t at = (size_t)m * (size_t)w->fleet->n;
        here->count[m] = r->count;
        memcpy(here->field + at, r->field, (size_t)r->count * sizeof *r->field);
        memcpy(here->level + at, r->level, (size_t)r->count * sizeof *r->level);
    }
    if (here == best)
        return;
    if (sb_fleet_cost(w->fleet, here, &here->cost) != SB_OK)
        w->out_of_memory = true;
    else if (here->cost < best->cost)
        sb_routes_copy(w->fleet, here, best);
}

/* What all routes would cost after the move at least, broken rules included. */
static double screen_move(walker *w)
{
    double least = w->cost + w->broken_alone;
    for (int c = 0; c < w->move.n_changes; c++) {
        sb_change *change = &w->move.change[c];
        sb_route_screen(&w->state.routes[w->move.machine[c]], change);
        least += change->least;
    }
    return least;
}

/* Would all routes cost less than `most` after the move, which comes to `least` at least? */
static bool comes_below(walker *w, double least, double most)
{
    double spare = most + SURE * fabs(most) - least, spend = w->spend, full = w->full;
    double money = w->cost + w->broken_alone;
    for (int c = 0; c < w->move.n_changes; c++) {
        sb_change *change = &w->move.change[c];
        if (spare < 0 ||
            !sb_route_price(&w->state.routes[w->move.machine[c]], change, change->least + spare))
            return false;
        spare -= change->cost + change->broken - change->least;
        money += change->cost + change->broken;
        spend += change->spend;
        full += change->full;
    }
    return money < most && money + coupled_after_move(w, spend, full) < most;
}

/* Rules that lie broken become dearer until they are kept; then money may speak again. */
static void review_rule_price(const search *s, walker *w)
{
    double least = RULE_PRICE * s->unit, money = w->rule_price;
    money *= w->broken > 0 ? PRICE_UP : PRICE_DOWN;
    money = fmin(fmax(money, least), PRICE_MOST * least);
    if (money == w->rule_price)
        return;
    w->rule_price = money;
    for (int m = 0; m < w->fleet->machines; m++) {
        w->state.routes[m].rule_price = money;
        sb_route_refresh(&w->state.routes[m]);
    }
    add_up(w);
}

static void anneal(search *s, walker *w, sb_routes *best)
{
    const sb_fleet_search_options *o = s->options;
    double hottest = HOTTEST * s->unit * o->heat, cooling = log(COLDEST / (HOTTEST * o->heat));
    double heat = hottest;
    long review = o->moves / PRICE_REVIEWS + 1;
    keep_best(w, best);
    for (long move = 0; move < o->moves; move++) {
        if ((move & 255) == 0) {
            heat = hottest * exp(cooling * (double)move / (double)o->moves);
            if (sb_crew_stopped(s->crew))
                return;
            if (move / review > (move - 256) / review)
                review_rule_price(s, w);
        }
        if (!sb_fleet_move_propose(&w->state, &w->move))
            continue;
        double luck = -log(1 - sb_random_unit(&w->state.random));
        if (!comes_below(w, screen_move(w), w->cost + w->broken + heat * luck))
            continue;
        for (int c = 0; c < w->move.n_changes; c++)
            sb_route_apply(&w->state.routes[w->move.machine[c]], &w->move.change[c]);
        for (int c = 0; c < w->move.n_changes; c++)
            note_places(w, w->move.machine[c], w->move.change[c].begin);
        add_up(w);
        keep_best(w, best);
    }
}

static void run_start(void *context, int start, int worker)
{
    (void)worker;
    search *s = context;
    walker w;
    bool made = walker_init(&w, s, start);
    if (made && isfinite(s->begin->cost))
        begin_at(&w, s->begin);
    else if (made)
        made = random_start(&w);
    for (int m = 0; m < s->fleet->machines && made; m++) {
        sb_route_refresh(&w.state.routes[m]);
        note_places(&w, m, 0);
    }
    if (made) {
        add_up(&w);
        anneal(s, &w, &s->best[start]);
        made = !w.out_of_memory && (isinf(s->best[start].cost) ||
                                    sb_fleet_best_levels(s->fleet, &s->best[start]) == SB_OK);
    }
    if (!made)
        atomic_store(&s->out_of_memory, true);
    walker_release(&w);
}

static bool lay_out_ways(search *s)
{
    const sb_fleet *f = s->fleet;
    s->ways = sb_alloc((size_t)f->machines, sizeof *s->ways);
    bool made = s->ways != NULL;
    for (int m = 0; m < f->machines && made; m++)
        made = f->kind[m] != m || sb_ways_init(&s->ways[m], &f->problems[m]) == SB_OK;
    return made;
}

static void release_ways(search *s)
{
    for (int m = 0; s->ways != NULL && m < s->fleet->machines; m++)
        sb_ways_release(&s->ways[m]);
    sb_free(s->ways);
}

/* The mean of what moves cost at least: a scale for temperatures. */
static double cost_unit(const search *s)
{
    const sb_fleet *f = s->fleet;
    double sum = 0;
    long count = 0;
    for (int m = 0; m < f->machines; m++)
        for (int i = 0; i <= f->n && f->kind[m] == m; i++)
            for (int j = 0; j < f->n; j++)
                if (sb_way_open(&s->ways[m], i, j)) {
                    sum += sb_way_least(&s->ways[m], i, j);
                    count++;
                }
    return count > 0 && sum > 0 ? sum / (double)count : 1;
}

sb_status sb_fleet_search(const sb_fleet *f, const sb_fleet_search_options *options, sb_crew *crew,
                          sb_status (*keep)(void *context, const sb_routes *routes), void *context,
                          sb_routes *routes)
{
    sb_routes none = {.cost = INFINITY};
    search s = {
        .fleet = f, .options = options, .crew = crew, .begin = options->heat < 1 ? routes : &none};
    sb_status status = SB_ERR_NOMEM;
    int starts = options->starts;
    s.best = sb_alloc((size_t)starts, sizeof *s.best);
    bool made = s.best != NULL && lay_out_ways(&s) && sb_near_init(&s.near, f, s.ways) == SB_OK;
    if (made)
        s.unit = cost_unit(&s);
    for (int i = 0; i < starts && made; i++)
        made = sb_routes_init(&s.best[i], f) == SB_OK;
    if (!made)
        goto out;
    sb_crew_share(crew, starts, run_start, &s);
    if (atomic_load(&s.out_of_memory))
        goto out;
    status = SB_OK;
    for (int i = 0; i < starts && status == SB_OK; i++)
        if (isfinite(s.best[i].cost)) {
            if (keep != NULL)
                status = keep(context, &s.best[i]);
            if (s.best[i].cost < routes->cost)
                sb_routes_copy(f, &s.best[i], routes);
        }
out:
    for (int i = 0; s.best != NULL && i < starts; i++)
        sb_routes_release(&s.best[i]);
    sb_free(s.best);
    sb_near_release(&s.near);
    release_ways(&s);
    return status;
}
