/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keys and notes that say nothing to us but nearly would. Files of others are full of keys that
 * are none of our business, so only what looks like a slip of the pen is told, once a key. */
#define _POSIX_C_SOURCE 200809L
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/mem.h"
#include "base/near.h"
#include "season/join.h"

#define MOST_KEYS 100 /* strange keys looked at; a file with more is not written by hand */
#define LONG_NAME 6   /* letters from which on two slips are believed */
#define WORD_ENDS " \t\r\n;,:=()"

static const char *const known_keys[] = {
    "crop",  "yield_t_ha", "grower", "ready",         "latest", "best_before",
    "worth", "entry",      "after",  "area_ha",       "role",   "tank_limit_seeds_kg",
    "only",  "gate_m",     "split",  "slope_percent", "field",  "patch",
    "side",  "width_m",
};
#define N_KNOWN (sizeof known_keys / sizeof *known_keys)

typedef struct strange_key {
    const sb_feature *feature; /* the first that has it */
    const sb_attribute *attribute;
    size_t count;
} strange_key;

static bool is_read(const char *key)
{
    if (strncmp(key, "weed:", 5) == 0 || strncmp(key, "limit:", 6) == 0 ||
        strncmp(key, SB_APART_KEY, sizeof SB_APART_KEY - 1) == 0)
        return true;
    for (size_t i = 0; i < N_KNOWN; i++)
        if (strcmp(key, known_keys[i]) == 0)
            return true;
    return false;
}

static bool resembles(const char *found, const char *known)
{
    return sb_edits_between(found, known) <= (strlen(known) >= LONG_NAME ? 2u : 1u);
}

/* The weed that a word is meant to be, or NULL. */
static const sb_weed *weed_meant(const sb_setup *setup, const char *word)
{
    for (size_t w = 0; w < setup->n_weeds; w++)
        if (resembles(word, setup->weeds[w].id) || resembles(word, setup->weeds[w].name))
            return &setup->weeds[w];
    return NULL;
}

/* The key that was meant, into text, which stays empty when there is none. */
static void key_meant(const sb_setup *setup, const char *key, sb_text *text)
{
    for (size_t i = 0; i < N_KNOWN; i++)
        if (resembles(key, known_keys[i])) {
            sb_text_addf(text, "%s", known_keys[i]);
            return;
        }
    static const char *const families[] = {"weed", "limit"};
    for (size_t f = 0; f < 2; f++) {
        size_t n = strlen(families[f]);
        if (strncasecmp(key, families[f], n) != 0 || key[n] == '\0' ||
            isalnum((unsigned char)key[n]))
            continue;
        const sb_weed *weed = weed_meant(setup, key + n + 1);
        if (weed != NULL)
            sb_text_addf(text, "%s:%s", families[f], weed->id);
        return;
    }
    const sb_weed *weed = weed_meant(setup, key);
    if (weed != NULL)
        sb_text_addf(text, "weed:%s", weed->id);
}

static void count_key(strange_key *keys, size_t *n, const sb_feature *feature,
                      const sb_attribute *attribute)
{
    for (size_t i = 0; i < *n; i++)
        if (strcmp(keys[i].attribute->key, attribute->key) == 0) {
            keys[i].count++;
            return;
        }
    if (*n < MOST_KEYS)
        keys[(*n)++] = (strange_key){feature, attribute, 1};
}

static sb_status warn_keys(sb_joining *join)
{
    const sb_draft *draft = join->draft;
    strange_key *keys = sb_alloc(MOST_KEYS, sizeof *keys);
    if (keys == NULL)
        return SB_ERR_NOMEM;
    size_t n = 0;
    for (size_t i = 0; i < draft->features.count; i++) {
        const sb_feature *feature = &draft->features.items[i];
        for (size_t a = 0; a < feature->attributes.count; a++)
            if (!is_read(feature->attributes.items[a].key))
                count_key(keys, &n, feature, &feature->attributes.items[a]);
    }
    sb_text meant = {0};
    for (size_t i = 0; i < n; i++) {
        sb_text_clear(&meant);
        key_meant(&join->season->setup, keys[i].attribute->key, &meant);
        if (meant.count > 0)
            sb_say(join->report, SB_WARNING, sb_join_file(keys[i].feature, keys[i].attribute),
                   keys[i].attribute->line,
                   "unknown key '%s', passed by in %zu feature%s: did you mean '%s'",
                   keys[i].attribute->key, keys[i].count, keys[i].count == 1 ? "" : "s",
                   meant.bytes);
    }
    sb_status status = meant.failed ? SB_ERR_NOMEM : SB_OK;
    sb_text_release(&meant);
    sb_free(keys);
    return status;
}

/* ---- Notes of waypoints ---- */

/* The weed that a note names, by a word like its id or by its name of several words, or NULL. */
static const sb_weed *weed_in_note(const sb_setup *setup, const char *note)
{
    for (const char *at = note + strspn(note, WORD_ENDS); *at != '\0';) {
        size_t length = strcspn(at, WORD_ENDS);
        char word[32];
        for (size_t w = 0; w < setup->n_weeds; w++) {
            size_t n = strlen(setup->weeds[w].name);
            if (strncasecmp(at, setup->weeds[w].name, n) == 0 && !isalnum((unsigned char)at[n]))
                return &setup->weeds[w];
        }
        if (length < sizeof word) {
            memcpy(word, at, length);
            word[length] = '\0';
            const sb_weed *weed = weed_meant(setup, word);
            if (weed != NULL)
                return weed;
        }
        at += length;
        at += strspn(at, WORD_ENDS);
    }
    return NULL;
}

static void warn_notes(sb_joining *join)
{
    for (size_t i = 0; i < join->draft->features.count; i++) {
        const sb_feature *feature = &join->draft->features.items[i];
        if (feature->note == NULL || sb_join_rates(feature))
            continue;
        const sb_weed *weed = weed_in_note(&join->season->setup, feature->note);
        if (weed != NULL)
            sb_say(join->report, SB_WARNING, feature->file, feature->line,
                   "waypoint '%s' names %s in its note but rates nothing, expected "
                   "weed:%s=RATING",
                   feature->name != NULL ? feature->name : "", weed->name, weed->id);
    }
}

sb_status sb_join_warn_unread(sb_joining *join)
{
    warn_notes(join);
    return warn_keys(join);
}
