/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Follows the seeds of one machine: at each stop the cleanout, then shedding, then the field's own
 * seeds. One load per origin met so far, so that the ledger knows where every seed came from. */
#include "base/mem.h"
#include "carry/carry.h"

/** The machine on its way through the season. */
typedef struct machine_walk {
    const sb_season *season;
    int machine;
    sb_load *loads;  /**< by origin, n_origins so far; the first is the start load */
    size_t *origins; /**< which field each came from; n_fields: the start */
    size_t n_origins;
    sb_ledger *ledger;     /**< or NULL */
    sb_stop_trace unasked; /**< written where nobody wants a trace */
} machine_walk;

static size_t pools_of(const machine_walk *walk)
{
    return 2 * walk->season->setup.n_sections;
}

/** Takes seeds aboard. Without a ledger nobody asks where they are from: one load holds them all.
 */
static void add_origin(machine_walk *walk, size_t origin, double seeds[][SB_MAX_WEEDS])
{
    if (walk->ledger != NULL || walk->n_origins == 0)
        walk->origins[walk->n_origins++] = origin;
    sb_load *load = &walk->loads[walk->n_origins - 1];
    for (size_t pool = 0; pool < pools_of(walk); pool++)
        for (size_t w = 0; w < walk->season->setup.n_weeds; w++) {
            load->seeds[pool][w] += seeds[pool][w];
            if (walk->ledger != NULL)
                walk->ledger->taken[origin * walk->ledger->n_weeds + w] += seeds[pool][w];
        }
}

static void add_start(machine_walk *walk)
{
    double seeds[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS];
    const double *start = walk->season->joins[walk->machine].start_seeds;
    for (size_t pool = 0; pool < pools_of(walk); pool++)
        for (size_t w = 0; w < walk->season->setup.n_weeds; w++)
            seeds[pool][w] = start[pool * SB_MAX_WEEDS + w];
    add_origin(walk, walk->season->n_fields, seeds);
}

static void clean(machine_walk *walk, int cleanout, sb_stop_trace *trace)
{
    const sb_cleanout *level = &walk->season->setup.cleanouts[cleanout];
    trace->tarp_kg = sb_tarp_kg(walk->season, walk->machine, cleanout);
    for (size_t o = 0; o < walk->n_origins; o++)
        for (size_t pool = 0; pool < pools_of(walk); pool++) {
            double keep = (pool % 2 ? level->keep_lodged : level->keep_loose)[pool / 2];
            for (size_t w = 0; w < walk->season->setup.n_weeds; w++) {
                double *seeds = &walk->loads[o].seeds[pool][w];
                double removed = *seeds * (1 - keep);
                trace->before_clean[w] += *seeds;
                trace->on_tarp[w] += removed;
                if (walk->ledger != NULL)
                    walk->ledger->site[walk->origins[o] * walk->ledger->n_weeds + w] += removed;
                *seeds *= keep;
            }
        }
}

/** What is in the machine on entry, all origins together. */
static void enter(const machine_walk *walk, int field, sb_stop_trace *trace)
{
    sb_load whole = {0};
    for (size_t o = 0; o < walk->n_origins; o++)
        for (size_t pool = 0; pool < pools_of(walk); pool++)
            for (size_t w = 0; w < walk->season->setup.n_weeds; w++) {
                double seeds = walk->loads[o].seeds[pool][w];
                whole.seeds[pool][w] += seeds;
                (pool % 2 ? trace->lodged_in : trace->loose_in)[w] += seeds;
            }
    trace->strip50_m = sb_strip_m(walk->season, walk->machine, field, &whole, 0.5);
    trace->strip90_m = sb_strip_m(walk->season, walk->machine, field, &whole, 0.9);
}

static void shed(machine_walk *walk, int field, const sb_passage *passage, sb_stop_trace *trace)
{
    const sb_season *season = walk->season;
    sb_ledger *ledger = walk->ledger;
    for (size_t pool = 0; pool < pools_of(walk); pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            double ground_share =
                sb_season_ground_share(season, walk->machine, (int)(pool / 2), (int)w);
            for (size_t o = 0; o < walk->n_origins; o++) {
                double *seeds = &walk->loads[o].seeds[pool][w];
                double to_ground = *seeds * passage->shed[pool] * ground_share;
                double to_tank = *seeds * passage->shed[pool] * (1 - ground_share);
                *seeds *= passage->kept[pool];
                trace->ground[w] += to_ground;
                trace->tank[w] += to_tank;
                if (ledger == NULL)
                    continue;
                size_t cell =
                    (walk->origins[o] * ledger->n_fields + (size_t)field) * ledger->n_weeds + w;
                ledger->ground[cell] += to_ground;
                ledger->tank[cell] += to_tank;
            }
        }
}

static void end_season(machine_walk *walk, int final_cleanout, sb_stop_trace *trace)
{
    clean(walk, final_cleanout < 0 ? 0 : final_cleanout, trace);
    if (walk->ledger == NULL)
        return;
    for (size_t o = 0; o < walk->n_origins; o++)
        for (size_t pool = 0; pool < pools_of(walk); pool++)
            for (size_t w = 0; w < walk->season->setup.n_weeds; w++)
                walk->ledger->left[walk->origins[o] * walk->ledger->n_weeds + w] +=
                    walk->loads[o].seeds[pool][w];
}

sb_status sb_carry_follow(const sb_season *season, int machine, const sb_visit *visits,
                          size_t n_visits, int final_cleanout, sb_ledger *ledger,
                          sb_stop_trace *traces)
{
    machine_walk walk = {.season = season, .machine = machine, .ledger = ledger};
    sb_status status = SB_ERR_NOMEM;
    size_t most_origins = ledger != NULL ? n_visits + 1 : 1;
    walk.loads = sb_alloc(most_origins, sizeof *walk.loads);
    walk.origins = sb_alloc(most_origins, sizeof *walk.origins);
    if (walk.loads == NULL || walk.origins == NULL)
        goto out;

    add_start(&walk);
    for (size_t i = 0; i <= n_visits; i++) {
        sb_stop_trace *trace = traces != NULL ? &traces[i] : &walk.unasked;
        *trace = (sb_stop_trace){0};
        if (i == n_visits) {
            end_season(&walk, final_cleanout, trace);
            break;
        }
        sb_passage passage;
        sb_passage_of(season, machine, visits[i].field, &passage);
        clean(&walk, visits[i].cleanout, trace);
        enter(&walk, visits[i].field, trace);
        shed(&walk, visits[i].field, &passage, trace);
        add_origin(&walk, (size_t)visits[i].field, passage.taken_in);
    }
    status = SB_OK;
out:
    sb_free(walk.loads);
    sb_free(walk.origins);
    return status;
}
