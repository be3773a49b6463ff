/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "settle/coalition.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

/* With several machines, all of a coalition's fields are also tried on each one alone when they are
 * so few, or one grower's: more are hardly ever cheaper so. */
#define FEW_FIELDS 10

sb_status sb_partials_init(sb_partials *partials, const sb_season *season, const sb_plan *plan,
                           const sb_settlement *settlement)
{
    size_t n_machines = season->setup.n_machines, at = 0;
    *partials = (sb_partials){.season = season, .plan = plan, .settlement = settlement};
    partials->machine_of = sb_alloc(season->n_fields, sizeof *partials->machine_of);
    partials->field_order = sb_alloc(season->n_fields, sizeof *partials->field_order);
    partials->served = sb_alloc(n_machines, sizeof *partials->served);
    if (partials->machine_of == NULL || partials->field_order == NULL || partials->served == NULL)
        return SB_ERR_NOMEM;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            int field = plan->routes[r].stops[i].field;
            partials->machine_of[field] = plan->routes[r].machine;
            partials->served[plan->routes[r].machine] |= UINT64_C(1) << settlement->party_of[field];
            partials->field_order[at++] = field;
        }
    return SB_OK;
}

void sb_partials_release(sb_partials *partials)
{
    sb_free(partials->machine_of);
    sb_free(partials->field_order);
    sb_free(partials->served);
    sb_free(partials->items);
    *partials = (sb_partials){0};
}

/* ---- Which there are ---- */

static size_t count_fields(const sb_partials *partials, uint64_t members)
{
    size_t n = 0;
    for (size_t p = 0; p < partials->settlement->n_parties; p++)
        if (members >> p & 1)
            n += partials->settlement->parties[p].n_fields;
    return n;
}

static bool tried_alone(const sb_partials *partials, uint64_t members)
{
    bool one_grower = (members & (members - 1)) == 0;
    return partials->season->setup.n_machines > 1 &&
           (one_grower || count_fields(partials, members) <= FEW_FIELDS);
}

sb_status sb_partials_want(sb_partials *partials, uint64_t members)
{
    bool alone = tried_alone(partials, members);
    for (size_t m = 0; m < partials->season->setup.n_machines; m++) {
        sb_partial split = {.members = members & partials->served[m], .machine = (int)m};
        sb_partial all = {.members = members, .machine = (int)m, .all = true};
        if ((split.members != 0 && !SB_PUSH(partials, split)) || (alone && !SB_PUSH(partials, all)))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

static int compare(const void *a, const void *b)
{
    const sb_partial *one = a, *other = b;
    if (one->members != other->members)
        return one->members < other->members ? -1 : 1;
    if (one->machine != other->machine)
        return one->machine < other->machine ? -1 : 1;
    return one->all - other->all;
}

static void sort_out_doubles(sb_partials *partials)
{
    size_t kept = 0;
    if (partials->count > 0)
        qsort(partials->items, partials->count, sizeof *partials->items, compare);
    for (size_t i = 0; i < partials->count; i++)
        if (i == 0 || compare(&partials->items[i], &partials->items[kept - 1]) != 0)
            partials->items[kept++] = partials->items[i];
    partials->count = kept;
}

static const sb_partial *find(const sb_partials *partials, uint64_t members, int machine, bool all)
{
    sb_partial wanted = {.members = members, .machine = machine, .all = all};
    return bsearch(&wanted, partials->items, partials->count, sizeof wanted, compare);
}

/* ---- All of them ---- */

typedef struct solving {
    sb_partials *partials;
    sb_crew *crew;
    uint64_t seed;
} solving;

static void solve_piece(void *context, int i, int worker)
{
    const solving *s = context;
    (void)worker;
    sb_partial_solve(s->partials, s->crew, s->seed, &s->partials->items[i]);
}

sb_status sb_partials_solve(sb_partials *partials, sb_crew *crew, uint64_t seed)
{
    solving s = {partials, crew, seed};
    sort_out_doubles(partials);
    sb_crew_share(crew, (int)partials->count, solve_piece, &s);
    for (size_t i = 0; i < partials->count; i++)
        if (partials->items[i].status != SB_OK)
            return partials->items[i].status;
    return SB_OK;
}

/* ---- What they come to ---- */

static double cost_of_split(const sb_partials *partials, uint64_t members, bool *proven)
{
    double cost = 0;
    *proven = true;
    for (size_t m = 0; m < partials->season->setup.n_machines; m++) {
        if ((members & partials->served[m]) == 0)
            continue;
        const sb_partial *part = find(partials, members & partials->served[m], (int)m, false);
        cost += part->cost;
        *proven &= part->proven;
    }
    return cost;
}

double sb_partials_cost(const sb_partials *partials, uint64_t members, int *machine, bool *proven)
{
    bool best_proven;
    int best_machine = -1;
    double best = cost_of_split(partials, members, &best_proven);
    for (size_t m = 0; tried_alone(partials, members) && m < partials->season->setup.n_machines;
         m++) {
        const sb_partial *all = find(partials, members, (int)m, true);
        if (all->cost < best || (all->cost == best && isfinite(best))) {
            best = all->cost;
            best_machine = (int)m;
            best_proven = all->proven;
        }
    }
    if (partials->season->setup.n_machines == 1)
        best_machine = 0;
    if (machine != NULL)
        *machine = best_machine;
    if (proven != NULL)
        *proven = best_proven;
    return best;
}
