/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The independent checker. It shares no arithmetic with pricing and ordering: one walk from the
 * season's numbers, then claims against it, then rules. */
#include <math.h>

#include "base/mem.h"
#include "base/report.h"
#include "plan/plan.h"
#include "season/service.h"

/* A claim may differ by this much, relative: two orders of summing a few thousand numbers. */
#define CLAIM_SLACK 1e-9
/* Below this (seeds, km, hours, money) a number is the rounding of zero. */
#define CLAIM_FLOOR 1e-12

typedef struct checker {
    const sb_season *season;
    const sb_plan *plan;
    sb_severity severity;
    sb_report *report;
    size_t broken, false_claims;
    sb_breaches *breaches; /* NULL: only their number is asked for */
    bool no_memory;
    size_t *times_cut;       /* by field */
    const sb_stop **claimed; /* by field: the stop that cuts it, NULL: none */
    const sb_route **cut_by; /* by field: the route of that stop */
    struct use *uses;        /* cleanouts that need resources, as the plan claims */
    size_t n_uses;
    double *arrive_h, *finish_h;     /* by field, of its last cut */
    double (*brought)[SB_MAX_WEEDS]; /* by field */
    sb_cost cost;
    double *loss;                         /* by grower, last: of fields that name none */
    double cleaning_cost, full_cleanouts; /* final ones not counted */
} checker;

/* A cleanout that occupies what machines share. */
typedef struct use {
    const sb_route *route;
    double begin_h, end_h;
    unsigned needs;
} use;

/* One machine, somewhere on its walk. */
typedef struct machine_state {
    const sb_route *route;
    const sb_machine *machine;
    double load[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS];
    int place;
    double now_h, km_total;
} machine_state;

/* Counts a broken rule, notes it where that was asked for, and says it in the words that follow. */
#define BROKEN(check, breach, ...)                                        \
    do {                                                                  \
        note_broken(check, breach);                                       \
        sb_say((check)->report, (check)->severity, NULL, 0, __VA_ARGS__); \
    } while (0)

static void note_broken(checker *check, sb_breach breach)
{
    check->broken++;
    if (check->breaches != NULL && !SB_PUSH(check->breaches, breach))
        check->no_memory = true;
}

static sb_breach of_field(sb_broken_rule rule, int field, double allowed, double found)
{
    return (sb_breach){.rule = rule, .field = field, .allowed = allowed, .found = found};
}

static sb_breach of_machine(sb_broken_rule rule, const sb_route *route, double allowed,
                            double found)
{
    return (sb_breach){rule, -1, route->machine, allowed, found};
}

static const char *name_of(const checker *check, int place)
{
    const sb_season *season = check->season;
    size_t p = (size_t)place;
    return p < season->n_fields ? season->fields[p].name : season->yards[p - season->n_fields].name;
}

static const char *level_of(const checker *check, int cleanout)
{
    return check->season->setup.cleanouts[cleanout < 0 ? 0 : cleanout].id;
}

static bool over(double value, double limit)
{
    return value > limit + SB_RULE_SLACK * fabs(limit) + CLAIM_FLOOR;
}

/* Compares a claimed number with the checker's own. */
static void claim(checker *check, const char *whose, const char *what, double claimed, double own)
{
    if (claimed == own || (isnan(claimed) && isnan(own)))
        return;
    if (fabs(claimed - own) <= CLAIM_SLACK * fmax(fabs(claimed), fabs(own)) + CLAIM_FLOOR)
        return;
    check->false_claims++;
    sb_say(check->report, SB_ERROR, NULL, 0, "%s: the plan says %s %.12g, the check finds %.12g",
           whose, what, claimed, own);
}

/* ---- The walk: seeds ------------------------------------------------------------------------- */

static void clean_load(const checker *check, machine_state *state, int cleanout)
{
    const sb_cleanout *level = &check->season->setup.cleanouts[cleanout];
    for (size_t s = 0; s < check->season->setup.n_sections; s++)
        for (size_t w = 0; w < check->season->setup.n_weeds; w++) {
            state->load[2 * s][w] *= level->keep_loose[s];
            state->load[2 * s + 1][w] *= level->keep_lodged[s];
        }
}

/* Cuts a field: the load falls off exponentially with grain and fills up with the field's own. */
static void cut_field(const checker *check, machine_state *state, int field, double *ground,
                      double *tank)
{
    const sb_field *f = &check->season->fields[field];
    for (size_t w = 0; w < check->season->setup.n_weeds; w++) {
        bool large = check->season->setup.weeds[w].large_seed;
        ground[w] = tank[w] = 0;
        for (size_t s = 0; s < check->season->setup.n_sections; s++) {
            const sb_section *section = &state->machine->sections[s];
            double to_tank = large ? section->tank_share_large : section->tank_share_small;
            const double kg[] = {section->kg * (1 - section->lodged_share),
                                 section->kg * section->lodged_share};
            const double tau_t[] = {section->tau_loose_t, section->tau_lodged_t};
            for (size_t pool = 0; pool < 2; pool++) {
                double *load = &state->load[2 * s + pool][w];
                double exchanged = -expm1(-f->grain_t / tau_t[pool]);
                double shed = *load * exchanged;
                ground[w] += (1 - to_tank) * shed;
                tank[w] += to_tank * shed;
                *load = *load * exp(-f->grain_t / tau_t[pool]) +
                        exchanged * kg[pool] * f->seeds_per_kg[w];
            }
        }
    }
}

/* ---- Rules of one stop ------------------------------------------------------------------------
 */

static void check_service(checker *check, const sb_route *route, int field)
{
    if (sb_season_may_cut(check->season, route->machine, field))
        return;
    sb_text why = {0};
    sb_season_add_hindrance(check->season, route->machine, field, &why);
    BROKEN(check, of_field(SB_BROKEN_SERVICE, field, 0, route->machine),
           "machine '%s' may not cut '%s': %s", check->season->setup.machines[route->machine].id,
           name_of(check, field), sb_text_get(&why));
    sb_text_release(&why);
}

/* Looks back along the route to the last cleanout that clears each rule. */
static void check_apart(checker *check, const sb_route *route, const sb_stop *stop)
{
    const sb_season *season = check->season;
    const sb_field *field = &season->fields[stop->field];
    for (size_t a = 0; a < field->n_apart; a++) {
        const sb_apart *rule = &field->apart[a];
        const char *grower = season->growers[rule->grower];
        const char *demanded = rule->cleanout < 0 ? "a full one" : level_of(check, rule->cleanout);
        const sb_stop *at = stop;
        while (!sb_season_clears(season, at->cleanout, rule)) {
            if (at == route->stops) {
                if (sb_season_starts_after(season, route->machine, rule))
                    BROKEN(check, ((sb_breach){SB_BROKEN_APART, stop->field, rule->grower, 0, 0}),
                           "'%s' is kept apart from grower '%s', whose field machine '%s' comes "
                           "from; no cleanout (%s) in between",
                           field->name, grower, season->setup.machines[route->machine].id,
                           demanded);
                break;
            }
            at--;
            if (season->fields[at->field].grower == rule->grower) {
                BROKEN(check, ((sb_breach){SB_BROKEN_APART, stop->field, rule->grower, 0, 0}),
                       "'%s' is kept apart from grower '%s', whose '%s' machine '%s' cut before "
                       "it; no cleanout (%s) in between",
                       field->name, grower, name_of(check, at->field),
                       season->setup.machines[route->machine].id, demanded);
                break;
            }
        }
    }
}

static void check_entry(checker *check, const machine_state *state, const sb_stop *stop)
{
    int entry = check->season->fields[stop->field].entry;
    bool first = stop == state->route->stops;
    const struct sb_machine_join *join = &check->season->joins[state->route->machine];
    int on_record = join->start_cleanout;
    if (first && join->cleaned && stop->cleanout > 0 &&
        sb_season_satisfies(check->season, on_record, stop->cleanout))
        BROKEN(check, of_machine(SB_BROKEN_CLEANED_TWICE, state->route, on_record, stop->cleanout),
               "machine '%s' was cleaned where it stands, '%s': the plan does '%s' once more",
               state->machine->id, level_of(check, on_record), level_of(check, stop->cleanout));
    if (sb_season_satisfies(check->season, stop->cleanout, entry) ||
        (first && sb_season_satisfies(check->season, on_record, entry)))
        return;
    BROKEN(check, of_field(SB_BROKEN_ENTRY, stop->field, entry, stop->cleanout),
           "'%s' demands cleanout '%s' before entry, the plan does '%s'",
           name_of(check, stop->field), level_of(check, entry), level_of(check, stop->cleanout));
}

static void check_dates(checker *check, const sb_stop *stop)
{
    const sb_field *field = &check->season->fields[stop->field];
    char date[11], moment[17];
    if (stop->arrive_h < sb_season_ready_h(check->season, stop->field) - SB_SAME_TIME_H) {
        sb_date_format(field->ready_day, date);
        sb_calendar_stamp(&check->season->setup.calendar, stop->arrive_h, false, moment);
        BROKEN(check, of_field(SB_BROKEN_READY, stop->field, field->ready_day, stop->arrive_h),
               "'%s' is ready on %s, the plan begins to cut it at %s", field->name, date, moment);
    }
    if (stop->finish_h > sb_season_latest_h(check->season, stop->field) + SB_SAME_TIME_H) {
        sb_date_format(field->latest_day, date);
        sb_calendar_stamp(&check->season->setup.calendar, stop->finish_h, true, moment);
        BROKEN(check, of_field(SB_BROKEN_LATEST, stop->field, field->latest_day, stop->finish_h),
               "'%s' must be cut by %s, the plan finishes it at %s", field->name, date, moment);
    }
}

static void check_seeds(checker *check, int field, const double *ground, const double *tank)
{
    const sb_field *f = &check->season->fields[field];
    double tank_seeds = 0;
    for (size_t w = 0; w < check->season->setup.n_weeds; w++) {
        double per_ha = ground[w] / f->area_ha;
        tank_seeds += tank[w];
        if (over(per_ha, f->limit_seeds_ha[w]))
            BROKEN(check,
                   ((sb_breach){SB_BROKEN_SEED_LIMIT, field, (int)w, f->limit_seeds_ha[w], per_ha}),
                   "'%s' allows %g %s seeds per ha brought, the plan brings %g", f->name,
                   f->limit_seeds_ha[w], check->season->setup.weeds[w].id, per_ha);
    }
    double per_kg = tank_seeds / (f->grain_t * 1000);
    if (over(per_kg, f->tank_limit_seeds_kg))
        BROKEN(check, of_field(SB_BROKEN_TANK_LIMIT, field, f->tank_limit_seeds_kg, per_kg),
               "'%s' allows %g carried-in seeds per kg of grain, the plan brings %g", f->name,
               f->tank_limit_seeds_kg, per_kg);
}

/* ---- The walk: stops and routes ----------------------------------------------------------------
 */

/* Drives to a place; the way's cost and a missing way are noted. */
static double drive(checker *check, machine_state *state, int to, double *km)
{
    *km = sb_season_km(check->season, state->place, to);
    double hours = *km / state->machine->road_km_h;
    if (isnan(*km)) {
        BROKEN(check, ((sb_breach){SB_BROKEN_WAY, to, state->place, 0, 0}),
               "there is no way from '%s' to '%s'", name_of(check, state->place),
               name_of(check, to));
        check->cost.travel = INFINITY;
        hours = 0;
    } else {
        check->cost.travel +=
            *km * state->machine->cost_per_km + hours * state->machine->cost_per_hour;
    }
    state->km_total += *km;
    state->place = to;
    return hours;
}

/* When a cleanout begins: as soon as the machine is free, or, when it has to wait for what it
 * needs, at the moment another machine's cleanout ends that holds some of it. */
static double begin_cleanout(const checker *check, const sb_route *route, int cleanout,
                             double free_h, double claimed_h)
{
    unsigned needs = check->season->setup.cleanouts[cleanout].needs;
    for (size_t u = 0; u < check->n_uses && claimed_h > free_h; u++)
        if (check->uses[u].route != route && (check->uses[u].needs & needs) != 0 &&
            fabs(check->uses[u].end_h - claimed_h) <= SB_SAME_TIME_H)
            return claimed_h;
    return free_h;
}

/* The earliest moment to drive off, once clean: for the ready day, and for those earlier fields of
 * other machines that the plan does wait for (check_fields looks at the others). */
static double leave(const checker *check, const sb_route *route, const sb_stop *stop,
                    double cleaned_h, double road_h)
{
    const sb_field *field = &check->season->fields[stop->field];
    double ready_h = sb_season_ready_h(check->season, stop->field), leave_h = cleaned_h;
    if (ready_h > cleaned_h + road_h)
        leave_h = ready_h - road_h;
    for (size_t a = 0; a < field->n_after; a++) {
        const sb_stop *earlier = check->claimed[field->after[a]];
        if (earlier == NULL || check->cut_by[field->after[a]] == route)
            continue;
        double wait_h = earlier->finish_h - road_h;
        if (wait_h > leave_h && stop->leave_h >= wait_h - SB_SAME_TIME_H)
            leave_h = wait_h;
    }
    return leave_h;
}

static void claim_stop(checker *check, const sb_stop *stop, const sb_stop *own)
{
    const char *name = name_of(check, stop->field);
    claim(check, name, "km", stop->km, own->km);
    claim(check, name, "clean_h", stop->clean_h, own->clean_h);
    claim(check, name, "leave_h", stop->leave_h, own->leave_h);
    claim(check, name, "arrive_h", stop->arrive_h, own->arrive_h);
    claim(check, name, "finish_h", stop->finish_h, own->finish_h);
    claim(check, name, "loss", stop->loss, own->loss);
    claim(check, name, "delay_cost", stop->delay_cost, own->delay_cost);
    for (size_t w = 0; w < check->season->setup.n_weeds; w++) {
        claim(check, name, "seeds to the ground", stop->trace.ground[w], own->trace.ground[w]);
        claim(check, name, "seeds to the tank", stop->trace.tank[w], own->trace.tank[w]);
    }
}

static void check_stop(checker *check, machine_state *state, const sb_stop *stop)
{
    const sb_season *season = check->season;
    int field = stop->field;
    const sb_cleanout *cleanout = &season->setup.cleanouts[stop->cleanout];
    sb_stop own = {0};
    own.clean_h = begin_cleanout(check, state->route, stop->cleanout, state->now_h, stop->clean_h);
    double cleaned_h = own.clean_h + cleanout->minutes / 60;
    double road_h = drive(check, state, field, &own.km);
    own.leave_h = leave(check, state->route, stop, cleaned_h, road_h);
    own.arrive_h = own.leave_h + road_h;
    own.finish_h = own.arrive_h + sb_season_cutting_hours(season, state->route->machine, field);
    own.delay_cost = sb_season_delay_cost(season, field, own.finish_h);
    clean_load(check, state, stop->cleanout);
    cut_field(check, state, field, own.trace.ground, own.trace.tank);
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        own.loss += own.trace.ground[w] * season->fields[field].loss_per_seed[w];
        check->brought[field][w] += own.trace.ground[w];
    }
    int grower = season->fields[field].grower;
    check->loss[grower < 0 ? (int)season->n_growers : grower] += own.loss;
    claim_stop(check, stop, &own);

    check_service(check, state->route, field);
    check_entry(check, state, stop);
    check_apart(check, state->route, stop);
    check_dates(check, stop);
    check_seeds(check, field, own.trace.ground, own.trace.tank);
    check->cost.cleanout += sb_season_cleanout_cost(season, stop->cleanout);
    check->cost.spread += own.loss;
    check->cost.delay += own.delay_cost;
    check->cleaning_cost += sb_season_cleanout_cost(season, stop->cleanout);
    check->full_cleanouts += cleanout->full ? 1 : 0;
    check->times_cut[field]++;
    check->arrive_h[field] = own.arrive_h;
    check->finish_h[field] = own.finish_h;
    state->now_h = own.finish_h;
}

static void check_season_end(checker *check, const machine_state *state, double end_h)
{
    const sb_machine *machine = state->machine;
    const sb_calendar *calendar = &check->season->setup.calendar;
    if (end_h > machine->season_hours + SB_SAME_TIME_H)
        BROKEN(check,
               of_machine(SB_BROKEN_SEASON_HOURS, state->route, machine->season_hours, end_h),
               "machine '%s' has %g hours this season, the plan takes %g", machine->id,
               machine->season_hours, end_h);
    char date[11], moment[17];
    if (machine->to_day != SB_NO_DAY &&
        end_h > sb_calendar_hours_through(calendar, machine->to_day) + SB_SAME_TIME_H) {
        sb_date_format(machine->to_day, date);
        sb_calendar_stamp(calendar, end_h, true, moment);
        BROKEN(check, of_machine(SB_BROKEN_MACHINE_TO, state->route, machine->to_day, end_h),
               "machine '%s' has to be back and clean by %s, the plan ends at %s", machine->id,
               date, moment);
    }
    if (end_h > sb_calendar_total_hours(calendar) + SB_SAME_TIME_H) {
        sb_date_format(calendar->end_day, date);
        sb_calendar_stamp(calendar, end_h, true, moment);
        BROKEN(check, of_machine(SB_BROKEN_CALENDAR_END, state->route, calendar->end_day, end_h),
               "the season ends on %s, machine '%s' is back and clean at %s", date, machine->id,
               moment);
    }
    int demanded = check->season->joins[state->route->machine].final_cleanout;
    if (!sb_season_satisfies(check->season, state->route->final_cleanout, demanded))
        BROKEN(check,
               of_machine(SB_BROKEN_FINAL, state->route, demanded, state->route->final_cleanout),
               "machine '%s' must end the season with cleanout '%s', the plan does "
               "'%s'",
               machine->id, level_of(check, demanded),
               level_of(check, state->route->final_cleanout));
}

static void check_route(checker *check, const sb_route *route)
{
    const sb_season *season = check->season;
    machine_state state = {.route = route, .machine = &season->setup.machines[route->machine]};
    const double *start = season->joins[route->machine].start_seeds;
    for (size_t i = 0; i < 2 * season->setup.n_sections * SB_MAX_WEEDS; i++)
        state.load[i / SB_MAX_WEEDS][i % SB_MAX_WEEDS] = start[i];
    state.place = sb_season_start_place(season, route->machine);
    double start_h = 0, final_clean_h = 0;
    bool moves = route->n_stops > 0 || season->joins[route->machine].goes_home;
    if (moves && state.machine->from_day != SB_NO_DAY)
        start_h = sb_calendar_hours_before(&season->setup.calendar, state.machine->from_day);
    if (moves)
        start_h = fmax(start_h, season->joins[route->machine].start_h);
    state.now_h = start_h;
    for (size_t i = 0; i < route->n_stops; i++)
        check_stop(check, &state, &route->stops[i]);

    double km_home = 0, home_h = 0, end_h = 0;
    if (moves) {
        home_h = state.now_h +
                 drive(check, &state, sb_season_yard_place(season, route->machine), &km_home);
        end_h = final_clean_h = home_h;
        if (route->final_cleanout >= 0) {
            final_clean_h =
                begin_cleanout(check, route, route->final_cleanout, home_h, route->final_clean_h);
            end_h = final_clean_h;
            end_h += season->setup.cleanouts[route->final_cleanout].minutes / 60;
            check->cost.cleanout += sb_season_cleanout_cost(season, route->final_cleanout);
        }
        if (route->n_stops > 0) /* a way home that is late already is no choice of the plan */
            check_season_end(check, &state, end_h);
    }
    claim(check, state.machine->id, "start_h", route->start_h, start_h);
    claim(check, state.machine->id, "final_clean_h", route->final_clean_h, final_clean_h);
    claim(check, state.machine->id, "km_home", route->km_home, km_home);
    claim(check, state.machine->id, "km_total", route->km_total, state.km_total);
    claim(check, state.machine->id, "home_h", route->home_h, home_h);
    claim(check, state.machine->id, "end_h", route->end_h, end_h);
}

/* ---- The whole plan -----------------------------------------------------------------------------
 */

static void check_fields(checker *check)
{
    const sb_season *season = check->season;
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        if (check->times_cut[i] == 0)
            BROKEN(check, of_field(SB_BROKEN_NOT_ONCE, (int)i, 1, 0),
                   "'%s' is left out of the plan", field->name);
        if (check->times_cut[i] > 1)
            BROKEN(check, of_field(SB_BROKEN_NOT_ONCE, (int)i, 1, (double)check->times_cut[i]),
                   "'%s' is cut %zu times", field->name, check->times_cut[i]);
        for (size_t a = 0; a < field->n_after; a++) {
            size_t earlier = (size_t)field->after[a];
            if (check->times_cut[i] == 0 || check->times_cut[earlier] == 0)
                continue; /* said already */
            if (check->finish_h[earlier] > check->arrive_h[i] + SB_SAME_TIME_H)
                BROKEN(check, ((sb_breach){SB_BROKEN_AFTER, (int)i, (int)earlier, 0, 0}),
                       "'%s' must be cut after '%s', the plan cuts it before", field->name,
                       season->fields[earlier].name);
        }
    }
    const sb_limits *limits = &season->setup.limits;
    if (over(check->full_cleanouts, limits->full_cleanouts))
        BROKEN(
            check,
            of_field(SB_BROKEN_FULL_CLEANOUTS, -1, limits->full_cleanouts, check->full_cleanouts),
            "at most %g full cleanouts are allowed, the plan does %g", limits->full_cleanouts,
            check->full_cleanouts);
    if (over(check->cleaning_cost, limits->cleaning_cost))
        BROKEN(check,
               of_field(SB_BROKEN_CLEANING_COST, -1, limits->cleaning_cost, check->cleaning_cost),
               "at most %g %s may be spent on cleanouts, the plan spends %g", limits->cleaning_cost,
               season->setup.currency, check->cleaning_cost);
}

/* What the seeds brought to each grower's fields are expected to cost, wherever they come from. */
static void check_growers(checker *check)
{
    const sb_season *season = check->season;
    for (size_t g = 0; g <= season->n_growers; g++) {
        double most = season->setup.limits.loss_per_grower;
        if (g < season->n_growers && season->grower_most != NULL && season->grower_most[g] < most)
            most = season->grower_most[g];
        if (!over(check->loss[g], most))
            continue;
        if (g < season->n_growers)
            BROKEN(check, ((sb_breach){SB_BROKEN_GROWER, -1, (int)g, most, check->loss[g]}),
                   "the fields of grower '%s' may receive seeds worth %g %s of expected loss, the "
                   "plan brings %g",
                   season->growers[g], most, season->setup.currency, check->loss[g]);
        else
            BROKEN(check, ((sb_breach){SB_BROKEN_GROWER, -1, -1, most, check->loss[g]}),
                   "fields that name no grower may receive seeds worth %g %s of expected loss "
                   "together, the plan brings %g",
                   most, season->setup.currency, check->loss[g]);
    }
}

/* Every cleanout that needs something shared must find one of it free when it begins. */
static void check_resources(checker *check)
{
    const sb_setup *setup = &check->season->setup;
    for (size_t r = 0; r < setup->n_resources; r++)
        for (size_t u = 0; u < check->n_uses; u++) {
            const use *one = &check->uses[u];
            int held = 0;
            for (size_t v = 0; v < check->n_uses && (one->needs >> r & 1); v++) {
                const use *other = &check->uses[v];
                bool before = other->begin_h < one->begin_h - SB_SAME_TIME_H ||
                              (other->begin_h <= one->begin_h + SB_SAME_TIME_H && v <= u);
                held += (other->needs >> r & 1) && before &&
                        other->end_h > one->begin_h + SB_SAME_TIME_H;
            }
            if (held <= setup->resources[r].count)
                continue;
            char moment[17];
            sb_calendar_stamp(&setup->calendar, one->begin_h, false, moment);
            BROKEN(check,
                   ((sb_breach){SB_BROKEN_RESOURCE, -1, (int)r, setup->resources[r].count, held}),
                   "at %s %d machines need '%s', there %s %d", moment, held, setup->resources[r].id,
                   setup->resources[r].count == 1 ? "is" : "are", setup->resources[r].count);
        }
}

/* What the plan claims of moments that other machines wait for. */
static void add_use(checker *check, const sb_route *route, int cleanout, double begin_h)
{
    const sb_cleanout *level = &check->season->setup.cleanouts[cleanout];
    if (level->needs != 0 && level->minutes > 0)
        check->uses[check->n_uses++] =
            (use){route, begin_h, begin_h + level->minutes / 60, level->needs};
}

static sb_status note_claims(checker *check)
{
    const sb_plan *plan = check->plan;
    size_t cleanouts = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        cleanouts += plan->routes[r].n_stops + 1;
    check->claimed = sb_alloc(check->season->n_fields, sizeof(const sb_stop *));
    check->cut_by = sb_alloc(check->season->n_fields, sizeof(const sb_route *));
    check->uses = sb_alloc(cleanouts, sizeof *check->uses);
    if (check->claimed == NULL || check->cut_by == NULL || check->uses == NULL)
        return SB_ERR_NOMEM;
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        for (size_t i = 0; i < route->n_stops; i++) {
            const sb_stop *stop = &route->stops[i];
            check->claimed[stop->field] = stop;
            check->cut_by[stop->field] = route;
            add_use(check, route, stop->cleanout, stop->clean_h);
        }
        bool moves = route->n_stops > 0 || check->season->joins[route->machine].goes_home;
        if (moves && route->final_cleanout >= 0)
            add_use(check, route, route->final_cleanout, route->final_clean_h);
    }
    return SB_OK;
}

static void claim_ledger(checker *check)
{
    const sb_ledger *ledger = &check->plan->ledger;
    if (ledger->ground == NULL)
        return;
    for (size_t to = 0; to < ledger->n_fields; to++)
        for (size_t w = 0; w < ledger->n_weeds; w++) {
            double brought = 0;
            for (size_t from = 0; from <= ledger->n_fields; from++)
                brought += ledger->ground[(from * ledger->n_fields + to) * ledger->n_weeds + w];
            claim(check, name_of(check, (int)to), "in the ledger seeds brought", brought,
                  check->brought[to][w]);
        }
}

static void claim_costs(checker *check)
{
    const sb_cost *said = &check->plan->cost, *own = &check->cost;
    double total = own->travel + own->cleanout + own->spread + own->delay;
    claim(check, "whole season", "travel cost", said->travel, own->travel);
    claim(check, "whole season", "cleanout cost", said->cleanout, own->cleanout);
    claim(check, "whole season", "spread cost", said->spread, own->spread);
    claim(check, "whole season", "delay cost", said->delay, own->delay);
    claim(check, "whole season", "total cost", said->total, total);
    /* A plan that breaks rules may well undercut a bound on the plans that keep them. */
    double weight = check->plan->proof.spread_weight;
    double weighed = weight > 0 ? total + (weight - 1) * own->spread : total;
    if (check->broken == 0 && over(check->plan->proof.bound, weighed))
        claim(check, "whole season", "that no plan costs less than", check->plan->proof.bound,
              weighed);
}

/* The whole check with the answers in `check`. */
static sb_status run(checker *check)
{
    const sb_season *season = check->season;
    sb_status status = SB_ERR_NOMEM;
    check->times_cut = sb_alloc(season->n_fields, sizeof *check->times_cut);
    check->arrive_h = sb_alloc(season->n_fields, sizeof *check->arrive_h);
    check->finish_h = sb_alloc(season->n_fields, sizeof *check->finish_h);
    check->brought = sb_alloc(season->n_fields, sizeof *check->brought);
    check->loss = sb_alloc(season->n_growers + 1, sizeof *check->loss);
    if (check->times_cut == NULL || check->arrive_h == NULL || check->finish_h == NULL ||
        check->brought == NULL || check->loss == NULL)
        goto out;
    if (note_claims(check) != SB_OK)
        goto out;
    for (size_t r = 0; r < check->plan->n_routes; r++)
        check_route(check, &check->plan->routes[r]);
    check_resources(check);
    check_fields(check);
    check_growers(check);
    claim_ledger(check);
    claim_costs(check);
    status = check->no_memory ? SB_ERR_NOMEM : check->false_claims == 0 ? SB_OK : SB_ERR_INTERNAL;
out:
    sb_free(check->times_cut);
    sb_free(check->claimed);
    sb_free(check->cut_by);
    sb_free(check->uses);
    sb_free(check->arrive_h);
    sb_free(check->finish_h);
    sb_free(check->brought);
    sb_free(check->loss);
    return status;
}

sb_status sb_plan_check(const sb_season *season, const sb_plan *plan, sb_severity severity,
                        sb_report *report, size_t *broken)
{
    checker check = {.season = season, .plan = plan, .severity = severity, .report = report};
    sb_status status = run(&check);
    *broken = check.broken;
    return status;
}

sb_status sb_plan_breaches(const sb_season *season, const sb_plan *plan, sb_breaches *breaches)
{
    breaches->count = 0;
    checker check = {.season = season, .plan = plan, .severity = SB_NOTE, .breaches = breaches};
    return run(&check);
}
