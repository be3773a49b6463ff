/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What made a season dearer or cheaper than an earlier plan said, entry by entry: each time the
 * season as it stood after that entry is priced going on in the earlier plan's order, with the best
 * cleanouts for it. What two such prices differ by is the entry's. */
#include <math.h>

#include "base/mem.h"
#include "base/report.h"
#include "log/resume.h"

typedef struct account {
    sb_resumed *resumed;
    const sb_resumed_files *files;
    const char *plan;
    double money; /* of the season as far as it is told */
    bool work;    /* entries of cutting and cleaning have come since */
} account;

/* What the season as far as a part of the log tells it costs in all. */
static sb_status price_part(const account *a, const sb_season *season, const sb_log *part,
                            sb_report *unread, double *money)
{
    sb_resumed *stands = NULL;
    sb_plan_stated stated;
    const char *waited = a->resumed->waited;
    double to_come = NAN;
    sb_status status = sb_resume(season, part, waited[0] != '\0' ? waited : NULL, unread, &stands);
    if (status == SB_OK)
        status = sb_resumed_set_earlier(stands, a->plan, unread, &stated);
    if (status == SB_OK)
        status = sb_resumed_price_going_on(stands, &to_come);
    if (status == SB_OK)
        *money = sb_resumed_in_all(stands, to_come);
    sb_resumed_free(stands);
    return status;
}

/* The same after the first n entries. A season that cannot be read that far, because its files
 * lean on later entries, costs NAN.
 * @param uncounted without what lay on the tarp of the last of them */
static sb_status price_after(const account *a, size_t n, bool uncounted, double *money)
{
    const sb_resumed_files *files = a->files;
    sb_season *season = NULL, *learned = NULL;
    sb_log *part = NULL;
    sb_report *unread = sb_report_new();
    if (unread == NULL)
        return SB_ERR_NOMEM;
    *money = NAN;
    sb_status status = sb_log_first(a->resumed->state.log, n, uncounted, unread, &part);
    if (status == SB_OK)
        status =
            sb_season_read_log(part, files->paths, files->n_paths, files->read, unread, &season);
    if (status == SB_OK && files->learn != NULL)
        status = sb_learn(season, part, files->learn, unread, &learned);
    if (status == SB_OK)
        status = price_part(a, learned != NULL ? learned : season, part, unread, money);
    sb_season_free(learned);
    sb_season_free(season);
    sb_log_free(part);
    sb_report_free(unread);
    return status == SB_ERR_INPUT ? SB_OK : status;
}

/* Dearer by how much, when the season is told further and now costs so much. */
static double dearer(account *a, double money)
{
    double before = a->money;
    a->money = money;
    if (isinf(money) && isfinite(before))
        return INFINITY;
    return isinf(money) || isinf(before) ? NAN : money - before;
}

static bool put(account *a, sb_change_kind kind, size_t entry, double money)
{
    sb_change change = {kind, entry, dearer(a, money)};
    return SB_PUSH(&a->resumed->changes, change);
}

/* Work adds up: there is one change for all of it. */
static bool put_work(account *a, double money)
{
    a->work = false;
    for (size_t i = 0; i < a->resumed->changes.count; i++) {
        sb_change *work = &a->resumed->changes.items[i];
        if (work->kind != SB_CHANGE_WORK)
            continue;
        double more = dearer(a, money);
        work->money = isinf(work->money) || isinf(more) ? INFINITY : work->money + more;
        return true;
    }
    return put(a, SB_CHANGE_WORK, 0, money);
}

static bool is_counted(const sb_log_entry *entry)
{
    char id[SB_MAX_WEED_ID];
    bool density;
    for (size_t i = 0; i < entry->words.count; i++)
        if (sb_log_weed_word(&entry->words.items[i], id, &density))
            return true;
    return !isnan(entry->tarp_kg);
}

/* Does the entry say what was found, rather than what happened? One that strikes such an entry
 * does too. */
static bool is_found(const sb_log *log, const sb_log_entry *entry)
{
    if (entry->kind == SB_LOG_STRUCK)
        entry = &log->entries.items[entry->strikes - 1];
    return entry->kind == SB_LOG_RATING || entry->kind == SB_LOG_COUNTED ||
           entry->kind == SB_LOG_SEEDLINGS || (entry->kind == SB_LOG_CLEANOUT && is_counted(entry));
}

/* Prices what was cut and cleaned until before the n-th entry by itself. */
static sb_status settle_work(account *a, size_t n, bool uncounted)
{
    double money;
    if (!a->work)
        return SB_OK;
    sb_status status = price_after(a, n, uncounted, &money);
    return status == SB_OK && !put_work(a, money) ? SB_ERR_NOMEM : status;
}

static sb_status tell_entry(account *a, size_t index)
{
    const sb_log *log = a->resumed->state.log;
    const sb_log_entry *entry = &log->entries.items[index];
    bool cleanout = entry->kind == SB_LOG_CLEANOUT, found = is_found(log, entry);
    double money;
    if ((entry->kind == SB_LOG_CUT && isnan(entry->left_ha)) || (cleanout && !found)) {
        a->work = true;
        return SB_OK;
    }
    a->work |= cleanout;
    sb_status status = settle_work(a, cleanout ? index + 1 : index, cleanout);
    if (status == SB_OK)
        status = price_after(a, index + 1, false, &money);
    if (status == SB_OK && !put(a, found ? SB_CHANGE_FOUND : SB_CHANGE_HAPPENED, index, money))
        status = SB_ERR_NOMEM;
    return status;
}

sb_status sb_resumed_account(sb_resumed *resumed, const char *earlier_plan,
                             const sb_resumed_files *files, sb_report *report)
{
    if (resumed == NULL || earlier_plan == NULL || files == NULL || report == NULL ||
        !resumed->compared)
        return SB_ERR_ARG;
    account a = {
        .resumed = resumed, .files = files, .plan = earlier_plan, .money = resumed->planned};
    double money;
    size_t n = resumed->state.log->entries.count;
    resumed->changes.count = 0;
    if (isnan(resumed->planned) || isnan(resumed->going_on))
        return SB_OK;
    sb_status status = price_after(&a, resumed->since, false, &money);
    if (status == SB_OK && !isfinite(money))
        return SB_OK; /* with the files of today that plan keeps no rules, or cannot be read */
    if (status == SB_OK && !put(&a, SB_CHANGE_FILES, 0, money))
        status = SB_ERR_NOMEM;
    for (size_t i = resumed->since; i < n && status == SB_OK; i++)
        status = tell_entry(&a, i);
    if (status == SB_OK)
        status = settle_work(&a, n, false);
    double to_come = sb_resumed_to_come(resumed);
    if (status == SB_OK &&
        (!put(&a, SB_CHANGE_WAIT, 0, sb_resumed_in_all(resumed, resumed->going_on)) ||
         !put(&a, SB_CHANGE_ORDER, 0, sb_resumed_in_all(resumed, to_come))))
        status = SB_ERR_NOMEM;
    return sb_report_settle(report, status);
}
