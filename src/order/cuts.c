/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/cuts.h"

#include <string.h>

#include "base/mem.h"

/* An inequality must be broken by this much to be worth a row; far above the LP's own tolerance. */
#define WORTH 1e-3
#define NO_FLOW 1e-9

/* Residual network of one flow: arc 2k and its reverse 2k+1. */
typedef struct flow {
    int nodes;
    int *first, *depth, *queue, *cursor; /* nodes */
    int *next, *head;                    /* arcs */
    double *room;
    int arcs;
} flow;

static bool flow_init(flow *f, int nodes, int most_arcs)
{
    *f = (flow){.nodes = nodes};
    f->first = sb_alloc((size_t)nodes, sizeof *f->first);
    f->depth = sb_alloc((size_t)nodes, sizeof *f->depth);
    f->queue = sb_alloc((size_t)nodes, sizeof *f->queue);
    f->cursor = sb_alloc((size_t)nodes, sizeof *f->cursor);
    f->next = sb_alloc(2 * (size_t)most_arcs, sizeof *f->next);
    f->head = sb_alloc(2 * (size_t)most_arcs, sizeof *f->head);
    f->room = sb_alloc(2 * (size_t)most_arcs, sizeof *f->room);
    return f->first && f->depth && f->queue && f->cursor && f->next && f->head && f->room;
}

static void flow_release(flow *f)
{
    void *owned[] = {f->first, f->depth, f->queue, f->cursor, f->next, f->head, f->room};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
}

static void flow_add(flow *f, int from, int to, double room)
{
    for (int back = 0; back < 2; back++) {
        int at = f->arcs++, tail = back ? to : from;
        f->head[at] = back ? from : to;
        f->room[at] = back ? 0 : room;
        f->next[at] = f->first[tail];
        f->first[tail] = at;
    }
}

/* Depths of the nodes that source still reaches (-1: not); true when sink is among them. */
static bool flow_reach(flow *f, int source, int sink)
{
    for (int i = 0; i < f->nodes; i++)
        f->depth[i] = -1;
    int begin = 0, end = 0;
    f->queue[end++] = source;
    f->depth[source] = 0;
    while (begin < end) {
        int node = f->queue[begin++];
        for (int a = f->first[node]; a >= 0; a = f->next[a])
            if (f->room[a] > NO_FLOW && f->depth[f->head[a]] < 0) {
                f->depth[f->head[a]] = f->depth[node] + 1;
                f->queue[end++] = f->head[a];
            }
    }
    return f->depth[sink] >= 0;
}

static double flow_push(flow *f, int node, int sink, double most)
{
    if (node == sink)
        return most;
    double pushed = 0;
    for (int *a = &f->cursor[node]; *a >= 0; *a = f->next[*a]) {
        int head = f->head[*a];
        if (f->room[*a] <= NO_FLOW || f->depth[head] != f->depth[node] + 1)
            continue;
        double want = most - pushed < f->room[*a] ? most - pushed : f->room[*a];
        double got = flow_push(f, head, sink, want);
        f->room[*a] -= got;
        f->room[*a ^ 1] += got;
        pushed += got;
        if (pushed >= most - NO_FLOW)
            break;
    }
    return pushed;
}

/* Flow from source to sink, at most 1 (Dinic). Leaves depth >= 0 on the source's side of a
 * smallest cut when less than 1 gets through. */
static double flow_run(flow *f, int source, int sink)
{
    double total = 0;
    while (total < 1 - NO_FLOW && flow_reach(f, source, sink)) {
        memcpy(f->cursor, f->first, (size_t)f->nodes * sizeof *f->cursor);
        double more = flow_push(f, source, sink, 1 - total);
        if (more <= NO_FLOW)
            break;
        total += more;
    }
    return total;
}

typedef struct finder {
    const sb_problem *p;
    const sb_support *support;
    sb_cut_pool *pool;
    flow f;
    int words;
    uint64_t *nobody; /* words of a field set: no fields */
} finder;

/* Loads the support without the banned fields and without arcs into `closed_head` or out of
 * `closed_tail` (-1: none): the yard is where a tour begins and where it ends, never a way through.
 */
static void load_flow(finder *s, const uint64_t *banned, int closed_head, int closed_tail)
{
    s->f.arcs = 0;
    for (int i = 0; i < s->f.nodes; i++)
        s->f.first[i] = -1;
    for (int a = 0; a < s->support->count; a++) {
        int from = s->support->from[a], to = s->support->to[a];
        if (to == closed_head || from == closed_tail || (from < s->p->n && sb_has(banned, from)) ||
            (to < s->p->n && sb_has(banned, to)))
            continue;
        flow_add(&s->f, from, to, s->support->value[a]);
    }
}

static bool set_empty(const uint64_t *set, int words)
{
    for (int w = 0; w < words; w++)
        if (set[w])
            return false;
    return true;
}

/* Makes a cut of the source's side of the last flow. */
static sb_status add_cut(finder *s, const uint64_t *banned, bool plain, bool ends_in_yard)
{
    const sb_problem *p = s->p;
    sb_cut cut = {.from = sb_alloc((size_t)s->words, sizeof *cut.from),
                  .to = sb_alloc((size_t)s->words, sizeof *cut.to)};
    if (cut.from == NULL || cut.to == NULL)
        goto fail;
    int reached = 0;
    for (int i = 0; i <= p->n; i++)
        reached += s->f.depth[i] >= 0;
    /* Connectivity reads the same on both sides; the smaller one makes the shorter row. */
    bool use_far_side = plain && reached * 2 > p->n + 1;
    for (int i = 0; i <= p->n; i++) {
        bool near = s->f.depth[i] >= 0;
        if (plain) {
            if (near != use_far_side) {
                sb_include(cut.from, i);
                sb_include(cut.to, i);
                cut.size++;
            }
        } else if (near) {
            sb_include(cut.from, i);
        } else if (i == p->n ? ends_in_yard : !sb_has(banned, i)) {
            sb_include(cut.to, i);
        }
    }
    cut.inside = plain;
    if (plain && cut.size < 2) { /* a degree row already says so */
        sb_free(cut.from);
        sb_free(cut.to);
        return SB_OK;
    }
    if (SB_PUSH(s->pool, cut))
        return SB_OK;
fail:
    sb_free(cut.from);
    sb_free(cut.to);
    return SB_ERR_NOMEM;
}

/* An inside cut of the nodes marked with this component, or of the others if they are fewer. */
static sb_status add_component(finder *s, const int *component, int which)
{
    for (int i = 0; i <= s->p->n; i++)
        s->f.depth[i] = component[i] == which ? 0 : -1;
    return add_cut(s, s->nobody, true, false);
}

/* When the support falls apart, every piece is a cut: many at once, and no flow is needed.
 * @param apart [out] did it? */
static sb_status cut_components(finder *s, int *component, bool *apart)
{
    int nodes = s->p->n + 1;
    for (int i = 0; i < nodes; i++)
        component[i] = i;
    for (bool changed = true; changed;) {
        changed = false;
        for (int a = 0; a < s->support->count; a++) {
            int *from = &component[s->support->from[a]], *to = &component[s->support->to[a]];
            if (*from != *to) {
                *from = *to = *from < *to ? *from : *to;
                changed = true;
            }
        }
    }
    int pieces = 0;
    for (int i = 0; i < nodes; i++)
        pieces += component[i] == i;
    *apart = pieces > 1;
    sb_status status = SB_OK;
    /* Two pieces are one cut seen from either side. */
    for (int i = pieces == 2 ? 1 : 0; i < nodes && *apart && status == SB_OK; i++)
        if (component[i] == i)
            status = add_component(s, component, i);
    return status;
}

sb_status sb_cuts_find(const sb_problem *p, const sb_support *support, int most, sb_cut_pool *pool)
{
    finder s = {.p = p, .support = support, .pool = pool, .words = sb_cut_words(p)};
    sb_status status = SB_ERR_NOMEM;
    size_t goal = pool->count + (size_t)most;
    bool *done = sb_alloc((size_t)p->n, sizeof *done), apart = false;
    int *component = sb_alloc((size_t)p->n + 1, sizeof *component);
    s.nobody = sb_alloc((size_t)p->words, sizeof *s.nobody);
    if (!flow_init(&s.f, p->n + 1, support->count + 1) || done == NULL || component == NULL ||
        s.nobody == NULL)
        goto out;
    status = cut_components(&s, component, &apart);
    for (int j = 0; j < p->n && !apart && pool->count < goal && status == SB_OK; j++) {
        /* Can j be reached from the yard at all? */
        if (!done[j]) {
            load_flow(&s, s.nobody, p->n, -1);
            if (flow_run(&s.f, p->n, j) < 1 - WORTH) {
                status = add_cut(&s, s.nobody, true, false);
                for (int i = 0; i < p->n; i++)
                    done[i] |= s.f.depth[i] < 0;
                continue;
            }
        }
        const uint64_t *behind = p->behind + (size_t)j * (size_t)p->words;
        const uint64_t *before = p->before + (size_t)j * (size_t)p->words;
        /* ... without passing a field that must come after it? */
        if (!set_empty(behind, p->words)) {
            load_flow(&s, behind, p->n, -1);
            if (flow_run(&s.f, p->n, j) < 1 - WORTH)
                status = add_cut(&s, behind, false, false);
        }
        /* And home from j without passing one that must come before it? */
        if (status == SB_OK && !set_empty(before, p->words)) {
            load_flow(&s, before, -1, p->n);
            if (flow_run(&s.f, j, p->n) < 1 - WORTH)
                status = add_cut(&s, before, false, true);
        }
    }
out:
    flow_release(&s.f);
    sb_free(done);
    sb_free(component);
    sb_free(s.nobody);
    return status;
}

void sb_cut_pool_release(sb_cut_pool *pool)
{
    for (size_t i = 0; i < pool->count; i++) {
        sb_free(pool->items[i].from);
        sb_free(pool->items[i].to);
    }
    sb_free(pool->items);
    *pool = (sb_cut_pool){0};
}
