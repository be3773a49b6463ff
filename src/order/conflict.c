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
#include "order/overdue.h"
#include "order/solve.h"
#include "plan/plan.h"
#include "season/service.h"

/* Partial plans looked at for one question, and for the plan that takes the fewest hours: counted
 * and not timed, so that the answer is the same on a busy machine. "Not answered" counts as "a plan
 * may exist". */
#define QUESTION_LABELS 200000L
#define QUICKEST_LABELS 400000L
#define QUESTION_EFFORT 0.2
#define FLEET_STARTS 4
#define FLEET_EFFORT 0.06
/* How late the latest of several machines is at best is looked for in so many rounds, to so near.
 */
#define LATE_ROUNDS 12
#define LATE_TO_H 0.05

typedef struct inquiry {
    const sb_season *season;
    int machine; /* -1: all */
    sb_crew *crew;
    sb_rules rules;
    bool by_dates; /* only what is seen without a search counts as an answer */
    bool unsure;   /* a rule stays because a question was not answered */
    sb_status status;
} inquiry;

typedef enum answer { SOME_PLAN, NO_PLAN, NOT_ANSWERED } answer;

/* One question: what it may take, and whether that is used up. */
typedef struct question {
    sb_crew *asked_by; /* its time limit and Ctrl-C hold */
    sb_crew *crew;     /* that looks for the answer */
    long most_labels;
    bool enough;
} question;

static bool question_over(void *context)
{
    const question *q = context;
    return q->enough || sb_crew_stopped(q->asked_by);
}

static void hear_one(void *context, const sb_outcome *outcome)
{
    question *q = context;
    q->enough |= outcome->labels > q->most_labels;
}

static void hear_fleet(void *context, const sb_fleet_outcome *outcome)
{
    question *q = context;
    q->enough |= outcome->labels > q->most_labels;
}

/* Free question->crew in any case. */
static sb_status question_init(question *q, sb_crew *asked_by, long most_labels)
{
    *q = (question){.asked_by = asked_by, .most_labels = most_labels};
    sb_order_options limits;
    sb_order_options_init(&limits);
    limits.time_limit_s = INFINITY;
    limits.threads = sb_crew_size(asked_by);
    limits.stop = question_over;
    limits.context = q;
    return sb_crew_new(&limits, &q->crew);
}

/* Solves the season without the dropped rules: is it certain that no plan keeps the rest? */
static sb_status ask_one(const sb_season *copy, int machine, sb_crew *crew, answer *found)
{
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    question q;
    sb_status status = question_init(&q, crew, QUESTION_LABELS);
    if (status == SB_OK)
        status = sb_problem_init(&problem, copy, machine);
    if (status == SB_OK)
        status = sb_outcome_init(&outcome, &problem);
    if (status == SB_OK) {
        sb_solve_options options = sb_solve_options_default();
        options.effort = QUESTION_EFFORT;
        options.first_season_is_enough = true;
        options.tell = hear_one;
        options.context = &q;
        status = sb_solve(&problem, q.crew, &options, &outcome);
    }
    *found = isfinite(outcome.cost) ? SOME_PLAN : outcome.closed ? NO_PLAN : NOT_ANSWERED;
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    sb_crew_free(q.crew);
    return status;
}

/* A quick look for any routes. */
static sb_status look_for_routes(const sb_fleet *fleet, sb_crew *crew, sb_routes *routes)
{
    sb_fleet_search_options search = {.seed = 1, .starts = FLEET_STARTS, .heat = 1};
    search.moves = (long)(FLEET_EFFORT * (double)sb_fleet_search_moves(fleet->n)) + 1;
    return sb_fleet_search(fleet, &search, crew, NULL, NULL, routes);
}

/* The same for all machines together. */
static sb_status ask_all(const sb_season *copy, sb_crew *crew, answer *found)
{
    sb_fleet fleet = {0};
    sb_fleet_outcome outcome = {0};
    question q;
    sb_status status = question_init(&q, crew, QUESTION_LABELS);
    if (status == SB_OK)
        status = sb_fleet_init(&fleet, copy);
    if (status == SB_OK)
        status = sb_fleet_outcome_init(&outcome, &fleet);
    if (status == SB_OK)
        status = look_for_routes(&fleet, q.crew, &outcome.routes);
    if (status == SB_OK && isinf(outcome.routes.cost)) {
        sb_fleet_options options = {.seed = 1, .tell = hear_fleet, .context = &q};
        status = sb_fleet_prove(&fleet, q.crew, &options, &outcome);
    }
    *found = isfinite(outcome.routes.cost) ? SOME_PLAN : outcome.closed ? NO_PLAN : NOT_ANSWERED;
    sb_fleet_outcome_release(&outcome);
    sb_fleet_release(&fleet);
    sb_crew_free(q.crew);
    return status;
}

/* Is it plain without a search that the season has no plan?
 * @param found which field is overdue, if that is the reason; release in any case */
static sb_status ask_dates(const sb_season *season, int machine, answer *answered,
                           sb_overdue *found)
{
    sb_fleet fleet = {0};
    *found = (sb_overdue){.field = -1};
    sb_status status =
        machine < 0 ? sb_fleet_init(&fleet, season) : sb_fleet_init_alone(&fleet, season, machine);
    if (status == SB_OK)
        status = sb_overdue_find(fleet.problems, fleet.machines, found);
    bool contradicted = status == SB_OK &&
                        (found->field >= 0 || (machine >= 0 && fleet.problems[0].dates_contradict));
    *answered = contradicted ? NO_PLAN : NOT_ANSWERED;
    sb_fleet_release(&fleet);
    return status;
}

/* A season without the dropped rules, and what its dates alone say. Release both. */
static sb_status begin_trial(const inquiry *q, sb_trial *trial, sb_overdue *found, answer *answered)
{
    *answered = NOT_ANSWERED;
    *found = (sb_overdue){.field = -1};
    sb_status status = sb_trial_init(q->season, &q->rules, trial);
    return status == SB_OK ? ask_dates(&trial->season, q->machine, answered, found) : status;
}

static answer without_dropped(inquiry *q)
{
    sb_trial trial;
    sb_overdue found;
    answer answered;
    q->status = begin_trial(q, &trial, &found, &answered);
    if (q->status == SB_OK && answered != NO_PLAN && !q->by_dates)
        q->status = q->machine < 0 ? ask_all(&trial.season, q->crew, &answered)
                                   : ask_one(&trial.season, q->machine, q->crew, &answered);
    sb_overdue_release(&found);
    sb_trial_release(&trial);
    return answered;
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
    answer found = any ? without_dropped(q) : SOME_PLAN;
    if (found == NO_PLAN)
        return;
    q->unsure |= only != SIZE_MAX && found == NOT_ANSWERED && !q->by_dates;
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

/* Writes routes down as a plan with its dates. */
static sb_status write_dates(const sb_season *season, const sb_fleet *fleet,
                             const sb_routes *routes, sb_plan **plan)
{
    sb_status status = sb_fleet_write_plan(fleet, routes, plan);
    return status == SB_OK ? sb_plan_price_only(season, *plan) : status;
}

/* By how much the machine that is latest is back too late. */
static double most_late_h(const sb_season *season, const sb_plan *plan)
{
    double late_h = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].n_stops > 0)
            late_h = fmax(late_h, plan->routes[r].end_h -
                                      sb_season_window(season, plan->routes[r].machine).to_h);
    return late_h;
}

/* The plan of one machine that takes the fewest hours when it may come home as late as it likes;
 * NULL: none was found. */
static sb_status find_quickest(const inquiry *asked, const sb_trial *trial, question *q,
                               sb_plan **plan)
{
    const sb_season *season = asked->season;
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    sb_status status = sb_problem_init(&problem, &trial->season, asked->machine);
    if (status == SB_OK)
        status = sb_outcome_init(&outcome, &problem);
    if (status == SB_OK) {
        sb_solve_options options = sb_solve_options_default();
        options.tell = hear_one;
        options.context = q;
        status = sb_solve(&problem, q->crew, &options, &outcome);
    }
    if (status == SB_OK && isfinite(outcome.cost))
        status = sb_plan_new_single(season, asked->machine, season->n_fields, plan);
    for (size_t t = 0; *plan != NULL && t < season->n_fields; t++) {
        (*plan)->routes[0].stops[t].field = outcome.field[t];
        (*plan)->routes[0].stops[t].cleanout = outcome.level[t];
    }
    if (status == SB_OK && *plan != NULL)
        status = sb_plan_price_only(season, *plan);
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    return status;
}

/* Lets every machine be back so much later than its last hour. */
static void allow_late(const sb_season *season, sb_fleet *fleet, double late_h)
{
    for (int m = 0; m < fleet->machines; m++) {
        fleet->problems[m].end_h = sb_season_window(season, m).to_h + late_h;
        fleet->problems[m].timed = true;
    }
}

/* The plan of all machines whose latest one is back soonest, by halving: each round asks for one
 * between what was found and what was not; NULL: none was found. */
static sb_status find_least_late(const inquiry *asked, const sb_trial *trial, question *q,
                                 sb_plan **plan)
{
    const sb_season *season = asked->season;
    sb_fleet fleet = {0};
    double late_h = INFINITY, not_found_h = 0;
    sb_status status = sb_fleet_init(&fleet, &trial->season);
    for (int round = 0; status == SB_OK && round < LATE_ROUNDS; round++) {
        sb_routes routes = {0};
        sb_plan *found = NULL;
        if (isfinite(late_h))
            allow_late(season, &fleet, (late_h + not_found_h) / 2);
        status = sb_routes_init(&routes, &fleet);
        if (status == SB_OK)
            status = look_for_routes(&fleet, q->crew, &routes);
        if (status == SB_OK && isfinite(routes.cost))
            status = write_dates(season, &fleet, &routes, &found);
        sb_routes_release(&routes);
        double found_h = found != NULL ? most_late_h(season, found) : INFINITY;
        if (found_h < late_h) {
            sb_plan_free(*plan);
            *plan = found;
            late_h = found_h;
        } else {
            not_found_h = (late_h + not_found_h) / 2;
            sb_plan_free(found);
        }
        if (isinf(late_h) || late_h - not_found_h < LATE_TO_H)
            break;
    }
    sb_fleet_release(&fleet);
    return status;
}

/* A plan that keeps every rule but the last hours, as early home as can be found. */
static sb_status find_late(const inquiry *asked, sb_plan **plan)
{
    sb_rules rules = {0};
    sb_trial trial = {0};
    question q = {0};
    *plan = NULL;
    sb_status status = sb_rules_list(asked->season, asked->machine, &rules);
    drop_ends(&rules);
    if (status == SB_OK)
        status = sb_trial_init(asked->season, &rules, &trial);
    if (status == SB_OK)
        status = sb_trial_price_hours(&trial);
    if (status == SB_OK)
        status = question_init(&q, asked->crew, QUICKEST_LABELS);
    if (status == SB_OK)
        status = asked->machine < 0 ? find_least_late(asked, &trial, &q, plan)
                                    : find_quickest(asked, &trial, &q, plan);
    sb_crew_free(q.crew);
    sb_trial_release(&trial);
    sb_rules_release(&rules);
    return status;
}

/* Fields of a plan that are finished after their machine's last hour. */
static void add_late_fields(const sb_season *season, const sb_plan *plan, sb_text *late)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        double to_h = sb_season_window(season, route->machine).to_h;
        for (size_t t = 0; t < route->n_stops; t++)
            if (route->stops[t].finish_h > to_h + SB_SAME_TIME_H)
                sb_text_addf(late, "%s'%s'", late->count > 0 ? ", " : "",
                             season->fields[route->stops[t].field].name);
    }
}

/* By how many hours a machine is late at best, and which fields would not be cut in time. A limit
 * on money for cleaning leaves no room for the prices that make hours count. */
static sb_status say_missing_hours(const inquiry *q, sb_report *report)
{
    const sb_season *season = q->season;
    if (isfinite(season->setup.limits.cleaning_cost))
        return SB_OK;
    sb_plan *plan;
    sb_text late = {0};
    sb_status status = find_late(q, &plan);
    double missing_h = status == SB_OK && plan != NULL ? most_late_h(season, plan) : 0;
    if (missing_h > SB_SAME_TIME_H && isfinite(missing_h)) {
        add_late_fields(season, plan, &late);
        sb_say(report, SB_ERROR, NULL, 0, "%.1f hours are missing in the %s; %s%s", missing_h,
               q->machine < 0 ? "plan that keeps the other rules and is done first, of those found"
                              : "quickest plan found that keeps the other rules",
               late.count > 0 ? "not cut in time: " : "all fields are cut in time, but ",
               late.count > 0 ? sb_text_get(&late) : "not home and clean");
    }
    if (late.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&late);
    sb_plan_free(plan);
    return status;
}

/* The fields of the chain in the order in which they are finished at best; NULL: no more. */
static const double *next_finished(const sb_overdue *found, int fields, const double *last_h)
{
    const uint64_t *before = found->before + (size_t)found->field * (size_t)found->words;
    const double *next = NULL;
    for (int j = 0; j < fields; j++) {
        const double *at = &found->finish_h[j];
        bool in = (j == found->field || sb_has(before, j)) && isfinite(*at);
        bool later = last_h == NULL || *at > *last_h || (*at == *last_h && at > last_h);
        if (in && later && (next == NULL || *at < *next))
            next = at;
    }
    return next;
}

/* How early each field of the chain is finished at best by the rules in conflict; of one machine
 * that has nothing to do before say_earliest tells. */
static sb_status say_chain(const inquiry *q, sb_report *report)
{
    const sb_season *season = q->season;
    int n = (int)season->n_fields;
    sb_trial trial;
    sb_overdue found;
    answer answered;
    sb_status status = begin_trial(q, &trial, &found, &answered);
    bool told = status == SB_OK && found.field >= 0 &&
                (q->machine < 0 || trial.season.fields[found.field].n_after > 0);
    const double *at = NULL;
    while (told && (at = next_finished(&found, n, at)) != NULL) {
        const sb_field *field = &season->fields[at - found.finish_h];
        char stamp[17];
        sb_calendar_stamp(&season->setup.calendar, *at, true, stamp);
        sb_say(report, SB_ERROR, field->file, field->line,
               "%s'%s' is finished at %s at the earliest",
               q->machine < 0 ? "whichever machine cuts it, " : "", field->name, stamp);
    }
    sb_overdue_release(&found);
    sb_trial_release(&trial);
    return status;
}

static sb_status say_conflict(const inquiry *q, sb_report *report)
{
    size_t said = 0;
    bool of_hours = false;
    int last_day = q->season->setup.calendar.start_day - 1; /* that a rule in conflict names */
    sb_say(report, SB_ERROR, NULL, 0, "no plan can keep these rules together:");
    for (size_t r = 0; r < q->rules.count; r++) {
        const sb_rule *rule = &q->rules.items[r];
        if (rule->dropped)
            continue;
        sb_rule_say(q->season, rule, report);
        if (rule->kind == SB_RULE_LATEST && q->machine >= 0)
            say_earliest(q, rule->field, report);
        of_hours |= sb_rule_is_of_hours(rule);
        if (rule->kind == SB_RULE_CALENDAR_END)
            last_day = q->season->setup.calendar.end_day;
        if (rule->kind == SB_RULE_MACHINE_TO)
            last_day = q->season->setup.machines[rule->which].to_day;
        said++;
    }
    sb_status status = say_chain(q, report);
    if (status != SB_OK)
        return status;
    if (q->unsure)
        sb_say(report, SB_ERROR, NULL, 0,
               "whether all of these have a part in it was not asked to the end");
    if (of_hours) {
        sb_season_say_blocked(q->season, last_day, report);
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

/* Drops the rules of all fields that have no part in making a field overdue, in one go. */
static void drop_bystanders(inquiry *q)
{
    sb_trial trial;
    sb_overdue found;
    answer answered;
    q->status = begin_trial(q, &trial, &found, &answered);
    for (size_t r = 0; q->status == SB_OK && found.field >= 0 && r < q->rules.count; r++) {
        const uint64_t *before = found.before + (size_t)found.field * (size_t)found.words;
        int field = q->rules.items[r].field;
        q->rules.items[r].dropped |= field >= 0 && field != found.field && !sb_has(before, field);
    }
    sb_overdue_release(&found);
    sb_trial_release(&trial);
}

static void drop_one_by_one(inquiry *q)
{
    for (size_t r = 0; r < q->rules.count && q->status == SB_OK; r++)
        if (!q->rules.items[r].dropped)
            try_dropping(q, q->rules.items[r].kind, r);
}

/* @param by_dates what leaves no plan was seen without a search: that narrows it down at once, and
 * only of what is left it is asked whether less would do */
static sb_status explain(const sb_season *season, int machine, sb_crew *crew, bool by_dates,
                         sb_report *report)
{
    inquiry q = {.season = season, .machine = machine, .crew = crew, .by_dates = by_dates};
    q.status = sb_rules_list(season, machine, &q.rules);
    for (int kind = 0; kind < SB_RULE_KINDS && q.status == SB_OK; kind++)
        try_dropping(&q, (sb_rule_kind)kind, SIZE_MAX);
    if (by_dates && q.status == SB_OK)
        drop_bystanders(&q);
    drop_one_by_one(&q);
    if (by_dates) {
        q.by_dates = false;
        drop_one_by_one(&q);
    }
    if (q.status == SB_OK)
        q.status = say_conflict(&q, report);
    sb_rules_release(&q.rules);
    return q.status == SB_OK ? SB_ERR_INFEASIBLE : q.status;
}

/* Without any such rule there is nothing to foresee. */
static bool any_dates(const sb_season *season, int machine)
{
    bool any = false;
    for (size_t j = 0; j < season->n_fields; j++)
        any |= season->fields[j].latest_day != SB_NO_DAY;
    for (int m = 0; m < (int)season->setup.n_machines; m++)
        any |= (machine < 0 || m == machine) && isfinite(sb_season_window(season, m).to_h);
    return any;
}

sb_status sb_conflict_foreseen(const sb_season *season, int machine, sb_crew *crew,
                               sb_report *report)
{
    if (!any_dates(season, machine))
        return SB_OK;
    sb_overdue found;
    answer answered;
    sb_status status = ask_dates(season, machine, &answered, &found);
    sb_overdue_release(&found);
    if (status != SB_OK || answered != NO_PLAN)
        return status;
    return explain(season, machine, crew, true, report);
}

sb_status sb_conflict_explain(const sb_season *season, int machine, sb_crew *crew, bool proven,
                              sb_report *report)
{
    if (proven)
        return explain(season, machine, crew, false, report);
    sb_say(report, SB_ERROR, NULL, 0,
           "no plan that keeps every rule was found in time, and none is ruled out: loosen "
           "dates or rules, or allow more time");
    return SB_ERR_INFEASIBLE;
}
