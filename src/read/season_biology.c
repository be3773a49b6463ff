/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Crops, weeds and cleanouts of a season file: a known id changes what it names, a new one adds. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/season_file.h"

/* What a new weed or cleanout may leave out, the same as in the built-in ones. */
#define DEFAULT_SURVIVAL 0.9
#define DEFAULT_CONTROL 0.95
#define DEFAULT_CROWDING_PLANTS_M2 1.0
#define DEFAULT_MOG_PER_GRAIN 1.0
#define DEFAULT_PEOPLE 1.0

static const sb_value_rule crop_rules[] = {
    {"id", SB_VALUE_ID, offsetof(sb_crop, id)},
    {"name", SB_VALUE_TEXT, offsetof(sb_crop, name)},
    {"yield_t_ha", SB_VALUE_POSITIVE, offsetof(sb_crop, yield_t_ha)},
    {"mog_per_grain", SB_VALUE_AMOUNT, offsetof(sb_crop, mog_per_grain)},
    {"price_per_t", SB_VALUE_AMOUNT, offsetof(sb_crop, price_per_t)},
    {"delay_per_day", SB_VALUE_SHARE, offsetof(sb_crop, delay_per_day)},
};

static const sb_value_rule weed_rules[] = {
    {"id", SB_VALUE_ID, offsetof(sb_weed, id)},
    {"name", SB_VALUE_TEXT, offsetof(sb_weed, name)},
    {"seeds_per_plant", SB_VALUE_POSITIVE, offsetof(sb_weed, seeds_per_plant)},
    {"retained", SB_VALUE_SHARE, offsetof(sb_weed, retained)},
    {"header_loss", SB_VALUE_SHARE, offsetof(sb_weed, header_loss)},
    {"seed", SB_VALUE_SEED, offsetof(sb_weed, large_seed)},
    {"viability", SB_VALUE_SHARE, offsetof(sb_weed, viability)},
    {"emergence", SB_VALUE_SHARE, offsetof(sb_weed, emergence)},
    {"survival", SB_VALUE_SHARE, offsetof(sb_weed, survival)},
    {"control", SB_VALUE_SHARE, offsetof(sb_weed, control)},
    {"cost_per_plant", SB_VALUE_AMOUNT, offsetof(sb_weed, cost_per_plant)},
    {"crowding_plants_m2", SB_VALUE_POSITIVE, offsetof(sb_weed, crowding_plants_m2)},
};

static const sb_value_rule cleanout_rules[] = {
    {"id", SB_VALUE_ID, offsetof(sb_cleanout, id)},
    {"name", SB_VALUE_TEXT, offsetof(sb_cleanout, name)},
    {"minutes", SB_VALUE_AMOUNT, offsetof(sb_cleanout, minutes)},
    {"people", SB_VALUE_AMOUNT, offsetof(sb_cleanout, people)},
    {"supplies_cost", SB_VALUE_AMOUNT, offsetof(sb_cleanout, supplies_cost)},
    {"supplies", SB_VALUE_TEXT, offsetof(sb_cleanout, supplies)},
    {"full", SB_VALUE_FLAG, offsetof(sb_cleanout, full)},
    {"needs", SB_VALUE_LATER, 0},
};

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Is every number there that a new thing must state? Silent ones are still NAN. */
static sb_status need_numbers(const sb_season_file *file, const sb_xml_element *element,
                              const sb_value_rule *rules, size_t n_rules, const void *target)
{
    for (size_t i = 0; i < n_rules; i++) {
        sb_value_kind kind = rules[i].kind;
        if (kind != SB_VALUE_POSITIVE && kind != SB_VALUE_AMOUNT && kind != SB_VALUE_SHARE)
            continue;
        double value;
        memcpy(&value, (const char *)target + rules[i].offset, sizeof value);
        char excerpt[SB_EXCERPT_BYTES];
        if (isnan(value))
            return sb_bad(file->reading.report, file->reading.file, element->line,
                          "new %s '%s' without %s, expected it: there is no default", element->name,
                          sb_excerpt(sb_xml_attribute_value(element, "id"), excerpt),
                          rules[i].name);
    }
    return SB_OK;
}

/* "what stood there; changed by the season file: a, b", or "season file" for a new thing. */
static sb_status tell_source(const sb_xml_element *element, char **source)
{
    sb_text text = {0};
    if (*source != NULL)
        sb_text_addf(&text, "%s; changed by the season file:", *source);
    else
        sb_text_addf(&text, "season file");
    for (size_t i = 0; i < element->n_attributes && *source != NULL; i++)
        if (strcmp(element->attributes[i].name, "id") != 0)
            sb_text_addf(&text, " %s", element->attributes[i].name);
    if (text.failed) {
        sb_text_release(&text);
        return SB_ERR_NOMEM;
    }
    sb_free(*source);
    *source = text.bytes; /* handed over */
    return SB_OK;
}

/* The id; and room for one thing more at the end of a list, in case it is new. */
static sb_status begin_thing(sb_season_file *file, const sb_xml_element *element, const char **id,
                             void **items, size_t n, size_t size)
{
    sb_status status = sb_values_need(&file->reading, element, "id", id);
    if (status != SB_OK)
        return status;
    void *grown = sb_resize(*items, n + 1, size);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    *items = grown;
    return SB_OK;
}

/* The element's values laid over a thing; what a new thing then lacks is an error or, for its
 * name, the id. */
static sb_status take_thing(sb_season_file *file, const sb_xml_element *element,
                            const sb_value_rule *rules, size_t n_rules, void *thing, char **name,
                            char **source)
{
    sb_status status = sb_values_take(&file->reading, element, rules, n_rules, thing);
    if (status == SB_OK)
        status = need_numbers(file, element, rules, n_rules, thing);
    if (status == SB_OK && *name == NULL)
        status = sb_values_replace(name, sb_xml_attribute_value(element, "id"));
    return status == SB_OK ? tell_source(element, source) : status;
}

static sb_status too_many(const sb_season_file *file, const sb_xml_element *element, int most)
{
    return sb_bad(file->reading.report, file->reading.file, element->line,
                  "one %s too many, expected at most %d, the built-in ones included", element->name,
                  most);
}

sb_status sb_season_begin_crop(sb_season_file *file, const sb_xml_element *element)
{
    sb_setup *setup = &file->setup;
    const char *id;
    sb_status status = begin_thing(file, element, &id, (void **)&setup->crops, setup->n_crops,
                                   sizeof *setup->crops);
    if (status != SB_OK)
        return status;
    int known = sb_find_crop(setup, id);
    sb_crop *crop = &setup->crops[known >= 0 ? (size_t)known : setup->n_crops];
    if (known < 0) {
        *crop =
            (sb_crop){.yield_t_ha = NAN, .mog_per_grain = DEFAULT_MOG_PER_GRAIN, .basis = SB_GIVEN};
        setup->n_crops++;
    }
    crop->line = element->line;
    crop->given |= sb_values_given(element, crop_rules, COUNT(crop_rules));
    return take_thing(file, element, crop_rules, COUNT(crop_rules), crop, &crop->name,
                      &crop->source);
}

sb_status sb_season_begin_weed(sb_season_file *file, const sb_xml_element *element)
{
    sb_setup *setup = &file->setup;
    const char *id;
    sb_status status = begin_thing(file, element, &id, (void **)&setup->weeds, setup->n_weeds,
                                   sizeof *setup->weeds);
    if (status != SB_OK)
        return status;
    int known = sb_find_weed(setup, id);
    if (known < 0 && setup->n_weeds >= SB_MAX_WEEDS)
        return too_many(file, element, SB_MAX_WEEDS);
    sb_weed *weed = &setup->weeds[known >= 0 ? (size_t)known : setup->n_weeds];
    if (known < 0) {
        *weed = (sb_weed){.seeds_per_plant = NAN,
                          .retained = NAN,
                          .header_loss = NAN,
                          .viability = NAN,
                          .emergence = NAN,
                          .survival = DEFAULT_SURVIVAL,
                          .control = DEFAULT_CONTROL,
                          .cost_per_plant = NAN,
                          .crowding_plants_m2 = DEFAULT_CROWDING_PLANTS_M2,
                          .basis = SB_GIVEN};
        setup->n_weeds++;
    }
    weed->line = element->line;
    weed->given |= sb_values_given(element, weed_rules, COUNT(weed_rules));
    return take_thing(file, element, weed_rules, COUNT(weed_rules), weed, &weed->name,
                      &weed->source);
}

/* A cleanout that takes nothing away yet. */
static sb_status new_cleanout(const sb_setup *setup, sb_cleanout *cleanout)
{
    *cleanout = (sb_cleanout){.minutes = NAN, .people = DEFAULT_PEOPLE, .basis = SB_GIVEN};
    for (size_t i = 0; i < setup->n_sections; i++)
        cleanout->keep_loose[i] = cleanout->keep_lodged[i] = 1;
    return sb_values_replace(&cleanout->supplies, "");
}

sb_status sb_season_begin_cleanout(sb_season_file *file, const sb_xml_element *element)
{
    sb_setup *setup = &file->setup;
    const char *id;
    sb_status status = begin_thing(file, element, &id, (void **)&setup->cleanouts,
                                   setup->n_cleanouts, sizeof *setup->cleanouts);
    if (status != SB_OK)
        return status;
    int known = sb_find_cleanout(setup, id);
    if (known == 0)
        return sb_bad(file->reading.report, file->reading.file, element->line,
                      "cleanout 'none' changed, expected another id: no cleaning is no cleaning");
    if (known < 0 && setup->n_cleanouts >= SB_MAX_LEVELS)
        return too_many(file, element, SB_MAX_LEVELS);
    sb_cleanout *cleanout = &setup->cleanouts[known >= 0 ? (size_t)known : setup->n_cleanouts];
    if (known < 0) {
        setup->n_cleanouts++;
        if (new_cleanout(setup, cleanout) != SB_OK)
            return SB_ERR_NOMEM;
    }
    const char *needs = sb_xml_attribute_value(element, "needs");
    if (needs != NULL && sb_values_replace(&file->needs[cleanout - setup->cleanouts], needs))
        return SB_ERR_NOMEM;
    file->cleanout = cleanout;
    file->steps_begun = false;
    file->supplies_begun = sb_xml_attribute_value(element, "supplies") != NULL;
    if (file->supplies_begun)
        sb_cleanout_drop_counted(cleanout); /* own words replace all that was to be had ready */
    cleanout->line = element->line;
    cleanout->given |= sb_values_given(element, cleanout_rules, COUNT(cleanout_rules));
    return take_thing(file, element, cleanout_rules, COUNT(cleanout_rules), cleanout,
                      &cleanout->name, &cleanout->source);
}

/* The share a `keep` says that a cleanout leaves in one pool of a section. */
static sb_status check_share(const sb_season_file *file, const sb_xml_element *element,
                             const char *section, const char *pool, double share)
{
    if (share <= 1)
        return SB_OK;
    return sb_bad(file->reading.report, file->reading.file, element->line,
                  "cleanout '%s' keeps %g of the %s seeds in %s, expected 0 to 1: it cannot keep "
                  "more than it found",
                  file->cleanout->id, share, pool, section);
}

sb_status sb_season_begin_keep(sb_season_file *file, const sb_xml_element *element)
{
    sb_cleanout *cleanout = file->cleanout;
    const char *id;
    size_t section;
    sb_status status = sb_values_need(&file->reading, element, "section", &id);
    if (status == SB_OK)
        status = sb_season_section(file, element, id, &section);
    if (status != SB_OK)
        return status;
    size_t skipped = section * sizeof(double);
    const sb_value_rule rules[] = {
        {"section", SB_VALUE_LATER, 0},
        {"loose", SB_VALUE_AMOUNT, offsetof(sb_cleanout, keep_loose) + skipped},
        {"lodged", SB_VALUE_AMOUNT, offsetof(sb_cleanout, keep_lodged) + skipped},
    };
    cleanout->given |= sb_values_given(element, rules, COUNT(rules));
    status = sb_values_take(&file->reading, element, rules, COUNT(rules), cleanout);
    if (status == SB_OK)
        status = check_share(file, element, id, "loose", cleanout->keep_loose[section]);
    if (status == SB_OK)
        status = check_share(file, element, id, "lodged", cleanout->keep_lodged[section]);
    return status;
}

static bool has_supply(const sb_cleanout *cleanout, const char *name, const char *unit)
{
    for (size_t i = 0; i < cleanout->n_counted; i++)
        if (strcmp(cleanout->counted[i].name, name) == 0 &&
            strcmp(cleanout->counted[i].unit, unit) == 0)
            return true;
    return false;
}

static sb_status supply_twice(const sb_season_file *file, const sb_xml_element *element,
                              const sb_supply *supply)
{
    char name[SB_EXCERPT_BYTES], unit[SB_EXCERPT_BYTES];
    return sb_bad(file->reading.report, file->reading.file, element->line,
                  "supply '%s' in unit '%s' twice in cleanout '%s', expected one amount",
                  sb_excerpt(supply->name, name), sb_excerpt(supply->unit, unit),
                  file->cleanout->id);
}

/* A supply with all its attributes, or nothing owned. */
static sb_status read_supply(sb_season_file *file, const sb_xml_element *element, sb_supply *supply)
{
    static const sb_value_rule rules[] = {
        {"name", SB_VALUE_TEXT, offsetof(sb_supply, name)},
        {"unit", SB_VALUE_TEXT, offsetof(sb_supply, unit)},
        {"amount", SB_VALUE_POSITIVE, offsetof(sb_supply, amount)},
    };
    const char *needed;
    *supply = (sb_supply){0};
    sb_status status = sb_values_need(&file->reading, element, "name", &needed);
    if (status == SB_OK)
        status = sb_values_need(&file->reading, element, "amount", &needed);
    if (status == SB_OK)
        status = sb_values_replace(&supply->unit, "");
    if (status == SB_OK)
        status = sb_values_take(&file->reading, element, rules, COUNT(rules), supply);
    if (status == SB_OK && has_supply(file->cleanout, supply->name, supply->unit))
        status = supply_twice(file, element, supply);
    if (status != SB_OK) {
        sb_free(supply->name);
        sb_free(supply->unit);
    }
    return status;
}

sb_status sb_season_begin_supply(sb_season_file *file, const sb_xml_element *element)
{
    sb_cleanout *cleanout = file->cleanout;
    if (!file->supplies_begun)
        sb_cleanout_drop_counted(cleanout); /* own amounts replace the built-in ones */
    file->supplies_begun = true;
    if (cleanout->n_counted >= SB_MAX_SUPPLIES)
        return sb_bad(file->reading.report, file->reading.file, element->line,
                      "one supply of cleanout '%s' too many, expected at most %d", cleanout->id,
                      SB_MAX_SUPPLIES);
    void *grown = sb_resize(cleanout->counted, cleanout->n_counted + 1, sizeof *cleanout->counted);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    cleanout->counted = grown;
    sb_supply supply;
    sb_status status = read_supply(file, element, &supply);
    if (status == SB_OK)
        cleanout->counted[cleanout->n_counted++] = supply; /* handed over */
    return status;
}

static void drop_steps(sb_cleanout *cleanout)
{
    for (size_t i = 0; i < cleanout->n_steps; i++) {
        sb_free(cleanout->steps[i].section);
        sb_free(cleanout->steps[i].text);
    }
    cleanout->n_steps = 0;
}

sb_status sb_season_begin_step(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"section", SB_VALUE_LATER, 0},
        {"minutes", SB_VALUE_AMOUNT, offsetof(sb_step, minutes)},
    };
    if (!file->steps_begun)
        drop_steps(file->cleanout); /* own steps replace the built-in ones */
    file->steps_begun = true;
    const char *id = sb_xml_attribute_value(element, "section");
    size_t section;
    sb_status status = id != NULL ? sb_season_section(file, element, id, &section) : SB_OK;
    file->step.minutes = 0;
    if (status == SB_OK)
        status = sb_values_take(&file->reading, element, rules, COUNT(rules), &file->step);
    if (status == SB_OK)
        status = sb_values_replace(&file->step.section, id != NULL ? id : "");
    return status;
}

sb_status sb_season_end_step(sb_season_file *file, const char *text)
{
    sb_cleanout *cleanout = file->cleanout;
    void *grown = sb_resize(cleanout->steps, cleanout->n_steps + 1, sizeof *cleanout->steps);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    cleanout->steps = grown;
    if (sb_values_replace(&file->step.text, text) != SB_OK)
        return SB_ERR_NOMEM;
    cleanout->steps[cleanout->n_steps++] = file->step;
    file->step = (sb_step){0}; /* handed over */
    return SB_OK;
}
