/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "made_features.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

static void *must(void *p)
{
    if (p == NULL)
        abort();
    return p;
}

static const char *file_of(sb_draft *draft, const char *name)
{
    for (size_t i = 0; i < draft->files.count; i++)
        if (strcmp(draft->files.items[i], name) == 0)
            return draft->files.items[i];
    const char *file = sb_draft_file(draft, name);
    if (file == NULL)
        abort();
    return file;
}

static sb_feature *add(sb_draft *draft, sb_feature *feature)
{
    if (sb_draft_add_feature(draft, feature) != SB_OK)
        abort();
    return &draft->features.items[draft->features.count - 1];
}

sb_feature *support_add_square(sb_draft *draft, const char *name, double lon_deg, double lat_deg,
                               double side_deg, size_t line)
{
    sb_feature feature = {.kind = SB_FEATURE_AREA, .line = line};
    feature.file = file_of(draft, "fields.kml");
    feature.name = name != NULL ? must(sb_strdup(name)) : NULL;
    sb_part part = {.outer = {.line = line + 2}};
    for (int corner = 0; corner < 4; corner++) {
        double east = corner == 1 || corner == 2, north = corner >= 2;
        sb_lonlat at = {lon_deg + east * side_deg, lat_deg + north * side_deg};
        if (!SB_PUSH(&part.outer, at))
            abort();
    }
    if (!SB_PUSH(&feature.parts, part))
        abort();
    return add(draft, &feature);
}

sb_feature *support_add_waypoint(sb_draft *draft, const char *name, double lon_deg, double lat_deg,
                                 size_t line)
{
    sb_feature feature = {.kind = SB_FEATURE_POINT, .from_waypoint = true, .line = line};
    feature.file = file_of(draft, "points.gpx");
    feature.name = name != NULL ? must(sb_strdup(name)) : NULL;
    feature.place = (sb_lonlat){lon_deg, lat_deg};
    return add(draft, &feature);
}

void support_say(sb_feature *feature, const char *key, const char *value)
{
    if (sb_feature_add_attribute(feature, key, value, feature->line + 1) != SB_OK)
        abort();
}
