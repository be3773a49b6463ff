/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What becomes of the patches of a season: cut, cut last, or left standing. */
#ifndef SB_ORDER_PATCHES_H
#define SB_ORDER_PATCHES_H

#include "order/patches_scouted.h"
#include "season/season.h"

#define SB_PATCH_FATES 3

/** A season in which each patch has some fate, and what it comes to. */
typedef struct sb_patches_tried {
    char *fates;     /**< by patch, an sb_patch_fate each */
    sb_cost cost;    /**< of the best plan; total INFINITY: there is none */
    double given_up; /**< money: grain left standing */
    bool proven;     /**< that plan is proven cheapest, or that there is none */
} sb_patches_tried;

struct sb_patches {
    sb_season *season; /**< with the best fates */
    sb_plan *plan;
    size_t n;                   /**< patches, in the order of season->patches */
    sb_scouted_patches scouted; /**< those of them that no file drew */
    bool all;                   /**< every combination was tried */
    struct {
        sb_patches_tried *items;
        size_t count, capacity;
    } tried;
    size_t best; /**< of these */
};

/** The best combination with one patch otherwise; NULL: it was not tried. */
const sb_patches_tried *sb_patches_otherwise(const sb_patches *patches, size_t patch,
                                             sb_patch_fate fate);

#endif
