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

/* Cutting alone, each field by the fastest machine that may cut it, against all hours at hand. */
static sb_status tell_too_short(const sb_season *season, machines all, sb_report *report)
{
    double needed_h = 0, first_ready_h = INFINITY, at_hand_h = 0;
    for (int j = 0; j < (int)season->n_fields; j++) {
        double least_h = INFINITY;
        for (int m = all.first; m < all.past; m++)
            if (sb_season_may_cut(season, m, j))
                least_h = fmin(least_h, sb_season_cutting_hours(season, m, j));
        needed_h += least_h;
        first_ready_h = fmin(first_ready_h, sb_season_ready_h(season, j));
    }
    for (int m = all.first; m < all.past; m++) {
        sb_window window = sb_season_window(season, m);
        at_hand_h += fmax(window.to_h - fmax(window.from_h, first_ready_h), 0);
    }
    if (needed_h <= at_hand_h + SB_SAME_TIME_H)
        return SB_OK;
    sb_say(report, SB_ERROR, NULL, 0,
           "the season is too short by %.1f hours: cutting all fields takes %.1f hours, %s "
           "%.1f hours at work",
           needed_h - at_hand_h, needed_h,
           all.past - all.first == 1 ? "the machine has" : "the machines have together", at_hand_h);
    return SB_ERR_INFEASIBLE;
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
