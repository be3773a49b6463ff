/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Every output of a plan as text in memory: one renderer a file, put on the disk by outputs.c.
 *
 * All renderers take a plan that was priced and explained, append to `text` and return SB_OK or
 * SB_ERR_NOMEM. Nothing a file or a user said gets into an output unescaped. */
#ifndef SB_WRITE_WRITE_H
#define SB_WRITE_WRITE_H

#include "base/text.h"
#include "plan/plan.h"
#include "season/season.h"

sb_status sb_render_plan_json(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_plan_text(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_board_text(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_schedule_csv(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_calendar_ics(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_fields_geojson(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_ledger_csv(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_route_gpx(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_map_kml(const sb_season *season, const sb_plan *plan, sb_text *text);
sb_status sb_render_season_html(const sb_season *season, const sb_plan *plan, sb_text *text);

#endif
