/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a season was taught by its log, told: as text, on the page and in plan.json. All append
 * nothing when it was taught nothing. */
#ifndef SB_WRITE_LESSONS_H
#define SB_WRITE_LESSONS_H

#include <jansson.h>

#include "base/text.h"
#include "season/season.h"

/** Tables 80 columns wide. */
void sb_lessons_text(const sb_season *season, sb_text *text);
/** A section of the page with its heading. */
void sb_html_lessons(const sb_season *season, sb_text *text);
/** Key `learned` of plan.json. */
json_t *sb_lessons_json(const sb_season *season, bool *ok);

/** A limit as people say it: "0.05", "30k", "1.4 times". */
void sb_lesson_value(const sb_lesson *lesson, double value, sb_text *text);

/** Is any of the first numbers told as so many times the number used? */
bool sb_lessons_have_times(const sb_lessons *lessons, size_t told);

/** A sentence where the findings do not count in full. */
void sb_lessons_share(const sb_lessons *lessons, sb_text *text);

#endif
