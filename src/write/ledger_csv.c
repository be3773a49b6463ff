/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ledger.csv: who gave what to whom, one line for each pair of fields and weed (RFC 4180). */
#include "write/csv_out.h"
#include "write/receipts.h"
#include "write/write.h"

static void add_pair(const sb_season *season, const sb_ledger *ledger, size_t from, size_t to,
                     sb_text *text)
{
    for (size_t k = 0; k < ledger->n_weeds; k++) {
        size_t at = (from * ledger->n_fields + to) * ledger->n_weeds + k;
        if (!(ledger->ground[at] > 0 || ledger->tank[at] > 0))
            continue;
        sb_csv_value(text, sb_origin_name(season, from));
        sb_text_add(text, ",", 1);
        sb_csv_value(text, season->fields[to].name);
        sb_text_add(text, ",", 1);
        sb_csv_value(text, season->setup.weeds[k].id);
        sb_text_addf(text, ",%.12g,%.12g,%.12g\r\n", ledger->ground[at], ledger->tank[at],
                     ledger->ground[at] * season->fields[to].loss_per_seed[k]);
    }
}

sb_status sb_render_ledger_csv(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_text_addf(text, "from,to,weed,seeds_to_ground,seeds_to_tank,expected_loss\r\n");
    for (size_t from = 0; from <= season->n_fields; from++)
        for (size_t to = 0; to < season->n_fields; to++)
            add_pair(season, &plan->ledger, from, to, text);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
