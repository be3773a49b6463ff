/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "brute.h"

#include <math.h>
#include <string.h>

#define SLACK 1e-9
#define SLACK_H 1e-6

typedef struct state {
    double seeds[SB_MAX_SECTIONS][2][SB_MAX_WEEDS];
    double cost, free_h, spend, full;
    int machine;
    int place; /* field, or -1 in the yard */
    unsigned cut;
    double arrive_h[BRUTE_FIELDS], finish_h[BRUTE_FIELDS]; /* of those cut */
    /* By field, of those cut: what it takes to follow all machines by the clock in the end. */
    int by[BRUTE_FIELDS], before[BRUTE_FIELDS];       /* machine; field before it, -1: the yard */
    double set_out_h[BRUTE_FIELDS];                   /* cleanout and way */
    double home_h[BRUTE_MACHINES];                    /* from the last field until clean at home */
    int last[BRUTE_MACHINES];                         /* field, -1: stayed in the yard */
    int routes;                                       /* that are not empty, so far */
    int did[BRUTE_FIELDS], level[BRUTE_FIELDS], done; /* this machine's stops */
    double loss[BRUTE_GROWERS + 1]; /* by grower, last: of fields that name none */
} state;

typedef struct brute {
    const sb_season *season;
    brute_counts *counts;
    double best;
    double most_loss; /* of any one grower; INFINITY: no limit */
    bool worst;       /* the least worst loss of a grower is looked for, not the least cost */
    double least_way[BRUTE_FIELDS]; /* the cheapest road into a field, from anywhere */
} brute;

static double keep_of(const sb_cleanout *cleanout, size_t section, int lodged)
{
    return lodged ? cleanout->keep_lodged[section] : cleanout->keep_loose[section];
}

static bool entry_met(const sb_season *season, const state *from, int level, int demanded)
{
    if (demanded < 0)
        return true;
    int done[2] = {level, from->place < 0 ? season->joins[from->machine].start_cleanout : -1};
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

static bool may_cut(const sb_season *season, int machine, const sb_field *field)
{
    const sb_machine *m = &season->setup.machines[machine];
    bool wished = field->n_only == 0;
    for (size_t i = 0; i < field->n_only; i++)
        wished |= field->only[i] == machine;
    return wished && (m->cuts_crop == NULL || m->cuts_crop[field->crop]) &&
           (field->gate_m == 0 || m->header_m <= field->gate_m) &&
           field->slope_percent <= m->most_slope_percent;
}

static bool clears(const sb_season *season, int level, const sb_apart *rule)
{
    const sb_cleanout *done = &season->setup.cleanouts[level < 0 ? 0 : level];
    if (rule->cleanout < 0)
        return done->full;
    bool enough = true;
    for (size_t s = 0; s < season->setup.n_sections; s++)
        for (int lodged = 0; lodged < 2; lodged++)
            enough &= keep_of(done, s, lodged) <=
                      keep_of(&season->setup.cleanouts[rule->cleanout], s, lodged);
    return enough;
}

/* Looks back over what the machine did, the start last of all. */
static bool kept_apart(const sb_season *season, const state *s, const sb_field *field, int level)
{
    for (size_t a = 0; a < field->n_apart; a++) {
        const sb_apart *rule = &field->apart[a];
        bool cleared = clears(season, level, rule);
        for (int t = s->done - 1; t >= 0 && !cleared; t--) {
            if (season->fields[s->did[t]].grower == rule->grower)
                return false;
            cleared = clears(season, s->level[t], rule);
        }
        if (!cleared && season->setup.machines[s->machine].start == SB_START_FIELD &&
            season->joins[s->machine].start_grower == rule->grower &&
            !clears(season, season->joins[s->machine].start_cleanout, rule))
            return false;
    }
    return true;
}

static double level_cost(const sb_season *season, int level)
{
    const sb_cleanout *c = &season->setup.cleanouts[level];
    return c->supplies_cost +
           c->minutes / 60 *
               (c->people * season->setup.wage_per_hour + season->setup.lost_time_per_hour);
}

static double km_between(const sb_season *season, int machine, int from, int to)
{
    int n = (int)season->n_fields;
    size_t i = (size_t)(from < 0 ? n + season->joins[machine].start : from);
    size_t j = (size_t)(to < 0 ? n + season->joins[machine].yard : to);
    return season->km[i * season->n_places + j];
}

static double road_cost(const sb_season *season, int machine, double km)
{
    const sb_machine *m = &season->setup.machines[machine];
    return km * m->cost_per_km + km / m->road_km_h * m->cost_per_hour;
}

/* Cuts field j with the load at hand; false when a seed or tank limit breaks. */
static bool cut(brute *b, state *s, int j)
{
    const sb_season *season = b->season;
    const sb_field *field = &season->fields[j];
    const sb_machine *machine = &season->setup.machines[s->machine];
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
    double *loss = &s->loss[field->grower < 0 ? BRUTE_GROWERS : field->grower];
    for (size_t k = 0; k < season->setup.n_weeds; k++) {
        s->cost += ground[k] * field->loss_per_seed[k];
        *loss += ground[k] * field->loss_per_seed[k];
        if (ground[k] > field->limit_seeds_ha[k] * field->area_ha * (1 + SLACK)) {
            b->counts->seed_limit++;
            kept = false;
        }
    }
    double most = b->most_loss;
    if (field->grower >= 0 && season->grower_most != NULL)
        most = fmin(most, season->grower_most[field->grower]);
    if (*loss > most * (1 + SLACK)) {
        b->counts->grower++;
        kept = false;
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
    double km = km_between(season, s->machine, s->place, j);
    if (isnan(km)) {
        b->counts->no_way++;
        return false;
    }
    for (size_t a = 0; a < field->n_after && season->setup.n_machines == 1; a++)
        if (!(s->cut >> field->after[a] & 1)) {
            b->counts->after++;
            return false;
        }
    if (!may_cut(season, s->machine, field)) {
        b->counts->service++;
        return false;
    }
    if (!kept_apart(season, s, field, level)) {
        b->counts->apart++;
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
    s->cost += road_cost(season, s->machine, km) + level_cost(season, level);
    b->counts->from += s->place < 0 && s->free_h > 0;
    double arrive =
        s->free_h + cleanout->minutes / 60 + km / season->setup.machines[s->machine].road_km_h;
    double ready = sb_season_ready_h(season, j);
    b->counts->waited += ready > arrive;
    s->by[j] = s->machine;
    s->before[j] = s->place;
    s->set_out_h[j] = arrive - (s->place < 0 ? 0 : s->free_h);
    s->arrive_h[j] = fmax(arrive, ready);
    s->free_h = s->arrive_h[j] + sb_season_cutting_hours(season, s->machine, j);
    s->finish_h[j] = s->free_h;
    double delay = sb_season_delay_cost(season, j, s->free_h);
    b->counts->late += delay > 0;
    s->cost += delay;
    if (s->free_h > sb_season_latest_h(season, j) + SLACK_H) {
        b->counts->latest++;
        return false;
    }
    s->cut |= 1u << j;
    s->did[s->done] = j;
    s->level[s->done++] = level;
    s->place = j;
    return cut(b, s, j);
}

static bool home_in_time(const sb_season *season, int m, double home_h)
{
    const sb_machine *machine = &season->setup.machines[m];
    double last_day_h = machine->to_day == SB_NO_DAY
                            ? INFINITY
                            : sb_calendar_hours_through(&season->setup.calendar, machine->to_day);
    return home_h <= last_day_h + SLACK_H &&
           home_h <= fmin(machine->season_hours, sb_calendar_total_hours(&season->setup.calendar)) +
                         SLACK_H;
}

/* Drives home and cleans; false: too late, or no way. A machine without stops stays where it is. */
static bool go_home(brute *b, state *s)
{
    const sb_season *season = b->season;
    const sb_machine *machine = &season->setup.machines[s->machine];
    s->last[s->machine] = s->place;
    if (s->place < 0)
        return true;
    double km = km_between(season, s->machine, s->place, -1), left_h = s->free_h;
    if (isnan(km)) {
        b->counts->no_way++;
        return false;
    }
    s->cost += road_cost(season, s->machine, km);
    s->free_h += km / machine->road_km_h;
    int final = season->joins[s->machine].final_cleanout;
    if (final >= 0) {
        s->cost += level_cost(season, final);
        s->free_h += season->setup.cleanouts[final].minutes / 60;
    }
    s->home_h[s->machine] = s->free_h - left_h;
    if (!home_in_time(season, s->machine, s->free_h)) {
        if (machine->to_day != SB_NO_DAY &&
            s->free_h > sb_calendar_hours_through(&season->setup.calendar, machine->to_day))
            b->counts->to++;
        else
            b->counts->season_end++;
        return false;
    }
    s->routes++;
    return true;
}

/* Of one machine the order is plain to see. */
static bool order_kept(brute *b, const state *s)
{
    const sb_season *season = b->season;
    for (size_t j = 0; j < season->n_fields && season->setup.n_machines > 1; j++)
        for (size_t a = 0; a < season->fields[j].n_after; a++) {
            int earlier = season->fields[j].after[a];
            if (s->cut >> j & 1 && s->cut >> earlier & 1 && s->by[j] == s->by[earlier] &&
                s->finish_h[earlier] > s->arrive_h[j] + SLACK_H) {
                b->counts->after++;
                return false;
            }
        }
    return true;
}

/* A whole plan by the clock: machines wait for the fields that others must cut before theirs. Adds
 * the delay that this brings; false: dates break, or machines wait for each other. */
static bool wait_for_others(brute *b, state *s)
{
    const sb_season *season = b->season;
    size_t n = season->n_fields;
    double finish_h[BRUTE_FIELDS];
    bool moved = true;
    memcpy(finish_h, s->finish_h, sizeof finish_h);
    for (size_t round = 0; moved; round++) {
        if (round > 2 * n) {
            b->counts->after++;
            return false;
        }
        moved = false;
        for (size_t j = 0; j < n; j++) {
            double begin_h = (s->before[j] < 0 ? 0 : finish_h[s->before[j]]) + s->set_out_h[j];
            begin_h = fmax(begin_h, sb_season_ready_h(season, (int)j));
            for (size_t a = 0; a < season->fields[j].n_after; a++)
                begin_h = fmax(begin_h, finish_h[season->fields[j].after[a]]);
            double then_h = begin_h + sb_season_cutting_hours(season, s->by[j], (int)j);
            moved |= then_h > finish_h[j] + 1e-12;
            finish_h[j] = fmax(finish_h[j], then_h);
        }
    }
    bool kept = true;
    for (size_t j = 0; j < n; j++) {
        s->cost += sb_season_delay_cost(season, (int)j, finish_h[j]) -
                   sb_season_delay_cost(season, (int)j, s->finish_h[j]);
        kept &= finish_h[j] <= sb_season_latest_h(season, (int)j) + SLACK_H;
        b->counts->waited_for_others += finish_h[j] > s->finish_h[j] + SLACK_H;
    }
    for (size_t m = 0; m < season->setup.n_machines; m++)
        if (s->last[m] >= 0)
            kept &= home_in_time(season, (int)m, finish_h[s->last[m]] + s->home_h[m]);
    return kept;
}

static void start_machine(const sb_season *season, state *s, int machine)
{
    s->machine = machine;
    const sb_machine *m = &season->setup.machines[machine];
    s->place = -1;
    s->done = 0;
    s->free_h = m->from_day == SB_NO_DAY
                    ? 0
                    : sb_calendar_hours_before(&season->setup.calendar, m->from_day);
    for (size_t c = 0; c < season->setup.n_sections; c++)
        for (int lodged = 0; lodged < 2; lodged++)
            for (size_t k = 0; k < season->setup.n_weeds; k++)
                s->seeds[c][lodged][k] =
                    season->joins[machine].start_seeds[(2 * c + (size_t)lodged) * SB_MAX_WEEDS + k];
}

static double worst_loss(const state *s)
{
    double worst = 0;
    for (int g = 0; g <= BRUTE_GROWERS; g++)
        worst = fmax(worst, s->loss[g]);
    return worst;
}

/* Costs never fall, and every field left must still be driven to; nor do losses. */
static bool hopeless(const brute *b, const state *s)
{
    if (b->worst)
        return worst_loss(s) >= b->best;
    double least = s->cost;
    for (size_t j = 0; j < b->season->n_fields; j++)
        if (!(s->cut >> j & 1))
            least += b->least_way[j];
    return least >= b->best;
}

static void search(brute *b, const state *from)
{
    size_t n = b->season->n_fields;
    for (size_t j = 0; j < n; j++) {
        if (from->cut >> j & 1)
            continue;
        for (size_t l = 0; l < b->season->setup.n_cleanouts; l++) {
            state next = *from;
            if (move(b, &next, (int)j, (int)l) && !hopeless(b, &next) && order_kept(b, &next))
                search(b, &next);
        }
    }
    bool all = from->cut == (1u << n) - 1;
    bool last = from->machine + 1 == (int)b->season->setup.n_machines;
    state home = *from;
    if ((last && !all) || !go_home(b, &home))
        return;
    if (!last) {
        start_machine(b->season, &home, from->machine + 1);
        search(b, &home);
    } else if ((b->worst || home.cost < b->best) && wait_for_others(b, &home)) {
        double value = b->worst ? worst_loss(&home) : home.cost;
        if (!(value < b->best))
            return;
        b->counts->plans++;
        b->counts->shared += home.routes > 1;
        b->best = value;
    }
}

static void find_least_ways(brute *b)
{
    const sb_season *season = b->season;
    for (size_t j = 0; j < season->n_fields; j++) {
        b->least_way[j] = INFINITY;
        for (int m = 0; m < (int)season->setup.n_machines; m++)
            for (int i = -1; i < (int)season->n_fields; i++) {
                double km = km_between(season, m, i, (int)j);
                if (i != (int)j && !isnan(km))
                    b->least_way[j] = fmin(b->least_way[j], road_cost(season, m, km));
            }
    }
}

static double best_of(const sb_season *season, double most_loss, bool worst, brute_counts *counts)
{
    brute b = {.season = season,
               .counts = counts,
               .best = INFINITY,
               .most_loss = most_loss,
               .worst = worst};
    state start = {.place = -1};
    find_least_ways(&b);
    start_machine(season, &start, 0);
    search(&b, &start);
    return b.best;
}

double brute_best(const sb_season *season, brute_counts *counts)
{
    return best_of(season, INFINITY, false, counts);
}

double brute_best_capped(const sb_season *season, double most_loss, brute_counts *counts)
{
    return best_of(season, most_loss, false, counts);
}

double brute_least_worst(const sb_season *season, brute_counts *counts)
{
    return best_of(season, INFINITY, true, counts);
}
