/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/tour_search.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/random.h"

#define NEAR 12  /* neighbours looked at on each side */
#define STARTS 4 /* independent runs, ties to the earliest */
#define SHAKES_PER_NODE 150
#define SHAKE_WINDOW 50 /* the three cuts of a shake lie within so many places */
#define WORTH 1e-9      /* a gain below this share of the mean arc is rounding */

typedef struct tour {
    int m;               /* nodes: fields and the yard */
    const double *cost;  /* m x m, finite */
    const int *near_out; /* m x NEAR: cheapest arcs out of a node */
    const int *near_in;  /* m x NEAR */
    int n_near;
    int *node, *place; /* m: the tour, and where each node stands in it */
    int *scratch;      /* m */
    int *queue;        /* m: nodes whose neighbourhood changed */
    bool *queued;      /* m */
    int n_queued;
    double worth;
} tour;

static double arc(const tour *t, int from, int to)
{
    return t->cost[(size_t)from * (size_t)t->m + (size_t)to];
}

static int after(const tour *t, int node)
{
    int place = t->place[node] + 1;
    return t->node[place == t->m ? 0 : place];
}

static int before(const tour *t, int node)
{
    int place = t->place[node];
    return t->node[place == 0 ? t->m - 1 : place - 1];
}

/* How far along the tour a node stands from another. */
static int offset(const tour *t, int from, int node)
{
    int d = t->place[node] - t->place[from];
    return d < 0 ? d + t->m : d;
}

static void look_again(tour *t, int node)
{
    if (!t->queued[node]) {
        t->queued[node] = true;
        t->queue[t->n_queued++] = node;
    }
}

/* a1 -> [b .. c] -> [d .. e] -> f becomes a1 -> [d .. e] -> [b .. c] -> f. */
static void exchange(tour *t, int b, int d, int e)
{
    int first = offset(t, b, d), both = offset(t, b, e) + 1, begin = t->place[b];
    for (int k = 0; k < both; k++)
        t->scratch[k] =
            t->node[(begin + (k < both - first ? first + k : k - (both - first))) % t->m];
    for (int k = 0; k < both; k++) {
        int place = (begin + k) % t->m;
        t->node[place] = t->scratch[k];
        t->place[t->scratch[k]] = place;
    }
}

/* Looks for an exchange that begins behind node a and pays; makes it. */
static bool improve_at(tour *t, int a)
{
    int b = after(t, a);
    double out = arc(t, a, b);
    for (int x = 0; x < t->n_near; x++) {
        int d = t->near_out[a * NEAR + x];
        double gain_d = out - arc(t, a, d);
        if (gain_d <= t->worth)
            return false;
        if (d == b)
            continue;
        int c = before(t, d);
        double gain_c = gain_d + arc(t, c, d);
        for (int y = 0; y < t->n_near; y++) {
            int e = t->near_in[b * NEAR + y];
            double gain_e = gain_c - arc(t, e, b);
            if (gain_e <= t->worth)
                break;
            if (e == a || offset(t, b, e) < offset(t, b, d))
                continue;
            int f = after(t, e);
            if (gain_e + arc(t, e, f) - arc(t, c, f) <= t->worth)
                continue;
            exchange(t, b, d, e);
            int ends[6] = {a, b, c, d, e, f};
            for (int k = 0; k < 6; k++)
                look_again(t, ends[k]);
            return true;
        }
    }
    return false;
}

static void improve(tour *t)
{
    while (t->n_queued > 0) {
        int a = t->queue[--t->n_queued];
        t->queued[a] = false;
        while (improve_at(t, a))
            continue;
    }
}

static double tour_cost(const tour *t)
{
    double sum = 0;
    for (int k = 0; k < t->m; k++)
        sum += arc(t, t->node[k], t->node[k + 1 == t->m ? 0 : k + 1]);
    return sum;
}

/* Exchanges two random stretches that lie close together. */
static void shake(tour *t, sb_random *random)
{
    int window = t->m - 1 < SHAKE_WINDOW ? t->m - 1 : SHAKE_WINDOW;
    int cut[3];
    int begin = sb_random_below(random, t->m);
    do
        for (int k = 0; k < 3; k++)
            cut[k] = 1 + sb_random_below(random, window);
    while (cut[0] >= cut[1] || cut[1] >= cut[2]);
    int b = t->node[(begin + cut[0]) % t->m], d = t->node[(begin + cut[1]) % t->m];
    int e = t->node[(begin + cut[2] - 1) % t->m];
    int ends[6] = {before(t, b), b, before(t, d), d, e, after(t, e)};
    exchange(t, b, d, e);
    for (int k = 0; k < 6; k++)
        look_again(t, ends[k]);
}

typedef struct hunt {
    const sb_problem *p;
    sb_crew *crew;
    const tour *shared;
    const int *start; /* m: the tour to begin from */
    uint64_t seed;
    int *node;    /* STARTS x m */
    double *cost; /* STARTS */
    atomic_bool out_of_memory;
} hunt;

static void run_start(void *context, int start, int worker)
{
    (void)worker;
    hunt *h = context;
    tour t = *h->shared;
    size_t m = (size_t)t.m;
    int *kept = &h->node[(size_t)start * m];
    t.node = sb_alloc(m, sizeof *t.node);
    t.place = sb_alloc(m, sizeof *t.place);
    t.scratch = sb_alloc(m, sizeof *t.scratch);
    t.queue = sb_alloc(m, sizeof *t.queue);
    t.queued = sb_alloc(m, sizeof *t.queued);
    if (!t.node || !t.place || !t.scratch || !t.queue || !t.queued) {
        atomic_store(&h->out_of_memory, true);
        goto out;
    }
    sb_random random = sb_random_init(h->seed, (uint64_t)start + 500);
    memcpy(t.node, h->start, m * sizeof *t.node);
    for (int k = 0; k < t.m; k++) {
        t.place[t.node[k]] = k;
        look_again(&t, k);
    }
    improve(&t);
    h->cost[start] = tour_cost(&t);
    memcpy(kept, t.node, m * sizeof *kept);
    for (long round = 0; round < (long)SHAKES_PER_NODE * t.m && t.m >= 5; round++) {
        if (round % 64 == 0 && sb_crew_stopped(h->crew))
            break;
        shake(&t, &random);
        improve(&t);
        double cost = tour_cost(&t);
        if (cost <= h->cost[start]) {
            h->cost[start] = cost;
            memcpy(kept, t.node, m * sizeof *kept);
        } else {
            memcpy(t.node, kept, m * sizeof *t.node);
            for (int k = 0; k < t.m; k++)
                t.place[t.node[k]] = k;
        }
    }
out:
    sb_free(t.node);
    sb_free(t.place);
    sb_free(t.scratch);
    sb_free(t.queue);
    sb_free(t.queued);
}

/* The cheapest NEAR arcs out of (or into) every node, cheapest first. */
static void list_near(const tour *t, bool out, int *near)
{
    for (int i = 0; i < t->m; i++) {
        int *list = &near[i * NEAR], count = 0;
        double listed[NEAR];
        for (int j = 0; j < t->m; j++) {
            double cost = out ? arc(t, i, j) : arc(t, j, i);
            if (j == i || (count == t->n_near && cost >= listed[count - 1]))
                continue;
            int k = count < t->n_near ? count++ : count - 1;
            for (; k > 0 && listed[k - 1] > cost; k--) {
                list[k] = list[k - 1];
                listed[k] = listed[k - 1];
            }
            list[k] = j;
            listed[k] = cost;
        }
    }
}

sb_status sb_tour_search(const sb_problem *p, sb_crew *crew, const double *arc_cost, uint64_t seed,
                         int *field, double *cost)
{
    int m = p->n + 1;
    size_t nodes = (size_t)m;
    tour t = {.m = m, .n_near = m - 1 < NEAR ? m - 1 : NEAR};
    hunt h = {.p = p, .crew = crew, .shared = &t, .seed = seed};
    sb_status status = SB_ERR_NOMEM;
    double *finite = sb_alloc(nodes * nodes, sizeof *finite);
    int *near_out = sb_alloc(nodes * NEAR, sizeof *near_out);
    int *near_in = sb_alloc(nodes * NEAR, sizeof *near_in);
    int *start = sb_alloc(nodes, sizeof *start);
    h.node = sb_alloc(STARTS * nodes, sizeof *h.node);
    h.cost = sb_alloc(STARTS, sizeof *h.cost);
    if (!finite || !near_out || !near_in || !start || !h.node || !h.cost)
        goto out;
    double largest = 0, sum = 0;
    for (size_t a = 0; a < nodes * nodes; a++)
        if (isfinite(arc_cost[a])) {
            largest = fmax(largest, arc_cost[a]);
            sum += arc_cost[a];
        }
    /* A missing way costs more than any whole tour of ways that exist. */
    for (size_t a = 0; a < nodes * nodes; a++)
        finite[a] = isfinite(arc_cost[a]) ? arc_cost[a] : (largest + 1) * (m + 1);
    t.cost = finite;
    t.worth = WORTH * (1 + sum / (double)(nodes * nodes));
    list_near(&t, true, near_out);
    list_near(&t, false, near_in);
    t.near_out = near_out;
    t.near_in = near_in;
    start[0] = p->n;
    memcpy(start + 1, field, (size_t)p->n * sizeof *start);
    h.start = start;
    sb_crew_share(crew, STARTS, run_start, &h);
    if (atomic_load(&h.out_of_memory))
        goto out;
    status = SB_OK;
    for (int s = 0; s < STARTS; s++)
        if (h.cost[s] < *cost - t.worth) {
            *cost = h.cost[s];
            const int *node = h.node + (size_t)s * nodes;
            int yard = 0;
            while (node[yard] != p->n)
                yard++;
            for (int k = 0; k < p->n; k++)
                field[k] = node[(yard + 1 + k) % m];
        }
out:
    sb_free(finite);
    sb_free(near_out);
    sb_free(near_in);
    sb_free(start);
    sb_free(h.node);
    sb_free(h.cost);
    return status;
}
