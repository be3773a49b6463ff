/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/asked.h"

#include <math.h>
#include <string.h>

#include "base/report.h"
#include "base/text.h"

sb_status sb_machine_meant(const sb_season *season, const char *id, const char *what,
                           sb_report *report, int *machine)
{
    const sb_setup *setup = &season->setup;
    *machine = 0;
    if (id == NULL && setup->n_machines == 1)
        return SB_OK;
    for (size_t m = 0; m < setup->n_machines && id != NULL; m++)
        if (strcmp(setup->machines[m].id, id) == 0) {
            *machine = (int)m;
            return SB_OK;
        }
    sb_text ids = {0};
    for (size_t m = 0; m < setup->n_machines; m++)
        sb_text_addf(&ids, "%s'%s'", m > 0 ? ", " : "", setup->machines[m].id);
    sb_status status =
        ids.failed ? SB_ERR_NOMEM
        : id == NULL
            ? sb_bad(report, setup->machines[1].file, setup->machines[1].line,
                     "%zu machines declared, expected one of %s to be named: %s for one machine "
                     "at a time",
                     setup->n_machines, sb_text_get(&ids), what)
            : sb_bad(report, NULL, 0, "no machine '%s' in the season, expected one of %s", id,
                     sb_text_get(&ids));
    sb_text_release(&ids);
    return status;
}

bool sb_order_options_good(const sb_season *season, const sb_order_options *options)
{
    return options != NULL && season->n_fields > 0 && season->n_fields <= INT16_MAX &&
           options->time_limit_s > 0 && options->spread_weight > 0 &&
           isfinite(options->spread_weight) && options->spend_limit >= 0 &&
           options->full_limit >= 0 && options->loss_per_grower >= 0;
}

sb_season sb_season_limited(const sb_season *season, const sb_order_options *options)
{
    sb_season limited = *season;
    sb_limits *limits = &limited.setup.limits;
    if (options->spend_limit < limits->cleaning_cost) {
        limits->cleaning_cost = options->spend_limit;
        limits->cleaning_cost_at = (sb_stated){0};
    }
    if (options->full_limit < limits->full_cleanouts) {
        limits->full_cleanouts = options->full_limit;
        limits->full_cleanouts_at = (sb_stated){0};
    }
    limits->loss_per_grower = INFINITY;
    limited.grower_most = NULL;
    return limited;
}

double sb_growers_limit(const sb_season *season, const sb_order_options *options)
{
    return fmin(season->setup.limits.loss_per_grower, options->loss_per_grower);
}

void sb_say_growers_unkept(const sb_season *season, const sb_order_options *options,
                           sb_report *report)
{
    if (options->least_worst || isfinite(sb_growers_limit(season, options)) ||
        season->grower_most != NULL)
        sb_say(report, SB_WARNING, NULL, 0,
               "the limit on the growers' losses (loss_per_grower) is not kept here: `order` alone "
               "does that, for the cheapest plan");
}
