/* SPDX-License-Identifier: GPL-3.0-or-later */
/* settlement.csv: one line a grower. exchange.csv: one line for each pair of growers and weed. */
#include <math.h>

#include "write/csv_out.h"
#include "write/settlement.h"

const char *sb_giver_name(const sb_settlement *settlement, size_t giver)
{
    return giver < settlement->n_parties ? settlement->parties[giver].name : "start of the season";
}

/* A number, or nothing where it is unknown. */
static void add_number(sb_text *text, bool known, double value)
{
    sb_text_add(text, ",", 1);
    if (known && isfinite(value))
        sb_text_addf(text, "%.12g", value);
}

sb_status sb_render_settlement_csv(const sb_season *season, const sb_settlement *settlement,
                                   sb_text *text)
{
    const sb_fair *fair = &settlement->fair;
    const sb_exchange *plan = &settlement->schemes[SB_SCHEME_PLAN];
    (void)season;
    sb_text_addf(text, "grower,fields,area_ha,bears,bears_shortest_road,bears_cleanest_first,alone,"
                       "best_alternative,fair_share,standard_error,gains,pays_in,cleaning\r\n");
    for (size_t p = 0; p < settlement->n_parties; p++) {
        double alternative = sb_settlement_alternative(settlement, p);
        sb_csv_value(text, settlement->parties[p].name);
        sb_text_addf(text, ",%zu,%.12g", settlement->parties[p].n_fields,
                     settlement->parties[p].area_ha);
        for (int s = 0; s < SB_N_SCHEMES; s++) {
            const sb_exchange *exchange = &settlement->schemes[s];
            add_number(text, exchange->known, exchange->known ? exchange->bears[p] : NAN);
        }
        add_number(text, true, settlement->alone[p].cost);
        add_number(text, true, alternative);
        add_number(text, fair->known, fair->share[p]);
        add_number(text, fair->known, fair->deviation[p]);
        add_number(text, fair->known, alternative - fair->share[p]);
        add_number(text, fair->known, fair->share[p] - plan->bears[p]);
        add_number(text, true, settlement->cleaning[p]);
        sb_text_addf(text, "\r\n");
    }
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}

static bool anything_given(const sb_settlement *settlement, size_t at)
{
    for (int s = 0; s < SB_N_SCHEMES; s++)
        if (settlement->schemes[s].known && settlement->schemes[s].seeds[at] > 0)
            return true;
    return false;
}

sb_status sb_render_exchange_csv(const sb_season *season, const sb_settlement *settlement,
                                 sb_text *text)
{
    size_t n = settlement->n_parties, n_weeds = settlement->n_weeds;
    sb_text_addf(text, "from,to,weed,seeds,expected_loss,seeds_shortest_road,"
                       "expected_loss_shortest_road,seeds_cleanest_first,"
                       "expected_loss_cleanest_first\r\n");
    for (size_t at = 0; at < (n + 1) * n * n_weeds; at++) {
        if (!anything_given(settlement, at))
            continue;
        sb_csv_value(text, sb_giver_name(settlement, at / n_weeds / n));
        sb_text_add(text, ",", 1);
        sb_csv_value(text, settlement->parties[at / n_weeds % n].name);
        sb_text_add(text, ",", 1);
        sb_csv_value(text, season->setup.weeds[at % n_weeds].id);
        for (int s = 0; s < SB_N_SCHEMES; s++) {
            const sb_exchange *exchange = &settlement->schemes[s];
            add_number(text, exchange->known, exchange->known ? exchange->seeds[at] : NAN);
            add_number(text, exchange->known, exchange->known ? exchange->loss[at] : NAN);
        }
        sb_text_addf(text, "\r\n");
    }
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
