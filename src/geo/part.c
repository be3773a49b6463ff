/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The memory of outlines. */
#include <string.h>

#include "base/mem.h"
#include "geo/geo.h"

void sb_part_release(sb_part *part)
{
    sb_free(part->outer.items);
    for (size_t i = 0; i < part->n_holes; i++)
        sb_free(part->holes[i].items);
    sb_free(part->holes);
    *part = (sb_part){0};
}

static sb_status copy_ring(const sb_ring *ring, sb_ring *copy)
{
    *copy = *ring;
    copy->capacity = ring->count;
    copy->items = sb_alloc(ring->count, sizeof *copy->items);
    if (copy->items == NULL)
        return SB_ERR_NOMEM;
    if (ring->count > 0)
        memcpy(copy->items, ring->items, ring->count * sizeof *copy->items);
    return SB_OK;
}

sb_status sb_part_copy(const sb_part *part, sb_part *copy)
{
    *copy = (sb_part){.hole_capacity = part->n_holes};
    copy->holes = sb_alloc(part->n_holes, sizeof *copy->holes);
    sb_status status = copy->holes != NULL ? copy_ring(&part->outer, &copy->outer) : SB_ERR_NOMEM;
    while (copy->n_holes < part->n_holes && status == SB_OK) {
        status = copy_ring(&part->holes[copy->n_holes], &copy->holes[copy->n_holes]);
        copy->n_holes += status == SB_OK;
    }
    if (status != SB_OK)
        sb_part_release(copy);
    return status;
}
