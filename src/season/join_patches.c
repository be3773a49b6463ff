/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weedy patches of fields: cut with the field, cut last as a stop of their own, or left standing
 * (docs/model.md, "A patch left standing"). */
#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"
#include "season/join_weeds.h"

/* An outline walked along the field's edge may stray over it by so much of the patch. */
#define STRAY_SHARE 0.05
/* Patches that share no more than this of the smaller one only touch. */
#define TOUCH_SHARE 1e-3
/* A patch with more of the field than this is the field. */
#define WHOLE_SHARE 0.99
#define M2_PER_HA 1e4

typedef struct patch {
    sb_feature *feature;
    const char *field_name;
    int field;
    sb_patch_fate fate;
    sb_part *parts;
    size_t n_parts;
    double area_ha;
    sb_rating ratings[SB_MAX_WEEDS]; /* SB_RATING_NONE: as weedy as the rest of the field */
} patch;

#define SB_BAD_PATCH(join, feature, attribute, ...)                                             \
    SB_JOIN_BAD(join, (attribute) != NULL ? sb_join_file(feature, attribute) : (feature)->file, \
                (attribute) != NULL ? (attribute)->line : (feature)->line, __VA_ARGS__)

/* ---- From its feature -------------------------------------------------------------------------
 */

static const char *const FATES[] = {
    [SB_PATCH_CUT] = "cut", [SB_PATCH_LAST] = "last", [SB_PATCH_LEAVE] = "leave"};

const char *sb_patch_fate_word(sb_patch_fate fate)
{
    return FATES[fate];
}

static void read_fate(sb_joining *join, patch *p)
{
    const sb_attribute *stated = sb_join_attribute(p->feature, "patch");
    if (stated == NULL)
        return;
    for (int i = SB_PATCH_CUT; i <= SB_PATCH_LEAVE; i++)
        if (strcmp(stated->value, FATES[i]) == 0) {
            p->fate = (sb_patch_fate)i;
            return;
        }
    SB_BAD_PATCH(join, p->feature, stated, "patch of '%s' is '%s', expected cut, last or leave",
                 p->feature->name, stated->value);
}

static void read_field(sb_joining *join, patch *p)
{
    const sb_feature *feature = p->feature;
    const sb_attribute *stated = sb_join_attribute(feature, "field");
    if (stated == NULL) {
        SB_BAD_PATCH(join, feature, stated, "patch '%s' names no field, expected the key field",
                     feature->name);
        return;
    }
    int index = sb_join_field_named(join, stated->value);
    if (index == INT_MIN) {
        sb_text near = {0};
        sb_join_add_near_field(join, &near, stated->value);
        SB_BAD_PATCH(join, feature, stated,
                     "patch '%s' of field '%s', but no field has that name%s", feature->name,
                     stated->value, sb_text_get(&near));
        sb_text_release(&near);
        return;
    }
    if (index < 0 || join->season->fields[index].n_parts == 0 ||
        sb_join_attribute(join->from[index], "split") != NULL) {
        SB_BAD_PATCH(join, feature, stated,
                     "patch '%s' of field '%s', which %s; expected a field with an outline, whole "
                     "and still to be cut",
                     feature->name, stated->value,
                     index < 0                                  ? "is cut already"
                     : join->season->fields[index].n_parts == 0 ? "has no outline"
                                                                : "is split");
        return;
    }
    p->field = index;
    p->field_name = join->season->fields[index].name;
}

/* The strip along a side of the field. */
static sb_status outline_strip(sb_joining *join, patch *p)
{
    static const char *const SIDES[] = {"north", "east", "south", "west"};
    const sb_field *field = &join->season->fields[p->field];
    const sb_attribute *side = sb_join_attribute(p->feature, "side");
    const sb_attribute *stated = sb_join_attribute(p->feature, "width_m");
    const char *which = NULL;
    double width_m = 0;
    for (size_t i = 0; i < 4 && side != NULL; i++)
        if (strcmp(side->value, SIDES[i]) == 0)
            which = SIDES[i];
    if (which == NULL) {
        SB_BAD_PATCH(
            join, p->feature, side,
            "patch '%s' has no outline and %s%s, expected an outline, or side north, east, "
            "south or west with width_m",
            p->feature->name, side != NULL ? "side " : "no side", side != NULL ? side->value : "");
        return SB_OK;
    }
    if (stated == NULL || !sb_parse_double(stated->value, &width_m) || !(width_m > 0)) {
        SB_BAD_PATCH(join, p->feature, stated,
                     "width_m of patch '%s' is '%s', expected metres, a number above 0",
                     p->feature->name, stated != NULL ? stated->value : "");
        return SB_OK;
    }
    return sb_parts_side(field->parts, field->n_parts, which[0], width_m, &p->parts, &p->n_parts);
}

static sb_status outline_polygon(sb_joining *join, patch *p)
{
    const sb_feature *feature = p->feature;
    const sb_field *field = &join->season->fields[p->field];
    sb_flaw flaw;
    double inside, unused;
    sb_status status = sb_parts_flaw(feature->parts.items, feature->parts.count, &flaw);
    if (status != SB_OK)
        return status;
    if (flaw.found && !flaw.touches_only) {
        SB_JOIN_BAD(join, feature->file, feature->line,
                    "patch '%s': %s at longitude %.7f, latitude %.7f; expected a simple outline",
                    feature->name, flaw.reason, flaw.where.lon_deg, flaw.where.lat_deg);
        return SB_OK;
    }
    status = sb_parts_overlap(feature->parts.items, feature->parts.count, field->parts,
                              field->n_parts, &inside, &unused);
    if (status != SB_OK)
        return status;
    if (!(inside >= 1 - STRAY_SHARE)) {
        SB_JOIN_BAD(join, feature->file, feature->line,
                    "patch '%s': %.1f %% of it lie in field '%s', expected all of it",
                    feature->name, isnan(inside) ? 0 : 100 * inside, p->field_name);
        return SB_OK;
    }
    return sb_parts_common(field->parts, field->n_parts, feature->parts.items, feature->parts.count,
                           &p->parts, &p->n_parts);
}

static sb_status outline(sb_joining *join, patch *p)
{
    const sb_field *field = &join->season->fields[p->field];
    size_t before = join->errors;
    sb_status status =
        p->feature->parts.count > 0 ? outline_polygon(join, p) : outline_strip(join, p);
    if (status != SB_OK || join->errors > before)
        return status;
    for (size_t i = 0; i < p->n_parts; i++)
        p->area_ha += sb_part_area_m2(&p->parts[i]) / M2_PER_HA;
    if (p->n_parts == 0 || p->area_ha > WHOLE_SHARE * field->area_ha)
        SB_JOIN_BAD(join, p->feature->file, p->feature->line,
                    "patch '%s' is %s of field '%s', expected a part", p->feature->name,
                    p->n_parts == 0 ? "nothing" : "all", p->field_name);
    return SB_OK;
}

static void refuse_taken_name(sb_joining *join, const patch *patches, size_t i)
{
    const sb_feature *feature = patches[i].feature;
    bool taken = sb_join_field_named(join, feature->name) != INT_MIN;
    for (size_t k = 0; k < i; k++)
        taken = taken || strcmp(patches[k].feature->name, feature->name) == 0;
    if (taken)
        SB_JOIN_BAD(join, feature->file, feature->line,
                    "patch '%s' has the name of another field or patch, expected one of its own",
                    feature->name);
}

static sb_status refuse_overlap(sb_joining *join, const patch *patches, size_t i)
{
    const patch *p = &patches[i];
    for (size_t k = 0; k < i; k++) {
        double share, other;
        if (patches[k].field != p->field || patches[k].n_parts == 0 || p->n_parts == 0)
            continue;
        sb_status status = sb_parts_overlap(p->parts, p->n_parts, patches[k].parts,
                                            patches[k].n_parts, &share, &other);
        if (status != SB_OK)
            return status;
        if (fmax(share, other) > TOUCH_SHARE)
            SB_JOIN_BAD(join, p->feature->file, p->feature->line,
                        "patch '%s' overlaps patch '%s' by %.3g ha, expected patches apart",
                        p->feature->name, patches[k].feature->name, share * p->area_ha);
    }
    return SB_OK;
}

static sb_status read_patch(sb_joining *join, patch *patches, size_t i)
{
    patch *p = &patches[i];
    size_t before = join->errors;
    p->field = -1;
    if (p->feature->name == NULL) {
        SB_JOIN_BAD(join, p->feature->file, p->feature->line,
                    "a patch without a name, expected one");
        return SB_OK;
    }
    read_fate(join, p);
    read_field(join, p);
    refuse_taken_name(join, patches, i);
    sb_join_stated_ratings(join, p->feature, p->ratings);
    sb_status status = SB_OK;
    if (join->errors == before)
        status = outline(join, p);
    if (status == SB_OK && join->errors == before)
        status = refuse_overlap(join, patches, i);
    return status;
}

/* ---- Plants -----------------------------------------------------------------------------------
 */

/* The same rating for so many times the density. */
static void scale_rating(const sb_scale *scale, sb_rating *rating, double density)
{
    double times = density / rating->density_plants_m2;
    if (rating->density_plants_m2 > 0) {
        rating->low *= times;
        rating->high *= times;
        rating->sd *= times;
    } else {
        rating->low = rating->high = density;
    }
    if (rating->source == SB_RATING_NONE)
        rating->source = SB_RATING_DENSITY;
    rating->density_plants_m2 = density;
    rating->class_index = sb_scale_class_of(scale, density);
}

/* The field's rating is that of all its land, patches included: what the rated patches hold of its
 * plants the rest does not. Where they hold more than all, the field has that many.
 * @param rest_ha of the field outside of patches rated for this weed
 * @return plants/m2 there */
static double density_of_rest(sb_joining *join, sb_field *field, const patch *patches, size_t n,
                              size_t w)
{
    double in_patches = 0, rated_ha = 0;
    const patch *rated = NULL;
    for (size_t i = 0; i < n; i++)
        if (&join->season->fields[patches[i].field] == field &&
            patches[i].ratings[w].source != SB_RATING_NONE) {
            rated = &patches[i];
            rated_ha += patches[i].area_ha;
            in_patches += patches[i].area_ha * patches[i].ratings[w].density_plants_m2;
        }
    sb_rating *whole = &field->ratings[w];
    double plants = whole->density_plants_m2 * field->area_ha;
    if (in_patches > plants * (1 + 1e-9)) {
        if (whole->source != SB_RATING_NONE)
            sb_say(join->report, SB_WARNING, rated->feature->file, rated->feature->line,
                   "patches of field '%s' hold more %s than the field's rating, %.3g plants/m2, "
                   "says: it is taken as %.3g, all of it in the patches",
                   field->name, join->season->setup.weeds[w].id, whole->density_plants_m2,
                   in_patches / field->area_ha);
        scale_rating(&join->season->setup.scale, whole, in_patches / field->area_ha);
        return 0;
    }
    return fmax(plants - in_patches, 0) / (field->area_ha - rated_ha);
}

/* ---- Cutting them out -------------------------------------------------------------------------
 */

static sb_status add_field(sb_joining *join, const patch *p, const double *rest)
{
    sb_season *season = join->season;
    sb_field *grown = sb_resize(season->fields, season->n_fields + 1, sizeof *grown);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    season->fields = grown;
    sb_field *made = &season->fields[season->n_fields];
    sb_status status = sb_join_copy_field(&season->fields[p->field], made);
    join->from[season->n_fields++] = p->feature; /* there is room for every feature */
    if (status != SB_OK)
        return status;
    for (size_t w = 0; w < season->setup.n_weeds; w++)
        if (p->ratings[w].source != SB_RATING_NONE)
            made->ratings[w] = p->ratings[w];
        else if (made->ratings[w].density_plants_m2 > 0)
            scale_rating(&season->setup.scale, &made->ratings[w], rest[w]);
    made->name = sb_strdup(p->feature->name);
    made->whole = sb_strdup(p->field_name);
    made->area_ha = p->area_ha;
    made->stated_area_ha = NAN;
    made->file = p->feature->file;
    made->line = p->feature->line;
    for (size_t i = 0; i < made->n_parts; i++)
        sb_part_release(&made->parts[i]);
    sb_part *parts = sb_resize(made->parts, p->n_parts, sizeof *parts);
    made->n_parts = 0;
    if (made->name == NULL || made->whole == NULL || parts == NULL)
        return SB_ERR_NOMEM;
    made->parts = parts;
    for (; made->n_parts < p->n_parts; made->n_parts++)
        if (sb_part_copy(&p->parts[made->n_parts], &made->parts[made->n_parts]) != SB_OK)
            return SB_ERR_NOMEM;
    return sb_parts_place(made->parts, made->n_parts, &made->place);
}

/* It comes after everything that is cut but other patches. */
static sb_status comes_last(sb_field *field, size_t n_others)
{
    int *after = sb_resize(field->after, n_others, sizeof *after);
    if (after == NULL)
        return SB_ERR_NOMEM;
    field->after = after;
    sb_stated *after_at = sb_resize(field->after_at, n_others, sizeof *after_at);
    if (after_at == NULL)
        return SB_ERR_NOMEM;
    field->after_at = after_at;
    for (size_t i = 0; i < n_others; i++) {
        after[i] = (int)i;
        after_at[i] = (sb_stated){field->file, field->line};
    }
    field->n_after = n_others;
    return SB_OK;
}

/* Takes the patch's land and plants out of the field. */
static sb_status take_out(sb_joining *join, sb_field *field, const patch *p, const double *rest)
{
    sb_part *parts;
    size_t n;
    sb_status status =
        sb_parts_without(field->parts, field->n_parts, p->parts, p->n_parts, &parts, &n);
    if (status != SB_OK)
        return status;
    sb_parts_free(field->parts, field->n_parts);
    field->parts = parts;
    field->n_parts = n;
    double left_ha = field->area_ha - p->area_ha;
    if (n == 0 || !(left_ha > (1 - WHOLE_SHARE) * field->area_ha)) {
        SB_JOIN_BAD(join, p->feature->file, p->feature->line,
                    "patch '%s' leaves nothing of field '%s', expected a part", p->feature->name,
                    p->field_name);
        return SB_OK;
    }
    for (size_t w = 0; w < join->season->setup.n_weeds; w++) {
        sb_rating *rating = &field->ratings[w];
        double there =
            p->ratings[w].source != SB_RATING_NONE ? p->ratings[w].density_plants_m2 : rest[w];
        double plants = rating->density_plants_m2 * field->area_ha - there * p->area_ha;
        if (rating->density_plants_m2 > 0)
            scale_rating(&join->season->setup.scale, rating, fmax(plants, 0) / left_ha);
    }
    field->area_ha = left_ha;
    field->stated_area_ha = NAN;
    return sb_parts_place(field->parts, field->n_parts, &field->place);
}

static sb_status note(sb_joining *join, const patch *p)
{
    sb_season *season = join->season;
    const sb_field *field = &season->fields[p->field];
    double grain_t = p->area_ha * field->yield_t_ha;
    sb_patch made = {.fate = p->fate,
                     .area_ha = p->area_ha,
                     .grain_t = grain_t,
                     .worth = grain_t * season->setup.crops[field->crop].price_per_t};
    made.name = sb_strdup(p->feature->name);
    made.field = sb_strdup(p->field_name);
    if (made.name != NULL && made.field != NULL && SB_PUSH(&season->patches, made)) {
        sb_say(join->report, SB_NOTE, p->feature->file, p->feature->line,
               "patch '%s' of field '%s', %.2f ha, is %s", made.name, made.field, made.area_ha,
               p->fate == SB_PATCH_CUT    ? "cut with the field"
               : p->fate == SB_PATCH_LAST ? "cut last, as a stop of its own"
                                          : "left standing");
        return SB_OK;
    }
    sb_free(made.name);
    sb_free(made.field);
    return SB_ERR_NOMEM;
}

/* What becomes of the patches of one field. */
static sb_status settle_field(sb_joining *join, int field, const patch *patches, size_t n,
                              size_t n_others)
{
    double rest[SB_MAX_WEEDS];
    sb_season *season = join->season;
    for (size_t w = 0; w < season->setup.n_weeds; w++)
        rest[w] = density_of_rest(join, &season->fields[field], patches, n, w);
    sb_status status = SB_OK;
    for (size_t i = 0; i < n && status == SB_OK; i++) {
        const patch *p = &patches[i];
        if (p->field != field)
            continue;
        status = note(join, p);
        if (status == SB_OK && p->fate == SB_PATCH_LAST) {
            status = add_field(join, p, rest);
            sb_field *made = &season->fields[season->n_fields - 1];
            if (status == SB_OK)
                status = comes_last(made, n_others);
            if (status == SB_OK)
                sb_field_derive(&season->setup, made);
        }
        if (status == SB_OK && p->fate != SB_PATCH_CUT)
            status = take_out(join, &season->fields[field], p, rest);
    }
    sb_field_derive(&season->setup, &season->fields[field]);
    return status;
}

sb_status sb_join_patches(sb_joining *join)
{
    size_t n = join->n_patches, n_fields = join->season->n_fields, before = join->errors;
    patch *patches = sb_alloc(n, sizeof *patches);
    sb_status status = patches != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t i = 0; i < n && status == SB_OK; i++) {
        patches[i].feature = join->patches[i];
        status = read_patch(join, patches, i);
    }
    for (size_t f = 0; f < n_fields && n > 0 && status == SB_OK && join->errors == before; f++)
        status = settle_field(join, (int)f, patches, n, n_fields);
    for (size_t i = 0; i < n && patches != NULL; i++)
        sb_parts_free(patches[i].parts, patches[i].n_parts);
    sb_free(patches);
    return status;
}
