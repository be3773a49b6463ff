/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "read/read.h"

#include <libxml/parser.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/archive.h"
#include "read/document.h"
#include "read/travel_csv.h"

static sb_status read_file(sb_draft *draft, const char *path, sb_report *report);

/* A memory stick from a terminal: the folder itself is named. */
static sb_status read_folder(sb_draft *draft, const char *path, sb_report *report)
{
    static const char *const names[] = {"TASKDATA.XML", "taskdata.xml", "TASKDATA/TASKDATA.XML"};
    sb_status status = SB_ERR_INPUT;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        sb_text inside = {0};
        sb_text_addf(&inside, "%s/%s", path, names[i]);
        bool found = !inside.failed && access(inside.bytes, F_OK) == 0;
        status = inside.failed ? SB_ERR_NOMEM : SB_ERR_INPUT;
        if (found)
            status = read_file(draft, inside.bytes, report);
        sb_text_release(&inside);
        if (found || status == SB_ERR_NOMEM)
            return status;
    }
    return sb_bad(report, path, 0,
                  "a folder without TASKDATA.XML, expected a field, scouting or season file");
}

/* What the first bytes give away. */
static sb_status read_opened(sb_draft *draft, sb_source *source, sb_report *report)
{
    char magic[4];
    long n = sb_source_fill(source, magic, sizeof magic);
    if (n < 0)
        return sb_source_failed(source, report);
    if (n == 0)
        return sb_bad(report, source->name, 0,
                      "empty file, expected a KML, GPX, TASKDATA or season file");
    if (n >= 2 && memcmp(magic, "\x1f\x8b", 2) == 0)
        return sb_bad(report, source->name, 0, "gzip data, expected plain XML: unpack it first");
    if (n == 4 && memcmp(magic, "PK", 2) == 0 && magic[2] < ' ')
        return sb_archive_read(draft, source->name, report);
    sb_container beside = sb_container_of_file(source->name);
    return sb_document_read(draft, source, &beside, report);
}

static sb_status read_file(sb_draft *draft, const char *path, sb_report *report)
{
    struct stat info;
    if (stat(path, &info) == 0 && S_ISDIR(info.st_mode))
        return read_folder(draft, path, report);
    const char *file = sb_draft_file(draft, path);
    if (file == NULL)
        return SB_ERR_NOMEM;
    sb_source source;
    sb_status status = sb_source_open(&source, file, report);
    if (status != SB_OK)
        return status;
    status = read_opened(draft, &source, report);
    source.close(&source);
    return status;
}

/* Is path i one of those before it, by whatever name? */
static bool given_before(const char *const *paths, size_t i)
{
    struct stat one, other;
    if (stat(paths[i], &one) != 0)
        return false;
    for (size_t j = 0; j < i; j++)
        if (stat(paths[j], &other) == 0 && one.st_dev == other.st_dev && one.st_ino == other.st_ino)
            return true;
    return false;
}

static sb_status lay_over(sb_draft *draft, const sb_feature *overlay, sb_report *report)
{
    sb_feature *field = sb_draft_field(draft, overlay->name);
    if (field == NULL)
        return sb_draft_no_field(draft, overlay->name, overlay->file, overlay->line, report);
    for (size_t i = 0; i < overlay->attributes.count; i++) {
        const sb_attribute *attribute = &overlay->attributes.items[i];
        sb_status status =
            sb_feature_add_attribute(field, attribute->key, attribute->value, attribute->line);
        if (status != SB_OK)
            return status;
        field->attributes.items[field->attributes.count - 1].file = overlay->file;
    }
    return SB_OK;
}

/* Takes the overlays out of the features and lays them over the fields. */
static sb_status lay_all_over(sb_draft *draft, sb_report *report)
{
    sb_status worst = SB_OK;
    for (size_t i = 0; i < draft->features.count; i++) {
        if (draft->features.items[i].kind != SB_FEATURE_OVERLAY)
            continue;
        sb_status status = lay_over(draft, &draft->features.items[i], report);
        if (worst == SB_OK || status == SB_ERR_NOMEM)
            worst = status;
    }
    size_t kept = 0;
    for (size_t i = 0; i < draft->features.count; i++) {
        if (draft->features.items[i].kind == SB_FEATURE_OVERLAY)
            sb_feature_release(&draft->features.items[i]);
        else
            draft->features.items[kept++] = draft->features.items[i];
    }
    draft->features.count = kept;
    return worst;
}

/* Numbers that earlier seasons taught, once the season file has said its own. What is about nothing
 * in this season, or about another number, is left out. */
static void apply_learned(sb_draft *draft, sb_report *report)
{
    sb_factors *learned = &draft->learned;
    size_t kept = 0;
    for (size_t i = 0; i < learned->count; i++) {
        sb_factor factor = learned->items[i];
        double found;
        if (sb_factor_apply(&factor, &draft->setup, &found)) {
            learned->items[kept++] = factor;
            continue;
        }
        if (isnan(found))
            sb_say(report, SB_WARNING, draft->learned_file, factor.line,
                   "%s of '%s' was learned, but this season has no '%s'; left out",
                   sb_number_key(factor.what), factor.of, factor.of);
        else
            sb_say(report, SB_WARNING, draft->learned_file, factor.line,
                   "%s of '%s' was learned where it was %g, but the season file says %g: that "
                   "holds",
                   sb_number_key(factor.what), factor.of, factor.used, found);
        sb_free(factor.of);
    }
    learned->count = kept;
}

sb_status sb_draft_read(sb_draft *draft, const char *const *paths, size_t n,
                        const sb_read_options *options, sb_report *report)
{
    if (draft == NULL || report == NULL || paths == NULL || n == 0)
        return SB_ERR_ARG;
    xmlInitParser(); /* safe to call from several threads and more than once */
    sb_status worst = SB_OK;
    for (size_t i = 0; i < n; i++) {
        sb_status status = given_before(paths, i) ? sb_bad(report, paths[i], 0,
                                                           "given twice, expected every file once")
                                                  : read_file(draft, paths[i], report);
        if (status == SB_ERR_NOMEM)
            return status;
        if (worst == SB_OK)
            worst = status;
    }
    if (options != NULL && options->travel_csv != NULL) {
        sb_status status = sb_travel_read(draft, options->travel_csv, report);
        if (worst == SB_OK || status == SB_ERR_NOMEM)
            worst = status;
    }
    if (worst == SB_OK)
        worst = lay_all_over(draft, report);
    if (worst == SB_OK)
        apply_learned(draft, report);
    return worst;
}
