/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "flow_bound.h"

#include <math.h>

#include "base/mem.h"

/* A share of seeds taken for none, which only lowers the bound. */
#define NOTHING 1e-8
/* Limits and bounds on loads are this much wider here, relative and in the program's units: without
 * it rounding makes solvers call the program infeasible. */
#define SLACK 1e-6

/* A move after a level, and its columns from `use` on: how much of it is driven, how many fields
 * are still to be cut when it is, the seeds on board before the level by slot. */
typedef struct arc {
    int from, to, level, use;
} arc;

/* A pool and a weed whose seeds flow, counted in shares of all that can come on board: keeps the
 * program's numbers near one. */
typedef struct slot {
    int pool, weed;
    double unit; /* seeds */
} slot;

/* Node n is the yard. */
typedef struct flow {
    const sb_season *season;
    int n, levels, pools, weeds;
    glp_prob *lp;
    arc *arcs;
    int n_arcs;
    slot slots[2 * SB_MAX_SECTIONS * SB_MAX_WEEDS];
    int n_slots;
    int *index; /* the row being made, from 1 */
    double *value;
    int length;
} flow;

static int fields_column(const arc *a)
{
    return a->use + 1;
}

static int load_column(const arc *a, int d)
{
    return a->use + 2 + d;
}

static double keep(const flow *f, int level, int pool)
{
    const sb_cleanout *cleanout = &f->season->setup.cleanouts[level];
    return pool % 2 ? cleanout->keep_lodged[pool / 2] : cleanout->keep_loose[pool / 2];
}

static double left(const flow *f, int field, int pool)
{
    const sb_section *section = &f->season->setup.machines[0].sections[pool / 2];
    double tau = pool % 2 ? section->tau_lodged_t : section->tau_loose_t;
    return exp(-f->season->fields[field].grain_t / tau);
}

/* Seeds held on leaving a node beside what was carried in; from the yard, the start load. */
static double own(const flow *f, int node, int pool, int weed)
{
    if (node == f->n)
        return f->season->joins[0].start_seeds[pool * SB_MAX_WEEDS + weed];
    const sb_section *section = &f->season->setup.machines[0].sections[pool / 2];
    double share = pool % 2 ? section->lodged_share : 1 - section->lodged_share;
    return f->season->fields[node].seeds_per_kg[weed] * section->kg * share *
           (1 - left(f, node, pool));
}

/* Every field empties the pool: what a field brings in is gone after the next one. */
static bool forgotten(const flow *f, int pool)
{
    for (int j = 0; j < f->n; j++)
        if (left(f, j, pool) > NOTHING)
            return false;
    return true;
}

static void choose_slots(flow *f)
{
    for (int k = 0; k < f->weeds; k++)
        for (int q = 0; q < f->pools; q++) {
            double seeds = 0;
            for (int i = 0; i <= f->n; i++)
                seeds += own(f, i, q, k);
            if (seeds > 0 && !forgotten(f, q))
                f->slots[f->n_slots++] = (slot){q, k, seeds};
        }
}

/* Own seeds of a node in the slot's unit. */
static double own_units(const flow *f, int node, slot s)
{
    double units = own(f, node, s.pool, s.weed) / s.unit;
    return units > NOTHING ? units : 0;
}

/* Most that can be on board on leaving a node. */
static double most_units(const flow *f, int node, slot s)
{
    double mine = own_units(f, node, s);
    return mine + (node < f->n ? left(f, node, s.pool) * (1 - mine) : 0);
}

static double to_tank(const flow *f, int pool, int weed)
{
    const sb_section *section = &f->season->setup.machines[0].sections[pool / 2];
    return f->season->setup.weeds[weed].large_seed ? section->tank_share_large
                                                   : section->tank_share_small;
}

/* Share of the seeds on board before the level that falls to the ground where the arc ends. */
static double brought_share(const flow *f, const arc *a, int pool, int weed)
{
    return keep(f, a->level, pool) * (1 - left(f, a->to, pool)) * (1 - to_tank(f, pool, weed));
}

static double level_cost(const flow *f, int level)
{
    const sb_setup *setup = &f->season->setup;
    const sb_cleanout *c = &setup->cleanouts[level];
    return c->supplies_cost +
           c->minutes / 60 * (c->people * setup->wage_per_hour + setup->lost_time_per_hour);
}

static double km(const flow *f, int from, int to)
{
    int yard = f->n + f->season->joins[0].yard;
    size_t i = (size_t)(from == f->n ? yard : from), j = (size_t)(to == f->n ? yard : to);
    return f->season->km[i * f->season->n_places + j];
}

static bool thorough(const flow *f, int done, int demanded)
{
    if (done < 0)
        return false;
    for (int q = 0; q < f->pools; q++)
        if (keep(f, done, q) > keep(f, demanded, q))
            return false;
    return true;
}

static bool arc_open(const flow *f, int from, int to, int level)
{
    if (from == to || isnan(km(f, from, to)))
        return false;
    if (to == f->n)
        return level == 0;
    if (from < f->n)
        for (size_t a = 0; a < f->season->fields[from].n_after; a++)
            if (f->season->fields[from].after[a] == to)
                return false;
    const sb_field *field = &f->season->fields[to];
    if (from == f->n && field->n_after > 0)
        return false;
    return field->entry < 0 || thorough(f, level, field->entry) ||
           (from == f->n && thorough(f, f->season->joins[0].start_cleanout, field->entry));
}

static double arc_cost(const flow *f, int from, int to, int level)
{
    const sb_machine *machine = &f->season->setup.machines[0];
    double way = km(f, from, to);
    int final = f->season->joins[0].final_cleanout;
    return way * machine->cost_per_km + way / machine->road_km_h * machine->cost_per_hour +
           level_cost(f, level) + (to == f->n && final >= 0 ? level_cost(f, final) : 0);
}

/* Seeds of a weed in forgotten pools that the arc brings to the ground. */
static double forgotten_brought(const flow *f, const arc *a, int weed)
{
    double seeds = 0;
    for (int q = 0; q < f->pools; q++)
        if (forgotten(f, q))
            seeds += own(f, a->from, q, weed) * brought_share(f, a, q, weed);
    return seeds;
}

static void add_columns(flow *f, const arc *a)
{
    double cost = arc_cost(f, a->from, a->to, a->level);
    for (int k = 0; k < f->weeds && a->to < f->n; k++)
        cost += forgotten_brought(f, a, k) * f->season->fields[a->to].loss_per_seed[k];
    glp_set_col_kind(f->lp, a->use, GLP_BV);
    glp_set_obj_coef(f->lp, a->use, cost);
    glp_set_col_bnds(f->lp, fields_column(a), GLP_LO, 0, 0);
    for (int d = 0; d < f->n_slots; d++) {
        slot s = f->slots[d];
        glp_set_col_bnds(f->lp, load_column(a, d), GLP_LO, 0, 0);
        if (a->to < f->n)
            glp_set_obj_coef(f->lp, load_column(a, d),
                             brought_share(f, a, s.pool, s.weed) * s.unit *
                                 f->season->fields[a->to].loss_per_seed[s.weed]);
    }
}

static void add_arcs(flow *f)
{
    for (int i = 0; i <= f->n; i++)
        for (int j = 0; j <= f->n; j++)
            for (int l = 0; l < f->levels; l++)
                if (arc_open(f, i, j, l)) {
                    arc *a = &f->arcs[f->n_arcs++];
                    *a = (arc){i, j, l, glp_add_cols(f->lp, 2 + f->n_slots)};
                    add_columns(f, a);
                }
}

static void put(flow *f, int column, double value)
{
    f->index[++f->length] = column;
    f->value[f->length] = value;
}

static void end_row(flow *f, int kind, double bound)
{
    int row = glp_add_rows(f->lp, 1);
    glp_set_row_bnds(f->lp, row, kind, bound, bound);
    glp_set_mat_row(f->lp, row, f->length, f->index, f->value);
    f->length = 0;
}

/* Every node is left once and entered once, and at each field one field fewer is still to be cut.
 */
static void add_tour_rows(flow *f)
{
    const arc *end = f->arcs + f->n_arcs;
    for (int node = 0; node <= f->n; node++) {
        for (const arc *a = f->arcs; a < end; a++)
            if (a->from == node)
                put(f, a->use, 1);
        end_row(f, GLP_FX, 1);
        for (const arc *a = f->arcs; a < end; a++)
            if (a->to == node)
                put(f, a->use, 1);
        end_row(f, GLP_FX, 1);
        for (const arc *a = f->arcs; a < end; a++) {
            if (a->from == node)
                put(f, fields_column(a), 1);
            if (a->to == node && node < f->n)
                put(f, fields_column(a), -1);
        }
        end_row(f, GLP_FX, node < f->n ? -1 : f->n);
    }
    for (const arc *a = f->arcs; a < end; a++) {
        int most = a->from == f->n ? f->n : a->to == f->n ? 0 : f->n - 1;
        put(f, fields_column(a), 1);
        put(f, a->use, -most);
        end_row(f, GLP_UP, 0);
    }
}

/* What leaves a node is what is left of what came and its own. A move that is driven carries at
 * least the own seeds of where it begins; one that is not, carries none. */
static void add_load_rows(flow *f, int d)
{
    slot s = f->slots[d];
    const arc *end = f->arcs + f->n_arcs;
    for (int node = 0; node <= f->n; node++) {
        for (const arc *a = f->arcs; a < end; a++) {
            if (a->from == node)
                put(f, load_column(a, d), 1);
            double share = a->to == node && node < f->n
                               ? keep(f, a->level, s.pool) * left(f, node, s.pool)
                               : 0;
            if (share > NOTHING)
                put(f, load_column(a, d), -share);
        }
        end_row(f, GLP_FX, own_units(f, node, s));
    }
    for (const arc *a = f->arcs; a < end; a++) {
        put(f, load_column(a, d), 1);
        put(f, a->use, -own_units(f, a->from, s) * (1 - SLACK));
        end_row(f, GLP_LO, 0);
        put(f, load_column(a, d), 1);
        put(f, a->use, -most_units(f, a->from, s) * (1 + SLACK) - SLACK);
        end_row(f, GLP_UP, 0);
    }
}

static void add_cleaning_limits(flow *f)
{
    const sb_limits *limits = &f->season->setup.limits;
    const double most[2] = {limits->cleaning_cost, limits->full_cleanouts};
    for (int which = 0; which < 2; which++) {
        if (isinf(most[which]))
            continue;
        for (const arc *a = f->arcs; a < f->arcs + f->n_arcs; a++)
            put(f, a->use,
                which == 0 ? level_cost(f, a->level) : f->season->setup.cleanouts[a->level].full);
        end_row(f, GLP_UP, most[which] * (1 + SLACK) + SLACK);
    }
}

static void add_seed_limit(flow *f, int field, int weed)
{
    double most = f->season->fields[field].limit_seeds_ha[weed];
    if (isinf(most))
        return;
    most *= f->season->fields[field].area_ha;
    if (!(most > 0))
        return;
    for (const arc *a = f->arcs; a < f->arcs + f->n_arcs; a++) {
        if (a->to != field)
            continue;
        put(f, a->use, forgotten_brought(f, a, weed) / most);
        for (int d = 0; d < f->n_slots; d++)
            if (f->slots[d].weed == weed)
                put(f, load_column(a, d),
                    brought_share(f, a, f->slots[d].pool, weed) * f->slots[d].unit / most);
    }
    end_row(f, GLP_UP, 1 + SLACK);
}

static void add_rows(flow *f)
{
    add_tour_rows(f);
    for (int d = 0; d < f->n_slots; d++)
        add_load_rows(f, d);
    add_cleaning_limits(f);
    for (int j = 0; j < f->n; j++)
        for (int k = 0; k < f->weeds; k++)
            add_seed_limit(f, j, k);
}

static double solve(glp_prob *lp)
{
    glp_smcp how;
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    /* No scaling and no presolving: on numbers near one beside 1e-8 both have made GLPK see no
     * solution where there is one. */
    glp_adv_basis(lp, 0);
    int failed = glp_simplex(lp, &how);
    if (failed == GLP_ENOPFS || (failed == 0 && glp_get_status(lp) == GLP_NOFEAS))
        return INFINITY;
    return failed == 0 && glp_get_status(lp) == GLP_OPT ? glp_get_obj_val(lp) : NAN;
}

glp_prob *flow_program(const sb_season *season)
{
    flow f = {.season = season,
              .n = (int)season->n_fields,
              .levels = (int)season->setup.n_cleanouts,
              .pools = 2 * (int)season->setup.n_sections,
              .weeds = (int)season->setup.n_weeds};
    choose_slots(&f);
    size_t arcs = (size_t)(f.n + 1) * (size_t)(f.n + 1) * (size_t)f.levels;
    size_t longest_row = 1 + arcs * (size_t)(2 + f.pools);
    f.arcs = sb_alloc(arcs, sizeof *f.arcs);
    f.index = sb_alloc(longest_row, sizeof *f.index);
    f.value = sb_alloc(longest_row, sizeof *f.value);
    if (f.arcs != NULL && f.index != NULL && f.value != NULL) {
        glp_term_out(GLP_OFF);
        f.lp = glp_create_prob();
        add_arcs(&f);
        add_rows(&f);
    }
    sb_free(f.arcs);
    sb_free(f.index);
    sb_free(f.value);
    return f.lp;
}

double flow_bound(const sb_season *season)
{
    glp_prob *lp = flow_program(season);
    if (lp == NULL)
        return NAN;
    double bound = solve(lp);
    glp_delete_prob(lp);
    glp_free_env();
    return bound;
}
