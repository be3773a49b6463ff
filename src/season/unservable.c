/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What no order and no assignment can mend, told field by field or in hours; and what sets them. */
#include <math.h>

#include "base/report.h"
#include "season/service.h"

/* Machines that may work: [first, past). */
typedef struct machines {
    int first, past;
} machines;

/* A set of them, a bit for each of the first 64. */
#define EVERY_MACHINE UINT64_MAX

static bool in_set(uint64_t set, machines all, int machine)
{
    return set == EVERY_MACHINE ||
           (machine - all.first < 64 && (set >> (machine - all.first) & 1) != 0);
}

/* ---- What sets the hours at work ---- */

/* What ends a machine's season. */
typedef enum season_end { NEVER_ENDS, ENDS_BY_HOURS, ENDS_BY_TO, ENDS_BY_CALENDAR } season_end;

static season_end end_of(const sb_season *season, int m)
{
    const sb_machine *machine = &season->setup.machines[m];
    double to_h = sb_season_window(season, m).to_h;
    if (isinf(to_h))
        return NEVER_ENDS;
    if (machine->season_hours <= to_h)
        return ENDS_BY_HOURS;
    bool by_to = machine->to_day != SB_NO_DAY &&
                 sb_calendar_hours_through(&season->setup.calendar, machine->to_day) <= to_h;
    return by_to ? ENDS_BY_TO : ENDS_BY_CALENDAR;
}

void sb_season_say_blocked(const sb_season *season, int last_day, sb_report *report)
{
    const sb_setup *setup = &season->setup;
    size_t blocked = sb_calendar_blocked_through(&setup->calendar, last_day);
    if (blocked == 0)
        return;
    char last[11];
    sb_date_format(last_day, last);
    sb_say(report, SB_ERROR, setup->blocked_at.file, setup->blocked_at.line,
           "%zu day%s until %s %s blocked (blocked)", blocked, blocked == 1 ? "" : "s", last,
           blocked == 1 ? "is" : "are");
}

void sb_machine_say_from(const sb_machine *machine, const char *lead, sb_report *report)
{
    char date[11];
    sb_date_format(machine->from_day, date);
    sb_say(report, SB_ERROR, machine->file, machine->line,
           "%smachine '%s' does not set out before %s (from)", lead, machine->id, date);
}

void sb_machine_say_to(const sb_machine *machine, const char *lead, sb_report *report)
{
    char date[11];
    sb_date_format(machine->to_day, date);
    sb_say(report, SB_ERROR, machine->file, machine->line,
           "%smachine '%s' has to be back and clean by %s (to)", lead, machine->id, date);
}

static void say_end(const sb_season *season, int m, sb_report *report)
{
    const sb_machine *machine = &season->setup.machines[m];
    season_end end = end_of(season, m);
    if (end == ENDS_BY_HOURS)
        sb_say(report, SB_ERROR, machine->file, machine->line,
               "machine '%s' has %g hours from the start of the season (season_hours)", machine->id,
               machine->season_hours);
    if (end == ENDS_BY_TO)
        sb_machine_say_to(machine, "", report);
    if (machine->from_day > season->setup.calendar.start_day)
        sb_machine_say_from(machine, "", report);
}

/* Where the files set how long the machines of a set are at work. */
static void say_length(const sb_season *season, machines all, uint64_t set, sb_report *report)
{
    const sb_setup *setup = &season->setup;
    bool by_calendar = false;
    int last_day = setup->calendar.start_day - 1;
    for (int m = all.first; m < all.past; m++) {
        if (!in_set(set, all, m))
            continue;
        say_end(season, m, report);
        season_end end = end_of(season, m);
        by_calendar |= end == ENDS_BY_CALENDAR;
        if (end == ENDS_BY_TO && setup->machines[m].to_day > last_day)
            last_day = setup->machines[m].to_day;
    }
    if (by_calendar) {
        char date[11];
        last_day = setup->calendar.end_day;
        sb_date_format(last_day, date);
        sb_say(report, SB_ERROR, setup->calendar_end_at.file, setup->calendar_end_at.line,
               "the season ends on %s (calendar end), a day has %g hours (hours_per_day)", date,
               setup->calendar.hours_per_day);
    }
    sb_season_say_blocked(season, last_day, report);
}

/* ---- Field by field ---- */

/* Dates of a single machine are no matter here: the search names all rules that are in conflict. */
static bool served(const sb_season *season, machines all, int field)
{
    bool alone = all.past - all.first == 1;
    for (int m = all.first; m < all.past; m++)
        if (sb_season_may_cut(season, m, field) && (alone || sb_season_has_time(season, m, field)))
            return true;
    return false;
}

/* Is it the field's own last day that a machine has no time before? */
static bool ends_by_latest(const sb_season *season, int machine, int field)
{
    return sb_season_latest_h(season, field) <=
           sb_season_common_window(season, machine, field).to_h;
}

/* Is it the field's own first day, or the season's, that a machine has no time after? */
static bool begins_by_ready(const sb_season *season, int machine, int field)
{
    return sb_season_ready_h(season, field) >=
           sb_season_common_window(season, machine, field).from_h;
}

/* "it needs 4.4 hours to cut it and has 0.0 from the field's `ready` to its `to`" */
static void add_window(const sb_season *season, int machine, int field, sb_text *text)
{
    static const char *const ends[] = {[ENDS_BY_HOURS] = "its `season_hours`",
                                       [ENDS_BY_TO] = "its `to`",
                                       [ENDS_BY_CALENDAR] = "the calendar's `end`"};
    sb_window window = sb_season_common_window(season, machine, field);
    bool latest = ends_by_latest(season, machine, field);
    const char *from = "the start of the season";
    if (window.from_h > 0)
        from = begins_by_ready(season, machine, field)           ? "the field's `ready`"
               : season->joins[machine].start_h >= window.from_h ? "now"
                                                                 : "its `from`";
    sb_text_addf(
        text, "it needs %.1f hours to cut it and has %.1f from %s to %s%s",
        sb_season_cutting_hours(season, machine, field), fmax(window.to_h - window.from_h, 0), from,
        latest ? "the field's `latest`" : ends[end_of(season, machine)],
        !latest && season->joins[machine].final_cleanout >= 0 ? " less its final cleanout" : "");
}

/* "machine 'm1': its header is ..., the gate ...; machine 'm2': it needs 12.0 hours ..." */
static sb_status tell_why(const sb_season *season, machines all, int field, sb_report *report)
{
    const sb_field *f = &season->fields[field];
    sb_text why = {0};
    for (int m = all.first; m < all.past; m++) {
        sb_text_addf(&why, "%smachine '%s': ", m > all.first ? "; " : "",
                     season->setup.machines[m].id);
        if (!sb_season_may_cut(season, m, field)) {
            sb_season_add_hindrance(season, m, field, &why);
            continue;
        }
        add_window(season, m, field, &why);
    }
    sb_say(report, SB_ERROR, f->file, f->line, "no machine can cut field '%s': %s", f->name,
           sb_text_get(&why));
    bool failed = why.failed;
    sb_text_release(&why);
    return failed ? SB_ERR_NOMEM : SB_ERR_INFEASIBLE;
}

/* The machines whose own first or last hour leaves them no time for a field that they may cut. */
static uint64_t in_want_of_time(const sb_season *season, machines all, int field)
{
    uint64_t set = 0;
    for (int m = all.first; m < all.past && m - all.first < 64; m++)
        if (sb_season_may_cut(season, m, field) && !sb_season_has_time(season, m, field) &&
            !(ends_by_latest(season, m, field) && begins_by_ready(season, m, field)))
            set |= (uint64_t)1 << (m - all.first);
    return set;
}

/* ---- Hours of sets of machines ---- */

/* Of up to so many machines every set is looked at, of more only all together. */
#define MOST_IN_SETS 10
#define MOST_NAMED 8 /* fields that a message names; more are counted */

/* May nobody outside the set cut the field? */
static bool set_alone_cuts(const sb_season *season, machines all, uint64_t set, int field)
{
    for (int m = all.first; m < all.past; m++)
        if (!in_set(set, all, m) && sb_season_may_cut(season, m, field))
            return false;
    return true;
}

/* What a set of machines has to cut and may take for it. */
typedef struct burden {
    double needed_h;  /* cutting alone, each field by the fastest of the set that may cut it */
    double at_hand_h; /* all hours at work of the set, once the first of these fields is ready */
} burden;

static burden burden_of(const sb_season *season, machines all, uint64_t set)
{
    burden b = {0};
    double first_ready_h = INFINITY;
    for (int j = 0; j < (int)season->n_fields; j++) {
        if (!set_alone_cuts(season, all, set, j))
            continue;
        double least_h = INFINITY;
        for (int m = all.first; m < all.past; m++)
            if (in_set(set, all, m) && sb_season_may_cut(season, m, j))
                least_h = fmin(least_h, sb_season_cutting_hours(season, m, j));
        b.needed_h += least_h;
        first_ready_h = fmin(first_ready_h, sb_season_ready_h(season, j));
    }
    for (int m = all.first; m < all.past; m++) {
        sb_window window = sb_season_window(season, m);
        if (in_set(set, all, m))
            b.at_hand_h += fmax(window.to_h - fmax(window.from_h, first_ready_h), 0);
    }
    return b;
}

/* " for the fields that only machine 'a' may cut ('North', 'South')" */
static void add_whose(const sb_season *season, machines all, uint64_t set, sb_text *text)
{
    int n_machines = 0;
    size_t n_fields = 0;
    sb_text names = {0};
    for (int m = all.first; m < all.past; m++)
        if (in_set(set, all, m))
            sb_text_addf(&names, "%s'%s'", n_machines++ > 0 ? ", " : "",
                         season->setup.machines[m].id);
    sb_text_addf(text, " for the fields that only machine%s %s may cut (",
                 n_machines > 1 ? "s" : "", sb_text_get(&names));
    for (int j = 0; j < (int)season->n_fields; j++)
        if (set_alone_cuts(season, all, set, j) && n_fields++ < MOST_NAMED)
            sb_text_addf(text, "%s'%s'", n_fields > 1 ? ", " : "", season->fields[j].name);
    if (n_fields > MOST_NAMED)
        sb_text_addf(text, " and %zu more", n_fields - MOST_NAMED);
    sb_text_addf(text, ")");
    text->failed |= names.failed;
    sb_text_release(&names);
}

static sb_status tell_burden(const sb_season *season, machines all, uint64_t set, burden b,
                             sb_report *report)
{
    bool some = set != EVERY_MACHINE, alone = (set & (set - 1)) == 0;
    sb_text whose = {0};
    if (some)
        add_whose(season, all, set, &whose);
    sb_say(report, SB_ERROR, NULL, 0,
           "the season is too short by %.1f hours%s: cutting %s takes %.1f hours, %s %.1f hours "
           "at work",
           b.needed_h - b.at_hand_h, sb_text_get(&whose), some ? "them" : "all fields", b.needed_h,
           alone || all.past - all.first == 1 ? "the machine has" : "the machines have together",
           b.at_hand_h);
    say_length(season, all, set, report);
    bool failed = whose.failed;
    sb_text_release(&whose);
    return failed ? SB_ERR_NOMEM : SB_ERR_INFEASIBLE;
}

/* A set of machines may have more to cut than hours even where all together have enough: the
 * smallest such set is named, as it says most. */
static sb_status tell_too_short(const sb_season *season, machines all, sb_report *report)
{
    int n = all.past - all.first, fewest = n + 1;
    uint64_t past = n <= MOST_IN_SETS ? ((uint64_t)1 << n) - 1 : 0, found = EVERY_MACHINE;
    burden worst = burden_of(season, all, EVERY_MACHINE);
    for (uint64_t set = 1; set < past; set++) {
        int members = 0;
        for (uint64_t rest = set; rest != 0; rest &= rest - 1)
            members++;
        burden b = members < fewest ? burden_of(season, all, set) : (burden){0};
        if (b.needed_h <= b.at_hand_h + SB_SAME_TIME_H)
            continue;
        found = set;
        fewest = members;
        worst = b;
    }
    return worst.needed_h > worst.at_hand_h + SB_SAME_TIME_H
               ? tell_burden(season, all, found, worst, report)
               : SB_OK;
}

sb_status sb_season_unservable(const sb_season *season, int machine, sb_report *report)
{
    machines all = {machine < 0 ? 0 : machine,
                    machine < 0 ? (int)season->setup.n_machines : machine + 1};
    sb_status status = SB_OK;
    uint64_t in_want = 0; /* of time, for some field */
    for (int j = 0; j < (int)season->n_fields && status != SB_ERR_NOMEM; j++)
        if (!served(season, all, j)) {
            status = tell_why(season, all, j, report);
            in_want |= in_want_of_time(season, all, j);
        }
    if (in_want != 0)
        say_length(season, all, in_want, report);
    return status == SB_OK ? tell_too_short(season, all, report) : status;
}
