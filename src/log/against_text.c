/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rest of a season against an earlier plan, in words and tables. */
#include <math.h>

#include "log/resume.h"
#include "log/words.h"
#include "write/columns.h"
#include "write/words.h"

#define ORDER 36 /* columns */
#define ENTRY 58
#define MONEY 16
#define ENTRY_LINES 4

/* Money to the cent would be noise where minutes of the log were rounded. */
#define SAME_MONEY 0.5

typedef struct page {
    const sb_resumed *resumed;
    sb_text *text;
} page;

/* ---- Both orders ------------------------------------------------------------------------------
 */

static void add_stop(page *p, const sb_route *route, size_t i, bool last)
{
    const sb_season *rest = p->resumed->rest;
    sb_text cell = {0};
    if (i < route->n_stops) {
        const sb_stop *stop = &route->stops[i];
        sb_text_addf(&cell, "%s", rest->fields[stop->field].name);
        if (stop->cleanout > 0)
            sb_text_addf(&cell, " (%s)", rest->setup.cleanouts[stop->cleanout].id);
    }
    if (last)
        sb_columns_cut(p->text, sb_text_get(&cell), ORDER);
    else
        sb_columns_add(p->text, sb_text_get(&cell), ORDER, false);
    p->text->failed |= cell.failed;
    sb_text_release(&cell);
}

/* Both orders side by side, cleanouts before the move in brackets. */
static void add_orders(page *p)
{
    static const sb_route none;
    for (size_t r = 0; r < p->resumed->plan->n_routes; r++) {
        const sb_route *now = &p->resumed->plan->routes[r], *then = &none;
        for (size_t e = 0; e < p->resumed->earlier->n_routes; e++)
            if (p->resumed->earlier->routes[e].machine == now->machine)
                then = &p->resumed->earlier->routes[e];
        if (p->resumed->plan->n_routes > 1)
            sb_text_addf(p->text, "%s%s\n", r > 0 ? "\n" : "",
                         p->resumed->rest->setup.machines[now->machine].name);
        if (now->n_stops == 0 && then->n_stops == 0) {
            sb_text_addf(p->text, "    No field, as planned\n");
            continue;
        }
        sb_text_addf(p->text, "%3s ", "");
        sb_columns_add(p->text, "As planned (cleanout before)", ORDER, false);
        sb_text_addf(p->text, " Now\n");
        for (size_t i = 0; i < now->n_stops || i < then->n_stops; i++) {
            sb_text_addf(p->text, "%3zu ", i + 1);
            add_stop(p, then, i, i >= now->n_stops);
            if (i < now->n_stops) {
                sb_text_addf(p->text, " ");
                add_stop(p, now, i, true);
            }
            sb_text_addf(p->text, "\n");
        }
    }
}

/* ---- Money ------------------------------------------------------------------------------------
 */

static void add_money(page *p)
{
    const sb_resumed *resumed = p->resumed;
    const sb_season *season = resumed->whole;
    double to_come = sb_resumed_to_come(resumed);
    double standing = sb_state_standing(&resumed->state);
    double in_all = sb_resumed_in_all(resumed, to_come);
    double more = in_all - resumed->planned, dearer = resumed->going_on - to_come;
    sb_text words = {0};
    sb_text_addf(&words, "To come: ");
    sb_words_money(&words, season, to_come);
    sb_text_addf(&words, ", in all ");
    sb_words_money(&words, season, in_all - standing);
    if (standing >= SAME_MONEY) {
        sb_text_addf(&words, " and grain left standing for ");
        sb_words_money(&words, season, standing);
    }
    if (fabs(more) >= SAME_MONEY) {
        sb_text_addf(&words, ": ");
        sb_words_money(&words, season, fabs(more));
        sb_text_addf(&words, " %s than the ", more > 0 ? "more" : "less");
        sb_words_money(&words, season, resumed->planned);
        sb_text_addf(&words, " planned");
    } else if (!isnan(more)) {
        sb_text_addf(&words, ", as planned");
    }
    sb_text_addf(&words, ".");
    if (isinf(resumed->going_on)) {
        sb_text_addf(&words, " Going on in the old order would break a rule.");
    } else if (!isnan(dearer) && dearer >= SAME_MONEY) {
        sb_text_addf(&words, " Going on in the old order would cost ");
        sb_words_money(&words, season, dearer);
        sb_text_addf(&words, " more, with the best cleanouts for it.");
    }
    sb_columns_wrap(p->text, sb_text_get(&words), 0, 2);
    p->text->failed |= words.failed;
    sb_text_release(&words);
}

/* ---- What made the difference ------------------------------------------------------------------
 */

/* Words, wrapped, with money on their first line. @param number of an entry, 0: none */
static void add_row(page *p, long number, const char *words, double money)
{
    sb_text lines[ENTRY_LINES] = {{0}}, cell = {0};
    int n = sb_columns_split(words, ENTRY, lines, ENTRY_LINES);
    if (number > 0)
        sb_text_addf(p->text, "%4ld ", number);
    else
        sb_text_addf(p->text, "%4s ", "");
    if (isinf(money))
        sb_text_addf(&cell, "breaks a rule");
    else if (isnan(money))
        sb_text_addf(&cell, "not known");
    else
        sb_words_money(&cell, p->resumed->whole, money);
    sb_columns_add(p->text, sb_text_get(&lines[0]), ENTRY, false);
    sb_text_addf(p->text, " ");
    sb_columns_add(p->text, sb_text_get(&cell), MONEY, true);
    sb_text_addf(p->text, "\n");
    for (int i = 1; i < n; i++)
        sb_text_addf(p->text, "%7s%s\n", "", sb_text_get(&lines[i]));
    for (int i = 0; i < ENTRY_LINES; i++) {
        p->text->failed |= lines[i].failed;
        sb_text_release(&lines[i]);
    }
    p->text->failed |= cell.failed;
    sb_text_release(&cell);
}

void sb_change_words(const sb_resumed *resumed, const sb_change *change, sb_text *text)
{
    static const char *const WORDS[] = {
        [SB_CHANGE_FILES] = "Other files than that plan was made with, or other cleanouts than "
                            "the best",
        [SB_CHANGE_WORK] = "Cut and cleaned otherwise than planned, or later",
        [SB_CHANGE_WAIT] =
            "Nothing goes on before --from: grain that waits past its best-before day",
        [SB_CHANGE_ORDER] = "Another order, in place of the old one with the best cleanouts",
    };
    if (sb_change_is_entry(change))
        sb_log_entry_words(text, &resumed->state.log->entries.items[change->entry]);
    else
        sb_text_addf(text, "%s", WORDS[change->kind]);
}

static void add_change(page *p, const sb_change *change)
{
    sb_text words = {0};
    sb_change_words(p->resumed, change, &words);
    long number =
        sb_change_is_entry(change) ? p->resumed->state.log->entries.items[change->entry].number : 0;
    add_row(p, number, sb_text_get(&words), change->money);
    p->text->failed |= words.failed;
    sb_text_release(&words);
}

/* Does a line come of it? */
static bool is_told(const sb_change *change)
{
    return sb_change_is_entry(change) || isnan(change->money) || fabs(change->money) >= SAME_MONEY;
}

/* Whether a change happened, was found out or is what is done about those. */
typedef enum section { HAPPENED, FOUND, DONE } section;

static section section_of(const sb_change *change)
{
    return change->kind == SB_CHANGE_FOUND   ? FOUND
           : change->kind == SB_CHANGE_ORDER ? DONE
                                             : HAPPENED;
}

/* The changes of a section under its heading. @return rows */
static size_t add_changes(page *p, const char *heading, section which)
{
    size_t n = 0;
    for (size_t i = 0; i < p->resumed->changes.count; i++) {
        const sb_change *change = &p->resumed->changes.items[i];
        if (section_of(change) != which || !is_told(change))
            continue;
        if (n++ == 0)
            sb_text_addf(p->text, "%s\n", heading);
        add_change(p, change);
    }
    return n;
}

static void add_account(page *p)
{
    const sb_resumed *resumed = p->resumed;
    size_t begin = p->text->count, rows = 0;
    if (resumed->changes.count == 0)
        return;
    double more = sb_resumed_in_all(resumed, sb_resumed_to_come(resumed)) - resumed->planned;
    sb_text_addf(p->text, "\n");
    sb_columns_add(p->text, "What that is made of", 5 + ENTRY + 1, false);
    sb_columns_add(p->text, "costs (-: saves)", MONEY, true);
    sb_text_addf(p->text, "\n");
    rows += add_changes(p, "What happened", HAPPENED);
    rows += add_changes(p, "What was found out", FOUND);
    if (rows == 0) { /* everything as planned */
        p->text->count = begin;
        p->text->bytes[begin] = '\0';
        return;
    }
    add_changes(p, "What is done about it", DONE);
    add_row(p, 0, "Together", more);
}

void sb_against_text(const sb_resumed *resumed, sb_text *text)
{
    page p = {resumed, text};
    if (!resumed->compared)
        return;
    sb_text_addf(text, "\nAgainst the plan\n");
    if (resumed->plan == NULL)
        ; /* no order is left to compare */
    else if (resumed->same)
        sb_text_addf(text, "Nothing changes: order and cleanouts are as they were planned.\n");
    else
        add_orders(&p);
    add_money(&p);
    add_account(&p);
}
