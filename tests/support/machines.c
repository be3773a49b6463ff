/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "machines.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "seasons.h"

#define YARD_TO_FIELD_KM 0.5

static void *must(void *p)
{
    if (p == NULL)
        abort();
    return p;
}

static char *numbered(const char *word, size_t number)
{
    char *name = must(sb_alloc(32, 1));
    snprintf(name, 32, "%s%zu", word, number);
    return name;
}

static void add_yard(sb_season *season)
{
    size_t n = season->n_places, first = season->n_fields;
    double *km = must(sb_alloc((n + 1) * (n + 1), sizeof *km));
    for (size_t i = 0; i <= n; i++)
        for (size_t j = 0; j <= n; j++) {
            size_t like_i = i < n ? i : first, like_j = j < n ? j : first;
            km[i * (n + 1) + j] = season->km[like_i * n + like_j];
        }
    sb_free(season->km);
    season->km = km;
    season->n_places = n + 1;
    season->yards = must(sb_resize(season->yards, season->n_yards + 1, sizeof *season->yards));
    season->yards[season->n_yards] = (sb_yard){.place = season->yards[0].place};
    season->yards[season->n_yards].name = numbered("Shop ", season->n_yards + 1);
    season->n_yards++;
}

int support_add_machine(sb_season *season)
{
    char *id = numbered("m", season->setup.n_machines + 1);
    support_add_yard_mate(season, id);
    sb_free(id);
    add_yard(season);
    int m = (int)season->setup.n_machines - 1;
    season->joins[m].yard = season->joins[m].start = (int)season->n_yards - 1;
    return m;
}

/* Puts a machine's yard beside a field. */
static void place_yard(sb_season *season, int machine, int field)
{
    int yard = sb_season_yard_place(season, machine);
    for (int j = 0; j < (int)season->n_places; j++) {
        if (j == yard)
            continue;
        support_set_km(season, yard, j, sb_season_km(season, field, j) + YARD_TO_FIELD_KM);
        support_set_km(season, j, yard, sb_season_km(season, j, field) + YARD_TO_FIELD_KM);
    }
}

/* The field that lies farthest from all yards placed so far. */
static int farthest_field(const sb_season *season, int machines)
{
    int best = 0;
    double best_km = -1;
    for (int j = 0; j < (int)season->n_fields; j++) {
        double nearest_km = INFINITY;
        for (int m = 0; m < machines; m++)
            nearest_km = fmin(nearest_km, sb_season_km(season, j, sb_season_yard_place(season, m)));
        if (nearest_km > best_km) {
            best = j;
            best_km = nearest_km;
        }
    }
    return best;
}

/* Dates of one machine's season, for so many machines. */
static void share_dates(sb_season *season, int machines)
{
    int first = sb_calendar_day(&season->setup.calendar, 0, false);
    for (size_t j = 0; j < season->n_fields; j++) {
        sb_field *field = &season->fields[j];
        if (field->ready_day != SB_NO_DAY)
            field->ready_day = first + (field->ready_day - first) / machines;
        if (field->latest_day != SB_NO_DAY)
            field->latest_day = first + (field->latest_day - first) / machines + 1;
    }
}

static void name_growers(sb_season *season, size_t growers)
{
    season->growers = must(sb_alloc(growers, sizeof *season->growers));
    for (; season->n_growers < growers; season->n_growers++)
        season->growers[season->n_growers] = numbered("Grower ", season->n_growers + 1);
    for (size_t j = 0; j < season->n_fields; j++)
        season->fields[j].grower = (int)(j * growers / season->n_fields);
}

sb_season *support_fleet_season(const bench_options *options, int machines)
{
    sb_season *season = must(bench_season(options));
    for (int m = 1; m < machines; m++) {
        int field = farthest_field(season, m);
        support_add_machine(season);
        place_yard(season, m, field);
        sb_machine *machine = &season->setup.machines[m];
        machine->ha_per_hour *= 1 + 0.1 * m;
        machine->cost_per_hour *= 1 + 0.05 * m;
        for (size_t s = 0; s < season->setup.n_sections; s++)
            machine->sections[s].kg *= 1 + 0.15 * m;
    }
    double hours = 0;
    for (size_t j = 0; j < season->n_fields; j++) {
        double rate = 0;
        for (int m = 0; m < machines; m++)
            rate += 1 / sb_season_cutting_hours(season, m, (int)j);
        hours += 1 / rate;
    }
    for (int m = 0; m < machines; m++)
        season->setup.machines[m].season_hours = 1.25 * hours;
    if (options->dates)
        share_dates(season, machines);
    name_growers(season, 3 + (size_t)machines);
    return season;
}

/* A machine that differs from the first in everything. */
static void draw_machine(sb_season *season, int m, support_random *random)
{
    sb_machine *machine = &season->setup.machines[m];
    machine->ha_per_hour *= support_random_between(random, 0.5, 2);
    machine->road_km_h *= support_random_between(random, 0.7, 1.4);
    machine->cost_per_km *= support_random_between(random, 0.5, 1.5);
    machine->cost_per_hour *= support_random_between(random, 0.5, 1.5);
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        machine->sections[s].kg *= support_random_between(random, 0.6, 1.6);
        machine->sections[s].tau_lodged_t *= support_random_between(random, 0.6, 1.6);
    }
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            season->joins[m].start_seeds[pool * SB_MAX_WEEDS + w] =
                support_random_chance(random, 0.2) ? support_random_magnitude(random, 10, 1e5) : 0;
    int levels = (int)season->setup.n_cleanouts;
    season->joins[m].final_cleanout =
        support_random_chance(random, 0.3) ? (int)support_random_below(random, (size_t)levels) : -1;
    int yard = sb_season_yard_place(season, m);
    for (int j = 0; j < (int)season->n_places; j++)
        if (j != yard) {
            support_set_km(season, yard, j, support_random_between(random, 1, 25));
            support_set_km(season, j, yard, support_random_between(random, 1, 25));
        }
}

sb_season *support_random_fleet(uint64_t seed, size_t n_fields, const support_options *options)
{
    sb_season *season = support_random_season(seed, n_fields, options);
    support_random stream = {seed ^ UINT64_C(0xf1ee7)}, *random = &stream;
    int m = support_add_machine(season);
    draw_machine(season, m, random);
    double cutting_h = 0;
    for (size_t j = 0; j < n_fields; j++)
        cutting_h += sb_season_cutting_hours(season, 0, (int)j);
    for (int k = 0; k <= m; k++) {
        double share = support_random_between(random, 0.4, 1.5);
        if (support_random_chance(random, 0.5))
            season->setup.machines[k].season_hours = share * cutting_h + 5;
    }
    return season;
}
