/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/service.h"

#include <math.h>

#include "base/report.h"

sb_hindrance sb_season_hindrance(const sb_season *season, int machine, int field)
{
    const sb_machine *m = &season->setup.machines[machine];
    const sb_field *f = &season->fields[field];
    bool wished = f->n_only == 0;
    for (size_t i = 0; i < f->n_only; i++)
        wished = wished || f->only[i] == machine;
    if (!wished)
        return SB_HINDERED_BY_WISH;
    if (m->cuts_crop != NULL && !m->cuts_crop[f->crop])
        return SB_HINDERED_BY_CROP;
    if (f->gate_m > 0 && m->header_m > f->gate_m)
        return SB_HINDERED_BY_GATE;
    return f->slope_percent > m->most_slope_percent ? SB_HINDERED_BY_SLOPE : SB_UNHINDERED;
}

bool sb_season_may_cut(const sb_season *season, int machine, int field)
{
    return sb_season_hindrance(season, machine, field) == SB_UNHINDERED;
}

void sb_season_add_hindrance(const sb_season *season, int machine, int field, sb_text *text)
{
    const sb_setup *setup = &season->setup;
    const sb_machine *m = &setup->machines[machine];
    const sb_field *f = &season->fields[field];
    switch (sb_season_hindrance(season, machine, field)) {
    case SB_UNHINDERED:
        break;
    case SB_HINDERED_BY_WISH:
        sb_text_addf(text, "the field is for ");
        for (size_t i = 0; i < f->n_only; i++)
            sb_text_addf(text, "%s'%s'", i > 0 ? ", " : "",
                         f->only[i] < 0 ? "another machine" : setup->machines[f->only[i]].id);
        sb_text_addf(text, " only");
        break;
    case SB_HINDERED_BY_CROP:
        sb_text_addf(text, "it does not cut %s", setup->crops[f->crop].id);
        break;
    case SB_HINDERED_BY_GATE:
        sb_text_addf(text, "its header is %g m wide, the gate %g m", m->header_m, f->gate_m);
        break;
    case SB_HINDERED_BY_SLOPE:
        sb_text_addf(text, "it may cut slopes of up to %g %%, the field has %g %%",
                     m->most_slope_percent, f->slope_percent);
        break;
    }
}

sb_window sb_season_window(const sb_season *season, int machine)
{
    const sb_machine *m = &season->setup.machines[machine];
    const sb_calendar *calendar = &season->setup.calendar;
    sb_window window = {0, fmin(m->season_hours, sb_calendar_total_hours(calendar))};
    if (m->from_day != SB_NO_DAY)
        window.from_h = sb_calendar_hours_before(calendar, m->from_day);
    window.from_h = fmax(window.from_h, season->joins[machine].start_h);
    if (m->to_day != SB_NO_DAY)
        window.to_h = fmin(window.to_h, sb_calendar_hours_through(calendar, m->to_day));
    return window;
}

/* From when to when a machine could cut a field: its own window and the field's, less the final
 * cleanout. */
static sb_window common_window(const sb_season *season, int machine, int field)
{
    sb_window window = sb_season_window(season, machine);
    int final_cleanout = season->joins[machine].final_cleanout;
    if (final_cleanout >= 0)
        window.to_h -= season->setup.cleanouts[final_cleanout].minutes / 60;
    window.from_h = fmax(window.from_h, sb_season_ready_h(season, field));
    window.to_h = fmin(window.to_h, sb_season_latest_h(season, field));
    return window;
}

bool sb_season_has_time(const sb_season *season, int machine, int field)
{
    sb_window window = common_window(season, machine, field);
    return window.from_h + sb_season_cutting_hours(season, machine, field) <=
           window.to_h + SB_SAME_TIME_H;
}

/* Machines that may work: [first, past). */
typedef struct machines {
    int first, past;
} machines;

/* Dates of a single machine are no matter here: the search names all rules that are in conflict. */
static bool served(const sb_season *season, machines all, int field)
{
    bool alone = all.past - all.first == 1;
    for (int m = all.first; m < all.past; m++)
        if (sb_season_may_cut(season, m, field) && (alone || sb_season_has_time(season, m, field)))
            return true;
    return false;
}

/* "machine 'm1': its header is ..., the gate ...; machine 'm2': it needs 12.0 hours, ..." */
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
        sb_window window = common_window(season, m, field);
        sb_text_addf(&why, "it needs %.1f hours to cut it, its dates and the field's leave %.1f",
                     sb_season_cutting_hours(season, m, field),
                     fmax(window.to_h - window.from_h, 0));
    }
    sb_say(report, SB_ERROR, f->file, f->line, "no machine can cut field '%s': %s", f->name,
           sb_text_get(&why));
    bool failed = why.failed;
    sb_text_release(&why);
    return failed ? SB_ERR_NOMEM : SB_ERR_INFEASIBLE;
}

/* Of up to so many machines every set is looked at, of more only all together: a bit for each. */
#define MOST_IN_SETS 10
#define EVERY_MACHINE UINT64_MAX
#define MOST_NAMED 8 /* fields that a message names; more are counted */

static bool in_set(uint64_t set, machines all, int machine)
{
    return set == EVERY_MACHINE || (set >> (machine - all.first) & 1);
}

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
    size_t n_fields;
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
        b.n_fields++;
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
    for (int j = 0; j < (int)season->n_fields && status != SB_ERR_NOMEM; j++)
        if (!served(season, all, j))
            status = tell_why(season, all, j, report);
    return status == SB_OK ? tell_too_short(season, all, report) : status;
}
