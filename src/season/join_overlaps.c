/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fields that lie on top of each other, and fields too small to be one: doubtful, never refused. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "season/join.h"

/* Neighbours drawn from two surveys, or walked along one fence, overlap by a strip: worth a word
 * beyond 100 m2 and a thousandth of the smaller field (assumed). */
#define OVERLAP_HA 0.01
#define OVERLAP_SHARE 1e-3
#define SAME_BOUNDARY_SHARE 0.99 /* both ways: the same field drawn twice (assumed) */
#define SLIVER_HA 0.01           /* a header's width squared: a slip of the pen (assumed) */
#define TOUCH_DEG 1e-7           /* boxes that share no more than a centimetre only touch */

/* A field's box, for sweeping from west to east. */
typedef struct boxed {
    sb_box box;
    size_t field;
} boxed;

static int by_west(const void *a, const void *b)
{
    const boxed *first = a, *second = b;
    int order =
        (first->box.west_deg > second->box.west_deg) - (first->box.west_deg < second->box.west_deg);
    return order != 0 ? order : (first->field > second->field) - (first->field < second->field);
}

static sb_status look_at_pair(const sb_season *season, size_t a, size_t b, sb_report *report)
{
    const sb_field *first = &season->fields[a < b ? a : b];
    const sb_field *second = &season->fields[a < b ? b : a];
    if (first->part > 0 && second->part - first->part == (int)(second - first))
        return SB_OK; /* parts of one field, which have its boundary each */
    double share_first, share_second;
    sb_status status = sb_parts_overlap(first->parts, first->n_parts, second->parts,
                                        second->n_parts, &share_first, &share_second);
    double overlap_ha = share_first * first->area_ha;
    if (status != SB_OK || isnan(overlap_ha) || overlap_ha <= OVERLAP_HA ||
        fmax(share_first, share_second) <= OVERLAP_SHARE)
        return status;
    if (share_first >= SAME_BOUNDARY_SHARE && share_second >= SAME_BOUNDARY_SHARE)
        sb_say(report, SB_WARNING, second->file, second->line,
               "field '%s' has the boundary of field '%s' (%.2f ha in common): one field drawn "
               "twice?",
               second->name, first->name, overlap_ha);
    else
        sb_say(report, SB_WARNING, second->file, second->line,
               "field '%s' overlaps field '%s' by %.2f ha (%.1f %% of the smaller)", second->name,
               first->name, overlap_ha, 100 * fmax(share_first, share_second));
    return SB_OK;
}

static bool boxes_meet(const sb_box *a, const sb_box *b)
{
    return fmin(a->east_deg, b->east_deg) - fmax(a->west_deg, b->west_deg) > TOUCH_DEG &&
           fmin(a->north_deg, b->north_deg) - fmax(a->south_deg, b->south_deg) > TOUCH_DEG;
}

sb_status sb_check_overlaps(const sb_season *season, sb_report *report)
{
    boxed *boxes = sb_alloc(season->n_fields, sizeof *boxes);
    if (boxes == NULL)
        return SB_ERR_NOMEM;
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        if (field->n_parts == 0)
            continue;
        if (field->area_ha < SLIVER_HA)
            sb_say(report, SB_WARNING, field->file, field->line,
                   "field '%s' is a sliver of %.3g m2", field->name, field->area_ha * 1e4);
        boxes[n++] =
            (boxed){sb_parts_box(field->parts, field->n_parts, season->fields[0].place.lon_deg), i};
    }
    qsort(boxes, n, sizeof *boxes, by_west);
    sb_status status = SB_OK;
    for (size_t i = 0; i < n && status == SB_OK; i++)
        for (size_t k = i + 1;
             k < n && status == SB_OK && boxes[k].box.west_deg < boxes[i].box.east_deg; k++)
            if (boxes_meet(&boxes[i].box, &boxes[k].box))
                status = look_at_pair(season, boxes[i].field, boxes[k].field, report);
    sb_free(boxes);
    return status;
}
