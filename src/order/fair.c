/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rounds of multipliers and ordinary searches, until the bound they prove meets the cheapest plan
 * that keeps the caps, or no multipliers promise more. */
#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "order/fair_parts.h"
#include "order/prove.h"

#define MOST_ROUNDS 80
/* A search is given up after so many labels: its bound is then a little lower. */
#define MOST_LABELS 200000L
/* Multipliers up to here; where they press against it ten times as much, up to the second. */
#define MOST_Y 10.0
#define MOST_MOST_Y 1e5
/* The least worst loss may be exceeded by this share when the cheapest such plan is looked for:
 * else it would be the only one. */
#define WORST_SLACK 0.1
/* Shares of the time: for the least worst loss; for the rounds, of what is then left. */
#define WORST_TIME 0.4
#define ROUNDS_TIME 0.6
#define ROUND_TIME 0.2 /* of what the rounds have left, for one */
/* Losses counted so many times to begin with, each search looking at so many labels. */
#define SWEEP_FROM 2.0
#define SWEEP_STEP 4.0
#define SWEEP_TO 600.0
#define SWEEP_LABELS 20000L
/* The penalty on losses over a cap, against the largest multiplier; raised until they are kept. */
#define PENALTY 3.0
#define PENALTY_RAISES 4
/* Shakes of the best plan in the end: fewer the more there is to look through. */
#define KICKS 60
#define KICK_WORK 20000
/* Out of time the plan is still rid of what it does not need, so long. */
#define GRACE_S 0.2

/* ---- Rounds -------------------------------------------------------------------------------- */

typedef struct rounds {
    sb_fair *f;
    sb_aim_at aim;
    double *y, *asked, *best_y;           /* takers */
    double y_dues, asked_dues, best_dues; /* what the caps take away from a bound at these */
    double bound;                         /* of the cost, or of the worst excess */
    bool bound_final;                     /* a longer search at best_y would not raise it */
    size_t best;                          /* of the plans met; SIZE_MAX: none keeps the caps */
    double until_s;
} rounds;

static sb_status rounds_init(rounds *r, sb_fair *f, sb_aim_at aim)
{
    *r = (rounds){.f = f, .aim = aim, .bound = -INFINITY, .best = SIZE_MAX};
    r->y = sb_alloc((size_t)f->n_takers, sizeof *r->y);
    r->asked = sb_alloc((size_t)f->n_takers, sizeof *r->asked);
    r->best_y = sb_alloc((size_t)f->n_takers, sizeof *r->best_y);
    return r->y != NULL && r->asked != NULL && r->best_y != NULL ? SB_OK : SB_ERR_NOMEM;
}

static void rounds_release(rounds *r)
{
    sb_free(r->y);
    sb_free(r->asked);
    sb_free(r->best_y);
}

static double excess(const rounds *r, size_t i)
{
    return sb_fair_excess(r->f, &r->aim, r->f->met.items[i].loss);
}

static double worth(const rounds *r, size_t i)
{
    const sb_met *met = &r->f->met.items[i];
    if (!sb_fair_keeps(r->f, &r->aim, met))
        return INFINITY;
    return r->aim.money ? met->routes.cost : excess(r, i);
}

static void pick_best(rounds *r)
{
    double least = INFINITY;
    r->best = SIZE_MAX;
    for (size_t i = 0; i < r->f->met.count; i++) {
        double value = worth(r, i);
        if (value < least) {
            least = value;
            r->best = i;
        }
    }
}

static bool closed(const rounds *r)
{
    if (r->best == SIZE_MAX)
        return false;
    double value = worth(r, r->best);
    return r->bound >= value - SB_PROOF_SHARE * fabs(value) - 1e-12;
}

static double largest(const sb_fair *f, const double *y)
{
    double most = 0;
    for (int g = 0; g < f->n_takers; g++)
        most = fmax(most, y[g]);
    return most;
}

/* The plan to begin a search with: the cheapest one met at these multipliers. */
static size_t cheapest_at(const rounds *r, const double *y)
{
    size_t best = 0;
    double least = INFINITY;
    for (size_t i = 0; i < r->f->met.count; i++) {
        const sb_met *met = &r->f->met.items[i];
        double value = r->aim.money ? met->routes.cost : 0;
        for (int g = 0; g < r->f->n_takers; g++)
            value += y[g] * met->loss[g];
        if (value < least) {
            least = value;
            best = i;
        }
    }
    return best;
}

/* One search; a better bound is kept. */
static sb_status ask(rounds *r, long most_labels, double seconds, size_t *index)
{
    sb_fair *f = r->f;
    double bound;
    f->most_labels = most_labels;
    sb_status status =
        sb_fair_search(f, r->aim.money, r->asked, cheapest_at(r, r->asked), seconds, &bound, index);
    if (status != SB_OK)
        return status;
    if (bound - r->asked_dues > r->bound) {
        r->bound = bound - r->asked_dues;
        r->bound_final = !f->enough;
        r->best_dues = r->asked_dues;
        memcpy(r->best_y, r->asked, (size_t)f->n_takers * sizeof *r->best_y);
    }
    return SB_OK;
}

static void tell(const rounds *r)
{
    const sb_order_options *o = r->f->options->order;
    sb_progress now = {sb_crew_elapsed_s(r->f->watch), INFINITY, r->bound, 0};
    if (!r->aim.money || o->progress == NULL)
        return;
    if (r->best != SIZE_MAX)
        now.cost = worth(r, r->best);
    o->progress(&now, o->context);
}

/* Between the multipliers that the plans met speak for and the best ones known, until that brings
 * nothing new; then those themselves. `enough`: stop as soon as the aim is decided so far. */
static sb_status run_rounds(rounds *r, bool (*enough)(const rounds *r))
{
    sb_fair *f = r->f;
    double most_y = MOST_Y, value;
    bool halfway = isfinite(r->bound);
    pick_best(r);
    for (int round = 0; round < MOST_ROUNDS && !closed(r) && !enough(r); round++) {
        double left_s = r->until_s - sb_crew_elapsed_s(f->watch);
        if (sb_crew_stopped(f->watch) || left_s <= 0) {
            f->cut_short = true;
            break;
        }
        sb_status status = sb_fair_multipliers(f, &r->aim, most_y, r->y, &r->y_dues, &value);
        if (status != SB_OK)
            return status;
        if (r->bound >= value - 1e-9 * (1 + fabs(value))) {
            if (r->best == SIZE_MAX || sb_fair_musts(&r->aim) == NULL ||
                largest(f, r->y) < most_y || most_y >= MOST_MOST_Y)
                break;
            most_y *= 10;
            continue;
        }
        for (int g = 0; g < f->n_takers; g++)
            r->asked[g] = halfway ? (r->y[g] + r->best_y[g]) / 2 : r->y[g];
        r->asked_dues = halfway ? (r->y_dues + r->best_dues) / 2 : r->y_dues;
        size_t known = f->met.count, found, better;
        double before = r->bound;
        status = ask(r, MOST_LABELS, left_s * ROUND_TIME, &found);
        r->aim.penalty = PENALTY * fmax(largest(f, r->asked), 1);
        if (status == SB_OK && found != SIZE_MAX)
            status = sb_fair_improve(f, &r->aim, found, 0, &better);
        if (status != SB_OK)
            return status;
        pick_best(r);
        tell(r);
        if (f->met.count == known && r->bound <= before + 1e-9 * fabs(before) && !halfway)
            break; /* the search is not exact enough to tell more */
        halfway = f->met.count > known;
    }
    return SB_OK;
}

static bool never(const rounds *r)
{
    (void)r;
    return false;
}

/* Is it decided whether the caps can be kept? */
static bool decided(const rounds *r)
{
    return r->bound > 0 || (r->best != SIZE_MAX && excess(r, r->best) <= 0);
}

/* The plan met that is cheapest when every loss over a cap is paid for. */
static size_t cheapest_with(const rounds *r, double penalty)
{
    size_t best = 0;
    double least = INFINITY;
    const double *musts = sb_fair_musts(&r->aim);
    for (size_t i = 0; i < r->f->met.count; i++) {
        const sb_met *met = &r->f->met.items[i];
        double value = r->aim.money ? met->routes.cost : excess(r, i);
        for (int g = 0; g < r->f->n_takers && musts != NULL; g++)
            value += penalty * fmax(met->loss[g] - musts[g], 0);
        if (value < least) {
            least = value;
            best = i;
        }
    }
    return best;
}

/* Shakes the best plan, or a cheaper one that breaks the caps, under penalties that rise until they
 * are kept: what keeps them may be far dearer than need be. */
static sb_status look_around(rounds *r)
{
    sb_fair *f = r->f;
    int n = f->fleet.n, kicks = KICK_WORK / (n * n + 1);
    kicks = kicks > KICKS ? KICKS : kicks < 2 ? 2 : kicks;
    double penalty = PENALTY * fmax(largest(f, r->best_y), 1);
    for (int raise = 0; raise < PENALTY_RAISES; raise++, penalty *= 10) {
        size_t index;
        r->aim.penalty = penalty;
        sb_status status = sb_fair_improve(f, &r->aim, cheapest_with(r, penalty), kicks, &index);
        pick_best(r);
        if (status != SB_OK || index == SIZE_MAX || sb_fair_keeps(f, &r->aim, &f->met.items[index]))
            return status;
    }
    return SB_OK;
}

/* Small seasons are gone through to the end. */
static sb_status close_small(rounds *r)
{
    bool all = false;
    double to_beat = r->best != SIZE_MAX ? worth(r, r->best) : INFINITY;
    sb_status status = sb_fair_close(r->f, &r->aim, r->best_y, to_beat, &all);
    pick_best(r);
    if (status == SB_OK && all)
        r->bound = r->best != SIZE_MAX ? worth(r, r->best) : INFINITY;
    return status;
}

/* ---- The two aims -------------------------------------------------------------------------- */

/* Plans that are cheapest when everybody's losses count several times: what keeps the caps with no
 * regard to money may be far dearer. */
static sb_status look_for_cheap(rounds *r)
{
    sb_fair *f = r->f;
    sb_status status = SB_OK;
    for (double y = SWEEP_FROM; y <= SWEEP_TO && status == SB_OK; y *= SWEEP_STEP) {
        double left_s = r->until_s - sb_crew_elapsed_s(f->watch);
        size_t found, better;
        if (sb_crew_stopped(f->watch) || left_s <= 0) {
            f->cut_short = true;
            break;
        }
        r->asked_dues = 0;
        for (int g = 0; g < f->n_takers; g++) {
            r->asked[g] = isfinite(r->aim.cap[g]) ? y : 0;
            r->asked_dues += r->asked[g] > 0 ? y * r->aim.cap[g] : 0;
        }
        status = ask(r, SWEEP_LABELS, left_s * ROUND_TIME, &found);
        r->aim.penalty = PENALTY * y;
        if (status == SB_OK && found != SIZE_MAX)
            status = sb_fair_improve(f, &r->aim, found, 0, &better);
        pick_best(r);
        tell(r);
    }
    return status;
}

/* The cheapest plan that keeps the caps.
 * @param known no plan costs less */
static sb_status least_cost(rounds *r, double known)
{
    sb_fair *f = r->f;
    pick_best(r);
    double all_s = f->options->seconds, now_s = sb_crew_elapsed_s(f->watch);
    r->bound = fmax(r->bound, known);
    r->bound_final = true;
    r->until_s = now_s + ROUNDS_TIME * (all_s - now_s);
    /* Waits are dear to bound: where there are few fields going through all is sooner done. */
    sb_status status = f->fleet.coupled && !f->alone ? close_small(r) : SB_OK;
    if (status == SB_OK && !closed(r))
        status = look_for_cheap(r);
    if (status == SB_OK)
        status = run_rounds(r, never);
    if (status == SB_OK && !closed(r))
        status = look_around(r);
    if (status == SB_OK && !closed(r))
        status = close_small(r);
    double left_s = all_s - sb_crew_elapsed_s(f->watch);
    if (status == SB_OK && !closed(r) && !r->bound_final && isfinite(r->bound) &&
        !sb_crew_stopped(f->watch)) {
        size_t found;
        memcpy(r->asked, r->best_y, (size_t)f->n_takers * sizeof *r->asked);
        r->asked_dues = r->best_dues;
        status = ask(r, LONG_MAX, left_s, &found);
        pick_best(r);
    }
    return status;
}

/* The least worst excess over the caps. */
static sb_status least_excess(rounds *r, bool (*enough)(const rounds *r))
{
    sb_fair *f = r->f;
    double now_s = sb_crew_elapsed_s(f->watch);
    r->until_s = now_s + ROUNDS_TIME * WORST_TIME * (f->options->seconds - now_s);
    pick_best(r);
    sb_status status = f->fleet.coupled && !f->alone ? close_small(r) : SB_OK;
    if (status == SB_OK)
        status = run_rounds(r, enough);
    r->until_s = now_s + WORST_TIME * (f->options->seconds - now_s);
    if (status == SB_OK && !closed(r) && !enough(r))
        status = look_around(r);
    /* Even if it is known that the caps cannot be kept: by how much not is worth telling. */
    if (status == SB_OK && !closed(r) && (!enough(r) || r->bound > 0))
        status = close_small(r);
    double left_s = r->until_s - sb_crew_elapsed_s(f->watch);
    if (status == SB_OK && !closed(r) && !enough(r) && !r->bound_final && left_s > 0) {
        size_t found;
        memcpy(r->asked, r->best_y, (size_t)f->n_takers * sizeof *r->asked);
        r->asked_dues = r->best_dues;
        status = ask(r, LONG_MAX, left_s, &found);
        pick_best(r);
    }
    return status;
}

/* ---- Caps that cannot be kept -------------------------------------------------------------- */

/* Where the cap on a taker's loss stands, and what states it there. */
static const char *cap_stated(const sb_fair *f, int taker, sb_stated *at)
{
    const sb_setup *setup = &f->season.setup;
    double most = sb_fair_asked(f, taker);
    *at = (sb_stated){0};
    for (size_t i = 0; i < setup->n_grower_caps && most < f->options->most; i++) {
        const sb_grower_cap *cap = &setup->grower_caps[i];
        if (cap->loss == most && strcmp(cap->grower, f->season.growers[f->grower[taker]]) == 0) {
            *at = (sb_stated){cap->file, cap->line};
            return "limits";
        }
    }
    if (most == f->options->most)
        *at = setup->limits.loss_per_grower_at;
    return at->file != NULL ? "loss_per_grower" : "--loss-per-grower";
}

/* "every grower's expected loss to 1500 USD (loss_per_grower)" */
static void add_caps(const sb_fair *f, sb_text *text)
{
    bool named = false;
    for (int g = 0; g < f->n_takers; g++)
        named |= sb_fair_asked(f, g) < f->options->most;
    if (named)
        sb_text_addf(text, "every grower's expected loss within its limit");
    else
        sb_text_addf(text, "every grower's expected loss to %g %s (loss_per_grower)",
                     f->options->most, f->season.setup.currency);
}

/* "grower 'Ash' loses 2,604 USD, 1,104 USD too much" */
static void add_nearest(const rounds *worst, sb_text *text)
{
    const sb_fair *f = worst->f;
    const char *currency = f->season.setup.currency;
    const sb_met *nearest = &f->met.items[worst->best];
    int most = 0;
    for (int g = 1; g < f->n_takers; g++)
        if (nearest->loss[g] - worst->aim.cap[g] > nearest->loss[most] - worst->aim.cap[most])
            most = g;
    if (f->grower[most] < 0)
        sb_text_addf(text, "the fields that name no grower lose");
    else
        sb_text_addf(text, "grower '%s' loses", f->season.growers[f->grower[most]]);
    sb_text_addf(text, " ");
    sb_text_add_amount(text, nearest->loss[most]);
    sb_text_addf(text, " %s, ", currency);
    sb_text_add_amount(text, nearest->loss[most] - worst->aim.cap[most]);
    sb_text_addf(text, " %s too much", currency);
}

/* Can no plan keep these caps? */
static sb_status certainly_over(sb_fair *f, const double *cap, bool *over)
{
    rounds trial;
    sb_status status = rounds_init(&trial, f, (sb_aim_at){.cap = cap});
    if (status == SB_OK)
        status = least_excess(&trial, decided);
    *over = status == SB_OK && trial.bound > 0;
    rounds_release(&trial);
    return status;
}

/* Takes out the caps that have no part in it, one after the other: those without which the others
 * cannot be kept either. */
static sb_status drop_idle_caps(sb_fair *f, double *cap)
{
    sb_status status = SB_OK;
    int left = 0;
    for (int g = 0; g < f->n_takers; g++)
        left += isfinite(cap[g]);
    for (int g = 0; g < f->n_takers && status == SB_OK && left > 1; g++) {
        double most = cap[g];
        bool over = false;
        if (isinf(most) || sb_crew_stopped(f->watch))
            continue;
        cap[g] = INFINITY;
        status = certainly_over(f, cap, &over);
        left -= over;
        if (!over)
            cap[g] = most;
    }
    return status;
}

/* The caps in conflict, each with where it stands. */
static sb_status name_caps(sb_fair *f, const double *asked, sb_report *report)
{
    size_t bytes = (size_t)f->n_takers * sizeof *asked;
    double *cap = sb_alloc((size_t)f->n_takers, sizeof *cap);
    if (cap == NULL)
        return SB_ERR_NOMEM;
    memcpy(cap, asked, bytes);
    sb_status status = drop_idle_caps(f, cap);
    for (int g = 0; g < f->n_takers && status == SB_OK; g++) {
        sb_stated at;
        if (isinf(cap[g]))
            continue;
        const char *stated = cap_stated(f, g, &at), *currency = f->season.setup.currency;
        if (f->grower[g] < 0)
            sb_say(report, SB_ERROR, at.file, at.line,
                   "in conflict: the fields that name no grower may lose at most %g %s (%s)",
                   cap[g], currency, stated);
        else
            sb_say(report, SB_ERROR, at.file, at.line,
                   "in conflict: grower '%s' may lose at most %g %s (%s)",
                   f->season.growers[f->grower[g]], cap[g], currency, stated);
    }
    sb_free(cap);
    return status;
}

static sb_status say_impossible(const rounds *worst, sb_report *report)
{
    sb_text caps = {0}, nearest = {0}, least = {0};
    sb_status status = SB_ERR_INFEASIBLE;
    add_caps(worst->f, &caps);
    add_nearest(worst, &nearest);
    sb_text_add_amount(&least, worst->bound);
    if (worst->bound > 0)
        sb_say(report, SB_ERROR, NULL, 0,
               "no plan can keep %s: whatever the order and the cleanouts, some grower loses at "
               "least %s %s too much; in the best plan found %s",
               sb_text_get(&caps), sb_text_get(&least), worst->f->season.setup.currency,
               sb_text_get(&nearest));
    else
        sb_say(report, SB_ERROR, NULL, 0,
               "no plan was found that keeps %s, and none is ruled out either: in the best one "
               "found %s",
               sb_text_get(&caps), sb_text_get(&nearest));
    if (worst->bound > 0) {
        sb_status named = name_caps(worst->f, worst->aim.cap, report);
        status = named != SB_OK ? named : status;
    }
    bool failed = caps.failed || nearest.failed || least.failed;
    sb_text_release(&caps);
    sb_text_release(&least);
    sb_text_release(&nearest);
    return failed ? SB_ERR_NOMEM : status;
}

static bool any_keeps(const sb_fair *f, const double *cap)
{
    sb_aim_at aim = {.money = true, .cap = cap};
    for (size_t i = 0; i < f->met.count; i++)
        if (sb_fair_keeps(f, &aim, &f->met.items[i]))
            return true;
    return false;
}

/* Is there any plan that keeps these caps? One that does is then among those met. */
static sb_status find_any(sb_fair *f, const double *cap, sb_report *report)
{
    rounds worst;
    sb_status status = rounds_init(&worst, f, (sb_aim_at){.cap = cap});
    if (status == SB_OK)
        status = least_excess(&worst, decided);
    if (status == SB_OK && !any_keeps(f, cap))
        status = say_impossible(&worst, report);
    rounds_release(&worst);
    return status;
}

/* The plan as cheap as it gets by small changes while the caps are kept; a search that was cut
 * short leaves cleanouts that save nobody much. */
static sb_status tidy(rounds *r)
{
    sb_fair *f = r->f;
    size_t index;
    r->aim.penalty = INFINITY;
    sb_status status = sb_fair_improve(f, &r->aim, r->best, 0, &index);
    pick_best(r);
    if (status == SB_OK && sb_crew_stopped(f->watch)) {
        f->grace_until_s = sb_crew_elapsed_s(f->watch) + GRACE_S;
        status = sb_fair_improve(f, &r->aim, r->best, 0, &index);
        f->grace_until_s = 0;
        pick_best(r);
    }
    return status;
}

/* ---- The plan ------------------------------------------------------------------------------ */

static sb_status write_plan(const sb_fair *f, const sb_season *season, const sb_met *met,
                            sb_plan **plan)
{
    sb_status status = sb_plan_new(season, (size_t)f->fleet.machines, plan);
    for (int m = 0; m < f->fleet.machines && status == SB_OK; m++) {
        sb_route *route = &(*plan)->routes[m];
        status = sb_route_init(season, f->alone ? f->options->machine : m,
                               (size_t)met->routes.count[m], route);
        for (size_t t = 0; t < route->n_stops && status == SB_OK; t++) {
            route->stops[t].field = met->routes.field[m * f->fleet.n + (int)t];
            route->stops[t].cleanout = met->routes.level[m * f->fleet.n + (int)t];
        }
    }
    return status == SB_OK ? sb_plan_price(season, *plan) : status;
}

/* What each taker receives in a plan, by its ledger; of it, what other growers' fields gave. */
static void receive(const sb_fair *f, const sb_plan *plan, bool is_free, sb_taker *takers)
{
    const sb_ledger *ledger = &plan->ledger;
    for (size_t from = 0; from <= ledger->n_fields; from++)
        for (size_t to = 0; to < ledger->n_fields; to++) {
            sb_taker *taker = &takers[f->taker_of[to]];
            double loss = 0;
            for (size_t w = 0; w < ledger->n_weeds; w++)
                loss += ledger->ground[(from * ledger->n_fields + to) * ledger->n_weeds + w] *
                        f->season.fields[to].loss_per_seed[w];
            bool from_other = from < ledger->n_fields && f->taker_of[from] != f->taker_of[to];
            *(is_free ? &taker->free_loss : &taker->loss) += loss;
            if (from_other)
                *(is_free ? &taker->free_from_others : &taker->from_others) += loss;
        }
}

static sb_status write_down(const rounds *r, const sb_season *season, const sb_plan *free,
                            double worst_bound, sb_plan **plan)
{
    const sb_fair *f = r->f;
    sb_status status = write_plan(f, season, &f->met.items[r->best], plan);
    if (status != SB_OK)
        return status;
    sb_fairness *fairness = &(*plan)->fairness;
    fairness->takers = sb_alloc((size_t)f->n_takers, sizeof *fairness->takers);
    if (fairness->takers == NULL)
        return SB_ERR_NOMEM;
    fairness->n_takers = (size_t)f->n_takers;
    fairness->most = f->options->most;
    for (int g = 0; g < f->n_takers; g++)
        fairness->takers[g] = (sb_taker){.grower = f->grower[g], .most = sb_fair_asked(f, g)};
    receive(f, free, true, fairness->takers);
    receive(f, *plan, false, fairness->takers);
    fairness->searched_out =
        !closed(r) && free->proof.optimal && !f->cut_short && !sb_crew_stopped(f->watch);
    fairness->searches = f->searches;
    fairness->least_worst = f->options->order->least_worst;
    fairness->worst_bound = worst_bound;
    fairness->free_cost = sb_plan_weighed_cost(free);
    fairness->free_bound = free->proof.bound;
    sb_proof *proof = &(*plan)->proof;
    proof->spread_weight = f->weight;
    double cost = sb_plan_weighed_cost(*plan);
    proof->optimal = closed(r);
    proof->bound = proof->optimal ? cost : fmin(r->bound, cost);
    proof->seconds = free->proof.seconds + sb_crew_elapsed_s(f->watch);
    proof->labels = free->proof.labels + f->labels;
    strncpy(proof->method,
            proof->optimal ? "the bound with the growers' caps met the cost"
                           : "stopped before the bound with the growers' caps met the cost",
            sizeof proof->method - 1);
    return SB_OK;
}

/* The least worst loss of the plans that keep the caps asked for, and with it the caps of the
 * cheapest such plan. */
static sb_status find_worst(sb_fair *f, double *worst_bound, sb_report *report)
{
    rounds worst = {0};
    size_t n = (size_t)f->n_takers;
    bool capped = false;
    double *none = sb_alloc(n, sizeof *none), *asked = sb_alloc(n, sizeof *asked);
    sb_status status = none != NULL && asked != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t g = 0; status == SB_OK && g < n; g++) {
        asked[g] = f->most[g];
        capped |= isfinite(asked[g]);
    }
    if (status == SB_OK)
        status = rounds_init(&worst, f, (sb_aim_at){.cap = none, .hard = capped ? asked : NULL});
    if (status == SB_OK)
        status = least_excess(&worst, never);
    if (status == SB_OK && worst.best == SIZE_MAX) {
        status = find_any(f, asked, report);
        if (status == SB_OK)
            status = least_excess(&worst, never);
    }
    if (status == SB_OK) {
        double least = excess(&worst, worst.best);
        *worst_bound = closed(&worst) ? least : fmax(worst.bound, 0);
        for (size_t g = 0; g < n; g++)
            f->most[g] = fmin(f->most[g], least * (1 + WORST_SLACK));
    }
    rounds_release(&worst);
    sb_free(none);
    sb_free(asked);
    return status;
}

/* A plan met on the way may be cheaper than the one found without the rule, if that was not proven.
 * @param cheaper [out] NULL: none is; the caller owns it */
static sb_status find_cheaper(const sb_fair *f, const sb_season *season, const sb_plan *free,
                              sb_plan **cheaper)
{
    size_t best = 0;
    for (size_t i = 1; i < f->met.count; i++)
        if (f->met.items[i].routes.cost < f->met.items[best].routes.cost * (1 - SB_PROOF_SHARE))
            best = i;
    if (best == 0)
        return SB_OK;
    sb_status status = write_plan(f, season, &f->met.items[best], cheaper);
    if (status == SB_OK)
        (*cheaper)->proof = free->proof;
    return status;
}

static sb_status solve(sb_fair *f, const sb_season *season, const sb_plan *free, sb_report *report,
                       sb_plan **plan, double *cost)
{
    rounds r = {0};
    sb_plan *cheaper = NULL;
    double worst_bound = 0,
           known = free->proof.optimal ? f->met.items[0].routes.cost : free->proof.bound;
    sb_status status = f->options->order->least_worst ? find_worst(f, &worst_bound, report) : SB_OK;
    if (status == SB_OK)
        status = rounds_init(&r, f, (sb_aim_at){.money = true, .cap = f->most});
    if (status == SB_OK)
        status = least_cost(&r, known);
    if (status == SB_OK && r.best == SIZE_MAX) {
        status = find_any(f, f->most, report);
        if (status == SB_OK)
            status = least_cost(&r, known);
    }
    if (status == SB_OK && !closed(&r))
        status = tidy(&r);
    if (status == SB_OK)
        status = find_cheaper(f, season, free, &cheaper);
    if (status == SB_OK)
        status = write_down(&r, season, cheaper != NULL ? cheaper : free, worst_bound, plan);
    sb_plan_free(cheaper);
    if (status == SB_OK)
        *cost = f->met.items[r.best].routes.cost;
    rounds_release(&r);
    return status;
}

sb_status sb_fair_order(const sb_season *season, const sb_fair_options *options,
                        const sb_plan *free, sb_report *report, sb_plan **plan, double *cost)
{
    sb_fair f = {.options = options,
                 .alone = options->machine >= 0,
                 .weight = options->order->spread_weight};
    *plan = NULL;
    sb_status status = sb_fair_init(&f, season, free);
    if (status == SB_OK)
        status = solve(&f, season, free, report, plan, cost);
    if (status != SB_OK) {
        sb_plan_free(*plan);
        *plan = NULL;
    }
    sb_fair_release(&f);
    return status;
}
