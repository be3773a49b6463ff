/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/problem.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "carry/carry.h"
#include "order/dates.h"
#include "season/service.h"

/* Relative slack on seed limits: the checker's sums and ours may differ in the last bits. */
#define LIMIT_SLACK 1e-9

/* Which pool and weed a number of the load stands for. */
typedef struct slot {
    int pool, weed;
} slot;

typedef struct builder {
    sb_problem *p;
    const sb_season *season;
    sb_passage *passage; /* n */
    slot slots[2 * SB_MAX_SECTIONS * SB_MAX_WEEDS];
    int n_slots;
    sb_apart marks[SB_MAX_APART]; /* behind the slots: pairs of grower and cleanout */
    int n_marks;
    bool remembered[2 * SB_MAX_SECTIONS];
    bool weed_matters[SB_MAX_WEEDS]; /* costs money or is limited somewhere */
    bool tank_matters;               /* a tank limit exists */
} builder;

static int n_sections(const builder *b)
{
    return (int)b->season->setup.n_sections;
}

static int n_weeds(const builder *b)
{
    return (int)b->season->setup.n_weeds;
}

static double keep_share(const builder *b, int level, int pool)
{
    const sb_cleanout *cleanout = &b->season->setup.cleanouts[level];
    return pool % 2 ? cleanout->keep_lodged[pool / 2] : cleanout->keep_loose[pool / 2];
}

static double ground_share(const builder *b, int pool, int weed)
{
    return sb_season_ground_share(b->season, b->p->machine, pool / 2, weed);
}

/* Seeds held on leaving node i with nothing carried in; the yard's are the start load. */
static double own_seeds(const builder *b, int i, int pool, int weed)
{
    if (i < b->p->n)
        return b->passage[i].taken_in[pool][weed];
    return b->season->joins[b->p->machine].start_seeds[pool * SB_MAX_WEEDS + weed];
}

/* Money per seed of a weed in a pool on entering field j. */
static double shed_price(const builder *b, int j, int pool, int weed)
{
    return (1 - b->passage[j].kept[pool]) * ground_share(b, pool, weed) *
           b->season->fields[j].loss_per_seed[weed];
}

static void find_what_matters(builder *b)
{
    const sb_season *season = b->season;
    for (size_t j = 0; j < season->n_fields; j++) {
        const sb_field *field = &season->fields[j];
        b->tank_matters |= isfinite(field->tank_limit_seeds_kg);
        for (int k = 0; k < n_weeds(b); k++)
            b->weed_matters[k] |= isfinite(field->limit_seeds_ha[k]) || field->loss_per_seed[k] > 0;
    }
    for (int q = 0; q < 2 * n_sections(b); q++)
        for (int j = 0; j < b->p->n; j++)
            b->remembered[q] |= b->passage[j].kept[q] > SB_FORGOTTEN_SHARE;
    for (int k = 0; k < n_weeds(b); k++)
        b->weed_matters[k] |= b->tank_matters;
}

static bool pool_matters(const builder *b, int pool, int weed)
{
    if (!b->weed_matters[weed])
        return false;
    if (!b->tank_matters && ground_share(b, pool, weed) <= 0)
        return false;
    for (int i = 0; i <= b->p->n; i++)
        if (own_seeds(b, i, pool, weed) > 0)
            return true;
    return false;
}

/* The number of the load that tells of a grower's fields; -1: there is none. */
static int mark_of(const builder *b, const sb_apart *apart)
{
    for (int m = 0; m < b->n_marks; m++)
        if (b->marks[m].grower == apart->grower && b->marks[m].cleanout == apart->cleanout)
            return b->n_slots + m;
    return -1;
}

static void choose_slots(builder *b)
{
    for (int k = 0; k < n_weeds(b); k++)
        for (int q = 0; q < 2 * n_sections(b); q++)
            if (b->remembered[q] && pool_matters(b, q, k))
                b->slots[b->n_slots++] = (slot){q, k};
    for (int j = 0; j < b->p->n; j++) {
        const sb_field *field = &b->season->fields[j];
        for (size_t a = 0; a < field->n_apart; a++)
            if (mark_of(b, &field->apart[a]) < 0)
                b->marks[b->n_marks++] = field->apart[a];
    }
    b->p->dims = (b->n_slots + b->n_marks + 3) / 4 * 4;
}

static bool allocate(sb_problem *p)
{
    size_t n = (size_t)p->n, levels = (size_t)p->levels, dims = (size_t)p->dims;
    p->move_cost = sb_alloc((n + 1) * (n + 1), sizeof *p->move_cost);
    p->move_h = sb_alloc((n + 1) * (n + 1), sizeof *p->move_h);
    p->level_cost = sb_alloc(levels, sizeof *p->level_cost);
    p->level_h = sb_alloc(levels, sizeof *p->level_h);
    p->level_full = sb_alloc(levels, sizeof *p->level_full);
    p->level_needs = sb_alloc(levels, sizeof *p->level_needs);
    p->may_cut = sb_alloc(n, sizeof *p->may_cut);
    p->fixed = sb_alloc((n + 1) * n * levels, sizeof *p->fixed);
    p->forgotten = sb_alloc((n + 1) * n * levels, sizeof *p->forgotten);
    p->allowed = sb_alloc((n + 1) * n, sizeof *p->allowed);
    p->permitted = sb_alloc((n + 1) * n, sizeof *p->permitted);
    p->keep = sb_alloc_aligned(levels * dims, sizeof *p->keep);
    p->shed = sb_alloc_aligned(n * dims, sizeof *p->shed);
    p->left = sb_alloc_aligned(n * dims, sizeof *p->left);
    p->own = sb_alloc_aligned((n + 1) * dims, sizeof *p->own);
    p->limited = sb_alloc(dims, sizeof *p->limited);
    p->home_cost = sb_alloc(n, sizeof *p->home_cost);
    p->home_h = sb_alloc(n, sizeof *p->home_h);
    p->cut_h = sb_alloc(n, sizeof *p->cut_h);
    p->ready_h = sb_alloc(n, sizeof *p->ready_h);
    p->latest_h = sb_alloc(n, sizeof *p->latest_h);
    p->before = sb_alloc(n * (size_t)p->words, sizeof *p->before);
    p->behind = sb_alloc(n * (size_t)p->words, sizeof *p->behind);
    return p->move_cost && p->move_h && p->level_cost && p->level_h && p->level_full &&
           p->level_needs && p->may_cut && p->fixed && p->forgotten && p->allowed && p->permitted &&
           p->keep && p->shed && p->left && p->own && p->limited && p->home_cost && p->home_h &&
           p->cut_h && p->ready_h && p->latest_h && p->before && p->behind;
}

static void fill_roads_and_levels(builder *b)
{
    sb_problem *p = b->p;
    const sb_season *season = b->season;
    const sb_machine *machine = &season->setup.machines[p->machine];
    int yard = sb_season_yard_place(season, p->machine);
    int start = sb_season_start_place(season, p->machine);
    sb_window window = sb_season_window(season, p->machine);
    p->start_h = window.from_h;
    p->end_h = window.to_h;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j <= p->n; j++) {
            double km = sb_season_km(season, i < p->n ? i : start, j < p->n ? j : yard);
            double hours = km / machine->road_km_h;
            size_t at = (size_t)i * (size_t)(p->n + 1) + (size_t)j;
            p->move_cost[at] = isnan(km) || i == j
                                   ? INFINITY
                                   : km * machine->cost_per_km + hours * machine->cost_per_hour;
            p->move_h[at] = (isnan(km) ? 0 : hours) + (i == p->n ? p->start_h : 0);
        }
    for (int l = 0; l < p->levels; l++) {
        p->level_cost[l] = sb_season_cleanout_cost(season, l);
        p->level_h[l] = season->setup.cleanouts[l].minutes / 60;
        p->level_full[l] = season->setup.cleanouts[l].full;
        p->level_needs[l] = season->setup.cleanouts[l].needs;
    }
    int final = season->joins[p->machine].final_cleanout;
    double final_cost = final >= 0 ? p->level_cost[final] : 0;
    double final_h = final >= 0 ? p->level_h[final] : 0;
    for (int i = 0; i < p->n; i++) {
        size_t at = (size_t)i * (size_t)(p->n + 1) + (size_t)p->n;
        p->home_cost[i] = p->move_cost[at] + final_cost;
        p->home_h[i] = p->move_h[at] + final_h;
        p->cut_h[i] = sb_season_cutting_hours(season, p->machine, i);
        p->may_cut[i] = sb_season_may_cut(season, p->machine, i);
    }
}

static void fill_loads(builder *b)
{
    sb_problem *p = b->p;
    size_t dims = (size_t)p->dims;
    for (int d = 0; d < b->n_slots; d++) {
        slot s = b->slots[d];
        for (int l = 0; l < p->levels; l++)
            p->keep[(size_t)l * dims + (size_t)d] = keep_share(b, l, s.pool);
        for (int i = 0; i <= p->n; i++)
            p->own[(size_t)i * dims + (size_t)d] = own_seeds(b, i, s.pool, s.weed) / SB_LOAD_UNIT;
        for (int j = 0; j < p->n; j++) {
            p->shed[(size_t)j * dims + (size_t)d] = shed_price(b, j, s.pool, s.weed) * SB_LOAD_UNIT;
            p->left[(size_t)j * dims + (size_t)d] = b->passage[j].kept[s.pool];
        }
    }
}

/* A grower's own fields set the mark, all others leave it as it was. */
static void fill_marks(builder *b)
{
    sb_problem *p = b->p;
    size_t dims = (size_t)p->dims;
    for (int m = 0; m < b->n_marks; m++) {
        const sb_apart *mark = &b->marks[m];
        size_t d = (size_t)(b->n_slots + m);
        for (int l = 0; l < p->levels; l++)
            p->keep[(size_t)l * dims + d] = sb_season_clears(b->season, l, mark) ? 0 : 1;
        for (int j = 0; j < p->n; j++) {
            bool theirs = b->season->fields[j].grower == mark->grower;
            p->left[(size_t)j * dims + d] = theirs ? 0 : 1;
            p->own[(size_t)j * dims + d] = theirs ? 1 : 0;
        }
        p->own[(size_t)p->n * dims + d] = sb_season_starts_after(b->season, p->machine, mark);
    }
}

/* Money lost in j to the forgotten pools of i: they were filled in i and empty into j. */
static double forgotten_loss(const builder *b, int i, int j, int level)
{
    double loss = 0;
    for (int q = 0; q < 2 * n_sections(b); q++) {
        if (b->remembered[q])
            continue;
        double keep = keep_share(b, level, q);
        for (int k = 0; k < n_weeds(b); k++)
            loss += own_seeds(b, i, q, k) * keep * shed_price(b, j, q, k);
    }
    return loss;
}

static void fill_forgotten(builder *b)
{
    sb_problem *p = b->p;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++)
            for (int l = 0; l < p->levels && i != j; l++)
                p->forgotten[sb_arc(p, i, j) * (size_t)p->levels + (size_t)l] =
                    forgotten_loss(b, i, j, l);
}

/* Road, cleanout and forgotten pools of every move, at the weight that is set. */
static void fill_fixed(sb_problem *p, double surcharge)
{
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++) {
            double move = p->move_cost[(size_t)i * (size_t)(p->n + 1) + (size_t)j];
            if (isinf(move)) /* never taken: `allowed` is 0 there */
                move = 0;
            for (int l = 0; l < p->levels; l++) {
                size_t at = sb_arc(p, i, j) * (size_t)p->levels + (size_t)l;
                p->fixed[at] = move + p->level_cost[l] + (p->level_full[l] ? surcharge : 0) +
                               p->weight * p->forgotten[at];
            }
        }
}

void sb_problem_price(sb_problem *p, double weight, double surcharge)
{
    for (size_t at = 0; at < (size_t)p->n * (size_t)p->dims; at++)
        p->shed[at] *= weight / p->weight;
    p->weight = weight;
    fill_fixed(p, surcharge);
}

static void fill_precedence(builder *b)
{
    sb_problem *p = b->p;
    size_t words = (size_t)p->words;
    for (int j = 0; j < p->n; j++) {
        const sb_field *field = &b->season->fields[j];
        for (size_t a = 0; a < field->n_after; a++) {
            sb_include(p->before + (size_t)j * words, field->after[a]);
            p->ordered = true;
        }
    }
    sb_close_precedence(p);
}

/* No plan drives i -> j when j must come first, or when a third field must come in between. */
static bool order_forbids(const sb_problem *p, int i, int j)
{
    if (!p->ordered)
        return false;
    const uint64_t *before_j = p->before + (size_t)j * (size_t)p->words;
    if (p->shared)
        return i < p->n && sb_has(p->before + (size_t)i * (size_t)p->words, j);
    if (i == p->n) {
        for (int w = 0; w < p->words; w++)
            if (before_j[w])
                return true;
        return false;
    }
    if (sb_has(p->before + (size_t)i * (size_t)p->words, j))
        return true;
    const uint64_t *behind_i = p->behind + (size_t)i * (size_t)p->words;
    for (int w = 0; w < p->words; w++)
        if (behind_i[w] & before_j[w])
            return true;
    return false;
}

/* Does node i itself, as the machine leaves it, forbid going on to j with no more than level l? */
static bool apart_forbids(const builder *b, int i, int j, int level)
{
    const sb_problem *p = b->p;
    const sb_field *field = &b->season->fields[j];
    for (size_t a = 0; a < field->n_apart; a++) {
        size_t d = (size_t)mark_of(b, &field->apart[a]), dims = (size_t)p->dims;
        if (p->own[(size_t)i * dims + d] * p->keep[(size_t)level * dims + d] > 0)
            return true;
    }
    return false;
}

static void fill_allowed(builder *b)
{
    sb_problem *p = b->p;
    const sb_season *season = b->season;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++) {
            double move = p->move_cost[(size_t)i * (size_t)(p->n + 1) + (size_t)j];
            if (i == j || isinf(move) || !p->may_cut[j] || (i < p->n && !p->may_cut[i]) ||
                order_forbids(p, i, j))
                continue;
            int entry = season->fields[j].entry;
            int on_record = i == p->n ? season->joins[p->machine].start_cleanout : -1;
            bool met =
                entry < 0 || (on_record >= 0 && sb_season_satisfies(season, on_record, entry));
            bool cleaned = i == p->n && season->joins[p->machine].cleaned;
            for (int l = 0; l < p->levels; l++)
                if ((met || sb_season_satisfies(season, l, entry)) && !apart_forbids(b, i, j, l) &&
                    !(cleaned && l > 0 && sb_season_satisfies(season, on_record, l)))
                    p->allowed[sb_arc(p, i, j)] |= (uint8_t)(1u << l);
        }
}

/* Does level `other` do all that level l does before the move i -> j, for no more of anything,
 * however spread is weighed? */
static bool no_worse(const builder *b, int i, int j, int other, int l)
{
    const sb_problem *p = b->p;
    const double *forgotten = p->forgotten + sb_arc(p, i, j) * (size_t)p->levels;
    if (forgotten[other] > forgotten[l] || p->level_h[other] > p->level_h[l] ||
        p->level_cost[other] > p->level_cost[l] || p->level_full[other] > p->level_full[l] ||
        (p->level_needs[other] & ~p->level_needs[l]) != 0)
        return false;
    for (int d = 0; d < b->n_slots + b->n_marks; d++)
        if (p->keep[(size_t)other * (size_t)p->dims + (size_t)d] >
            p->keep[(size_t)l * (size_t)p->dims + (size_t)d])
            return false;
    for (int q = 0; q < 2 * n_sections(b) && p->n_limits > 0; q++)
        if (keep_share(b, other, q) > keep_share(b, l, q))
            return false;
    return true;
}

/* Takes away levels that another level makes pointless, of two alike the later one. */
static void drop_pointless_levels(builder *b)
{
    sb_problem *p = b->p;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++) {
            uint8_t *allowed = &p->allowed[sb_arc(p, i, j)];
            for (int l = p->levels - 1; l >= 0; l--)
                for (int other = 0; other < p->levels; other++)
                    if (other != l && (*allowed >> l & 1) && (*allowed >> other & 1) &&
                        no_worse(b, i, j, other, l))
                        *allowed &= (uint8_t) ~(1u << l);
        }
}

/* Hours that no sensible plan exceeds: used to size the delay table and to see what can bind. */
static double longest_season_h(const sb_problem *p)
{
    double most_level = 0, hours = 0, latest_ready = 0;
    for (int l = 0; l < p->levels; l++)
        most_level = fmax(most_level, p->level_h[l]);
    for (int j = 0; j < p->n; j++) {
        double most_move = p->home_h[j];
        for (int i = 0; i <= p->n; i++)
            most_move = fmax(most_move, sb_move_h(p, i, j) - (i == p->n ? p->start_h : 0));
        hours += p->cut_h[j] + most_move + most_level;
        latest_ready = fmax(latest_ready, p->ready_h[j]);
        hours += p->home_h[j] / p->n;
    }
    for (int j = 0; j < p->n; j++)
        hours = fmax(hours, p->home_h[j]);
    return hours + most_level + fmax(latest_ready, p->start_h);
}

static sb_status fill_times(builder *b)
{
    sb_problem *p = b->p;
    const sb_season *season = b->season;
    const sb_calendar *calendar = &season->setup.calendar;
    p->hours_per_day = calendar->hours_per_day;
    bool dated = false;
    for (int j = 0; j < p->n; j++) {
        p->ready_h[j] = sb_season_ready_h(season, j);
        p->latest_h[j] = sb_season_latest_h(season, j);
        dated |= isfinite(p->latest_h[j]);
        p->delayed |= season->fields[j].delay_cost_per_day > 0 &&
                      season->fields[j].best_before_day != SB_NO_DAY;
    }
    double horizon_h = longest_season_h(p);
    double home_most = 0;
    for (int j = 0; j < p->n; j++)
        home_most = fmax(home_most, p->home_h[j]);
    /* Ready dates alone change nothing: waiting costs no money. */
    p->timed = dated || p->delayed || horizon_h + home_most > p->end_h;
    if (!p->delayed)
        return SB_OK;
    p->delay_days = (int)fmin(fmin(horizon_h, p->end_h) / p->hours_per_day + 2, 20000);
    p->delay = sb_alloc((size_t)p->n * (size_t)p->delay_days, sizeof *p->delay);
    if (p->delay == NULL)
        return SB_ERR_NOMEM;
    for (int j = 0; j < p->n; j++)
        for (int d = 0; d < p->delay_days; d++)
            p->delay[(size_t)j * (size_t)p->delay_days + (size_t)d] =
                sb_season_delay_cost(season, j, (d + 1) * p->hours_per_day);
    return SB_OK;
}

/* One limit: weed >= 0 for seeds to the ground per ha, weed < 0 for all weeds in the tank. */
static sb_status add_limit(builder *b, int field, int weed, double most_seeds)
{
    sb_problem *p = b->p;
    sb_load_limit *limit = &p->limits[p->n_limits++];
    limit->field = field;
    limit->most = most_seeds / SB_LOAD_UNIT * (1 + LIMIT_SLACK) + 1e-12;
    limit->weight = sb_alloc_aligned((size_t)p->dims, sizeof *limit->weight);
    limit->fixed = sb_alloc((size_t)(p->n + 1) * (size_t)p->levels, sizeof *limit->fixed);
    if (limit->weight == NULL || limit->fixed == NULL)
        return SB_ERR_NOMEM;
    const sb_passage *passage = &b->passage[field];
    for (int d = 0; d < b->n_slots; d++) {
        slot s = b->slots[d];
        if (weed >= 0 && s.weed != weed)
            continue;
        double ground = ground_share(b, s.pool, s.weed);
        limit->weight[d] = (1 - passage->kept[s.pool]) * (weed >= 0 ? ground : 1 - ground);
    }
    for (int i = 0; i <= p->n; i++)
        for (int l = 0; l < p->levels; l++)
            for (int q = 0; q < 2 * n_sections(b); q++)
                for (int k = 0; k < n_weeds(b) && !b->remembered[q]; k++) {
                    if (weed >= 0 && k != weed)
                        continue;
                    double ground = ground_share(b, q, k);
                    limit->fixed[i * p->levels + l] +=
                        own_seeds(b, i, q, k) / SB_LOAD_UNIT * keep_share(b, l, q) *
                        (1 - passage->kept[q]) * (weed >= 0 ? ground : 1 - ground);
                }
    for (int i = 0; i < (p->n + 1) * p->levels; i++)
        limit->most_fixed = fmax(limit->most_fixed, limit->fixed[i]);
    for (int i = 0; i <= p->n; i++)
        for (int d = 0; d < b->n_slots; d++)
            limit->most_picked +=
                limit->weight[d] * p->own[(size_t)i * (size_t)p->dims + (size_t)d];
    return SB_OK;
}

/* A field that is kept apart: none of the marks it looks at may be set. */
static sb_status add_apart(builder *b, int field)
{
    sb_problem *p = b->p;
    const sb_field *f = &b->season->fields[field];
    sb_load_limit *limit = &p->limits[p->n_limits++];
    limit->field = field;
    limit->most = 0.5;
    limit->weight = sb_alloc_aligned((size_t)p->dims, sizeof *limit->weight);
    limit->fixed = sb_alloc((size_t)(p->n + 1) * (size_t)p->levels, sizeof *limit->fixed);
    if (limit->weight == NULL || limit->fixed == NULL)
        return SB_ERR_NOMEM;
    for (size_t a = 0; a < f->n_apart; a++) {
        int d = mark_of(b, &f->apart[a]);
        limit->weight[d] = 1;
        for (int i = 0; i <= p->n; i++)
            limit->most_picked += p->own[(size_t)i * (size_t)p->dims + (size_t)d];
    }
    return SB_OK;
}

/* Takes away the limit just added if all seeds of the season together keep it. */
static void drop_if_idle(sb_problem *p)
{
    sb_load_limit *limit = &p->limits[p->n_limits - 1];
    if (limit->most_fixed + limit->most_picked > limit->most)
        return;
    sb_free(limit->weight);
    sb_free(limit->fixed);
    *limit = (sb_load_limit){0};
    p->n_limits--;
}

/* Numbers of the load that some limit looks at. */
static void mark_limited(sb_problem *p)
{
    for (int r = 0; r < p->n_limits; r++)
        for (int d = 0; d < p->dims; d++)
            p->limited[d] |= p->limits[r].weight[d] > 0;
}

static sb_status fill_limits(builder *b)
{
    sb_problem *p = b->p;
    const sb_season *season = b->season;
    size_t count = 0;
    for (int j = 0; j < p->n; j++) {
        count += isfinite(season->fields[j].tank_limit_seeds_kg);
        count += season->fields[j].n_apart > 0;
        for (int k = 0; k < n_weeds(b); k++)
            count += isfinite(season->fields[j].limit_seeds_ha[k]);
    }
    p->limits = sb_alloc(count, sizeof *p->limits);
    if (p->limits == NULL)
        return SB_ERR_NOMEM;
    for (int j = 0; j < p->n; j++) {
        const sb_field *field = &season->fields[j];
        if (field->n_apart > 0) {
            if (add_apart(b, j) != SB_OK)
                return SB_ERR_NOMEM;
            drop_if_idle(p);
        }
        for (int k = -1; k < n_weeds(b); k++) { /* -1: all weeds, in the tank */
            double most = k < 0 ? field->tank_limit_seeds_kg * field->grain_t * 1000
                                : field->limit_seeds_ha[k] * field->area_ha;
            if (isinf(most))
                continue;
            sb_status status = add_limit(b, j, k, most);
            if (status != SB_OK)
                return status;
            drop_if_idle(p);
        }
    }
    mark_limited(p);
    return SB_OK;
}

static void fill_resources(builder *b)
{
    sb_problem *p = b->p;
    const sb_limits *limits = &b->season->setup.limits;
    p->most[SB_RES_TIME] = p->end_h;
    p->most[SB_RES_SPEND] = limits->cleaning_cost;
    p->most[SB_RES_FULL] = limits->full_cleanouts;
    p->most[SB_RES_MONEY] = INFINITY;
    p->counted[SB_RES_TIME] = p->timed;
    p->counted[SB_RES_SPEND] = isfinite(limits->cleaning_cost);
    p->counted[SB_RES_FULL] = isfinite(limits->full_cleanouts);
}

static sb_status init(sb_problem *problem, const sb_season *season, int machine, bool shared)
{
    *problem = (sb_problem){
        .season = season,
        .machine = machine,
        .shared = shared,
        .n = (int)season->n_fields,
        .levels = (int)season->setup.n_cleanouts,
        .words = ((int)season->n_fields + 63) / 64,
        .weight = 1,
    };
    builder b = {.p = problem, .season = season};
    sb_status status = SB_ERR_NOMEM;
    b.passage = sb_alloc(season->n_fields, sizeof *b.passage);
    if (b.passage == NULL)
        goto out;
    for (int j = 0; j < problem->n; j++)
        sb_passage_of(season, machine, j, &b.passage[j]);
    find_what_matters(&b);
    choose_slots(&b);
    if (!allocate(problem))
        goto out;
    fill_roads_and_levels(&b);
    fill_loads(&b);
    fill_marks(&b);
    fill_forgotten(&b);
    fill_fixed(problem, 0);
    fill_precedence(&b);
    status = fill_times(&b);
    if (status == SB_OK && problem->timed && !shared)
        status = sb_dates_narrow(problem);
    if (status != SB_OK)
        goto out;
    fill_allowed(&b);
    status = fill_limits(&b);
    fill_resources(&b);
    memcpy(problem->permitted, problem->allowed, (size_t)(problem->n + 1) * (size_t)problem->n);
    drop_pointless_levels(&b);
out:
    sb_free(b.passage);
    return status;
}

sb_status sb_problem_init(sb_problem *problem, const sb_season *season, int machine)
{
    return init(problem, season, machine, false);
}

sb_status sb_problem_init_shared(sb_problem *problem, const sb_season *season, int machine)
{
    return init(problem, season, machine, true);
}

void sb_problem_release(sb_problem *p)
{
    for (int r = 0; r < p->n_limits; r++) {
        sb_free(p->limits[r].weight);
        sb_free(p->limits[r].fixed);
    }
    void *owned[] = {p->permitted, p->forgotten,  p->move_cost,   p->move_h,   p->level_cost,
                     p->level_h,   p->level_full, p->fixed,       p->allowed,  p->keep,
                     p->shed,      p->left,       p->own,         p->limited,  p->home_cost,
                     p->home_h,    p->cut_h,      p->ready_h,     p->latest_h, p->delay,
                     p->before,    p->behind,     p->level_needs, p->may_cut,  p->limits};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *p = (sb_problem){0};
}
