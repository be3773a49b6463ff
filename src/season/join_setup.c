/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Are the numbers of the setup possible, whoever wrote them? And the calendar's dates. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "season/join.h"

typedef enum { SHARE, ABOVE_ZERO, AT_LEAST_ZERO } range;

static const char *const range_texts[] = {"0 to 1", "a number above 0", "a number of at least 0"};

/* What is judged, and where it was said. */
typedef struct subject {
    sb_joining *join;
    const char *kind, *id; /* "weed", "kochia" */
    const char *file;
    size_t line;
} subject;

static void check(const subject *of, const char *attribute, double value, range allowed)
{
    bool fine =
        value >= 0 && (allowed != SHARE || value <= 1) && (allowed != ABOVE_ZERO || value > 0);
    if (!fine)
        SB_JOIN_BAD(of->join, of->file, of->line, "%s '%s': %s is %g, expected %s", of->kind,
                    of->id, attribute, value, range_texts[allowed]);
}

static void check_weeds(sb_joining *join, const char *file)
{
    const sb_setup *setup = &join->season->setup;
    for (size_t i = 0; i < setup->n_weeds; i++) {
        const sb_weed *weed = &setup->weeds[i];
        subject of = {join, "weed", weed->id, weed->line > 0 ? file : NULL, weed->line};
        check(&of, "seeds_per_plant", weed->seeds_per_plant, ABOVE_ZERO);
        check(&of, "retained", weed->retained, SHARE);
        check(&of, "header_loss", weed->header_loss, SHARE);
        check(&of, "viability", weed->viability, SHARE);
        check(&of, "emergence", weed->emergence, SHARE);
        check(&of, "survival", weed->survival, SHARE);
        check(&of, "control", weed->control, SHARE);
        check(&of, "cost_per_plant", weed->cost_per_plant, AT_LEAST_ZERO);
        check(&of, "crowding_plants_m2", weed->crowding_plants_m2, ABOVE_ZERO);
    }
}

static void check_crops(sb_joining *join, const char *file)
{
    const sb_setup *setup = &join->season->setup;
    for (size_t i = 0; i < setup->n_crops; i++) {
        const sb_crop *crop = &setup->crops[i];
        subject of = {join, "crop", crop->id, crop->line > 0 ? file : NULL, crop->line};
        check(&of, "yield_t_ha", crop->yield_t_ha, ABOVE_ZERO);
        check(&of, "mog_per_grain", crop->mog_per_grain, AT_LEAST_ZERO);
        check(&of, "price_per_t", crop->price_per_t, AT_LEAST_ZERO);
        check(&of, "delay_per_day", crop->delay_per_day, SHARE);
    }
}

static void check_keep(const subject *of, const char *section, const char *pool, double kept)
{
    if (!(kept >= 0 && kept <= 1))
        SB_JOIN_BAD(of->join, of->file, of->line,
                    "cleanout '%s' keeps %g of the %s seed in section %s, expected 0 to 1: no "
                    "cleanout leaves more than it found",
                    of->id, kept, pool, section);
}

static void check_cleanouts(sb_joining *join, const char *file)
{
    const sb_setup *setup = &join->season->setup;
    for (size_t i = 0; i < setup->n_cleanouts; i++) {
        const sb_cleanout *level = &setup->cleanouts[i];
        subject of = {join, "cleanout", level->id, level->line > 0 ? file : NULL, level->line};
        check(&of, "minutes", level->minutes, AT_LEAST_ZERO);
        check(&of, "people", level->people, AT_LEAST_ZERO);
        check(&of, "supplies_cost", level->supplies_cost, AT_LEAST_ZERO);
        bool changes = level->minutes > 0 || level->supplies_cost > 0 || level->full;
        for (size_t s = 0; s < setup->n_sections; s++) {
            const char *section = setup->machines[0].sections[s].id;
            check_keep(&of, section, "loose", level->keep_loose[s]);
            check_keep(&of, section, "lodged", level->keep_lodged[s]);
            changes = changes || level->keep_loose[s] != 1 || level->keep_lodged[s] != 1;
        }
        if (i == 0 && changes)
            SB_JOIN_BAD(join, of.file, of.line,
                        "cleanout '%s' does something, expected it to take no time and keep "
                        "everything; give a level of your own another id",
                        level->id);
    }
}

static void check_machines(sb_joining *join)
{
    const sb_setup *setup = &join->season->setup;
    for (size_t i = 0; i < setup->n_machines; i++) {
        const sb_machine *machine = &setup->machines[i];
        subject of = {join, "machine", machine->id, machine->file, machine->line};
        check(&of, "ha_per_hour", machine->ha_per_hour, ABOVE_ZERO);
        check(&of, "road_km_h", machine->road_km_h, ABOVE_ZERO);
        check(&of, "cost_per_km", machine->cost_per_km, AT_LEAST_ZERO);
        check(&of, "cost_per_hour", machine->cost_per_hour, AT_LEAST_ZERO);
        check(&of, "season_hours", machine->season_hours, ABOVE_ZERO);
        check(&of, "header_m", machine->header_m, ABOVE_ZERO);
        check(&of, "most_slope_percent", machine->most_slope_percent, ABOVE_ZERO);
        for (size_t c = 0; machine->crop_ha_per_hour != NULL && c < setup->n_crops; c++)
            if (!isnan(machine->crop_ha_per_hour[c]))
                check(&of, "ha_per_hour in a crop", machine->crop_ha_per_hour[c], ABOVE_ZERO);
        for (size_t s = 0; s < setup->n_sections; s++) {
            const sb_section *section = &machine->sections[s];
            subject in = {join, "section", section->id, machine->file, machine->line};
            check(&in, "kg", section->kg, AT_LEAST_ZERO);
            check(&in, "lodged_share", section->lodged_share, SHARE);
            check(&in, "tau_loose_t", section->tau_loose_t, ABOVE_ZERO);
            check(&in, "tau_lodged_t", section->tau_lodged_t, ABOVE_ZERO);
            check(&in, "tank_share_small", section->tank_share_small, SHARE);
            check(&in, "tank_share_large", section->tank_share_large, SHARE);
        }
        for (size_t other = 0; other < i; other++)
            if (strcmp(setup->machines[other].id, machine->id) == 0)
                SB_JOIN_BAD(join, machine->file, machine->line,
                            "two machines have the id '%s', expected an id of its own for each",
                            machine->id);
    }
}

static void check_scale(sb_joining *join, const char *file)
{
    const sb_scale *scale = &join->season->setup.scale;
    file = scale->line > 0 ? file : NULL;
    if (scale->n_classes == 0)
        SB_JOIN_BAD(join, file, scale->line, "scale '%s' has no class, expected at least one",
                    scale->id);
    for (size_t i = 0; i < scale->n_classes; i++) {
        double density = scale->density_plants_m2[i];
        if (!(isfinite(density) && scale->low[i] >= 0 && scale->low[i] <= density &&
              density <= scale->high[i]))
            SB_JOIN_BAD(join, file, scale->line,
                        "class '%s' of scale '%s' means %g plants/m2 within %g to %g, expected "
                        "low <= plants_m2 <= high",
                        scale->labels[i], scale->id, density, scale->low[i], scale->high[i]);
    }
}

static void check_costs(sb_joining *join, const char *file)
{
    const sb_setup *setup = &join->season->setup;
    subject of = {join, "season", setup->currency, file, 0};
    check(&of, "wage_per_hour", setup->wage_per_hour, AT_LEAST_ZERO);
    check(&of, "lost_time_per_hour", setup->lost_time_per_hour, AT_LEAST_ZERO);
    check(&of, "full_cleanouts", setup->limits.full_cleanouts, AT_LEAST_ZERO);
    check(&of, "cleaning_cost", setup->limits.cleaning_cost, AT_LEAST_ZERO);
    check(&of, "loss_per_grower", setup->limits.loss_per_grower, AT_LEAST_ZERO);
    if (!(setup->detour >= 1 && isfinite(setup->detour)))
        SB_JOIN_BAD(join, file, 0,
                    "travel: detour is %g, expected a number of at least 1: no road is shorter "
                    "than the straight line",
                    setup->detour);
}

static void check_sizes(sb_joining *join, const char *file)
{
    const sb_setup *setup = &join->season->setup;
    const struct {
        const char *what;
        size_t n, most;
    } lists[] = {
        {"weeds", setup->n_weeds, SB_MAX_WEEDS},
        {"cleanouts", setup->n_cleanouts, SB_MAX_LEVELS},
        {"sections", setup->n_sections, SB_MAX_SECTIONS},
    };
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        if (lists[i].n == 0 || lists[i].n > lists[i].most)
            SB_JOIN_BAD(join, file, 0, "the season has %zu %s, expected 1 to %zu", lists[i].n,
                        lists[i].what, lists[i].most);
    if (setup->n_machines == 0)
        SB_JOIN_BAD(join, file, 0, "the season has no machine, expected at least one");
    if (setup->n_crops == 0)
        SB_JOIN_BAD(join, file, 0, "the season has no crop, expected at least one");
}

void sb_join_check_setup(sb_joining *join)
{
    const char *file = join->draft->season_file;
    check_sizes(join, file);
    if (join->errors > 0)
        return;
    check_scale(join, file);
    check_weeds(join, file);
    check_crops(join, file);
    check_cleanouts(join, file);
    check_machines(join);
    check_costs(join, file);
}

/* ---- Calendar ---- */

static int by_day(const void *a, const void *b)
{
    int first = *(const int *)a, second = *(const int *)b;
    return (first > second) - (first < second);
}

static void sort_blocked(sb_calendar *calendar)
{
    if (calendar->n_blocked == 0)
        return;
    qsort(calendar->blocked, calendar->n_blocked, sizeof *calendar->blocked, by_day);
    size_t kept = 1;
    for (size_t i = 1; i < calendar->n_blocked; i++)
        if (calendar->blocked[i] != calendar->blocked[kept - 1])
            calendar->blocked[kept++] = calendar->blocked[i];
    calendar->n_blocked = kept;
}

/* The season begins when the first field is ready, unless a file says otherwise. */
static void assume_start(sb_joining *join)
{
    sb_season *season = join->season;
    if (season->setup.calendar_start_given)
        return;
    join->start_assumed = true;
    int earliest = SB_NO_DAY;
    for (size_t i = 0; i < season->n_fields; i++) {
        int ready = season->fields[i].ready_day;
        if (ready != SB_NO_DAY && (earliest == SB_NO_DAY || ready < earliest))
            earliest = ready;
    }
    if (earliest != SB_NO_DAY)
        season->setup.calendar.start_day = earliest;
}

/* A field that has stood ripe for longer when the season begins is rather one of another year. */
#define RIPE_DAYS 60

/* Fields that stand ripe when the season begins, as after a season's first weeks: one note. */
static void tell_ready_before(sb_joining *join)
{
    const sb_season *season = join->season;
    int start_day = season->setup.calendar.start_day;
    const sb_field *first = NULL;
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        if (field->ready_day == SB_NO_DAY || field->ready_day >= start_day)
            continue;
        n++;
        if (first == NULL || field->ready_day < first->ready_day)
            first = field;
    }
    if (n == 0)
        return;
    char start[11], day[11];
    sb_date_format(start_day, start);
    sb_date_format(first->ready_day, day);
    bool doubtful = start_day - first->ready_day > RIPE_DAYS;
    sb_say(join->report, doubtful ? SB_WARNING : SB_NOTE, first->file, first->line,
           "%zu field%s ready before the season starts on %s, '%s' first, on %s%s", n,
           n == 1 ? " is" : "s are", start, first->name, day,
           doubtful ? ": is the year right?" : "");
}

/* A machine's own dates, which must leave it some working hours of the season. */
static void check_windows(sb_joining *join)
{
    const sb_setup *setup = &join->season->setup;
    for (size_t m = 0; m < setup->n_machines; m++) {
        const sb_machine *machine = &setup->machines[m];
        char from[11] = "", to[11] = "";
        if (machine->from_day != SB_NO_DAY)
            sb_date_format(machine->from_day, from);
        if (machine->to_day != SB_NO_DAY)
            sb_date_format(machine->to_day, to);
        if (*from != '\0' && *to != '\0' && machine->to_day < machine->from_day) {
            SB_JOIN_BAD(join, machine->file, machine->line,
                        "machine '%s' is at work from %s to %s, expected the first day first",
                        machine->id, from, to);
            continue;
        }
        double from_h =
            *from == '\0' ? 0 : sb_calendar_hours_before(&setup->calendar, machine->from_day);
        double to_h =
            *to == '\0' ? INFINITY : sb_calendar_hours_through(&setup->calendar, machine->to_day);
        if (from_h >= fmin(to_h, sb_calendar_total_hours(&setup->calendar)))
            sb_say(join->report, SB_WARNING, machine->file, machine->line,
                   "machine '%s' has no working hour of the season between its dates%s%s%s%s: it "
                   "can cut nothing",
                   machine->id, *from != '\0' ? " from " : "", from, *to != '\0' ? " to " : "", to);
    }
}

void sb_join_calendar(sb_joining *join)
{
    sb_setup *setup = &join->season->setup;
    sb_calendar *calendar = &setup->calendar;
    const char *file = setup->calendar_line > 0 ? join->draft->season_file : NULL;
    size_t before = join->errors;
    sort_blocked(calendar);
    assume_start(join);
    if (!(calendar->hours_per_day > 0 && calendar->hours_per_day <= 24))
        SB_JOIN_BAD(join, file, setup->calendar_line,
                    "hours_per_day is %g, expected more than 0 and at most 24",
                    calendar->hours_per_day);
    if (!(calendar->day_starts_h >= 0 && calendar->day_starts_h < 24))
        SB_JOIN_BAD(join, file, setup->calendar_line, "day_starts is %g h, expected 0 to 24",
                    calendar->day_starts_h);
    if (calendar->end_day != SB_NO_DAY && calendar->end_day < calendar->start_day) {
        char start[11], end[11];
        sb_date_format(calendar->start_day, start);
        sb_date_format(calendar->end_day, end);
        SB_JOIN_BAD(join, file, setup->calendar_line,
                    "the season starts on %s and ends on %s, expected the start first", start, end);
    }
    if (join->errors == before)
        check_windows(join);
    tell_ready_before(join);
}
