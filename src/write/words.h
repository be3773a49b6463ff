/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Numbers and moments as people say them, appended to a text. */
#ifndef SB_WRITE_WORDS_H
#define SB_WRITE_WORDS_H

#include <stdbool.h>

#include "base/text.h"
#include "season/calendar.h"
#include "season/season.h"

/** Appends a name that a user chose, made safe for the text around it. */
typedef void sb_add_name(sb_text *text, const char *name);

/** Fewer seeds than this are shown as none: rounding of loads that were cleaned away. */
#define SB_SEEDS_SHOWN 1e-9
/** Fewer seeds than this are not counted: no one finds a part of a seed. */
#define SB_SEEDS_TOLD 1.0

/** Seeds in a table, to 2 significant figures below 100, to 3 above: "0", "~0" below one, "7.5",
 * "310", "41.2k", "1.7M". */
void sb_words_seeds(sb_text *text, double seeds);
/** Seeds in a sentence: "41.2k seeds", "fewer than 1 seed". */
void sb_words_some_seeds(sb_text *text, double seeds);

/** "64.3 ha", below 0.05 ha "310 m²". */
void sb_words_area(sb_text *text, double area_ha);

/** Money with its currency: cents below 100, whole above, "1,234 USD". */
void sb_words_money(sb_text *text, const sb_season *season, double money);

/** The currency alone, without what markup would take for its own. */
void sb_words_currency(sb_text *text, const sb_season *season);
/** Money without its currency (sb_text_add_amount) in whole units however small, for columns of
 * estimates: "1,234", "-12". */
void sb_words_whole_amount(sb_text *text, double money);

/** "22 min", "2 h", "5 h 15 min". */
void sb_words_minutes(sb_text *text, double minutes);

/** "4.2 km", or "no way" for NAN. */
void sb_words_km(sb_text *text, double km);

/** "850 m" below 1 km, else "1.2 km". */
void sb_words_metres(sb_text *text, double metres);

/** "Tue 14 Jul 09:00" (16 columns). is_end as in sb_calendar_day. */
void sb_words_moment(sb_text *text, const sb_calendar *calendar, double hours, bool is_end);
/** "Tue 14 Jul". */
void sb_words_day(sb_text *text, int day);

/** A machine by its name and, where one of several must be named to the log, its id: "Depot combine
 * (big)". For where the crew meets the machine; afterwards its name alone will do. */
void sb_words_machine(sb_text *text, const sb_season *season, int machine, sb_add_name *add_name);

/** Which cleanouts are full ones, by their ids: "deep", "deep, steam"; else "none". */
void sb_words_full_cleanouts(sb_text *text, const sb_season *season, sb_add_name *add_name);

/** A machine's letter; '\0' where it is alone or there are more machines than letters. */
static inline char sb_words_letter(size_t n_routes, size_t route)
{
    return n_routes > 1 && route < 26 ? (char)('A' + (int)route) : '\0';
}
/** The number people read of stop i of a route, both from 0: "7", or "B7" of several machines'
 * routes. */
void sb_words_stop(sb_text *text, size_t n_routes, size_t route, size_t i);

/** The shortest decimal number that reads back as the same double. */
void sb_words_exact(sb_text *text, double value);

/** Is a weed worth a column: does any field have it, or a machine carry it from the start? */
bool sb_weed_in_play(const sb_season *season, int weed);

#endif
