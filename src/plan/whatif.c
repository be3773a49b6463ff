/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/whatif.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "plan/dates.h"

/* What a field does with a load, by pool and weed. */
typedef struct field_numbers {
    double kept[2 * SB_MAX_SECTIONS];
    double fallen[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS]; /* share that falls to its ground */
    double price[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS];  /* money for each seed on entry */
    double own[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS];    /* seeds it leaves in the machine */
} field_numbers;

/* One route: fields by their place in the plan, loads before the cleanout at each place. */
typedef struct route_numbers {
    field_numbers *fields; /* n */
    sb_load *load;         /* n + 1 */
    sb_load *later;        /* n + 1: money lost from there on for each seed in that load */
    double *lost;          /* n + 1: money lost before */
    double *rest;          /* n + 1: money lost from there on with an empty machine */
} route_numbers;

struct sb_whatif {
    const sb_season *season;
    const sb_plan *plan;
    sb_plan *trial;
    size_t *place; /* by field: its place in the plan's route */
    route_numbers *routes;
    bool delayed; /* may dates cost anything? */
    /* By grower, last the fields that name none: */
    double *most;      /* money that he may lose; INFINITY: no rule */
    double *loss;      /* what he loses in the plan */
    double *loss_then; /* and with the last change that was asked about */
    double worst;      /* most that one may lose because that is what the worst one does */
    bool growers_ruled;
    sb_breaches broken, broken_then; /* in the plan, and with the last change asked about */
    size_t r, begin, end; /* the change in the trial: stops begin .. end - 1 of route r */
};

static size_t pools_of(const sb_whatif *w)
{
    return 2 * w->season->setup.n_sections;
}

static double keep_of(const sb_whatif *w, int level, size_t pool)
{
    const sb_cleanout *cleanout = &w->season->setup.cleanouts[level];
    return (pool % 2 ? cleanout->keep_lodged : cleanout->keep_loose)[pool / 2];
}

static void fill_field(const sb_whatif *w, int machine, int field, field_numbers *f)
{
    sb_passage passage;
    sb_passage_of(w->season, machine, field, &passage);
    for (size_t q = 0; q < pools_of(w); q++) {
        f->kept[q] = passage.kept[q];
        for (size_t k = 0; k < w->season->setup.n_weeds; k++) {
            f->own[q][k] = passage.taken_in[q][k];
            f->fallen[q][k] =
                passage.shed[q] * sb_season_ground_share(w->season, machine, (int)(q / 2), (int)k);
            f->price[q][k] = f->fallen[q][k] * w->season->fields[field].loss_per_seed[k];
        }
    }
}

/* The machine is cleaned and cuts a field. @return money lost there */
static double pass(const sb_whatif *w, const field_numbers *f, int level, sb_load *load)
{
    double lost = 0;
    for (size_t q = 0; q < pools_of(w); q++) {
        double keep = keep_of(w, level, q);
        for (size_t k = 0; k < w->season->setup.n_weeds; k++) {
            double seeds = load->seeds[q][k] * keep;
            lost += seeds * f->price[q][k];
            load->seeds[q][k] = seeds * f->kept[q] + f->own[q][k];
        }
    }
    return lost;
}

static void follow_route(const sb_whatif *w, const sb_route *route, route_numbers *numbers)
{
    size_t n = route->n_stops, weeds = w->season->setup.n_weeds;
    const double *start = w->season->joins[route->machine].start_seeds;
    for (size_t q = 0; q < pools_of(w); q++)
        for (size_t k = 0; k < weeds; k++)
            numbers->load[0].seeds[q][k] = start[q * SB_MAX_WEEDS + k];
    for (size_t i = 0; i < n; i++) {
        fill_field(w, route->machine, route->stops[i].field, &numbers->fields[i]);
        numbers->load[i + 1] = numbers->load[i];
        numbers->lost[i + 1] =
            numbers->lost[i] +
            pass(w, &numbers->fields[i], route->stops[i].cleanout, &numbers->load[i + 1]);
    }
    for (size_t i = n; i-- > 0;) {
        const field_numbers *f = &numbers->fields[i];
        numbers->rest[i] = numbers->rest[i + 1];
        for (size_t q = 0; q < pools_of(w); q++) {
            double keep = keep_of(w, route->stops[i].cleanout, q);
            for (size_t k = 0; k < weeds; k++) {
                double after = numbers->later[i + 1].seeds[q][k];
                numbers->rest[i] += f->own[q][k] * after;
                numbers->later[i].seeds[q][k] = keep * (f->price[q][k] + f->kept[q] * after);
            }
        }
    }
}

static bool prepare_route(sb_whatif *w, size_t r)
{
    const sb_route *route = &w->plan->routes[r];
    route_numbers *numbers = &w->routes[r];
    size_t n = route->n_stops;
    numbers->fields = sb_alloc(n, sizeof *numbers->fields);
    numbers->load = sb_alloc(n + 1, sizeof *numbers->load);
    numbers->later = sb_alloc(n + 1, sizeof *numbers->later);
    numbers->lost = sb_alloc(n + 1, sizeof *numbers->lost);
    numbers->rest = sb_alloc(n + 1, sizeof *numbers->rest);
    if (!numbers->fields || !numbers->load || !numbers->later || !numbers->lost || !numbers->rest)
        return false;
    for (size_t i = 0; i < n; i++)
        w->place[route->stops[i].field] = i;
    follow_route(w, route, numbers);
    return true;
}

/* What growers may lose: a cap, or what the worst one does where that was made least. */
static void find_most(sb_whatif *w)
{
    const sb_fairness *fairness = &w->plan->fairness;
    double worst = 0;
    w->worst = INFINITY;
    for (size_t g = 0; g <= w->season->n_growers; g++)
        w->most[g] = sb_season_grower_most(w->season, g < w->season->n_growers ? (int)g : -1);
    for (size_t t = 0; t < fairness->n_takers; t++) {
        const sb_taker *taker = &fairness->takers[t];
        size_t g = taker->grower >= 0 ? (size_t)taker->grower : w->season->n_growers;
        w->most[g] = fmin(w->most[g], taker->most);
        worst = fmax(worst, taker->loss);
    }
    if (fairness->n_takers > 0 && fairness->least_worst)
        w->worst = worst;
    for (size_t g = 0; g <= w->season->n_growers; g++) {
        w->most[g] = fmin(w->most[g], w->worst);
        w->growers_ruled |= isfinite(w->most[g]);
    }
}

/* What each grower's fields lose. */
static void add_up_losses(const sb_season *season, const sb_plan *plan, double *loss)
{
    for (size_t g = 0; g <= season->n_growers; g++)
        loss[g] = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            const sb_stop *stop = &plan->routes[r].stops[i];
            int grower = season->fields[stop->field].grower;
            loss[grower >= 0 ? (size_t)grower : season->n_growers] += stop->loss;
        }
}

static bool prepare_growers(sb_whatif *w)
{
    size_t n = w->season->n_growers + 1;
    w->most = sb_alloc(n, sizeof *w->most);
    w->loss = sb_alloc(n, sizeof *w->loss);
    w->loss_then = sb_alloc(n, sizeof *w->loss_then);
    if (w->most == NULL || w->loss == NULL || w->loss_then == NULL)
        return false;
    find_most(w);
    add_up_losses(w->season, w->plan, w->loss);
    return true;
}

sb_status sb_whatif_new(const sb_season *season, const sb_plan *plan, sb_whatif **whatif)
{
    *whatif = NULL;
    sb_whatif *w = sb_alloc(1, sizeof *w);
    if (w == NULL)
        return SB_ERR_NOMEM;
    w->season = season;
    w->plan = plan;
    w->place = sb_alloc(season->n_fields, sizeof *w->place);
    w->routes = sb_alloc(plan->n_routes, sizeof *w->routes);
    bool ready = w->place != NULL && w->routes != NULL && prepare_growers(w);
    sb_status status = ready ? SB_OK : SB_ERR_NOMEM;
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++)
        if (!prepare_route(w, r))
            status = SB_ERR_NOMEM;
    for (size_t j = 0; j < season->n_fields; j++)
        w->delayed |= season->fields[j].delay_cost_per_day > 0 &&
                      season->fields[j].best_before_day != SB_NO_DAY;
    if (status == SB_OK)
        status = sb_plan_copy(season, plan, &w->trial);
    if (status == SB_OK) {
        w->trial->proof.bound = -INFINITY; /* changes make it worse, and it claims nothing */
        status = sb_plan_price_only(season, w->trial);
    }
    if (status == SB_OK)
        status = sb_plan_breaches(season, w->trial, &w->broken);
    if (status != SB_OK) {
        sb_whatif_free(w);
        return status;
    }
    *whatif = w;
    return SB_OK;
}

void sb_whatif_free(sb_whatif *w)
{
    if (w == NULL)
        return;
    for (size_t r = 0; w->routes != NULL && r < w->plan->n_routes; r++) {
        sb_free(w->routes[r].fields);
        sb_free(w->routes[r].load);
        sb_free(w->routes[r].later);
        sb_free(w->routes[r].lost);
        sb_free(w->routes[r].rest);
    }
    sb_free(w->routes);
    sb_free(w->place);
    sb_free(w->broken.items);
    sb_free(w->broken_then.items);
    sb_free(w->most);
    sb_free(w->loss);
    sb_free(w->loss_then);
    sb_plan_free(w->trial);
    sb_free(w);
}

static void take_stop(sb_whatif *w, size_t r, size_t at, size_t from)
{
    w->trial->routes[r].stops[at].field = w->plan->routes[r].stops[from].field;
    w->trial->routes[r].stops[at].cleanout = w->plan->routes[r].stops[from].cleanout;
}

static void undo(sb_whatif *w)
{
    for (size_t i = w->begin; i < w->end; i++)
        take_stop(w, w->r, i, i);
    w->begin = w->end = 0;
}

/* Money on the road into stops begin .. end, the way home behind the last. */
static double travel(const sb_whatif *w, const sb_route *route)
{
    double money = 0;
    for (size_t i = w->begin; i <= w->end && i <= route->n_stops; i++) {
        int from =
            i > 0 ? route->stops[i - 1].field : sb_season_start_place(w->season, route->machine);
        int to = i < route->n_stops ? route->stops[i].field
                                    : sb_season_yard_place(w->season, route->machine);
        money +=
            sb_season_travel_cost(w->season, route->machine, sb_season_km(w->season, from, to));
    }
    return money;
}

static double cleaning(const sb_whatif *w, const sb_route *route)
{
    double money = 0;
    for (size_t i = w->begin; i < w->end; i++)
        money += sb_season_cleanout_cost(w->season, route->stops[i].cleanout);
    return money;
}

/* Losses of the whole route with the change. */
static double spread(const sb_whatif *w)
{
    const sb_route *route = &w->trial->routes[w->r];
    const route_numbers *numbers = &w->routes[w->r];
    sb_load load = numbers->load[w->begin];
    double lost = numbers->lost[w->begin] + numbers->rest[w->end];
    for (size_t i = w->begin; i < w->end; i++)
        lost += pass(w, &numbers->fields[w->place[route->stops[i].field]], route->stops[i].cleanout,
                     &load);
    for (size_t q = 0; q < pools_of(w); q++)
        for (size_t k = 0; k < w->season->setup.n_weeds; k++)
            lost += load.seeds[q][k] * numbers->later[w->end].seeds[q][k];
    return lost;
}

/* Dates of all machines hang together, so all are worked out. */
static sb_status delay(sb_whatif *w, double *money)
{
    *money = 0;
    if (!w->delayed)
        return SB_OK;
    sb_status status = sb_plan_dates(w->season, w->trial);
    for (size_t r = 0; status == SB_OK && r < w->trial->n_routes; r++)
        for (size_t i = 0; i < w->trial->routes[r].n_stops; i++) {
            const sb_stop *stop = &w->trial->routes[r].stops[i];
            *money += sb_season_delay_cost(w->season, stop->field, stop->finish_h);
        }
    return status;
}

static sb_status compare(sb_whatif *w, sb_cost *more)
{
    const sb_route *now = &w->trial->routes[w->r], *was = &w->plan->routes[w->r];
    double delayed;
    sb_status status = delay(w, &delayed);
    if (status != SB_OK)
        return status;
    *more = (sb_cost){
        .travel = travel(w, now) - travel(w, was),
        .cleanout = cleaning(w, now) - cleaning(w, was),
        .spread = spread(w) - w->routes[w->r].lost[was->n_stops],
        .delay = w->delayed ? delayed - w->plan->cost.delay : 0,
    };
    more->total = more->travel + more->cleanout + more->spread + more->delay;
    return SB_OK;
}

sb_status sb_whatif_level(sb_whatif *w, size_t r, size_t i, int level, sb_cost *more)
{
    undo(w);
    w->r = r;
    w->begin = i;
    w->end = i + 1;
    w->trial->routes[r].stops[i].cleanout = level;
    return compare(w, more);
}

sb_status sb_whatif_move(sb_whatif *w, size_t r, size_t from, size_t to, sb_cost *more)
{
    undo(w);
    w->r = r;
    w->begin = from < to ? from : to;
    w->end = (from < to ? to : from) + 1;
    take_stop(w, r, to, from);
    for (size_t i = w->begin; i < w->end; i++)
        if (i != to)
            take_stop(w, r, i, from < to ? i + 1 : i - 1);
    return compare(w, more);
}

void sb_whatif_brought(const sb_whatif *w, size_t r, size_t i, int level, double *seeds)
{
    const field_numbers *f = &w->routes[r].fields[i];
    for (size_t k = 0; k < w->season->setup.n_weeds; k++) {
        seeds[k] = 0;
        for (size_t q = 0; q < pools_of(w); q++)
            seeds[k] += w->routes[r].load[i].seeds[q][k] * keep_of(w, level, q) * f->fallen[q][k];
    }
}

/* Does the plan break this rule too, by whatever amount? */
static bool plan_breaks(const sb_whatif *w, const sb_breach *breach)
{
    for (size_t i = 0; i < w->broken.count; i++) {
        const sb_breach *one = &w->broken.items[i];
        if (one->rule == breach->rule && one->field == breach->field && one->which == breach->which)
            return true;
    }
    return false;
}

sb_status sb_whatif_breaks(sb_whatif *w, bool *breaks, sb_breach *breach)
{
    *breach = (sb_breach){0};
    sb_status status = sb_plan_price_only(w->season, w->trial);
    if (status == SB_OK)
        status = sb_plan_breaches(w->season, w->trial, &w->broken_then);
    if (w->growers_ruled)
        add_up_losses(w->season, w->trial, w->loss_then);
    for (size_t i = w->broken_then.count; i-- > 0 && status == SB_OK;)
        if (!plan_breaks(w, &w->broken_then.items[i]))
            *breach = w->broken_then.items[i];
    *breaks = breach->rule != SB_BROKEN_NONE || sb_whatif_unfair(w, NULL);
    return status;
}

bool sb_whatif_unfair(const sb_whatif *w, sb_overloss *who)
{
    double most_over = 0;
    for (size_t g = 0; g <= w->season->n_growers && w->growers_ruled; g++) {
        double may = fmax(w->most[g], w->loss[g]), over = w->loss_then[g] - may;
        if (!(w->loss_then[g] > may * (1 + SB_RULE_SLACK)) || over <= most_over)
            continue;
        most_over = over;
        if (who != NULL)
            *who = (sb_overloss){.grower = g < w->season->n_growers ? (int)g : -1,
                                 .loss = w->loss[g],
                                 .otherwise = w->loss_then[g],
                                 .most = w->most[g],
                                 .worst = w->most[g] == w->worst};
    }
    return most_over > 0;
}

size_t sb_whatif_broken(const sb_whatif *w)
{
    return w->broken.count;
}

const sb_plan *sb_whatif_plan(const sb_whatif *w)
{
    return w->trial;
}
