/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/setup.h"

#include <string.h>

#include "base/mem.h"

#define SB_HAS_BITS(type) \
    _Static_assert(sizeof(type) <= 64 * sizeof(double), "sb_numbers_given is too small")
SB_HAS_BITS(sb_weed);
SB_HAS_BITS(sb_crop);
SB_HAS_BITS(sb_section);
SB_HAS_BITS(sb_cleanout);
SB_HAS_BITS(sb_machine);
SB_HAS_BITS(sb_setup);

void sb_scale_release(sb_scale *scale)
{
    for (size_t i = 0; i < scale->n_classes && scale->labels != NULL; i++)
        sb_free(scale->labels[i]);
    sb_free(scale->labels);
    sb_free(scale->density_plants_m2);
    sb_free(scale->low);
    sb_free(scale->high);
    sb_free(scale->id);
    sb_free(scale->name);
    sb_free(scale->source);
    *scale = (sb_scale){0};
}

void sb_section_release(sb_section *section)
{
    sb_free(section->id);
    sb_free(section->name);
    sb_free(section->source);
    *section = (sb_section){0};
}

void sb_machine_release(sb_machine *machine, size_t n_sections)
{
    sb_free(machine->id);
    sb_free(machine->name);
    sb_free(machine->yard);
    sb_free(machine->crop_ha_per_hour);
    sb_free(machine->cuts_crop);
    for (size_t s = 0; s < n_sections && machine->sections != NULL; s++)
        sb_section_release(&machine->sections[s]);
    sb_free(machine->sections);
    sb_free(machine->start_field);
    sb_free(machine->start_cleanout);
    for (size_t i = 0; i < machine->n_start_loads; i++) {
        sb_free(machine->start_loads[i].section);
        sb_free(machine->start_loads[i].weed);
    }
    sb_free(machine->start_loads);
    sb_free(machine->final_cleanout);
    *machine = (sb_machine){0};
}

void sb_cleanout_drop_counted(sb_cleanout *cleanout)
{
    for (size_t i = 0; i < cleanout->n_counted; i++) {
        sb_free(cleanout->counted[i].name);
        sb_free(cleanout->counted[i].unit);
    }
    cleanout->n_counted = 0;
}

void sb_cleanout_release(sb_cleanout *cleanout)
{
    sb_free(cleanout->id);
    sb_free(cleanout->name);
    sb_cleanout_drop_counted(cleanout);
    sb_free(cleanout->counted);
    sb_free(cleanout->supplies);
    for (size_t i = 0; i < cleanout->n_steps; i++) {
        sb_free(cleanout->steps[i].section);
        sb_free(cleanout->steps[i].text);
    }
    sb_free(cleanout->steps);
    sb_free(cleanout->source);
    *cleanout = (sb_cleanout){0};
}

void sb_weed_release(sb_weed *weed)
{
    sb_free(weed->id);
    sb_free(weed->name);
    sb_free(weed->source);
    *weed = (sb_weed){0};
}

void sb_crop_release(sb_crop *crop)
{
    sb_free(crop->id);
    sb_free(crop->name);
    sb_free(crop->source);
    *crop = (sb_crop){0};
}

void sb_setup_release(sb_setup *setup)
{
    sb_free(setup->currency);
    sb_free(setup->calendar.blocked);
    sb_scale_release(&setup->scale);
    for (size_t i = 0; i < setup->n_weeds; i++)
        sb_weed_release(&setup->weeds[i]);
    sb_free(setup->weeds);
    for (size_t i = 0; i < setup->n_crops; i++)
        sb_crop_release(&setup->crops[i]);
    sb_free(setup->crops);
    for (size_t i = 0; i < setup->n_machines; i++)
        sb_machine_release(&setup->machines[i], setup->n_sections);
    sb_free(setup->machines);
    for (size_t i = 0; i < setup->n_cleanouts; i++)
        sb_cleanout_release(&setup->cleanouts[i]);
    sb_free(setup->cleanouts);
    for (size_t i = 0; i < setup->n_resources; i++) {
        sb_free(setup->resources[i].id);
        sb_free(setup->resources[i].name);
    }
    sb_free(setup->resources);
    for (size_t i = 0; i < setup->n_grower_caps; i++)
        sb_free(setup->grower_caps[i].grower);
    sb_free(setup->grower_caps);
    *setup = (sb_setup){0};
}

int sb_find_weed(const sb_setup *setup, const char *id)
{
    for (size_t i = 0; i < setup->n_weeds; i++)
        if (strcmp(setup->weeds[i].id, id) == 0)
            return (int)i;
    return -1;
}

int sb_find_crop(const sb_setup *setup, const char *id)
{
    for (size_t i = 0; i < setup->n_crops; i++)
        if (strcmp(setup->crops[i].id, id) == 0)
            return (int)i;
    return -1;
}

int sb_find_cleanout(const sb_setup *setup, const char *id)
{
    for (size_t i = 0; i < setup->n_cleanouts; i++)
        if (strcmp(setup->cleanouts[i].id, id) == 0)
            return (int)i;
    return -1;
}

int sb_find_section(const sb_setup *setup, const char *id)
{
    if (setup->n_machines == 0 || setup->machines[0].sections == NULL)
        return -1;
    for (size_t i = 0; i < setup->n_sections; i++)
        if (strcmp(setup->machines[0].sections[i].id, id) == 0)
            return (int)i;
    return -1;
}

int sb_find_id(const void *items, size_t n, size_t size, const char *text, size_t length)
{
    for (size_t i = 0; i < n; i++) {
        const char *id = *(char *const *)(const void *)((const char *)items + i * size);
        if (strlen(id) == length && strncmp(id, text, length) == 0)
            return (int)i;
    }
    return -1;
}

bool sb_next_id(const char **at, const char **id, size_t *length)
{
    static const char separators[] = ";, \t\r\n";
    *id = *at + strspn(*at, separators);
    *length = strcspn(*id, separators);
    *at = *id + *length;
    return *length > 0;
}
