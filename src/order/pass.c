/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/pass.h"

#include <string.h>

#include "base/mem.h"

/* Pieces of work ask whether to stop after so many candidates. */
#define STOP_CHECK 4096
/* Early sieving: whenever so many more candidates are waiting than are kept. */
#define SIFT_AT 64

sb_label_worker *sb_label_workers_new(const sb_problem *p, const sb_crew *crew)
{
    sb_label_worker *workers = sb_alloc((size_t)sb_crew_size(crew), sizeof *workers);
    for (int i = 0; workers != NULL && i < sb_crew_size(crew); i++) {
        workers[i].load = sb_alloc_aligned((size_t)p->dims, sizeof *workers[i].load);
        workers[i].set = sb_alloc((size_t)p->words, sizeof *workers[i].set);
        if (workers[i].load == NULL || workers[i].set == NULL) {
            sb_label_workers_free(workers, crew);
            return NULL;
        }
    }
    return workers;
}

void sb_label_workers_free(sb_label_worker *workers, const sb_crew *crew)
{
    for (int i = 0; workers != NULL && i < sb_crew_size(crew); i++) {
        sb_bucket_release(&workers[i].candidates);
        sb_sieve_room_release(&workers[i].room);
        sb_free(workers[i].load);
        sb_free(workers[i].set);
    }
    sb_free(workers);
}

void sb_pass_fail(sb_pass_run *run, sb_pass_end end)
{
    int done = SB_PASS_DONE;
    atomic_compare_exchange_strong(&run->end, &done, (int)end);
}

bool sb_pass_is_over(sb_pass_run *run)
{
    if (sb_crew_stopped(run->crew))
        sb_pass_fail(run, SB_PASS_STOPPED);
    return atomic_load(&run->end) != SB_PASS_DONE;
}

void sb_pass_share(sb_pass_run *run, int worth_sharing,
                   void (*piece)(void *context, int field, int worker), void *context)
{
    int n = run->p->n;
    if (sb_crew_stopped(run->crew))
        sb_pass_fail(run, SB_PASS_STOPPED);
    else if (n >= worth_sharing)
        sb_crew_share(run->crew, n, piece, context);
    else
        for (int j = 0; j < n; j++)
            piece(context, j, 0);
}

sb_pass_end sb_pass_finish(const sb_pass_run *run, long *labels)
{
    sb_pass_end end = (sb_pass_end)atomic_load(&run->end);
    *labels += end == SB_PASS_CAPPED ? run->most_labels : atomic_load(&run->made);
    return end;
}

sb_sieve sb_pass_sieve(const sb_problem *p, bool exact, bool forward, const double *high,
                       const double *low)
{
    sb_sieve sieve = {
        .dims = p->dims,
        .words = p->words,
        .high = high,
        .low = low,
        .limited = exact && forward && p->n_limits > 0 ? p->limited : NULL,
        .same_set = exact,
    };
    memcpy(sieve.counted, p->counted, sizeof sieve.counted);
    return sieve;
}

void sb_pass_open(sb_label_worker *worker, sb_bucket *bucket, const sb_sieve *sieve)
{
    sb_bucket_clear(&worker->candidates);
    sb_bucket_clear(bucket);
    worker->kept = bucket;
    worker->sieve = *sieve;
}

bool sb_pass_sift(sb_pass_run *run, sb_label_worker *worker)
{
    const sb_problem *p = run->p;
    sb_bucket *kept = worker->kept;
    bool room = true;
    for (int k = 0; k < kept->count && room; k++)
        room =
            sb_bucket_push(&worker->candidates, p->dims, p->words, &kept->labels[k],
                           kept->loads + (size_t)k * (size_t)p->dims, sb_set_of(p, kept->sets, k));
    if (!room || !sb_sieve_labels(&worker->sieve, &worker->candidates, kept, &worker->room)) {
        sb_pass_fail(run, SB_PASS_NOMEM);
        return false;
    }
    sb_bucket_clear(&worker->candidates);
    return true;
}

bool sb_pass_take(sb_pass_run *run, sb_label_worker *worker, const sb_label *label)
{
    const sb_problem *p = run->p;
    sb_bucket *candidates = &worker->candidates;
    bool early = run->sift_early && !worker->sieve.same_set;
    if (early && worker->kept->count > 0 &&
        sb_sieve_refuses(&worker->sieve, worker->kept, label, worker->load, worker->set))
        return true;
    if (!sb_bucket_push(candidates, p->dims, p->words, label, worker->load, worker->set))
        sb_pass_fail(run, SB_PASS_NOMEM);
    else if (early && candidates->count >= SIFT_AT + worker->kept->count)
        sb_pass_sift(run, worker);
    if (candidates->count % STOP_CHECK != 0)
        return true;
    if (candidates->count > run->most_labels)
        sb_pass_fail(run, SB_PASS_CAPPED);
    return !sb_pass_is_over(run);
}

void sb_pass_count(sb_pass_run *run, const sb_bucket *bucket)
{
    if (atomic_fetch_add(&run->made, bucket->count) + bucket->count > run->most_labels)
        sb_pass_fail(run, SB_PASS_CAPPED);
}

bool sb_remember_cycles(const sb_problem *p, uint64_t *memory, const int *field, int stops,
                        int most, int longest)
{
    bool grown = false;
    for (int a = 0; a < stops; a++)
        for (int b = a + 1; b < stops && b - a <= longest; b++) {
            if (field[a] != field[b])
                continue;
            bool room = true;
            for (int t = a + 1; t < b; t++)
                room &= sb_set_size(sb_set_of(p, memory, field[t]), p->words) < most;
            for (int t = a + 1; t < b && room; t++)
                sb_include(sb_set_of(p, memory, field[t]), field[a]);
            grown |= room;
            break;
        }
    return grown;
}
