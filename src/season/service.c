/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/service.h"

#include <math.h>

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

sb_window sb_season_common_window(const sb_season *season, int machine, int field)
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
    sb_window window = sb_season_common_window(season, machine, field);
    return window.from_h + sb_season_cutting_hours(season, machine, field) <=
           window.to_h + SB_SAME_TIME_H;
}
