/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The rules of a season as a list from which some are dropped. Private to conflict*.c. */
#ifndef SB_ORDER_CONFLICT_RULES_H
#define SB_ORDER_CONFLICT_RULES_H

#include "season/season.h"

typedef enum sb_rule_kind {
    SB_RULE_LATEST,
    SB_RULE_READY,
    SB_RULE_ENTRY,
    SB_RULE_AFTER,
    SB_RULE_APART,
    SB_RULE_WISH,
    SB_RULE_SEED_LIMIT,
    SB_RULE_TANK_LIMIT,
    SB_RULE_FULL_CLEANOUTS,
    SB_RULE_CLEANING_COST,
    SB_RULE_SEASON_HOURS,
    SB_RULE_CALENDAR_END,
    SB_RULE_MACHINE_FROM,
    SB_RULE_MACHINE_TO,
    SB_RULE_KINDS
} sb_rule_kind;

typedef struct sb_rule {
    sb_rule_kind kind;
    int field; /**< -1: the season or the machine */
    int which; /**< weed of a seed limit, position in the `after` list, machine */
    bool dropped;
} sb_rule;

typedef struct sb_rules {
    sb_rule *items;
    size_t count, capacity;
} sb_rules;

/** Every rule of the season. Release in any case.
 * @param machine -1: all machines; else only that one's, and the fields' wishes are none
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_rules_list(const sb_season *season, int machine, sb_rules *rules);
void sb_rules_release(sb_rules *rules);

/** Does it limit the hours at work? */
bool sb_rule_is_of_hours(const sb_rule *rule);

/** A season less the rules that are dropped; what it does not own it shares with the season. */
typedef struct sb_trial {
    sb_season season;
    sb_field *fields;
    sb_machine *machines;
    sb_cleanout *cleanouts; /**< NULL: the season's own */
    int *after;
    sb_apart *apart;
} sb_trial;

/** Seeds and days cost nothing there: whether a plan exists does not depend on it. Release in any
 * case. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_trial_init(const sb_season *season, const sb_rules *rules, sb_trial *trial);
/** Makes every working hour on the road and at cleanouts cost 1, and nothing else cost anything.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_trial_price_hours(sb_trial *trial);
void sb_trial_release(sb_trial *trial);

/** Says that it is in conflict, with its place in the files. */
void sb_rule_say(const sb_season *season, const sb_rule *rule, sb_report *report);

#endif
