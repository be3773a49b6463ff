/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "seasons.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/** Tests have no use for half a season. */
static void *must(void *p)
{
    if (p == NULL)
        abort();
    return p;
}

static char *numbered(const char *word, size_t number)
{
    char *name = must(sb_alloc(32, 1));
    snprintf(name, 32, "%s %zu", word, number);
    return name;
}

static void plain_field(sb_season *season, size_t i)
{
    sb_field *field = &season->fields[i];
    field->name = numbered("Field", i + 1);
    field->grower = -1;
    field->place = (sb_lonlat){-96 + 0.05 * (double)i, 42};
    field->stated_area_ha = NAN;
    field->yield_t_ha = 3.4;
    field->material_kg_ha = 6800; /* as much material as grain */
    field->ready_day = field->latest_day = field->best_before_day = SB_NO_DAY;
    field->worth = 1;
    field->entry = -1;
    field->tank_limit_seeds_kg = INFINITY;
    support_set_area(season, (int)i, 20);
    for (size_t w = 0; w < SB_MAX_WEEDS; w++) {
        field->limit_seeds_ha[w] = INFINITY;
        field->loss_per_seed[w] = 0.05;
    }
}

static void plain_setup(sb_setup *setup, size_t n_weeds)
{
    if (sb_setup_builtin(setup) != SB_OK)
        abort();
    assert(n_weeds >= 1 && n_weeds <= setup->n_weeds && setup->n_machines == 1);
    while (setup->n_weeds > n_weeds)
        sb_weed_release(&setup->weeds[--setup->n_weeds]);
    sb_date_parse("2026-08-01", &setup->calendar.start_day);
    setup->calendar.end_day = SB_NO_DAY;
    setup->calendar.hours_per_day = 10;
    setup->calendar.day_starts_h = 9;
    setup->wage_per_hour = 25;
    setup->lost_time_per_hour = 100;
    setup->limits = (sb_limits){
        .full_cleanouts = INFINITY, .cleaning_cost = INFINITY, .loss_per_grower = INFINITY};
    sb_machine *machine = &setup->machines[0];
    machine->ha_per_hour = 4;
    machine->road_km_h = 20;
    machine->cost_per_km = 2;
    machine->cost_per_hour = 60;
    machine->season_hours = INFINITY;
}

sb_season *support_season_new(size_t n_fields, size_t n_weeds)
{
    sb_season *season = must(sb_alloc(1, sizeof *season));
    plain_setup(&season->setup, n_weeds);
    season->fields = must(sb_alloc(n_fields, sizeof *season->fields));
    season->n_fields = n_fields;
    for (size_t i = 0; i < n_fields; i++)
        plain_field(season, i);
    season->yards = must(sb_alloc(1, sizeof *season->yards));
    season->n_yards = 1;
    season->yards[0].name = must(sb_strdup("Shop"));
    season->yards[0].place = (sb_lonlat){-96, 42.05};
    season->n_places = n_fields + 1;
    season->km = must(sb_alloc(season->n_places * season->n_places, sizeof *season->km));
    for (size_t from = 0; from < season->n_places; from++)
        for (size_t to = 0; to < season->n_places; to++)
            season->km[from * season->n_places + to] = from == to ? 0 : 5;
    season->joins = must(sb_alloc(1, sizeof *season->joins));
    season->joins[0].start_cleanout = season->joins[0].final_cleanout = -1;
    return season;
}

void support_set_density(sb_season *season, int field, int weed, double plants_m2)
{
    sb_field *f = &season->fields[field];
    const sb_weed *w = &season->setup.weeds[weed];
    f->ratings[weed].source = SB_RATING_DENSITY;
    f->ratings[weed].density_plants_m2 = plants_m2;
    f->ratings[weed].low = f->ratings[weed].high = plants_m2;
    f->seeds_per_kg[weed] = plants_m2 * w->seeds_per_plant * w->retained * (1 - w->header_loss) *
                            1e4 / f->material_kg_ha;
}

void support_rate(sb_season *season, size_t field, size_t weed, double plants_m2, double times)
{
    sb_rating *rating = &season->fields[field].ratings[weed];
    rating->source = SB_RATING_CLASS;
    rating->density_plants_m2 = plants_m2;
    rating->low = plants_m2 / times;
    rating->high = plants_m2 * times;
}

void support_set_area(sb_season *season, int field, double area_ha)
{
    sb_field *f = &season->fields[field];
    f->area_ha = area_ha;
    f->grain_t = area_ha * f->yield_t_ha;
}

void support_set_km(sb_season *season, int from, int to, double km)
{
    season->km[(size_t)from * season->n_places + (size_t)to] = km;
}

void support_add_after(sb_season *season, int field, int earlier)
{
    sb_field *f = &season->fields[field];
    f->after = must(sb_resize(f->after, f->n_after + 1, sizeof *f->after));
    f->after[f->n_after++] = earlier;
}

void support_keep_levels(sb_season *season, size_t n_levels)
{
    sb_setup *setup = &season->setup;
    assert(n_levels >= 2 && n_levels <= setup->n_cleanouts);
    while (setup->n_cleanouts > n_levels)
        sb_cleanout_release(&setup->cleanouts[--setup->n_cleanouts]);
    for (size_t level = 0; level < n_levels; level++)
        setup->cleanouts[level].full = level == n_levels - 1;
}

void support_add_yard_mate(sb_season *season, const char *id)
{
    sb_setup *setup = &season->setup, copy;
    if (sb_setup_copy(setup, &copy) != SB_OK)
        abort();
    size_t n = setup->n_machines;
    setup->machines = must(sb_resize(setup->machines, n + 1, sizeof *setup->machines));
    season->joins = must(sb_resize(season->joins, n + 1, sizeof *season->joins));
    setup->machines[n] = copy.machines[0]; /* handed over */
    season->joins[n] = season->joins[0];
    copy.machines[0] = (sb_machine){0};
    sb_setup_release(&copy);
    sb_free(setup->machines[n].id);
    setup->machines[n].id = must(sb_strdup(id));
    setup->n_machines = n + 1;
}

int support_add_grower(sb_season *season, const char *name)
{
    size_t n = season->n_growers;
    season->growers = must(sb_resize(season->growers, n + 1, sizeof *season->growers));
    season->growers[n] = must(sb_strdup(name));
    season->n_growers = n + 1;
    return (int)n;
}

void support_add_apart(sb_season *season, int field, int grower, int cleanout)
{
    sb_field *f = &season->fields[field];
    f->apart = must(sb_resize(f->apart, f->n_apart + 1, sizeof *f->apart));
    f->apart[f->n_apart++] = (sb_apart){.grower = grower, .cleanout = cleanout};
}

void support_add_only(sb_season *season, int field, int machine)
{
    sb_field *f = &season->fields[field];
    f->only = must(sb_resize(f->only, f->n_only + 1, sizeof *f->only));
    f->only[f->n_only++] = machine;
}

int support_add_resource(sb_season *season, int count)
{
    sb_setup *setup = &season->setup;
    size_t n = setup->n_resources;
    setup->resources = must(sb_resize(setup->resources, n + 1, sizeof *setup->resources));
    setup->resources[n] = (sb_resource){.count = count};
    setup->resources[n].id = numbered("resource", n + 1);
    setup->resources[n].name = numbered("Resource", n + 1);
    setup->n_resources = n + 1;
    return (int)n;
}
