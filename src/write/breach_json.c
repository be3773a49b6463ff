/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/breach_json.h"

#include "write/breach.h"

/* By sb_broken_rule; the keys of the files where a rule has one. */
static const char *const rule_names[] = {
    [SB_BROKEN_NONE] = "none",
    [SB_BROKEN_SERVICE] = "may_cut",
    [SB_BROKEN_WAY] = "way",
    [SB_BROKEN_CLEANED_TWICE] = "cleaned_twice",
    [SB_BROKEN_ENTRY] = "entry",
    [SB_BROKEN_APART] = "apart",
    [SB_BROKEN_READY] = "ready",
    [SB_BROKEN_LATEST] = "latest",
    [SB_BROKEN_SEED_LIMIT] = "limit",
    [SB_BROKEN_TANK_LIMIT] = "tank_limit_seeds_kg",
    [SB_BROKEN_AFTER] = "after",
    [SB_BROKEN_NOT_ONCE] = "not_once",
    [SB_BROKEN_SEASON_HOURS] = "season_hours",
    [SB_BROKEN_MACHINE_TO] = "to",
    [SB_BROKEN_CALENDAR_END] = "calendar",
    [SB_BROKEN_FINAL] = "final_cleanout",
    [SB_BROKEN_FULL_CLEANOUTS] = "full_cleanouts",
    [SB_BROKEN_CLEANING_COST] = "cleaning_cost",
    [SB_BROKEN_GROWER] = "loss_per_grower",
    [SB_BROKEN_RESOURCE] = "resource",
};

/* Others compare days, hours of the calendar or cleanouts, which their words tell. */
static bool is_amount(sb_broken_rule rule)
{
    return rule == SB_BROKEN_SEED_LIMIT || rule == SB_BROKEN_TANK_LIMIT ||
           rule == SB_BROKEN_SEASON_HOURS || rule == SB_BROKEN_FULL_CLEANOUTS ||
           rule == SB_BROKEN_CLEANING_COST || rule == SB_BROKEN_GROWER ||
           rule == SB_BROKEN_RESOURCE;
}

json_t *sb_breach_json(const sb_season *season, const sb_breach *breach, bool *ok)
{
    if (breach->rule == SB_BROKEN_NONE)
        return json_null();
    sb_text words = {0};
    sb_breach_words(season, breach, sb_add_plain_name, &words);
    *ok &= !words.failed;
    json_t *object = json_object();
    sb_json_put(object, "rule", json_string(rule_names[breach->rule]), ok);
    sb_json_put(object, "text", json_string(sb_text_get(&words)), ok);
    sb_json_put(object, "field",
                breach->field >= 0 && (size_t)breach->field < season->n_fields
                    ? json_string(season->fields[breach->field].name)
                    : json_null(),
                ok);
    if (breach->rule == SB_BROKEN_SEED_LIMIT)
        sb_json_put(object, "weed", json_string(season->setup.weeds[breach->which].id), ok);
    if (is_amount(breach->rule)) {
        sb_json_put(object, "allowed", sb_json_number(breach->allowed), ok);
        sb_json_put(object, "found", sb_json_number(breach->found), ok);
    }
    sb_text_release(&words);
    return object;
}
