/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/values.h"

#include <string.h>

#include "base/date.h"
#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "base/text.h"

#define LETTERS "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"

sb_status sb_values_replace(char **slot, const char *value)
{
    char *copy = sb_strdup(value);
    if (copy == NULL)
        return SB_ERR_NOMEM;
    sb_free(*slot);
    *slot = copy;
    return SB_OK;
}

static sb_status bad_value(const sb_reading *r, const sb_xml_element *element, const char *name,
                           const char *value, const char *expected)
{
    char excerpt[SB_EXCERPT_BYTES];
    return sb_bad(r->report, r->file, element->line, "%s %s='%s', expected %s", element->name, name,
                  sb_excerpt(value, excerpt), expected);
}

static const struct range {
    const char *expected;
    double min, max;
    bool min_open; /* the minimum itself does not count */
} ranges[] = {
    [SB_VALUE_POSITIVE] = {"a number above 0", 0, 1e300, true},
    [SB_VALUE_AMOUNT] = {"a number of 0 or more", 0, 1e300, false},
    [SB_VALUE_SHARE] = {"a share from 0 to 1", 0, 1, false},
    [SB_VALUE_FACTOR] = {"a factor of 1 or more", 1, 1e300, false},
    [SB_VALUE_HOURS] = {"a number above 0, at most 24,", 0, 24, true},
};

/* Is it kept as a double? */
static bool is_number(sb_value_kind kind)
{
    return kind == SB_VALUE_POSITIVE || kind == SB_VALUE_AMOUNT || kind == SB_VALUE_SHARE ||
           kind == SB_VALUE_FACTOR || kind == SB_VALUE_HOURS || kind == SB_VALUE_CLOCK;
}

static bool take_number(const struct range *range, const char *value, double *slot)
{
    double number;
    if (!sb_parse_double(value, &number) || number < range->min || number > range->max ||
        (range->min_open && number == range->min))
        return false;
    *slot = number;
    return true;
}

static bool take_clock(const char *value, double *slot)
{
    long hours, minutes;
    char copy[6] = {0};
    if (strlen(value) != 5 || value[2] != ':' || strspn(value, "0123456789:") != 5)
        return false;
    memcpy(copy, value, 5);
    copy[2] = '\0';
    if (!sb_parse_long(copy, 0, 23, &hours) || !sb_parse_long(copy + 3, 0, 59, &minutes))
        return false;
    *slot = (double)hours + (double)minutes / 60;
    return true;
}

static bool take_count(const char *value, int *slot)
{
    long count;
    if (!sb_parse_long(value, 1, 1000, &count))
        return false;
    *slot = (int)count;
    return true;
}

static bool take_choice(const char *value, const char *no, const char *yes, bool *slot)
{
    if (strcmp(value, no) != 0 && strcmp(value, yes) != 0)
        return false;
    *slot = strcmp(value, yes) == 0;
    return true;
}

static bool is_id(const char *value)
{
    size_t n = strlen(value);
    return n > 0 && strspn(value, LETTERS) > 0 && strspn(value, LETTERS "0123456789_.-") == n;
}

static sb_status take_text(const sb_reading *r, const sb_xml_element *element, const char *name,
                           const char *value, char **slot)
{
    sb_status status = sb_values_replace(slot, value);
    if (status != SB_OK)
        return status;
    char *trimmed = sb_trim(*slot);
    memmove(*slot, trimmed, strlen(trimmed) + 1);
    return **slot != '\0' ? SB_OK : bad_value(r, element, name, value, "some text");
}

static sb_status take(const sb_reading *r, const sb_xml_element *element, const char *name,
                      const char *value, sb_value_kind kind, void *slot)
{
    const char *expected = NULL; /* set when the value does not fit */
    switch (kind) {
    case SB_VALUE_TEXT:
        return take_text(r, element, name, value, slot);
    case SB_VALUE_ID:
        if (is_id(value))
            return sb_values_replace(slot, value);
        expected = "an id of letters, digits, '_', '.' and '-' that begins with a letter";
        break;
    case SB_VALUE_POSITIVE:
    case SB_VALUE_AMOUNT:
    case SB_VALUE_SHARE:
    case SB_VALUE_FACTOR:
    case SB_VALUE_HOURS:
        if (!take_number(&ranges[kind], value, slot))
            expected = ranges[kind].expected;
        break;
    case SB_VALUE_DATE:
        if (!sb_date_parse(value, slot))
            expected = "a date like 2026-08-01";
        break;
    case SB_VALUE_CLOCK:
        if (!take_clock(value, slot))
            expected = "a time like 09:00";
        break;
    case SB_VALUE_COUNT:
        if (!take_count(value, slot))
            expected = "a whole number from 1 to 1000";
        break;
    case SB_VALUE_FLAG:
        if (!take_choice(value, "false", "true", slot))
            expected = "'true' or 'false'";
        break;
    case SB_VALUE_SEED:
        if (!take_choice(value, "small", "large", slot))
            expected = "'small' or 'large'";
        break;
    case SB_VALUE_LATER:
        break;
    }
    return expected == NULL ? SB_OK : bad_value(r, element, name, value, expected);
}

static const char *rule_name_at(const void *rules, size_t i)
{
    return ((const sb_value_rule *)rules)[i].name;
}

static sb_status unknown(const sb_reading *r, const sb_xml_element *element,
                         const sb_xml_attribute *attribute, const sb_value_rule *rules,
                         size_t n_rules)
{
    char excerpt[SB_EXCERPT_BYTES];
    if (attribute->ns[0] != '\0')
        return sb_bad(r->report, r->file, element->line,
                      "attribute '%s' of %s in a namespace, expected none in a namespace",
                      sb_excerpt(attribute->name, excerpt), element->name);
    sb_text known = {0};
    for (size_t i = 0; i < n_rules; i++)
        sb_text_addf(&known, "%s%s", i > 0 ? ", " : "", rules[i].name);
    sb_text_add_near(&known, attribute->name, rule_name_at, rules, n_rules);
    sb_status status =
        sb_bad(r->report, r->file, element->line, "attribute '%s' of %s, expected %s%s",
               sb_excerpt(attribute->name, excerpt), element->name, n_rules > 1 ? "one of " : "",
               n_rules > 0 ? sb_text_get(&known) : "none");
    sb_text_release(&known);
    return status;
}

sb_status sb_values_take(const sb_reading *reading, const sb_xml_element *element,
                         const sb_value_rule *rules, size_t n_rules, void *target)
{
    for (size_t a = 0; a < element->n_attributes; a++) {
        const sb_xml_attribute *attribute = &element->attributes[a];
        const sb_value_rule *rule = NULL;
        for (size_t i = 0; i < n_rules && rule == NULL; i++)
            if (attribute->ns[0] == '\0' && strcmp(rules[i].name, attribute->name) == 0)
                rule = &rules[i];
        if (rule == NULL)
            return unknown(reading, element, attribute, rules, n_rules);
        if (rule->kind == SB_VALUE_LATER)
            continue;
        sb_status status = take(reading, element, rule->name, attribute->value, rule->kind,
                                (char *)target + rule->offset);
        if (status != SB_OK)
            return status;
    }
    return SB_OK;
}

sb_numbers_given sb_values_given(const sb_xml_element *element, const sb_value_rule *rules,
                                 size_t n_rules)
{
    sb_numbers_given given = 0;
    for (size_t i = 0; i < n_rules; i++)
        if (is_number(rules[i].kind) && sb_xml_attribute_value(element, rules[i].name) != NULL)
            given |= SB_GIVEN_BIT(rules[i].offset);
    return given;
}

sb_status sb_values_need(const sb_reading *reading, const sb_xml_element *element, const char *name,
                         const char **value)
{
    *value = sb_xml_attribute_value(element, name);
    if (*value != NULL)
        return SB_OK;
    return sb_bad(reading->report, reading->file, element->line, "%s without %s, expected it",
                  element->name, name);
}
