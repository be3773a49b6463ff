/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What machines of a season file share, and the lists of ids that wait for the end of the file. */
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/season_file.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

sb_status sb_season_begin_resource(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"id", SB_VALUE_ID, offsetof(sb_resource, id)},
        {"name", SB_VALUE_TEXT, offsetof(sb_resource, name)},
        {"count", SB_VALUE_COUNT, offsetof(sb_resource, count)},
    };
    const sb_reading *r = &file->reading;
    sb_setup *setup = &file->setup;
    const char *id;
    sb_status status = sb_values_need(r, element, "id", &id);
    if (status != SB_OK)
        return status;
    int known =
        sb_find_id(setup->resources, setup->n_resources, sizeof *setup->resources, id, strlen(id));
    if (known >= 0)
        return sb_bad(r->report, r->file, element->line,
                      "a second resource '%s' (the first: line %zu), expected ids that differ",
                      setup->resources[known].id, setup->resources[known].line);
    if (setup->n_resources == SB_MAX_RESOURCES)
        return sb_bad(r->report, r->file, element->line,
                      "one resource too many, expected at most %d", SB_MAX_RESOURCES);
    void *grown = sb_resize(setup->resources, setup->n_resources + 1, sizeof *setup->resources);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    setup->resources = grown;
    sb_resource *resource = &setup->resources[setup->n_resources++];
    *resource = (sb_resource){.count = 1, .line = element->line};
    status = sb_values_take(r, element, rules, COUNT(rules), resource);
    return status == SB_OK && resource->name == NULL ? sb_values_replace(&resource->name, id)
                                                     : status;
}

/* A list and what its ids may be: items that start with their id. */
typedef struct id_list {
    const char *list;
    const char *whose, *id; /* "machine", "m1" */
    size_t line;
    const char *what; /* "crop" */
    const void *items;
    size_t n, size;
} id_list;

/* The next id of the list as an index. @return SB_OK, *index -1: the end; SB_ERR_INPUT */
static sb_status next_index(const sb_season_file *file, const id_list *list, const char **at,
                            int *index)
{
    const char *id;
    size_t length;
    *index = -1;
    if (!sb_next_id(at, &id, &length))
        return SB_OK;
    *index = sb_find_id(list->items, list->n, list->size, id, length);
    if (*index >= 0)
        return SB_OK;
    sb_text known = {0}, unknown = {0};
    for (size_t i = 0; i < list->n; i++)
        sb_text_addf(&known, "%s%s", i > 0 ? ", " : "one of ",
                     *(char *const *)(const void *)((const char *)list->items + i * list->size));
    sb_text_add(&unknown, id, length);
    char excerpt[SB_EXCERPT_BYTES];
    sb_status status = sb_bad(file->reading.report, file->reading.file, list->line,
                              "unknown %s '%s' of %s '%s', expected %s", list->what,
                              sb_excerpt(sb_text_get(&unknown), excerpt), list->whose, list->id,
                              list->n > 0 ? sb_text_get(&known) : "a declared one");
    sb_text_release(&known);
    sb_text_release(&unknown);
    return status;
}

static sb_status empty_list(const sb_season_file *file, const id_list *list, const char *attribute)
{
    return sb_bad(file->reading.report, file->reading.file, list->line,
                  "%s of %s '%s' names none, expected the id of a %s or no %s at all", attribute,
                  list->whose, list->id, list->what, attribute);
}

sb_status sb_season_finish_crops(sb_season_file *file, sb_declared_machine *declared)
{
    const sb_setup *setup = &file->setup;
    sb_machine *machine = &declared->machine;
    if (declared->crops == NULL)
        return SB_OK;
    id_list list = {declared->crops, "machine",    machine->id,    machine->line,
                    "crop",          setup->crops, setup->n_crops, sizeof *setup->crops};
    machine->cuts_crop = sb_alloc(setup->n_crops, sizeof *machine->cuts_crop);
    if (machine->cuts_crop == NULL)
        return SB_ERR_NOMEM;
    const char *at = list.list;
    for (size_t count = 0;; count++) {
        int crop;
        sb_status status = next_index(file, &list, &at, &crop);
        if (status != SB_OK)
            return status;
        if (crop < 0)
            return count > 0 ? SB_OK : empty_list(file, &list, "crops");
        machine->cuts_crop[crop] = true;
    }
}

sb_status sb_season_finish_needs(sb_season_file *file)
{
    const sb_setup *setup = &file->setup;
    for (size_t c = 0; c < setup->n_cleanouts; c++) {
        sb_cleanout *cleanout = &setup->cleanouts[c];
        if (file->needs[c] == NULL)
            continue;
        id_list list = {
            file->needs[c], "cleanout",       cleanout->id,       cleanout->line,
            "resource",     setup->resources, setup->n_resources, sizeof *setup->resources};
        const char *at = list.list;
        for (size_t count = 0;; count++) {
            int resource;
            sb_status status = next_index(file, &list, &at, &resource);
            if (status != SB_OK)
                return status;
            if (resource < 0 && count == 0)
                return empty_list(file, &list, "needs");
            if (resource < 0)
                break;
            cleanout->needs |= 1u << resource;
        }
    }
    return SB_OK;
}
