/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The trade-off curve. Seen as a point (money, spread), every plan that minimises money + weight x
 * spread for some weight is a corner of the lower hull of all plans. Between two known corners the
 * weight at which both cost the same is tried: either a plan turns up that is better there, a new
 * corner, or the edge between the two is proven. Annealing alone looks at all edges first; the
 * searches that follow then have little to find and only to prove. Each begins with the best plan
 * known so far at the new weight. */
#include "order/tradeoff.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "order/asked.h"
#include "order/between.h"
#include "order/by_full.h"
#include "order/chain.h"
#include "order/conflict.h"
#include "order/search.h"
#include "order/tradeoff_parts.h"
#include "season/service.h"

/* A search that begins with a good plan anneals near it, this often for every field, and hardly
 * from anywhere else. */
#define NEAR_MOVES 300
#define NEAR_MOST 50000
#define NEAR_HEAT 0.3
#define FAR_EFFORT 0.01
/* Partial plans one search after the first may look at: what is not proven then keeps its gap. */
#define MOST_LABELS 200000
/* All searches after the first together may do so many times the work of the first before gains
 * smaller than SMALL_SHARE are left alone, where both plans beside them are proven. One label takes
 * as long as ten moves of annealing, of which the first search of a season of n fields does some
 * EACH_PAIR labels' worth for every pair.
 */
#define MOST_TIMES 2.0
#define SMALL_SHARE 5e-3
#define EACH_PAIR 90
/* A search that looked at as many was hard. */
#define HARD_LABELS 30000

/* ---- Points -------------------------------------------------------------------------------- */

static sb_trade trade_of(const sb_season *season, const sb_plan *plan)
{
    const sb_cost *cost = &plan->cost;
    sb_trade trade = {.money = cost->travel + cost->cleanout + cost->delay,
                      .spread = cost->spread,
                      .weight_from = NAN,
                      .weight_to = NAN,
                      .gap = 1};
    const sb_route *route = &plan->routes[0];
    for (size_t t = 0; t < route->n_stops; t++) {
        const sb_stop *stop = &route->stops[t];
        trade.cleaning += sb_season_cleanout_cost(season, stop->cleanout);
        trade.cleanouts += stop->cleanout > 0;
        trade.full_cleanouts += season->setup.cleanouts[stop->cleanout].full;
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            trade.seeds += stop->trace.ground[k];
    }
    return trade;
}

sb_status sb_weigher_add(sb_weigher *w, sb_curve_points *list)
{
    sb_plan *plan;
    sb_status status = sb_plan_new_single(&w->season, w->curve->machine, w->season.n_fields, &plan);
    if (status != SB_OK)
        return status;
    for (size_t t = 0; t < w->season.n_fields; t++) {
        plan->routes[0].stops[t].field = w->outcome.field[t];
        plan->routes[0].stops[t].cleanout = w->outcome.level[t];
    }
    status = sb_plan_price_only(&w->season, plan);
    sb_curve_point point = {.plan = plan};
    if (status == SB_OK)
        point.trade = trade_of(&w->season, plan);
    if (status == SB_OK && !SB_PUSH(list, point))
        status = SB_ERR_NOMEM;
    if (status != SB_OK)
        sb_plan_free(plan);
    return status;
}

sb_status sb_weigher_add_copy(sb_weigher *w, const sb_curve_point *point, sb_curve_points *list)
{
    sb_curve_point copy = *point;
    sb_status status = sb_plan_copy(&w->season, point->plan, &copy.plan);
    if (status == SB_OK && !SB_PUSH(list, copy)) {
        sb_plan_free(copy.plan);
        status = SB_ERR_NOMEM;
    }
    return status;
}

/* ---- One search ---------------------------------------------------------------------------- */

static bool stop_search(void *context)
{
    const sb_weigher *w = context;
    return w->enough || (w->options->stop != NULL && w->options->stop(w->options->context));
}

static void hear_search(void *context, const sb_outcome *outcome)
{
    sb_weigher *w = context;
    w->enough |= outcome->labels > w->most_labels;
    sb_progress now = {w->elapsed_s + sb_crew_elapsed_s(w->crew), outcome->cost, outcome->bound, 0};
    if (w->options->progress != NULL)
        w->options->progress(&now, w->options->context);
}

static sb_status begin_search(sb_weigher *w, double weight, double surcharge)
{
    sb_order_options limits = *w->options;
    limits.time_limit_s = fmax(w->options->time_limit_s - w->elapsed_s, 1e-9);
    limits.stop = stop_search;
    limits.context = w;
    w->weight = weight;
    w->surcharge = surcharge;
    w->enough = false;
    w->outcome.cost = INFINITY;
    w->outcome.bound = -INFINITY;
    w->outcome.closed = false;
    w->outcome.labels = 0;
    sb_problem_price(&w->problem, weight, surcharge);
    return sb_crew_new(&limits, &w->crew);
}

static void end_search(sb_weigher *w)
{
    if (w->crew == NULL) /* it never began */
        return;
    w->elapsed_s += sb_crew_elapsed_s(w->crew);
    w->work += (double)w->outcome.labels;
    sb_crew_free(w->crew);
    w->crew = NULL;
}

/* The floors next to a weight, smaller and larger; NULL: none. */
static void find_beside(const sb_weigher *w, double weight, const sb_floor_at **below,
                        const sb_floor_at **above)
{
    *below = *above = NULL;
    for (size_t i = 0; i < w->floors.count; i++) {
        const sb_floor_at *floor = &w->floors.items[i];
        if (floor->weight <= weight && (*below == NULL || floor->weight > (*below)->weight))
            *below = floor;
        if (floor->weight >= weight && (*above == NULL || floor->weight < (*above)->weight))
            *above = floor;
    }
}

/* Begins with rewards between those that served at the next smaller and the next larger weight,
 * where they were hard to find. What walks cost at least is concave in weight and rewards together:
 * the bound begins at least as far up as the line between the two bounds. Where full cleanouts are
 * forbidden or cheaper than they are it is another season, which they do not fit. */
static void warm_up(sb_weigher *w)
{
    const sb_floor_at *below, *above;
    find_beside(w, w->weight, &below, &above);
    w->outcome.warm = !w->by_full && below != NULL && above != NULL && (below->hard || above->hard);
    if (!w->outcome.warm)
        return;
    double span = above->weight - below->weight;
    double share = span > 0 ? (w->weight - below->weight) / span : 0;
    for (int j = 0; j < w->problem.n; j++)
        w->outcome.reward[j] = below->reward[j] + share * (above->reward[j] - below->reward[j]);
}

/* Begins with an order that is known, given the levels that suit it now. */
static sb_status try_order(sb_weigher *w, const sb_plan *plan)
{
    double cost;
    int *field = w->level + w->problem.n;
    for (int t = 0; t < w->problem.n; t++)
        field[t] = plan->routes[0].stops[t].field;
    sb_status status = sb_chain_levels(&w->problem, field, w->level, &cost);
    if (status == SB_OK && cost < w->outcome.cost) {
        w->outcome.cost = cost;
        memcpy(w->outcome.field, field, (size_t)w->problem.n * sizeof *field);
        memcpy(w->outcome.level, w->level, (size_t)w->problem.n * sizeof *w->level);
    }
    return status;
}

static sb_solve_options solve_options(sb_weigher *w)
{
    sb_solve_options options = sb_solve_options_default();
    options.seed = w->options->seed;
    options.tell = hear_search;
    options.context = w;
    options.method.polish = false;
    options.method.look = false; /* a glance has seen what it would */
    return options;
}

/* The outcome becomes the best of all orders known and of what annealing finds near it. */
static sb_status look_near(sb_weigher *w)
{
    sb_status status = SB_OK;
    sb_outcome *o = &w->outcome;
    for (size_t i = 0; status == SB_OK && i < w->met.count; i++)
        status = try_order(w, w->met.items[i].plan);
    if (status != SB_OK || isinf(o->cost))
        return status;
    sb_search_options near = {.seed = w->options->seed,
                              .starts = 1,
                              .moves = (long)fmin(NEAR_MOVES * (double)w->problem.n, NEAR_MOST),
                              .field = o->field,
                              .level = o->level,
                              .heat = NEAR_HEAT};
    return sb_search(&w->problem, &near, w->crew, o->field, o->level, &o->cost);
}

sb_status sb_weigher_glance(sb_weigher *w, double weight, double surcharge)
{
    sb_status status = begin_search(w, weight, surcharge);
    if (status == SB_OK)
        status = look_near(w);
    end_search(w);
    return status;
}

sb_status sb_weigher_search(sb_weigher *w, double weight, double surcharge)
{
    sb_status status = begin_search(w, weight, surcharge);
    warm_up(w);
    if (status == SB_OK)
        status = look_near(w);
    sb_solve_options options = solve_options(w);
    if (isfinite(w->outcome.cost)) {
        options.effort = FAR_EFFORT;
        options.method.starts = 1;
    }
    if (status == SB_OK)
        status = sb_solve(&w->problem, w->crew, &options, &w->outcome);
    end_search(w);
    return status;
}

/* ---- The hull ------------------------------------------------------------------------------ */

static sb_status set_floor(sb_weigher *w)
{
    size_t n = (size_t)w->problem.n;
    sb_floor_at floor = {w->weight, w->outcome.closed ? w->outcome.cost : w->outcome.bound,
                         sb_alloc(n, sizeof *floor.reward),
                         w->outcome.warm || w->outcome.labels > HARD_LABELS};
    if (floor.reward != NULL)
        memcpy(floor.reward, w->outcome.reward, n * sizeof *floor.reward);
    if (floor.reward != NULL && SB_PUSH(&w->floors, floor))
        return SB_OK;
    sb_free(floor.reward);
    return SB_ERR_NOMEM;
}

/* Searches at a weight. What it finds joins the plans met when it is better there than all of them
 * by more than rounding. */
static sb_status search_weight(sb_weigher *w, double weight)
{
    double known = INFINITY;
    for (size_t i = 0; i < w->met.count; i++)
        known = fmin(known, sb_trade_cost(&w->met.items[i].trade, weight));
    sb_status status = sb_weigher_search(w, weight, 0);
    if (status == SB_OK)
        status = set_floor(w);
    if (status == SB_OK && w->outcome.cost < known - SB_SAME_SHARE * fabs(known))
        status = sb_weigher_add(w, &w->met);
    return status;
}

static bool was_tried(const sb_weigher *w, double weight)
{
    for (size_t i = 0; i < w->floors.count; i++)
        if (fabs(w->floors.items[i].weight - weight) <= SB_SAME_SHARE * weight)
            return true;
    return false;
}

size_t sb_weigher_cheapest(const sb_weigher *w, double weight)
{
    size_t best = 0;
    for (size_t i = 1; i < w->met.count; i++)
        if (sb_trade_cost(&w->met.items[i].trade, weight) <
            sb_trade_cost(&w->met.items[best].trade, weight))
            best = i;
    return best;
}

long sb_weigher_next_corner(const sb_weigher *w, size_t corner, double *weight)
{
    const sb_trade *here = &w->met.items[corner].trade;
    long next = -1;
    *weight = w->curve->weight_high;
    for (size_t i = 0; i < w->met.count; i++) {
        const sb_trade *there = &w->met.items[i].trade;
        if (here->spread - there->spread <= SB_SAME_SHARE * (here->spread + here->money))
            continue;
        double between = (there->money - here->money) / (here->spread - there->spread);
        if (between < *weight) {
            *weight = between;
            next = (long)i;
        }
    }
    return next;
}

/* What share of the cost at a weight a plan that nobody found could save: the least cost is concave
 * in the weight, so it lies above the line between the floors on both sides. */
static double open_share(const sb_weigher *w, double weight, double cost)
{
    const sb_floor_at *below, *above;
    find_beside(w, weight, &below, &above);
    if (below == NULL || above == NULL || !isfinite(below->bound) || !isfinite(above->bound))
        return 1;
    double span = above->weight - below->weight;
    double share = span > 0 ? (weight - below->weight) / span : 0;
    double floor = below->bound + share * (above->bound - below->bound);
    return cost > 0 ? fmax(1 - floor / cost, 0) : 0;
}

/* Looks for further corners between those met, wherever two of them cost the same: a glance finds
 * most of them in a tenth of the time that a proof takes. */
static sb_status find_corners(sb_weigher *w)
{
    sb_status status = SB_OK;
    size_t corner = sb_weigher_cheapest(w, w->curve->weight_low);
    double weight, looked = w->curve->weight_low; /* up to there nothing more is to be seen */
    for (long next; status == SB_OK && (next = sb_weigher_next_corner(w, corner, &weight)) >= 0;) {
        size_t met = w->met.count;
        if (weight > looked) {
            double known = sb_trade_cost(&w->met.items[corner].trade, weight);
            status = sb_weigher_glance(w, weight, 0);
            if (status == SB_OK && w->outcome.cost < known - SB_SAME_SHARE * fabs(known))
                status = sb_weigher_add(w, &w->met);
        }
        if (w->met.count == met) {
            looked = weight;
            corner = (size_t)next;
        }
    }
    return status;
}

/* What share of its cost at the weight that suits a plan best may be too much, as far as is proven.
 * Between two floors the least cost, which is concave in the weight, lies above the line through
 * both, so looking at the floors is enough. */
static double gap_of(const sb_weigher *w, const sb_trade *trade)
{
    double gap = trade->gap;
    for (size_t i = 0; i < w->floors.count; i++) {
        double cost = sb_trade_cost(trade, w->floors.items[i].weight);
        double bound = w->floors.items[i].bound;
        if (isfinite(bound))
            gap = fmin(gap, cost > 0 ? fmax(cost - bound, 0) / cost : 0);
    }
    return gap <= SB_SAME_SHARE ? 0 : gap;
}

/* How much an edge of the hull is worth a search: first those that leave more than little open,
 * then those whose ends no search has proven, both before one; 0: it would only close what is
 * little. */
static int urgency(const sb_weigher *w, double open, const sb_trade *end, const sb_trade *other)
{
    return open >= SMALL_SHARE ? 3 : (gap_of(w, end) > 0) + (gap_of(w, other) > 0);
}

/* The edge that was not tried and is most urgent, or of those leaves most open, as the weight at
 * which its ends cost the same; NAN: none. Once the work is done that a curve may take, only urgent
 * ones count. */
static double next_edge(sb_weigher *w)
{
    double weight, chosen = NAN, most_open = 0;
    int most_urgent = w->work > w->most_work ? 1 : 0;
    w->curve->open_share = 0;
    for (long corner = (long)sb_weigher_cheapest(w, w->curve->weight_low), there;
         (there = sb_weigher_next_corner(w, (size_t)corner, &weight)) >= 0; corner = there) {
        const sb_trade *end = &w->met.items[corner].trade;
        if (was_tried(w, weight))
            continue;
        double open = open_share(w, weight, sb_trade_cost(end, weight));
        int urgent = urgency(w, open, end, &w->met.items[there].trade);
        w->curve->open_share = fmax(w->curve->open_share, open);
        if (urgent > most_urgent || (urgent == most_urgent && open >= most_open)) {
            most_urgent = urgent;
            most_open = open;
            chosen = weight;
        }
    }
    return chosen;
}

/* Searches at the ends and then at edges of the hull until enough is proven. */
static sb_status find_hull(sb_weigher *w)
{
    double weight;
    sb_status status = search_weight(w, w->curve->weight_low);
    if (status == SB_OK)
        status = search_weight(w, w->curve->weight_high);
    if (status == SB_OK)
        status = find_corners(w);
    while (status == SB_OK && !isnan(weight = next_edge(w)))
        status = search_weight(w, weight);
    return status;
}

static sb_status collect_hull(sb_weigher *w)
{
    sb_curve *curve = w->curve;
    double from = curve->weight_low, to;
    size_t best = sb_weigher_cheapest(w, curve->weight);
    for (long i = (long)sb_weigher_cheapest(w, from), next; i >= 0; i = next, from = to) {
        next = sb_weigher_next_corner(w, (size_t)i, &to);
        sb_status status = sb_weigher_add_copy(w, &w->met.items[i], &curve->points);
        if (status != SB_OK)
            return status;
        sb_trade *trade = &curve->points.items[curve->points.count - 1].trade;
        trade->weight_from = from;
        trade->weight_to = to;
        trade->between = false;
        trade->gap = gap_of(w, trade);
        trade->proven = trade->gap == 0;
        if ((size_t)i == best)
            curve->best = curve->points.count - 1;
    }
    return SB_OK;
}

/* ---- The whole ----------------------------------------------------------------------------- */

/* The plan that sb_order gives: the search begins from nothing, or with the caller's plan. */
static sb_status search_first(sb_weigher *w)
{
    sb_status status = begin_search(w, w->curve->weight, 0);
    if (status == SB_OK)
        status = sb_conflict_foreseen(&w->season, w->curve->machine, w->crew, w->report);
    if (status == SB_OK && w->options->begin_with != NULL)
        status = try_order(w, w->options->begin_with);
    sb_solve_options options = sb_solve_options_default();
    options.seed = w->options->seed;
    options.tell = hear_search;
    options.context = w;
    if (status == SB_OK)
        status = sb_solve(&w->problem, w->crew, &options, &w->outcome);
    if (status == SB_OK && isinf(w->outcome.cost))
        status = sb_conflict_explain(&w->season, w->curve->machine, w->crew, w->outcome.closed,
                                     w->report);
    end_search(w);
    double n = w->problem.n;
    w->most_work = MOST_TIMES * (w->work + EACH_PAIR * n * n);
    w->work = 0;
    if (status == SB_OK)
        status = set_floor(w);
    return status == SB_OK ? sb_weigher_add(w, &w->met) : status;
}

/* Every plan that is handed out keeps the rules and is what it claims to be. */
static sb_status settle(sb_weigher *w, sb_curve_points *points)
{
    for (size_t i = 0; i < points->count; i++) {
        size_t broken = 0;
        sb_plan *plan = points->items[i].plan;
        sb_status status = sb_plan_price(&w->season, plan);
        if (status == SB_OK)
            status = sb_plan_check(&w->season, plan, SB_ERROR, w->report, &broken);
        if (status != SB_OK || broken > 0)
            return status != SB_OK ? status : SB_ERR_INTERNAL;
    }
    return SB_OK;
}

static sb_status make_curve(sb_weigher *w)
{
    sb_status status = sb_problem_init(&w->problem, &w->season, w->curve->machine);
    if (status == SB_OK)
        status = sb_outcome_init(&w->outcome, &w->problem);
    if (status != SB_OK)
        return status;
    size_t n = w->season.n_fields, arcs = (n + 1) * n;
    w->level = sb_alloc(2 * n, sizeof *w->level);
    w->allowed = sb_alloc(arcs, sizeof *w->allowed);
    if (w->level == NULL || w->allowed == NULL)
        return SB_ERR_NOMEM;
    memcpy(w->allowed, w->problem.allowed, arcs * sizeof *w->allowed);
    w->most_labels = LONG_MAX;
    status = search_first(w);
    w->most_labels = MOST_LABELS;
    if (status == SB_OK)
        status = find_hull(w);
    if (status == SB_OK && w->options->every_plan)
        status = sb_find_between(w);
    if (status == SB_OK)
        status = collect_hull(w);
    if (status == SB_OK)
        status = sb_find_by_full(w);
    if (status == SB_OK)
        status = sb_put_between(w);
    if (status == SB_OK)
        status = settle(w, &w->curve->points);
    if (status == SB_OK)
        status = settle(w, &w->curve->full);
    w->curve->seconds = w->elapsed_s;
    return status;
}

static sb_curve *curve_new(const sb_order_options *options, int machine)
{
    sb_curve *curve = sb_alloc(1, sizeof *curve);
    if (curve != NULL)
        *curve = (sb_curve){.machine = machine,
                            .weight = options->spread_weight,
                            .every_plan = options->every_plan,
                            .spend_limit = options->spend_limit,
                            .full_limit = options->full_limit,
                            .weight_low = options->spread_weight * SB_CURVE_LOW,
                            .weight_high = options->spread_weight * SB_CURVE_HIGH};
    return curve;
}

sb_status sb_weigh(const sb_season *season, const sb_order_options *options, sb_report *report,
                   sb_curve **curve)
{
    if (curve == NULL)
        return SB_ERR_ARG;
    *curve = NULL;
    if (season == NULL || !sb_order_options_good(season, options))
        return SB_ERR_ARG;
    int machine;
    sb_status status = sb_machine_meant(season, options->machine, "money is weighed against spread",
                                        report, &machine);
    if (status == SB_OK)
        status = sb_season_unservable(season, machine, report);
    if (status != SB_OK)
        return status;
    sb_weigher w = {.options = options, .report = report};
    w.season = sb_season_limited(season, options);
    sb_say_growers_unkept(season, options, report);
    w.curve = curve_new(options, machine);
    status = w.curve != NULL ? make_curve(&w) : SB_ERR_NOMEM;
    status = sb_report_settle(report, status);
    if (status == SB_OK) {
        *curve = w.curve;
        w.curve = NULL;
    }
    sb_curve_free(w.curve);
    sb_curve_points_release(&w.met);
    for (size_t i = 0; i < w.floors.count; i++)
        sb_free(w.floors.items[i].reward);
    sb_free(w.floors.items);
    sb_free(w.allowed);
    sb_free(w.level);
    sb_outcome_release(&w.outcome);
    sb_problem_release(&w.problem);
    return status;
}
