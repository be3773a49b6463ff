/* SPDX-License-Identifier: GPL-3.0-or-later */
/** JSON being built with jansson: one flag counts the failures, so that callers need not look at
 * every return value. */
#ifndef SB_WRITE_JSON_OUT_H
#define SB_WRITE_JSON_OUT_H

#include <stdbool.h>

#include <jansson.h>

#include "base/text.h"
#include "season/season.h"

/** Sets a key; the value is handed over. A NULL value (no memory) turns *ok false. */
void sb_json_put(json_t *object, const char *key, json_t *value, bool *ok);
void sb_json_append(json_t *array, json_t *value, bool *ok);
/** JSON has no infinity and no NaN: what is unknown or unlimited is null. */
json_t *sb_json_number(double value);
/** Text that may come from outside: bytes that are not UTF-8 become '?'; NULL becomes null. */
json_t *sb_json_text(const char *text);
/** The messages of one severity: an array of {"file", "line", "text"}; report may be NULL. */
json_t *sb_messages_json(const sb_report *report, sb_severity severity, bool *ok);
/** {"total", "travel", "cleanout", "spread", "delay"} */
json_t *sb_cost_json(const sb_cost *cost, bool *ok);
/** Of a plan for the rest of a season: how far that was, and what it had cost. */
json_t *sb_so_far_json(const sb_so_far *so_far, bool *ok);
/** What every machine does, day by day: an array of spans. */
json_t *sb_board_json(const sb_season *season, const sb_plan *plan, bool *ok);
/** A plan as plan.json has it, without its board and what it rests on. */
json_t *sb_plan_json(const sb_season *season, const sb_plan *plan, bool *ok);
/** A plan as plan.json has it. */
json_t *sb_whole_plan_json(const sb_season *season, const sb_plan *plan, bool *ok);
/** Appends the whole with 17 digits, so that a reader gets the same doubles back, and frees it.
 * @return SB_OK; SB_ERR_NOMEM, also when !ok */
sb_status sb_json_finish(json_t *root, bool ok, sb_text *text);

#endif
