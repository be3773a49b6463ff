/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `after` lists: names become indexes, and no field may wait for itself. */
#include <limits.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"

static sb_status add_after(sb_field *field, int earlier, sb_stated at)
{
    if (earlier < 0)
        return SB_OK; /* already cut: nothing to wait for */
    for (size_t i = 0; i < field->n_after; i++)
        if (field->after[i] == earlier)
            return SB_OK;
    int *grown = sb_resize(field->after, field->n_after + 1, sizeof *grown);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    field->after = grown;
    sb_stated *grown_at = sb_resize(field->after_at, field->n_after + 1, sizeof *grown_at);
    if (grown_at == NULL)
        return SB_ERR_NOMEM;
    field->after_at = grown_at;
    field->after_at[field->n_after] = at;
    field->after[field->n_after++] = earlier;
    return SB_OK;
}

static void unknown_field(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                          const sb_field *field, const char *name)
{
    sb_text near = {0};
    sb_join_add_near_field(join, &near, name);
    SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                "field '%s' comes after '%s', but no field has that name; expected field names "
                "separated by ';'%s",
                field->name, name, sb_text_get(&near));
    sb_text_release(&near);
}

/* One pass over the names in a list: counts the unknown ones; when `add`, adds the known ones and
 * reports the others. */
static sb_status each_name(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                           const char *separators, bool add, sb_field *field, size_t *unknown)
{
    *unknown = 0;
    for (const char *at = stated->value; *at != '\0';) {
        size_t length = strcspn(at, separators);
        char *copy = sb_strndup(at, length);
        if (copy == NULL)
            return SB_ERR_NOMEM;
        const char *name = sb_trim(copy);
        int earlier = *name != '\0' ? sb_join_field_named(join, name) : INT_MIN;
        sb_status status = SB_OK;
        if (*name != '\0' && earlier == INT_MIN) {
            ++*unknown;
            if (add)
                unknown_field(join, feature, stated, field, name);
        } else if (*name != '\0' && add) {
            status = add_after(field, earlier, sb_join_stated(feature, stated));
        }
        sb_free(copy);
        if (status != SB_OK)
            return status;
        at += length;
        at += strspn(at, separators);
    }
    return SB_OK;
}

/* Names are separated by ';'. A value without one is a name, or else names separated by commas or
 * by blanks when every piece is a known name. */
static sb_status read_list(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                           sb_field *field)
{
    const char *separators = ";";
    size_t unknown;
    int whole = sb_join_field_named(join, stated->value);
    if (whole != INT_MIN)
        return add_after(field, whole, sb_join_stated(feature, stated));
    if (strchr(stated->value, ';') == NULL) {
        static const char *const fallbacks[] = {",", " \t\r\n"};
        for (size_t i = 0; i < 2; i++) {
            sb_status status =
                each_name(join, feature, stated, fallbacks[i], false, field, &unknown);
            if (status != SB_OK)
                return status;
            if (unknown == 0) {
                separators = fallbacks[i];
                break;
            }
        }
    }
    return each_name(join, feature, stated, separators, true, field, &unknown);
}

/* ---- Circles ---- */

typedef struct walk {
    sb_joining *join;
    int *stack;    /* the fields on the way from where the walk began */
    size_t *next;  /* by depth: which `after` to look at next */
    size_t *where; /* by field: 0 not seen, SIZE_MAX done, else depth + 1 on the stack */
} walk;

static void report_circle(const walk *w, size_t from_depth, size_t depth)
{
    const sb_season *season = w->join->season;
    sb_text names = {0};
    for (size_t d = from_depth; d <= depth; d++)
        sb_text_addf(&names, "'%s' after ", season->fields[w->stack[d]].name);
    const sb_field *first = &season->fields[w->stack[from_depth]];
    sb_text_addf(&names, "'%s'", first->name);
    const sb_stated *rule = &first->after_at[w->next[from_depth] - 1];
    SB_JOIN_BAD(w->join, rule->file, rule->line,
                "fields wait for each other in a circle: %s; expected an order that can be cut",
                sb_text_get(&names));
    sb_text_release(&names);
}

/* Depth first without recursion, so that a long chain cannot exhaust the stack. */
static void walk_from(walk *w, int start)
{
    const sb_season *season = w->join->season;
    size_t depth = 0;
    w->stack[0] = start;
    w->next[0] = 0;
    w->where[start] = 1;
    for (;;) {
        const sb_field *field = &season->fields[w->stack[depth]];
        if (w->next[depth] == field->n_after) {
            w->where[w->stack[depth]] = SIZE_MAX;
            if (depth == 0)
                return;
            depth--;
            continue;
        }
        int earlier = field->after[w->next[depth]++];
        if (w->where[earlier] == 0) {
            depth++;
            w->stack[depth] = earlier;
            w->next[depth] = 0;
            w->where[earlier] = depth + 1;
        } else if (w->where[earlier] != SIZE_MAX) {
            report_circle(w, w->where[earlier] - 1, depth);
        }
    }
}

static sb_status refuse_circles(sb_joining *join)
{
    size_t n = join->season->n_fields;
    walk w = {.join = join};
    w.stack = sb_alloc(n, sizeof *w.stack);
    w.next = sb_alloc(n, sizeof *w.next);
    w.where = sb_alloc(n, sizeof *w.where);
    sb_status status = SB_ERR_NOMEM;
    if (w.stack == NULL || w.next == NULL || w.where == NULL)
        goto out;
    for (size_t i = 0; i < n; i++)
        if (w.where[i] == 0)
            walk_from(&w, (int)i);
    status = SB_OK;
out:
    sb_free(w.stack);
    sb_free(w.next);
    sb_free(w.where);
    return status;
}

sb_status sb_join_after(sb_joining *join)
{
    for (size_t i = 0; i < join->season->n_fields; i++) {
        const sb_feature *feature = join->from[i];
        for (size_t a = 0; a < feature->attributes.count; a++) {
            const sb_attribute *stated = &feature->attributes.items[a];
            if (strcmp(stated->key, "after") != 0)
                continue;
            sb_status status = read_list(join, feature, stated, &join->season->fields[i]);
            if (status != SB_OK)
                return status;
        }
    }
    return refuse_circles(join);
}
