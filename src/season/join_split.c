/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fields that are split, so that several machines may share one: each becomes parts of equal size
 * with its place, ratings and rules. The last step that numbers fields. */
#include <limits.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"

#define MOST_PARTS 4

/* Where the fields go: field i of the files becomes fields first[i] .. first[i + 1] - 1. */
typedef struct splitting {
    sb_joining *join;
    size_t *first; /* n_fields + 1 */
} splitting;

/* Into how many parts a field is split; 1: not at all. */
static size_t parts_of(sb_joining *join, const sb_feature *feature)
{
    const sb_attribute *stated = sb_join_attribute(feature, "split");
    long parts = 1;
    if (stated != NULL && (!sb_parse_long(stated->value, 2, MOST_PARTS, &parts)))
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "split of field '%s' is '%s', expected a whole number of parts from 2 to %d",
                    feature->name, stated->value, MOST_PARTS);
    return (size_t)parts;
}

static void *copy_list(const void *items, size_t n, size_t size)
{
    void *copy = sb_alloc(n, size);
    if (copy != NULL && n > 0)
        memcpy(copy, items, n * size);
    return copy;
}

sb_status sb_join_copy_field(const sb_field *from, sb_field *to)
{
    *to = *from;
    to->name = to->whole = NULL;
    to->n_parts = to->n_points = 0;
    to->after = copy_list(from->after, from->n_after, sizeof *to->after);
    to->after_at =
        copy_list(from->after_at, from->after_at != NULL ? from->n_after : 0, sizeof *to->after_at);
    to->only = copy_list(from->only, from->n_only, sizeof *to->only);
    to->apart = copy_list(from->apart, from->n_apart, sizeof *to->apart);
    to->points = sb_alloc(from->n_points, sizeof *to->points);
    to->parts = sb_alloc(from->n_parts, sizeof *to->parts);
    if (!to->after || !to->after_at || !to->only || !to->apart || !to->points || !to->parts)
        return SB_ERR_NOMEM;
    for (; to->n_points < from->n_points; to->n_points++) {
        sb_scout_point *point = &to->points[to->n_points];
        *point = from->points[to->n_points];
        point->name = sb_strdup(point->name);
        if (point->name == NULL)
            return SB_ERR_NOMEM;
    }
    for (; to->n_parts < from->n_parts; to->n_parts++)
        if (sb_part_copy(&from->parts[to->n_parts], &to->parts[to->n_parts]) != SB_OK)
            return SB_ERR_NOMEM;
    return SB_OK;
}

/* Name, size and what follows from the size; everything else stays as it is for the whole. */
static sb_status become_part(const sb_setup *setup, sb_field *part, const char *whole, int number,
                             int n_split)
{
    sb_text name = {0};
    sb_text_addf(&name, "%s %d", whole, number);
    char *old_name = part->name;
    part->whole = sb_strdup(whole);
    part->name = name.bytes; /* handed over */
    sb_free(old_name);
    part->part = number;
    part->n_split = n_split;
    part->area_ha /= n_split;
    part->stated_area_ha /= n_split;
    sb_field_derive(setup, part);
    return name.failed || part->whole == NULL ? SB_ERR_NOMEM : SB_OK;
}

static void refuse_taken_name(sb_joining *join, const sb_feature *feature, const sb_field *part)
{
    if (sb_join_field_named(join, part->name) == INT_MIN)
        return;
    const sb_attribute *stated = sb_join_attribute(feature, "split");
    SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                "a part of field '%s' would be named '%s', which another field is; expected that "
                "name to be free",
                part->whole, part->name);
}

/* Writes the parts of one field into the new list, from the last to the first: the first takes
 * over what the whole owns. */
static sb_status split_one(splitting *s, sb_field *whole, const sb_feature *feature,
                           sb_field *parts, size_t n)
{
    if (n == 1) {
        *parts = *whole;
        *whole = (sb_field){0};
        return SB_OK;
    }
    sb_status status = SB_OK;
    for (size_t k = n; k-- > 0 && status == SB_OK;) {
        if (k == 0) {
            parts[0] = *whole; /* its name is still needed below */
            *whole = (sb_field){.name = sb_strdup(parts[0].name)};
            status = whole->name != NULL ? SB_OK : SB_ERR_NOMEM;
        } else {
            status = sb_join_copy_field(whole, &parts[k]);
        }
        if (status == SB_OK)
            status =
                become_part(&s->join->season->setup, &parts[k], whole->name, (int)k + 1, (int)n);
        if (status == SB_OK)
            refuse_taken_name(s->join, feature, &parts[k]);
    }
    return status;
}

/* In an `after` list every part of an earlier field takes the place of the whole. */
static sb_status renumber_after(const splitting *s, sb_field *field)
{
    size_t n = 0;
    for (size_t a = 0; a < field->n_after; a++)
        n += s->first[field->after[a] + 1] - s->first[field->after[a]];
    int *after = sb_alloc(n, sizeof *after);
    sb_stated *after_at = sb_alloc(n, sizeof *after_at);
    if (after == NULL || after_at == NULL) {
        sb_free(after);
        sb_free(after_at);
        return SB_ERR_NOMEM;
    }
    n = 0;
    for (size_t a = 0; a < field->n_after; a++)
        for (size_t j = s->first[field->after[a]]; j < s->first[field->after[a] + 1]; j++) {
            after_at[n] = field->after_at[a];
            after[n++] = (int)j;
        }
    sb_free(field->after);
    sb_free(field->after_at);
    field->after = after;
    field->after_at = after_at;
    field->n_after = n;
    return SB_OK;
}

static sb_status split_all(splitting *s)
{
    sb_joining *join = s->join;
    sb_season *season = join->season;
    size_t n_old = season->n_fields, n = s->first[n_old];
    sb_field *fields = sb_alloc(n, sizeof *fields);
    sb_feature **from = sb_alloc(n, sizeof *from);
    sb_status status = fields != NULL && from != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t i = 0; i < n_old && status == SB_OK; i++) {
        status = split_one(s, &season->fields[i], join->from[i], &fields[s->first[i]],
                           s->first[i + 1] - s->first[i]);
        for (size_t j = s->first[i]; j < s->first[i + 1]; j++)
            from[j] = join->from[i];
    }
    for (size_t j = 0; j < n && status == SB_OK; j++)
        status = renumber_after(s, &fields[j]);
    if (fields == NULL || from == NULL) {
        sb_free(fields);
        sb_free(from);
        return SB_ERR_NOMEM;
    }
    for (size_t i = 0; i < n_old; i++)
        sb_field_release(&season->fields[i]);
    sb_free(season->fields);
    sb_free(join->from);
    season->fields = fields; /* handed over, half filled when there was no memory */
    season->n_fields = n;
    join->from = from;
    return status;
}

sb_status sb_join_split(sb_joining *join)
{
    const sb_season *season = join->season;
    splitting s = {.join = join};
    s.first = sb_alloc(season->n_fields + 1, sizeof *s.first);
    if (s.first == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < season->n_fields; i++)
        s.first[i + 1] = s.first[i] + parts_of(join, join->from[i]);
    sb_status status = s.first[season->n_fields] > season->n_fields ? split_all(&s) : SB_OK;
    sb_free(s.first);
    return status;
}
