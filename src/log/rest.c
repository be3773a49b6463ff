/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is left of a season, as a season of its own: what can be ordered can be resumed. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "log/season.h"

/* ---- Places ---------------------------------------------------------------------------------- */

/* Adds the field where a machine stands as one more place to start from. With a table of distances
 * the new place has the field's. @return its index among the yards, -1: out of memory */
static int add_place(const sb_season *whole, int field, const int *becomes, sb_season *rest)
{
    size_t old = rest->n_places, new = old + 1;
    sb_yard *yards = sb_resize(rest->yards, rest->n_yards + 1, sizeof *yards);
    if (yards == NULL)
        return -1;
    rest->yards = yards;
    char *name = sb_strdup(whole->fields[field].name);
    if (name == NULL)
        return -1;
    if (rest->km != NULL) {
        double *km = sb_alloc(new *new, sizeof *km);
        if (km == NULL) {
            sb_free(name);
            return -1;
        }
        for (size_t i = 0; i < old; i++)
            memcpy(km + i * new, rest->km + i * old, old * sizeof *km);
        /* Places of the whole season that are in the rest, then the added ones. */
        for (size_t i = 0; i < whole->n_fields + whole->n_yards; i++) {
            int at = i < whole->n_fields ? becomes[i] : (int)(rest->n_fields + i - whole->n_fields);
            if (at < 0)
                continue;
            km[old * new + (size_t)at] = sb_season_km(whole, field, (int)i);
            km[(size_t)at * new + old] = sb_season_km(whole, (int)i, field);
        }
        sb_free(rest->km);
        rest->km = km;
    }
    rest->yards[rest->n_yards] = (sb_yard){name, whole->fields[field].place};
    rest->n_places = new;
    return (int)rest->n_yards++;
}

/* Distances of a large season are not kept until a way has to be closed. */
static bool keep_distances(sb_season *rest)
{
    size_t n = rest->n_places;
    if (rest->km != NULL)
        return true;
    double *km = sb_alloc(n * n, sizeof *km);
    for (size_t i = 0; i < n * n && km != NULL; i++)
        km[i] = sb_season_km(rest, (int)(i / n), (int)(i % n));
    rest->km = km;
    return km != NULL;
}

/* From where machine m starts there is a way to that field only. */
static bool close_other_ways(sb_season *rest, size_t m, int field)
{
    int from = sb_season_start_place(rest, (int)m);
    if (!keep_distances(rest))
        return false;
    for (size_t to = 0; to < rest->n_fields; to++)
        if ((int)to != field)
            rest->km[(size_t)from * rest->n_places + to] = NAN;
    return true;
}

/* ---- Machines -------------------------------------------------------------------------------- */

/* All origins together: the rest asks no more where they are from. */
static void load_up(const sb_season *whole, const sb_load *loads, double *start_seeds)
{
    for (size_t pool = 0; pool < 2 * whole->setup.n_sections; pool++)
        for (size_t w = 0; w < whole->setup.n_weeds; w++) {
            double *seeds = &start_seeds[pool * SB_MAX_WEEDS + w];
            *seeds = 0;
            for (size_t o = 0; o <= whole->n_fields; o++)
                *seeds += loads[o].seeds[pool][w];
        }
}

bool sb_state_is_due_home(const sb_log_state *state, int machine)
{
    const sb_season *season = state->season;
    const sb_machine_state *m = &state->machines[machine];
    return m->has_cut &&
           (m->place != sb_season_yard_place(season, machine) ||
            !sb_season_satisfies(season, m->cleanout, season->joins[machine].final_cleanout));
}

static bool place_machine(const sb_log_state *state, size_t m, const int *becomes, sb_season *rest)
{
    const sb_season *whole = state->season;
    const sb_machine_state *stands = &state->machines[m];
    struct sb_machine_join *join = &rest->joins[m];
    bool half_way = stands->half_way;
    join->start_cleanout = half_way ? stands->entry_cleanout : stands->cleanout;
    join->cleaned = half_way ? stands->entry_cleaned : stands->cleaned;
    join->start_h = fmax(join->start_h, stands->free_h);
    join->start_grower = -1; /* told by cut_since */
    memcpy(rest->cut_since + m * rest->n_growers,
           half_way ? stands->entry_cut_since : stands->cut_since,
           rest->n_growers * sizeof *rest->cut_since);
    load_up(whole, half_way ? stands->entry_loads : stands->loads, join->start_seeds);
    join->goes_home = sb_state_is_due_home(state, (int)m);
    join->start = stands->place >= (int)whole->n_fields
                      ? stands->place - (int)whole->n_fields
                      : add_place(whole, stands->place, becomes, rest);
    return join->start >= 0;
}

/* ---- Fields ---------------------------------------------------------------------------------- */

/* The machine that stands half way in a field, -1: none. */
static int half_way_in(const sb_log_state *state, size_t field)
{
    for (size_t m = 0; m < state->season->setup.n_machines; m++)
        if (state->machines[m].half_way && state->machines[m].place == (int)field)
            return (int)m;
    return -1;
}

/* The field is begun, and whoever stands in it goes on there before anything else. */
static bool comes_first(sb_season *rest, size_t m, int first)
{
    sb_field *field = &rest->fields[first];
    field->n_after = 0; /* whatever it should have waited for, it is begun */
    int *only = sb_resize(field->only, 1, sizeof *only);
    if (only == NULL)
        return false;
    only[0] = (int)m;
    field->only = only;
    field->n_only = 1;
    field->gate_m = field->slope_percent = 0; /* it is in */
    return close_other_ways(rest, m, first);
}

static bool take_off_cut(const sb_log_state *state, size_t field, int becomes, sb_season *rest)
{
    sb_field *left = &rest->fields[becomes];
    double share = 1 - state->fields[field].cut_share;
    if (share >= 1)
        return true;
    double grain_t = left->grain_t;
    left->area_ha *= share;
    sb_field_derive(&rest->setup, left);
    int machine = half_way_in(state, field);
    if (machine < 0)
        return true;
    /* It comes to the gate again: all of the grain, what is left of the time. */
    left->grain_t = grain_t;
    for (size_t w = 0; w < rest->setup.n_weeds; w++)
        left->limit_seeds_ha[w] /= share;
    return comes_first(rest, (size_t)machine, becomes);
}

/* What must be cut before it and has been: it waits for the end of that, not for its beginning. */
static void wait_for_earlier(const sb_log_state *state, size_t field, sb_field *left)
{
    const sb_field *whole = &state->season->fields[field];
    for (size_t a = 0; a < whole->n_after; a++)
        if (state->fields[whole->after[a]].finished)
            left->not_before_h = fmax(left->not_before_h, state->fields[whole->after[a]].until_h);
}

/* The season without the fields that are done.
 * @param becomes by field: its index there, -1: not in it */
static sb_status make_rest(const sb_log_state *state, const int *becomes, sb_season **rest)
{
    const sb_season *whole = state->season;
    sb_season *made = NULL;
    bool *keep = sb_alloc(whole->n_fields, sizeof *keep);
    if (keep == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < whole->n_fields; i++)
        keep[i] = becomes[i] >= 0;
    sb_status status = sb_season_copy(whole, keep, NULL, &made);
    sb_free(keep);
    if (status != SB_OK)
        return status;
    if (made->cut_since == NULL)
        made->cut_since =
            sb_alloc(whole->setup.n_machines * whole->n_growers, sizeof *made->cut_since);
    bool done = made->cut_since != NULL;
    for (size_t m = 0; m < whole->setup.n_machines && done; m++)
        done = place_machine(state, m, becomes, made);
    for (size_t i = 0; i < whole->n_fields && done; i++)
        if (becomes[i] >= 0) {
            wait_for_earlier(state, i, &made->fields[becomes[i]]);
            done = take_off_cut(state, i, becomes[i], made);
        }
    sb_limits *limits = &made->setup.limits;
    limits->full_cleanouts = fmax(limits->full_cleanouts - state->full_cleanouts, 0);
    limits->cleaning_cost = fmax(limits->cleaning_cost - state->cleaning_cost, 0);
    made->so_far = (sb_so_far){.is_rest = true,
                               .entries = state->log->entries.count,
                               .spent = sb_state_cost(state).total,
                               .standing = sb_state_standing(state)};
    memcpy(made->so_far.seal, state->log->seal, sizeof made->so_far.seal);
    if (!done) {
        sb_season_free(made);
        return SB_ERR_NOMEM;
    }
    *rest = made;
    return SB_OK;
}

sb_status sb_state_rest(const sb_log_state *state, int *becomes, sb_season **rest)
{
    int next = 0;
    *rest = NULL;
    for (size_t i = 0; i < state->season->n_fields; i++)
        becomes[i] = state->fields[i].finished || state->fields[i].dropped ? -1 : next++;
    return make_rest(state, becomes, rest);
}

sb_cost sb_state_cost(const sb_log_state *state)
{
    sb_cost cost = state->cost;
    for (size_t m = 0; m < state->season->setup.n_machines; m++)
        if (state->machines[m].half_way)
            cost.spread -= state->machines[m].entry_loss;
    cost.total = cost.travel + cost.cleanout + cost.spread + cost.delay;
    return cost;
}

double sb_state_standing(const sb_log_state *state)
{
    const sb_season *season = state->season;
    double money = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        if (state->fields[i].finished || state->fields[i].dropped)
            money += fmax(1 - state->fields[i].cut_share, 0) * field->grain_t *
                     season->setup.crops[field->crop].price_per_t;
    }
    return money;
}
