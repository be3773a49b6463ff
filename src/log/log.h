/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The log of a season in progress: what was done, entry behind entry, sealed (docs/formats.md).
 *
 * An entry is a kind and its words, a key and a value each, as they stand in the file. The words
 * are what is sealed; what they mean is read from them once, here. */
#ifndef SB_LOG_LOG_H
#define SB_LOG_LOG_H

#include "base/text.h"
#include "log/moment.h"
#include "season/season.h"
#include "seedbreak.h"

#define SB_LOG_NAMESPACE "urn:seedbreak:log:1"
#define SB_SEAL_LENGTH 64 /**< hexadecimal digits of a SHA-256 */
#define SB_LOG_MAX_ENTRIES 100000

typedef enum sb_log_kind {
    SB_LOG_CUT,
    SB_LOG_CLEANOUT,
    SB_LOG_COUNTED,
    SB_LOG_RATING,
    SB_LOG_SEEDLINGS,
    SB_LOG_ADDED,
    SB_LOG_DROPPED,
    SB_LOG_AWAY,
    SB_LOG_LOST,
    SB_LOG_STRUCK,
    SB_LOG_N_KINDS,
} sb_log_kind;

/** "cut", "cleanout": the name of the element. */
const char *sb_log_kind_name(sb_log_kind kind);
/** @return false: no such kind */
bool sb_log_kind_named(const char *name, sb_log_kind *kind);

/** A key and its value, both owned. What is said of a weed has the key "weed:ID", as in a field
 * file. */
typedef struct sb_word {
    char *key, *value;
} sb_word;

typedef struct sb_log_entry {
    sb_log_kind kind;
    long number; /**< from 1 */
    size_t line;
    struct {
        sb_word *items;
        size_t count, capacity;
    } words;
    char seal[SB_SEAL_LENGTH + 1]; /**< as the file states it, "": not sealed */
    bool is_struck;                /**< a later entry says that this one does not hold */
    /* What the words mean; texts are borrowed from them and NULL when not said. */
    const char *machine, *field, *cleanout, *place, *checked_by, *why, *written;
    sb_moment at, from, to;    /**< SB_NO_MOMENT: not said */
    int first_day, last_day;   /**< of days lost; SB_NO_DAY */
    double ha;                 /**< as the machine counted it, NAN: not said */
    double left_ha;            /**< left standing, NAN: nothing */
    bool part;                 /**< the field is not finished: `ha` of it are */
    double minutes;            /**< NAN: not said */
    double tarp_kg, sample_kg; /**< seeds were counted in so much of so much; NAN: in all of it */
    double strip_m;            /**< seedlings: metres of the first pass that were walked */
    double width_m;            /**< of it across; NAN: as wide as the header */
    long strikes;              /**< SB_LOG_STRUCK: number of the entry that does not hold */
    long counts;  /**< SB_LOG_COUNTED: number of the cleanout whose tarp was counted later */
    bool recount; /**< SB_LOG_COUNTED: holds against earlier counts of that tarp */
    long before; /**< forgotten until it was written: number of the entry that it came before; 0: it
                    came behind those written before it */
    size_t happened; /**< in the order in which things happened, from 0 */
} sb_log_entry;

struct sb_log {
    char *path;
    struct {
        sb_log_entry *items;
        size_t count, capacity;
    } entries;
    struct {
        size_t *items;
        size_t count, capacity;
    } order;                       /**< indices of the entries as they happened */
    char seal[SB_SEAL_LENGTH + 1]; /**< of the last entry, or of the empty log */
    size_t unsealed;               /**< entries that bear no seal */
};

/** Adds which keys of a field that is added may have been meant: ": did you mean 'crop'"; nothing
 * when none is near. */
void sb_log_add_field_key(sb_text *text, const char *wanted);

void sb_log_entry_release(sb_log_entry *entry);
/** Adds a word, copied. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_log_entry_say(sb_log_entry *entry, const char *key, const char *value);
/** The value of a word, or NULL. */
const char *sb_log_entry_word(const sb_log_entry *entry, const char *key);

/** Reads the meaning of an entry's words: every word is one that its kind may have, has a value of
 * its sort, and none that it needs is missing.
 * @param file for messages, with entry->line
 * @return SB_OK; SB_ERR_INPUT (reported) */
sb_status sb_log_entry_understand(sb_log_entry *entry, const char *file, sb_report *report);

/** What is said of weeds: word i is "weed:ID" or "weed:ID:plants_m2".
 * @param id [out] ID without the rest
 * @param density [out] it is "plants_m2"
 * @return false: the word says nothing of a weed; SB_MAX_WEED_ID bounds the id */
#define SB_MAX_WEED_ID 64
bool sb_log_weed_word(const sb_word *word, char id[SB_MAX_WEED_ID], bool *density);

/** The seal of an entry on top of the seal before it: SHA-256 over that, the kind and all words in
 * alphabetical order. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_log_seal(const char *seal_before, const sb_log_entry *entry,
                      char seal[SB_SEAL_LENGTH + 1]);
/** The seal that the first entry builds on. */
void sb_log_first_seal(char seal[SB_SEAL_LENGTH + 1]);

/** An entry as XML, on one line. */
void sb_log_entry_xml(const sb_log_entry *entry, sb_text *text);

/** When what an entry tells began, as far as it says: else when it ended, or was seen. */
static inline sb_moment sb_log_begun(const sb_log_entry *entry)
{
    return entry->from != SB_NO_MOMENT ? entry->from
           : entry->to != SB_NO_MOMENT ? entry->to
                                       : entry->at;
}

/** Puts an entry behind the others, its words handed over: its number is the next, and an entry
 * that strikes another marks that one, and with a cleanout the later counts of its tarp. One that
 * was forgotten takes its place in the order before the entry that it names. On failure the entry
 * is released.
 * @return SB_OK; SB_ERR_INPUT (the seal is wrong, the number is not the next, there is nothing to
 *         strike, to count or to come before: reported); SB_ERR_NOMEM */
sb_status sb_log_push(sb_log *log, sb_log_entry *entry, sb_report *report);

/** The log as it was after its first n entries: what was struck later holds in it.
 * @param uncounted leave out what was counted and weighed on the tarp of the last of them
 * @param first     [out] the caller frees it with sb_log_free
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_log_first(const sb_log *log, size_t n, bool uncounted, sb_report *report,
                       sb_log **first);

/** Seeds or seedlings of a weed that an entry says were counted; NAN: it says nothing of it. */
double sb_log_entry_count(const sb_log_entry *entry, const char *weed_id);
/** What was counted of a weed on the tarp of a cleanout: the newest entry that says so, the
 * cleanout itself or a later count.
 * @param cleanout index of the cleanout
 * @return index of that entry; SIZE_MAX: nobody counted it */
size_t sb_log_count_of(const sb_log *log, size_t cleanout, const char *weed_id);
/** What lay on the tarp of a cleanout, kg; NAN: nobody weighed it. @param entry [out] that says so
 */
double sb_log_tarp_kg(const sb_log *log, size_t cleanout, size_t *entry);
/** The share of the tarp that was looked through for the count of an entry, 1: all of it. */
double sb_log_counted_share(const sb_log *log, size_t cleanout, size_t entry);
/** Can an entry that counts a tarp stand behind the log's entries: is there such a cleanout, and
 * was nothing of it counted, unless this is a recount? @return SB_OK; SB_ERR_INPUT (reported) */
sb_status sb_log_check_count(const sb_log *log, const sb_log_entry *entry, sb_report *report);

/** An empty log of that path. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_log_new(const char *path, sb_log **log);

/** docs/log.rng, built into the library. */
extern const char sb_log_schema[];

#endif
