/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Adding to a log, so that nothing written is ever lost.
 *
 * The new log is written under a temporary name, forced to the disk and renamed over the old one,
 * under a lock on the log itself: whoever is killed at whatever moment leaves the old log or the
 * new one, whole. Who waited for the lock finds that the name now means another file, and begins
 * anew with that one. */
#define _GNU_SOURCE /* flock */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/report.h"
#include "log/season.h"
#include "season/named.h"
#include "write/file.h"

#define CLOSING_TAG "</log>"
#define OPENING                                    \
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" \
    "<log xmlns=\"" SB_LOG_NAMESPACE "\">\n"

/* A log locked against other writers. */
typedef struct locked_log {
    char *folder;
    const char *name;
    char *path;  /* without symbolic links: the rename must hit the file, not a link to it */
    int handle;  /* -1: there is no log yet */
    mode_t mode; /* of the file that is replaced */
} locked_log;

static void unlock(locked_log *locked)
{
    if (locked->handle >= 0)
        (void)close(locked->handle);
    sb_free(locked->folder);
    sb_free(locked->path);
    *locked = (locked_log){.handle = -1};
}

/* Is the file that was locked still the one of that name? */
static bool still_named(const locked_log *locked)
{
    struct stat now, held;
    return fstat(locked->handle, &held) == 0 && stat(locked->path, &now) == 0 &&
           now.st_dev == held.st_dev && now.st_ino == held.st_ino;
}

static sb_status split(locked_log *locked, const char *path)
{
    char *real = realpath(path, NULL);
    locked->path = sb_strdup(real != NULL ? real : path);
    free(real);
    if (locked->path == NULL)
        return SB_ERR_NOMEM;
    const char *slash = strrchr(locked->path, '/');
    locked->folder = slash == NULL ? sb_strdup(".")
                     : slash == locked->path
                         ? sb_strdup("/")
                         : sb_strndup(locked->path, (size_t)(slash - locked->path));
    locked->name = slash != NULL ? slash + 1 : locked->path;
    return locked->folder != NULL ? SB_OK : SB_ERR_NOMEM;
}

static sb_status lock(locked_log *locked, const char *path, sb_report *report)
{
    *locked = (locked_log){.handle = -1};
    sb_status status = split(locked, path);
    while (status == SB_OK) {
        locked->handle = open(locked->path, O_RDWR | O_CLOEXEC);
        if (locked->handle < 0)
            return errno == ENOENT ? SB_OK : sb_bad_system(report, path, "cannot write this log");
        struct stat info;
        /* Some network file systems know no locks; there two writers at once may lose one. */
        while (flock(locked->handle, LOCK_EX) != 0 && errno == EINTR)
            continue;
        if (fstat(locked->handle, &info) == 0 && !S_ISREG(info.st_mode))
            return sb_bad(report, path, 0, "not a file, expected a log");
        locked->mode = info.st_mode & 07777;
        if (still_named(locked))
            return SB_OK;
        (void)close(locked->handle);
    }
    return status;
}

/* ---- The new text ---------------------------------------------------------------------------- */

/* The log's bytes up to its closing tag; a new log's beginning when it has none. */
static sb_status read_before(const locked_log *locked, sb_text *text, sb_report *report)
{
    char bytes[4096];
    ssize_t got = 0;
    while (locked->handle >= 0 && (got = read(locked->handle, bytes, sizeof bytes)) > 0)
        sb_text_add(text, bytes, (size_t)got);
    if (got < 0)
        return sb_bad_system(report, locked->path, "cannot read");
    if (text->failed)
        return SB_ERR_NOMEM;
    char *end = NULL;
    for (char *tag = text->bytes; tag != NULL && (tag = strstr(tag, CLOSING_TAG)) != NULL; tag++)
        end = tag;
    if (end == NULL) { /* new, or without an entry: "<log .../>" */
        sb_text_clear(text);
        sb_text_addf(text, "%s", OPENING);
    } else {
        text->count = (size_t)(end - text->bytes);
    }
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}

/* The moment of writing, UTC; SOURCE_DATE_EPOCH stands in for it where results must repeat. */
static void stamp_now(char out[21])
{
    const char *fixed = getenv("SOURCE_DATE_EPOCH");
    long seconds;
    time_t now =
        fixed != NULL && sb_parse_long(fixed, 0, LONG_MAX, &seconds) ? (time_t)seconds : time(NULL);
    struct tm utc;
    if (gmtime_r(&now, &utc) == NULL || strftime(out, 21, "%Y-%m-%dT%H:%M:%SZ", &utc) == 0)
        out[0] = '\0';
}

/* A name typed short: what it may stand for. */
typedef struct short_name {
    const char *typed;
    const char *exact, *begins; /* NULL: none */
    size_t n;                   /* names that begin like it */
    sb_text names;              /* these */
} short_name;

static void compare(short_name *wanted, const char *name)
{
    if (strcmp(wanted->typed, name) == 0)
        wanted->exact = name;
    if (strncasecmp(wanted->typed, name, strlen(wanted->typed)) != 0)
        return;
    wanted->begins = name;
    sb_text_addf(&wanted->names, "%s'%s'", wanted->n++ > 0 ? ", " : "", name);
}

static void compare_all(short_name *wanted, const sb_season *season, const char *key)
{
    const sb_setup *setup = &season->setup;
    bool place = strcmp(key, "place") == 0;
    for (size_t i = 0; i < season->n_yards && place; i++)
        compare(wanted, season->yards[i].name);
    for (size_t i = 0; i < season->n_fields && (place || strcmp(key, "field") == 0); i++)
        compare(wanted, season->fields[i].name);
    for (size_t i = 0; i < setup->n_cleanouts && strcmp(key, "cleanout") == 0; i++)
        compare(wanted, setup->cleanouts[i].id);
}

/* What was typed in the names of the season: itself, or the only name that begins like it, upper
 * and lower case alike. What stands for nothing stays as it is: the replay says what is wrong. */
static sb_status full_name(const sb_season *season, const char *key, const char *typed,
                           const char *file, sb_report *report, const char **name)
{
    short_name wanted = {.typed = typed};
    sb_status status = SB_OK;
    int machine;
    if (strcmp(key, "machine") == 0) {
        status = sb_machine_named(season, typed, file, report, &machine);
        *name = status == SB_OK ? season->setup.machines[machine].id : typed;
        return status;
    }
    compare_all(&wanted, season, key);
    *name = wanted.exact != NULL ? wanted.exact : wanted.n == 1 ? wanted.begins : typed;
    if (wanted.exact == NULL && wanted.n > 1)
        status = sb_bad(report, file, 0, "%s '%s' may be one of %s, expected more of its name", key,
                        typed, sb_text_get(&wanted.names));
    sb_text_release(&wanted.names);
    return status;
}

/* Whose work it was: the only machine's, else it has to be said. */
static sb_status say_machine(const sb_season *season, const char *file, sb_log_entry *entry,
                             sb_report *report)
{
    if (season->setup.n_machines == 1)
        return sb_log_entry_say(entry, "machine", season->setup.machines[0].id);
    sb_text names = {0};
    sb_add_machine_names(season, &names);
    sb_status status =
        sb_bad(report, file, 0, "an entry '%s' without 'machine' (--machine), expected one of %s",
               sb_log_kind_name(entry->kind), sb_text_get(&names));
    sb_text_release(&names);
    return status;
}

/* The first entry, as things happened, that work which was forgotten came before by the clock: of
 * the same machine, or about the field that was cut. NULL: none. */
static const sb_log_entry *first_later(const sb_log *log, const sb_log_entry *work)
{
    for (size_t i = 0; i < log->order.count; i++) {
        const sb_log_entry *entry = &log->entries.items[log->order.items[i]];
        bool same_machine = entry->machine != NULL && strcmp(entry->machine, work->machine) == 0;
        bool about_field = entry->kind == SB_LOG_CUT || entry->kind == SB_LOG_DROPPED;
        bool same_field =
            work->field != NULL && about_field && strcmp(entry->field, work->field) == 0;
        if (!entry->is_struck && (same_machine || same_field) && sb_log_begun(entry) >= work->to)
            return entry;
    }
    return NULL;
}

/* Says of forgotten work where it belongs; work that nothing followed belongs at the end. */
static sb_status say_before(const sb_log *log, sb_log_entry *entry, sb_report *report)
{
    const sb_log_entry *later = entry->machine != NULL ? first_later(log, entry) : NULL;
    char number[24];
    if (later == NULL)
        return SB_OK;
    snprintf(number, sizeof number, "%ld", later->number);
    sb_status status = sb_log_entry_say(entry, "before", number);
    return status == SB_OK ? sb_log_entry_understand(entry, log->path, report) : status;
}

/* The new entry, numbered, stamped and sealed; its text goes behind the others. */
static sb_status add_entry(sb_log *log, const sb_log_said *said, bool forgotten,
                           const sb_season *season, sb_text *text, sb_report *report)
{
    char excerpt[SB_EXCERPT_BYTES], stamp[21];
    sb_log_entry entry = {.number = (long)log->entries.count + 1};
    sb_status status = SB_OK;
    if (!sb_log_kind_named(said->kind, &entry.kind))
        status = sb_bad(report, log->path, 0, "no entry '%s'", sb_excerpt(said->kind, excerpt));
    bool wants_machine =
        entry.kind == SB_LOG_CUT || entry.kind == SB_LOG_CLEANOUT || entry.kind == SB_LOG_AWAY;
    bool is_new_place = false;
    for (size_t i = 0; entry.kind == SB_LOG_ADDED && i < said->n_words; i++)
        is_new_place |= strcmp(said->words[i].key, "lon") == 0;
    for (size_t i = 0; status == SB_OK && i < said->n_words; i++) {
        wants_machine &= strcmp(said->words[i].key, "machine") != 0;
        const char *value = said->words[i].value;
        if (!is_new_place) /* a new field may begin like an old one */
            status = full_name(season, said->words[i].key, value, log->path, report, &value);
        if (status == SB_OK)
            status = sb_log_entry_say(&entry, said->words[i].key, value);
    }
    if (status == SB_OK && wants_machine)
        status = say_machine(season, log->path, &entry, report);
    stamp_now(stamp);
    if (status == SB_OK)
        status = sb_log_entry_say(&entry, "written", stamp);
    if (status == SB_OK)
        status = sb_log_entry_understand(&entry, log->path, report);
    if (status == SB_OK && forgotten)
        status = say_before(log, &entry, report);
    if (status == SB_OK && entry.checked_by == NULL &&
        (entry.kind == SB_LOG_CLEANOUT || entry.kind == SB_LOG_COUNTED))
        status = sb_bad(report, log->path, 0,
                        entry.kind == SB_LOG_CLEANOUT
                            ? "a cleanout without 'checked_by' (--by), expected who looked that it "
                              "was done"
                            : "a count without 'checked_by' (--by), expected who counted");
    if (status == SB_OK)
        status = sb_log_seal(log->seal, &entry, entry.seal);
    if (status != SB_OK) {
        sb_log_entry_release(&entry);
        return status;
    }
    sb_log_entry_xml(&entry, text);
    return sb_log_push(log, &entry, report);
}

/* ---- Onto the disk ----------------------------------------------------------------------------
 */

/* A new log gets its name only if nobody has given it to another meanwhile.
 * @return SB_OK with *taken true when somebody has */
static sb_status place_new(const sb_prepared_file *file, const char *path, bool *taken,
                           sb_report *report)
{
    *taken = false;
    if (link(file->temporary.bytes, path) == 0)
        return SB_OK; /* sb_file_release takes the temporary name away */
    *taken = errno == EEXIST;
    return *taken ? SB_OK : sb_bad_system(report, path, "cannot write this log");
}

static sb_status store(const locked_log *locked, const sb_text *text, bool *taken,
                       sb_report *report)
{
    sb_prepared_file file;
    *taken = false;
    sb_status status =
        sb_file_prepare(&file, locked->folder, locked->name, text->bytes, text->count, report);
    if (status == SB_OK && locked->handle >= 0) {
        (void)fchmod(file.handle, locked->mode);
        status = sb_file_place(&file, report);
    } else if (status == SB_OK) {
        status = place_new(&file, locked->path, taken, report);
        sb_sync_folder(locked->folder);
    }
    sb_file_release(&file);
    return status;
}

static bool says(const sb_report *report, const sb_message *wanted)
{
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message message = sb_report_get(report, i);
        if (message.line == wanted->line && strcmp(message.text, wanted->text) == 0)
            return true;
    }
    return false;
}

/* What was said of the new entries, which stand in no line yet, and of older ones that only these
 * put in doubt; the rest was said before.
 * @param before what was doubted without them; NULL: the older ones are as they were */
static void tell_new(const sb_log *log, const sb_report *said, const sb_report *before,
                     sb_report *report)
{
    for (size_t i = 0; i < sb_report_count(said); i++) {
        sb_message message = sb_report_get(said, i);
        bool is_new = message.line == 0 || (before != NULL && !says(before, &message));
        if (message.file != NULL && is_new && strcmp(message.file, log->path) == 0)
            sb_say(report, message.severity, message.file, message.line, "%s", message.text);
    }
}

/* What is doubtful about the first n entries. */
static sb_status doubt_first(const sb_season *season, const sb_log *log, size_t n, sb_report *said)
{
    sb_log *first = NULL;
    sb_log_state state = {0};
    sb_status status = sb_log_first(log, n, false, said, &first);
    if (status == SB_OK)
        status = sb_log_replay(season, first, said, &state);
    if (status == SB_OK)
        sb_log_say_doubts(&state, said);
    sb_log_state_release(&state);
    sb_log_free(first);
    return status;
}

/* Why nothing was written; what else is doubtful about the files is said by other commands. */
static void tell_errors(const sb_report *said, sb_report *report)
{
    for (size_t i = 0; i < sb_report_count(said); i++) {
        sb_message message = sb_report_get(said, i);
        if (message.severity == SB_ERROR)
            sb_say(report, SB_ERROR, message.file, message.line, "%s", message.text);
    }
}

/* Is the season with these entries one that can have happened?
 * @param first index of the first new one */
static sb_status judge(const sb_log_addition *addition, const sb_log *log, size_t first,
                       sb_report *report)
{
    sb_season *season = NULL;
    sb_log_state state = {0};
    sb_report *said = sb_report_new(), *before = sb_report_new();
    sb_status status = said != NULL && before != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = sb_season_read_log(log, addition->files, addition->n_files, addition->options,
                                    said, &season);
    if (status == SB_OK)
        status = sb_log_replay(season, log, said, &state);
    for (size_t i = first; i < log->entries.count && status == SB_OK; i++) {
        status = sb_log_check_new(&state, i, said);
        if (status == SB_OK && log->entries.items[i].kind == SB_LOG_ADDED)
            status = sb_log_check_place(season, log, &log->entries.items[i], said);
    }
    /* A season that the log does not fit without them has nothing to compare with. */
    bool older =
        status == SB_OK && addition->forgotten && doubt_first(season, log, first, before) == SB_OK;
    if (status == SB_OK) {
        sb_log_say_doubts(&state, said);
        tell_new(log, said, older ? before : NULL, report);
    } else if (said != NULL) {
        tell_errors(said, report);
    }
    if (said != NULL)
        status = sb_report_settle(said, status);
    sb_log_state_release(&state);
    sb_season_free(season);
    sb_report_free(before);
    sb_report_free(said);
    return status;
}

/* One attempt; *again: another writer made the log between our look and our writing.
 * @param added NULL: nothing is to be written */
static sb_status add_once(const sb_log_addition *addition, sb_report *report, sb_log_added *added,
                          bool *again)
{
    locked_log locked;
    sb_log *log = NULL;
    sb_text text = {0};
    sb_season *season = NULL;
    *again = false;
    sb_report *unread = sb_report_new(); /* its warnings come again when all is judged */
    if (unread == NULL)
        return SB_ERR_NOMEM;
    sb_status status = lock(&locked, addition->log_path, report);
    if (status == SB_OK)
        status = locked.handle >= 0 ? sb_log_read(addition->log_path, report, &log)
                                    : sb_log_new(addition->log_path, &log);
    if (status == SB_OK)
        status = read_before(&locked, &text, report);
    if (status == SB_OK)
        status = sb_season_read_log(log, addition->files, addition->n_files, addition->options,
                                    unread, &season);
    if (status != SB_OK)
        tell_errors(unread, report);
    size_t before = log != NULL ? log->entries.count : 0;
    for (size_t i = 0; status == SB_OK && i < addition->n_entries; i++)
        status = add_entry(log, &addition->entries[i], addition->forgotten, season, &text, report);
    if (status == SB_OK)
        status = judge(addition, log, before, report);
    if (status == SB_OK && added != NULL) {
        sb_text_addf(&text, CLOSING_TAG "\n");
        status = text.failed ? SB_ERR_NOMEM : store(&locked, &text, again, report);
    }
    if (status == SB_OK && added != NULL && !*again) {
        added->first = before + 1;
        added->count = log->entries.count - before;
        memcpy(added->seal, log->seal, sizeof added->seal);
    }
    sb_season_free(season);
    sb_report_free(unread);
    sb_text_release(&text);
    sb_log_free(log);
    unlock(&locked);
    return status;
}

sb_status sb_log_try(const sb_log_addition *addition, sb_report *report)
{
    bool again;
    if (addition == NULL || report == NULL || addition->log_path == NULL ||
        addition->n_entries == 0)
        return SB_ERR_ARG;
    return sb_report_settle(report, add_once(addition, report, NULL, &again));
}

sb_status sb_log_add(const sb_log_addition *addition, sb_report *report, sb_log_added *added)
{
    if (addition == NULL || report == NULL || added == NULL || addition->log_path == NULL ||
        addition->n_entries == 0)
        return SB_ERR_ARG;
    bool again = true;
    sb_status status = SB_OK;
    while (status == SB_OK && again)
        status = add_once(addition, report, added, &again);
    return sb_report_settle(report, status);
}
