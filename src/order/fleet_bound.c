/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Column generation: the linear program says what fields are worth, pricing finds walks that are
 * worth more than they cost, and each round bounds every plan. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_cuts.h"
#include "order/fleet_prover.h"
#include "order/fleet_rest.h"

/* Walks of one kind of machine that a round takes into the linear program. */
#define MOST_WALKS 60
/* The same before any linear program was solved. */
#define BLIND_WALKS 8
/* Duals are mixed with the best ones so far: the linear program's own jump about (Wentges 1997,
 * Int. Trans. Operational Research 4:151; from memory). */
#define SMOOTH 0.9
/* A better plan's reduced cost is measured to this share of the ceiling. */
#define SAME_MONEY 1e-9
/* The linear program and the bound agree when they differ by less than this share of the gap;
 * exactly, of the cost. */
#define AGREED 0.02
#define AGREED_EXACTLY 1e-7
/* The centre is priced in full after so many sparse rounds. */
#define FULL_EVERY 10
/* Labels absorb each other within this share of the gap over all stops of all machines. */
#define ABSORB_SHRINK 0.5
#define ABSORB_LEAST 0.02
#define ABSORB_MOST 64.0
#define ABSORB_H_SHARE 0.001 /* of a machine's hours: it adds up over all stops */
#define MOST_LABELS 4000000
#define MOST_BYTES 3e8 /* of labels; buckets may have room for as many again */
#define ROUNDS_AT_ONCE 40
/* Polyak's steps before the linear program takes over. */
#define MOST_STEPS 200
#define STEPS_AT_ONCE 10 /* then routes are listed, perhaps that is the end */
#define STEPS_BEFORE_MEMORY 5
#define STEP_START 1.0
static const double skim_step[SB_REST_CLOCKS] = {STEP_START, 0.15, 0.05};
#define STEP_AFTER_SKIM 0.5
#define STEP_BEND 0.6 /* share of the last direction in the next */
#define STEP_SHRINK 0.7
#define STEP_PATIENCE 5
#define STEP_GIVE_UP 30
#define STEP_WORTH 0.005 /* of the gap: less is standing still */
#define STEP_SKIM_WORTH 0.0005
/* Whenever steps shrink labels absorb less, or they would hide what the next steps gain. */
#define STEP_ABSORB 0.85
/* With more fields than this the bounds on the rest of a walk seek rewards first, by the coarse
 * clock; with more than that by the finer ones too: with fewer, a pass over labels is quick enough.
 * Each ends when so many steps close no more than a share of the gap. Labels may then absorb less.
 */
#define SKIM_FROM 24
#define SKIM_FINE_FROM 60
#define SKIM_STEPS 20
static const double skim_worth[SB_REST_CLOCKS] = {0.15, 0.03, 0.03};
#define SKIM_ABSORB 0.4
/* A full pass looks for walks that are cheaper by this share of the gap than the best of the sparse
 * one; when there is none, that is a bound. */
#define CHEAPER 1e-3

double sb_prover_rounded(const sb_prover *s, double bound)
{
    if (s->unit <= 0 || !isfinite(bound))
        return bound;
    return ceil(bound / s->unit - 1e-6) * s->unit;
}

double sb_prover_target(const sb_prover *s)
{
    if (s->unit > 0 && isfinite(s->outcome->routes.cost))
        return s->ceiling - s->unit * (1 - 1e-6);
    return s->ceiling * (1 - 1e-7);
}

void sb_prover_tell(sb_prover *s)
{
    s->outcome->labels = 0;
    for (int m = 0; m < s->fleet->machines; m++)
        s->outcome->labels += s->pricers[m].labels;
    if (s->options->tell != NULL)
        s->options->tell(s->options->context, s->outcome);
}

void sb_prover_raise(sb_prover *s, double bound)
{
    double all = fmin(fmin(sb_prover_rounded(s, bound), s->elsewhere), s->ceiling);
    if (all > s->outcome->bound)
        s->outcome->bound = all;
}

void sb_prover_take(sb_prover *s, const sb_routes *routes)
{
    if (!(routes->cost < s->outcome->routes.cost))
        return;
    sb_routes_copy(s->fleet, routes, &s->outcome->routes);
    s->ceiling = fmin(s->ceiling, routes->cost);
}

/* ---- One round ----------------------------------------------------------------------------- */

void sb_prover_set_prices(sb_prover *s, int kind, const sb_duals *duals)
{
    const sb_fleet *f = s->fleet;
    sb_pricer *w = &s->pricers[kind];
    size_t nodes = (size_t)f->n + 1;
    memcpy(w->reward, duals->reward, (size_t)f->n * sizeof *w->reward);
    w->spend_price = duals->spend;
    w->full_price = duals->full;
    memset(w->toll, 0, nodes * nodes * sizeof *w->toll);
    for (size_t c = 0; c < s->cuts.count; c++) {
        if (duals->entry[c] == 0)
            continue;
        const uint64_t *set = s->cuts.items[c].set;
        for (int i = 0; i <= f->n; i++)
            for (int j = 0; j < f->n; j++)
                if (sb_has(set, j) && (i == f->n || !sb_has(set, i)))
                    w->toll[(size_t)i * nodes + (size_t)j] -= duals->entry[c];
    }
}

static double gap(const sb_prover *s)
{
    double bound = fmax(s->best_bound, fmax(s->inherited, 0));
    return fmax(s->ceiling - bound, SAME_MONEY * s->ceiling);
}

sb_pricing sb_prover_pricing(const sb_prover *s, int kind)
{
    const sb_pricer *w = &s->pricers[kind];
    int stops = 0;
    for (int m = 0; m < s->fleet->machines; m++)
        stops += s->pricers[s->fleet->kind[m]].most_stops;
    if (stops > 2 * s->fleet->n)
        stops = 2 * s->fleet->n;
    double label_bytes = sizeof(sb_label) + 8.0 * (w->p->dims + w->p->words + 2);
    sb_pricing pricing = {.most_labels = (long)fmin(MOST_LABELS, MOST_BYTES / label_bytes)};
    pricing.absorb = s->absorb_share * gap(s) / fmax(stops, 1);
    if (w->p->timed && isfinite(w->p->end_h) && w->p->dims > 0)
        pricing.absorb_h =
            ABSORB_H_SHARE * fmin(s->absorb_share, 1) * (w->p->end_h - w->p->start_h);
    return pricing;
}

static bool pass_over(sb_prover *s, sb_pass_end end)
{
    if (end == SB_PASS_NOMEM)
        s->status = SB_ERR_NOMEM;
    if (end == SB_PASS_STOPPED || end == SB_PASS_NOMEM)
        s->stopped = true;
    return end != SB_PASS_DONE;
}

static int *visits_of(const sb_prover *s, int kind)
{
    return s->visits + (size_t)kind * (size_t)s->fleet->n;
}

/* Takes in the walks of the last pass that the linear program would pay for; while there is none,
 * the cheapest. */
static sb_status take_walks(sb_prover *s, int kind, bool blind, size_t *taken)
{
    sb_pricer *w = &s->pricers[kind];
    sb_walk_end *ends;
    size_t count, before = s->columns.count;
    sb_status status = sb_pricer_ends(w, 0, false, &ends, &count);
    for (size_t e = 0; e < count && s->columns.count < before + MOST_WALKS && status == SB_OK;
         e++) {
        size_t had = s->columns.count;
        sb_pricer_read(w, &ends[e], s->field, s->level);
        if (e == 0) {
            int *visits = visits_of(s, kind);
            memset(visits, 0, (size_t)s->fleet->n * sizeof *visits);
            for (int t = 0; t < ends[e].stops; t++)
                visits[s->field[t]]++;
            if (blind && s->steps >= STEPS_BEFORE_MEMORY)
                sb_remember_cycles(w->p, w->memory, s->field, ends[e].stops, SB_PRICER_MEMORY,
                                   ends[e].stops);
        }
        status = sb_column_pool_add(&s->columns, s->fleet, kind, s->field, s->level, ends[e].stops);
        if (blind && e + 1 >= BLIND_WALKS)
            break;
        if (!blind && s->columns.count > had &&
            sb_duals_reduced(&s->lp, &s->columns.items[had], &s->cuts) >= -SAME_MONEY * s->ceiling)
            sb_column_pool_drop_last(&s->columns);
    }
    *taken += s->columns.count - before;
    sb_free(ends);
    return status;
}

/* The bound at these duals, given each kind's least reduced cost. */
static double bound_at(const sb_prover *s, const sb_duals *duals)
{
    const sb_fleet *f = s->fleet;
    double bound = 0;
    for (int j = 0; j < f->n; j++)
        bound += duals->reward[j];
    if (duals->spend > 0)
        bound -= duals->spend * sb_spend_most(f->most_spend);
    if (duals->full > 0)
        bound -= duals->full * f->most_full;
    for (size_t c = 0; c < s->cuts.count; c++)
        if (duals->entry[c] != 0)
            bound += duals->entry[c] *
                     (duals->entry[c] > 0 ? s->cuts.items[c].least : s->cuts.items[c].most);
    for (int m = 0; m < f->machines; m++)
        if (f->kind[m] == m)
            bound += s->like[m] * s->least[m];
    return bound;
}

typedef enum round_end { ROUND_ON, ROUND_FOUND_NOTHING, ROUND_TOO_LARGE, ROUND_STOPPED } round_end;

/* Small seasons are priced in full every time. */
static bool may_be_sparse(const sb_prover *s)
{
    return s->fleet->n > 24;
}

/* What the round has shown of the duals s->at. A sparse one shows no bound, only where to look. */
static void judge_duals(sb_prover *s, bool sparse)
{
    double bound = bound_at(s, &s->at);
    if (bound > s->center_value) {
        s->center_value = bound;
        s->center_proven = !sparse;
        sb_duals_mix(s->fleet, &s->at, &s->at, 1, &s->center);
    }
    if (!sparse && bound > s->best_bound) {
        s->best_bound = bound;
        sb_duals_mix(s->fleet, &s->at, &s->at, 1, &s->best);
        memcpy(s->best_least, s->least, (size_t)s->fleet->machines * sizeof *s->least);
        sb_prover_raise(s, bound);
    }
    sb_prover_tell(s);
}

/* Prices one kind at s->at. */
static round_end price_kind(sb_prover *s, int m, bool sparse, bool blind, size_t *taken)
{
    sb_pricer *w = &s->pricers[m];
    sb_prover_set_prices(s, m, &s->at);
    sb_pricing pricing = sb_prover_pricing(s, m);
    s->least[m] = s->over_h[m] = 0;
    if (may_be_sparse(s)) {
        pricing.sparse = true;
        sb_pass_end end = sb_pricer_forward(w, &pricing, &s->least[m]);
        if (pass_over(s, end))
            return s->stopped ? ROUND_STOPPED : ROUND_TOO_LARGE;
        s->least[m] = fmin(s->least[m], 0);
        s->status = take_walks(s, m, blind, taken);
        pricing.limit = s->least[m] < 0 ? s->least[m] - CHEAPER * gap(s) / s->fleet->machines : 0;
    }
    if (sparse || s->status != SB_OK)
        return s->status == SB_OK ? ROUND_ON : ROUND_STOPPED;
    double least;
    pricing.sparse = false;
    sb_pass_end end = sb_pricer_forward(w, &pricing, &least);
    if (pass_over(s, end))
        return s->stopped ? ROUND_STOPPED : ROUND_TOO_LARGE;
    /* Both are bounds: walks may go round in circles that the rest remembers. */
    s->least[m] = fmax(fmin(least, pricing.limit), fmin(w->rest.walk_least, 0));
    s->status = take_walks(s, m, blind, taken);
    return s->status == SB_OK ? ROUND_ON : ROUND_STOPPED;
}

/* Prices all kinds at s->at.
 * @param blind no linear program was solved yet: take the cheapest walk of each kind */
static round_end price(sb_prover *s, bool sparse, bool blind)
{
    size_t taken = 0;
    for (int m = 0; m < s->fleet->machines; m++) {
        if (s->fleet->kind[m] != m)
            continue;
        round_end end = price_kind(s, m, sparse, blind, &taken);
        sb_pricer_forget(&s->pricers[m]);
        if (end != ROUND_ON)
            return end;
    }
    judge_duals(s, sparse);
    return taken > 0 ? ROUND_ON : ROUND_FOUND_NOTHING;
}

typedef struct skimming {
    sb_prover *s;
    int clock;
} skimming;

static void skim_kind(void *context, int m, int worker)
{
    (void)worker;
    skimming *k = context;
    sb_prover *s = k->s;
    if (s->fleet->kind[m] != m)
        return;
    sb_pricer *w = &s->pricers[m];
    sb_pass_run run = {.p = w->p, .crew = s->crew};
    sb_prover_set_prices(s, m, &s->at);
    double least = sb_rest_walk(w, k->clock, s->at.hour[m], &run, visits_of(s, m), &s->over_h[m]);
    s->least[m] = fmin(least, 0);
}

/* Bounds all kinds at s->at by the bounds on the rest of a walk alone: less than pricing says, and
 * far sooner. */
static round_end skim(sb_prover *s, int clock)
{
    skimming k = {.s = s, .clock = clock};
    sb_crew_share(s->crew, s->fleet->machines, skim_kind, &k);
    if (sb_crew_stopped(s->crew)) {
        s->stopped = true;
        return ROUND_STOPPED;
    }
    judge_duals(s, false);
    return ROUND_ON;
}

/* Prices the centre in full: what it is really worth. */
static round_end prove_center(sb_prover *s, bool blind)
{
    sb_duals_mix(s->fleet, &s->center, &s->center, 1, &s->at);
    s->center_value = -INFINITY;
    return price(s, false, blind);
}

/* ---- Rounds -------------------------------------------------------------------------------- */

/* Walks that no machine remembers as it should leave the linear program. */
static bool grow_memory(sb_prover *s)
{
    bool grown = false;
    for (size_t c = 0; c < s->master.n_columns; c++) {
        sb_route_column *column = &s->columns.items[c];
        if (column->is_route || sb_master_share(&s->master, c) < 1e-6)
            continue;
        const sb_pricer *w = &s->pricers[column->machine];
        if (sb_remember_cycles(w->p, w->memory, column->field, column->stops, SB_PRICER_MEMORY,
                               column->stops))
            grown = true;
    }
    for (size_t c = 0; c < s->master.n_columns && grown; c++)
        if (!s->columns.items[c].is_route && sb_master_share(&s->master, c) >= 1e-6) {
            s->columns.items[c].barred = true;
            sb_master_forbid(&s->master, c);
        }
    return grown;
}

/* In steps a machine with so many hours too many counts like a field that is not visited: with
 * twice its hours like all the fields of its share. */
static double hours_like_field(const sb_prover *s, int m)
{
    const sb_problem *p = s->pricers[m].p;
    return (p->end_h - p->start_h) / sqrt((double)s->fleet->n / s->fleet->machines);
}

/* Bends the direction towards what the cheapest walks of all kinds miss: fields that they do not
 * visit, or visit more than once, and hours. */
static void turn(sb_prover *s)
{
    const sb_fleet *f = s->fleet;
    for (int d = 0; d < f->n + f->machines; d++)
        s->direction[d] = (d < f->n) + STEP_BEND * s->direction[d];
    for (int m = 0; m < f->machines; m++) {
        if (f->kind[m] != m || !(s->least[m] < 0))
            continue;
        for (int j = 0; j < f->n; j++)
            s->direction[j] -= s->like[m] * visits_of(s, m)[j];
        double *hours = &s->direction[f->n + m];
        *hours += s->over_h[m] == 0 ? 0 : s->like[m] * s->over_h[m] / hours_like_field(s, m);
        if (s->at.hour[m] == 0)
            *hours = fmax(*hours, 0); /* no hour costs less than nothing */
    }
}

static void forget_direction(sb_prover *s)
{
    memset(s->direction, 0, (size_t)(s->fleet->n + s->fleet->machines) * sizeof *s->direction);
}

static void begin_steps(sb_prover *s, double size)
{
    sb_duals_mix(s->fleet, &s->best, &s->best, 1, &s->at);
    forget_direction(s);
    s->step_size = size;
    s->steps = s->idle = 0;
}

/* One step from s->at, which was just bounded, towards visiting every field once (Polyak 1969, with
 * bent steps: Camerini, Fratta & Maffioli 1975; both from memory).
 * @param before what the centre was worth until then
 * @param worth  a rise by less than this share of the gap is standing still. @return false: steps
 * stand still */
static bool step_rewards(sb_prover *s, double before, double worth)
{
    const sb_fleet *f = s->fleet;
    double bound = bound_at(s, &s->at), length = 0;
    s->idle = s->center_value > before + worth * gap(s) ? 0 : s->idle + 1;
    if (s->idle > 0 && s->idle % STEP_PATIENCE == 0) {
        s->step_size *= STEP_SHRINK;
        sb_duals_mix(f, &s->center, &s->center, 1, &s->at);
        forget_direction(s);
    }
    turn(s);
    for (int d = 0; d < f->n + f->machines; d++)
        length += s->direction[d] * s->direction[d];
    double step = length > 0 ? s->step_size * fmax(s->ceiling - bound, 0) / length : 0;
    for (int j = 0; j < f->n; j++)
        s->at.reward[j] += step * s->direction[j];
    for (int m = 0; m < f->machines; m++) {
        double hours = s->direction[f->n + m];
        if (hours != 0)
            s->at.hour[m] = fmax(s->at.hour[m] + step * hours / hours_like_field(s, m), 0);
    }
    s->steps++;
    return s->idle < STEP_GIVE_UP && length > 0;
}

/* Steps by skimming. */
static void skim_rewards(sb_prover *s, int clock)
{
    double last_gap = INFINITY;
    begin_steps(s, skim_step[clock]);
    for (bool on = !s->stopped; on;) {
        double before = s->center_value;
        if (skim(s, clock) == ROUND_STOPPED)
            return;
        on = step_rewards(s, before, STEP_SKIM_WORTH);
        if (s->steps % SKIM_STEPS == 0) {
            on &= gap(s) <= (1 - skim_worth[clock]) * last_gap;
            last_gap = gap(s);
        }
    }
}

/* The first duals, from what the best routes say: far from the optimum steps are sooner there than
 * the linear program. Goes on where the last call ended. */
static void find_center(sb_prover *s)
{
    if (!s->begun) {
        s->begun = true;
        bool skims = s->fleet->n > SKIM_FROM;
        if (skims) {
            skim_rewards(s, 0);
            for (int clock = 1; clock < SB_REST_CLOCKS && s->fleet->n > SKIM_FINE_FROM; clock++)
                skim_rewards(s, clock);
            s->absorb_share = SKIM_ABSORB;
        }
        begin_steps(s, skims ? STEP_AFTER_SKIM : STEP_START);
    }
    for (int k = 0; k < STEPS_AT_ONCE && !s->settled; k++) {
        double before = s->center_value, size = s->step_size;
        round_end end = price(s, false, true);
        s->settled = end == ROUND_STOPPED || end == ROUND_TOO_LARGE ||
                     !step_rewards(s, before, STEP_WORTH) || s->steps > MOST_STEPS;
        if (s->step_size < size && s->absorb_share > ABSORB_LEAST)
            s->absorb_share *= STEP_ABSORB;
    }
}

/* Bound and linear program agree, and every walk that matters is in it. Makes both better: labels
 * absorb less, sets of fields get entry cuts, walks remember more. false: nothing of that helps. */
static bool refine(sb_prover *s, double value)
{
    s->center_proven = false;
    if (s->absorb_share > ABSORB_LEAST && value - s->best_bound > AGREED_EXACTLY * s->ceiling) {
        s->absorb_share *= ABSORB_SHRINK;
        return true;
    }
    return sb_prover_cut(s) || grow_memory(s);
}

static bool agreed(const sb_prover *s, double value)
{
    return value - s->center_value <=
           AGREED * fmax(s->ceiling - value, 0) + AGREED_EXACTLY * s->ceiling;
}

/* One round at the centre, or between it and the program's own duals; false: nothing more helps. */
static bool work_round(sb_prover *s, int round, double value, double *share)
{
    round_end end;
    bool at_center =
        isinf(s->best_bound) || agreed(s, value) || round % FULL_EVERY == FULL_EVERY - 1;
    if (at_center && s->center_proven && agreed(s, value))
        return refine(s, value);
    if (at_center && !s->center_proven) {
        end = prove_center(s, false);
    } else {
        sb_duals_mix(s->fleet, &s->center, &s->lp, isfinite(s->center_value) ? *share : 1, &s->at);
        end = price(s, may_be_sparse(s) && *share > 0, false);
    }
    if (end == ROUND_TOO_LARGE) {
        s->absorb_share *= 2;
        if (s->absorb_share <= ABSORB_MOST)
            return true;
        s->outcome->method = "stopped: too many walks to look at";
    }
    if (end == ROUND_STOPPED || end == ROUND_TOO_LARGE)
        return false;
    if (end == ROUND_ON) {
        *share = SMOOTH;
    } else if (*share > 0) {
        *share = *share > 0.3 ? 1 - 2 * (1 - *share) : 0;
    } else {
        *share = SMOOTH;
        return refine(s, value);
    }
    return true;
}

bool sb_prover_bound(sb_prover *s)
{
    double share = SMOOTH;
    bool by_steps = !s->settled; /* then see first whether that is enough */
    if (by_steps)
        find_center(s);
    for (int round = 0; round < ROUNDS_AT_ONCE && !by_steps; round++) {
        if (s->status != SB_OK || s->stopped)
            return false;
        if (sb_prover_rounded(s, s->best_bound) >= sb_prover_target(s))
            return true;
        double value;
        s->status = sb_master_update(&s->master, &s->columns, &s->cuts);
        if (s->status != SB_OK)
            return false;
        if (!sb_master_solve(&s->master, &value, &s->lp)) {
            s->stopped = true;
            s->outcome->method = "stopped: the linear program failed";
            return false;
        }
        if (!work_round(s, round, value, &share)) {
            s->exhausted = true;
            break;
        }
    }
    return sb_prover_rounded(s, s->best_bound) >= sb_prover_target(s);
}
