/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "flow_bound.h"

#include <glpk.h>
#include <math.h>
#include <stdlib.h>

/* Seeds are counted in these in the program: keeps its numbers near one. */
#define SEEDS_PER_UNIT 1e4

/* The program's numbering. Node n is the yard. Column "use" is how much of an arc is driven, column
 * "fields" carries how many fields are still to be cut, columns "load" the seeds on board. */
typedef struct flow {
    const sb_season *season;
    int n, levels, pools, weeds;
    glp_prob *lp;
    int *use;        /* [from][to][level] first column of an arc, 0: closed */
    int *index;      /* one row, from 1 */
    double *value;   /* one row, from 1 */
    int length;
} flow;

static int *use_of(const flow *f, int from, int to, int level)
{
    return &f->use[(from * (f->n + 1) + to) * f->levels + level];
}

static int fields_column(int use)
{
    return use + 1;
}

static int load_column(const flow *f, int use, int pool, int weed)
{
    return use + 2 + pool * f->weeds + weed;
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
        return f->season->joins[0].start_seeds[pool * SB_MAX_WEEDS + weed] / SEEDS_PER_UNIT;
    const sb_section *section = &f->season->setup.machines[0].sections[pool / 2];
    double share = pool % 2 ? section->lodged_share : 1 - section->lodged_share;
    return f->season->fields[node].seeds_per_kg[weed] * section->kg * share *
           (1 - left(f, node, pool)) / SEEDS_PER_UNIT;
}

static double to_tank(const flow *f, int pool, int weed)
{
    const sb_section *section = &f->season->setup.machines[0].sections[pool / 2];
    return f->season->setup.weeds[weed].large_seed ? section->tank_share_large
                                                   : section->tank_share_small;
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

static void add_arcs(flow *f)
{
    for (int i = 0; i <= f->n; i++)
        for (int j = 0; j <= f->n; j++)
            for (int l = 0; l < f->levels; l++) {
                if (!arc_open(f, i, j, l))
                    continue;
                int use = *use_of(f, i, j, l) = glp_add_cols(f->lp, 2 + f->pools * f->weeds);
                glp_set_col_bnds(f->lp, use, GLP_DB, 0, 1);
                glp_set_obj_coef(f->lp, use, arc_cost(f, i, j, l));
                glp_set_col_bnds(f->lp, fields_column(use), GLP_LO, 0, 0);
                for (int q = 0; q < f->pools; q++)
                    for (int k = 0; k < f->weeds; k++) {
                        int load = load_column(f, use, q, k);
                        glp_set_col_bnds(f->lp, load, GLP_LO, 0, 0);
                        if (j < f->n) /* the load before the cleanout flows; field j pays */
                            glp_set_obj_coef(f->lp, load,
                                             keep(f, l, q) * (1 - left(f, j, q)) *
                                                 (1 - to_tank(f, q, k)) * SEEDS_PER_UNIT *
                                                 f->season->fields[j].loss_per_seed[k]);
                    }
            }
}

static void put(flow *f, int column, double value)
{
    f->index[++f->length] = column;
    f->value[f->length] = value;
}

static void add_row(flow *f, int kind, double bound)
{
    int row = glp_add_rows(f->lp, 1);
    glp_set_row_bnds(f->lp, row, kind, bound, bound);
    glp_set_mat_row(f->lp, row, f->length, f->index, f->value);
    f->length = 0;
}

/* Puts `out` on what leaves a node and `in` (by level) on what enters it, of one kind of column. */
#define FOR_ARCS_OUT(f, node, to, level, use)            \
    for (int to = 0; to <= (f)->n; to++)                 \
        for (int level = 0; level < (f)->levels; level++) \
            for (int use = *use_of(f, node, to, level); use > 0; use = 0)
#define FOR_ARCS_IN(f, node, from, level, use)           \
    for (int from = 0; from <= (f)->n; from++)           \
        for (int level = 0; level < (f)->levels; level++) \
            for (int use = *use_of(f, from, node, level); use > 0; use = 0)

/* Every node is left and entered once; at each field one field fewer remains to be cut. */
static void add_tour_rows(flow *f)
{
    for (int node = 0; node <= f->n; node++) {
        FOR_ARCS_OUT(f, node, to, level, use) put(f, use, 1);
        add_row(f, GLP_FX, 1);
        FOR_ARCS_IN(f, node, from, level, use) put(f, use, 1);
        add_row(f, GLP_FX, 1);
        FOR_ARCS_OUT(f, node, to, level, use) put(f, fields_column(use), 1);
        if (node < f->n)
            FOR_ARCS_IN(f, node, from, level, use) put(f, fields_column(use), -1);
        add_row(f, GLP_FX, node < f->n ? -1 : f->n);
        FOR_ARCS_OUT(f, node, to, level, use)
        {
            put(f, fields_column(use), 1);
            put(f, use, -(node == f->n ? f->n : to == f->n ? 0 : f->n - 1));
            add_row(f, GLP_UP, 0);
        }
    }
}

/* What leaves field j is what is left of what came, and its own. */
static void add_load_rows(flow *f)
{
    for (int node = 0; node <= f->n; node++)
        for (int q = 0; q < f->pools; q++)
            for (int k = 0; k < f->weeds; k++) {
                FOR_ARCS_OUT(f, node, to, level, use) put(f, load_column(f, use, q, k), 1);
                if (node < f->n)
                    FOR_ARCS_IN(f, node, from, level, use)
                put(f, load_column(f, use, q, k), -keep(f, level, q) * left(f, node, q));
                add_row(f, GLP_FX, own(f, node, q, k));
                /* An arc carries at least its origin's own seeds when it is driven. */
                FOR_ARCS_OUT(f, node, to, level, use)
                {
                    put(f, load_column(f, use, q, k), 1);
                    put(f, use, -own(f, node, q, k));
                    add_row(f, GLP_LO, 0);
                }
            }
}

static void add_limit_rows(flow *f)
{
    const sb_limits *limits = &f->season->setup.limits;
    for (int which = 0; which < 2; which++) {
        double most = which ? limits->full_cleanouts : limits->cleaning_cost;
        if (isinf(most))
            continue;
        for (int j = 0; j < f->n; j++)
            FOR_ARCS_IN(f, j, from, level, use)
        put(f, use, which ? f->season->setup.cleanouts[level].full : level_cost(f, level));
        add_row(f, GLP_UP, most + 1e-6 * (1 + most));
    }
    for (int j = 0; j < f->n; j++)
        for (int k = 0; k < f->weeds; k++) {
            const sb_field *field = &f->season->fields[j];
            if (isinf(field->limit_seeds_ha[k]))
                continue;
            for (int q = 0; q < f->pools; q++)
                FOR_ARCS_IN(f, j, from, level, use)
            put(f, load_column(f, use, q, k),
                keep(f, level, q) * (1 - left(f, j, q)) * (1 - to_tank(f, q, k)));
            double most = field->limit_seeds_ha[k] * field->area_ha / SEEDS_PER_UNIT;
            add_row(f, GLP_UP, most + 1e-6 * (1 + most));
        }
}

double flow_bound(const sb_season *season)
{
    flow f = {.season = season,
              .n = (int)season->n_fields,
              .levels = (int)season->setup.n_cleanouts,
              .pools = 2 * (int)season->setup.n_sections,
              .weeds = (int)season->setup.n_weeds};
    size_t arcs = (size_t)(f.n + 1) * (size_t)(f.n + 1) * (size_t)f.levels;
    size_t row = arcs * (size_t)f.pools + 2;
    f.use = calloc(arcs, sizeof *f.use);
    f.index = calloc(row, sizeof *f.index);
    f.value = calloc(row, sizeof *f.value);
    double bound = NAN;
    if (f.use != NULL && f.index != NULL && f.value != NULL) {
        glp_term_out(GLP_OFF);
        f.lp = glp_create_prob();
        add_arcs(&f);
        add_tour_rows(&f);
        add_load_rows(&f);
        add_limit_rows(&f);
        glp_smcp how;
        glp_init_smcp(&how);
        how.msg_lev = GLP_MSG_OFF;
        how.presolve = GLP_ON;
        glp_scale_prob(f.lp, GLP_SF_AUTO);
        int failed = glp_simplex(f.lp, &how);
        if (failed == GLP_ENOPFS)
            bound = INFINITY;
        else if (failed == 0)
            bound = glp_get_status(f.lp) == GLP_OPT      ? glp_get_obj_val(f.lp)
                    : glp_get_status(f.lp) == GLP_NOFEAS ? INFINITY
                                                         : NAN;
        glp_delete_prob(f.lp);
        glp_free_env();
    }
    free(f.use);
    free(f.index);
    free(f.value);
    return bound;
}
