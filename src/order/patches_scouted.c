/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/patches_scouted.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

/* So many classes of the scale above the field's middle point a point is dense. One class is what
 * two people differ by who rate the same place. */
#define CLASSES_ABOVE 2
/* Of two points nobody can say which of them is the field. */
#define LEAST_POINTS 3
/* The patches take their share of the field to this much of it. */
#define AREA_TOLERANCE 1e-6
#define FILE_STEPS 1e7 /* of a degree: coordinates are written with 7 decimals */

/* ---- Dense points -----------------------------------------------------------------------------
 */

typedef struct scouted_field {
    const sb_season *season;
    const sb_field *field;
    bool *dense;  /* by point */
    int *cluster; /* by point: its patch, from 0; -1: not dense */
    size_t n_dense;
    size_t n_clusters;           /* once clustered */
    double radius_m;             /* once found */
    bool dense_in[SB_MAX_WEEDS]; /* some point is */
} scouted_field;

static bool weed_counts(const sb_field *field, size_t weed)
{
    return field->ratings[weed].source == SB_RATING_SCOUTED;
}

/* Points that rate the weed in this class or a lower one. */
static size_t points_up_to(const sb_scale *scale, const sb_field *field, size_t weed, int class)
{
    size_t n = 0;
    for (size_t i = 0; i < field->n_points; i++) {
        double density = field->points[i].density_plants_m2[weed];
        n += !isnan(density) && sb_scale_class_of(scale, density) <= class;
    }
    return n;
}

/* The class of the middle point, of two middle ones the lower; -1: too few points rate the weed. */
static int middle_class(const sb_scale *scale, const sb_field *field, size_t weed)
{
    int last = (int)scale->n_classes - 1, class = 0;
    size_t n = points_up_to(scale, field, weed, last);
    while (class < last && points_up_to(scale, field, weed, class) <= (n - 1) / 2)
        class ++;
    return n >= LEAST_POINTS ? class : -1;
}

static void find_dense(scouted_field *in)
{
    const sb_scale *scale = &in->season->setup.scale;
    for (size_t w = 0; w < in->season->setup.n_weeds; w++) {
        int middle = weed_counts(in->field, w) ? middle_class(scale, in->field, w) : -1;
        for (size_t i = 0; i < in->field->n_points && middle >= 0; i++) {
            double density = in->field->points[i].density_plants_m2[w];
            if (isnan(density) || sb_scale_class_of(scale, density) < middle + CLASSES_ABOVE)
                continue;
            in->n_dense += !in->dense[i];
            in->dense[i] = in->dense_in[w] = true;
        }
    }
}

/* ---- Their land -------------------------------------------------------------------------------
 */

/* The land around the points of one patch, or of all. @param cluster -1: all dense points */
static sb_status land_around(const scouted_field *in, int cluster, double radius_m, sb_part **parts,
                             size_t *n)
{
    const sb_field *field = in->field;
    sb_lonlat *places = sb_alloc(field->n_points, sizeof *places);
    size_t n_places = 0;
    if (places == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < field->n_points; i++)
        if (cluster < 0 ? in->dense[i] : in->cluster[i] == cluster)
            places[n_places++] = field->points[i].place;
    sb_status status =
        sb_parts_around(field->parts, field->n_parts, places, n_places, radius_m, parts, n);
    sb_free(places);
    return status;
}

static double parts_m2(const sb_part *parts, size_t n)
{
    double area_m2 = 0;
    for (size_t i = 0; i < n; i++)
        area_m2 += sb_part_area_m2(&parts[i]);
    return area_m2;
}

/* The radius at which the land around the dense points is the share of the field that they are of
 * its points. */
static sb_status find_radius(scouted_field *in)
{
    const sb_field *field = in->field;
    sb_box box = sb_parts_box(field->parts, field->n_parts, field->place.lon_deg);
    double whole_m2 = parts_m2(field->parts, field->n_parts);
    double wanted_m2 = whole_m2 * (double)in->n_dense / (double)field->n_points;
    double low_m = 0, high_m = sb_distance_m((sb_lonlat){box.west_deg, box.south_deg},
                                             (sb_lonlat){box.east_deg, box.north_deg});
    for (double area_m2 = 0; fabs(area_m2 - wanted_m2) > AREA_TOLERANCE * whole_m2 &&
                             high_m - low_m > AREA_TOLERANCE * high_m;) {
        sb_part *parts;
        size_t n;
        in->radius_m = (low_m + high_m) / 2;
        sb_status status = land_around(in, -1, in->radius_m, &parts, &n);
        if (status != SB_OK)
            return status;
        area_m2 = parts_m2(parts, n);
        sb_parts_free(parts, n);
        *(area_m2 < wanted_m2 ? &low_m : &high_m) = in->radius_m;
    }
    return SB_OK;
}

/* Dense points whose circles meet lie in one patch; it has the number of its first. */
static void cluster_points(scouted_field *in)
{
    const sb_scout_point *points = in->field->points;
    int n = (int)in->field->n_points;
    for (int i = 0; i < n; i++)
        in->cluster[i] = in->dense[i] ? i : -1;
    for (int i = 0; i < n; i++)
        for (int k = 0; k < i; k++) {
            int one = in->cluster[i], other = in->cluster[k];
            if (one < 0 || other < 0 || one == other ||
                sb_distance_m(points[i].place, points[k].place) > 2 * in->radius_m)
                continue;
            for (int j = 0; j < n; j++)
                if (in->cluster[j] == one || in->cluster[j] == other)
                    in->cluster[j] = one < other ? one : other;
        }
    for (int i = 0; i < n; i++)
        in->n_clusters += in->cluster[i] == i;
}

/* ---- Patches ----------------------------------------------------------------------------------
 */

static bool name_taken(const sb_season *season, const sb_scouted_patches *found, const char *name)
{
    bool taken = false;
    for (size_t i = 0; i < season->n_fields; i++)
        taken |= strcmp(season->fields[i].name, name) == 0;
    for (size_t i = 0; i < season->patches.count; i++)
        taken |= strcmp(season->patches.items[i].name, name) == 0;
    for (size_t i = 0; i < found->count; i++)
        taken |= strcmp(found->items[i].name, name) == 0;
    return taken;
}

/* "Salt Flat patch", or where there are several "Salt Flat patch 1". The caller frees it; NULL: out
 * of memory. */
static char *name_patch(const scouted_field *in, const sb_scouted_patches *found)
{
    sb_text name = {0};
    sb_text_addf(&name, "%s patch", in->field->name);
    size_t length = name.count;
    bool numbered = in->n_clusters > 1 || name_taken(in->season, found, sb_text_get(&name));
    for (size_t number = 1; numbered && !name.failed; number++) {
        name.count = length;
        sb_text_addf(&name, " %zu", number);
        numbered = name_taken(in->season, found, sb_text_get(&name));
    }
    if (!name.failed)
        return name.bytes;
    sb_text_release(&name);
    return NULL;
}

/* Mean of the points of one patch, or of those that are not dense (cluster -1). */
static double mean_density(const scouted_field *in, int cluster, size_t weed)
{
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < in->field->n_points; i++) {
        double density = in->field->points[i].density_plants_m2[weed];
        if (in->cluster[i] != cluster || isnan(density))
            continue;
        sum += density;
        n++;
    }
    return n > 0 ? sum / (double)n : NAN;
}

static void round_ring(sb_ring *ring)
{
    for (size_t i = 0; i < ring->count; i++) {
        ring->items[i].lon_deg = round(ring->items[i].lon_deg * FILE_STEPS) / FILE_STEPS;
        ring->items[i].lat_deg = round(ring->items[i].lat_deg * FILE_STEPS) / FILE_STEPS;
    }
}

/* As a file will have it: what is planned now is what will be read then. */
static void round_outline(sb_scouted_patch *patch)
{
    for (size_t i = 0; i < patch->n_parts; i++) {
        round_ring(&patch->parts[i].outer);
        for (size_t h = 0; h < patch->parts[i].n_holes; h++)
            round_ring(&patch->parts[i].holes[h]);
    }
}

static sb_status add_patch(const scouted_field *in, int cluster, sb_scouted_patches *found)
{
    sb_scouted_patch patch = {
        .radius_m = in->radius_m, .n_dense = in->n_dense, .n_scouted = in->field->n_points};
    for (size_t i = 0; i < in->field->n_points; i++)
        patch.n_points += in->cluster[i] == cluster;
    for (size_t w = 0; w < SB_MAX_WEEDS; w++) {
        bool counts = w < in->season->setup.n_weeds && weed_counts(in->field, w);
        patch.plants_m2[w] = counts ? mean_density(in, cluster, w) : NAN;
        patch.rest_plants_m2[w] = counts ? mean_density(in, -1, w) : NAN;
        patch.dense[w] = in->dense_in[w] && patch.plants_m2[w] > patch.rest_plants_m2[w];
    }
    patch.name = name_patch(in, found);
    patch.field = sb_strdup(in->field->name);
    sb_status status = patch.name != NULL && patch.field != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = land_around(in, cluster, in->radius_m, &patch.parts, &patch.n_parts);
    round_outline(&patch);
    if (status == SB_OK && patch.n_parts > 0 && SB_PUSH(found, patch))
        return SB_OK;
    if (status == SB_OK && patch.n_parts > 0)
        status = SB_ERR_NOMEM;
    sb_free(patch.name);
    sb_free(patch.field);
    sb_parts_free(patch.parts, patch.n_parts);
    return status;
}

static bool may_have_patches(const sb_season *season, const sb_field *field)
{
    if (field->n_parts == 0 || field->whole != NULL || field->n_points < LEAST_POINTS)
        return false;
    for (size_t i = 0; i < season->patches.count; i++)
        if (strcmp(season->patches.items[i].field, field->name) == 0)
            return false;
    return true;
}

static sb_status find_in_field(const sb_season *season, const sb_field *field,
                               sb_scouted_patches *found)
{
    scouted_field in = {.season = season,
                        .field = field,
                        .dense = sb_alloc(field->n_points, sizeof *in.dense),
                        .cluster = sb_alloc(field->n_points, sizeof *in.cluster)};
    sb_status status = in.dense != NULL && in.cluster != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        find_dense(&in);
    /* Where most points are dense, in one weed or the other, the field is weedy and not a part. */
    if (status == SB_OK && in.n_dense > 0 && 2 * in.n_dense <= field->n_points) {
        status = find_radius(&in);
        if (status == SB_OK)
            cluster_points(&in);
        for (int i = 0; i < (int)field->n_points && status == SB_OK; i++)
            if (in.cluster[i] == i)
                status = add_patch(&in, i, found);
    }
    sb_free(in.dense);
    sb_free(in.cluster);
    return status;
}

sb_status sb_scouted_patches_find(const sb_season *season, sb_scouted_patches *found)
{
    *found = (sb_scouted_patches){0};
    sb_status status = SB_OK;
    for (size_t i = 0; i < season->n_fields && status == SB_OK; i++)
        if (may_have_patches(season, &season->fields[i]))
            status = find_in_field(season, &season->fields[i], found);
    return status;
}

void sb_scouted_patches_release(sb_scouted_patches *found)
{
    for (size_t i = 0; i < found->count; i++) {
        sb_free(found->items[i].name);
        sb_free(found->items[i].field);
        sb_parts_free(found->items[i].parts, found->items[i].n_parts);
    }
    sb_free(found->items);
    *found = (sb_scouted_patches){0};
}

/* ---- As features ------------------------------------------------------------------------------
 */

static bool say_densities(const sb_scouted_patch *patch, const sb_setup *setup, sb_feature *feature)
{
    bool said = true;
    for (size_t w = 0; w < setup->n_weeds && said; w++) {
        if (isnan(patch->plants_m2[w]))
            continue;
        sb_text key = {0}, value = {0};
        sb_text_addf(&key, "weed:%s:plants_m2", setup->weeds[w].id);
        sb_text_addf(&value, "%.17g", patch->plants_m2[w]);
        said = !key.failed && !value.failed &&
               sb_feature_add_attribute(feature, key.bytes, value.bytes, feature->line) == SB_OK;
        sb_text_release(&key);
        sb_text_release(&value);
    }
    return said;
}

static sb_status add_feature(const sb_scouted_patch *patch, const sb_setup *setup, sb_draft *draft)
{
    const sb_feature *field = sb_draft_field(draft, patch->field);
    sb_feature feature = {.kind = SB_FEATURE_AREA,
                          .name = sb_strdup(patch->name),
                          .file = field != NULL ? field->file : NULL,
                          .line = field != NULL ? field->line : 0};
    bool made = feature.name != NULL;
    for (size_t i = 0; i < patch->n_parts && made; i++) {
        sb_part copy;
        made = sb_part_copy(&patch->parts[i], &copy) == SB_OK;
        if (made && !SB_PUSH(&feature.parts, copy)) {
            sb_part_release(&copy);
            made = false;
        }
    }
    made = made && sb_feature_add_attribute(&feature, "role", "patch", feature.line) == SB_OK &&
           sb_feature_add_attribute(&feature, "field", patch->field, feature.line) == SB_OK &&
           say_densities(patch, setup, &feature);
    if (made)
        return sb_draft_add_feature(draft, &feature);
    sb_feature_release(&feature);
    return SB_ERR_NOMEM;
}

sb_status sb_scouted_patches_add(const sb_scouted_patches *found, const sb_setup *setup,
                                 sb_draft *draft)
{
    sb_status status = SB_OK;
    for (size_t i = 0; i < found->count && status == SB_OK; i++)
        status = add_feature(&found->items[i], setup, draft);
    return status;
}
