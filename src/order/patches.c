/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/patches.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "read/read.h"

#define MOST_PATCHES_ALL 3 /* so many are tried in every combination */
#define EVERY 27           /* combinations of those */

typedef struct trial {
    sb_patches *patches;
    const char *const *paths;
    size_t n_paths;
    const sb_read_options *read_options;
    sb_order_options how; /* of one order */
    char **names;         /* of the patches, borrowed from the season read with all of them */
} trial;

/* ---- One combination --------------------------------------------------------------------------
 */

typedef struct saying {
    const sb_scouted_patches *scouted;
    char *const *names;
    const char *fates;
    size_t n; /* 0: as the files have them */
} saying;

/* Adds the scouted patches and says each patch's fate behind what its file says. An
 * sb_draft_change. */
static sb_status say_fates(sb_draft *draft, const void *context, sb_report *report)
{
    const saying *said = context;
    (void)report;
    if (sb_scouted_patches_add(said->scouted, &draft->setup, draft) != SB_OK)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < draft->features.count; i++) {
        sb_feature *feature = &draft->features.items[i];
        const char *role = sb_feature_attribute(feature, "role");
        if (role == NULL || strcmp(role, "patch") != 0 || feature->name == NULL)
            continue;
        for (size_t p = 0; p < said->n; p++)
            if (strcmp(feature->name, said->names[p]) == 0 &&
                sb_feature_add_attribute(feature, "patch",
                                         sb_patch_fate_word((sb_patch_fate)said->fates[p]),
                                         feature->line) != SB_OK)
                return SB_ERR_NOMEM;
    }
    return SB_OK;
}

static double value_of(const sb_patches_tried *tried)
{
    return tried->cost.total + tried->given_up;
}

static const sb_patches_tried *find(const sb_patches *patches, const char *fates)
{
    for (size_t i = 0; i < patches->tried.count; i++)
        if (memcmp(patches->tried.items[i].fates, fates, patches->n) == 0)
            return &patches->tried.items[i];
    return NULL;
}

/* Keeps what was tried, and its plan when it is the best so far. All handed over, on failure too.
 */
static sb_status keep(sb_patches *patches, sb_patches_tried tried, sb_season *season, sb_plan *plan)
{
    if (!SB_PUSH(&patches->tried, tried)) {
        sb_free(tried.fates);
        sb_plan_free(plan);
        sb_season_free(season);
        return SB_ERR_NOMEM;
    }
    size_t last = patches->tried.count - 1;
    bool better = plan != NULL &&
                  (patches->plan == NULL || value_of(&patches->tried.items[last]) <
                                                value_of(&patches->tried.items[patches->best]));
    if (!better) {
        sb_plan_free(plan);
        sb_season_free(season);
        return SB_OK;
    }
    sb_plan_free(patches->plan);
    sb_season_free(patches->season);
    patches->season = season;
    patches->plan = plan;
    patches->best = last;
    return SB_OK;
}

/* Reads and orders the season with these fates, unless it was tried before. Messages of a season
 * that is but one of many are not told. */
static sb_status try_fates(const trial *t, const char *fates)
{
    sb_patches *patches = t->patches;
    if (find(patches, fates) != NULL)
        return SB_OK;
    sb_report *unread = sb_report_new();
    sb_patches_tried tried = {.fates = sb_alloc(patches->n, 1)};
    sb_season *season = NULL;
    sb_plan *plan = NULL;
    saying said = {&patches->scouted, t->names, fates, patches->n};
    sb_status status = unread != NULL && tried.fates != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = sb_season_read_changed(t->paths, t->n_paths, t->read_options, say_fates, &said,
                                        unread, &season);
    if (status == SB_OK)
        status = sb_order(season, &t->how, unread, &plan);
    if (status == SB_OK || status == SB_ERR_INFEASIBLE) {
        memcpy(tried.fates, fates, patches->n);
        tried.cost.total = INFINITY;
        tried.proven = plan == NULL || sb_plan_optimal(plan);
        if (plan != NULL)
            tried.cost = sb_plan_cost(plan);
        for (size_t p = 0; p < patches->n; p++)
            if (fates[p] == SB_PATCH_LEAVE)
                tried.given_up += season->patches.items[p].worth;
        status = keep(patches, tried, season, plan);
    } else {
        sb_free(tried.fates);
        sb_season_free(season);
    }
    sb_report_free(unread);
    return status;
}

/* ---- All of them, or one patch after the other ------------------------------------------------
 */

static sb_status try_all(const trial *t)
{
    char fates[MOST_PATCHES_ALL];
    size_t combinations = 1;
    for (size_t p = 0; p < t->patches->n; p++)
        combinations *= SB_PATCH_FATES;
    sb_status status = SB_OK;
    for (size_t c = 0; c < combinations && status == SB_OK; c++) {
        size_t rest = c;
        for (size_t p = 0; p < t->patches->n; p++, rest /= SB_PATCH_FATES)
            fates[p] = (char)(rest % SB_PATCH_FATES);
        status = try_fates(t, fates);
    }
    return status;
}

/* Every combination that differs from the best in one patch, until none is better. */
static sb_status try_around(const trial *t, char *fates)
{
    sb_patches *patches = t->patches;
    sb_status status = try_fates(t, fates);
    for (size_t best = SIZE_MAX; status == SB_OK && best != patches->best;) {
        best = patches->best;
        for (size_t p = 0; p < patches->n && status == SB_OK; p++)
            for (int fate = 0; fate < SB_PATCH_FATES && status == SB_OK; fate++) {
                memcpy(fates, patches->tried.items[best].fates, patches->n);
                fates[p] = (char)fate;
                status = try_fates(t, fates);
            }
    }
    return status;
}

const sb_patches_tried *sb_patches_otherwise(const sb_patches *patches, size_t patch,
                                             sb_patch_fate fate)
{
    for (size_t i = 0; i < patches->tried.count; i++) {
        const char *fates = patches->tried.items[i].fates;
        const char *best = patches->tried.items[patches->best].fates;
        if (fates[patch] == (char)fate && memcmp(fates, best, patch) == 0 &&
            memcmp(fates + patch + 1, best + patch + 1, patches->n - patch - 1) == 0)
            return &patches->tried.items[i];
    }
    return NULL;
}

/* ---- The whole --------------------------------------------------------------------------------
 */

static sb_status run_trials(trial *t, const sb_season *season)
{
    sb_patches *patches = t->patches;
    size_t n = season->patches.count;
    patches->n = n;
    patches->all = n <= MOST_PATCHES_ALL;
    /* Of more patches each is tried a few times. */
    size_t trials = patches->all ? EVERY : 4 * SB_PATCH_FATES * n;
    t->how.time_limit_s /= (double)trials;
    t->names = sb_alloc(n, sizeof *t->names);
    char *fates = sb_alloc(n, 1);
    sb_status status = t->names != NULL && fates != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t p = 0; p < n && status == SB_OK; p++)
        t->names[p] = season->patches.items[p].name;
    if (status == SB_OK)
        status = patches->all ? try_all(t) : try_around(t, fates);
    sb_free(fates);
    sb_free(t->names);
    return status;
}

/* The season once more, with the patches that its scouting points outline. */
static sb_status add_scouted(const trial *t, sb_report *report, sb_season **season)
{
    sb_patches *patches = t->patches;
    sb_status status = sb_scouted_patches_find(*season, &patches->scouted);
    if (status == SB_OK && patches->scouted.count > 0) {
        sb_report *again = sb_report_new(); /* what the files are warned of was said */
        saying said = {.scouted = &patches->scouted};
        sb_season_free(*season);
        *season = NULL;
        status = again == NULL ? SB_ERR_NOMEM
                               : sb_season_read_changed(t->paths, t->n_paths, t->read_options,
                                                        say_fates, &said, again, season);
        if (status != SB_OK && again != NULL)
            sb_report_append(report, again);
        sb_report_free(again);
    }
    if (status == SB_OK && (*season)->patches.count == 0)
        status = sb_bad(report, NULL, 0,
                        "no patch in the files, expected a feature of role 'patch', or a field in "
                        "which a few scouting points rate a weed two classes above the others");
    return status;
}

sb_status sb_order_patches(const char *const *paths, size_t n_paths,
                           const sb_read_options *read_options, const sb_order_options *options,
                           sb_report *report, sb_patches **patches)
{
    if (patches == NULL)
        return SB_ERR_ARG;
    *patches = NULL;
    if (paths == NULL || n_paths == 0 || options == NULL || report == NULL)
        return SB_ERR_ARG;
    sb_season *season = NULL;
    sb_patches *made = sb_alloc(1, sizeof *made);
    sb_status status = made != NULL ? SB_OK : SB_ERR_NOMEM;
    trial t = {made, paths, n_paths, read_options, *options, NULL};
    if (status == SB_OK)
        status = sb_season_read(paths, n_paths, read_options, report, &season);
    if (status == SB_OK)
        status = add_scouted(&t, report, &season);
    if (status == SB_OK)
        status = run_trials(&t, season);
    if (status == SB_OK && made->plan == NULL) {
        /* The reason is that of the season as the files have it. */
        sb_plan *none = NULL;
        status = sb_order(season, options, report, &none);
        sb_plan_free(none);
        if (status == SB_OK)
            status = SB_ERR_INFEASIBLE;
    }
    sb_season_free(season);
    status = sb_report_settle(report, status);
    if (status == SB_OK)
        *patches = made;
    else
        sb_patches_free(made);
    return status;
}

void sb_patches_free(sb_patches *patches)
{
    if (patches == NULL)
        return;
    for (size_t i = 0; i < patches->tried.count; i++)
        sb_free(patches->tried.items[i].fates);
    sb_free(patches->tried.items);
    sb_scouted_patches_release(&patches->scouted);
    sb_plan_free(patches->plan);
    sb_season_free(patches->season);
    sb_free(patches);
}

const sb_season *sb_patches_season(const sb_patches *patches)
{
    return patches->season;
}

const sb_plan *sb_patches_plan(const sb_patches *patches)
{
    return patches->plan;
}

size_t sb_patches_scouted(const sb_patches *patches)
{
    return patches->scouted.count;
}
