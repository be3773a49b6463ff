/* SPDX-License-Identifier: GPL-3.0-or-later */
/** One machine's season as numbers: what every file of src/order computes with.
 *
 * Fields are 0..n-1; node n is the yard, and on the way out the place where the machine starts,
 * whose moves take the hours until it may start as well. A load is a vector of `dims` numbers (one
 * per remembered pool and weed) in units of SB_LOAD_UNIT seeds. The move i -> j after a cleanout of
 * level l turns load N into
 *
 *     a  = keep[l] * N                       what the cleanout leaves
 *     N' = left[j] * a + own[j]              load when j is cut
 *     cost = fixed[i][j][l] + shed[j] . a    road, cleanout, forgotten pools, seeds brought to j
 *
 * (* by element, . the scalar product), so everything downstream is linear in N with coefficients
 * that are never negative. Pools that no field leaves anything of are forgotten after one field;
 * their loss depends on (i, j, l) alone and sits in `fixed`.
 *
 * A field kept apart from a grower looks at a mark, one more number of the load: 1 after a field of
 * that grower, kept by every other field and taken away by the cleanouts that clear it. It costs
 * nothing; a limit of 1/2 at the field that is kept apart forbids it. */
#ifndef SB_ORDER_PROBLEM_H
#define SB_ORDER_PROBLEM_H

#include <stdbool.h>
#include <stdint.h>

#include "order/vector.h"
#include "season/season.h"

#define SB_LOAD_UNIT 1e4 /**< seeds per unit of load: keeps loads and prices near one in size */

/** A pool is forgotten when a field leaves less of it than this share: far below what the proof's
 * tolerance can see. */
#define SB_FORGOTTEN_SHARE 1e-12

/** Most numbers of a load, a multiple of 4. One season has 2 x SB_MAX_SECTIONS x SB_MAX_WEEDS for
 * pools and weeds and SB_MAX_APART for the pairs of grower and cleanout that `apart` rules name;
 * the mean of many seasons (doubt/scenarios.h) has as many for each. */
#define SB_MAX_DIMS 8192

/** Resources that a partial plan uses up; less is better. */
enum { SB_RES_TIME, SB_RES_SPEND, SB_RES_FULL, SB_RES_MONEY, SB_N_RES };

/** A rule on what a field may receive: fixed[i * levels + l] + weight . (keep[l] * N) <= most. */
typedef struct sb_load_limit {
    int field;
    double *weight; /**< dims */
    double *fixed;  /**< (n + 1) x levels: the forgotten pools' share when coming from i */
    double most;
    double most_fixed;  /**< largest entry of fixed */
    double most_picked; /**< weight . everything that all fields and the start could put in */
} sb_load_limit;

typedef struct sb_problem {
    const sb_season *season;
    int machine;
    int n;      /**< fields */
    int levels; /**< cleanout levels, 0 is none */
    int dims;   /**< numbers in a load, a multiple of 4 (padded with zeros); may be 0 */
    int words;  /**< 64-bit words in a set of fields */

    double *move_cost;     /**< (n + 1) x (n + 1) money; INFINITY: no way */
    double *move_h;        /**< (n + 1) x (n + 1) hours; those out of the yard begin with start_h */
    double *level_cost;    /**< levels, money */
    double *level_h;       /**< levels, hours */
    bool *level_full;      /**< levels */
    unsigned *level_needs; /**< levels: bit r, occupies one of resource r while it lasts */
    bool *may_cut;         /**< n: may this machine cut the field at all? Else no move to it is
                                allowed, and its other numbers mean nothing */
    double *fixed;         /**< [((n + 1) * n) * levels] money, from (i, j, l) */
    double *forgotten; /**< likewise: the forgotten pools' loss, at weight 1, that is part of it */
    double weight;    /**< how many times spread counts: 1 unless sb_problem_price said otherwise */
    uint8_t *allowed; /**< (n + 1) x n, bit l: the move i -> j after level l breaks no rule */
    uint8_t *permitted; /**< likewise, with the levels that another level makes pointless */
    double *keep;       /**< levels x dims */
    double *shed;       /**< n x dims, money per unit of load */
    double *left;       /**< n x dims */
    double *own;        /**< (n + 1) x dims; row n is the start load */
    uint8_t *limited;   /**< dims: does any limit look at this number? */

    double *home_cost; /**< n, money from the last field home, final cleanout included */
    double *home_h;    /**< n, hours likewise */
    double *cut_h;     /**< n, hours */
    double *ready_h;   /**< n */
    double *latest_h;  /**< n, INFINITY: none */
    double start_h;    /**< the machine is at work from then on; already in move_h */
    double end_h;      /**< back and clean by then; INFINITY: never pressing */
    bool timed;        /**< can time bind or cost at all? */
    bool delayed;      /**< does any field lose money with time? */
    double *delay;     /**< n x delay_days: money when finished on that working day */
    int delay_days;
    double hours_per_day;

    uint64_t *before;      /**< n x words: fields that must be cut before it, closed transitively */
    uint64_t *behind;      /**< n x words: fields that must be cut after it */
    bool ordered;          /**< is there any precedence? */
    bool dates_contradict; /**< they leave one machine that cuts every field no order at all */
    bool shared;           /**< other machines may cut some of the fields */

    sb_load_limit *limits;
    int n_limits;
    double most[SB_N_RES];  /**< what a whole plan may use; INFINITY: no limit. Time is end_h. Money
                                 is all but spread, the way home and the final cleanout included:
                                 no season limits it, the trade-off curve does (order/between.h),
                                 with one machine. */
    bool counted[SB_N_RES]; /**< is the resource looked at? */
} sb_problem;

/** @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_problem_init(sb_problem *problem, const sb_season *season, int machine);
/** The same for a season that several machines share: routes may leave fields out, so a field that
 * must come in between two others closes no move. */
sb_status sb_problem_init_shared(sb_problem *problem, const sb_season *season, int machine);
void sb_problem_release(sb_problem *problem);

/** Prices the same season otherwise: spread counts `weight` (> 0) times, and a full cleanout costs
 * `surcharge` more than it does (less when negative; it must not come to less than nothing).
 * level_cost, which a limit on cleaning money looks at, stays as it is. */
void sb_problem_price(sb_problem *problem, double weight, double surcharge);

static inline size_t sb_arc(const sb_problem *p, int from, int to)
{
    return (size_t)from * (size_t)p->n + (size_t)to;
}

static inline double sb_fixed(const sb_problem *p, int from, int to, int level)
{
    return p->fixed[sb_arc(p, from, to) * (size_t)p->levels + (size_t)level];
}

static inline double sb_move_h(const sb_problem *p, int from, int to)
{
    return p->move_h[(size_t)from * (size_t)(p->n + 1) + (size_t)to];
}

/** The money that a move after a level takes: road and cleanout, delay not included. */
static inline double sb_move_money(const sb_problem *p, int from, int to, int level)
{
    return p->move_cost[(size_t)from * (size_t)(p->n + 1) + (size_t)to] + p->level_cost[level];
}

/** When field `to` is finished if the machine is free at `free_h` in `from`. */
static inline double sb_finish_h(const sb_problem *p, int from, int to, int level, double free_h)
{
    double start = free_h + p->level_h[level] + sb_move_h(p, from, to);
    if (start < p->ready_h[to])
        start = p->ready_h[to];
    return start + p->cut_h[to];
}

/** Money lost because field j is finished at that time. */
static inline double sb_delay(const sb_problem *p, int field, double finish_h)
{
    if (!p->delayed)
        return 0;
    double day = (finish_h - SB_SAME_TIME_H) / p->hours_per_day;
    int index = day <= 0 ? 0 : day >= p->delay_days - 1 ? p->delay_days - 1 : (int)day;
    return p->delay[(size_t)field * (size_t)p->delay_days + (size_t)index];
}

static inline bool sb_has(const uint64_t *set, int member)
{
    return set[(unsigned)member >> 6] >> (member & 63) & 1;
}

/** Row j of sets of `words` words each. */
static inline uint64_t *sb_set_of(const sb_problem *p, uint64_t *sets, int j)
{
    return sets + (size_t)j * (size_t)p->words;
}

static inline bool sb_sets_meet(const uint64_t *a, const uint64_t *b, int words)
{
    for (int w = 0; w < words; w++)
        if (a[w] & b[w])
            return true;
    return false;
}

static inline bool sb_is_subset(const uint64_t *part, const uint64_t *set, int words)
{
    for (int w = 0; w < words; w++)
        if (part[w] & ~set[w])
            return false;
    return true;
}

static inline int sb_set_size(const uint64_t *set, int words)
{
    int size = 0;
    for (int w = 0; w < words; w++)
        size += __builtin_popcountll(set[w]);
    return size;
}

static inline void sb_include(uint64_t *set, int member)
{
    set[(unsigned)member >> 6] |= (uint64_t)1 << (member & 63);
}

/** What a move to field `to` after a level makes of a load; returns the cost of the seeds brought.
 * Four running sums, added in a fixed order: the same result on every machine, vectorised or not.
 * @param before dims numbers
 * @param after  [out] dims numbers; may be the same array as before */
SB_INLINED double sb_bring_load(const sb_problem *p, int to, int level, const double *before,
                                double *after)
{
    size_t dims = (size_t)p->dims;
    const double *keep = p->keep + (size_t)level * dims, *shed = p->shed + (size_t)to * dims;
    const double *left = p->left + (size_t)to * dims, *own = p->own + (size_t)to * dims;
    sb_four_numbers sum = {0};
    for (size_t d = 0; d < dims; d += 4) {
        sb_four_numbers kept = *sb_fours(before + d) * *sb_fours(keep + d);
        sum += kept * *sb_fours(shed + d);
        *(sb_four_numbers *)(after + d) = kept * *sb_fours(left + d) + *sb_fours(own + d);
    }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

/** The move from -> to after a level; returns its cost (delay not included).
 * @param before, after as for sb_bring_load */
SB_INLINED double sb_move_load(const sb_problem *p, int from, int to, int level,
                               const double *before, double *after)
{
    return sb_bring_load(p, to, level, before, after) + sb_fixed(p, from, to, level);
}

/** The most that may be spent under a limit on cleaning or on all money: sums of the same money
 * differ in their last digits. */
static inline double sb_spend_most(double limit)
{
    return limit * (1 + 1e-9) + 1e-9;
}

/** What the move from -> to after a level costs at least, whatever came before: `to` gets the seeds
 * of `from` and no others. Delay not included. */
static inline double sb_first_order_cost(const sb_problem *p, int from, int to, int level)
{
    size_t dims = (size_t)p->dims;
    const double *keep = p->keep + (size_t)level * dims;
    const double *own = p->own + (size_t)from * dims;
    const double *shed = p->shed + (size_t)to * dims;
    double money = sb_fixed(p, from, to, level);
    for (size_t d = 0; d < dims; d++)
        money += keep[d] * own[d] * shed[d];
    return money;
}

/** The same at the cheapest level that is allowed; INFINITY: none is. */
double sb_first_order_least(const sb_problem *p, int from, int to);

/** The level that looks best before the move from -> to with this load, when what it leaves in the
 * machine is paid for at these prices later.
 * @param load, later dims numbers each
 * @return a level that is allowed; 0 when none is */
int sb_greedy_level(const sb_problem *p, int from, int to, const double *load, const double *later);
/** The same, told which levels are allowed and what the move costs at each of them without seeds.
 */
int sb_greedy_level_of(const sb_problem *p, unsigned allowed, const double *fixed, int to,
                       const double *load, const double *later);

/** What a limit counts when its field is entered from -> to after this level, with `load` before
 * the cleanout: it may be limit->most. */
static inline double sb_limit_sum(const sb_problem *p, const sb_load_limit *limit, int from,
                                  int level, const double *load)
{
    const double *keep = p->keep + (size_t)level * (size_t)p->dims;
    double sum = limit->fixed[from * p->levels + level];
    for (int d = 0; d < p->dims; d++)
        sum += limit->weight[d] * keep[d] * load[d];
    return sum;
}

/** Does entering `to` with this load (before the cleanout) keep every seed limit there? */
bool sb_limits_kept(const sb_problem *p, int from, int to, int level, const double *load);

/** Is it certain that no season from this load on breaks a seed limit? */
bool sb_limits_safe(const sb_problem *p, const double *load);

/** Do the levels that entry rules demand break a limit on cleanouts in every season? */
bool sb_problem_overspent(const sb_problem *p);

/** The cost of a season: n fields in order, and the level before the move to each; INFINITY when it
 * breaks a rule. */
double sb_sequence_cost(const sb_problem *p, const int *field, const int *level);

#endif
