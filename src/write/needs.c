/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/needs.h"

#include <string.h>

#include "base/mem.h"
#include "write/page.h"

static bool same(const sb_need *a, const sb_need *b)
{
    bool same_unit =
        a->unit == NULL || b->unit == NULL ? a->unit == b->unit : strcmp(a->unit, b->unit) == 0;
    return same_unit && strcmp(a->name, b->name) == 0;
}

static sb_status add_supply(sb_needs *needs, const sb_need *more)
{
    for (size_t i = 0; i < needs->n_supplies; i++)
        if (same(&needs->supplies[i], more)) {
            needs->supplies[i].amount += more->amount;
            return SB_OK;
        }
    void *grown = sb_resize(needs->supplies, needs->n_supplies + 1, sizeof *needs->supplies);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    needs->supplies = grown;
    size_t at = needs->n_supplies++;
    for (; more->unit != NULL && at > 0 && needs->supplies[at - 1].unit == NULL; at--)
        needs->supplies[at] = needs->supplies[at - 1];
    needs->supplies[at] = *more;
    return SB_OK;
}

static bool has_words(const sb_cleanout *cleanout)
{
    return cleanout->supplies != NULL && cleanout->supplies[0] != '\0';
}

sb_status sb_needs_add(sb_needs *needs, const sb_cleanout *cleanout, double times)
{
    sb_status status = SB_OK;
    if (times == 0)
        return SB_OK;
    needs->times += times;
    needs->minutes += times * cleanout->minutes;
    needs->person_minutes += times * cleanout->minutes * cleanout->people;
    needs->money += times * cleanout->supplies_cost;
    for (size_t i = 0; status == SB_OK && i < cleanout->n_counted; i++) {
        const sb_supply *supply = &cleanout->counted[i];
        status = add_supply(needs, &(sb_need){supply->name, supply->unit, times * supply->amount});
    }
    if (status == SB_OK && has_words(cleanout))
        status = add_supply(needs, &(sb_need){cleanout->supplies, NULL, times});
    return status;
}

static double times_done(const sb_route *routes, size_t n_routes, int level)
{
    double times = 0;
    for (size_t r = 0; r < n_routes; r++)
        for (size_t i = 0; i <= routes[r].n_stops; i++)
            times += sb_page_level(&routes[r], i) == level;
    return times;
}

sb_status sb_needs_of_routes(sb_needs *needs, const sb_season *season, const sb_route *routes,
                             size_t n_routes, int level)
{
    sb_status status = SB_OK;
    int first = level > 0 ? level : 1;
    int last = level > 0 ? level : (int)season->setup.n_cleanouts - 1;
    for (int l = first; status == SB_OK && l <= last; l++)
        status = sb_needs_add(needs, &season->setup.cleanouts[l], times_done(routes, n_routes, l));
    return status;
}

void sb_needs_release(sb_needs *needs)
{
    sb_free(needs->supplies);
    *needs = (sb_needs){0};
}

void sb_need_words(sb_text *text, const sb_need *need, sb_add_name *add_name)
{
    /* Ten digits: sums of amounts like 0.1 show no rounding. */
    sb_text_addf(text, need->unit == NULL ? "%.10g x " : "%.10g ", need->amount);
    if (need->unit != NULL && need->unit[0] != '\0') {
        add_name(text, need->unit);
        sb_text_addf(text, " of ");
    }
    add_name(text, need->name);
}

void sb_supplies_words(sb_text *text, const sb_cleanout *cleanout, sb_add_name *add_name)
{
    for (size_t i = 0; i < cleanout->n_counted; i++) {
        const sb_supply *supply = &cleanout->counted[i];
        sb_text_addf(text, i > 0 ? ", " : "");
        sb_need_words(text, &(sb_need){supply->name, supply->unit, supply->amount}, add_name);
    }
    if (!has_words(cleanout))
        return;
    sb_text_addf(text, cleanout->n_counted > 0 ? ", " : "");
    add_name(text, cleanout->supplies);
}
