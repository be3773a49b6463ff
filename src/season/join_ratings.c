/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ratings of a field, from attributes and scouting points, and its seed limits: both name weeds. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"
#include "season/join_weeds.h"

static void unknown_weed(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                         const char *id)
{
    const sb_setup *setup = &join->season->setup;
    sb_text known = {0};
    sb_join_add_expected(&known, id, setup->weeds, setup->n_weeds, sizeof *setup->weeds);
    SB_JOIN_BAD(
        join, sb_join_file(feature, stated), stated->line, "unknown weed '%s' of '%s', expected %s",
        id, feature->name != NULL ? feature->name : "a point without a name", sb_text_get(&known));
    sb_text_release(&known);
}

/* More weeds than this at harvest are doubtful; from memory: seedlings stand by the thousand,
 * plants that bear seed by the hundred. */
#define MOST_PLANTS_M2 5000

/* The weed of a key "weed:ID", "weed:ID:plants_m2" or "limit:ID"; *rest is what follows the id.
 * -1: another key, or an unknown weed, which is an error. */
static int weed_of_key(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                       const char *prefix, const char **rest)
{
    size_t length = strlen(prefix);
    if (strncmp(stated->key, prefix, length) != 0)
        return -1;
    const sb_setup *setup = &join->season->setup;
    const char *id = stated->key + length;
    size_t id_length = strcspn(id, ":");
    *rest = id + id_length;
    for (size_t w = 0; w < setup->n_weeds; w++)
        if (strlen(setup->weeds[w].id) == id_length &&
            strncmp(setup->weeds[w].id, id, id_length) == 0)
            return (int)w;
    unknown_weed(join, feature, stated, id);
    return -1;
}

/* The class that a rating names: by its label, or by a number equal to it ("3.0"). */
static int class_named(const sb_scale *scale, const char *value)
{
    for (size_t i = 0; i < scale->n_classes; i++)
        if (strcmp(scale->labels[i], value) == 0)
            return (int)i;
    double wanted, label;
    for (size_t i = 0; i < scale->n_classes; i++)
        if (sb_parse_double(value, &wanted) && sb_parse_double(scale->labels[i], &label) &&
            wanted == label)
            return (int)i;
    return -1;
}

int sb_scale_class_of(const sb_scale *scale, double density_plants_m2)
{
    int best = -1;
    for (int i = 0; i < (int)scale->n_classes; i++) {
        bool empty = scale->density_plants_m2[i] == 0;
        if (empty != (density_plants_m2 == 0))
            continue;
        if (best < 0)
            best = i;
        /* The highest class that begins at or below the density; below all of them the lowest. */
        bool fits = scale->low[i] <= density_plants_m2;
        bool best_fits = scale->low[best] <= density_plants_m2;
        if ((fits && (!best_fits || scale->low[i] > scale->low[best])) ||
            (!fits && !best_fits && scale->low[i] < scale->low[best]))
            best = i;
    }
    return best >= 0 ? best : 0;
}

static void rate_by_class(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                          sb_rating *rating)
{
    const sb_setup *setup = &join->season->setup;
    const sb_scale *scale = &setup->scale;
    int index = class_named(scale, stated->value);
    if (index < 0) {
        sb_text labels = {0};
        sb_join_add_ids(&labels, scale->labels, scale->n_classes, sizeof *scale->labels);
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "rating '%s' of %s is off the scale '%s', expected one of %s", stated->value,
                    stated->key + 5, scale->id, sb_text_get(&labels));
        sb_text_release(&labels);
        return;
    }
    *rating = (sb_rating){
        .source = SB_RATING_CLASS,
        .class_index = index,
        .density_plants_m2 = scale->density_plants_m2[index],
        .low = scale->low[index],
        .high = scale->high[index],
    };
}

static void rate_by_density(sb_joining *join, const sb_feature *feature, const sb_attribute *stated,
                            sb_rating *rating)
{
    double density;
    if (!sb_parse_double(stated->value, &density) || density < 0) {
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "%s is '%s', expected plants per m2, a number of at least 0", stated->key,
                    stated->value);
        return;
    }
    if (density > MOST_PLANTS_M2)
        sb_say(join->report, SB_WARNING, sb_join_file(feature, stated), stated->line,
               "%s is %g, expected at most %g plants per m2: per another area?", stated->key,
               density, (double)MOST_PLANTS_M2);
    *rating = (sb_rating){
        .source = SB_RATING_DENSITY,
        .class_index = sb_scale_class_of(&join->season->setup.scale, density),
        .density_plants_m2 = density,
        .low = density,
        .high = density,
    };
}

/* What the season file or a log lays over the field's own file goes before it; in one file a
 * density says more than a class. */
static int weight_of(const sb_attribute *stated, bool density)
{
    return (stated->file != NULL ? 2 : 0) + (density ? 1 : 0);
}

void sb_join_stated_ratings(sb_joining *join, const sb_feature *feature, sb_rating *ratings)
{
    int weight[SB_MAX_WEEDS] = {0};
    for (size_t i = 0; i < feature->attributes.count; i++) {
        const sb_attribute *stated = &feature->attributes.items[i];
        const char *rest;
        int weed = weed_of_key(join, feature, stated, "weed:", &rest);
        if (weed < 0 || *stated->value == '\0')
            continue;
        bool density = strcmp(rest, ":plants_m2") == 0;
        if (!density && *rest != '\0') {
            SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                        "unknown key '%s', expected weed:ID or weed:ID:plants_m2", stated->key);
            continue;
        }
        if (weight_of(stated, density) < weight[weed])
            continue;
        weight[weed] = weight_of(stated, density);
        if (density)
            rate_by_density(join, feature, stated, &ratings[weed]);
        else
            rate_by_class(join, feature, stated, &ratings[weed]);
    }
}

static void limits(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    for (size_t w = 0; w < SB_MAX_WEEDS; w++)
        field->limit_seeds_ha[w] = INFINITY;
    for (size_t i = 0; i < feature->attributes.count; i++) {
        const sb_attribute *stated = &feature->attributes.items[i];
        const char *rest;
        int weed = weed_of_key(join, feature, stated, "limit:", &rest);
        if (weed < 0 || *stated->value == '\0')
            continue;
        double limit;
        field->stated[SB_STATED_SEED_LIMIT + weed] = sb_join_stated(feature, stated);
        if (*rest == '\0' && sb_parse_double(stated->value, &limit) && limit >= 0)
            field->limit_seeds_ha[weed] = limit;
        else
            SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                        "%s of field '%s' is '%s', expected seeds per ha, a number of at least 0",
                        stated->key, field->name, stated->value);
    }
}

/* Mean, spread and extremes of the points that rate this weed; false when none does. */
static bool rate_by_points(const sb_scale *scale, const sb_field *field, size_t weed,
                           sb_rating *rating)
{
    double sum = 0, squares = 0, low = INFINITY, high = 0;
    size_t n = 0;
    for (size_t i = 0; i < field->n_points; i++) {
        double density = field->points[i].density_plants_m2[weed];
        if (isnan(density))
            continue;
        sum += density;
        low = fmin(low, density);
        high = fmax(high, density);
        n++;
    }
    if (n == 0)
        return false;
    double mean = sum / (double)n;
    for (size_t i = 0; i < field->n_points; i++) {
        double off = field->points[i].density_plants_m2[weed] - mean;
        squares += isnan(off) ? 0 : off * off;
    }
    *rating = (sb_rating){
        .source = SB_RATING_SCOUTED,
        .class_index = sb_scale_class_of(scale, mean),
        .density_plants_m2 = mean,
        .low = low,
        .high = high,
        .sd = n > 1 ? sqrt(squares / (double)(n - 1)) : 0,
        .n_points = n,
    };
    return true;
}

/* Was the weed rated after the scouting? */
static bool rated_since(const sb_feature *feature, const sb_weed *weed)
{
    for (size_t i = 0; i < feature->attributes.count; i++) {
        const sb_attribute *stated = &feature->attributes.items[i];
        size_t length = strlen(weed->id);
        if (stated->holds && strncmp(stated->key, "weed:", 5) == 0 &&
            strncmp(stated->key + 5, weed->id, length) == 0 &&
            (stated->key[5 + length] == '\0' || stated->key[5 + length] == ':'))
            return true;
    }
    return false;
}

void sb_join_ratings(sb_joining *join, sb_feature *feature, sb_field *field)
{
    const sb_setup *setup = &join->season->setup;
    limits(join, feature, field);
    sb_join_stated_ratings(join, feature, field->ratings);
    for (size_t w = 0; w < setup->n_weeds; w++) {
        sb_rating scouted;
        if (!rated_since(feature, &setup->weeds[w]) &&
            rate_by_points(&setup->scale, field, w, &scouted)) {
            if (field->ratings[w].source != SB_RATING_NONE)
                sb_say(join->report, SB_WARNING, field->file, field->line,
                       "%s in field '%s' is rated both for the field and by %zu scouting "
                       "point%s: the points are used",
                       setup->weeds[w].id, field->name, scouted.n_points,
                       scouted.n_points == 1 ? "" : "s");
            field->ratings[w] = scouted;
        }
    }
    sb_field_derive(setup, field);
}
