/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/draft.h"

#include <string.h>

#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "base/text.h"

sb_status sb_draft_init(sb_draft *draft)
{
    *draft = (sb_draft){0};
    return sb_setup_builtin(&draft->setup);
}

void sb_draft_release(sb_draft *draft)
{
    sb_draft_forget_features(draft, 0);
    sb_free(draft->features.items);
    for (size_t i = 0; i < draft->files.count; i++)
        sb_free(draft->files.items[i]);
    sb_free(draft->files.items);
    for (size_t i = 0; i < draft->travel.n; i++)
        sb_free(draft->travel.names[i]);
    sb_free(draft->travel.names);
    sb_free(draft->travel.km);
    sb_setup_release(&draft->setup);
    sb_factors_release(&draft->learned);
    *draft = (sb_draft){0};
}

/* Lists grow by doubling; thousands of features should not keep the slack. */
static void trim(void **items, size_t *capacity, size_t count, size_t size)
{
    void *shrunk = count > 0 && count < *capacity ? sb_resize(*items, count, size) : NULL;
    if (shrunk != NULL) {
        *items = shrunk;
        *capacity = count;
    }
}

sb_status sb_draft_add_feature(sb_draft *draft, sb_feature *feature)
{
    trim((void **)&feature->parts.items, &feature->parts.capacity, feature->parts.count,
         sizeof *feature->parts.items);
    trim((void **)&feature->attributes.items, &feature->attributes.capacity,
         feature->attributes.count, sizeof *feature->attributes.items);
    bool added = SB_PUSH(&draft->features, *feature);
    if (added)
        *feature = (sb_feature){0};
    else
        sb_feature_release(feature);
    return added ? SB_OK : SB_ERR_NOMEM;
}

void sb_draft_forget_features(sb_draft *draft, size_t keep)
{
    while (draft->features.count > keep)
        sb_feature_release(&draft->features.items[--draft->features.count]);
}

sb_status sb_feature_add_attribute(sb_feature *feature, const char *key, const char *value,
                                   size_t line)
{
    if (value[strspn(value, " \t\r\n")] == '\0')
        return SB_OK;
    sb_attribute attribute = {.key = sb_strdup(key), .value = sb_strdup(value), .line = line};
    if (attribute.key == NULL || attribute.value == NULL)
        goto fail;
    char *trimmed = sb_trim(attribute.value);
    memmove(attribute.value, trimmed, strlen(trimmed) + 1);
    if (SB_PUSH(&feature->attributes, attribute))
        return SB_OK;
fail:
    sb_free(attribute.key);
    sb_free(attribute.value);
    return SB_ERR_NOMEM;
}

const char *sb_feature_attribute(const sb_feature *feature, const char *key)
{
    for (size_t i = feature->attributes.count; i-- > 0;)
        if (strcmp(feature->attributes.items[i].key, key) == 0)
            return feature->attributes.items[i].value;
    return NULL;
}

static void release_attribute(sb_attribute *attribute)
{
    sb_free(attribute->key);
    sb_free(attribute->value);
}

void sb_feature_drop_attribute(sb_feature *feature, const char *key)
{
    size_t kept = 0;
    for (size_t i = 0; i < feature->attributes.count; i++) {
        sb_attribute *attribute = &feature->attributes.items[i];
        if (strcmp(attribute->key, key) == 0)
            release_attribute(attribute);
        else
            feature->attributes.items[kept++] = *attribute;
    }
    feature->attributes.count = kept;
}

sb_feature *sb_draft_field(sb_draft *draft, const char *name)
{
    sb_feature *point = NULL;
    for (size_t i = 0; i < draft->features.count; i++) {
        sb_feature *feature = &draft->features.items[i];
        if (feature->name == NULL || strcmp(feature->name, name) != 0)
            continue;
        if (feature->kind == SB_FEATURE_AREA)
            return feature;
        if (feature->kind == SB_FEATURE_POINT && point == NULL)
            point = feature;
    }
    return point;
}

/* Overlays and the nameless are called by what nobody types. */
static const char *name_at(const void *draft, size_t i)
{
    const sb_feature *feature = &((const sb_draft *)draft)->features.items[i];
    return feature->kind == SB_FEATURE_OVERLAY || feature->name == NULL ? "" : feature->name;
}

sb_status sb_draft_no_field(const sb_draft *draft, const char *name, const char *file, size_t line,
                            sb_report *report)
{
    char excerpt[SB_EXCERPT_BYTES];
    sb_text near = {0};
    sb_text_add_near(&near, name, name_at, draft, draft->features.count);
    sb_status status =
        sb_bad(report, file, line,
               "field '%s' is in no field file, expected the name of a field that was read%s",
               sb_excerpt(name, excerpt), sb_text_get(&near));
    sb_text_release(&near);
    return status;
}

void sb_feature_release(sb_feature *feature)
{
    sb_free(feature->name);
    sb_free(feature->folder);
    sb_free(feature->note);
    for (size_t i = 0; i < feature->attributes.count; i++)
        release_attribute(&feature->attributes.items[i]);
    sb_free(feature->attributes.items);
    for (size_t i = 0; i < feature->parts.count; i++)
        sb_part_release(&feature->parts.items[i]);
    sb_free(feature->parts.items);
    *feature = (sb_feature){0};
}

const char *sb_draft_file(sb_draft *draft, const char *path)
{
    char *copy = sb_strdup(path);
    if (copy != NULL && !SB_PUSH(&draft->files, copy)) {
        sb_free(copy);
        copy = NULL;
    }
    return copy;
}
