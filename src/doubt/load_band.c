/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/load_band.h"

#include "base/mem.h"
#include "order/parallel.h"

/* Samples that one thread takes at a time. */
#define BATCH 32

/** One thread's season to change, and room for a machine's way through it. */
typedef struct follower {
    sb_season *season;
    double *multiplier;
    sb_held *curve;
} follower;

typedef struct band_study {
    const sb_season *season;
    const sb_plan *plan;
    const sb_doubt *doubt;
    follower *followers;
    size_t seasons, width;
    float *table; /* by sample; a band is looked at, not calculated with */
} band_study;

static size_t most_stops(const sb_plan *plan)
{
    size_t most = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        most = plan->routes[r].n_stops > most ? plan->routes[r].n_stops : most;
    return most;
}

static size_t all_stops(const sb_plan *plan)
{
    size_t n = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        n += plan->routes[r].n_stops;
    return n;
}

static sb_status follower_init(follower *f, const band_study *study)
{
    f->multiplier = sb_alloc(study->doubt->spreads.count, sizeof *f->multiplier);
    f->curve = sb_alloc(most_stops(study->plan) * SB_CURVE_POINTS, sizeof *f->curve);
    if (f->multiplier == NULL || f->curve == NULL)
        return SB_ERR_NOMEM;
    return sb_season_copy(study->season, NULL, NULL, &f->season);
}

static void follower_release(follower *f)
{
    sb_free(f->multiplier);
    sb_free(f->curve);
    sb_season_free(f->season);
}

/* Seeds held in a season, in the order of sb_load_band.bands. */
static void follow(const sb_season *season, const sb_plan *plan, sb_held *curve, float *row)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        sb_load_curve(season, &plan->routes[r], curve);
        for (size_t i = 0; i < plan->routes[r].n_stops; i++)
            for (int point = 0; point < SB_DRAWN_POINTS; point++) {
                const sb_held *held = &curve[i * SB_CURVE_POINTS + (size_t)sb_drawn_points[point]];
                for (size_t k = 0; k < season->setup.n_weeds; k++)
                    *row++ = (float)(held->loose[k] + held->lodged[k]);
            }
    }
}

static void follow_batch(void *context, int batch, int worker)
{
    band_study *study = context;
    const sb_doubt *doubt = study->doubt;
    follower *f = &study->followers[worker];
    size_t begin = (size_t)batch * BATCH, end = begin + BATCH;
    for (size_t row = begin; row < (end < study->seasons ? end : study->seasons); row++) {
        sb_spreads_draw(&doubt->spreads, doubt->seed, SB_STUDY_STREAM, doubt->first + row,
                        f->multiplier);
        sb_spreads_apply(&doubt->spreads, f->multiplier, study->season, f->season);
        follow(f->season, study->plan, f->curve, study->table + row * study->width);
    }
}

static sb_status follow_all(band_study *study, sb_crew *crew)
{
    size_t size = (size_t)sb_crew_size(crew);
    study->followers = sb_alloc(size, sizeof *study->followers);
    sb_status status = study->followers != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t w = 0; status == SB_OK && w < size; w++)
        status = follower_init(&study->followers[w], study);
    if (status == SB_OK)
        sb_crew_share(crew, (int)((study->seasons + BATCH - 1) / BATCH), follow_batch, study);
    for (size_t w = 0; study->followers != NULL && w < size; w++)
        follower_release(&study->followers[w]);
    sb_free(study->followers);
    return status;
}

/* Each column of the table becomes a band around what the central case holds. */
static sb_status take_bands(const band_study *study, sb_band *bands)
{
    double *values = sb_alloc(study->seasons, sizeof *values);
    float *central = sb_alloc(study->width, sizeof *central);
    sb_held *curve = sb_alloc(most_stops(study->plan) * SB_CURVE_POINTS, sizeof *curve);
    sb_status status = values != NULL && central != NULL && curve != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        follow(study->season, study->plan, curve, central);
    for (size_t c = 0; status == SB_OK && c < study->width; c++) {
        for (size_t row = 0; row < study->seasons; row++)
            values[row] = study->table[row * study->width + c];
        bands[c] = sb_band_of(central[c], values, study->seasons);
    }
    sb_free(values);
    sb_free(central);
    sb_free(curve);
    return status;
}

sb_status sb_load_band_of(const sb_season *season, const sb_plan *plan, const sb_doubt *doubt,
                          int threads, sb_load_band *band)
{
    size_t samples = sb_doubt_samples(doubt);
    *band = (sb_load_band){.n_weeds = season->setup.n_weeds,
                           .seed = doubt->seed,
                           .seasons = samples < SB_BAND_SEASONS ? samples : SB_BAND_SEASONS};
    band_study study = {.season = season, .plan = plan, .doubt = doubt, .seasons = band->seasons};
    study.width = all_stops(plan) * SB_DRAWN_POINTS * band->n_weeds;
    study.table = sb_alloc(study.seasons * study.width, sizeof *study.table);
    band->bands = sb_alloc(study.width, sizeof *band->bands);
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = threads;
    sb_crew *crew = NULL;
    sb_status status = study.table != NULL && band->bands != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = sb_crew_new(&how, &crew);
    if (status == SB_OK)
        status = follow_all(&study, crew);
    if (status == SB_OK)
        status = take_bands(&study, band->bands);
    sb_crew_free(crew);
    sb_free(study.table);
    return status;
}

void sb_load_band_release(sb_load_band *band)
{
    sb_free(band->bands);
    *band = (sb_load_band){0};
}
