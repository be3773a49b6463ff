/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/board_words.h"

#include "write/words.h"

static void add_machine_of(const sb_season *season, const sb_plan *plan, size_t route,
                           sb_add_name *add_name, sb_text *text)
{
    add_name(text, season->setup.machines[plan->routes[route].machine].name);
}

static void add_until(const sb_season *season, const sb_wait *wait, sb_text *text)
{
    sb_text_addf(text, " (until ");
    sb_words_moment(text, &season->setup.calendar, wait->end_h, false);
    sb_text_addf(text, ")");
}

void sb_wait_words(const sb_season *season, const sb_plan *plan, const sb_wait *wait,
                   sb_add_name *add_name, sb_text *text)
{
    switch (wait->cause) {
    case SB_WAIT_UNKNOWN:
        break;
    case SB_WAIT_RIPE:
        sb_text_addf(text, " for ");
        add_name(text, season->fields[wait->which].name);
        sb_text_addf(text, " to ripen (");
        sb_words_day(text, season->fields[wait->which].ready_day);
        sb_text_addf(text, ")");
        break;
    case SB_WAIT_EARLIER:
        sb_text_addf(text, " for ");
        add_machine_of(season, plan, wait->route, add_name, text);
        sb_text_addf(text, " to cut ");
        add_name(text, season->fields[wait->which].name);
        add_until(season, wait, text);
        break;
    case SB_WAIT_SHARED:
        sb_text_addf(text, " for ");
        add_name(text, season->setup.resources[wait->which].name);
        sb_text_addf(text, ", in use by ");
        add_machine_of(season, plan, wait->route, add_name, text);
        add_until(season, wait, text);
        break;
    }
}

void sb_words_days_between(sb_text *text, const sb_calendar *calendar, int before, int after)
{
    int days = after - before - 1;
    int blocked = (int)(sb_calendar_blocked_through(calendar, after - 1) -
                        sb_calendar_blocked_through(calendar, before));
    const char *plural = days == 1 ? "" : "s";
    if (blocked == days)
        sb_text_addf(text, "%d blocked day%s", days, plural);
    else
        sb_text_addf(text, "%d day%s without work", days, plural);
    if (blocked > 0 && blocked < days)
        sb_text_addf(text, ", %d of them blocked", blocked);
}

int sb_wait_days(const sb_calendar *calendar, const sb_wait *wait)
{
    int first = sb_calendar_day(calendar, wait->begin_h, true) + 1;
    int last = sb_calendar_day(calendar, wait->end_h, false) - 1;
    bool worked =
        sb_calendar_hours_before(calendar, last + 1) > sb_calendar_hours_before(calendar, first);
    return last >= first && worked ? last - first + 1 : 0;
}
