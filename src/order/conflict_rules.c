/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/conflict_rules.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

static bool list_field_rules(sb_rules *list, const sb_season *season, int j)
{
    const sb_field *field = &season->fields[j];
    bool fine = true;
    if (field->latest_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_LATEST, j, 0, false}));
    if (field->ready_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_READY, j, 0, false}));
    if (field->entry >= 0)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_ENTRY, j, 0, false}));
    if (isfinite(field->tank_limit_seeds_kg))
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_TANK_LIMIT, j, 0, false}));
    for (size_t a = 0; a < field->n_after; a++)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_AFTER, j, (int)a, false}));
    for (size_t a = 0; a < field->n_apart; a++)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_APART, j, (int)a, false}));
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        if (isfinite(field->limit_seeds_ha[k]))
            fine &= SB_PUSH(list, ((sb_rule){SB_RULE_SEED_LIMIT, j, (int)k, false}));
    return fine;
}

static bool list_machine_rules(sb_rules *list, const sb_machine *machine, int m)
{
    bool fine = true;
    if (isfinite(machine->season_hours))
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_SEASON_HOURS, -1, m, false}));
    if (machine->from_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_MACHINE_FROM, -1, m, false}));
    if (machine->to_day != SB_NO_DAY)
        fine &= SB_PUSH(list, ((sb_rule){SB_RULE_MACHINE_TO, -1, m, false}));
    return fine;
}

sb_status sb_rules_list(const sb_season *season, int machine, sb_rules *rules)
{
    bool fine = true;
    for (size_t j = 0; j < season->n_fields; j++)
        fine &= list_field_rules(rules, season, (int)j);
    for (size_t j = 0; j < season->n_fields && machine < 0; j++)
        if (season->fields[j].n_only > 0)
            fine &= SB_PUSH(rules, ((sb_rule){SB_RULE_WISH, (int)j, 0, false}));
    const sb_setup *setup = &season->setup;
    if (isfinite(setup->limits.full_cleanouts))
        fine &= SB_PUSH(rules, ((sb_rule){SB_RULE_FULL_CLEANOUTS, -1, 0, false}));
    if (isfinite(setup->limits.cleaning_cost))
        fine &= SB_PUSH(rules, ((sb_rule){SB_RULE_CLEANING_COST, -1, 0, false}));
    for (size_t m = 0; m < setup->n_machines; m++)
        if (machine < 0 || (size_t)machine == m)
            fine &= list_machine_rules(rules, &setup->machines[m], (int)m);
    if (setup->calendar.end_day != SB_NO_DAY)
        fine &= SB_PUSH(rules, ((sb_rule){SB_RULE_CALENDAR_END, -1, 0, false}));
    return fine ? SB_OK : SB_ERR_NOMEM;
}

/* Takes a rule out of a shallow copy of the season. Lists are rebuilt by the caller. */
static void drop(sb_season *copy, sb_machine *machines, const sb_rule *r)
{
    sb_field *field = r->field >= 0 ? &copy->fields[r->field] : NULL;
    sb_machine *machine = r->field < 0 ? &machines[r->which] : NULL;
    switch (r->kind) {
    case SB_RULE_LATEST:
        field->latest_day = SB_NO_DAY;
        break;
    case SB_RULE_READY:
        field->ready_day = SB_NO_DAY;
        break;
    case SB_RULE_ENTRY:
        field->entry = -1;
        break;
    case SB_RULE_WISH:
        field->n_only = 0;
        break;
    case SB_RULE_SEED_LIMIT:
        field->limit_seeds_ha[r->which] = INFINITY;
        break;
    case SB_RULE_TANK_LIMIT:
        field->tank_limit_seeds_kg = INFINITY;
        break;
    case SB_RULE_FULL_CLEANOUTS:
        copy->setup.limits.full_cleanouts = INFINITY;
        break;
    case SB_RULE_CLEANING_COST:
        copy->setup.limits.cleaning_cost = INFINITY;
        break;
    case SB_RULE_SEASON_HOURS:
        machine->season_hours = INFINITY;
        break;
    case SB_RULE_CALENDAR_END:
        copy->setup.calendar.end_day = SB_NO_DAY;
        break;
    case SB_RULE_MACHINE_FROM:
        machine->from_day = SB_NO_DAY;
        break;
    case SB_RULE_MACHINE_TO:
        machine->to_day = SB_NO_DAY;
        break;
    case SB_RULE_AFTER:
    case SB_RULE_APART:
    case SB_RULE_KINDS:
        break;
    }
}

void sb_rules_release(sb_rules *rules)
{
    sb_free(rules->items);
    *rules = (sb_rules){0};
}

bool sb_rule_is_of_hours(const sb_rule *rule)
{
    return rule->kind == SB_RULE_SEASON_HOURS || rule->kind == SB_RULE_CALENDAR_END ||
           rule->kind == SB_RULE_MACHINE_FROM || rule->kind == SB_RULE_MACHINE_TO;
}

/* ---- The season less some rules -------------------------------------------------------------- */

/* Lists of field j, made of the rules that stay. */
static void fill_lists(const sb_season *season, const sb_rules *rules, size_t j, sb_field *field)
{
    field->n_after = field->n_apart = 0;
    for (size_t r = 0; r < rules->count; r++) {
        const sb_rule *one = &rules->items[r];
        if (one->field != (int)j || one->dropped)
            continue;
        if (one->kind == SB_RULE_AFTER)
            field->after[field->n_after++] = season->fields[j].after[one->which];
        if (one->kind == SB_RULE_APART)
            field->apart[field->n_apart++] = season->fields[j].apart[one->which];
    }
}

sb_status sb_trial_init(const sb_season *season, const sb_rules *rules, sb_trial *trial)
{
    *trial = (sb_trial){.season = *season};
    trial->fields = sb_alloc(season->n_fields, sizeof *trial->fields);
    trial->machines = sb_alloc(season->setup.n_machines, sizeof *trial->machines);
    trial->after = sb_alloc(rules->count, sizeof *trial->after);
    trial->apart = sb_alloc(rules->count, sizeof *trial->apart);
    if (!trial->fields || !trial->machines || !trial->after || !trial->apart)
        return SB_ERR_NOMEM;
    memcpy(trial->fields, season->fields, season->n_fields * sizeof *trial->fields);
    memcpy(trial->machines, season->setup.machines,
           season->setup.n_machines * sizeof *trial->machines);
    trial->season.fields = trial->fields;
    trial->season.setup.machines = trial->machines;
    int *next_after = trial->after;
    sb_apart *next_apart = trial->apart;
    for (size_t j = 0; j < season->n_fields; j++) {
        sb_field *field = &trial->fields[j];
        memset(field->loss_per_seed, 0, sizeof field->loss_per_seed);
        field->delay_cost_per_day = 0;
        field->after = next_after;
        field->after_at = NULL;
        field->apart = next_apart;
        fill_lists(season, rules, j, field);
        next_after += field->n_after;
        next_apart += field->n_apart;
    }
    for (size_t r = 0; r < rules->count; r++)
        if (rules->items[r].dropped)
            drop(&trial->season, trial->machines, &rules->items[r]);
    return SB_OK;
}

sb_status sb_trial_price_hours(sb_trial *trial)
{
    sb_setup *setup = &trial->season.setup;
    trial->cleanouts = sb_alloc(setup->n_cleanouts, sizeof *trial->cleanouts);
    if (trial->cleanouts == NULL)
        return SB_ERR_NOMEM;
    memcpy(trial->cleanouts, setup->cleanouts, setup->n_cleanouts * sizeof *trial->cleanouts);
    setup->cleanouts = trial->cleanouts;
    for (size_t l = 0; l < setup->n_cleanouts; l++)
        trial->cleanouts[l].supplies_cost = 0;
    setup->wage_per_hour = 0;
    setup->lost_time_per_hour = 1;
    for (size_t m = 0; m < setup->n_machines; m++) {
        trial->machines[m].cost_per_km = 0;
        trial->machines[m].cost_per_hour = 1;
    }
    return SB_OK;
}

void sb_trial_release(sb_trial *trial)
{
    sb_free(trial->fields);
    sb_free(trial->machines);
    sb_free(trial->cleanouts);
    sb_free(trial->after);
    sb_free(trial->apart);
    *trial = (sb_trial){0};
}
