/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The season as the log knows it: ratings that were changed, fields that came in, days lost. */
#include <string.h>

#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "log/season.h"
#include "read/read.h"

#define MOST_DAYS_LOST 366

/* Lays what the entry says about the field over it: keys are those of a field file. */
static sb_status lay_words(sb_feature *field, const sb_log_entry *entry, const char *file)
{
    static const char *const OWN[] = {"field", "at", "written", "why", "lon", "lat"};
    for (size_t i = 0; i < entry->words.count; i++) {
        const sb_word *word = &entry->words.items[i];
        char id[SB_MAX_WEED_ID];
        bool density, own = false, weed = sb_log_weed_word(word, id, &density);
        for (size_t k = 0; k < sizeof OWN / sizeof *OWN; k++)
            own |= strcmp(word->key, OWN[k]) == 0;
        if (own)
            continue;
        sb_text other = {0};
        if (weed) { /* a rating in the other form would still be read beside this one */
            sb_text_addf(&other, "weed:%s%s", id, density ? "" : ":plants_m2");
            if (other.failed)
                return SB_ERR_NOMEM;
            sb_feature_drop_attribute(field, other.bytes);
            sb_text_release(&other);
        }
        sb_feature_drop_attribute(field, word->key);
        sb_status status = sb_feature_add_attribute(field, word->key, word->value, entry->line);
        if (status != SB_OK)
            return status;
        sb_attribute *added = &field->attributes.items[field->attributes.count - 1];
        added->file = file;
        added->holds = weed;
    }
    return SB_OK;
}

static sb_status lay_rating(sb_draft *draft, const sb_log_entry *entry, const char *file,
                            sb_report *report)
{
    sb_feature *field = sb_draft_field(draft, entry->field);
    if (field == NULL)
        return sb_draft_no_field(draft, entry->field, file, entry->line, report);
    return lay_words(field, entry, file);
}

static sb_status read_degrees(const sb_log_entry *entry, const char *key, const char *value,
                              double most, const char *file, sb_report *report, double *degrees)
{
    char excerpt[SB_EXCERPT_BYTES];
    bool number = sb_parse_double(value, degrees);
    if (number && *degrees >= -most && *degrees <= most)
        return SB_OK;
    return sb_bad(report, file, entry->line,
                  "%s '%s' of field '%s', expected degrees from -%g to %g%s", key,
                  sb_excerpt(value, excerpt), entry->field, most, most,
                  number && most == 90 ? ": longitude and latitude look swapped" : "");
}

/* A field that no file outlines: a point with its hectares. */
static sb_status add_point(sb_draft *draft, const sb_log_entry *entry, const char *file,
                           sb_report *report)
{
    sb_feature feature = {.kind = SB_FEATURE_POINT, .file = file, .line = entry->line};
    const char *lon = sb_log_entry_word(entry, "lon"), *lat = sb_log_entry_word(entry, "lat");
    if (lon == NULL || lat == NULL)
        return sb_bad(report, file, entry->line,
                      "field '%s' is added but is in no field file, expected its outline in one, "
                      "or lon, lat and area_ha here",
                      entry->field);
    sb_status read = read_degrees(entry, "lon", lon, 180, file, report, &feature.place.lon_deg);
    if (read == SB_OK)
        read = read_degrees(entry, "lat", lat, 90, file, report, &feature.place.lat_deg);
    if (read != SB_OK)
        return read;
    feature.name = sb_strdup(entry->field);
    sb_status status = feature.name != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = sb_feature_add_attribute(&feature, "role", "field", entry->line);
    if (status == SB_OK)
        status = lay_words(&feature, entry, file);
    if (status == SB_OK)
        return sb_draft_add_feature(draft, &feature);
    sb_feature_release(&feature);
    return status;
}

static const char *weed_at(const void *setup, size_t i)
{
    return ((const sb_setup *)setup)->weeds[i].id;
}

/* What is no key of a field was taken to be a weed. One that is no weed either, and near no weed,
 * may be a key typed wrong; else the join says that there is no such weed. */
static sb_status doubt_words(const sb_draft *draft, const sb_log_entry *entry, const char *file,
                             sb_report *report)
{
    sb_status status = SB_OK;
    for (size_t i = 0; i < entry->words.count && status == SB_OK; i++) {
        char id[SB_MAX_WEED_ID], excerpt[SB_EXCERPT_BYTES];
        bool density;
        sb_text near = {0}, key = {0};
        if (sb_log_weed_word(&entry->words.items[i], id, &density) &&
            sb_find_weed(&draft->setup, id) < 0 &&
            !sb_text_add_near(&near, id, weed_at, &draft->setup, draft->setup.n_weeds))
            sb_log_add_field_key(&key, id);
        if (key.count > 0)
            status = sb_bad(report, file, entry->line,
                            "'%s' of field '%s' is neither a key nor a weed%s",
                            sb_excerpt(id, excerpt), entry->field, sb_text_get(&key));
        if (key.failed || near.failed)
            status = SB_ERR_NOMEM;
        sb_text_release(&near);
        sb_text_release(&key);
    }
    return status;
}

static sb_status lay_added(sb_draft *draft, const sb_log_entry *entry, const char *file,
                           sb_report *report)
{
    sb_status status = doubt_words(draft, entry, file, report);
    if (status != SB_OK)
        return status;
    return sb_draft_field(draft, entry->field) != NULL ? lay_rating(draft, entry, file, report)
                                                       : add_point(draft, entry, file, report);
}

static sb_status lay_entry(sb_draft *draft, const sb_log_entry *entry, const char *file,
                           sb_report *report)
{
    switch (entry->kind) {
    case SB_LOG_RATING:
        return lay_rating(draft, entry, file, report);
    case SB_LOG_ADDED:
        return lay_added(draft, entry, file, report);
    case SB_LOG_LOST:
        if (entry->last_day - entry->first_day > MOST_DAYS_LOST)
            return sb_bad(report, file, entry->line, "more than %d days lost at once",
                          MOST_DAYS_LOST);
        for (int day = entry->first_day; day <= entry->last_day; day++)
            if (!sb_calendar_block(&draft->setup.calendar, day))
                return SB_ERR_NOMEM;
        return SB_OK;
    default:
        return SB_OK;
    }
}

static sb_status lay_log(sb_draft *draft, const void *context, sb_report *report)
{
    const sb_log *log = context;
    sb_status worst = SB_OK;
    const char *file = sb_draft_file(draft, log->path);
    if (file == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < log->entries.count; i++) {
        const sb_log_entry *entry = &log->entries.items[i];
        if (entry->is_struck)
            continue;
        sb_status status = lay_entry(draft, entry, file, report);
        if (status == SB_ERR_NOMEM)
            return status;
        if (worst == SB_OK)
            worst = status;
    }
    return worst;
}

sb_status sb_season_read_log(const sb_log *log, const char *const *paths, size_t n_paths,
                             const sb_read_options *options, sb_report *report, sb_season **season)
{
    if (log == NULL || report == NULL)
        return SB_ERR_ARG;
    return sb_season_read_changed(paths, n_paths, options, lay_log, log, report, season);
}
