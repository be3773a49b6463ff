/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sweep.h"

#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define K_A_WORK 40 /* keeps all works together within seconds */

static bool every_allocation(void)
{
    const char *wish = getenv("SEEDBREAK_EVERY_ALLOCATION");
    return wish != NULL && strcmp(wish, "1") == 0;
}

/* What does not hold is told with its k, so that it can be found again. */
#define EXPECT(what, k)                                                                          \
    do {                                                                                         \
        if (!(what))                                                                             \
            fail_msg("%s, allocation %ld, %s: not so: %s", job->name, k, sb_status_text(status), \
                     #what);                                                                     \
    } while (0)

static sb_status run_short(const work *job, const shortage *memory, long spare)
{
    work_reset();
    memory->begin(spare);
    sb_status status = work_run(job);
    memory->end();
    return status;
}

/* True when running again leaves more behind again: what comes once only, a library keeps. */
static bool leaks(const work *job, const shortage *memory, long spare)
{
    long live = memory->live();
    run_short(job, memory, spare);
    return memory->live() != live;
}

void sweep(const work *job, const shortage *memory)
{
    /* The first run makes what libraries keep for good; the second is the one to compare with. */
    sb_status status = work_run(job);
    assert_int_equal(status, job->well_fed);
    work_reset();
    long live = memory->live();
    memory->begin(LONG_MAX);
    status = work_run(job);
    long calls = memory->end();
    EXPECT(status == job->well_fed, calls);
    EXPECT(memory->live() == live, calls);
    uint64_t digest = work_digest();

    long stride = every_allocation() ? 1 : calls / K_A_WORK + 1, failed = 0;
    for (long k = 0; k < calls; k += stride) {
        status = run_short(job, memory, k);
        if (memory->live() != live) {
            EXPECT(!leaks(job, memory, k), k);
            live = memory->live();
        }
        if (status == SB_ERR_NOMEM) {
            EXPECT(work_kept_old_plan(), k);
            failed++;
        } else {
            EXPECT(status == job->well_fed, k);
            EXPECT(work_digest() == digest, k);
        }
    }
    print_message("%s: %ld allocations, stride %ld, %ld runs out of memory\n", job->name, calls,
                  stride, failed);
    EXPECT(failed > 0, calls);
}
