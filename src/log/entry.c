/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An entry: its words, and what they mean. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/date.h"
#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "log/log.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const KIND_NAMES[SB_LOG_N_KINDS] = {
    [SB_LOG_CUT] = "cut",         [SB_LOG_CLEANOUT] = "cleanout",   [SB_LOG_COUNTED] = "counted",
    [SB_LOG_RATING] = "rating",   [SB_LOG_SEEDLINGS] = "seedlings", [SB_LOG_ADDED] = "added",
    [SB_LOG_DROPPED] = "dropped", [SB_LOG_AWAY] = "away",           [SB_LOG_LOST] = "lost",
    [SB_LOG_STRUCK] = "struck",
};

/* What is said of weeds, by kind. */
typedef enum weed_words {
    WEEDS_NONE,
    WEEDS_COUNTED, /* seeds or plants: a number */
    WEEDS_RATED,   /* a rating of the scale, or plants_m2 */
} weed_words;

static const weed_words WEED_WORDS[SB_LOG_N_KINDS] = {
    [SB_LOG_CLEANOUT] = WEEDS_COUNTED,  [SB_LOG_COUNTED] = WEEDS_COUNTED,
    [SB_LOG_SEEDLINGS] = WEEDS_COUNTED, [SB_LOG_RATING] = WEEDS_RATED,
    [SB_LOG_ADDED] = WEEDS_RATED,
};

typedef enum word_sort {
    SORT_TEXT,
    SORT_LATER, /* looked at when the field is joined with the others */
    SORT_MOMENT,
    SORT_DATE,
    SORT_AMOUNT,
    SORT_POSITIVE,
    SORT_FLAG,
    SORT_NUMBER,
} word_sort;

#define AT(member) offsetof(sb_log_entry, member)
#define ANY_KIND SB_LOG_N_KINDS

/* Which words an entry may have, and where their meaning goes. */
static const struct word_rule {
    sb_log_kind kind;
    const char *key;
    word_sort sort;
    size_t offset;
    bool needed;
} RULES[] = {
    {ANY_KIND, "written", SORT_TEXT, AT(written), false},
    {ANY_KIND, "why", SORT_TEXT, AT(why), false},
    {SB_LOG_CUT, "machine", SORT_TEXT, AT(machine), true},
    {SB_LOG_CUT, "field", SORT_TEXT, AT(field), true},
    {SB_LOG_CUT, "from", SORT_MOMENT, AT(from), false},
    {SB_LOG_CUT, "to", SORT_MOMENT, AT(to), true},
    {SB_LOG_CUT, "ha", SORT_POSITIVE, AT(ha), false},
    {SB_LOG_CUT, "left_ha", SORT_POSITIVE, AT(left_ha), false},
    {SB_LOG_CUT, "part", SORT_FLAG, AT(part), false},
    {SB_LOG_CUT, "before", SORT_NUMBER, AT(before), false},
    {SB_LOG_CLEANOUT, "machine", SORT_TEXT, AT(machine), true},
    {SB_LOG_CLEANOUT, "cleanout", SORT_TEXT, AT(cleanout), true},
    {SB_LOG_CLEANOUT, "from", SORT_MOMENT, AT(from), false},
    {SB_LOG_CLEANOUT, "to", SORT_MOMENT, AT(to), true},
    {SB_LOG_CLEANOUT, "minutes", SORT_AMOUNT, AT(minutes), false},
    {SB_LOG_CLEANOUT, "checked_by", SORT_TEXT, AT(checked_by), false},
    {SB_LOG_CLEANOUT, "place", SORT_TEXT, AT(place), false},
    {SB_LOG_CLEANOUT, "tarp_kg", SORT_POSITIVE, AT(tarp_kg), false},
    {SB_LOG_CLEANOUT, "sample_kg", SORT_POSITIVE, AT(sample_kg), false},
    {SB_LOG_CLEANOUT, "before", SORT_NUMBER, AT(before), false},
    {SB_LOG_COUNTED, "entry", SORT_NUMBER, AT(counts), true},
    {SB_LOG_COUNTED, "at", SORT_MOMENT, AT(at), true},
    {SB_LOG_COUNTED, "checked_by", SORT_TEXT, AT(checked_by), false},
    {SB_LOG_COUNTED, "tarp_kg", SORT_POSITIVE, AT(tarp_kg), false},
    {SB_LOG_COUNTED, "sample_kg", SORT_POSITIVE, AT(sample_kg), false},
    {SB_LOG_COUNTED, "recount", SORT_FLAG, AT(recount), false},
    {SB_LOG_RATING, "field", SORT_TEXT, AT(field), true},
    {SB_LOG_RATING, "at", SORT_MOMENT, AT(at), true},
    {SB_LOG_SEEDLINGS, "field", SORT_TEXT, AT(field), true},
    {SB_LOG_SEEDLINGS, "at", SORT_MOMENT, AT(at), true},
    {SB_LOG_SEEDLINGS, "strip_m", SORT_POSITIVE, AT(strip_m), true},
    {SB_LOG_SEEDLINGS, "width_m", SORT_POSITIVE, AT(width_m), false},
    {SB_LOG_SEEDLINGS, "checked_by", SORT_TEXT, AT(checked_by), false},
    {SB_LOG_ADDED, "field", SORT_TEXT, AT(field), true},
    {SB_LOG_ADDED, "at", SORT_MOMENT, AT(at), true},
    {SB_LOG_ADDED, "lon", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "lat", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "area_ha", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "crop", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "yield_t_ha", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "grower", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "ready", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "latest", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "best_before", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "worth", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "entry", SORT_LATER, 0, false},
    {SB_LOG_ADDED, "after", SORT_LATER, 0, false},
    {SB_LOG_DROPPED, "field", SORT_TEXT, AT(field), true},
    {SB_LOG_DROPPED, "at", SORT_MOMENT, AT(at), true},
    {SB_LOG_AWAY, "machine", SORT_TEXT, AT(machine), true},
    {SB_LOG_AWAY, "from", SORT_MOMENT, AT(from), true},
    {SB_LOG_AWAY, "to", SORT_MOMENT, AT(to), true},
    {SB_LOG_AWAY, "place", SORT_TEXT, AT(place), false},
    {SB_LOG_AWAY, "before", SORT_NUMBER, AT(before), false},
    {SB_LOG_LOST, "from", SORT_DATE, AT(first_day), true},
    {SB_LOG_LOST, "to", SORT_DATE, AT(last_day), true},
    {SB_LOG_STRUCK, "entry", SORT_NUMBER, AT(strikes), true},
};

const char *sb_log_kind_name(sb_log_kind kind)
{
    return KIND_NAMES[kind];
}

bool sb_log_kind_named(const char *name, sb_log_kind *kind)
{
    for (size_t i = 0; i < SB_LOG_N_KINDS; i++)
        if (strcmp(KIND_NAMES[i], name) == 0) {
            *kind = (sb_log_kind)i;
            return true;
        }
    return false;
}

/* Of a field that is added; "" for other words. */
static const char *field_key_at(const void *rules, size_t i)
{
    const struct word_rule *rule = &((const struct word_rule *)rules)[i];
    return rule->sort == SORT_LATER ? rule->key : "";
}

void sb_log_add_field_key(sb_text *text, const char *wanted)
{
    sb_text_add_meant(text, wanted, field_key_at, RULES, COUNT(RULES));
}

void sb_log_entry_release(sb_log_entry *entry)
{
    for (size_t i = 0; i < entry->words.count; i++) {
        sb_free(entry->words.items[i].key);
        sb_free(entry->words.items[i].value);
    }
    sb_free(entry->words.items);
    *entry = (sb_log_entry){0};
}

sb_status sb_log_entry_say(sb_log_entry *entry, const char *key, const char *value)
{
    sb_word word = {sb_strdup(key), sb_strdup(value)};
    if (word.key != NULL && word.value != NULL && SB_PUSH(&entry->words, word))
        return SB_OK;
    sb_free(word.key);
    sb_free(word.value);
    return SB_ERR_NOMEM;
}

const char *sb_log_entry_word(const sb_log_entry *entry, const char *key)
{
    for (size_t i = 0; i < entry->words.count; i++)
        if (strcmp(entry->words.items[i].key, key) == 0)
            return entry->words.items[i].value;
    return NULL;
}

bool sb_log_weed_word(const sb_word *word, char id[SB_MAX_WEED_ID], bool *density)
{
    static const char suffix[] = ":plants_m2";
    if (strncmp(word->key, "weed:", 5) != 0)
        return false;
    const char *begin = word->key + 5, *end = strchr(begin, ':');
    size_t length = end != NULL ? (size_t)(end - begin) : strlen(begin);
    *density = end != NULL && strcmp(end, suffix) == 0;
    if (length == 0 || length >= SB_MAX_WEED_ID || (end != NULL && !*density))
        return false;
    memcpy(id, begin, length);
    id[length] = '\0';
    return true;
}

static const struct word_rule *find_rule(sb_log_kind kind, const char *key)
{
    for (size_t i = 0; i < COUNT(RULES); i++)
        if ((RULES[i].kind == kind || RULES[i].kind == ANY_KIND) && strcmp(RULES[i].key, key) == 0)
            return &RULES[i];
    return NULL;
}

/* @return NULL, or what was expected */
static const char *take(const struct word_rule *rule, const char *value, sb_log_entry *entry)
{
    void *to = (char *)entry + rule->offset;
    double number;
    switch (rule->sort) {
    case SORT_TEXT:
        *(const char **)to = value;
        return *value != '\0' ? NULL : "a text";
    case SORT_LATER:
        return *value != '\0' ? NULL : "a text";
    case SORT_MOMENT:
        return sb_moment_parse(value, to) ? NULL : "a time as 2026-08-06T17:30";
    case SORT_DATE:
        return strlen(value) == 10 && sb_date_parse(value, to) ? NULL : "a date as 2026-08-06";
    case SORT_AMOUNT:
    case SORT_POSITIVE:
        if (!sb_parse_double(value, &number) || number < 0 ||
            (rule->sort == SORT_POSITIVE && number == 0))
            return rule->sort == SORT_AMOUNT ? "a number of at least 0" : "a number above 0";
        *(double *)to = number;
        return NULL;
    case SORT_FLAG:
        *(bool *)to = strcmp(value, "true") == 0;
        return *(bool *)to || strcmp(value, "false") == 0 ? NULL : "true or false";
    case SORT_NUMBER:
        return sb_parse_long(value, 1, SB_LOG_MAX_ENTRIES, to) ? NULL : "the number of an entry";
    }
    return NULL;
}

static sb_status understand_word(sb_log_entry *entry, const sb_word *word, const char *file,
                                 sb_report *report)
{
    const char *kind = KIND_NAMES[entry->kind];
    char key[SB_EXCERPT_BYTES], value[SB_EXCERPT_BYTES], id[SB_MAX_WEED_ID];
    bool density;
    double count;
    if (sb_log_weed_word(word, id, &density)) {
        weed_words allowed = WEED_WORDS[entry->kind];
        if (allowed == WEEDS_NONE || (density && allowed == WEEDS_COUNTED))
            return sb_bad(report, file, entry->line, "'%s' in an entry '%s', expected %s",
                          sb_excerpt(word->key, key), kind,
                          density ? "a number of seeds or plants" : "nothing about weeds");
        bool number = sb_parse_double(word->value, &count) && count >= 0;
        if ((allowed == WEEDS_COUNTED || density) && !number)
            return sb_bad(report, file, entry->line, "%s '%s', expected a number of at least 0",
                          sb_excerpt(word->key, key), sb_excerpt(word->value, value));
        return SB_OK;
    }
    const struct word_rule *rule = find_rule(entry->kind, word->key);
    if (rule == NULL)
        return sb_bad(report, file, entry->line, "'%s' in an entry '%s', which has no such word",
                      sb_excerpt(word->key, key), kind);
    const char *expected = take(rule, word->value, entry);
    if (expected != NULL)
        return sb_bad(report, file, entry->line, "%s '%s', expected %s", word->key,
                      sb_excerpt(word->value, value), expected);
    return SB_OK;
}

/* What a kind demands beyond its words one by one. */
static sb_status understand_whole(const sb_log_entry *entry, const char *file, sb_report *report)
{
    const char *kind = KIND_NAMES[entry->kind];
    size_t weeds = 0;
    for (size_t i = 0; i < entry->words.count; i++)
        weeds += strncmp(entry->words.items[i].key, "weed:", 5) == 0;
    bool about_weeds = entry->kind == SB_LOG_RATING || entry->kind == SB_LOG_SEEDLINGS ||
                       entry->kind == SB_LOG_COUNTED;
    if (about_weeds && weeds == 0)
        return sb_bad(report, file, entry->line,
                      "an entry '%s' about no weed, expected one, as kochia=3", kind);
    if (entry->from != SB_NO_MOMENT && entry->to != SB_NO_MOMENT && entry->to < entry->from) {
        char from[17], to[17];
        sb_moment_format(entry->from, from);
        sb_moment_format(entry->to, to);
        return sb_bad(report, file, entry->line,
                      "an entry '%s' from %s to %s, expected that it begins before it ends", kind,
                      from, to);
    }
    if (entry->kind == SB_LOG_LOST && entry->last_day < entry->first_day)
        return sb_bad(report, file, entry->line, "days lost that end before they begin");
    if (entry->part && isnan(entry->ha))
        return sb_bad(report, file, entry->line,
                      "part of a field without 'ha' (--ha), expected how much of it was cut");
    if (entry->part && !isnan(entry->left_ha))
        return sb_bad(report, file, entry->line,
                      "'left_ha' (--left) with a part, expected it when the rest is finished");
    bool weighed_before = entry->kind == SB_LOG_COUNTED && isnan(entry->tarp_kg);
    if (!isnan(entry->sample_kg) && !weighed_before && !(entry->sample_kg <= entry->tarp_kg))
        return sb_bad(report, file, entry->line,
                      "a sample of %g kg, expected 'tarp_kg' (--tarp-kg), what the whole weighed, "
                      "at least as large",
                      entry->sample_kg);
    return SB_OK;
}

sb_status sb_log_entry_understand(sb_log_entry *entry, const char *file, sb_report *report)
{
    entry->machine = entry->field = entry->cleanout = entry->place = NULL;
    entry->checked_by = entry->why = entry->written = NULL;
    entry->at = entry->from = entry->to = SB_NO_MOMENT;
    entry->first_day = entry->last_day = SB_NO_DAY;
    entry->ha = entry->left_ha = entry->minutes = NAN;
    entry->tarp_kg = entry->sample_kg = entry->strip_m = entry->width_m = NAN;
    entry->part = entry->recount = false;
    entry->strikes = entry->counts = entry->before = 0;
    for (size_t i = 0; i < entry->words.count; i++) {
        const sb_word *word = &entry->words.items[i];
        if (sb_log_entry_word(entry, word->key) != word->value)
            return sb_bad(report, file, entry->line, "'%s' twice in an entry, expected it once",
                          word->key);
        sb_status status = understand_word(entry, word, file, report);
        if (status != SB_OK)
            return status;
    }
    for (size_t i = 0; i < COUNT(RULES); i++)
        if (RULES[i].kind == entry->kind && RULES[i].needed &&
            sb_log_entry_word(entry, RULES[i].key) == NULL)
            return sb_bad(report, file, entry->line,
                          "an entry '%s' without '%s' (--%s), expected it", KIND_NAMES[entry->kind],
                          RULES[i].key,
                          strcmp(RULES[i].key, "strip_m") == 0 ? "strip" : RULES[i].key);
    return understand_whole(entry, file, report);
}

/* ---- As XML --------------------------------------------------------------------------------- */

static void add_attribute(sb_text *text, const char *name, const char *value)
{
    sb_text_addf(text, " %s=\"", name);
    for (const char *c = value; *c != '\0'; c++) {
        if (*c == '&')
            sb_text_addf(text, "&amp;");
        else if (*c == '<')
            sb_text_addf(text, "&lt;");
        else if (*c == '"')
            sb_text_addf(text, "&quot;");
        else
            sb_text_add(text, c, 1);
    }
    sb_text_add(text, "\"", 1);
}

static void add_weeds(const sb_log_entry *entry, sb_text *text)
{
    char id[SB_MAX_WEED_ID];
    bool density;
    for (size_t i = 0; i < entry->words.count; i++) {
        const sb_word *word = &entry->words.items[i];
        if (!sb_log_weed_word(word, id, &density))
            continue;
        sb_text_addf(text, "<weed");
        add_attribute(text, "id", id);
        add_attribute(text,
                      density                           ? "plants_m2"
                      : entry->kind == SB_LOG_CLEANOUT  ? "seeds"
                      : entry->kind == SB_LOG_COUNTED   ? "seeds"
                      : entry->kind == SB_LOG_SEEDLINGS ? "plants"
                                                        : "rating",
                      word->value);
        sb_text_addf(text, "/>");
    }
}

void sb_log_entry_xml(const sb_log_entry *entry, sb_text *text)
{
    sb_text_addf(text, "  <%s n=\"%ld\"", KIND_NAMES[entry->kind], entry->number);
    bool weeds = false;
    for (size_t i = 0; i < entry->words.count; i++) {
        const sb_word *word = &entry->words.items[i];
        if (strncmp(word->key, "weed:", 5) == 0)
            weeds = true;
        else
            add_attribute(text, word->key, word->value);
    }
    if (entry->seal[0] != '\0')
        add_attribute(text, "seal", entry->seal);
    sb_text_addf(text, weeds ? ">" : "/>\n");
    if (!weeds)
        return;
    add_weeds(entry, text);
    sb_text_addf(text, "</%s>\n", KIND_NAMES[entry->kind]);
}
