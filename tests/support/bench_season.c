/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench_season.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/random.h"
#include "seasons.h"

#define PI 3.14159265358979323846
#define SPAN_KM 25.0   /* clusters lie within a square of this side */
#define CLUSTER_KM 1.5 /* standard deviation of fields around their cluster */
#define MEDIAN_HA 25.0
#define DETOUR 1.3

static double normal(sb_random *random)
{
    double u = 1 - sb_random_unit(random);
    return sqrt(-2 * log(u)) * cos(2 * PI * sb_random_unit(random));
}

/* Weeds that differ in seed output and control, as tension needs; invented in this combination. */
static void set_weeds(sb_season *season)
{
    static const double seeds_per_plant[3] = {1e5, 2e4, 5e3}, retained[3] = {.6, .9, .75},
                        control[3] = {.97, .98, .95};
    for (size_t k = 0; k < season->setup.n_weeds; k++) {
        sb_weed *weed = &season->setup.weeds[k];
        weed->seeds_per_plant = seeds_per_plant[k];
        weed->retained = retained[k];
        weed->header_loss = .25;
        weed->viability = .9;
        weed->emergence = .14;
        weed->survival = .9;
        weed->control = control[k];
        weed->cost_per_plant = 10;
        weed->crowding_plants_m2 = 1;
        weed->large_seed = false;
    }
}

static void set_costs(sb_season *season)
{
    static const double minutes[4] = {0, 22, 120, 315}, supplies[4] = {0, 5, 20, 60};
    sb_machine *machine = &season->setup.machines[0];
    machine->ha_per_hour = 3.2;
    machine->road_km_h = 25;
    machine->cost_per_km = 4;
    machine->cost_per_hour = 370;
    season->setup.wage_per_hour = 25;
    season->setup.lost_time_per_hour = 320;
    for (size_t l = 0; l < season->setup.n_cleanouts; l++) {
        season->setup.cleanouts[l].minutes = minutes[l];
        season->setup.cleanouts[l].people = 2;
        season->setup.cleanouts[l].supplies_cost = supplies[l];
    }
}

static void set_field(sb_season *season, int j, sb_random *random, const double *prevalence)
{
    static const double plants_m2[6] = {0, .00316, .0316, .316, 3.16, 20};
    sb_field *field = &season->fields[j];
    field->yield_t_ha = 2.5 + 1.5 * sb_random_unit(random);
    field->material_kg_ha = 2000 * field->yield_t_ha;
    support_set_area(season, j, fmin(fmax(MEDIAN_HA * exp(.65 * normal(random)), 8), 80));
    field->worth = sb_random_unit(random) < .1 ? 3 : 1;
    for (size_t k = 0; k < season->setup.n_weeds; k++) {
        const sb_weed *weed = &season->setup.weeds[k];
        double present = sb_random_unit(random), how = sb_random_unit(random);
        int rating = present >= prevalence[k] ? 0
                     : how < .3               ? 1
                     : how < .6               ? 2
                     : how < .8               ? 3
                     : how < .93              ? 4
                                              : 5;
        double density = plants_m2[rating];
        /* A crowded stand sets no more than so many seeds per m2. */
        double seeds_m2 = fmin(density * weed->seeds_per_plant, 3e4);
        field->ratings[k].density_plants_m2 = density;
        field->seeds_per_kg[k] =
            seeds_m2 * weed->retained * (1 - weed->header_loss) * 1e4 / field->material_kg_ha;
        field->occupied[k] = 1 - 1 / pow(1 + density / weed->crowding_plants_m2, 2);
        field->loss_per_seed[k] = field->worth * (1 - field->occupied[k]) * weed->viability *
                                  weed->emergence * weed->survival * (1 - weed->control) *
                                  weed->cost_per_plant;
    }
}

/* Dates around one hidden plan, wide enough to leave choice and narrow enough to matter. */
static void set_dates(sb_season *season, sb_random *random)
{
    size_t n = season->n_fields;
    sb_calendar *calendar = &season->setup.calendar;
    double hours = 0, now = 0;
    for (size_t j = 0; j < n; j++)
        hours += sb_season_cutting_hours(season, 0, (int)j) + 1;
    for (size_t j = 0; j < n; j++) {
        double width = hours * (.15 + .35 * sb_random_unit(random));
        double finish = now + sb_season_cutting_hours(season, 0, (int)j) + 1;
        sb_field *field = &season->fields[j];
        field->ready_day = sb_calendar_day(calendar, fmax(now - width, 0), false);
        if (sb_random_unit(random) < .6)
            field->latest_day = sb_calendar_day(calendar, finish + width, true);
        now = finish;
    }
}

sb_season *bench_season(const bench_options *options)
{
    int n = options->n_fields;
    sb_season *season = support_season_new((size_t)n, 3);
    sb_random random = sb_random_init(options->seed, (uint64_t)n);
    set_weeds(season);
    set_costs(season);
    int clusters = 4 + sb_random_below(&random, 3);
    double x[7], y[7], prevalence[3];
    for (int c = 0; c < clusters; c++) {
        x[c] = SPAN_KM * sb_random_unit(&random);
        y[c] = SPAN_KM * sb_random_unit(&random);
    }
    for (int k = 0; k < 3; k++)
        prevalence[k] = k < options->n_weeds ? .2 + .3 * sb_random_unit(&random) : 0;
    double *place = sb_alloc(2 * (size_t)(n + 1), sizeof *place);
    for (int j = 0; j < n; j++) {
        int c = sb_random_below(&random, clusters);
        place[2 * j] = x[c] + CLUSTER_KM * normal(&random);
        place[2 * j + 1] = y[c] + CLUSTER_KM * normal(&random);
        set_field(season, j, &random, prevalence);
    }
    place[2 * n] = x[0] + .5;
    place[2 * n + 1] = y[0] + .5;
    for (int i = 0; i <= n; i++)
        for (int j = 0; j <= n; j++)
            support_set_km(
                season, i, j,
                DETOUR * hypot(place[2 * i] - place[2 * j], place[2 * i + 1] - place[2 * j + 1]));
    sb_free(place);
    if (options->dates)
        set_dates(season, &random);
    return season;
}
