/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The model in the page: prices, checks and draws plans that people make by hand. page/by_hand.js
 * calls these; the seeds, the money, the rules and the drawings are those of the library, compiled
 * once more. */
#include <host.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/report.h"
#include "plan/plan.h"
#include "write/page.h"
#include "write/season_pack.h"

#define EXPORTED __attribute__((visibility("default")))

static sb_season *season;
static sb_plan *plan;
static sb_page page;
static sb_text text; /* what was last asked for */

/** Room for n bytes that the page wants to hand over. */
EXPORTED void *room(size_t n)
{
    return malloc(n);
}

/** Takes the season that sb_season_pack wrote. Everything allocated so far stays. */
EXPORTED int open_season(const unsigned char *bytes, size_t n)
{
    sb_status status = sb_season_unpack(bytes, n, &season, &plan);
    memory_mark();
    return status;
}

/** Begins a new plan: what the last one needed is forgotten. Call room() after it, not before. */
EXPORTED void begin_plan(void)
{
    memory_reset();
    plan = NULL;
    text = (sb_text){0};
}

/** Prices a plan. @param numbers for each machine in turn its number, how many stops it has, its
 * final cleanout, then field and cleanout of each. @return an sb_status */
EXPORTED int price(const int32_t *numbers, size_t n_routes)
{
    sb_status status = sb_plan_new(season, n_routes, &plan);
    for (size_t r = 0; status == SB_OK && r < n_routes; r++) {
        int machine = (int)*numbers++;
        size_t n_stops = (size_t)*numbers++;
        status = sb_route_init(season, machine, n_stops, &plan->routes[r]);
        plan->routes[r].final_cleanout = (int)*numbers++;
        for (size_t i = 0; status == SB_OK && i < n_stops; i++) {
            plan->routes[r].stops[i].field = (int)*numbers++;
            plan->routes[r].stops[i].cleanout = (int)*numbers++;
        }
    }
    if (status == SB_OK)
        status = sb_plan_price(season, plan);
    return status == SB_OK ? sb_page_init(&page, season, plan) : status;
}

/** The five costs of the plan last priced: travel, cleanout, spread, delay, total. */
EXPORTED const double *costs(void)
{
    return &plan->cost.travel;
}

EXPORTED const char *text_bytes(void)
{
    return sb_text_get(&text);
}

EXPORTED size_t text_length(void)
{
    return text.count;
}

/** Checks the plan last priced; the text is then one line for each broken rule.
 * @return rules broken, or -1 */
EXPORTED int check(void)
{
    size_t broken = 0;
    sb_report *report = sb_report_new();
    text = (sb_text){0};
    if (report == NULL || sb_plan_check(season, plan, SB_WARNING, report, &broken) != SB_OK)
        return -1;
    for (size_t i = 0; i < sb_report_count(report); i++)
        sb_text_addf(&text, "%s%s", i > 0 ? "\n" : "", sb_report_get(report, i).text);
    return (int)broken;
}

/** Draws part i of the page (write/page.h) for the plan last priced. @return an sb_status */
EXPORTED int draw(size_t i)
{
    text = (sb_text){0};
    return sb_page_parts[i].draw(&page, &text);
}

/** Never asked: every season here has its distances in a table. */
double sb_distance_m(sb_lonlat a, sb_lonlat b)
{
    (void)a, (void)b;
    __builtin_trap();
}
