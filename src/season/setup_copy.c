/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A deep copy of a setup. Every copy_... first takes all plain numbers, with the pointers emptied,
 * and then fills the pointers one by one: what a failure leaves behind can be released. */
#include <string.h>

#include "base/mem.h"
#include "season/setup.h"

static bool copy_doubles(double **to, const double *from, size_t n)
{
    *to = from != NULL ? sb_alloc(n, sizeof **to) : NULL;
    if (*to != NULL && n > 0)
        memcpy(*to, from, n * sizeof **to);
    return from == NULL || *to != NULL;
}

static bool copy_flags(bool **to, const bool *from, size_t n)
{
    *to = from != NULL ? sb_alloc(n, sizeof **to) : NULL;
    if (*to != NULL && n > 0)
        memcpy(*to, from, n * sizeof **to);
    return from == NULL || *to != NULL;
}

static bool copy_calendar(sb_calendar *to, const sb_calendar *from)
{
    to->blocked = sb_alloc(from->n_blocked, sizeof *to->blocked);
    if (to->blocked != NULL && from->n_blocked > 0)
        memcpy(to->blocked, from->blocked, from->n_blocked * sizeof *to->blocked);
    return to->blocked != NULL;
}

static bool copy_scale(sb_scale *to, const sb_scale *from)
{
    *to = *from;
    to->id = to->name = to->source = NULL;
    to->density_plants_m2 = to->low = to->high = NULL;
    to->labels = sb_alloc(from->n_classes, sizeof *to->labels);
    if (to->labels == NULL)
        return false;
    for (size_t i = 0; i < from->n_classes; i++)
        if (!sb_copy_text(&to->labels[i], from->labels[i]))
            return false;
    return sb_copy_text(&to->id, from->id) && sb_copy_text(&to->name, from->name) &&
           sb_copy_text(&to->source, from->source) &&
           copy_doubles(&to->density_plants_m2, from->density_plants_m2, from->n_classes) &&
           copy_doubles(&to->low, from->low, from->n_classes) &&
           copy_doubles(&to->high, from->high, from->n_classes);
}

static bool copy_weed(sb_weed *to, const sb_weed *from)
{
    *to = *from;
    to->id = to->name = to->source = NULL;
    return sb_copy_text(&to->id, from->id) && sb_copy_text(&to->name, from->name) &&
           sb_copy_text(&to->source, from->source);
}

static bool copy_crop(sb_crop *to, const sb_crop *from)
{
    *to = *from;
    to->id = to->name = to->source = NULL;
    return sb_copy_text(&to->id, from->id) && sb_copy_text(&to->name, from->name) &&
           sb_copy_text(&to->source, from->source);
}

static bool copy_counted(sb_cleanout *to, const sb_cleanout *from)
{
    to->counted = sb_alloc(from->n_counted, sizeof *to->counted);
    to->n_counted = to->counted != NULL ? from->n_counted : 0;
    if (to->counted == NULL)
        return false;
    for (size_t i = 0; i < from->n_counted; i++) {
        to->counted[i].amount = from->counted[i].amount;
        if (!sb_copy_text(&to->counted[i].name, from->counted[i].name) ||
            !sb_copy_text(&to->counted[i].unit, from->counted[i].unit))
            return false;
    }
    return true;
}

static bool copy_cleanout(sb_cleanout *to, const sb_cleanout *from)
{
    *to = *from;
    to->id = to->name = to->supplies = to->source = NULL;
    to->counted = NULL;
    to->n_counted = 0;
    to->steps = sb_alloc(from->n_steps, sizeof *to->steps);
    to->n_steps = to->steps != NULL ? from->n_steps : 0;
    if (to->steps == NULL)
        return false;
    for (size_t i = 0; i < from->n_steps; i++) {
        to->steps[i].minutes = from->steps[i].minutes;
        if (!sb_copy_text(&to->steps[i].section, from->steps[i].section) ||
            !sb_copy_text(&to->steps[i].text, from->steps[i].text))
            return false;
    }
    return copy_counted(to, from) && sb_copy_text(&to->id, from->id) &&
           sb_copy_text(&to->name, from->name) && sb_copy_text(&to->supplies, from->supplies) &&
           sb_copy_text(&to->source, from->source);
}

static bool copy_resource(sb_resource *to, const sb_resource *from)
{
    *to = *from;
    to->id = to->name = NULL;
    return sb_copy_text(&to->id, from->id) && sb_copy_text(&to->name, from->name);
}

static bool copy_section(sb_section *to, const sb_section *from)
{
    *to = *from;
    to->id = to->name = to->source = NULL;
    return sb_copy_text(&to->id, from->id) && sb_copy_text(&to->name, from->name) &&
           sb_copy_text(&to->source, from->source);
}

static bool copy_start_loads(sb_machine *to, const sb_machine *from)
{
    to->start_loads = sb_alloc(from->n_start_loads, sizeof *to->start_loads);
    to->n_start_loads = to->start_loads != NULL ? from->n_start_loads : 0;
    if (to->start_loads == NULL)
        return false;
    for (size_t i = 0; i < from->n_start_loads; i++) {
        to->start_loads[i] = from->start_loads[i];
        to->start_loads[i].section = to->start_loads[i].weed = NULL;
    }
    for (size_t i = 0; i < from->n_start_loads; i++)
        if (!sb_copy_text(&to->start_loads[i].section, from->start_loads[i].section) ||
            !sb_copy_text(&to->start_loads[i].weed, from->start_loads[i].weed))
            return false;
    return true;
}

static bool copy_machine(sb_machine *to, const sb_machine *from, const sb_setup *setup)
{
    *to = *from;
    to->id = to->name = to->yard = to->start_field = to->start_cleanout = NULL;
    to->final_cleanout = NULL;
    to->crop_ha_per_hour = NULL;
    to->cuts_crop = NULL;
    to->sections = NULL;
    to->start_loads = NULL;
    to->n_start_loads = 0;
    if (!copy_start_loads(to, from) ||
        !copy_doubles(&to->crop_ha_per_hour, from->crop_ha_per_hour, setup->n_crops) ||
        !copy_flags(&to->cuts_crop, from->cuts_crop, setup->n_crops))
        return false;
    to->sections = sb_alloc(setup->n_sections, sizeof *to->sections);
    if (to->sections == NULL)
        return false;
    for (size_t s = 0; s < setup->n_sections; s++)
        if (!copy_section(&to->sections[s], &from->sections[s]))
            return false;
    return sb_copy_text(&to->id, from->id) && sb_copy_text(&to->name, from->name) &&
           sb_copy_text(&to->yard, from->yard) &&
           sb_copy_text(&to->start_field, from->start_field) &&
           sb_copy_text(&to->start_cleanout, from->start_cleanout) &&
           sb_copy_text(&to->final_cleanout, from->final_cleanout);
}

/* Items not yet begun are zero, and as such may be released. */
static bool copy_grower_caps(sb_setup *to, const sb_setup *from)
{
    to->grower_caps = sb_alloc(from->n_grower_caps, sizeof *to->grower_caps);
    to->n_grower_caps = to->grower_caps != NULL ? from->n_grower_caps : 0;
    for (size_t i = 0; i < to->n_grower_caps; i++) {
        to->grower_caps[i] = from->grower_caps[i];
        to->grower_caps[i].grower = NULL;
    }
    for (size_t i = 0; i < to->n_grower_caps; i++)
        if (!sb_copy_text(&to->grower_caps[i].grower, from->grower_caps[i].grower))
            return false;
    return to->grower_caps != NULL;
}

static bool copy_lists(sb_setup *to, const sb_setup *from)
{
    to->weeds = sb_alloc(from->n_weeds, sizeof *to->weeds);
    to->crops = sb_alloc(from->n_crops, sizeof *to->crops);
    to->machines = sb_alloc(from->n_machines, sizeof *to->machines);
    to->cleanouts = sb_alloc(from->n_cleanouts, sizeof *to->cleanouts);
    to->resources = sb_alloc(from->n_resources, sizeof *to->resources);
    if (to->weeds == NULL || to->crops == NULL || to->machines == NULL || to->cleanouts == NULL ||
        to->resources == NULL)
        return false;
    to->n_resources = from->n_resources;
    to->n_weeds = from->n_weeds;
    to->n_crops = from->n_crops;
    to->n_machines = from->n_machines;
    to->n_cleanouts = from->n_cleanouts;
    for (size_t i = 0; i < from->n_weeds; i++)
        if (!copy_weed(&to->weeds[i], &from->weeds[i]))
            return false;
    for (size_t i = 0; i < from->n_crops; i++)
        if (!copy_crop(&to->crops[i], &from->crops[i]))
            return false;
    for (size_t i = 0; i < from->n_machines; i++)
        if (!copy_machine(&to->machines[i], &from->machines[i], from))
            return false;
    for (size_t i = 0; i < from->n_cleanouts; i++)
        if (!copy_cleanout(&to->cleanouts[i], &from->cleanouts[i]))
            return false;
    for (size_t i = 0; i < from->n_resources; i++)
        if (!copy_resource(&to->resources[i], &from->resources[i]))
            return false;
    return copy_grower_caps(to, from);
}

sb_status sb_setup_copy(const sb_setup *from, sb_setup *to)
{
    *to = *from;
    to->currency = NULL;
    to->calendar.blocked = NULL;
    to->scale = (sb_scale){0};
    to->weeds = NULL;
    to->crops = NULL;
    to->machines = NULL;
    to->cleanouts = NULL;
    to->resources = NULL;
    to->grower_caps = NULL;
    to->n_grower_caps = 0;
    to->n_weeds = to->n_crops = to->n_machines = to->n_cleanouts = to->n_resources = 0;
    if (sb_copy_text(&to->currency, from->currency) &&
        copy_calendar(&to->calendar, &from->calendar) && copy_scale(&to->scale, &from->scale) &&
        copy_lists(to, from))
        return SB_OK;
    sb_setup_release(to);
    return SB_ERR_NOMEM;
}
