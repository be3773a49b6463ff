/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A deletion filter: the rules are dropped one after the other for good as long as the rest still
 * leaves no plan. Whole kinds of rule go first, which is quick when they have no part in it. */
#include "order/conflict.h"

#include <math.h>
#include <string.h>

#include "base/date.h"
#include "base/mem.h"
#include "base/report.h"
#include "order/fleet_prove.h"
#include "order/fleet_search.h"
#include "order/solve.h"
#include "season/service.h"

/* Seconds for one question; "not answered in time" counts as "a plan may exist". */
#define QUESTION_S 5.0
#define QUESTION_EFFORT 0.2
#define FLEET_STARTS 4
#define FLEET_EFFORT 0.06

typedef enum rule_kind {
    RULE_LATEST,
    RULE_READY,
    RULE_ENTRY,
    RULE_AFTER,
    RULE_APART,
    RULE_WISH,
    RULE_SEED_LIMIT,
    RULE_TANK_LIMIT,
    RULE_FULL_CLEANOUTS,
    RULE_CLEANING_COST,
    RULE_SEASON_HOURS,
    RULE_CALENDAR_END,
    RULE_MACHINE_FROM,
    RULE_MACHINE_TO,
    RULE_KINDS
} rule_kind;

typedef struct rule {
    rule_kind kind;
    int field; /* -1: the season or the machine */
    int which; /* weed of a seed limit, position in the `after` list, machine */
    bool dropped;
} rule;

typedef struct rules {
    rule *items;
    size_t count, capacity;
} rules;

typedef struct inquiry {
    const sb_season *season;
    int machine; /* -1: all */
    sb_crew *crew;
    rules rules;
    sb_status status;
} inquiry;

static bool list_field_rules(rules *list, const sb_season *season, int j)
{
    const sb_field *field = &season->fields[j];
    bool fine = true;
    if (field->latest_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((rule){RULE_LATEST, j, 0, false}));
    if (field->ready_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((rule){RULE_READY, j, 0, false}));
    if (field->entry >= 0)
        fine &= SB_PUSH(list, ((rule){RULE_ENTRY, j, 0, false}));
    if (isfinite(field->tank_limit_seeds_kg))
        fine &= SB_PUSH(list, ((rule){RULE_TANK_LIMIT, j, 0, false}));
    for (size_t a = 0; a < field->n_after; a++)
        fine &= SB_PUSH(list, ((rule){RULE_AFTER, j, (int)a, false}));
    for (size_t a = 0; a < field->n_apart; a++)
        fine &= SB_PUSH(list, ((rule){RULE_APART, j, (int)a, false}));
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        if (isfinite(field->limit_seeds_ha[k]))
            fine &= SB_PUSH(list, ((rule){RULE_SEED_LIMIT, j, (int)k, false}));
    return fine;
}

static bool list_machine_rules(rules *list, const sb_machine *machine, int m)
{
    bool fine = true;
    if (isfinite(machine->season_hours))
        fine &= SB_PUSH(list, ((rule){RULE_SEASON_HOURS, -1, m, false}));
    if (machine->from_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((rule){RULE_MACHINE_FROM, -1, m, false}));
    if (machine->to_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((rule){RULE_MACHINE_TO, -1, m, false}));
    return fine;
}

static bool list_rules(inquiry *q)
{
    const sb_season *season = q->season;
    bool fine = true;
    for (size_t j = 0; j < season->n_fields; j++)
        fine &= list_field_rules(&q->rules, season, (int)j);
    for (size_t j = 0; j < season->n_fields && q->machine < 0; j++)
        if (season->fields[j].n_only > 0)
            fine &= SB_PUSH(&q->rules, ((rule){RULE_WISH, (int)j, 0, false}));
    const sb_setup *setup = &season->setup;
    if (isfinite(setup->limits.full_cleanouts))
        fine &= SB_PUSH(&q->rules, ((rule){RULE_FULL_CLEANOUTS, -1, 0, false}));
    if (isfinite(setup->limits.cleaning_cost))
        fine &= SB_PUSH(&q->rules, ((rule){RULE_CLEANING_COST, -1, 0, false}));
    for (size_t m = 0; m < setup->n_machines; m++)
        if (q->machine < 0 || (size_t)q->machine == m)
            fine &= list_machine_rules(&q->rules, &setup->machines[m], (int)m);
    if (setup->calendar.end_day != SB_NO_DAY)
        fine &= SB_PUSH(&q->rules, ((rule){RULE_CALENDAR_END, -1, 0, false}));
    return fine;
}

/* Takes a rule out of a shallow copy of the season. Lists are rebuilt by the caller. */
static void drop(sb_season *copy, sb_machine *machines, const rule *r)
{
    sb_field *field = r->field >= 0 ? &copy->fields[r->field] : NULL;
    sb_machine *machine = r->field < 0 ? &machines[r->which] : NULL;
    switch (r->kind) {
    case RULE_LATEST:
        field->latest_day = SB_NO_DAY;
        break;
    case RULE_READY:
        field->ready_day = SB_NO_DAY;
        break;
    case RULE_ENTRY:
        field->entry = -1;
        break;
    case RULE_WISH:
        field->n_only = 0;
        break;
    case RULE_SEED_LIMIT:
        field->limit_seeds_ha[r->which] = INFINITY;
        break;
    case RULE_TANK_LIMIT:
        field->tank_limit_seeds_kg = INFINITY;
        break;
    case RULE_FULL_CLEANOUTS:
        copy->setup.limits.full_cleanouts = INFINITY;
        break;
    case RULE_CLEANING_COST:
        copy->setup.limits.cleaning_cost = INFINITY;
        break;
    case RULE_SEASON_HOURS:
        machine->season_hours = INFINITY;
        break;
    case RULE_CALENDAR_END:
        copy->setup.calendar.end_day = SB_NO_DAY;
        break;
    case RULE_MACHINE_FROM:
        machine->from_day = SB_NO_DAY;
        break;
    case RULE_MACHINE_TO:
        machine->to_day = SB_NO_DAY;
        break;
    case RULE_AFTER:
    case RULE_APART:
    case RULE_KINDS:
        break;
    }
}

/* A crew for one question, out of what time is left. */
static sb_status question_crew(const sb_crew *crew, sb_crew **watch)
{
    sb_order_options limits;
    sb_order_options_init(&limits);
    limits.time_limit_s = fmin(QUESTION_S, sb_crew_limit_s(crew) - sb_crew_elapsed_s(crew));
    return sb_crew_new(&limits, watch);
}

/* Solves the season without the dropped rules: is it certain that no plan keeps the rest? */
static sb_status certainly_none(const sb_season *copy, int machine, sb_crew *crew, bool *none)
{
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    sb_crew *watch = NULL;
    sb_status status = question_crew(crew, &watch);
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
    sb_status status = question_crew(crew, &watch);
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
    const sb_season *season = q->season;
    sb_season copy = *season;
    bool none = false;
    q->status = SB_ERR_NOMEM;
    sb_field *fields = sb_alloc(season->n_fields, sizeof *fields);
    sb_machine *machines = sb_alloc(season->setup.n_machines, sizeof *machines);
    int *after = sb_alloc(q->rules.count, sizeof *after);
    sb_apart *apart = sb_alloc(q->rules.count, sizeof *apart);
    if (fields == NULL || machines == NULL || after == NULL || apart == NULL)
        goto out;
    memcpy(fields, season->fields, season->n_fields * sizeof *fields);
    memcpy(machines, season->setup.machines, season->setup.n_machines * sizeof *machines);
    copy.fields = fields;
    copy.setup.machines = machines;
    /* Whether a plan exists does not depend on what seeds and days cost: a smaller question. */
    for (size_t j = 0; j < season->n_fields; j++) {
        memset(fields[j].loss_per_seed, 0, sizeof fields[j].loss_per_seed);
        fields[j].delay_cost_per_day = 0;
    }
    int *next_after = after;
    sb_apart *next_apart = apart;
    for (size_t j = 0; j < season->n_fields; j++) {
        fields[j].after = next_after;
        fields[j].apart = next_apart;
        fields[j].n_after = fields[j].n_apart = 0;
        for (size_t r = 0; r < q->rules.count; r++) {
            const rule *one = &q->rules.items[r];
            if (one->field != (int)j || one->dropped)
                continue;
            if (one->kind == RULE_AFTER)
                fields[j].after[fields[j].n_after++] = season->fields[j].after[one->which];
            if (one->kind == RULE_APART)
                fields[j].apart[fields[j].n_apart++] = season->fields[j].apart[one->which];
        }
        next_after += fields[j].n_after;
        next_apart += fields[j].n_apart;
    }
    for (size_t r = 0; r < q->rules.count; r++)
        if (q->rules.items[r].dropped)
            drop(&copy, machines, &q->rules.items[r]);
    q->status = q->machine < 0 ? certainly_none_shared(&copy, q->crew, &none)
                               : certainly_none(&copy, q->machine, q->crew, &none);
out:
    sb_free(fields);
    sb_free(machines);
    sb_free(after);
    sb_free(apart);
    return none;
}

/* Drops every rule of a kind (or one rule) when the rest still leaves no plan. */
static void try_dropping(inquiry *q, rule_kind kind, size_t only)
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

static void say_wish(const sb_season *season, int j, sb_report *report)
{
    const sb_field *field = &season->fields[j];
    sb_text ids = {0};
    for (size_t i = 0; i < field->n_only; i++)
        if (field->only[i] >= 0)
            sb_text_addf(&ids, "%s'%s'", ids.count > 0 ? ", " : "",
                         season->setup.machines[field->only[i]].id);
    sb_say(report, SB_ERROR, field->file, field->line, "in conflict: '%s' is for %s only (only)",
           field->name, sb_text_get(&ids));
    sb_text_release(&ids);
}

static void say_rule(const inquiry *q, const rule *r, sb_report *report)
{
    const sb_season *season = q->season;
    const sb_setup *setup = &season->setup;
    const sb_machine *machine = &setup->machines[r->field < 0 ? r->which : 0];
    const sb_field *field = r->field >= 0 ? &season->fields[r->field] : NULL;
    const char *file = field != NULL ? field->file : NULL;
    size_t line = field != NULL ? field->line : 0;
    char date[11];
    switch (r->kind) {
    case RULE_LATEST:
        sb_date_format(field->latest_day, date);
        sb_say(report, SB_ERROR, file, line, "in conflict: '%s' must be finished by %s (latest)",
               field->name, date);
        if (q->machine >= 0)
            say_earliest(q, r->field, report);
        break;
    case RULE_READY:
        sb_date_format(field->ready_day, date);
        sb_say(report, SB_ERROR, file, line, "in conflict: '%s' is not ready before %s (ready)",
               field->name, date);
        break;
    case RULE_ENTRY:
        sb_say(report, SB_ERROR, file, line,
               "in conflict: '%s' may be entered only after cleanout '%s' (entry)", field->name,
               setup->cleanouts[field->entry].id);
        break;
    case RULE_AFTER:
        sb_say(report, SB_ERROR, file, line, "in conflict: '%s' must be cut after '%s' (after)",
               field->name, season->fields[field->after[r->which]].name);
        break;
    case RULE_APART:
        sb_say(
            report, SB_ERROR, file, line,
            "in conflict: '%s' may be cut after a field of grower '%s' only if cleanout '%s' was "
            "done since (apart)",
            field->name, season->growers[field->apart[r->which].grower],
            field->apart[r->which].cleanout < 0
                ? "any full one"
                : setup->cleanouts[field->apart[r->which].cleanout].id);
        break;
    case RULE_WISH:
        say_wish(season, r->field, report);
        break;
    case RULE_SEED_LIMIT:
        sb_say(report, SB_ERROR, file, line,
               "in conflict: '%s' takes at most %g seeds/ha of %s (limit)", field->name,
               field->limit_seeds_ha[r->which], setup->weeds[r->which].id);
        break;
    case RULE_TANK_LIMIT:
        sb_say(report, SB_ERROR, file, line,
               "in conflict: grain of '%s' takes at most %g carried-in seeds/kg "
               "(tank_limit_seeds_kg)",
               field->name, field->tank_limit_seeds_kg);
        break;
    case RULE_FULL_CLEANOUTS:
        sb_say(report, SB_ERROR, NULL, 0, "in conflict: at most %g full cleanouts (limits)",
               setup->limits.full_cleanouts);
        break;
    case RULE_CLEANING_COST:
        sb_say(report, SB_ERROR, NULL, 0, "in conflict: at most %g %s on cleanouts (limits)",
               setup->limits.cleaning_cost, setup->currency);
        break;
    case RULE_SEASON_HOURS:
        sb_say(report, SB_ERROR, machine->file, machine->line,
               "in conflict: machine '%s' has %g hours (season_hours)", machine->id,
               machine->season_hours);
        break;
    case RULE_CALENDAR_END:
        sb_date_format(setup->calendar.end_day, date);
        sb_say(report, SB_ERROR, NULL, 0, "in conflict: the season ends on %s (calendar)", date);
        break;
    case RULE_MACHINE_FROM:
        sb_date_format(machine->from_day, date);
        sb_say(report, SB_ERROR, machine->file, machine->line,
               "in conflict: machine '%s' does not set out before %s (from)", machine->id, date);
        break;
    case RULE_MACHINE_TO:
        sb_date_format(machine->to_day, date);
        sb_say(report, SB_ERROR, machine->file, machine->line,
               "in conflict: machine '%s' has to be back and clean by %s (to)", machine->id, date);
        break;
    case RULE_KINDS:
        break;
    }
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

static bool is_of_hours(rule_kind kind)
{
    return kind == RULE_SEASON_HOURS || kind == RULE_CALENDAR_END || kind == RULE_MACHINE_FROM ||
           kind == RULE_MACHINE_TO;
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
    sb_status status = SB_ERR_NOMEM;
    if (!list_rules(&q))
        goto out;
    for (int kind = 0; kind < RULE_KINDS && q.status == SB_OK; kind++)
        try_dropping(&q, (rule_kind)kind, SIZE_MAX);
    for (size_t r = 0; r < q.rules.count && q.status == SB_OK; r++)
        if (!q.rules.items[r].dropped)
            try_dropping(&q, q.rules.items[r].kind, r);
    status = q.status;
    if (status != SB_OK)
        goto out;
    sb_say(report, SB_ERROR, NULL, 0, "no plan can keep these rules together:");
    size_t said = 0;
    bool of_hours = false;
    for (size_t r = 0; r < q.rules.count; r++)
        if (!q.rules.items[r].dropped) {
            say_rule(&q, &q.rules.items[r], report);
            of_hours |= is_of_hours(q.rules.items[r].kind);
            said++;
        }
    if (of_hours)
        say_hours(season, machine, report);
    if (said == 0 && machine >= 0)
        say_ways(season, machine, report);
    else if (said == 0)
        sb_say(report, SB_ERROR, NULL, 0,
               "dates and rules are not the reason: the roads, and which machine may cut which "
               "field, allow no plan; `check` lists the fields that are closed to a machine");
    status = SB_ERR_INFEASIBLE;
out:
    sb_free(q.rules.items);
    return status;
}
