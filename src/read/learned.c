/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What earlier seasons taught: urn:seedbreak:learned:1 (docs/formats.md, docs/learned.rng). */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/format.h"
#include "read/values.h"

#define MOST_TIMES 1000.0 /* a number that is so far off was not learned but mistyped */
#define COUNT(array) (sizeof(array) / sizeof *(array))

typedef struct learned_file {
    sb_reading reading; /* first, see format.h */
    sb_factors factors; /* the draft's at the end */
} learned_file;

static sb_status begin_learned(learned_file *file, const sb_xml_element *element)
{
    const sb_reading *r = &file->reading;
    const char *from;
    if (r->draft->learned_file != NULL)
        return sb_bad(r->report, r->file, element->line,
                      "a second file of what was learned (the first: %s), expected one: the latest "
                      "has it all",
                      r->draft->learned_file);
    sb_status status = sb_values_need(r, element, "log", &from);
    const char *seal = sb_xml_attribute_value(element, "seal");
    if (status == SB_OK && seal != NULL)
        status = sb_values_replace(&file->factors.seal, seal);
    return status == SB_OK ? sb_values_replace(&file->factors.from, from) : status;
}

typedef struct number {
    char *name, *weed, *cleanout;
    double used, times;
} number;

/* Does it say what a number of its sort has to say? */
static sb_status understand(const learned_file *file, const sb_xml_element *element,
                            const number *said, sb_factor *factor)
{
    const sb_reading *r = &file->reading;
    char excerpt[SB_EXCERPT_BYTES];
    if (said->name == NULL || !sb_number_keyed(said->name, &factor->what) ||
        factor->what == SB_DOUBT_RATING)
        return sb_bad(r->report, r->file, element->line,
                      "number '%s', expected one that the model calls so, as seeds_per_plant",
                      said->name != NULL ? sb_excerpt(said->name, excerpt) : "");
    bool weeds = sb_number_is_weeds(factor->what), keep = factor->what == SB_DOUBT_KEEP;
    if ((said->weed != NULL) != weeds || (said->cleanout != NULL) != keep ||
        isnan(said->used) == weeds)
        return sb_bad(r->report, r->file, element->line, "number '%s', expected it %s", said->name,
                      weeds  ? "with 'weed' and 'used'"
                      : keep ? "with 'cleanout'"
                             : "with neither weed, cleanout nor 'used'");
    if (!(said->times >= 1 / MOST_TIMES && said->times <= MOST_TIMES))
        return sb_bad(r->report, r->file, element->line,
                      "number '%s' times %g, expected 'times' from %g to %g", said->name,
                      said->times, 1 / MOST_TIMES, MOST_TIMES);
    factor->used = said->used;
    factor->times = said->times;
    factor->line = element->line;
    const char *of = weeds ? said->weed : said->cleanout;
    if (sb_factors_find(&file->factors, factor->what, of) != NULL)
        return sb_bad(r->report, r->file, element->line, "number '%s' for the second time",
                      said->name);
    return sb_copy_text(&factor->of, of) ? SB_OK : SB_ERR_NOMEM;
}

static sb_status begin_number(learned_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"name", SB_VALUE_TEXT, offsetof(number, name)},
        {"weed", SB_VALUE_ID, offsetof(number, weed)},
        {"cleanout", SB_VALUE_ID, offsetof(number, cleanout)},
        {"used", SB_VALUE_AMOUNT, offsetof(number, used)},
        {"times", SB_VALUE_POSITIVE, offsetof(number, times)},
    };
    number said = {.used = NAN, .times = NAN};
    sb_factor factor = {0};
    sb_status status = sb_values_take(&file->reading, element, rules, COUNT(rules), &said);
    if (status == SB_OK)
        status = understand(file, element, &said, &factor);
    if (status == SB_OK && !SB_PUSH(&file->factors, factor)) {
        sb_free(factor.of);
        status = SB_ERR_NOMEM;
    }
    sb_free(said.name);
    sb_free(said.weed);
    sb_free(said.cleanout);
    return status;
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    learned_file *file = context;
    char excerpt[SB_EXCERPT_BYTES];
    *interest = SB_XML_ENTER;
    if (element->depth == 1)
        return begin_learned(file, element);
    if (element->depth == 2 && strcmp(element->name, "number") == 0)
        return begin_number(file, element);
    return sb_bad(file->reading.report, file->reading.file, element->line,
                  "element '%s', expected number", sb_excerpt(element->name, excerpt));
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    (void)context, (void)depth, (void)text, (void)length, (void)line;
    return SB_OK;
}

static sb_status finish(void *state)
{
    learned_file *file = state;
    sb_draft *draft = file->reading.draft;
    draft->learned = file->factors; /* handed over */
    draft->learned_file = file->reading.file;
    file->factors = (sb_factors){0};
    return SB_OK;
}

static void release(void *state)
{
    sb_factors_release(&((learned_file *)state)->factors);
}

static const char *const namespaces[] = {"urn:seedbreak:learned:1", NULL};
static const char *const roots[] = {"learned", NULL};

const sb_format sb_format_learned = {
    roots,  namespaces, sizeof(learned_file), {start, end},
    finish, release,    sb_learned_schema,    "docs/learned.rng",
};
