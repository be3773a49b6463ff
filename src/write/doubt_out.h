/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What is told of doubt: names of uncertain numbers, tables, JSON. */
#ifndef SB_WRITE_DOUBT_OUT_H
#define SB_WRITE_DOUBT_OUT_H

#include <jansson.h>

#include "base/text.h"
#include "doubt/bands.h"
#include "doubt/load_band.h"

/** "Kettle: Kochia", "Kochia, seeds per plant", "Lodged share", "Deep clean, share left". */
void sb_spread_name(const sb_season *season, const sb_spread *spread, sb_text *text);
/** Where the number may lie, as people say it: "0.1 to 1", "0.57 to 1.7 times". */
void sb_spread_range(const sb_season *season, const sb_spread *spread, sb_text *text);

/** {"central", "p5", "p50", "p95", "mean"} */
json_t *sb_band_json(const sb_band *band, bool *ok);

sb_status sb_render_doubt_text(const sb_season *season, const sb_doubt *doubt,
                               const sb_findings *findings, sb_text *text);
/** season.html of a plan, with the band of what the machines hold. */
sb_status sb_render_banded_html(const sb_season *season, const sb_plan *plan,
                                const sb_load_band *band, sb_text *text);
sb_status sb_render_doubt_json(const sb_season *season, const sb_doubt *doubt,
                               const sb_findings *findings, sb_text *text);

#endif
