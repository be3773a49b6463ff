/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A deletion filter: the rules are dropped one after the other for good as long as the rest still
 * leaves no plan. Whole kinds of rule go first, which is quick when they have no part in it. */
#include "order/conflict.h"

#include <math.h>

#include "base/date.h"
#include "base/mem.h"
#include "base/report.h"
#include "order/conflict_rules.h"
#include "order/fleet_prove.h"
#include "order/fleet_search.h"
#include "order/solve.h"
#include "season/service.h"

/* Seconds for one question; "not answered in time" counts as "a plan may exist". */
#define QUESTION_S 5.0
#define QUESTION_EFFORT 0.2
#define FLEET_STARTS 4
#define FLEET_EFFORT 0.06
/* The same for the plan that takes the fewest hours. */
#define QUICKEST_S 10.0

typedef struct inquiry {
    const sb_season *season;
    int machine; /* -1: all */
    sb_crew *crew;
    sb_rules rules;
    sb_status status;
} inquiry;

/* A crew for one question, out of what time is left. */
static sb_status question_crew(const sb_crew *crew, double seconds, sb_crew **watch)
{
    sb_order_options limits;
    sb_order_options_init(&limits);
    limits.time_limit_s = fmin(seconds, sb_crew_limit_s(crew) - sb_crew_elapsed_s(crew));
    return sb_crew_new(&limits, watch);
}

/* Solves the season without the dropped rules: is it certain that no plan keeps the rest? */
static sb_status certainly_none(const sb_season *copy, int machine, sb_crew *crew, bool *none)
{
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    sb_crew *watch = NULL;
    sb_status status = question_crew(crew, QUESTION_S, &watch);
    if (status == SB_OK)
        status = sb_problem_init(&problem, copy, machine);
    if (status == SB_OK)
        status = sb_outcome_init(&outcome, &problem);
    if (status == SB_OK) {
        sb_solve_options options = sb_solve_options_default();
        options.effort = QUESTION_EFFORT;
        options.first_season_is_enough = true;
        status = sb_solve(&problem, watch, &options, &outcome);
    }
    *none = status == SB_OK && outcome.closed && isinf(outcome.cost);
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    sb_crew_free(watch);
    return status;
}

/* The same for all machines together. */
static sb_status certainly_none_shared(const sb_season *copy, sb_crew *crew, bool *none)
{
    sb_fleet fleet = {0};
    sb_fleet_outcome outcome = {0};
    sb_crew *watch = NULL;
    sb_status status = question_crew(crew, QUESTION_S, &watch);
    if (status == SB_OK)
        status = sb_fleet_init(&fleet, copy);
    if (status == SB_OK)
        status = sb_fleet_outcome_init(&outcome, &fleet);
    if (status == SB_OK) {
        sb_fleet_search_options search = {.seed = 1, .starts = FLEET_STARTS, .heat = 1};
        search.moves = (long)(FLEET_EFFORT * (double)sb_fleet_search_moves(fleet.n)) + 1;
        status = sb_fleet_search(&fleet, &search, watch, NULL, NULL, &outcome.routes);
    }
    if (status == SB_OK && isinf(outcome.routes.cost)) {
        sb_fleet_options options = {.seed = 1};
        status = sb_fleet_prove(&fleet, watch, &options, &outcome);
    }
    *none = status == SB_OK && outcome.closed && isinf(outcome.routes.cost);
    sb_fleet_outcome_release(&outcome);
    sb_fleet_release(&fleet);
    sb_crew_free(watch);
    return status;
}

static bool none_without_dropped(inquiry *q)
{
    sb_trial trial;
    bool none = false;
    q->status = sb_trial_init(q->season, &q->rules, &trial);
    if (q->status == SB_OK)
        q->status = q->machine < 0 ? certainly_none_shared(&trial.season, q->crew, &none)
                                   : certainly_none(&trial.season, q->machine, q->crew, &none);
    sb_trial_release(&trial);
    return none;
}

/* Drops every rule of a kind (or one rule) when the rest still leaves no plan. */
static void try_dropping(inquiry *q, sb_rule_kind kind, size_t only)
{
    bool any = false;
    for (size_t r = 0; r < q->rules.count; r++)
        if (only == SIZE_MAX ? q->rules.items[r].kind == kind : r == only) {
            any |= !q->rules.items[r].dropped;
            q->rules.items[r].dropped = true;
        }
    if (!any || sb_crew_stopped(q->crew))
        any = false;
    if (any && none_without_dropped(q))
        return;
    for (size_t r = 0; r < q->rules.count; r++)
        if (only == SIZE_MAX ? q->rules.items[r].kind == kind : r == only)
            q->rules.items[r].dropped = false;
}

/* A latest day that the field cannot keep even when it is the first to be cut: how it comes. */
static void say_earliest(const inquiry *q, int j, sb_report *report)
{
    const sb_season *season = q->season;
    const sb_field *field = &season->fields[j];
    const sb_machine *machine = &season->setup.machines[q->machine];
    double km = sb_season_km(season, sb_season_start_place(season, q->machine), j);
    double begin_h =
        sb_season_window(season, q->machine).from_h + (isnan(km) ? 0 : km / machine->road_km_h);
    begin_h = fmax(sb_season_ready_h(season, j), begin_h);
    double cutting_h = sb_season_cutting_hours(season, q->machine, j);
    if (begin_h + cutting_h <= sb_season_latest_h(season, j) + SB_SAME_TIME_H)
        return;
    char begin[17], end[17];
    sb_calendar_stamp(&season->setup.calendar, begin_h, false, begin);
    sb_calendar_stamp(&season->setup.calendar, begin_h + cutting_h, true, end);
    sb_say(report, SB_ERROR, field->file, field->line,
           "'%s' takes %.1f hours to cut: begun first of all, at %s, it is finished at %s",
           field->name, cutting_h, begin, end);
}

/* Places that the roads cut off, when they alone are the reason. */
static void say_ways(const sb_season *season, int machine, sb_report *report)
{
    int yard = sb_season_yard_place(season, machine), n = (int)season->n_fields;
    int start = sb_season_start_place(season, machine);
    for (int j = 0; j < n; j++) {
        bool in = !isnan(sb_season_km(season, start, j)),
             out = !isnan(sb_season_km(season, j, yard));
        for (int i = 0; i < n; i++) {
            in |= i != j && !isnan(sb_season_km(season, i, j));
            out |= i != j && !isnan(sb_season_km(season, j, i));
        }
        if (!in || !out)
            sb_say(report, SB_ERROR, season->fields[j].file, season->fields[j].line,
                   "in conflict: no way leads %s '%s'", in ? "out of" : "to",
                   season->fields[j].name);
    }
    sb_say(report, SB_ERROR, NULL, 0,
           "the roads alone allow no round trip through every field: check the travel table's "
           "empty cells");
}

/* The hours of the machine asked for, or of all (-1): a field is cut by one of them, so hours may
 * be left over that are of no use. */
static void say_hours(const sb_season *season, int machine, sb_report *report)
{
    double needed_h = 0;
    bool limited = false;
    sb_text hours = {0};
    for (int j = 0; j < (int)season->n_fields; j++) {
        double least_h = INFINITY;
        for (int m = 0; m < (int)season->setup.n_machines; m++)
            if ((machine < 0 || m == machine) && sb_season_may_cut(season, m, j))
                least_h = fmin(least_h, sb_season_cutting_hours(season, m, j));
        needed_h += least_h;
    }
    for (int m = 0; m < (int)season->setup.n_machines; m++) {
        if (machine >= 0 && m != machine)
            continue;
        sb_window window = sb_season_window(season, m);
        limited |= isfinite(window.to_h);
        sb_text_addf(&hours, "%s machine '%s' ", hours.count > 0 ? "," : "",
                     season->setup.machines[m].id);
        if (isfinite(window.to_h))
            sb_text_addf(&hours, "has %.1f", fmax(window.to_h - window.from_h, 0));
        else
            sb_text_addf(&hours, "is not limited");
    }
    if (limited && isfinite(needed_h))
        sb_say(report, SB_ERROR, NULL, 0,
               "hours at work: cutting all fields takes %.1f, roads and cleanouts not counted;%s",
               needed_h, sb_text_get(&hours));
    sb_text_release(&hours);
}

/* Leaves the last hours out of the rules: when the machine has to be back, and the season's end. */
static void drop_ends(sb_rules *rules)
{
    for (size_t r = 0; r < rules->count; r++) {
        sb_rule_kind kind = rules->items[r].kind;
        rules->items[r].dropped = kind == SB_RULE_SEASON_HOURS || kind == SB_RULE_CALENDAR_END ||
                                  kind == SB_RULE_MACHINE_TO;
    }
}

/* The plan of one machine that takes the fewest hours when it may come home as late as it likes;
 * NULL: none was found. */
static sb_status find_quickest(const inquiry *q, sb_plan **plan)
{
    sb_rules rules = {0};
    sb_trial trial = {0};
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    sb_crew *watch = NULL;
    *plan = NULL;
    sb_status status = sb_rules_list(q->season, q->machine, &rules);
    drop_ends(&rules);
    if (status == SB_OK)
        status = sb_trial_init(q->season, &rules, &trial);
    if (status == SB_OK)
        status = sb_trial_price_hours(&trial);
    if (status == SB_OK)
        status = question_crew(q->crew, QUICKEST_S, &watch);
    if (status == SB_OK)
        status = sb_problem_init(&problem, &trial.season, q->machine);
    if (status == SB_OK)
        status = sb_outcome_init(&outcome, &problem);
    if (status == SB_OK) {
        sb_solve_options options = sb_solve_options_default();
        status = sb_solve(&problem, watch, &options, &outcome);
    }
    if (status == SB_OK && isfinite(outcome.cost))
        status = sb_plan_new_single(q->season, q->machine, q->season->n_fields, plan);
    for (size_t t = 0; *plan != NULL && t < q->season->n_fields; t++) {
        (*plan)->routes[0].stops[t].field = outcome.field[t];
        (*plan)->routes[0].stops[t].cleanout = outcome.level[t];
    }
    if (status == SB_OK && *plan != NULL)
        status = sb_plan_price_only(q->season, *plan);
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    sb_crew_free(watch);
    sb_trial_release(&trial);
    sb_rules_release(&rules);
    return status;
}

/* By how many hours one machine is late at best, and which fields would not be cut in time. A limit
 * on money for cleaning leaves no room for the prices that make hours count. */
static sb_status say_missing_hours(const inquiry *q, sb_report *report)
{
    const sb_season *season = q->season;
    if (q->machine < 0 || isfinite(season->setup.limits.cleaning_cost))
        return SB_OK;
    sb_plan *plan;
    sb_text late = {0};
    sb_status status = find_quickest(q, &plan);
    double to_h = sb_season_window(season, q->machine).to_h;
    double missing_h = status == SB_OK && plan != NULL ? plan->routes[0].end_h - to_h : 0;
    if (missing_h > SB_SAME_TIME_H && isfinite(missing_h)) {
        const sb_route *route = &plan->routes[0];
        for (size_t t = 0; t < route->n_stops; t++)
            if (route->stops[t].finish_h > to_h + SB_SAME_TIME_H)
                sb_text_addf(&late, "%s'%s'", late.count > 0 ? ", " : "",
                             season->fields[route->stops[t].field].name);
        sb_say(report, SB_ERROR, NULL, 0,
               "%.1f hours are missing in the quickest plan found that keeps the other rules; %s%s",
               missing_h, late.count > 0 ? "not cut in time: " : "all fields are cut in time, but ",
               late.count > 0 ? sb_text_get(&late) : "not home and clean");
    }
    if (late.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&late);
    sb_plan_free(plan);
    return status;
}

static sb_status say_conflict(const inquiry *q, sb_report *report)
{
    size_t said = 0;
    bool of_hours = false;
    sb_say(report, SB_ERROR, NULL, 0, "no plan can keep these rules together:");
    for (size_t r = 0; r < q->rules.count; r++) {
        const sb_rule *rule = &q->rules.items[r];
        if (rule->dropped)
            continue;
        sb_rule_say(q->season, rule, report);
        if (rule->kind == SB_RULE_LATEST && q->machine >= 0)
            say_earliest(q, rule->field, report);
        of_hours |= sb_rule_is_of_hours(rule);
        said++;
    }
    if (of_hours) {
        say_hours(q->season, q->machine, report);
        return say_missing_hours(q, report);
    }
    if (said == 0 && q->machine >= 0)
        say_ways(q->season, q->machine, report);
    else if (said == 0)
        sb_say(report, SB_ERROR, NULL, 0,
               "dates and rules are not the reason: the roads, and which machine may cut which "
               "field, allow no plan; `check` lists the fields that are closed to a machine");
    return SB_OK;
}

sb_status sb_conflict_explain(const sb_season *season, int machine, sb_crew *crew, bool proven,
                              sb_report *report)
{
    if (!proven) {
        sb_say(report, SB_ERROR, NULL, 0,
               "no plan that keeps every rule was found in time, and none is ruled out: loosen "
               "dates or rules, or allow more time");
        return SB_ERR_INFEASIBLE;
    }
    inquiry q = {.season = season, .machine = machine, .crew = crew};
    q.status = sb_rules_list(season, machine, &q.rules);
    for (int kind = 0; kind < SB_RULE_KINDS && q.status == SB_OK; kind++)
        try_dropping(&q, (sb_rule_kind)kind, SIZE_MAX);
    for (size_t r = 0; r < q.rules.count && q.status == SB_OK; r++)
        if (!q.rules.items[r].dropped)
            try_dropping(&q, q.rules.items[r].kind, r);
    if (q.status == SB_OK)
        q.status = say_conflict(&q, report);
    sb_rules_release(&q.rules);
    return q.status == SB_OK ? SB_ERR_INFEASIBLE : q.status;
}
