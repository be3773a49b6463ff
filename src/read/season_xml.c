/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The season file: urn:seedbreak:season:1 (docs/formats.md, docs/season.rng). */
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "base/text.h"
#include "read/season_file.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define MAX_BLOCKED_DAYS 3660 /* ten years: a typing mistake, not a calendar */

static sb_status begin_season(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"currency", SB_VALUE_TEXT, offsetof(sb_setup, currency)}};
    sb_status status = sb_setup_builtin(&file->setup);
    if (status != SB_OK)
        return status;
    const sb_reading *r = &file->reading;
    if (r->draft->season_file != NULL)
        return sb_bad(r->report, r->file, element->line,
                      "a second season file (the first: %s), expected one", r->draft->season_file);
    if (sb_xml_attribute_value(element, "currency") != NULL)
        file->setup.currency_at = (sb_stated){r->file, element->line};
    return sb_values_take(r, element, rules, COUNT(rules), &file->setup);
}

/* Values of the setup itself. */
static sb_status take_of_season(sb_season_file *file, const sb_xml_element *element,
                                const sb_value_rule *rules, size_t n_rules)
{
    file->setup.given |= sb_values_given(element, rules, n_rules);
    return sb_values_take(&file->reading, element, rules, n_rules, &file->setup);
}

static sb_status begin_calendar(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"start", SB_VALUE_DATE, offsetof(sb_setup, calendar.start_day)},
        {"end", SB_VALUE_DATE, offsetof(sb_setup, calendar.end_day)},
        {"hours_per_day", SB_VALUE_HOURS, offsetof(sb_setup, calendar.hours_per_day)},
        {"day_starts", SB_VALUE_CLOCK, offsetof(sb_setup, calendar.day_starts_h)},
    };
    file->setup.calendar_line = element->line;
    if (sb_xml_attribute_value(element, "end") != NULL)
        file->setup.calendar_end_at = (sb_stated){file->reading.file, element->line};
    if (sb_xml_attribute_value(element, "start") != NULL)
        file->setup.calendar_start_given = true;
    return take_of_season(file, element, rules, COUNT(rules));
}

static sb_status block_day(sb_calendar *calendar, int day)
{
    void *grown = sb_resize(calendar->blocked, calendar->n_blocked + 1, sizeof(int));
    if (grown == NULL)
        return SB_ERR_NOMEM;
    calendar->blocked = grown;
    calendar->blocked[calendar->n_blocked++] = day;
    return SB_OK;
}

typedef struct blocked_days {
    int date, from, to;
} blocked_days;

static sb_status begin_blocked(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"date", SB_VALUE_DATE, offsetof(blocked_days, date)},
        {"from", SB_VALUE_DATE, offsetof(blocked_days, from)},
        {"to", SB_VALUE_DATE, offsetof(blocked_days, to)},
    };
    blocked_days days = {SB_NO_DAY, SB_NO_DAY, SB_NO_DAY};
    const sb_reading *r = &file->reading;
    sb_status status = sb_values_take(r, element, rules, COUNT(rules), &days);
    if (status != SB_OK)
        return status;
    bool one = days.date != SB_NO_DAY && days.from == SB_NO_DAY && days.to == SB_NO_DAY;
    bool range = days.date == SB_NO_DAY && days.from != SB_NO_DAY && days.to != SB_NO_DAY;
    if (!one && !range)
        return sb_bad(r->report, r->file, element->line,
                      "blocked with other dates, expected 'date' alone or 'from' and 'to'");
    if (one)
        days.from = days.to = days.date;
    if (days.to < days.from || (long long)days.to - days.from > MAX_BLOCKED_DAYS)
        return sb_bad(r->report, r->file, element->line,
                      "blocked days that end %s, expected a range of at most %d days",
                      days.to < days.from ? "before they start" : "years after they start",
                      MAX_BLOCKED_DAYS);
    if (days.to - days.from >= file->most_blocked) {
        file->most_blocked = days.to - days.from + 1;
        file->setup.blocked_at = (sb_stated){r->file, element->line};
    }
    for (int day = days.from; day <= days.to && status == SB_OK; day++)
        status = block_day(&file->setup.calendar, day);
    return status;
}

/* What it says of machines is laid over the built-in one, which lends it to those declared. */
static sb_status begin_travel(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule season_rules[] = {
        {"detour", SB_VALUE_FACTOR, offsetof(sb_setup, detour)},
        {"road_km_h", SB_VALUE_LATER, 0},
        {"cost_per_km", SB_VALUE_LATER, 0},
        {"cost_per_hour", SB_VALUE_LATER, 0},
    };
    static const sb_value_rule machine_rules[] = {
        {"detour", SB_VALUE_LATER, 0},
        {"road_km_h", SB_VALUE_POSITIVE, offsetof(sb_machine, road_km_h)},
        {"cost_per_km", SB_VALUE_AMOUNT, offsetof(sb_machine, cost_per_km)},
        {"cost_per_hour", SB_VALUE_AMOUNT, offsetof(sb_machine, cost_per_hour)},
    };
    sb_machine *built_in = &file->setup.machines[0];
    built_in->given |= sb_values_given(element, machine_rules, COUNT(machine_rules));
    sb_status status = take_of_season(file, element, season_rules, COUNT(season_rules));
    return status != SB_OK ? status
                           : sb_values_take(&file->reading, element, machine_rules,
                                            COUNT(machine_rules), built_in);
}

static sb_status begin_costs(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"wage_per_hour", SB_VALUE_AMOUNT, offsetof(sb_setup, wage_per_hour)},
        {"lost_time_per_hour", SB_VALUE_AMOUNT, offsetof(sb_setup, lost_time_per_hour)},
    };
    return take_of_season(file, element, rules, COUNT(rules));
}

static sb_status begin_limits(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"full_cleanouts", SB_VALUE_AMOUNT, offsetof(sb_limits, full_cleanouts)},
        {"cleaning_cost", SB_VALUE_AMOUNT, offsetof(sb_limits, cleaning_cost)},
        {"loss_per_grower", SB_VALUE_AMOUNT, offsetof(sb_limits, loss_per_grower)},
    };
    sb_limits *limits = &file->setup.limits;
    const sb_stated here = {file->reading.file, element->line};
    if (sb_xml_attribute_value(element, "full_cleanouts") != NULL)
        limits->full_cleanouts_at = here;
    if (sb_xml_attribute_value(element, "cleaning_cost") != NULL)
        limits->cleaning_cost_at = here;
    if (sb_xml_attribute_value(element, "loss_per_grower") != NULL)
        limits->loss_per_grower_at = here;
    return sb_values_take(&file->reading, element, rules, COUNT(rules), limits);
}

static sb_status begin_grower_cap(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"name", SB_VALUE_TEXT, offsetof(sb_grower_cap, grower)},
        {"loss", SB_VALUE_AMOUNT, offsetof(sb_grower_cap, loss)},
    };
    const sb_reading *r = &file->reading;
    sb_setup *setup = &file->setup;
    const char *name, *loss;
    sb_status status = sb_values_need(r, element, "name", &name);
    if (status == SB_OK)
        status = sb_values_need(r, element, "loss", &loss);
    if (status != SB_OK)
        return status;
    for (size_t i = 0; i < setup->n_grower_caps; i++)
        if (strcmp(setup->grower_caps[i].grower, name) == 0)
            return sb_bad(r->report, r->file, element->line,
                          "a second limit for grower '%s' (the first: line %zu), expected one",
                          setup->grower_caps[i].grower, setup->grower_caps[i].line);
    void *grown =
        sb_resize(setup->grower_caps, setup->n_grower_caps + 1, sizeof *setup->grower_caps);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    setup->grower_caps = grown;
    sb_grower_cap *cap = &setup->grower_caps[setup->n_grower_caps++];
    *cap = (sb_grower_cap){.file = r->file, .line = element->line};
    return sb_values_take(r, element, rules, COUNT(rules), cap);
}

/* Which element may stand where, and what it does. `field` and `limit` occur in two places. */
static const struct rule {
    const char *parent, *name;
    sb_season_begin begin;
    sb_season_end end;
    sb_xml_interest interest;
} element_rules[] = {
    {"", "season", begin_season, NULL, SB_XML_ENTER},
    {"season", "calendar", begin_calendar, NULL, SB_XML_ENTER},
    {"calendar", "blocked", begin_blocked, NULL, SB_XML_ENTER},
    {"season", "scale", sb_season_begin_scale, sb_season_end_scale, SB_XML_ENTER},
    {"scale", "class", sb_season_begin_class, NULL, SB_XML_ENTER},
    {"season", "crop", sb_season_begin_crop, NULL, SB_XML_ENTER},
    {"season", "weed", sb_season_begin_weed, NULL, SB_XML_ENTER},
    {"season", "cleanout", sb_season_begin_cleanout, NULL, SB_XML_ENTER},
    {"cleanout", "keep", sb_season_begin_keep, NULL, SB_XML_ENTER},
    {"cleanout", "supply", sb_season_begin_supply, NULL, SB_XML_ENTER},
    {"cleanout", "step", sb_season_begin_step, sb_season_end_step, SB_XML_TEXT},
    {"season", "travel", begin_travel, NULL, SB_XML_ENTER},
    {"season", "costs", begin_costs, NULL, SB_XML_ENTER},
    {"season", "limits", begin_limits, NULL, SB_XML_ENTER},
    {"limits", "grower", begin_grower_cap, NULL, SB_XML_ENTER},
    {"season", "resource", sb_season_begin_resource, NULL, SB_XML_ENTER},
    {"season", "machine", sb_season_begin_machine, NULL, SB_XML_ENTER},
    {"machine", "rate", sb_season_begin_rate, NULL, SB_XML_ENTER},
    {"machine", "section", sb_season_begin_section, NULL, SB_XML_ENTER},
    {"machine", "start", sb_season_begin_start, NULL, SB_XML_ENTER},
    {"start", "load", sb_season_begin_load, NULL, SB_XML_ENTER},
    {"season", "field", sb_season_begin_field, sb_season_end_field, SB_XML_ENTER},
    {"field", "rating", sb_season_begin_rating, NULL, SB_XML_ENTER},
    {"field", "apart", sb_season_begin_apart, NULL, SB_XML_ENTER},
    {"field", "limit", sb_season_begin_limit, NULL, SB_XML_ENTER},
};

static const struct rule *find_rule(const char *parent, const char *name)
{
    for (size_t i = 0; i < COUNT(element_rules); i++)
        if (strcmp(element_rules[i].parent, parent) == 0 &&
            strcmp(element_rules[i].name, name) == 0)
            return &element_rules[i];
    return NULL;
}

static sb_status unknown(const sb_season_file *file, const sb_xml_element *element,
                         const char *parent)
{
    char excerpt[SB_EXCERPT_BYTES];
    const char *names[COUNT(element_rules)];
    size_t n = 0;
    sb_text known = {0};
    for (size_t i = 0; i < COUNT(element_rules); i++)
        if (strcmp(element_rules[i].parent, parent) == 0) {
            sb_text_addf(&known, "%s%s", n > 0 ? ", " : "", element_rules[i].name);
            names[n++] = element_rules[i].name;
        }
    sb_text_add_near(&known, element->name, sb_name_in, names, n);
    sb_status status =
        sb_bad(file->reading.report, file->reading.file, element->line,
               "element '%s' in %s, expected %s%s", sb_excerpt(element->name, excerpt), parent,
               n > 1 ? "one of " : "", n > 0 ? sb_text_get(&known) : "none");
    sb_text_release(&known);
    return status;
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    sb_season_file *file = context;
    size_t depth = element->depth;
    const char *parent = depth > 1 ? file->open[depth - 1] : "";
    const struct rule *rule = find_rule(parent, element->name);
    if (rule == NULL)
        return unknown(file, element, parent);
    file->open[depth] = rule->name;
    *interest = rule->interest;
    return rule->begin(file, element);
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    (void)length, (void)line;
    sb_season_file *file = context;
    const struct rule *rule = find_rule(depth > 1 ? file->open[depth - 1] : "", file->open[depth]);
    return rule->end != NULL ? rule->end(file, text != NULL ? sb_trim(text) : NULL) : SB_OK;
}

static int compare_days(const void *a, const void *b)
{
    int day_a = *(const int *)a, day_b = *(const int *)b;
    return (day_a > day_b) - (day_a < day_b);
}

/* Ascending, no day twice. */
static void sort_blocked(sb_calendar *calendar)
{
    if (calendar->n_blocked == 0)
        return;
    qsort(calendar->blocked, calendar->n_blocked, sizeof(int), compare_days);
    size_t kept = 1;
    for (size_t i = 1; i < calendar->n_blocked; i++)
        if (calendar->blocked[i] != calendar->blocked[kept - 1])
            calendar->blocked[kept++] = calendar->blocked[i];
    calendar->n_blocked = kept;
}

/* The file's setup becomes the draft's, all at once: a file that fails changes nothing. */
static sb_status finish(void *state)
{
    sb_season_file *file = state;
    sort_blocked(&file->setup.calendar);
    sb_status status = sb_season_finish_machines(file);
    if (status == SB_OK)
        status = sb_season_finish_needs(file);
    if (status != SB_OK)
        return status;
    sb_draft *draft = file->reading.draft;
    sb_setup_release(&draft->setup);
    draft->setup = file->setup;
    file->setup = (sb_setup){0}; /* handed over */
    draft->season_file = file->reading.file;
    return SB_OK;
}

static void release(void *state)
{
    sb_season_file *file = state;
    sb_season_release_machines(file);
    for (size_t i = 0; i < COUNT(file->needs); i++)
        sb_free(file->needs[i]);
    sb_free(file->step.section);
    sb_free(file->step.text);
    sb_scale_release(&file->scale);
    sb_feature_release(&file->field);
    sb_setup_release(&file->setup);
}

static const char *const namespaces[] = {"urn:seedbreak:season:1", NULL};

static const char *const roots[] = {"season", NULL};

const sb_format sb_format_season = {
    roots,  namespaces, sizeof(sb_season_file), {start, end},
    finish, release,    sb_season_schema,       "docs/season.rng",
};
