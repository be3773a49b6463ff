/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "interrupt.h"

#include <signal.h>
#include <stdatomic.h>
#include <stddef.h>
#include <time.h>

/* What sends a signal may send it twice over: to the process and to its whole group. */
#define SAME_SIGNAL_MS 500

/* A signal handler has no other way to say something; lock-free, so they may be set from one. */
static atomic_bool caught;
static atomic_llong caught_ms;

static long long now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (long long)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void remember(int signal_number)
{
    if (!atomic_load(&caught)) {
        atomic_store(&caught_ms, now_ms());
        atomic_store(&caught, true);
    } else if (now_ms() - atomic_load(&caught_ms) > SAME_SIGNAL_MS) {
        signal(signal_number, SIG_DFL);
        raise(signal_number);
    }
}

void cli_interrupt_catch(void)
{
    struct sigaction action = {.sa_handler = remember, .sa_flags = SA_RESTART};
    sigemptyset(&action.sa_mask);
    sigaddset(&action.sa_mask, SIGINT);
    sigaddset(&action.sa_mask, SIGTERM);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
}

bool cli_interrupted(void)
{
    return atomic_load(&caught);
}
