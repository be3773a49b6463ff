/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/why.h"

#include <math.h>
#include <string.h>

#include "write/breach.h"
#include "write/words.h"

void sb_add_plain_name(sb_text *text, const char *name)
{
    sb_text_addf(text, "%s", name);
}

/* What it costs and what it saves. */
static void add_balance(const sb_season *season, const sb_reason *reason, sb_add_name *add_name,
                        sb_text *text)
{
    sb_text_addf(text, "It costs ");
    sb_words_money(text, season, reason->cost);
    if (!(reason->saves > 0)) {
        sb_text_addf(text, " and saves nothing: no later field would lose more without it.");
        return;
    }
    sb_text_addf(text, "; without it the season would lose ");
    sb_words_money(text, season, reason->saves);
    sb_text_addf(text, " more, ");
    if (reason->field_share > 0.995)
        sb_text_addf(text, "all of it in ");
    else
        sb_text_addf(text, "%.0f %% of it in ", 100 * reason->field_share);
    add_name(text, season->fields[reason->field].name);
    sb_text_addf(text, ". It keeps ");
    sb_words_some_seeds(text, reason->stops_seeds);
    sb_text_addf(text, " of ");
    add_name(text, season->setup.weeds[reason->weed].name);
    sb_text_addf(text, " off the fields that follow.");
}

static void add_alternative(const sb_season *season, const sb_reason *reason, sb_add_name *add_name,
                            sb_text *text)
{
    if (reason->next_level < 0 || !isfinite(reason->next_best)) {
        sb_text_addf(text, " No other level keeps the rules.");
        return;
    }
    sb_text_addf(text, " The next best, ");
    if (reason->next_level == 0)
        sb_text_addf(text, "no cleanout");
    else
        add_name(text, season->setup.cleanouts[reason->next_level].name);
    sb_text_addf(text, ", would make the plan ");
    sb_words_money(text, season, fabs(reason->next_best));
    sb_text_addf(text, reason->next_best < 0 ? " cheaper." : " dearer.");
}

/* Other levels that would cost less and break a rule; all that break one when none keeps them. What
 * the entry rule demands was said at the beginning, and what growers may lose is said elsewhere. */
static void add_broken(const sb_season *season, const sb_route *route, size_t stop,
                       sb_add_name *add_name, sb_text *text)
{
    const sb_reason *reason = &route->reasons[stop];
    for (int level = 1; level < (int)season->setup.n_cleanouts; level++) {
        const sb_breach *breach = &reason->breach[level];
        bool said = breach->rule == SB_BROKEN_NONE || breach->rule == SB_BROKEN_GROWER ||
                    (breach->rule == SB_BROKEN_ENTRY && reason->demanded);
        if (said || (reason->more[level] >= 0 && reason->next_level >= 0))
            continue;
        sb_text_addf(text, " ");
        add_name(text, season->setup.cleanouts[level].name);
        if (isfinite(reason->more[level])) {
            sb_text_addf(text, " would make the plan ");
            sb_words_money(text, season, fabs(reason->more[level]));
            sb_text_addf(text, reason->more[level] < 0 ? " cheaper, but " : " dearer, and ");
        } else {
            sb_text_addf(text, " is no choice: ");
        }
        sb_breach_words(season, breach, add_name, text);
        sb_text_addf(text, ".");
    }
}

/* "Ash would be expected to lose 320 USD instead of 150, and may lose 272". */
static void add_overloss(const sb_season *season, const sb_overloss *over, sb_add_name *add_name,
                         sb_text *text)
{
    if (over->grower >= 0)
        add_name(text, season->growers[over->grower]);
    else
        sb_text_addf(text, "the fields that name no grower");
    sb_text_addf(text, " would be expected to lose ");
    sb_words_money(text, season, over->otherwise);
    sb_text_addf(text, " instead of ");
    sb_words_money(text, season, over->loss);
    sb_text_addf(text, over->worst ? ", and nobody is to lose more than " : ", and may lose ");
    sb_words_money(text, season, over->most);
}

/* The level that would be taken if growers might lose more. */
static void add_barred(const sb_season *season, const sb_reason *reason, sb_add_name *add_name,
                       sb_text *text)
{
    if (reason->barred < 0)
        return;
    sb_text_addf(text, " ");
    add_name(text, season->setup.cleanouts[reason->barred].name);
    sb_text_addf(text, " would make the plan ");
    sb_words_money(text, season, reason->barred_saves);
    sb_text_addf(text, " cheaper, but ");
    add_overloss(season, &reason->over, add_name, text);
    sb_text_addf(text, ".");
}

void sb_why(const sb_season *season, const sb_route *route, size_t stop, sb_add_name *add_name,
            sb_text *text)
{
    const sb_stop *at = &route->stops[stop];
    if (route->reasons == NULL || at->cleanout <= 0)
        return;
    const sb_reason *reason = &route->reasons[stop];
    const sb_field *field = &season->fields[at->field];
    if (reason->demanded && field->entry >= 0) {
        sb_text_addf(text, "The entry rule of ");
        add_name(text, field->name);
        sb_text_addf(text, " demands ");
        add_name(text, season->setup.cleanouts[field->entry].name);
        if (stop == 0 && season->joins[route->machine].start_cleanout < 0)
            sb_text_addf(text, ", and the machine starts with no cleanout on record");
        sb_text_addf(text, ". ");
    } else if (reason->growers) {
        sb_text_addf(text, reason->saves >= reason->cost
                               ? "It pays for itself, and the rule on the growers' losses asks for "
                                 "it too: without it "
                               : "The rule on the growers' losses asks for it: without it ");
        add_overloss(season, &reason->without, add_name, text);
        sb_text_addf(text, ". ");
    } else if (reason->breach[0].rule != SB_BROKEN_NONE) {
        sb_text_addf(text, "Without it ");
        sb_breach_words(season, &reason->breach[0], add_name, text);
        sb_text_addf(text, ". ");
    }
    add_balance(season, reason, add_name, text);
    add_alternative(season, reason, add_name, text);
    add_broken(season, route, stop, add_name, text);
    add_barred(season, reason, add_name, text);
}

double sb_plan_gap(const sb_plan *plan)
{
    double cost = sb_plan_weighed_cost(plan);
    if (!isfinite(plan->proof.bound) || !isfinite(cost))
        return NAN;
    return cost > 0 ? (cost - plan->proof.bound) / cost : 0;
}

void sb_proof_words(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    const sb_proof *proof = &plan->proof;
    double gap = sb_plan_gap(plan);
    if (proof->spread_weight > 0 && proof->spread_weight != 1)
        sb_text_addf(text, "With spread counted %g times: ", proof->spread_weight);
    if (proof->optimal) {
        sb_text_addf(text,
                     "Proven cheapest: no plan that keeps the rules can cost less (%.1f s%s%s).",
                     proof->seconds, proof->method[0] != '\0' ? "; " : "", proof->method);
    } else if (isfinite(gap)) {
        if (plan->fairness.searched_out)
            sb_text_addf(text,
                         "The best plan found: after %.1f s every search that the rule on losses "
                         "calls for was done (%d), and more time would find no other. ",
                         proof->seconds, plan->fairness.searches);
        else
            sb_text_addf(text, "Stopped after %.1f s with the best plan found. ", proof->seconds);
        sb_text_addf(text, "No plan can cost less than ");
        sb_words_money(text, season, proof->bound);
        sb_text_addf(text, ", so at most %.2g %% of its cost could be saved.", 100 * fmax(gap, 0));
    } else if (proof->method[0] == '\0') {
        sb_text_addf(text, "Priced as given: whether a cheaper plan exists was not asked.");
    } else if (strcmp(proof->method, SB_METHOD_ORDER_GIVEN) == 0) {
        sb_text_addf(text, "The order was given; its cleanouts are the cheapest for it.");
    } else {
        sb_text_addf(text,
                     "Stopped after %.1f s with the best plan found, before a bound was known: how "
                     "far it is from the cheapest cannot be said.",
                     proof->seconds);
    }
}

sb_status sb_plan_explained(const sb_season *season, const sb_plan *plan, sb_explain how,
                            sb_plan **copy, const sb_plan **explained)
{
    *copy = NULL;
    *explained = plan;
    bool reasons = false, moves = false;
    size_t stops = 0;
    for (size_t r = 0; r < plan->n_routes; r++) {
        reasons |= plan->routes[r].reasons == NULL && plan->routes[r].n_stops > 0;
        moves |= plan->routes[r].moves == NULL && plan->routes[r].n_stops > 0;
        stops += plan->routes[r].n_stops;
    }
    moves |= reasons; /* a copy has none */
    moves &= how == SB_EXPLAIN_MOVES || (how == SB_EXPLAIN_SOME && stops <= SB_MOST_EXPLAINED);
    if (!reasons && !moves)
        return SB_OK;
    sb_status status = sb_plan_copy(season, plan, copy);
    if (status == SB_OK && reasons)
        status = sb_plan_explain(season, *copy);
    if (status == SB_OK && moves)
        status = sb_plan_explain_moves(season, *copy);
    if (status != SB_OK) {
        sb_plan_free(*copy);
        *copy = NULL;
        return status;
    }
    *explained = *copy;
    return SB_OK;
}
