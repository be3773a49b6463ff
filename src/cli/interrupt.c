/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "interrupt.h"

#include <signal.h>
#include <stdatomic.h>
#include <stddef.h>

/* A signal handler has no other way to say something; lock-free, so it may be set from one. */
static atomic_bool caught;

static void remember(int signal_number)
{
    (void)signal_number;
    atomic_store(&caught, true);
}

void cli_interrupt_catch(void)
{
    struct sigaction action = {.sa_handler = remember, .sa_flags = (int)SA_RESETHAND | SA_RESTART};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
}

bool cli_interrupted(void)
{
    return atomic_load(&caught);
}
