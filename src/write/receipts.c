/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/receipts.h"

#include <math.h>

#include "write/words.h"

const char *sb_origin_name(const sb_season *season, size_t origin)
{
    return origin < season->n_fields ? season->fields[origin].name : "start of the season";
}

double sb_given(const sb_ledger *ledger, size_t origin, int field, int weed)
{
    size_t at = origin * ledger->n_fields + (size_t)field;
    return ledger->ground[at * ledger->n_weeds + (size_t)weed];
}

void sb_receipt_words(const sb_season *season, const sb_plan *plan, int field,
                      sb_add_name *add_name, sb_text *text)
{
    bool any = false, traces = false;
    for (int k = 0; k < (int)season->setup.n_weeds; k++) {
        double all = 0, most = 0;
        size_t giver = 0;
        for (size_t from = 0; from <= season->n_fields; from++) {
            double seeds = sb_given(&plan->ledger, from, field, k);
            all += seeds;
            if (seeds > most) {
                most = seeds;
                giver = from;
            }
        }
        traces |= all >= SB_SEEDS_SHOWN;
        if (!(all >= SB_SEEDS_TOLD))
            continue;
        sb_text_addf(text, any ? " Receives " : "Receives ");
        sb_words_some_seeds(text, all);
        sb_text_addf(text, " of ");
        add_name(text, season->setup.weeds[k].name);
        bool alone = most > 0.995 * all;
        sb_text_addf(text, alone ? ", all from " : ", most from ");
        add_name(text, sb_origin_name(season, giver));
        if (!alone)
            sb_text_addf(text, " (%.0f %%)", 100 * most / all);
        sb_text_addf(text, ".");
        any = true;
    }
    if (!any)
        sb_text_addf(text, traces ? "Receives fewer than 1 seed of any weed."
                                  : "Receives no weed seeds.");
}

int sb_days_ripe(const sb_season *season, const sb_stop *stop)
{
    int ready = season->fields[stop->field].ready_day;
    if (ready == SB_NO_DAY || !isfinite(stop->arrive_h))
        return 0;
    int cut = sb_calendar_day(&season->setup.calendar, stop->arrive_h, false);
    return cut > ready ? cut - ready : 0;
}

int sb_worst_weed(const sb_season *season, int field)
{
    const sb_rating *ratings = season->fields[field].ratings;
    int worst = -1;
    for (int k = 0; k < (int)season->setup.n_weeds; k++) {
        if (ratings[k].source == SB_RATING_NONE)
            continue;
        if (worst < 0 || ratings[k].class_index > ratings[worst].class_index ||
            (ratings[k].class_index == ratings[worst].class_index &&
             ratings[k].density_plants_m2 > ratings[worst].density_plants_m2))
            worst = k;
    }
    return worst;
}

int sb_worst_class(const sb_season *season, int field)
{
    int worst = sb_worst_weed(season, field);
    return worst < 0 ? 0 : season->fields[field].ratings[worst].class_index;
}
