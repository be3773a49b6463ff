/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each rule is called when it is in conflict, and where it stands. */
#include "base/date.h"
#include "base/report.h"
#include "base/text.h"
#include "order/conflict_rules.h"
#include "season/service.h"

/* ---- Rules of a field ------------------------------------------------------------------------ */

static void say_latest(const sb_field *field, sb_stated at, sb_report *report)
{
    char date[11];
    sb_date_format(field->latest_day, date);
    sb_say(report, SB_ERROR, at.file, at.line, "in conflict: '%s' must be finished by %s (latest)",
           field->name, date);
}

static void say_ready(const sb_field *field, sb_stated at, sb_report *report)
{
    char date[11];
    sb_date_format(field->ready_day, date);
    sb_say(report, SB_ERROR, at.file, at.line, "in conflict: '%s' is not ready before %s (ready)",
           field->name, date);
}

static void say_wish(const sb_season *season, const sb_field *field, sb_stated at,
                     sb_report *report)
{
    sb_text ids = {0};
    for (size_t i = 0; i < field->n_only; i++)
        if (field->only[i] >= 0)
            sb_text_addf(&ids, "%s'%s'", ids.count > 0 ? ", " : "",
                         season->setup.machines[field->only[i]].id);
    sb_say(report, SB_ERROR, at.file, at.line, "in conflict: '%s' is for %s only (only)",
           field->name, sb_text_get(&ids));
    sb_text_release(&ids);
}

static void say_apart(const sb_season *season, const sb_field *field, const sb_apart *apart,
                      sb_stated at, sb_report *report)
{
    const char *cleanout =
        apart->cleanout < 0 ? "any full one" : season->setup.cleanouts[apart->cleanout].id;
    sb_say(report, SB_ERROR, at.file, at.line,
           "in conflict: '%s' may be cut after a field of grower '%s' only if cleanout '%s' was "
           "done since (apart)",
           field->name, season->growers[apart->grower], cleanout);
}

/* Where a rule of a field stands; where the field does when no file states it. */
static sb_stated place_of(const sb_field *field, const sb_rule *rule)
{
    sb_stated at = {0};
    switch (rule->kind) {
    case SB_RULE_LATEST:
        at = field->stated[SB_STATED_LATEST];
        break;
    case SB_RULE_READY:
        at = field->stated[SB_STATED_READY];
        break;
    case SB_RULE_ENTRY:
        at = field->stated[SB_STATED_ENTRY];
        break;
    case SB_RULE_WISH:
        at = field->stated[SB_STATED_ONLY];
        break;
    case SB_RULE_TANK_LIMIT:
        at = field->stated[SB_STATED_TANK_LIMIT];
        break;
    case SB_RULE_SEED_LIMIT:
        at = field->stated[SB_STATED_SEED_LIMIT + rule->which];
        break;
    case SB_RULE_AFTER:
        if (field->after_at != NULL)
            at = field->after_at[rule->which];
        break;
    case SB_RULE_APART:
        at = field->apart[rule->which].at;
        break;
    default:
        break;
    }
    return at.file != NULL ? at : (sb_stated){field->file, field->line};
}

static void say_of_field(const sb_season *season, const sb_rule *rule, sb_report *report)
{
    const sb_field *field = &season->fields[rule->field];
    sb_stated at = place_of(field, rule);
    switch (rule->kind) {
    case SB_RULE_LATEST:
        say_latest(field, at, report);
        break;
    case SB_RULE_READY:
        say_ready(field, at, report);
        break;
    case SB_RULE_ENTRY:
        sb_say(report, SB_ERROR, at.file, at.line,
               "in conflict: '%s' may be entered only after cleanout '%s' (entry)", field->name,
               season->setup.cleanouts[field->entry].id);
        break;
    case SB_RULE_AFTER:
        sb_say(report, SB_ERROR, at.file, at.line,
               "in conflict: '%s' must be cut after '%s' (after)", field->name,
               season->fields[field->after[rule->which]].name);
        break;
    case SB_RULE_APART:
        say_apart(season, field, &field->apart[rule->which], at, report);
        break;
    case SB_RULE_WISH:
        say_wish(season, field, at, report);
        break;
    case SB_RULE_SEED_LIMIT:
        sb_say(report, SB_ERROR, at.file, at.line,
               "in conflict: '%s' takes at most %g seeds/ha of %s (limit)", field->name,
               field->limit_seeds_ha[rule->which], season->setup.weeds[rule->which].id);
        break;
    case SB_RULE_TANK_LIMIT:
        sb_say(report, SB_ERROR, at.file, at.line,
               "in conflict: grain of '%s' takes at most %g carried-in seeds/kg "
               "(tank_limit_seeds_kg)",
               field->name, field->tank_limit_seeds_kg);
        break;
    default:
        break;
    }
}

/* ---- Rules of a machine and of the season ---------------------------------------------------- */

static void say_of_machine(const sb_machine *machine, sb_rule_kind kind, sb_report *report)
{
    if (kind == SB_RULE_SEASON_HOURS)
        sb_say(report, SB_ERROR, machine->file, machine->line,
               "in conflict: machine '%s' has %g hours (season_hours)", machine->id,
               machine->season_hours);
    else if (kind == SB_RULE_MACHINE_FROM)
        sb_machine_say_from(machine, "in conflict: ", report);
    else
        sb_machine_say_to(machine, "in conflict: ", report);
}

/* In a season that has begun, limits are what is left of them. */
static const char *left_over(const sb_season *season)
{
    for (size_t m = 0; m < season->setup.n_machines; m++)
        if (season->joins[m].goes_home)
            return "more ";
    return "";
}

static void say_of_season(const sb_season *season, sb_rule_kind kind, sb_report *report)
{
    const sb_setup *setup = &season->setup;
    const sb_limits *limits = &setup->limits;
    sb_stated at;
    char date[11];
    if (kind == SB_RULE_FULL_CLEANOUTS) {
        at = limits->full_cleanouts_at;
        sb_say(report, SB_ERROR, at.file, at.line, "in conflict: at most %g %sfull cleanouts (%s)",
               limits->full_cleanouts, left_over(season),
               at.file != NULL ? "limits" : "--full-cleanouts");
    } else if (kind == SB_RULE_CLEANING_COST) {
        at = limits->cleaning_cost_at;
        sb_say(report, SB_ERROR, at.file, at.line, "in conflict: at most %g %s %son cleanouts (%s)",
               limits->cleaning_cost, setup->currency, left_over(season),
               at.file != NULL ? "limits" : "--spend-limit");
    } else {
        at = setup->calendar_end_at;
        sb_date_format(setup->calendar.end_day, date);
        sb_say(report, SB_ERROR, at.file, at.line,
               "in conflict: the season ends on %s (calendar end)", date);
    }
}

void sb_rule_say(const sb_season *season, const sb_rule *rule, sb_report *report)
{
    if (rule->field >= 0)
        say_of_field(season, rule, report);
    else if (rule->kind == SB_RULE_SEASON_HOURS || rule->kind == SB_RULE_MACHINE_FROM ||
             rule->kind == SB_RULE_MACHINE_TO)
        say_of_machine(&season->setup.machines[rule->which], rule->kind, report);
    else
        say_of_season(season, rule->kind, report);
}
