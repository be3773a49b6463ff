/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/study.h"

#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "doubt/philox.h"
#include "order/parallel.h"

/* Samples that one thread takes at a time. */
#define BATCH 64

/** One thread's season to change, and plans to price in it. */
typedef struct sampler {
    sb_season *season;
    sb_plan **plans; /* the plan, then the rivals */
    double *multiplier;
    sb_status status;
} sampler;

typedef struct study {
    const sb_season *season;
    sb_doubt *doubt;
    sampler *samplers;
} study;

void sb_doubt_options_init(sb_doubt_options *options)
{
    *options = (sb_doubt_options){.seed = 1, .first = 1, .last = SB_DOUBT_SAMPLES};
}

void sb_doubt_free(sb_doubt *doubt)
{
    if (doubt == NULL)
        return;
    for (size_t r = 0; doubt->rival_names != NULL && r < doubt->n_rivals; r++)
        sb_free(doubt->rival_names[r]);
    sb_free(doubt->rival_names);
    sb_free(doubt->rival_cost);
    sb_free(doubt->spreads.items);
    sb_free(doubt->central);
    sb_free(doubt->table);
    sb_free(doubt);
}

double sb_doubt_draw(const sb_doubt *doubt, uint64_t sample, size_t spread)
{
    return sb_philox_unit(doubt->seed, SB_STUDY_STREAM, sample, (uint32_t)spread);
}

double sb_outcome_total(const sb_doubt *doubt, const double *row, sb_outcome_kind kind)
{
    double sum = 0;
    for (size_t i = 0; i < doubt->n_fields; i++)
        sum += row[sb_field_column(i, kind)];
    return sum;
}

/* What a plan costs beside the seeds it brings. */
static double fixed_cost(const sb_cost *cost)
{
    return cost->travel + cost->cleanout + cost->delay;
}

double sb_outcome_cost(const sb_doubt *doubt, const double *row)
{
    return fixed_cost(&doubt->cost) + sb_outcome_total(doubt, row, SB_SAMPLED_LOSS);
}

double sb_outcome_rival_cost(const sb_doubt *doubt, const double *row, size_t rival)
{
    return fixed_cost(&doubt->rival_cost[rival]) + row[sb_rival_column(doubt, rival)];
}

static sb_status sampler_init(sampler *s, const sb_season *season, const sb_doubt *doubt,
                              const sb_plan *plan, const sb_rival *rivals)
{
    s->plans = sb_alloc(1 + doubt->n_rivals, sizeof *s->plans);
    s->multiplier = sb_alloc(doubt->spreads.count, sizeof *s->multiplier);
    if (s->plans == NULL || s->multiplier == NULL)
        return SB_ERR_NOMEM;
    sb_status status = sb_season_copy(season, NULL, NULL, &s->season);
    for (size_t p = 0; status == SB_OK && p <= doubt->n_rivals; p++)
        status = sb_plan_copy(season, p == 0 ? plan : rivals[p - 1].plan, &s->plans[p]);
    return status;
}

static void sampler_release(sampler *s, const sb_doubt *doubt)
{
    for (size_t p = 0; s->plans != NULL && p <= doubt->n_rivals; p++)
        sb_plan_free(s->plans[p]);
    sb_free(s->plans);
    sb_free(s->multiplier);
    sb_season_free(s->season);
}

/* Plants that become of a seed on the ground next year, before the field's own weeds count. */
static double plants_per_seed(const sb_weed *weed)
{
    return weed->viability * weed->emergence * weed->survival * (1 - weed->control);
}

static void take_down(const sb_doubt *doubt, const sb_season *season, const sb_plan *plan,
                      double *row)
{
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            const sb_stop *stop = &plan->routes[r].stops[i];
            size_t field = (size_t)stop->field;
            row[sb_field_column(field, SB_SAMPLED_LOSS)] += stop->loss;
            for (size_t w = 0; w < doubt->n_weeds; w++) {
                int weed = doubt->weed[w];
                double seeds = stop->trace.ground[weed];
                double plants = seeds * plants_per_seed(&season->setup.weeds[weed]);
                double loss = seeds * season->fields[field].loss_per_seed[weed];
                row[sb_field_column(field, SB_SAMPLED_SEEDS)] += seeds;
                row[sb_field_column(field, SB_SAMPLED_PLANTS)] += plants;
                row[sb_weed_column(doubt, w, SB_SAMPLED_SEEDS)] += seeds;
                row[sb_weed_column(doubt, w, SB_SAMPLED_PLANTS)] += plants;
                row[sb_weed_column(doubt, w, SB_SAMPLED_LOSS)] += loss;
            }
        }
}

/* Prices every plan in a season. */
static sb_status price_row(const sb_doubt *doubt, const sb_season *season, sb_plan **plans,
                           double *row)
{
    memset(row, 0, doubt->width * sizeof *row);
    for (size_t p = 0; p <= doubt->n_rivals; p++) {
        sb_status status = sb_plan_price_only(season, plans[p]);
        if (status != SB_OK)
            return status;
        if (p == 0)
            take_down(doubt, season, plans[p], row);
        else
            row[sb_rival_column(doubt, p - 1)] = plans[p]->cost.spread;
    }
    return SB_OK;
}

static void find_weeds(const sb_season *season, sb_doubt *doubt)
{
    for (size_t s = 0; s < doubt->spreads.count; s++) {
        const sb_spread *spread = &doubt->spreads.items[s];
        if (spread->what == SB_DOUBT_SEEDS_PER_PLANT) /* every weed in play has this one */
            doubt->weed[doubt->n_weeds++] = spread->weed;
    }
    doubt->width = SB_SAMPLED_KINDS * (season->n_fields + doubt->n_weeds) + doubt->n_rivals;
}

/* ---- What a study is, in one number: FNV-1a (Fowler, Noll & Vo) over its description ---- */

static uint64_t hash_of(const sb_text *text)
{
    uint64_t hash = 0xCBF29CE484222325u;
    for (size_t i = 0; i < text->count; i++)
        hash = (hash ^ (unsigned char)text->bytes[i]) * 0x100000001B3u;
    return hash;
}

static void describe_plan(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        sb_text_addf(text, "\nmachine %d:", plan->routes[r].machine);
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            const sb_stop *stop = &plan->routes[r].stops[i];
            sb_text_addf(text, " %s/%s", season->fields[stop->field].name,
                         season->setup.cleanouts[stop->cleanout].id);
        }
    }
}

/* Numbers with few digits: machines whose mathematics differ in the last bits make one study. */
static sb_status identify(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                          sb_doubt *doubt)
{
    sb_text text = {0};
    sb_text_addf(&text, "seed %llu, cost %.6g", (unsigned long long)doubt->seed, plan->cost.total);
    for (size_t c = 0; c < doubt->width; c++)
        sb_text_addf(&text, " %.6g", doubt->central[c]);
    for (size_t s = 0; s < doubt->spreads.count; s++)
        sb_text_addf(&text, "\n%d of %d %d %d: %.6g to %.6g", (int)doubt->spreads.items[s].what,
                     doubt->spreads.items[s].field, doubt->spreads.items[s].weed,
                     doubt->spreads.items[s].level, doubt->spreads.items[s].low,
                     doubt->spreads.items[s].high);
    describe_plan(season, plan, &text);
    for (size_t r = 0; r < doubt->n_rivals; r++)
        describe_plan(season, rivals[r].plan, &text);
    doubt->id = hash_of(&text);
    sb_status status = text.failed ? SB_ERR_NOMEM : SB_OK;
    sb_text_release(&text);
    return status;
}

static sb_status price_central(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                               sb_doubt *doubt)
{
    sampler central = {0};
    sb_status status = sampler_init(&central, season, doubt, plan, rivals);
    if (status == SB_OK)
        status = price_row(doubt, season, central.plans, doubt->central);
    if (status == SB_OK) {
        doubt->cost = central.plans[0]->cost;
        for (size_t r = 0; r < doubt->n_rivals; r++)
            doubt->rival_cost[r] = central.plans[r + 1]->cost;
    }
    sampler_release(&central, doubt);
    return status;
}

sb_status sb_doubt_prepare(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                           size_t n_rivals, const sb_doubt_options *options, sb_doubt **doubt)
{
    *doubt = NULL;
    sb_doubt *made = sb_alloc(1, sizeof *made);
    if (made == NULL)
        return SB_ERR_NOMEM;
    made->seed = options->seed;
    made->first = options->first;
    made->last = options->last;
    made->n_fields = season->n_fields;
    made->n_rivals = n_rivals;
    sb_status status = sb_spreads_of(season, &made->spreads);
    if (status != SB_OK)
        goto out;
    find_weeds(season, made);
    made->rival_names = sb_alloc(n_rivals, sizeof *made->rival_names);
    made->rival_cost = sb_alloc(n_rivals, sizeof *made->rival_cost);
    made->central = sb_alloc(made->width, sizeof *made->central);
    made->table = sb_alloc(sb_doubt_samples(made) * made->width, sizeof *made->table);
    status = made->rival_names != NULL && made->rival_cost != NULL && made->central != NULL &&
                     made->table != NULL
                 ? SB_OK
                 : SB_ERR_NOMEM;
    for (size_t r = 0; status == SB_OK && r < n_rivals; r++)
        if ((made->rival_names[r] = sb_strdup(rivals[r].name)) == NULL)
            status = SB_ERR_NOMEM;
    if (status == SB_OK)
        status = price_central(season, plan, rivals, made);
    if (status == SB_OK)
        status = identify(season, plan, rivals, made);
out:
    if (status == SB_OK)
        *doubt = made;
    else
        sb_doubt_free(made);
    return status;
}

static void sample_batch(void *context, int batch, int worker)
{
    study *all = context;
    sb_doubt *doubt = all->doubt;
    sampler *s = &all->samplers[worker];
    size_t begin = (size_t)batch * BATCH, end = begin + BATCH, n = sb_doubt_samples(doubt);
    for (size_t row = begin; row < (end < n ? end : n) && s->status == SB_OK; row++) {
        sb_spreads_draw(&doubt->spreads, doubt->seed, SB_STUDY_STREAM, doubt->first + row,
                        s->multiplier);
        sb_spreads_apply(&doubt->spreads, s->multiplier, all->season, s->season);
        s->status = price_row(doubt, s->season, s->plans, doubt->table + row * doubt->width);
    }
}

static sb_status sample(study *all, const sb_plan *plan, const sb_rival *rivals, int threads)
{
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = threads;
    sb_crew *crew = NULL;
    sb_status status = sb_crew_new(&how, &crew);
    if (status != SB_OK)
        return status;
    int size = sb_crew_size(crew);
    all->samplers = sb_alloc((size_t)size, sizeof *all->samplers);
    status = all->samplers != NULL ? SB_OK : SB_ERR_NOMEM;
    for (int w = 0; status == SB_OK && w < size; w++)
        status = sampler_init(&all->samplers[w], all->season, all->doubt, plan, rivals);
    if (status == SB_OK)
        sb_crew_share(crew, (int)((sb_doubt_samples(all->doubt) + BATCH - 1) / BATCH), sample_batch,
                      all);
    for (int w = 0; all->samplers != NULL && w < size; w++) {
        if (status == SB_OK)
            status = all->samplers[w].status;
        sampler_release(&all->samplers[w], all->doubt);
    }
    sb_free(all->samplers);
    sb_crew_free(crew);
    return status;
}

/* A plan that nobody priced, or without a way somewhere, has no cost to doubt. */
static bool priced(const sb_plan *plan)
{
    return plan != NULL && plan->cost.total < SB_LARGEST;
}

sb_status sb_doubt_run(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                       size_t n_rivals, const sb_doubt_options *options, sb_doubt **doubt)
{
    if (doubt == NULL)
        return SB_ERR_ARG;
    *doubt = NULL;
    if (season == NULL || options == NULL || !priced(plan) || (rivals == NULL && n_rivals > 0) ||
        options->first < 1 || options->last < options->first ||
        options->last - options->first >= SB_DOUBT_MOST_SAMPLES)
        return SB_ERR_ARG;
    for (size_t r = 0; r < n_rivals; r++)
        if (rivals[r].name == NULL || !priced(rivals[r].plan))
            return SB_ERR_ARG;
    study all = {.season = season};
    sb_status status = sb_doubt_prepare(season, plan, rivals, n_rivals, options, &all.doubt);
    if (status == SB_OK)
        status = sample(&all, plan, rivals, options->threads);
    if (status == SB_OK)
        *doubt = all.doubt;
    else
        sb_doubt_free(all.doubt);
    return status;
}
