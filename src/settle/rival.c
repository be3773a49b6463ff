/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan of a rival rule with the fields split among the machines as the plan splits them. */
#include "base/mem.h"
#include "settle/parts.h"

/* One machine's fields as a season of their own. @param keep_field [out] which they are */
static sb_status season_of_route(const sb_season *season, const sb_route *route, bool *keep_field,
                                 sb_season **part)
{
    bool *keep_machine = sb_alloc(season->setup.n_machines, sizeof *keep_machine);
    if (keep_machine == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < season->n_fields; i++)
        keep_field[i] = false;
    for (size_t i = 0; i < route->n_stops; i++)
        keep_field[route->stops[i].field] = true;
    keep_machine[route->machine] = true;
    sb_status status = sb_season_copy(season, keep_field, keep_machine, part);
    sb_free(keep_machine);
    return status;
}

/* The stops of a part's plan, its fields numbered as in the whole season again. */
static void take_stops(const sb_plan *from, const int *whole_number, sb_route *to)
{
    const sb_route *route = &from->routes[0];
    for (size_t i = 0; i < route->n_stops; i++) {
        to->stops[i].field = whole_number[route->stops[i].field];
        to->stops[i].cleanout = route->stops[i].cleanout;
    }
}

static sb_status order_route(const sb_season *season, const sb_route *route, sb_order_by by,
                             const sb_order_options *options, sb_route *to)
{
    sb_season *part = NULL;
    sb_plan *ordered = NULL;
    sb_report *unsaid = sb_report_new(); /* an order that keeps no rules is an answer here */
    bool *keep_field = sb_alloc(season->n_fields, sizeof *keep_field);
    int *whole_number = sb_alloc(season->n_fields, sizeof *whole_number);
    sb_status status = SB_ERR_NOMEM;
    if (unsaid == NULL || keep_field == NULL || whole_number == NULL)
        goto out;
    sb_order_options how = *options;
    how.by = by;
    how.machine = season->setup.machines[route->machine].id;
    how.progress = NULL;
    status = season_of_route(season, route, keep_field, &part);
    if (status != SB_OK)
        goto out;
    for (size_t i = 0, next = 0; i < season->n_fields; i++)
        if (keep_field[i])
            whole_number[next++] = (int)i;
    status = sb_order(part, &how, unsaid, &ordered);
    if (status == SB_OK)
        take_stops(ordered, whole_number, to);
out:
    sb_plan_free(ordered);
    sb_season_free(part);
    sb_report_free(unsaid);
    sb_free(keep_field);
    sb_free(whole_number);
    return status;
}

sb_status sb_settle_rival(const sb_season *season, const sb_plan *plan, sb_order_by by,
                          const sb_order_options *options, sb_plan **rival)
{
    sb_plan *made = NULL;
    *rival = NULL;
    sb_status status = sb_plan_new(season, plan->n_routes, &made);
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        status = sb_route_init(season, route->machine, route->n_stops, &made->routes[r]);
        if (status == SB_OK && route->n_stops > 0)
            status = order_route(season, route, by, options, &made->routes[r]);
    }
    if (status == SB_OK)
        status = sb_plan_price(season, made);
    if (status == SB_OK)
        *rival = made;
    else
        sb_plan_free(made);
    return status;
}
