/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "brute.h"

#include <math.h>
#include <string.h>

#define SLACK 1e-9
#define SLACK_H 1e-6

typedef struct state {
    double seeds[SB_MAX_SECTIONS][2][SB_MAX_WEEDS];
    double cost, free_h, spend, full;
    int place; /* field, or -1 in the yard */
    unsigned cut;
} state;

typedef struct brute {
    const sb_season *season;
    brute_counts *counts;
    double best;
} brute;

static double keep_of(const sb_cleanout *cleanout, size_t section, int lodged)
{
    return lodged ? cleanout->keep_lodged[section] : cleanout->keep_loose[section];
}

static bool entry_met(const sb_season *season, const state *from, int level, int demanded)
{
    if (demanded < 0)
        return true;
    int done[2] = {level, from->place < 0 ? season->joins[0].start_cleanout : -1};
    for (int which = 0; which < 2; which++) {
        if (done[which] < 0)
            continue;
        bool enough = true;
        for (size_t s = 0; s < season->setup.n_sections; s++)
            for (int lodged = 0; lodged < 2; lodged++)
                enough &= keep_of(&season->setup.cleanouts[done[which]], s, lodged) <=
                          keep_of(&season->setup.cleanouts[demanded], s, lodged);
        if (enough)
            return true;
    }
    return false;
}

static double level_cost(const sb_season *season, int level)
{
    const sb_cleanout *c = &season->setup.cleanouts[level];
    return c->supplies_cost +
           c->minutes / 60 *
               (c->people * season->setup.wage_per_hour + season->setup.lost_time_per_hour);
}

static double km_between(const sb_season *season, int from, int to)
{
    int yard = (int)season->n_fields + season->joins[0].yard;
    size_t i = (size_t)(from < 0 ? yard : from), j = (size_t)(to < 0 ? yard : to);
    return season->km[i * season->n_places + j];
}

static double road_cost(const sb_season *season, double km)
{
    const sb_machine *m = &season->setup.machines[0];
    return km * m->cost_per_km + km / m->road_km_h * m->cost_per_hour;
}

/* Cuts field j with the load at hand; false when a seed or tank limit breaks. */
static bool cut(brute *b, state *s, int j)
{
    const sb_season *season = b->season;
    const sb_field *field = &season->fields[j];
    const sb_machine *machine = &season->setup.machines[0];
    double ground[SB_MAX_WEEDS] = {0}, tank = 0;
    for (size_t c = 0; c < season->setup.n_sections; c++) {
        const sb_section *section = &machine->sections[c];
        for (int lodged = 0; lodged < 2; lodged++) {
            double tau = lodged ? section->tau_lodged_t : section->tau_loose_t;
            double share = lodged ? section->lodged_share : 1 - section->lodged_share;
            double left = exp(-field->grain_t / tau);
            for (size_t k = 0; k < season->setup.n_weeds; k++) {
                double to_tank = season->setup.weeds[k].large_seed ? section->tank_share_large
                                                                   : section->tank_share_small;
                double *seeds = &s->seeds[c][lodged][k];
                double shed = *seeds * (1 - left);
                ground[k] += shed * (1 - to_tank);
                tank += shed * to_tank;
                *seeds = *seeds * left + field->seeds_per_kg[k] * section->kg * share * (1 - left);
            }
        }
    }
    bool kept = true;
    for (size_t k = 0; k < season->setup.n_weeds; k++) {
        s->cost += ground[k] * field->loss_per_seed[k];
        if (ground[k] > field->limit_seeds_ha[k] * field->area_ha * (1 + SLACK)) {
            b->counts->seed_limit++;
            kept = false;
        }
    }
    if (tank > field->tank_limit_seeds_kg * field->grain_t * 1000 * (1 + SLACK)) {
        b->counts->tank_limit++;
        kept = false;
    }
    return kept;
}

static bool move(brute *b, state *s, int j, int level)
{
    const sb_season *season = b->season;
    const sb_cleanout *cleanout = &season->setup.cleanouts[level];
    const sb_field *field = &season->fields[j];
    double km = km_between(season, s->place, j);
    if (isnan(km)) {
        b->counts->no_way++;
        return false;
    }
    for (size_t a = 0; a < field->n_after; a++)
        if (!(s->cut >> field->after[a] & 1)) {
            b->counts->after++;
            return false;
        }
    if (!entry_met(season, s, level, field->entry)) {
        b->counts->entry++;
        return false;
    }
    s->spend += level_cost(season, level);
    s->full += cleanout->full;
    if (s->spend > season->setup.limits.cleaning_cost * (1 + SLACK)) {
        b->counts->spend++;
        return false;
    }
    if (s->full > season->setup.limits.full_cleanouts) {
        b->counts->full++;
        return false;
    }
    for (size_t c = 0; c < season->setup.n_sections; c++)
        for (int lodged = 0; lodged < 2; lodged++)
            for (size_t k = 0; k < season->setup.n_weeds; k++)
                s->seeds[c][lodged][k] *= keep_of(cleanout, c, lodged);
    s->cost += road_cost(season, km) + level_cost(season, level);
    double arrive = s->free_h + cleanout->minutes / 60 + km / season->setup.machines[0].road_km_h;
    double ready = sb_season_ready_h(season, j);
    b->counts->waited += ready > arrive;
    s->free_h = fmax(arrive, ready) + sb_season_cutting_hours(season, 0, j);
    double delay = sb_season_delay_cost(season, j, s->free_h);
    b->counts->late += delay > 0;
    s->cost += delay;
    if (s->free_h > sb_season_latest_h(season, j) + SLACK_H) {
        b->counts->latest++;
        return false;
    }
    s->cut |= 1u << j;
    s->place = j;
    return cut(b, s, j);
}

static void finish(brute *b, state *s)
{
    const sb_season *season = b->season;
    double km = km_between(season, s->place, -1);
    if (isnan(km)) {
        b->counts->no_way++;
        return;
    }
    s->cost += road_cost(season, km);
    s->free_h += km / season->setup.machines[0].road_km_h;
    int final = season->joins[0].final_cleanout;
    if (final >= 0) {
        s->cost += level_cost(season, final);
        s->free_h += season->setup.cleanouts[final].minutes / 60;
    }
    if (s->free_h > fmin(season->setup.machines[0].season_hours,
                         sb_calendar_total_hours(&season->setup.calendar)) +
                        SLACK_H) {
        b->counts->season_end++;
        return;
    }
    b->counts->plans++;
    b->best = fmin(b->best, s->cost);
}

static void search(brute *b, const state *from)
{
    size_t n = b->season->n_fields;
    for (size_t j = 0; j < n; j++) {
        if (from->cut >> j & 1)
            continue;
        for (size_t l = 0; l < b->season->setup.n_cleanouts; l++) {
            state next = *from;
            /* Costs never fall, so a branch that is no cheaper already cannot become the best. */
            if (!move(b, &next, (int)j, (int)l) || next.cost >= b->best)
                continue;
            if (next.cut == (1u << n) - 1)
                finish(b, &next);
            else
                search(b, &next);
        }
    }
}

double brute_best(const sb_season *season, brute_counts *counts)
{
    brute b = {.season = season, .counts = counts, .best = INFINITY};
    state start = {.place = -1};
    for (size_t c = 0; c < season->setup.n_sections; c++)
        for (int lodged = 0; lodged < 2; lodged++)
            for (size_t k = 0; k < season->setup.n_weeds; k++)
                start.seeds[c][lodged][k] =
                    season->joins[0].start_seeds[(2 * c + (size_t)lodged) * SB_MAX_WEEDS + k];
    search(&b, &start);
    return b.best;
}
