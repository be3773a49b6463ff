/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a draft to a season: sorts the features, then runs the steps one after the other. */
#include "season/join.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/near.h"

const sb_attribute *sb_join_attribute(const sb_feature *feature, const char *key)
{
    for (size_t i = feature->attributes.count; i-- > 0;) {
        const sb_attribute *attribute = &feature->attributes.items[i];
        if (*attribute->value != '\0' && strcmp(attribute->key, key) == 0)
            return attribute;
    }
    return NULL;
}

const char *sb_join_file(const sb_feature *feature, const sb_attribute *attribute)
{
    return attribute->file != NULL ? attribute->file : feature->file;
}

sb_stated sb_join_stated(const sb_feature *feature, const sb_attribute *attribute)
{
    if (attribute == NULL)
        return (sb_stated){0};
    return (sb_stated){sb_join_file(feature, attribute), attribute->line};
}

static int by_name(const void *a, const void *b)
{
    const sb_named *first = a, *second = b;
    return strcmp(first->name, second->name);
}

/* Fields of one name in their order, those already cut behind the others. */
static int by_name_and_order(const void *a, const void *b)
{
    int names = by_name(a, b);
    unsigned first = (unsigned)((const sb_named *)a)->field;
    unsigned second = (unsigned)((const sb_named *)b)->field;
    return names != 0 ? names : (first > second) - (first < second);
}

int sb_join_field_named(const sb_joining *join, const char *name)
{
    sb_named key = {name, 0};
    const sb_named *found = bsearch(&key, join->names, join->n_names, sizeof *join->names, by_name);
    return found != NULL ? found->field : INT_MIN;
}

static const char *field_name_at(const void *names, size_t i)
{
    return ((const sb_named *)names)[i].name;
}

void sb_join_add_near_field(const sb_joining *join, sb_text *text, const char *name)
{
    sb_text_add_near(text, name, field_name_at, join->names, join->n_names);
}

void sb_join_add_ids(sb_text *text, const void *items, size_t n, size_t size)
{
    for (size_t i = 0; i < n; i++) {
        char *const *id = (char *const *)(const void *)((const char *)items + i * size);
        sb_text_addf(text, "%s%s", i > 0 ? ", " : "", *id);
    }
}

typedef struct id_list {
    const char *items;
    size_t size;
} id_list;

static const char *id_at(const void *list, size_t i)
{
    const id_list *ids = list;
    return *(char *const *)(const void *)(ids->items + i * ids->size);
}

void sb_join_add_expected(sb_text *text, const char *wanted, const void *items, size_t n,
                          size_t size)
{
    id_list ids = {items, size};
    sb_text_addf(text, "one of ");
    sb_join_add_ids(text, items, n, size);
    sb_text_addf(text, " or one added in the season file");
    sb_text_add_near(text, wanted, id_at, &ids, n);
}

int sb_join_cleanout(sb_joining *join, const char *id, const char *file, size_t line)
{
    const sb_setup *setup = &join->season->setup;
    int index = sb_find_cleanout(setup, id);
    if (index >= 0)
        return index;
    sb_text known = {0};
    sb_join_add_expected(&known, id, setup->cleanouts, setup->n_cleanouts,
                         sizeof *setup->cleanouts);
    SB_JOIN_BAD(join, file, line, "unknown cleanout '%s', expected %s", id, sb_text_get(&known));
    sb_text_release(&known);
    return 0;
}

/* ---- Sorting the features ---- */

typedef enum { ROLE_FIELD, ROLE_YARD, ROLE_CUT, ROLE_SCOUT, ROLE_PATCH, ROLE_IDLE } role;

bool sb_join_rates(const sb_feature *feature)
{
    for (size_t i = 0; i < feature->attributes.count; i++)
        if (strncmp(feature->attributes.items[i].key, "weed:", 5) == 0)
            return true;
    return false;
}

/* What only a field has: a point with one of these was meant to be one. */
static bool has_field_attribute(const sb_feature *feature)
{
    static const char *const keys[] = {
        "crop",  "yield_t_ha", "ready",  "latest", "best_before", "worth", "entry",
        "after", "area_ha",    "grower", "only",   "gate_m",      "split", "slope_percent"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (sb_join_attribute(feature, keys[i]) != NULL)
            return true;
    return false;
}

static role role_of(sb_joining *join, const sb_feature *feature)
{
    /* "stop" marks the numbers on a map that we wrote: nothing of the season. */
    static const char *const names[] = {"field", "yard", "cut", "scout", "patch", "stop"};
    const sb_attribute *stated = sb_join_attribute(feature, "role");
    if (stated != NULL) {
        for (int i = ROLE_FIELD; i <= ROLE_IDLE; i++)
            if (strcmp(stated->value, names[i]) == 0)
                return (role)i;
        sb_text near = {0};
        sb_text_add_near(&near, stated->value, sb_name_in, names, ROLE_IDLE);
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "unknown role '%s', expected field, yard, cut, scout or patch%s", stated->value,
                    sb_text_get(&near));
        sb_text_release(&near);
        return ROLE_IDLE;
    }
    if (feature->kind == SB_FEATURE_AREA || sb_join_attribute(feature, "area_ha") != NULL)
        return ROLE_FIELD;
    if (!feature->from_waypoint && has_field_attribute(feature))
        return ROLE_FIELD;
    if (sb_join_rates(feature))
        return ROLE_SCOUT;
    if (!feature->from_waypoint)
        sb_say(join->report, SB_WARNING, feature->file, feature->line,
               "point '%s' says nothing of itself and is passed by; a yard or a scouting point "
               "needs its role, a field an outline or area_ha",
               feature->name != NULL ? feature->name : "");
    return ROLE_IDLE;
}

static sb_status sort_features(sb_joining *join)
{
    sb_draft *draft = join->draft;
    size_t n = draft->features.count;
    join->from = sb_alloc(n, sizeof(sb_feature *));
    join->cut_from = sb_alloc(n, sizeof(sb_feature *));
    join->scouts = sb_alloc(n, sizeof(sb_feature *));
    join->yards = sb_alloc(n, sizeof(sb_feature *));
    join->patches = sb_alloc(n, sizeof(sb_feature *));
    if (join->from == NULL || join->cut_from == NULL || join->scouts == NULL ||
        join->yards == NULL || join->patches == NULL)
        return SB_ERR_NOMEM;
    size_t n_fields = 0;
    for (size_t i = 0; i < n; i++) {
        sb_feature *feature = &draft->features.items[i];
        switch (role_of(join, feature)) {
        case ROLE_FIELD:
            join->from[n_fields++] = feature;
            break;
        case ROLE_CUT:
            join->cut_from[join->n_cut++] = feature;
            break;
        case ROLE_SCOUT:
            join->scouts[join->n_scouts++] = feature;
            break;
        case ROLE_YARD:
            join->yards[join->n_yards++] = feature;
            break;
        case ROLE_PATCH:
            join->patches[join->n_patches++] = feature;
            break;
        case ROLE_IDLE:
            break;
        }
    }
    if (n_fields == 0 && join->errors == 0)
        SB_JOIN_BAD(join, draft->files.count > 0 ? draft->files.items[0] : NULL, 0,
                    "no field found, expected at least one outline");
    join->season->fields = sb_alloc(n_fields, sizeof(sb_field));
    join->cut = sb_alloc(join->n_cut, sizeof(sb_field));
    if (join->season->fields == NULL || join->cut == NULL)
        return SB_ERR_NOMEM;
    join->season->n_fields = n_fields;
    return SB_OK;
}

/* ---- Names ---- */

static sb_status index_names(sb_joining *join)
{
    size_t n_fields = join->season->n_fields;
    sb_free(join->names);
    join->n_names = 0;
    join->names = sb_alloc(n_fields + join->n_cut, sizeof *join->names);
    if (join->names == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n_fields + join->n_cut; i++) {
        bool is_cut = i >= n_fields;
        size_t at = is_cut ? i - n_fields : i;
        const sb_feature *feature = is_cut ? join->cut_from[at] : join->from[at];
        if (feature->name != NULL)
            join->names[join->n_names++] = (sb_named){feature->name, is_cut ? ~(int)at : (int)at};
    }
    qsort(join->names, join->n_names, sizeof *join->names, by_name_and_order);
    return SB_OK;
}

/* A field without a name is called by its number, or by the next one that is free. */
static sb_status name_the_nameless(sb_joining *join)
{
    size_t n_fields = join->season->n_fields, number = 0;
    for (size_t i = 0; i < n_fields + join->n_cut; i++) {
        sb_feature *feature = i < n_fields ? join->from[i] : join->cut_from[i - n_fields];
        number = number > i ? number : i;
        if (feature->name != NULL)
            continue;
        sb_text name = {0};
        do {
            sb_text_clear(&name);
            sb_text_addf(&name, "Field %zu", ++number);
            if (name.failed) {
                sb_text_release(&name);
                return SB_ERR_NOMEM;
            }
        } while (sb_join_field_named(join, name.bytes) != INT_MIN);
        feature->name = name.bytes;
        sb_say(join->report, SB_NOTE, feature->file, feature->line,
               "a field without a name is called '%s'", name.bytes);
    }
    return SB_OK;
}

static const sb_feature *named_feature(const sb_joining *join, const sb_named *named)
{
    return named->field >= 0 ? join->from[named->field] : join->cut_from[~named->field];
}

static void refuse_double_names(sb_joining *join)
{
    for (size_t i = 1; i < join->n_names; i++) {
        const sb_named *first = &join->names[i - 1], *second = &join->names[i];
        if (strcmp(first->name, second->name) != 0)
            continue;
        const sb_feature *one = named_feature(join, first), *other = named_feature(join, second);
        /* The later one is to blame; features lie in the order they were read. */
        const sb_feature *earlier = one < other ? one : other, *later = one < other ? other : one;
        SB_JOIN_BAD(join, later->file, later->line,
                    "two fields are named '%s', the other at %s:%zu; expected a name of its own "
                    "for each",
                    second->name, earlier->file != NULL ? earlier->file : "", earlier->line);
    }
}

static sb_status settle_names(sb_joining *join)
{
    sb_status status = index_names(join);
    if (status == SB_OK)
        status = name_the_nameless(join);
    if (status == SB_OK)
        status = index_names(join);
    if (status == SB_OK)
        refuse_double_names(join);
    return status;
}

/* ---- The whole ---- */

static sb_status join_fields(sb_joining *join)
{
    sb_status status = SB_OK;
    for (size_t i = 0; i < join->season->n_fields && status == SB_OK; i++)
        status = sb_join_field(join, join->from[i], &join->season->fields[i]);
    for (size_t i = 0; i < join->n_cut && status == SB_OK; i++)
        status = sb_join_field(join, join->cut_from[i], &join->cut[i]);
    if (status == SB_OK)
        status = sb_join_scouting(join);
    if (status != SB_OK)
        return status;
    for (size_t i = 0; i < join->season->n_fields; i++)
        sb_join_ratings(join, join->from[i], &join->season->fields[i]);
    for (size_t i = 0; i < join->n_cut; i++)
        sb_join_ratings(join, join->cut_from[i], &join->cut[i]);
    return SB_OK;
}

/* Without any rating the whole season is taken as clean: said once, else field by field. */
static void warn_unrated(sb_joining *join)
{
    const sb_season *season = join->season;
    size_t unrated = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < season->n_fields; i++) {
            const sb_field *field = &season->fields[i];
            bool rated = field->part > 1; /* its first part is told of */
            for (size_t w = 0; w < season->setup.n_weeds; w++)
                rated = rated || field->ratings[w].source != SB_RATING_NONE;
            if (pass == 0)
                unrated += !rated;
            else if (!rated && unrated < season->n_fields)
                sb_say(join->report, SB_WARNING, field->file, field->line,
                       "field '%s' has no rating for any weed: taken as clean", field->name);
        }
    if (unrated == season->n_fields)
        sb_say(join->report, SB_WARNING, season->fields[0].file, 0,
               "no field has a rating for any weed: all are taken as clean");
}

static sb_status join_all(sb_joining *join)
{
    sb_join_check_setup(join);
    if (join->errors > 0)
        return SB_ERR_INPUT; /* indexes into its lists would mean nothing */
    sb_status status = sort_features(join);
    if (status == SB_OK && join->season->n_fields == 0)
        return SB_ERR_INPUT;
    if (status == SB_OK)
        status = sb_join_warn_unread(join);
    if (status == SB_OK)
        status = settle_names(join);
    if (status == SB_OK)
        status = join_fields(join);
    if (status == SB_OK)
        status = sb_join_rules(join);
    if (status == SB_OK)
        status = sb_join_after(join);
    if (status == SB_OK)
        status = sb_join_patches(join);
    if (status == SB_OK)
        status = sb_join_split(join);
    if (status != SB_OK)
        return status;
    sb_join_calendar(join);
    if ((status = sb_join_machines(join)) != SB_OK || (status = sb_join_places(join)) != SB_OK)
        return status;
    if (join->errors > 0)
        return SB_ERR_INPUT;
    warn_unrated(join);
    if ((status = sb_check_overlaps(join->season, join->report)) != SB_OK)
        return status;
    return sb_join_assumptions(join);
}

static void hand_over_files(sb_joining *join)
{
    sb_draft *draft = join->draft;
    join->season->files.items = draft->files.items;
    join->season->files.count = draft->files.count;
    join->season->files.capacity = draft->files.capacity;
    draft->files.items = NULL;
    draft->files.count = draft->files.capacity = 0;
}

static void release_joining(sb_joining *join)
{
    for (size_t i = 0; i < join->n_cut && join->cut != NULL; i++)
        sb_field_release(&join->cut[i]);
    sb_free(join->cut);
    sb_free(join->from);
    sb_free(join->cut_from);
    sb_free(join->scouts);
    sb_free(join->yards);
    sb_free(join->patches);
    sb_free(join->names);
}

sb_status sb_season_join(sb_draft *draft, sb_report *report, sb_season **season)
{
    *season = NULL;
    sb_status status = SB_ERR_NOMEM;
    sb_joining join = {.draft = draft, .report = report};
    join.season = sb_alloc(1, sizeof *join.season);
    if (join.season == NULL)
        goto out;
    join.season->setup = draft->setup;
    draft->setup = (sb_setup){0};
    join.season->learned = draft->learned;
    draft->learned = (sb_factors){0};
    if ((status = join_all(&join)) != SB_OK)
        goto out;
    hand_over_files(&join);
    *season = join.season;
    join.season = NULL;
out:
    release_joining(&join);
    sb_season_free(join.season);
    sb_draft_release(draft);
    return status;
}
