/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Random seasons. Rules are drawn around a hidden plan, so that they bind without making every
 * season impossible: the hidden plan is walked with plain arithmetic, and what it needs (dates,
 * seeds, money) becomes the limit, with some room to spare. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "seasons.h"

/** A plan nobody sees, and what it came to. */
typedef struct hidden_plan {
    size_t n;
    int *order, *level;
    double *wait_h; /**< hours idle before each move, so that ready days can bind */
    double *arrive_h, *finish_h;
    double (*brought)[SB_MAX_WEEDS]; /**< seeds to the ground, by stop */
    double *tank;                    /**< seeds to the tank, all weeds, by stop */
    double cleaning_cost, full_cleanouts, leave_yard_h, end_h;
} hidden_plan;

static void *must_alloc(size_t n, size_t size)
{
    void *p = sb_alloc(n, size);
    if (p == NULL)
        abort();
    return p;
}

static void hidden_init(hidden_plan *plan, size_t n)
{
    plan->n = n;
    plan->order = must_alloc(n, sizeof *plan->order);
    plan->level = must_alloc(n, sizeof *plan->level);
    plan->wait_h = must_alloc(n, sizeof *plan->wait_h);
    plan->arrive_h = must_alloc(n, sizeof *plan->arrive_h);
    plan->finish_h = must_alloc(n, sizeof *plan->finish_h);
    plan->brought = must_alloc(n, sizeof *plan->brought);
    plan->tank = must_alloc(n, sizeof *plan->tank);
}

static void hidden_release(hidden_plan *plan)
{
    sb_free(plan->order);
    sb_free(plan->level);
    sb_free(plan->wait_h);
    sb_free(plan->arrive_h);
    sb_free(plan->finish_h);
    sb_free(plan->brought);
    sb_free(plan->tank);
}

static void hidden_draw(hidden_plan *plan, const sb_season *season, support_random *random)
{
    support_random_order(random, plan->order, plan->n);
    for (size_t i = 0; i < plan->n; i++) {
        plan->level[i] = (int)support_random_below(random, season->setup.n_cleanouts);
        plan->wait_h[i] =
            support_random_chance(random, 0.3) ? support_random_between(random, 0, 30) : 0;
    }
}

/** Cleans, sheds and takes in at stop i; the load is by pool and weed, all origins together. */
static void hidden_carry(hidden_plan *plan, const sb_season *season, size_t i,
                         double load[][SB_MAX_WEEDS])
{
    const sb_field *field = &season->fields[plan->order[i]];
    const sb_cleanout *cleanout = &season->setup.cleanouts[plan->level[i]];
    plan->tank[i] = 0;
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        plan->brought[i][w] = 0;
        for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++) {
            const sb_section *section = &season->setup.machines[0].sections[pool / 2];
            bool lodged = pool % 2 == 1;
            double keep = (lodged ? cleanout->keep_lodged : cleanout->keep_loose)[pool / 2];
            double tau = lodged ? section->tau_lodged_t : section->tau_loose_t;
            double share = lodged ? section->lodged_share : 1 - section->lodged_share;
            double gone = 1 - exp(-field->grain_t / tau);
            double shed = load[pool][w] * keep * gone;
            double to_ground = sb_season_ground_share(season, 0, (int)(pool / 2), (int)w);
            plan->brought[i][w] += shed * to_ground;
            plan->tank[i] += shed * (1 - to_ground);
            load[pool][w] =
                load[pool][w] * keep - shed + field->seeds_per_kg[w] * section->kg * share * gone;
        }
    }
}

/** Follows the hidden plan through dates, seeds and money. */
static void hidden_walk(hidden_plan *plan, const sb_season *season)
{
    double load[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS] = {0};
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            load[pool][w] = season->joins[0].start_seeds[pool * SB_MAX_WEEDS + w];
    double road_km_h = season->setup.machines[0].road_km_h, now_h = 0;
    int place = sb_season_yard_place(season, 0);
    plan->cleaning_cost = plan->full_cleanouts = 0;
    for (size_t i = 0; i < plan->n; i++) {
        int field = plan->order[i];
        const sb_cleanout *cleanout = &season->setup.cleanouts[plan->level[i]];
        double road_h = sb_season_km(season, place, field) / road_km_h;
        now_h += cleanout->minutes / 60 + plan->wait_h[i];
        now_h = fmax(now_h, sb_season_ready_h(season, field) - road_h);
        if (i == 0)
            plan->leave_yard_h = now_h;
        plan->arrive_h[i] = now_h + road_h;
        plan->finish_h[i] = plan->arrive_h[i] + sb_season_cutting_hours(season, 0, field);
        now_h = plan->finish_h[i];
        plan->cleaning_cost += sb_season_cleanout_cost(season, plan->level[i]);
        plan->full_cleanouts += cleanout->full;
        hidden_carry(plan, season, i, load);
        place = field;
    }
    now_h += sb_season_km(season, place, sb_season_yard_place(season, 0)) / road_km_h;
    int final_cleanout = season->joins[0].final_cleanout;
    plan->end_h =
        now_h + (final_cleanout < 0 ? 0 : season->setup.cleanouts[final_cleanout].minutes / 60);
}

static void draw_fields(sb_season *season, support_random *random)
{
    for (size_t i = 0; i < season->n_fields; i++) {
        sb_field *field = &season->fields[i];
        field->yield_t_ha = support_random_between(random, 2, 9);
        field->material_kg_ha = field->yield_t_ha * 1000 * support_random_between(random, 1.3, 2);
        support_set_area(season, (int)i,
                         support_random_chance(random, 0.125)
                             ? support_random_between(random, 0.02, 1)
                             : support_random_between(random, 2, 60));
        field->worth =
            support_random_chance(random, 0.1) ? 0 : support_random_between(random, .5, 3);
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            const sb_weed *weed = &season->setup.weeds[w];
            double plants_m2 =
                support_random_chance(random, 0.4) ? 0 : support_random_magnitude(random, 1e-4, 1);
            support_set_density(season, (int)i, (int)w, plants_m2);
            double room = 1 / (1 + plants_m2 / weed->crowding_plants_m2);
            field->occupied[w] = 1 - room * room;
            field->loss_per_seed[w] = field->worth * (1 - field->occupied[w]) * weed->viability *
                                      weed->emergence * weed->survival * (1 - weed->control) *
                                      weed->cost_per_plant;
        }
    }
}

static void draw_roads(sb_season *season, support_random *random, bool two_way)
{
    for (size_t p = 0; p < season->n_places; p++) {
        sb_lonlat place = {-96 + support_random_between(random, -0.18, 0.18),
                           42 + support_random_between(random, -0.13, 0.13)};
        if (p < season->n_fields)
            season->fields[p].place = place;
        else
            season->yards[p - season->n_fields].place = place;
    }
    for (size_t from = 0; from < season->n_places; from++)
        for (size_t to = 0; to < season->n_places; to++) {
            sb_lonlat a = from < season->n_fields ? season->fields[from].place
                                                  : season->yards[from - season->n_fields].place;
            sb_lonlat b = to < season->n_fields ? season->fields[to].place
                                                : season->yards[to - season->n_fields].place;
            /* 83 and 111 km a degree at 42 north: near enough for an invented road */
            double km = 1.3 * hypot(83 * (a.lon_deg - b.lon_deg), 111 * (a.lat_deg - b.lat_deg));
            if (two_way)
                km *= support_random_between(random, 0.9, 1.4);
            support_set_km(season, (int)from, (int)to, km);
        }
}

static void draw_machine(sb_season *season, support_random *random)
{
    sb_machine *machine = &season->setup.machines[0];
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        sb_section *section = &machine->sections[s];
        section->kg *= support_random_between(random, 0.7, 1.4);
        section->lodged_share = support_random_between(random, 0.3, 0.65);
        section->tau_loose_t = support_random_between(random, 0.05, 0.2);
        section->tau_lodged_t = support_random_between(random, 40, 120);
        /* One factor for all levels, so that a more thorough one stays more thorough. */
        double loose = support_random_between(random, 0.6, 1);
        double lodged = support_random_between(random, 0.6, 1);
        for (size_t level = 1; level < season->setup.n_cleanouts; level++) {
            season->setup.cleanouts[level].keep_loose[s] *= loose;
            season->setup.cleanouts[level].keep_lodged[s] *= lodged;
        }
    }
}

static void draw_start(sb_season *season, support_random *random)
{
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            if (support_random_chance(random, 0.5))
                season->joins[0].start_seeds[pool * SB_MAX_WEEDS + w] =
                    support_random_magnitude(random, 10, 1e5);
    if (support_random_chance(random, 0.5))
        season->joins[0].start_cleanout =
            (int)support_random_below(random, season->setup.n_cleanouts);
}

static void draw_blocked_days(sb_season *season, support_random *random)
{
    sb_calendar *calendar = &season->setup.calendar;
    calendar->blocked = must_alloc(20, sizeof *calendar->blocked);
    for (int day = 0; day < 40 && calendar->n_blocked < 20; day++)
        if (support_random_chance(random, 0.2))
            calendar->blocked[calendar->n_blocked++] = calendar->start_day + day;
}

static void draw_order_rules(sb_season *season, const hidden_plan *hidden, support_random *random,
                             const support_options *options)
{
    for (size_t i = 0; i < hidden->n; i++) {
        int field = hidden->order[i];
        if (options->precedence && i > 0 && support_random_chance(random, 0.3))
            support_add_after(season, field, hidden->order[support_random_below(random, i)]);
        if (options->entry_rules && hidden->level[i] > 0 && support_random_chance(random, 0.4))
            season->fields[field].entry =
                1 + (int)support_random_below(random, (size_t)hidden->level[i]);
    }
}

static void draw_missing_ways(sb_season *season, const hidden_plan *hidden, support_random *random)
{
    int yard = sb_season_yard_place(season, 0);
    size_t n = season->n_places;
    bool *needed = must_alloc(n * n, sizeof *needed);
    int place = yard;
    for (size_t i = 0; i < hidden->n; i++) {
        needed[(size_t)place * n + (size_t)hidden->order[i]] = true;
        place = hidden->order[i];
    }
    needed[(size_t)place * n + (size_t)yard] = true;
    for (size_t from = 0; from < n; from++)
        for (size_t to = 0; to < n; to++)
            if (from != to && !needed[from * n + to] && support_random_chance(random, 0.15))
                support_set_km(season, (int)from, (int)to, NAN);
    sb_free(needed);
}

static void draw_dates(sb_season *season, const hidden_plan *hidden, support_random *random)
{
    const sb_calendar *calendar = &season->setup.calendar;
    for (size_t i = 0; i < hidden->n; i++) {
        sb_field *field = &season->fields[hidden->order[i]];
        if (support_random_chance(random, 0.5))
            field->ready_day = sb_calendar_day(calendar, hidden->arrive_h[i], false) -
                               (int)support_random_below(random, 3);
        if (support_random_chance(random, 0.5))
            field->latest_day = sb_calendar_day(calendar, hidden->finish_h[i], true) +
                                (int)support_random_below(random, 4);
    }
}

static void draw_delay(sb_season *season, support_random *random)
{
    for (size_t i = 0; i < season->n_fields; i++)
        if (support_random_chance(random, 0.5)) {
            season->fields[i].best_before_day =
                season->setup.calendar.start_day + (int)support_random_below(random, 8);
            season->fields[i].delay_cost_per_day = support_random_between(random, 20, 400);
        }
}

static void draw_seed_rules(sb_season *season, const hidden_plan *hidden, support_random *random,
                            const support_options *options)
{
    for (size_t i = 0; i < hidden->n; i++) {
        sb_field *field = &season->fields[hidden->order[i]];
        size_t w = support_random_below(random, season->setup.n_weeds);
        if (options->seed_limits && support_random_chance(random, 0.3))
            field->limit_seeds_ha[w] = support_random_between(random, 1.001, 1.5) *
                                       (hidden->brought[i][w] + 1) / field->area_ha;
        if (options->tank_limits && support_random_chance(random, 0.3))
            field->tank_limit_seeds_kg = support_random_between(random, 1.001, 1.5) *
                                         (hidden->tank[i] + 1) / (1000 * field->grain_t);
    }
}

static void draw_season_rules(sb_season *season, const hidden_plan *hidden, support_random *random,
                              const support_options *options)
{
    sb_setup *setup = &season->setup;
    if (options->full_limit)
        setup->limits.full_cleanouts =
            hidden->full_cleanouts + (double)support_random_below(random, 2);
    if (options->spend_limit)
        setup->limits.cleaning_cost =
            support_random_between(random, 1.001, 1.2) * hidden->cleaning_cost;
    if (options->season_end) {
        setup->calendar.end_day = sb_calendar_day(&setup->calendar, hidden->end_h, true) +
                                  (int)support_random_below(random, 3);
        /* Generous: waiting for ready days stretches other plans too. */
        setup->machines[0].season_hours =
            support_random_between(random, 1.001, 1.3) * hidden->end_h;
    }
}

/** The levels that end a rule and that the hidden plan does before stop i, since it last cut a
 * field of that grower, be it before the season: one of them as the demand; -2: it cannot keep any.
 */
static int hidden_clearing(const hidden_plan *hidden, const sb_season *season, size_t i, int grower,
                           support_random *random)
{
    int most = 0;
    bool met = false;
    for (size_t t = i + 1; t-- > 0 && !met;) {
        most = hidden->level[t] > most ? hidden->level[t] : most;
        met = t > 0 && season->fields[hidden->order[t - 1]].grower == grower;
    }
    if (!met && (season->setup.machines[0].start != SB_START_FIELD ||
                 season->joins[0].start_grower != grower))
        return (int)support_random_below(random, season->setup.n_cleanouts) - 1;
    if (most == 0)
        return -2;
    return season->setup.cleanouts[most].full && support_random_chance(random, 0.5) ? -1 : most;
}

static void draw_apart(sb_season *season, const hidden_plan *hidden, support_random *random)
{
    while (season->n_growers < 3)
        support_add_grower(season, "grower");
    for (size_t j = 0; j < season->n_fields; j++)
        season->fields[j].grower = (int)support_random_below(random, 3);
    if (support_random_chance(random, 0.5)) {
        season->setup.machines[0].start = SB_START_FIELD;
        season->joins[0].start_grower = (int)support_random_below(random, 3);
    }
    for (size_t i = 0; i < hidden->n; i++) {
        int grower = (int)support_random_below(random, 3);
        int cleanout = hidden_clearing(hidden, season, i, grower, random);
        if (cleanout > -2 && support_random_chance(random, 0.6))
            support_add_apart(season, hidden->order[i], grower, cleanout);
    }
}

/** Dates of the machine within which the hidden plan stays. */
static void draw_window(sb_season *season, const hidden_plan *hidden, support_random *random)
{
    const sb_calendar *calendar = &season->setup.calendar;
    sb_machine *machine = &season->setup.machines[0];
    double clean_h = season->setup.cleanouts[hidden->level[0]].minutes / 60;
    if (support_random_chance(random, 0.7))
        machine->from_day =
            sb_calendar_day(calendar, fmax(hidden->leave_yard_h - clean_h, 0), false);
    if (support_random_chance(random, 0.7))
        machine->to_day =
            sb_calendar_day(calendar, hidden->end_h, true) + (int)support_random_below(random, 2);
}

/** Gates, slopes, crops and wishes: that let the machine pass, or, unless the season shall be
 * feasible, now and then do not. */
static void draw_passage(sb_season *season, support_random *random, bool feasible)
{
    sb_machine *machine = &season->setup.machines[0];
    double chance = feasible ? 0 : 0.04;
    machine->most_slope_percent = 12;
    machine->cuts_crop = must_alloc(season->setup.n_crops, sizeof *machine->cuts_crop);
    machine->cuts_crop[0] = true;
    for (size_t j = 0; j < season->n_fields; j++) {
        sb_field *field = &season->fields[j];
        if (support_random_chance(random, 0.5))
            field->gate_m = machine->header_m * (support_random_chance(random, chance) ? 0.99 : 1);
        field->slope_percent = support_random_chance(random, chance) ? 12.5 : 12;
        field->crop = support_random_chance(random, chance) ? 1 : 0;
        if (support_random_chance(random, 0.3))
            support_add_only(season, (int)j, support_random_chance(random, chance) ? -1 : 0);
    }
}

support_options support_every_rule(void)
{
    return (support_options){
        .n_weeds = 3,
        .n_levels = 4,
        .dates = true,
        .blocked_days = true,
        .precedence = true,
        .entry_rules = true,
        .seed_limits = true,
        .tank_limits = true,
        .delay = true,
        .start_load = true,
        .final_cleanout = true,
        .full_limit = true,
        .spend_limit = true,
        .season_end = true,
        .two_way_roads = true,
        .missing_ways = true,
        .varied_machine = true,
        .feasible = true,
    };
}

support_options support_random_options(uint64_t seed)
{
    support_random random = {seed ^ UINT64_C(0x5eedb4ea)};
    support_options options = {.feasible = true};
    options.n_weeds = 1 + support_random_below(&random, 5);
    options.n_levels = 2 + support_random_below(&random, 3);
    bool *rules[] = {&options.dates,         &options.blocked_days, &options.precedence,
                     &options.entry_rules,   &options.seed_limits,  &options.tank_limits,
                     &options.delay,         &options.start_load,   &options.final_cleanout,
                     &options.full_limit,    &options.spend_limit,  &options.season_end,
                     &options.two_way_roads, &options.missing_ways, &options.varied_machine};
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        *rules[i] = support_random_chance(&random, 0.5);
    return options;
}

/** The hidden plan for the next rule: the same one for all of a feasible season. */
static void next_hidden(hidden_plan *hidden, const sb_season *season, support_random *random,
                        bool feasible)
{
    if (!feasible)
        hidden_draw(hidden, season, random);
    hidden_walk(hidden, season);
}

sb_season *support_random_season(uint64_t seed, size_t n_fields, const support_options *options)
{
    support_random stream = {seed}, *random = &stream;
    sb_season *season = support_season_new(n_fields, options->n_weeds);
    support_keep_levels(season, options->n_levels);
    draw_fields(season, random);
    draw_roads(season, random, options->two_way_roads);
    if (options->varied_machine)
        draw_machine(season, random);
    if (options->start_load)
        draw_start(season, random);
    if (options->final_cleanout)
        season->joins[0].final_cleanout =
            1 + (int)support_random_below(random, options->n_levels - 1);
    if (options->blocked_days)
        draw_blocked_days(season, random);
    if (options->delay)
        draw_delay(season, random);

    hidden_plan hidden;
    hidden_init(&hidden, n_fields);
    hidden_draw(&hidden, season, random);
    draw_order_rules(season, &hidden, random, options);
    next_hidden(&hidden, season, random, options->feasible);
    if (options->dates)
        draw_dates(season, &hidden, random);
    next_hidden(&hidden, season, random, options->feasible);
    draw_seed_rules(season, &hidden, random, options);
    next_hidden(&hidden, season, random, options->feasible);
    draw_season_rules(season, &hidden, random, options);
    /* Last, because a plan over a missing way cannot be walked. */
    if (options->missing_ways)
        draw_missing_ways(season, &hidden, random);
    if (options->service) {
        support_random other = {seed ^ UINT64_C(0x5e41ce)}; /* the same season otherwise */
        draw_window(season, &hidden, &other);
        draw_apart(season, &hidden, &other);
        draw_passage(season, &other, options->feasible);
    }
    hidden_release(&hidden);
    return season;
}
