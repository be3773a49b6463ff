/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/posterior.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "doubt/philox.h"
#include "doubt/proposal.h"
#include "order/parallel.h"

#define STREAM 2u       /* beside those of study.h and scenarios.h */
#define BATCH 64        /* samples drawn at a time by one thread */
#define STEP 0.02       /* in z: for slopes */
#define REACH 1.0       /* in z: how far a number is moved to see whether findings depend on it */
#define TELLS 1e-3      /* of what is expected: a number that moves it by less says nothing */
#define MOST_TOLD 200   /* numbers looked at together; more: those that tell most */
#define MOST_ROUNDS 30  /* Gauss-Newton steps towards the mode; some five do */
#define MOST_HALVINGS 8 /* of one such step */
#define ASIDE 1.5       /* in z: how far from the mode slopes are taken to draw from */
#define WIDER 0.5      /* of what was found, that counts there; both by trial: least weights vary */
#define CLOSE 1e-4     /* in z: near enough to the mode */
#define FROM_PRIOR 0.1 /* share of the samples that look everywhere, so that no weight is large */
#define SHARE_STEPS 30 /* halvings of the share that findings count for */
#define SURE 1e-12     /* u stays so far from 0 and 1 */

typedef struct worker {
    sb_season *season;
    double *multiplier; /* by spread */
    double *expected;   /* by finding */
    double *z;          /* by spread */
} worker;

typedef struct learning {
    const sb_evidence *e;
    sb_crew *crew;
    worker *workers;
    size_t n, n_found, samples;
    uint64_t seed;
    size_t *told; /* d spreads that findings depend on */
    size_t d;
    double *centre;   /* n_found, log expected at the mode so far */
    double *slope;    /* n_found x d; before that n_found x n, d log expected / d z */
    double reach;     /* how far a number is moved for the slope */
    const double *at; /* by spread: where slopes are taken */
    sb_proposal proposal;
    double *drawn;      /* samples x d */
    double *likelihood; /* samples: its logarithm */
    double *drawn_from; /* samples: logarithm of prior over density drawn from */
    double *weight;     /* samples */
} learning;

/* ---- The model at a point ----------------------------------------------------------------------
 */

static double unit_of(double z)
{
    double u = 0.5 * erfc(-z / sqrt(2));
    return fmin(fmax(u, SURE), 1 - SURE);
}

static void expect_at(const learning *all, worker *w, const double *z)
{
    const sb_evidence *e = all->e;
    for (size_t s = 0; s < all->n; s++)
        w->multiplier[s] = sb_spread_multiplier(&e->spreads->items[s], unit_of(z[s]));
    sb_spreads_apply(e->spreads, w->multiplier, e->season, w->season);
    e->expect(e->context, w->season, w->expected);
}

/* Negative binomial: mean m, variance m + m^2 / shape. */
double sb_found_log_likelihood(const sb_found *found, double expected)
{
    double m = fmax(expected, 1e-300), r = SB_CLUMP_SHAPE;
    if (found->weighed) {
        double off = log(found->amount / m) / SB_WEIGHT_SIGMA;
        return -off * off / 2;
    }
    return r * log(r / (r + m)) + found->amount * log(m / (r + m));
}

/* Slope of the log-likelihood in the logarithm of what is expected, and its mean curvature. */
static double score_of(const sb_found *found, double expected, double *information)
{
    if (found->weighed) {
        *information = 1 / (SB_WEIGHT_SIGMA * SB_WEIGHT_SIGMA);
        return log(found->amount / expected) * *information;
    }
    *information = expected / (1 + expected / SB_CLUMP_SHAPE);
    return (found->amount - expected) / (1 + expected / SB_CLUMP_SHAPE);
}

/* ---- Towards the mode --------------------------------------------------------------------------
 */

/* One column of the slopes: number `i` of the told ones (of all, while none are chosen). */
static void take_slope(void *context, int i, int who)
{
    learning *all = context;
    worker *w = &all->workers[who];
    size_t columns = all->told != NULL ? all->d : all->n;
    size_t s = all->told != NULL ? all->told[i] : (size_t)i;
    memcpy(w->z, all->at, all->n * sizeof *w->z);
    w->z[s] += all->reach;
    expect_at(all, w, w->z);
    for (size_t f = 0; f < all->n_found; f++)
        all->slope[f * columns + (size_t)i] =
            (log(fmax(w->expected[f], 1e-300)) - all->centre[f]) / all->reach;
}

/* Expected, and slopes of it, at a point. */
static void linearize(learning *all, const double *z, double reach)
{
    all->at = z;
    all->reach = reach;
    expect_at(all, &all->workers[0], z);
    for (size_t f = 0; f < all->n_found; f++)
        all->centre[f] = log(fmax(all->workers[0].expected[f], 1e-300));
    sb_crew_share(all->crew, (int)(all->told != NULL ? all->d : all->n), take_slope, all);
}

typedef struct tell {
    double most;
    size_t spread;
} tell;

static int tells_more(const void *a, const void *b)
{
    const tell *one = a, *other = b;
    if (one->most != other->most)
        return one->most > other->most ? -1 : 1;
    return one->spread < other->spread ? -1 : 1;
}

static int by_number(const void *a, const void *b)
{
    size_t one = *(const size_t *)a, other = *(const size_t *)b;
    return (one > other) - (one < other);
}

/* Which numbers do the findings depend on? */
static sb_status choose_told(learning *all, const double *z)
{
    tell *tells = sb_alloc(all->n, sizeof *tells);
    if (tells == NULL)
        return SB_ERR_NOMEM;
    linearize(all, z, REACH);
    size_t told = 0;
    for (size_t s = 0; s < all->n; s++) {
        tells[s].spread = s;
        for (size_t f = 0; f < all->n_found; f++)
            tells[s].most = fmax(tells[s].most, fabs(all->slope[f * all->n + s]));
        told += tells[s].most > TELLS;
    }
    qsort(tells, all->n, sizeof *tells, tells_more);
    all->d = told < MOST_TOLD ? told : MOST_TOLD;
    all->told = sb_alloc(all->d, sizeof *all->told);
    for (size_t i = 0; all->told != NULL && i < all->d; i++)
        all->told[i] = tells[i].spread;
    if (all->told != NULL)
        qsort(all->told, all->d, sizeof *all->told, by_number);
    sb_free(tells);
    return all->told != NULL ? SB_OK : SB_ERR_NOMEM;
}

/* @param told d values of the numbers told of */
static double log_likelihood(const learning *all, worker *w, const double *told)
{
    double sum = 0;
    for (size_t i = 0; i < all->d; i++)
        w->z[all->told[i]] = told[i];
    expect_at(all, w, w->z);
    for (size_t f = 0; f < all->n_found; f++)
        sum += sb_found_log_likelihood(&all->e->found[f], w->expected[f]);
    return sum;
}

static double log_prior(const learning *all, const double *told)
{
    double sum = 0;
    for (size_t i = 0; i < all->d; i++)
        sum -= told[i] * told[i] / 2;
    return sum;
}

static double log_posterior(const learning *all, worker *w, const double *told)
{
    return log_prior(all, told) + log_likelihood(all, w, told);
}

/* One Gauss-Newton step of the mode, halved until it climbs. @return how far it went, in z
 * @param work n + 2 d + 2 n_found numbers; its first n stay 0 but for those told of */
static double climb(learning *all, double *work)
{
    double *z = work, *step = work + all->n, *tried = step + all->d;
    double *score = tried + all->d, *information = score + all->n_found;
    sb_proposal *p = &all->proposal;
    for (size_t i = 0; i < all->d; i++)
        z[all->told[i]] = p->mode[i];
    linearize(all, z, STEP);
    for (size_t f = 0; f < all->n_found; f++)
        score[f] = score_of(&all->e->found[f], exp(all->centre[f]), &information[f]);
    sb_proposal_set(p, all->slope, information, all->n_found);
    for (size_t i = 0; i < all->d; i++) {
        step[i] = -p->mode[i];
        for (size_t f = 0; f < all->n_found; f++)
            step[i] += all->slope[f * all->d + i] * score[f];
    }
    sb_proposal_solve(p, step);
    worker *w = &all->workers[0];
    memset(w->z, 0, all->n * sizeof *w->z);
    double here = log_posterior(all, w, p->mode), share = 1;
    for (int halvings = 0; halvings < MOST_HALVINGS; halvings++, share /= 2) {
        double far = 0;
        for (size_t i = 0; i < all->d; i++) {
            tried[i] = p->mode[i] + share * step[i];
            far = fmax(far, fabs(share * step[i]));
        }
        if (log_posterior(all, w, tried) > here) {
            memcpy(p->mode, tried, all->d * sizeof *tried);
            return far;
        }
    }
    return 0;
}

/* The normal distribution at the mode is too narrow where a slope is steep on one side only, as on
 * ranges that reach further up than down: samples there would be few and weigh much. So the flatter
 * of both sides counts, some way off, and what was found at half its worth. */
static void widen(learning *all, double *work)
{
    double *z = work, *information = work + all->n, *up = information + all->n_found;
    for (size_t i = 0; i < all->d; i++)
        z[all->told[i]] = all->proposal.mode[i];
    linearize(all, z, ASIDE);
    memcpy(up, all->slope, all->n_found * all->d * sizeof *up);
    linearize(all, z, -ASIDE);
    for (size_t i = 0; i < all->n_found * all->d; i++)
        if (fabs(up[i]) < fabs(all->slope[i]))
            all->slope[i] = up[i];
    for (size_t f = 0; f < all->n_found; f++) {
        (void)score_of(&all->e->found[f], exp(all->centre[f]), &information[f]);
        information[f] *= WIDER;
    }
    sb_proposal_set(&all->proposal, all->slope, information, all->n_found);
}

static sb_status find_mode(learning *all)
{
    sb_status status = SB_ERR_NOMEM;
    double *work = sb_alloc(3 * all->n + 2 * all->n_found + all->n * all->n_found, sizeof *work);
    all->centre = sb_alloc(all->n_found, sizeof *all->centre);
    all->slope = sb_alloc(all->n_found * all->n, sizeof *all->slope);
    if (work == NULL || all->centre == NULL || all->slope == NULL)
        goto out;
    if ((status = choose_told(all, work)) != SB_OK ||
        (status = sb_proposal_init(&all->proposal, all->d)) != SB_OK)
        goto out;
    for (int round = 0; round < MOST_ROUNDS; round++)
        if (!(climb(all, work) > CLOSE))
            break;
    widen(all, work);
out:
    sb_free(work);
    return status;
}

/* ---- Samples -----------------------------------------------------------------------------------
 */

/* log(a share of exp(one) and the rest of exp(other)) */
static double log_mixed(double share, double one, double other)
{
    double most = fmax(one, other);
    return most + log(share * exp(one - most) + (1 - share) * exp(other - most));
}

static void draw_sample(learning *all, worker *w, size_t k)
{
    double *told = all->drawn + k * all->d;
    for (size_t s = 0; s < all->n; s++)
        w->z[s] = sb_normal_quantile(sb_philox_unit(all->seed, STREAM, k, (uint32_t)s));
    for (size_t i = 0; i < all->d; i++)
        told[i] = w->z[all->told[i]];
    if (sb_philox_unit(all->seed, STREAM, k, (uint32_t)all->n) >= FROM_PRIOR)
        sb_proposal_draw(&all->proposal, told);
    double prior = log_prior(all, told);
    all->likelihood[k] = log_likelihood(all, w, told);
    all->drawn_from[k] =
        prior - log_mixed(FROM_PRIOR, prior, sb_proposal_log_density(&all->proposal, told));
}

static void draw_batch(void *context, int batch, int who)
{
    learning *all = context;
    size_t begin = (size_t)batch * BATCH, end = begin + BATCH;
    for (size_t k = begin; k < (end < all->samples ? end : all->samples); k++)
        draw_sample(all, &all->workers[who], k);
}

/* Weights that add up to 1, with the findings at a share of their worth.
 * @return samples that weigh as much together */
static double weigh(const learning *all, double share)
{
    double most = -INFINITY, sum = 0, squares = 0;
    for (size_t k = 0; k < all->samples; k++) {
        all->weight[k] = share * all->likelihood[k] + all->drawn_from[k];
        most = fmax(most, all->weight[k]);
    }
    for (size_t k = 0; k < all->samples; k++)
        sum += all->weight[k] = exp(all->weight[k] - most);
    for (size_t k = 0; k < all->samples; k++) {
        all->weight[k] /= sum;
        squares += all->weight[k] * all->weight[k];
    }
    return 1 / squares;
}

/* Findings that contradict each other, or the model, leave next to no sample that agrees with all
 * of them. Then they count for as much as leaves enough. */
static void settle_weights(const learning *all, sb_posterior *posterior)
{
    double enough = fmin(SB_ENOUGH_SAMPLES, (double)all->samples / 20);
    posterior->share = 1;
    posterior->effective = weigh(all, 1);
    if (posterior->effective >= enough)
        return;
    double low = 0, high = 1;
    for (int i = 0; i < SHARE_STEPS; i++) {
        double middle = (low + high) / 2;
        if (weigh(all, middle) >= enough)
            low = middle;
        else
            high = middle;
    }
    posterior->share = low;
    posterior->effective = weigh(all, low);
}

typedef struct weighed {
    double z, weight;
} weighed;

static int lower_first(const void *a, const void *b)
{
    double one = ((const weighed *)a)->z, other = ((const weighed *)b)->z;
    return (one > other) - (one < other);
}

static double quantile(const weighed *sorted, size_t n, double p)
{
    double below = 0;
    for (size_t k = 0; k < n; k++)
        if ((below += sorted[k].weight) >= p)
            return sorted[k].z;
    return sorted[n - 1].z;
}

static sb_status sum_up(const learning *all, sb_posterior *posterior)
{
    static const double AT[3] = {0.05, 0.5, 0.95};
    weighed *sorted = sb_alloc(all->samples, sizeof *sorted);
    if (sorted == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < all->d; i++) {
        size_t s = all->told[i];
        sb_learned *learned = &posterior->spread[s];
        for (size_t k = 0; k < all->samples; k++)
            sorted[k] = (weighed){all->drawn[k * all->d + i], all->weight[k]};
        qsort(sorted, all->samples, sizeof *sorted, lower_first);
        for (size_t q = 0; q < 3; q++)
            learned->u[q] = unit_of(quantile(sorted, all->samples, AT[q]));
        learned->touched = true;
        /* The middle of n samples is off by 0.5 / sqrt(n) of them. */
        const sb_spread *spread = &all->e->spreads->items[s];
        if (fabs(learned->u[1] - 0.5) > 1 / sqrt(posterior->effective))
            learned->times =
                sb_spread_multiplier(spread, learned->u[1]) / sb_spread_multiplier(spread, 0.5);
    }
    sb_free(sorted);
    return SB_OK;
}

/* What is expected as planned, and with the middles learned. */
static void expect_after(const learning *all, sb_posterior *posterior)
{
    const sb_evidence *e = all->e;
    worker *w = &all->workers[0];
    e->expect(e->context, e->season, posterior->before);
    for (size_t s = 0; s < all->n; s++)
        w->multiplier[s] = posterior->spread[s].times;
    sb_spreads_apply(e->spreads, w->multiplier, e->season, w->season);
    e->expect(e->context, w->season, posterior->after);
}

/* ---- The whole ---------------------------------------------------------------------------------
 */

static sb_status workers_init(learning *all)
{
    int size = sb_crew_size(all->crew);
    all->workers = sb_alloc((size_t)size, sizeof *all->workers);
    if (all->workers == NULL)
        return SB_ERR_NOMEM;
    for (int i = 0; i < size; i++) {
        worker *w = &all->workers[i];
        w->multiplier = sb_alloc(all->n, sizeof *w->multiplier);
        w->z = sb_alloc(all->n, sizeof *w->z);
        w->expected = sb_alloc(all->n_found, sizeof *w->expected);
        if (w->multiplier == NULL || w->z == NULL || w->expected == NULL)
            return SB_ERR_NOMEM;
        sb_status status = sb_season_copy(all->e->season, NULL, NULL, &w->season);
        if (status != SB_OK)
            return status;
    }
    return SB_OK;
}

static void learning_release(learning *all)
{
    for (int i = 0; all->workers != NULL && i < sb_crew_size(all->crew); i++) {
        sb_free(all->workers[i].multiplier);
        sb_free(all->workers[i].z);
        sb_free(all->workers[i].expected);
        sb_season_free(all->workers[i].season);
    }
    sb_free(all->workers);
    sb_crew_free(all->crew);
    sb_free(all->told);
    sb_free(all->centre);
    sb_free(all->slope);
    sb_proposal_release(&all->proposal);
    sb_free(all->drawn);
    sb_free(all->weight);
    sb_free(all->likelihood);
    sb_free(all->drawn_from);
}

static sb_status draw_samples(learning *all)
{
    all->drawn = sb_alloc(all->samples * (all->d + 1), sizeof *all->drawn);
    all->weight = sb_alloc(all->samples, sizeof *all->weight);
    all->likelihood = sb_alloc(all->samples, sizeof *all->likelihood);
    all->drawn_from = sb_alloc(all->samples, sizeof *all->drawn_from);
    if (all->drawn == NULL || all->weight == NULL || all->likelihood == NULL ||
        all->drawn_from == NULL)
        return SB_ERR_NOMEM;
    sb_crew_share(all->crew, (int)((all->samples + BATCH - 1) / BATCH), draw_batch, all);
    return SB_OK;
}

static sb_status posterior_init(sb_posterior *posterior, const learning *all)
{
    *posterior = (sb_posterior){.samples = all->samples};
    posterior->spread = sb_alloc(all->n, sizeof *posterior->spread);
    posterior->before = sb_alloc(all->n_found, sizeof *posterior->before);
    posterior->after = sb_alloc(all->n_found, sizeof *posterior->after);
    if (posterior->spread == NULL || posterior->before == NULL || posterior->after == NULL)
        return SB_ERR_NOMEM;
    for (size_t s = 0; s < all->n; s++)
        posterior->spread[s] = (sb_learned){.u = {0.05, 0.5, 0.95}, .times = 1};
    return SB_OK;
}

void sb_posterior_release(sb_posterior *posterior)
{
    sb_free(posterior->spread);
    sb_free(posterior->before);
    sb_free(posterior->after);
    *posterior = (sb_posterior){0};
}

sb_status sb_posterior_of(const sb_evidence *evidence, size_t samples, uint64_t seed, int threads,
                          sb_posterior *posterior)
{
    learning all = {.e = evidence,
                    .n = evidence->spreads->count,
                    .n_found = evidence->n_found,
                    .samples = samples,
                    .seed = seed};
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = threads;
    sb_status status = posterior_init(posterior, &all);
    if (status == SB_OK)
        status = sb_crew_new(&how, &all.crew);
    if (status == SB_OK && (status = workers_init(&all)) == SB_OK &&
        (status = find_mode(&all)) == SB_OK && (status = draw_samples(&all)) == SB_OK) {
        settle_weights(&all, posterior);
        if ((status = sum_up(&all, posterior)) == SB_OK)
            expect_after(&all, posterior);
    }
    learning_release(&all);
    return status;
}
