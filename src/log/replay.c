/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Replays a log in the order in which things happened: where every machine stands and what it
 * holds, what was cut, who gave what. */
#include <math.h>
#include <string.h>

#include "base/date.h"
#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "log/season.h"

/* Hectares counted on the machine and hectares of the outline differ by overlaps and headlands
 * (common practice, no source). */
#define AREA_SLACK 0.05

/* Longer work, or more time until the next, is a slip of the pen. */
#define MOST_WORK_DAYS 60
#define MOST_REST_DAYS 366
/* Work that is said to have been so long before what is in the log was not forgotten: its date is
 * mistyped. */
#define MOST_FORGOTTEN_DAYS 60

typedef struct replay {
    sb_log_state *state;
    const sb_season *season;
    const sb_log *log;
    const sb_log_entry *entry; /* the one at work */
    size_t index;
    sb_report *report;
} replay;

#define BAD(replay, ...) \
    sb_bad((replay)->report, (replay)->log->path, (replay)->entry->line, __VA_ARGS__)

static size_t n_pools(const sb_season *season)
{
    return 2 * season->setup.n_sections;
}

/* ---- Names ---------------------------------------------------------------------------------- */

static const char *field_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->fields[i].name;
}

static const char *machine_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->setup.machines[i].id;
}

static const char *cleanout_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->setup.cleanouts[i].id;
}

static const char *weed_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->setup.weeds[i].id;
}

static sb_status find(const replay *r, const char *what, const char *name, sb_name_at name_at,
                      size_t n, int *found)
{
    char excerpt[SB_EXCERPT_BYTES];
    for (size_t i = 0; i < n; i++)
        if (strcmp(name_at(r->season, i), name) == 0) {
            *found = (int)i;
            return SB_OK;
        }
    sb_text near = {0};
    sb_text_add_meant(&near, name, name_at, r->season, n);
    sb_status status =
        BAD(r, "no %s '%s' in the season%s", what, sb_excerpt(name, excerpt), sb_text_get(&near));
    sb_text_release(&near);
    return status;
}

static sb_status find_field(const replay *r, int *field)
{
    return find(r, "field", r->entry->field, field_at, r->season->n_fields, field);
}

/* A field or a yard. */
static sb_status find_place(const replay *r, const char *name, int *place)
{
    for (size_t i = 0; i < r->season->n_yards; i++)
        if (strcmp(r->season->yards[i].name, name) == 0) {
            *place = (int)(r->season->n_fields + i);
            return SB_OK;
        }
    return find(r, "field or yard", name, field_at, r->season->n_fields, place);
}

/* ---- Seeds ------------------------------------------------------------------------------------
 */

void sb_state_clean(sb_log_state *state, int machine, int cleanout, sb_tarp_state *tarp)
{
    const sb_season *season = state->season;
    const sb_cleanout *level = &season->setup.cleanouts[cleanout];
    sb_machine_state *m = &state->machines[machine];
    tarp->machine = machine;
    tarp->cleanout = cleanout;
    tarp->kg = sb_tarp_kg(season, machine, cleanout);
    for (size_t o = 0; o <= season->n_fields; o++)
        for (size_t pool = 0; pool < n_pools(season); pool++) {
            double keep = (pool % 2 ? level->keep_lodged : level->keep_loose)[pool / 2];
            for (size_t w = 0; w < season->setup.n_weeds; w++) {
                double *seeds = &m->loads[o].seeds[pool][w];
                tarp->seeds[w] += *seeds * (1 - keep);
                state->ledger.site[o * state->ledger.n_weeds + w] += *seeds * (1 - keep);
                *seeds *= keep;
            }
        }
    for (int l = 0; l <= SB_MAX_LEVELS; l++) {
        sb_apart any = {.grower = -1, .cleanout = l < SB_MAX_LEVELS ? l : -1};
        if ((l >= (int)season->setup.n_cleanouts && l < SB_MAX_LEVELS) ||
            sb_season_clears(season, cleanout, &any))
            for (size_t g = 0; g < season->n_growers; g++)
                m->cut_since[g] &= (uint16_t) ~(1U << l);
    }
    if (m->cleanout < 0 || sb_season_satisfies(season, cleanout, m->cleanout))
        m->cleanout = cleanout;
    m->cleaned = true;
    m->half_way = false;
    m->worked = true;
}

/* What one origin's seeds of a pool do in a field. */
static void shed(sb_log_state *state, int machine, int field, size_t origin, size_t pool,
                 const sb_passage *passage)
{
    const sb_season *season = state->season;
    sb_ledger *ledger = &state->ledger;
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        double *seeds = &state->machines[machine].loads[origin].seeds[pool][w];
        double falls = *seeds * passage->shed[pool];
        *seeds *= passage->kept[pool];
        if (origin == (size_t)field)
            continue; /* back in its own field */
        double ground = falls * sb_season_ground_share(season, machine, (int)(pool / 2), (int)w);
        size_t cell = (origin * ledger->n_fields + (size_t)field) * ledger->n_weeds + w;
        ledger->ground[cell] += ground;
        ledger->tank[cell] += falls - ground;
        state->cost.spread += ground * season->fields[field].loss_per_seed[w];
    }
}

/* How far in the first pass the seeds fall that come from elsewhere. */
static double strip_m(const sb_log_state *state, int machine, int field)
{
    const sb_season *season = state->season;
    sb_load carried = {0};
    for (size_t o = 0; o <= season->n_fields; o++)
        for (size_t pool = 0; pool < n_pools(season) && o != (size_t)field; pool++)
            for (size_t w = 0; w < season->setup.n_weeds; w++)
                carried.seeds[pool][w] += state->machines[machine].loads[o].seeds[pool][w];
    return sb_strip_m(season, machine, field, &carried, 0.9);
}

void sb_state_cut(sb_log_state *state, int machine, int field, double share)
{
    const sb_season *season = state->season;
    sb_machine_state *m = &state->machines[machine];
    double strip = m->half_way && m->place == field ? 0 : strip_m(state, machine, field);
    state->fields[field].strip_m = fmax(state->fields[field].strip_m, strip);
    sb_passage passage;
    sb_passage_of_part(season, machine, field, share * season->fields[field].grain_t, &passage);
    for (size_t o = 0; o <= season->n_fields; o++)
        for (size_t pool = 0; pool < n_pools(season); pool++)
            shed(state, machine, field, o, pool, &passage);
    for (size_t pool = 0; pool < n_pools(season); pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            double taken = passage.taken_in[pool][w];
            m->loads[field].seeds[pool][w] += taken;
            state->ledger.taken[(size_t)field * state->ledger.n_weeds + w] += taken;
        }
    int grower = season->fields[field].grower;
    if (grower >= 0)
        m->cut_since[grower] = (1U << (SB_MAX_LEVELS + 1)) - 1;
    m->place = field;
    m->cleanout = -1;
    m->cleaned = false;
    m->worked = m->has_cut = true;
}

double sb_machine_state_seeds(const sb_log_state *state, int machine, int weed)
{
    double seeds = 0;
    for (size_t o = 0; o <= state->season->n_fields; o++)
        for (size_t pool = 0; pool < n_pools(state->season); pool++)
            seeds += state->machines[machine].loads[o].seeds[pool][weed];
    return seeds;
}

/* Another machine cuts in the field, or it stands somewhere else now: what is left of the field is
 * a field like any other, for whoever gets it. */
static void end_half_way(sb_log_state *state, int field, int but_machine)
{
    for (size_t m = 0; m < state->season->setup.n_machines; m++)
        if (state->machines[m].place == field && (int)m != but_machine)
            state->machines[m].half_way = false;
}

/* ---- The season's days -------------------------------------------------------------------------
 */

/* Work begins before the stated season or goes on after it; so far from it the year is mistyped. */
#define MOST_DAYS_OUTSIDE 60

/* Days of an entry that are far outside the season that the calendar states. */
static sb_status check_days(const replay *r, const char *what, int first_day, int last_day)
{
    sb_text outside = {0};
    sb_status status = SB_OK;
    if (sb_log_add_outside(r->season, first_day, last_day, MOST_DAYS_OUTSIDE, &outside))
        status = BAD(r, "%s %s", what, sb_text_get(&outside));
    sb_text_release(&outside);
    return status;
}

/* ---- Entries ------------------------------------------------------------------------------------
 */

/* How to put in work that ended before the work of another entry began. */
static const char *if_forgotten(const replay *r, size_t later)
{
    const sb_log_entry *other = &r->log->entries.items[later];
    bool is_new = r->entry->line == 0 && r->entry->before == 0;
    sb_moment begun = sb_log_begun(other);
    return is_new && r->entry->to <= begun &&
                   begun - r->entry->to <= (sb_moment)MOST_FORGOTTEN_DAYS * SB_MINUTES_PER_DAY
               ? "; if it was forgotten and came before that, say so: --forgotten"
               : "";
}

/* The machine of the entry; it begins no earlier than the machine's last one ended. */
static sb_status begin_work(const replay *r, int *machine)
{
    const sb_log_entry *entry = r->entry;
    sb_status status =
        find(r, "machine", entry->machine, machine_at, r->season->setup.n_machines, machine);
    if (status != SB_OK)
        return status;
    sb_machine_state *m = &r->state->machines[*machine];
    sb_moment begin = sb_log_begun(entry);
    if (m->last != SB_NO_MOMENT && begin < m->last) {
        char said[17], before[17];
        sb_moment_format(begin, said);
        sb_moment_format(m->last, before);
        return BAD(r, "machine '%s' at %s, expected no earlier than %s, the end of its entry %ld%s",
                   entry->machine, said, before, r->log->entries.items[m->entry].number,
                   if_forgotten(r, m->entry));
    }
    bool too_long =
        entry->kind != SB_LOG_AWAY && entry->to - begin > MOST_WORK_DAYS * SB_MINUTES_PER_DAY;
    if (too_long || (m->last != SB_NO_MOMENT &&
                     begin - m->last > (sb_moment)MOST_REST_DAYS * SB_MINUTES_PER_DAY))
        return BAD(r,
                   too_long ? "work that took more than %d days, expected less"
                            : "an entry more than %d days after the machine's one before it, "
                              "expected it in the same season",
                   too_long ? MOST_WORK_DAYS : MOST_REST_DAYS);
    m->last = entry->to;
    m->entry = r->index;
    m->free_h = sb_moment_hours(&r->season->setup.calendar, entry->to);
    return SB_OK;
}

/* Road costs from where the machine stands. */
static void drive(const replay *r, int machine, int to)
{
    sb_machine_state *m = &r->state->machines[machine];
    const sb_machine *says = &r->season->setup.machines[machine];
    double km = sb_season_km(r->season, m->place, to);
    if (!isnan(km) && m->place != to)
        r->state->cost.travel +=
            km * says->cost_per_km + km / says->road_km_h * says->cost_per_hour;
    m->place = to;
}

/* How much of the field the entry says was cut, as a share. */
static sb_status share_cut(const replay *r, const sb_field *field, const sb_field_state *before,
                           double *share)
{
    const sb_log_entry *entry = r->entry;
    double left = 1 - before->cut_share;
    if (entry->part) {
        *share = entry->ha / field->area_ha;
        if (*share > left + AREA_SLACK)
            return BAD(r, "%g ha of field '%s' cut, which has %.4g ha and %.4g ha still to cut",
                       entry->ha, field->name, field->area_ha, left * field->area_ha);
        *share = fmin(*share, left);
        return SB_OK;
    }
    *share = left;
    if (!isnan(entry->ha) && entry->ha > (left + AREA_SLACK) * field->area_ha)
        return BAD(r, "%g ha of field '%s' cut, which has %.4g ha and %.4g ha still to cut",
                   entry->ha, field->name, field->area_ha, left * field->area_ha);
    if (!isnan(entry->left_ha)) {
        *share -= entry->left_ha / field->area_ha;
        if (*share < -AREA_SLACK)
            return BAD(r, "%g ha of field '%s' left standing, of which %.4g ha were still to cut",
                       entry->left_ha, field->name, left * field->area_ha);
        *share = fmax(*share, 0);
    }
    return SB_OK;
}

static sb_status replay_cut(const replay *r)
{
    int machine, field = -1;
    sb_status status = find_field(r, &field);
    if (status != SB_OK)
        return status;
    const sb_field *f = &r->season->fields[field];
    sb_field_state *cut = &r->state->fields[field];
    if (cut->finished || cut->dropped)
        return BAD(r, "field '%s' cut, but entry %ld says that it %s%s", f->name,
                   r->log->entries.items[cut->entry].number,
                   cut->finished ? "was cut" : "was dropped",
                   cut->dropped || r->entry->part ? if_forgotten(r, cut->entry) : "");
    double share;
    int day = (int)(r->entry->to / SB_MINUTES_PER_DAY);
    if ((status = check_days(r, "a field cut", day, day)) != SB_OK ||
        (status = begin_work(r, &machine)) != SB_OK ||
        (status = share_cut(r, f, cut, &share)) != SB_OK)
        return status;
    sb_machine_state *m = &r->state->machines[machine];
    bool enters = !(m->half_way && m->place == field);
    sb_log_step step = {r->index, machine, field, share, -1, enters, m->cleanout};
    if (!SB_PUSH(&r->state->steps, step))
        return SB_ERR_NOMEM;
    if (step.enters) {
        memcpy(m->entry_loads, m->loads, (r->season->n_fields + 1) * sizeof *m->loads);
        m->entry_cleanout = m->cleanout;
        m->entry_cleaned = m->cleaned;
        memcpy(m->entry_cut_since, m->cut_since, r->season->n_growers * sizeof *m->cut_since);
        m->entry_loss = 0;
    }
    drive(r, machine, field);
    end_half_way(r->state, field, machine);
    double loss = r->state->cost.spread;
    sb_state_cut(r->state, machine, field, share);
    m->entry_loss += r->state->cost.spread - loss;
    cut->cut_share += share;
    cut->machine = machine;
    cut->entry = r->index;
    cut->until_h = m->free_h;
    cut->finished = !r->entry->part || cut->cut_share >= 1 - 1e-9;
    m->half_way = !cut->finished;
    /* A delay is paid for the share that it hits. */
    r->state->cost.delay += share * sb_season_delay_cost(r->season, field, m->free_h);
    return SB_OK;
}

/* Every weed that was counted is one of the season. */
static sb_status check_weeds(const replay *r)
{
    sb_status status = SB_OK;
    for (size_t i = 0; i < r->entry->words.count && status == SB_OK; i++) {
        char id[SB_MAX_WEED_ID];
        bool density;
        int weed;
        if (sb_log_weed_word(&r->entry->words.items[i], id, &density))
            status = find(r, "weed", id, weed_at, r->season->setup.n_weeds, &weed);
    }
    return status;
}

static sb_status replay_cleanout(const replay *r)
{
    const sb_season *season = r->season;
    const sb_log_entry *entry = r->entry;
    int machine, level = 0, place = -1;
    sb_status status =
        find(r, "cleanout", entry->cleanout, cleanout_at, season->setup.n_cleanouts, &level);
    if (status == SB_OK && entry->place != NULL)
        status = find_place(r, entry->place, &place);
    if (status == SB_OK)
        status = begin_work(r, &machine);
    if (status != SB_OK)
        return status;
    if ((status = check_weeds(r)) != SB_OK)
        return status;
    if (place >= 0)
        drive(r, machine, place);
    sb_tarp_state tarp = {.entry = r->index};
    sb_state_clean(r->state, machine, level, &tarp);
    sb_log_step step = {r->index, machine, -1, 0, level, false, -1};
    if (!SB_PUSH(&r->state->tarps, tarp) || !SB_PUSH(&r->state->steps, step))
        return SB_ERR_NOMEM;
    const sb_cleanout *cleanout = &season->setup.cleanouts[level];
    double minutes = isnan(entry->minutes) ? cleanout->minutes : entry->minutes;
    double per_hour =
        cleanout->people * season->setup.wage_per_hour + season->setup.lost_time_per_hour;
    double cost = cleanout->supplies_cost + minutes / 60 * per_hour;
    r->state->cost.cleanout += cost;
    r->state->cleaning_cost += cost;
    r->state->full_cleanouts += cleanout->full;
    return SB_OK;
}

/* Does it only name the field and the time? */
static bool entry_says_nothing_new(const sb_log_entry *entry)
{
    static const char *const NAMING[] = {"field", "at", "written", "why"};
    for (size_t i = 0; i < entry->words.count; i++) {
        bool naming = false;
        for (size_t k = 0; k < sizeof NAMING / sizeof *NAMING; k++)
            naming |= strcmp(entry->words.items[i].key, NAMING[k]) == 0;
        if (!naming)
            return false;
    }
    return true;
}

static sb_status replay_field(const replay *r)
{
    int field = -1;
    sb_status status = find_field(r, &field);
    if (status != SB_OK)
        return status;
    sb_field_state *f = &r->state->fields[field];
    switch (r->entry->kind) {
    case SB_LOG_DROPPED:
        if (f->finished || f->dropped)
            return BAD(r, "field '%s' dropped, but entry %ld says that it %s", r->entry->field,
                       r->log->entries.items[f->entry].number,
                       f->finished ? "was cut" : "was dropped");
        f->dropped = true;
        f->entry = r->index;
        end_half_way(r->state, field, -1);
        return SB_OK;
    case SB_LOG_ADDED:
        if (!f->dropped && entry_says_nothing_new(r->entry))
            return BAD(r, "field '%s' added, which is in the season; expected what is new about it",
                       r->entry->field);
        if (f->finished)
            return BAD(r, "field '%s' added, but entry %ld says that it was cut", r->entry->field,
                       r->log->entries.items[f->entry].number);
        f->dropped = false;
        return SB_OK;
    case SB_LOG_SEEDLINGS:
        return f->machine >= 0
                   ? SB_OK
                   : BAD(r, "seedlings in field '%s', which no entry cut before", r->entry->field);
    default:
        return SB_OK;
    }
}

static sb_status replay_away(const replay *r)
{
    int machine, place = -1;
    sb_status status = SB_OK;
    if (r->entry->place != NULL)
        status = find_place(r, r->entry->place, &place);
    if (status == SB_OK)
        status = begin_work(r, &machine);
    if (status != SB_OK)
        return status;
    sb_machine_state *m = &r->state->machines[machine];
    /* What it was at may not wait for it when there is another machine. */
    if (r->season->setup.n_machines > 1 || (place >= 0 && place != m->place))
        m->half_way = false;
    if (place >= 0)
        m->place = place;
    return SB_OK;
}

static sb_status replay_entry(const replay *r)
{
    switch (r->entry->kind) {
    case SB_LOG_CUT:
        return replay_cut(r);
    case SB_LOG_CLEANOUT:
        return replay_cleanout(r);
    case SB_LOG_COUNTED: /* whose cleanout there is was seen when the log was read */
        return check_weeds(r);
    case SB_LOG_AWAY:
        return replay_away(r);
    case SB_LOG_RATING:
    case SB_LOG_SEEDLINGS:
    case SB_LOG_ADDED:
    case SB_LOG_DROPPED:
        return replay_field(r);
    case SB_LOG_LOST: /* laid over the calendar when the season was read */
        return check_days(r, "a day lost", r->entry->first_day, r->entry->last_day);
    default:
        return SB_OK; /* marked when the log was read */
    }
}

/* ---- The whole ----------------------------------------------------------------------------------
 */

/* The cleanouts that were not done since a machine cut that grower's field before the season. */
static uint16_t starts_after(const sb_season *season, int machine, int grower)
{
    unsigned cleanouts = 0;
    for (int l = 0; l <= SB_MAX_LEVELS; l++) {
        sb_apart from = {.grower = grower, .cleanout = l < SB_MAX_LEVELS ? l : -1};
        if ((l == SB_MAX_LEVELS || l < (int)season->setup.n_cleanouts) &&
            sb_season_starts_after(season, machine, &from))
            cleanouts |= 1U << l;
    }
    return (uint16_t)cleanouts;
}

static sb_status begin_state(const sb_season *season, sb_log_state *state)
{
    size_t n_machines = season->setup.n_machines;
    state->machines = sb_alloc(n_machines, sizeof *state->machines);
    state->fields = sb_alloc(season->n_fields, sizeof *state->fields);
    if (state->machines == NULL || state->fields == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < season->n_fields; i++)
        state->fields[i].machine = -1;
    for (size_t i = 0; i < n_machines; i++) {
        sb_machine_state *m = &state->machines[i];
        m->place = sb_season_yard_place(season, (int)i);
        m->last = SB_NO_MOMENT;
        m->cleanout = season->joins[i].start_cleanout;
        m->cut_since = sb_alloc(season->n_growers, sizeof *m->cut_since);
        m->entry_cut_since = sb_alloc(season->n_growers, sizeof *m->cut_since);
        m->loads = sb_alloc(season->n_fields + 1, sizeof *m->loads);
        m->entry_loads = sb_alloc(season->n_fields + 1, sizeof *m->loads);
        if (m->cut_since == NULL || m->entry_cut_since == NULL || m->loads == NULL ||
            m->entry_loads == NULL)
            return SB_ERR_NOMEM;
        for (size_t g = 0; g < season->n_growers; g++)
            m->cut_since[g] = starts_after(season, (int)i, (int)g);
        for (size_t pool = 0; pool < n_pools(season); pool++)
            for (size_t w = 0; w < season->setup.n_weeds; w++)
                m->loads[season->n_fields].seeds[pool][w] =
                    season->joins[i].start_seeds[pool * SB_MAX_WEEDS + w];
    }
    return sb_ledger_init(&state->ledger, season);
}

sb_status sb_log_replay(const sb_season *season, const sb_log *log, sb_report *report,
                        sb_log_state *state)
{
    *state = (sb_log_state){.season = season, .log = log};
    sb_status status = begin_state(season, state), worst = status;
    for (size_t k = 0; k < log->order.count && status != SB_ERR_NOMEM; k++) {
        size_t i = log->order.items[k];
        replay r = {state, season, log, &log->entries.items[i], i, report};
        if (r.entry->is_struck)
            continue;
        status = replay_entry(&r);
        if (worst == SB_OK || status == SB_ERR_NOMEM)
            worst = status;
    }
    sb_cost *cost = &state->cost;
    cost->total = cost->travel + cost->cleanout + cost->spread + cost->delay;
    return worst;
}

void sb_log_state_release(sb_log_state *state)
{
    for (size_t i = 0; state->machines != NULL && i < state->season->setup.n_machines; i++) {
        sb_free(state->machines[i].cut_since);
        sb_free(state->machines[i].entry_cut_since);
        sb_free(state->machines[i].loads);
        sb_free(state->machines[i].entry_loads);
    }
    sb_free(state->machines);
    sb_free(state->fields);
    sb_free(state->tarps.items);
    sb_free(state->steps.items);
    sb_ledger_release(&state->ledger);
    *state = (sb_log_state){0};
}

sb_status sb_log_check(const sb_season *season, const sb_log *log, sb_report *report)
{
    if (season == NULL || log == NULL || report == NULL)
        return SB_ERR_ARG;
    sb_log_state state;
    sb_status status = sb_log_replay(season, log, report, &state);
    if (status == SB_OK)
        sb_log_say_doubts(&state, report);
    if (status == SB_OK)
        sb_say(report, SB_NOTE, log->path, 0, "%zu %s, %s, the last seal %s", log->entries.count,
               log->entries.count == 1 ? "entry" : "entries",
               log->unsealed > 0 ? "not all sealed" : "every seal holds", log->seal);
    sb_log_state_release(&state);
    return sb_report_settle(report, status);
}
