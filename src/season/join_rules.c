/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Members' wishes: which machines alone may cut a field, and after whose fields none may. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/near.h"
#include "season/join.h"

static sb_status add_machine(sb_field *field, int machine)
{
    for (size_t i = 0; i < field->n_only; i++)
        if (field->only[i] == machine)
            return SB_OK;
    int *grown = sb_resize(field->only, field->n_only + 1, sizeof *grown);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    field->only = grown;
    field->only[field->n_only++] = machine;
    return SB_OK;
}

static sb_status only(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    const sb_setup *setup = &join->season->setup;
    const sb_attribute *stated = sb_join_attribute(feature, "only");
    const char *at = stated != NULL ? stated->value : "", *id;
    field->stated[SB_STATED_ONLY] = sb_join_stated(feature, stated);
    size_t length;
    sb_status status = SB_OK;
    while (status == SB_OK && sb_next_id(&at, &id, &length)) {
        int machine =
            sb_find_id(setup->machines, setup->n_machines, sizeof *setup->machines, id, length);
        if (machine >= 0) {
            status = add_machine(field, machine);
            continue;
        }
        sb_text known = {0}, unknown = {0};
        sb_text_add(&unknown, id, length);
        sb_join_add_ids(&known, setup->machines, setup->n_machines, sizeof *setup->machines);
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "only '%s' may cut field '%s', but no machine has that id; expected one or "
                    "more of %s, separated by ';'",
                    sb_text_get(&unknown), field->name, sb_text_get(&known));
        sb_text_release(&known);
        sb_text_release(&unknown);
    }
    return status;
}

static const char *grower_at(const void *growers, size_t i)
{
    return ((char *const *)growers)[i];
}

/* A grower by name; -1: nobody has that name, and those near it are in `near`. */
static int grower_named(const sb_season *season, const char *name, sb_text *near)
{
    for (size_t i = 0; i < season->n_growers; i++)
        if (strcmp(season->growers[i], name) == 0)
            return (int)i;
    sb_text_add_near(near, name, grower_at, season->growers, season->n_growers);
    return -1;
}

/* The grower that a field is kept apart from, with an error and -1 when nobody has that name. */
static int apart_from(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                      const char *name)
{
    sb_text near = {0};
    int grower = grower_named(join->season, name, &near);
    if (grower < 0)
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "field '%s' is kept apart from grower '%s', but no field has that grower; "
                    "expected the name of one%s",
                    feature->name, name, sb_text_get(&near));
    sb_text_release(&near);
    return grower;
}

/* One `apart:GROWER` attribute; what stands later takes the place of what stands earlier. */
static sb_status apart(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                       sb_field *field)
{
    sb_apart rule = {.cleanout = -1, .at = sb_join_stated(feature, stated)};
    size_t before = join->errors;
    rule.grower = apart_from(join, feature, stated, sb_trim(stated->key + sizeof SB_APART_KEY - 1));
    if (strcmp(stated->value, SB_ANY_FULL) != 0)
        rule.cleanout =
            sb_join_cleanout(join, stated->value, sb_join_file(feature, stated), stated->line);
    if (join->errors > before)
        return SB_OK;
    for (size_t i = 0; i < field->n_apart; i++)
        if (field->apart[i].grower == rule.grower) {
            field->apart[i] = rule;
            return SB_OK;
        }
    sb_apart *grown = sb_resize(field->apart, field->n_apart + 1, sizeof *grown);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    field->apart = grown;
    field->apart[field->n_apart++] = rule;
    return SB_OK;
}

/* How many different pairs of grower and cleanout there are, up to one more than allowed. */
static void refuse_too_many(sb_joining *join)
{
    const sb_season *season = join->season;
    sb_apart pairs[SB_MAX_APART];
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        for (size_t a = 0; a < season->fields[i].n_apart; a++) {
            const sb_apart *one = &season->fields[i].apart[a];
            size_t same = 0;
            while (same < n &&
                   (pairs[same].grower != one->grower || pairs[same].cleanout != one->cleanout))
                same++;
            if (same < n)
                continue;
            if (n == SB_MAX_APART) {
                SB_JOIN_BAD(join, season->fields[i].file, season->fields[i].line,
                            "fields are kept apart from more than %d different pairs of grower "
                            "and cleanout, expected at most so many",
                            SB_MAX_APART);
                return;
            }
            pairs[n++] = *one;
        }
}

/* What growers may lose by the caps that name them. */
static sb_status grower_caps(sb_joining *join)
{
    sb_season *season = join->season;
    const sb_setup *setup = &season->setup;
    if (setup->n_grower_caps == 0)
        return SB_OK;
    season->grower_most = sb_alloc(season->n_growers, sizeof *season->grower_most);
    if (season->grower_most == NULL)
        return SB_ERR_NOMEM;
    for (size_t g = 0; g < season->n_growers; g++)
        season->grower_most[g] = INFINITY;
    for (size_t i = 0; i < setup->n_grower_caps; i++) {
        const sb_grower_cap *cap = &setup->grower_caps[i];
        sb_text near = {0};
        int grower = grower_named(season, cap->grower, &near);
        if (grower >= 0)
            season->grower_most[grower] = cap->loss;
        else
            SB_JOIN_BAD(
                join, cap->file, cap->line,
                "grower '%s' may lose at most %g %s, but no field has that grower; expected "
                "the name of one%s",
                cap->grower, cap->loss, setup->currency, sb_text_get(&near));
        sb_text_release(&near);
    }
    return SB_OK;
}

sb_status sb_join_rules(sb_joining *join)
{
    for (size_t i = 0; i < join->season->n_fields; i++) {
        const sb_feature *feature = join->from[i];
        sb_field *field = &join->season->fields[i];
        sb_status status = only(join, feature, field);
        for (size_t a = 0; a < feature->attributes.count && status == SB_OK; a++) {
            const sb_attribute *stated = &feature->attributes.items[a];
            if (strncmp(stated->key, SB_APART_KEY, sizeof SB_APART_KEY - 1) == 0)
                status = apart(join, feature, stated, field);
        }
        if (status != SB_OK)
            return status;
    }
    refuse_too_many(join);
    return grower_caps(join);
}
