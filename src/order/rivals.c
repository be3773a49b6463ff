/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/rivals.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/solve.h"

sb_status sb_rival_shortest_road(const sb_problem *p, sb_crew *crew, uint64_t seed, int *field)
{
    field[0] = -1;
    sb_season blind = *p->season;
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    sb_status status = SB_ERR_NOMEM;
    blind.fields = sb_alloc(blind.n_fields, sizeof *blind.fields);
    if (blind.fields == NULL)
        return SB_ERR_NOMEM;
    memcpy(blind.fields, p->season->fields, blind.n_fields * sizeof *blind.fields);
    for (size_t j = 0; j < blind.n_fields; j++)
        memset(blind.fields[j].loss_per_seed, 0, sizeof blind.fields[j].loss_per_seed);
    status = sb_problem_init(&problem, &blind, p->machine);
    if (status == SB_OK)
        status = sb_outcome_init(&outcome, &problem);
    if (status == SB_OK) {
        sb_solve_options options = sb_solve_options_default();
        options.seed = seed;
        status = sb_solve(&problem, crew, &options, &outcome);
    }
    if (status == SB_OK && isfinite(outcome.cost))
        memcpy(field, outcome.field, (size_t)p->n * sizeof *field);
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    sb_free(blind.fields);
    return status;
}

/* Money an average field would lose to what a kilogram of this field's harvest carries. */
static double weediness(const sb_season *season, int j)
{
    double sum = 0;
    for (size_t k = 0; k < season->setup.n_weeds; k++) {
        double mean_loss = 0;
        for (size_t i = 0; i < season->n_fields; i++)
            mean_loss += season->fields[i].loss_per_seed[k] / (double)season->n_fields;
        sum += season->fields[j].seeds_per_kg[k] * mean_loss;
    }
    return sum;
}

sb_status sb_rival_cleanest_first(const sb_problem *p, int *field)
{
    uint64_t *seen = sb_alloc((size_t)p->words, sizeof *seen);
    double *dirt = sb_alloc((size_t)p->n, sizeof *dirt);
    if (seen == NULL || dirt == NULL) {
        sb_free(seen);
        sb_free(dirt);
        return SB_ERR_NOMEM;
    }
    for (int j = 0; j < p->n; j++)
        dirt[j] = weediness(p->season, j);
    double free_h = 0;
    int from = p->n;
    for (int t = 0; t < p->n; t++) {
        int best = -1;
        double best_start = INFINITY;
        for (int j = 0; j < p->n; j++) {
            bool blocked = sb_has(seen, j);
            for (int w = 0; w < p->words; w++)
                blocked |= (p->before[(size_t)j * (size_t)p->words + (size_t)w] & ~seen[w]) != 0;
            if (blocked)
                continue;
            /* Fields that are ripe on arrival count alike; else the one that ripens first. */
            double start = fmax(p->ready_h[j] - free_h - sb_move_h(p, from, j), 0);
            if (best < 0 || start < best_start || (start == best_start && dirt[j] < dirt[best])) {
                best = j;
                best_start = start;
            }
        }
        field[t] = best;
        sb_include(seen, best);
        free_h = sb_finish_h(p, from, best, 0, free_h);
        from = best;
    }
    sb_free(seen);
    sb_free(dirt);
    return SB_OK;
}
