/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Patches that nobody drew but the scouting points of a field outline (docs/model.md, "Patches
 * from scouting points"). */
#ifndef SB_ORDER_PATCHES_SCOUTED_H
#define SB_ORDER_PATCHES_SCOUTED_H

#include "season/season.h"

/** One proposed patch: the land around dense points that lie together. */
typedef struct sb_scouted_patch {
    char *name, *field;
    sb_part *parts;
    size_t n_parts;
    double radius_m;                     /**< how far around its points */
    size_t n_points;                     /**< dense ones in it */
    size_t n_dense, n_scouted;           /**< in the field: dense points, all points */
    bool dense[SB_MAX_WEEDS];            /**< a weed in which one of its points is */
    double plants_m2[SB_MAX_WEEDS];      /**< mean of its points; NAN: they do not rate it, or the
                                              field was rated otherwise since */
    double rest_plants_m2[SB_MAX_WEEDS]; /**< mean of the field's points that are not dense; NAN */
} sb_scouted_patch;

typedef struct sb_scouted_patches {
    sb_scouted_patch *items;
    size_t count, capacity;
} sb_scouted_patches;

/** Finds them in every whole field with an outline and no patch of its own.
 * @param found [out] release it in any case. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_scouted_patches_find(const sb_season *season, sb_scouted_patches *found);
void sb_scouted_patches_release(sb_scouted_patches *found);

/** Adds them to a draft as features of role `patch`, as if a file had drawn them.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_scouted_patches_add(const sb_scouted_patches *found, const sb_setup *setup,
                                 sb_draft *draft);

#endif
