/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/builtin.h"

#include <math.h>

#include "base/mem.h"

/* Season-wide defaults; their sources stand in builtin.h. */
#define DETOUR 1.3
#define WAGE_PER_HOUR 25.0
#define LOST_TIME_PER_HOUR 100.0

/* Calendar: assumed. The start is only used when no field states a `ready` date. */
#define START_DATE "2026-08-01"
#define HOURS_PER_DAY 10.0
#define DAY_STARTS_H 9.0 /* dew has to dry first */

bool sb_builtin_text(char **to, const char *text)
{
    *to = sb_strdup(text);
    return *to != NULL;
}

sb_status sb_setup_builtin(sb_setup *setup)
{
    *setup = (sb_setup){0};
    setup->calendar.hours_per_day = HOURS_PER_DAY;
    setup->calendar.day_starts_h = DAY_STARTS_H;
    setup->calendar.end_day = SB_NO_DAY;
    sb_date_parse(START_DATE, &setup->calendar.start_day);
    setup->detour = DETOUR;
    setup->wage_per_hour = WAGE_PER_HOUR;
    setup->lost_time_per_hour = LOST_TIME_PER_HOUR;
    setup->limits = (sb_limits){
        .full_cleanouts = INFINITY, .cleaning_cost = INFINITY, .loss_per_grower = INFINITY};

    sb_status status = SB_ERR_NOMEM;
    if (!sb_builtin_text(&setup->currency, "USD"))
        goto out;
    if ((status = sb_scale_builtin("density", &setup->scale)) != SB_OK)
        goto out;
    if ((status = sb_builtin_weeds(setup)) != SB_OK)
        goto out;
    if ((status = sb_builtin_crops(setup)) != SB_OK)
        goto out;
    if ((status = sb_builtin_machine(setup)) != SB_OK)
        goto out;
    status = sb_builtin_cleanouts(setup);
out:
    if (status != SB_OK)
        sb_setup_release(setup);
    return status;
}
