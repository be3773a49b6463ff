/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include "order/parallel.h"

#include <pthread.h>
#include <time.h>
#include <unistd.h>

#include "base/mem.h"

#define MOST_THREADS 64

typedef struct worker {
    sb_crew *crew;
    int number;
    pthread_t thread;
} worker;

struct sb_crew {
    bool (*stop)(void *context);
    void *stop_context;
    double limit_s;
    struct timespec begin;
    atomic_bool stopped;

    int size;
    worker *workers; /* 1 .. size-1; the caller is worker 0 */
    int started;
    pthread_mutex_t lock;
    pthread_cond_t work_waits, work_done;
    long round; /* grows with every share; guarded by lock, like the rest */
    int busy;
    bool closing;
    void (*piece)(void *context, int i, int worker);
    void *context;
    int n;
    atomic_int next;
};

static void take_pieces(sb_crew *crew, int number)
{
    for (;;) {
        int i = atomic_fetch_add(&crew->next, 1);
        if (i >= crew->n)
            return;
        crew->piece(crew->context, i, number);
    }
}

static void *work(void *argument)
{
    worker *self = argument;
    sb_crew *crew = self->crew;
    long seen = 0;
    pthread_mutex_lock(&crew->lock);
    for (;;) {
        while (crew->round == seen && !crew->closing)
            pthread_cond_wait(&crew->work_waits, &crew->lock);
        if (crew->closing)
            break;
        seen = crew->round;
        pthread_mutex_unlock(&crew->lock);
        take_pieces(crew, self->number);
        pthread_mutex_lock(&crew->lock);
        if (--crew->busy == 0)
            pthread_cond_signal(&crew->work_done);
    }
    pthread_mutex_unlock(&crew->lock);
    return NULL;
}

void sb_crew_free(sb_crew *crew)
{
    if (crew == NULL)
        return;
    pthread_mutex_lock(&crew->lock);
    crew->closing = true;
    pthread_cond_broadcast(&crew->work_waits);
    pthread_mutex_unlock(&crew->lock);
    for (int i = 0; i < crew->started; i++)
        pthread_join(crew->workers[i].thread, NULL);
    pthread_mutex_destroy(&crew->lock);
    pthread_cond_destroy(&crew->work_waits);
    pthread_cond_destroy(&crew->work_done);
    sb_free(crew->workers);
    sb_free(crew);
}

sb_status sb_crew_new(const sb_order_options *options, sb_crew **out)
{
    *out = NULL;
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    int size = options->threads > 0 ? options->threads : cores > 0 ? (int)cores : 1;
    if (size > MOST_THREADS)
        size = MOST_THREADS;
    sb_crew *crew = sb_alloc(1, sizeof *crew);
    if (crew == NULL)
        return SB_ERR_NOMEM;
    pthread_mutex_init(&crew->lock, NULL);
    pthread_cond_init(&crew->work_waits, NULL);
    pthread_cond_init(&crew->work_done, NULL);
    crew->stop = options->stop;
    crew->stop_context = options->context;
    crew->limit_s = options->time_limit_s;
    clock_gettime(CLOCK_MONOTONIC, &crew->begin);
    crew->workers = sb_alloc((size_t)size, sizeof *crew->workers);
    if (crew->workers == NULL) {
        sb_crew_free(crew);
        return SB_ERR_NOMEM;
    }
    for (int i = 0; i + 1 < size; i++) {
        crew->workers[i] = (worker){.crew = crew, .number = i + 1};
        if (pthread_create(&crew->workers[i].thread, NULL, work, &crew->workers[i]) != 0)
            break; /* fewer hands, same answer */
        crew->started++;
    }
    crew->size = crew->started + 1;
    *out = crew;
    return SB_OK;
}

int sb_crew_size(const sb_crew *crew)
{
    return crew->size;
}

void sb_crew_share(sb_crew *crew, int n, void (*piece)(void *context, int i, int worker),
                   void *context)
{
    pthread_mutex_lock(&crew->lock);
    crew->piece = piece;
    crew->context = context;
    crew->n = n;
    atomic_store(&crew->next, 0);
    crew->busy = crew->started;
    crew->round++;
    pthread_cond_broadcast(&crew->work_waits);
    pthread_mutex_unlock(&crew->lock);
    take_pieces(crew, 0);
    pthread_mutex_lock(&crew->lock);
    while (crew->busy > 0)
        pthread_cond_wait(&crew->work_done, &crew->lock);
    pthread_mutex_unlock(&crew->lock);
}

double sb_crew_elapsed_s(const sb_crew *crew)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - crew->begin.tv_sec) +
           1e-9 * (double)(now.tv_nsec - crew->begin.tv_nsec);
}

double sb_crew_limit_s(const sb_crew *crew)
{
    return crew->limit_s;
}

bool sb_crew_stopped(sb_crew *crew)
{
    if (atomic_load_explicit(&crew->stopped, memory_order_relaxed))
        return true;
    if ((crew->stop != NULL && crew->stop(crew->stop_context)) ||
        sb_crew_elapsed_s(crew) >= crew->limit_s) {
        atomic_store(&crew->stopped, true);
        return true;
    }
    return false;
}
