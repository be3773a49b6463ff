/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/asked.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "base/text.h"
#include "season/named.h"

sb_status sb_machine_meant(const sb_season *season, const char *id, const char *what,
                           sb_report *report, int *machine)
{
    const sb_setup *setup = &season->setup;
    *machine = 0;
    if (id == NULL && setup->n_machines == 1)
        return SB_OK;
    if (id != NULL)
        return sb_machine_named(season, id, NULL, report, machine);
    sb_text ids = {0};
    sb_add_machine_names(season, &ids);
    sb_status status =
        ids.failed ? SB_ERR_NOMEM
                   : sb_bad(report, setup->machines[1].file, setup->machines[1].line,
                            "%zu machines declared, expected one of %s to be named: %s for one "
                            "machine at a time",
                            setup->n_machines, sb_text_get(&ids), what);
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
    if (options->loss_per_grower < limits->loss_per_grower)
        limits->loss_per_grower_at = (sb_stated){0};
    limits->loss_per_grower = INFINITY;
    limited.grower_most = NULL;
    return limited;
}

double sb_growers_limit(const sb_season *season, const sb_order_options *options)
{
    return fmin(season->setup.limits.loss_per_grower, options->loss_per_grower);
}

bool sb_growers_named(const sb_season *season, const sb_order_options *options)
{
    return season->grower_most != NULL || options->n_grower_limits > 0;
}

static const char *grower_at(const void *growers, size_t i)
{
    return ((char *const *)growers)[i];
}

static sb_status take_grower_limit(const sb_season *season, const sb_grower_limit *limit,
                                   sb_report *report, double *most)
{
    bool found = false;
    for (size_t g = 0; g < season->n_growers; g++)
        if (strcmp(season->growers[g], limit->grower) == 0) {
            most[g] = fmin(most[g], limit->loss);
            found = true;
        }
    if (found)
        return SB_OK;
    sb_text near = {0};
    sb_text_add_near(&near, limit->grower, grower_at, season->growers, season->n_growers);
    sb_status status =
        sb_bad(report, NULL, 0,
               "grower '%s' may lose at most %g %s, but no field has that grower; "
               "expected the name of one%s",
               limit->grower, limit->loss, season->setup.currency, sb_text_get(&near));
    sb_text_release(&near);
    return status;
}

sb_status sb_growers_most(const sb_season *season, const sb_order_options *options,
                          sb_report *report, double **most)
{
    sb_status status = SB_OK;
    *most = NULL;
    if (!sb_growers_named(season, options))
        return SB_OK;
    if ((*most = sb_alloc(season->n_growers + 1, sizeof **most)) == NULL)
        return SB_ERR_NOMEM;
    for (size_t g = 0; g < season->n_growers; g++)
        (*most)[g] = season->grower_most != NULL ? season->grower_most[g] : INFINITY;
    for (size_t i = 0; i < options->n_grower_limits && status == SB_OK; i++)
        status = take_grower_limit(season, &options->grower_limits[i], report, *most);
    return status;
}

sb_order_options sb_options_without_growers(const sb_order_options *options)
{
    sb_order_options without = *options;
    without.loss_per_grower = INFINITY;
    without.n_grower_limits = 0;
    without.least_worst = false;
    return without;
}

void sb_say_growers_unkept(const sb_season *season, const sb_order_options *options,
                           sb_report *report)
{
    if (options->least_worst || isfinite(sb_growers_limit(season, options)) ||
        sb_growers_named(season, options))
        sb_say(report, SB_WARNING, NULL, 0,
               "the limit on the growers' losses (loss_per_grower) is not kept here: `order` alone "
               "does that, for the cheapest plan");
}
