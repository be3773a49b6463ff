/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The settlement as tables 80 columns wide. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "write/columns.h"
#include "write/settlement.h"
#include "write/words.h"

#define AMOUNT 9
#define AMOUNTS 6 /* columns of money beside a grower's name */
#define GAINS 3   /* the column of what each gains */
#define NAME (SB_PAGE_COLUMNS - AMOUNTS * (AMOUNT + 1))
/* Who gives what to whom: two names, the loss, and the weeds that matter most across growers. */
#define MOST_WEEDS 4
#define MOST_PAIRS 20
#define MOST_LEAVING 4   /* growers named that would pay less alone */
#define SHOWN_LOSS 0.005 /* money: less is shown as nothing, and not listed */

typedef struct settlement_page {
    const sb_season *season;
    const sb_settlement *settlement;
    sb_text *text;
    sb_text cell;          /* scratch */
    int weeds[MOST_WEEDS]; /* with columns beside the pairs */
    int n_weeds;
} page;

static void add_cell(page *p, int width, bool right)
{
    sb_columns_add(p->text, sb_text_get(&p->cell), width, right);
    sb_text_clear(&p->cell);
}

static void end_line(page *p)
{
    sb_text *text = p->text;
    while (text->count > 0 && text->bytes[text->count - 1] == ' ')
        text->bytes[--text->count] = '\0';
    sb_text_add(text, "\n", 1);
}

static void add_amount(page *p, bool known, double money)
{
    sb_text_add(p->text, " ", 1);
    if (known && isfinite(money))
        sb_text_add_amount(&p->cell, money);
    else
        sb_text_addf(&p->cell, "-");
    add_cell(p, AMOUNT, true);
}

/* The scratch text as lines of the page. */
static void add_prose(page *p, int at, int indent)
{
    sb_columns_wrap(p->text, sb_text_get(&p->cell), at, indent);
    sb_text_clear(&p->cell);
}

static void add_heads(page *p, const char *first, int width, const char *const *names, int n)
{
    int widths[AMOUNTS];
    for (int i = 0; i < n; i++)
        widths[i] = AMOUNT;
    sb_text head = {0};
    sb_columns_add(&head, first, width, false);
    sb_columns_heads(p->text, sb_text_get(&head), names, widths, n);
    p->text->failed |= head.failed;
    sb_text_release(&head);
}

/* ---- Given and received ---- */

/* Loss that a party gives others (giving) or receives from others and from the start. */
static double crossing(const sb_settlement *settlement, sb_scheme scheme, size_t party, bool giving)
{
    double loss = 0;
    for (size_t other = 0; other <= settlement->n_parties; other++) {
        if (other == party || (giving && other == settlement->n_parties))
            continue;
        loss += giving ? sb_exchange_loss(settlement, scheme, party, other, -1)
                       : sb_exchange_loss(settlement, scheme, other, party, -1);
    }
    return loss;
}

static double given_by_start(const sb_settlement *settlement, sb_scheme scheme)
{
    double loss = 0;
    for (size_t taker = 0; taker < settlement->n_parties; taker++)
        loss += sb_exchange_loss(settlement, scheme, settlement->n_parties, taker, -1);
    return loss;
}

static void add_crossings(page *p)
{
    static const char *const HEADS[AMOUNTS] = {"plan gives",           "plan receives",
                                               "shortest road gives",  "shortest road receives",
                                               "cleanest first gives", "cleanest first receives"};
    const sb_settlement *settlement = p->settlement;
    sb_text_addf(&p->cell,
                 "Loss expected from seeds across growers, in %s, with the plan and without it "
                 "(what one's own fields give each other is left out)",
                 p->season->setup.currency);
    add_prose(p, 0, 0);
    add_heads(p, "Grower", NAME, HEADS, AMOUNTS);
    for (size_t party = 0; party <= settlement->n_parties; party++) {
        bool start = party == settlement->n_parties;
        if (start && given_by_start(settlement, SB_SCHEME_PLAN) == 0)
            continue;
        sb_columns_add(p->text, sb_giver_name(settlement, party), NAME, false);
        for (int s = 0; s < SB_N_SCHEMES; s++) {
            bool known = settlement->schemes[s].known;
            add_amount(p, known,
                       !known  ? 0
                       : start ? given_by_start(settlement, (sb_scheme)s)
                               : crossing(settlement, (sb_scheme)s, party, true));
            add_amount(p, known && !start,
                       known && !start ? crossing(settlement, (sb_scheme)s, party, false) : 0);
        }
        end_line(p);
    }
}

/* ---- Pairs ---- */

typedef struct pair {
    size_t giver, taker;
    double loss;
} pair;

static int largest_loss_first(const void *a, const void *b)
{
    const pair *one = a, *other = b;
    if (one->loss != other->loss)
        return one->loss > other->loss ? -1 : 1;
    if (one->giver != other->giver)
        return one->giver < other->giver ? -1 : 1;
    return one->taker < other->taker ? -1 : 1;
}

/* Pairs of different growers with loss between them, largest first; NULL: out of memory. */
static pair *list_pairs(const sb_settlement *settlement, size_t *n)
{
    size_t parties = settlement->n_parties;
    pair *pairs = sb_alloc((parties + 1) * parties, sizeof *pairs);
    *n = 0;
    for (size_t giver = 0; pairs != NULL && giver <= parties; giver++)
        for (size_t taker = 0; taker < parties; taker++) {
            double loss = sb_exchange_loss(settlement, SB_SCHEME_PLAN, giver, taker, -1);
            if (giver != taker && loss > 0)
                pairs[(*n)++] = (pair){giver, taker, loss};
        }
    if (pairs != NULL && *n > 0)
        qsort(pairs, *n, sizeof *pairs, largest_loss_first);
    return pairs;
}

/* The weeds that cost most across growers, in their own order. */
static void choose_weeds(page *p, const pair *pairs, size_t n_pairs)
{
    double loss[SB_MAX_WEEDS] = {0};
    size_t n_weeds = p->settlement->n_weeds;
    for (size_t i = 0; i < n_pairs; i++)
        for (size_t w = 0; w < n_weeds; w++)
            loss[w] += sb_exchange_loss(p->settlement, SB_SCHEME_PLAN, pairs[i].giver,
                                        pairs[i].taker, (int)w);
    for (size_t w = 0; w < n_weeds; w++) {
        int dearer = 0;
        for (size_t other = 0; other < n_weeds; other++)
            dearer += loss[other] > loss[w] || (other < w && loss[other] == loss[w]);
        if (loss[w] > 0 && dearer < MOST_WEEDS)
            p->weeds[p->n_weeds++] = (int)w;
    }
}

/* Columns for each of the two names. */
static int pair_name(const page *p)
{
    int width = (SB_PAGE_COLUMNS - (p->n_weeds + 1) * (AMOUNT + 1) - 1) / 2;
    return width < NAME ? width : NAME;
}

static void add_pair_line(page *p, const pair *line)
{
    const sb_settlement *settlement = p->settlement;
    sb_columns_add(p->text, sb_giver_name(settlement, line->giver), pair_name(p), false);
    sb_text_add(p->text, " ", 1);
    sb_columns_add(p->text, settlement->parties[line->taker].name, pair_name(p), false);
    add_amount(p, true, line->loss);
    for (int w = 0; w < p->n_weeds; w++) {
        size_t at = (line->giver * settlement->n_parties + line->taker) * settlement->n_weeds +
                    (size_t)p->weeds[w];
        sb_text_add(p->text, " ", 1);
        sb_words_seeds(&p->cell, settlement->schemes[SB_SCHEME_PLAN].seeds[at]);
        add_cell(p, AMOUNT, true);
    }
    end_line(p);
}

static void add_pair_heads(page *p)
{
    const char *heads[1 + MOST_WEEDS] = {"loss"};
    sb_text first = {0};
    for (int w = 0; w < p->n_weeds; w++)
        heads[1 + w] = p->season->setup.weeds[p->weeds[w]].name;
    sb_text_addf(p->text, "\n");
    sb_text_addf(&p->cell, "Who gives what to whom in the plan: loss in %s, seeds by weed",
                 p->season->setup.currency);
    add_prose(p, 0, 0);
    sb_columns_add(&first, "From", pair_name(p) + 1, false);
    sb_text_addf(&first, "to");
    add_heads(p, sb_text_get(&first), 2 * pair_name(p) + 1, heads, 1 + p->n_weeds);
    p->text->failed |= first.failed;
    sb_text_release(&first);
}

static void add_pairs(page *p)
{
    size_t n, shown = 0;
    double rest = 0;
    pair *pairs = list_pairs(p->settlement, &n);
    if (pairs == NULL) {
        p->text->failed = true;
        return;
    }
    choose_weeds(p, pairs, n);
    if (n > 0)
        add_pair_heads(p);
    else
        sb_text_addf(p->text, "\nNobody gives another grower any seeds.\n");
    for (size_t i = 0; i < n; i++)
        if (shown < MOST_PAIRS && pairs[i].loss >= SHOWN_LOSS) {
            add_pair_line(p, &pairs[i]);
            shown++;
        } else {
            rest += pairs[i].loss;
        }
    if (n > shown) {
        sb_text_addf(&p->cell, "... and %zu smaller, together ", n - shown);
        sb_words_money(&p->cell, p->season, rest);
        add_prose(p, 0, 0);
    }
    sb_free(pairs);
}

/* ---- Money ---- */

static void add_how(page *p)
{
    const sb_fair *fair = &p->settlement->fair;
    double worst = 0;
    for (size_t i = 0; i < p->settlement->n_parties; i++)
        worst = fmax(worst, fair->deviation[i]);
    sb_text_addf(&p->cell, "The fair share is Shapley's value: what a grower adds to the cost of "
                           "those before, averaged over ");
    if (fair->exact) {
        sb_text_addf(&p->cell, "all orders; ");
    } else {
        sb_text_addf(&p->cell, "%ld orders drawn by the seed (standard error up to ", fair->orders);
        sb_words_money(&p->cell, p->season, worst);
        sb_text_addf(&p->cell, "); ");
    }
    sb_text_addf(&p->cell, "the cheapest season was proven for %ld of %ld groups of growers",
                 fair->proven, fair->coalitions);
    if (p->season->setup.n_machines > 1)
        sb_text_addf(&p->cell, ", their fields split among the machines as here (a plan at nearly "
                               "the same cost that splits them otherwise has other shares)");
    sb_text_addf(&p->cell, "%s.",
                 fair->proven == fair->coalitions ? ""
                                                  : ", for the others the best one found counts");
    if (fair->stopped)
        sb_text_addf(&p->cell, " Stopped before all groups were searched: the shares may come out "
                               "otherwise with more time.");
    add_prose(p, 0, 0);
}

/* What a grower would save by a season of its own; 0: nothing that matters. */
static double saves_alone(const sb_settlement *settlement, size_t party)
{
    double share = settlement->fair.share[party];
    double saves = share - settlement->alone[party].cost;
    return saves > SB_LEAVING_SHARE * fabs(share) ? saves : 0;
}

/* Growers who would pay less alone, in their own order. */
static void add_leaving_alone(page *p)
{
    const sb_settlement *settlement = p->settlement;
    size_t n = 0, left = 0;
    for (size_t i = 0; i < settlement->n_parties; i++) {
        double saves = saves_alone(settlement, i);
        if (!(saves > 0))
            continue;
        if (++n > MOST_LEAVING) {
            left++;
            continue;
        }
        sb_text_addf(&p->cell, n == 1 ? "By a season of its own %s would pay " : ", %s ",
                     settlement->parties[i].name);
        sb_words_money(&p->cell, p->season, saves);
        sb_text_addf(&p->cell, " less");
    }
    if (left > 0)
        sb_text_addf(&p->cell, ", and so would %zu more", left);
    if (n > 0)
        sb_text_addf(&p->cell, ".");
}

/* The group that would save most, where it has more than one member. */
static void add_leaving_group(page *p)
{
    const sb_fair *fair = &p->settlement->fair;
    bool one = (fair->leaving & (fair->leaving - 1)) == 0;
    const char *found = fair->proven == fair->coalitions ? "would" : "was found that would";
    if (one) {
        if (p->settlement->n_parties > 2)
            sb_text_addf(&p->cell, " No group of growers %s save more together.", found);
        return;
    }
    int named = 0;
    sb_text_addf(&p->cell, "%sBy a season of their own ", p->cell.count > 0 ? " " : "");
    for (size_t i = 0; i < p->settlement->n_parties; i++)
        if (fair->leaving >> i & 1)
            sb_text_addf(&p->cell, "%s%s", named++ > 0 ? ", " : "", p->settlement->parties[i].name);
    sb_text_addf(&p->cell, " would pay ");
    sb_words_money(&p->cell, p->season, fair->leaving_saves);
    sb_text_addf(&p->cell, " less together; no group %s save more.", found);
}

/* A plan that is dearer than separate seasons is no reason to share machines. */
static void add_all_apart(page *p)
{
    const sb_settlement *settlement = p->settlement;
    double apart = 0, plan = settlement->schemes[SB_SCHEME_PLAN].cost.total;
    for (size_t i = 0; i < settlement->n_parties; i++)
        apart += settlement->alone[i].cost;
    if (!(plan - apart > SB_LEAVING_SHARE * fabs(plan)))
        return;
    sb_text_addf(&p->cell, " All of them, each by a season of its own, would pay ");
    sb_words_money(&p->cell, p->season, plan - apart);
    sb_text_addf(&p->cell, " less than the plan costs.");
}

/* Why a season of one's own may be cheaper than a part of the cheapest plan. */
static void add_how_apart(page *p)
{
    bool several = p->season->setup.n_machines > 1;
    sb_text_addf(&p->cell,
                 " A season of one's own is reckoned with the machine%s to oneself, as %s "
                 "before the season%s.",
                 several ? "s" : "", several ? "they stand" : "it stands",
                 several ? ", and the fields split among them as here or all on one" : "");
}

static void add_leaving(page *p)
{
    const sb_fair *fair = &p->settlement->fair;
    if (!fair->exact)
        return;
    if (fair->leaving == 0) {
        sb_text_addf(&p->cell,
                     fair->proven == fair->coalitions
                         ? "No group of growers would pay less by a season of its own."
                     : fair->stopped
                         ? "Among the groups as far as they were searched none was found that "
                           "would pay less by a season of its own."
                         : "No group of growers was found that would pay less by a "
                           "season of its own; not every group's cheapest season is proven.");
    } else {
        add_leaving_alone(p);
        add_leaving_group(p);
        add_all_apart(p);
        add_how_apart(p);
    }
    add_prose(p, 0, 0);
}

static void add_money_lines(page *p)
{
    const sb_settlement *settlement = p->settlement;
    const sb_fair *fair = &settlement->fair;
    const sb_exchange *cleanest = &settlement->schemes[SB_SCHEME_CLEANEST_FIRST];
    const double *bears = settlement->schemes[SB_SCHEME_PLAN].bears;
    double sums[AMOUNTS] = {0};
    for (size_t i = 0; i <= settlement->n_parties; i++) {
        bool all = i == settlement->n_parties;
        if (!all) {
            double share = fair->known ? fair->share[i] : NAN;
            const double amounts[AMOUNTS] = {settlement->alone[i].cost,
                                             cleanest->known ? cleanest->bears[i] : NAN,
                                             share,
                                             sb_settlement_alternative(settlement, i) - share,
                                             bears[i],
                                             share - bears[i]};
            sb_columns_add(p->text, settlement->parties[i].name, NAME, false);
            for (int c = 0; c < AMOUNTS; c++) {
                sums[c] += amounts[c];
                add_amount(p, true, amounts[c]);
            }
        } else {
            sb_columns_add(p->text, "All", NAME, false);
            for (int c = 0; c < AMOUNTS; c++) /* gains are against this or that: no sum */
                add_amount(p, c != GAINS, sums[c]);
        }
        end_line(p);
    }
}

static void add_money(page *p)
{
    static const char *const HEADS[AMOUNTS] = {"alone", "cleanest first",    "fair share",
                                               "gains", "bears as it falls", "pays in"};
    sb_text_addf(p->text, "\n");
    sb_text_addf(&p->cell, "What each could have, should pay and bears, in %s",
                 p->season->setup.currency);
    add_prose(p, 0, 0);
    add_heads(p, "Grower", NAME, HEADS, AMOUNTS);
    add_money_lines(p);
    sb_text_addf(&p->cell,
                 "Gains: the fair share against the cheaper of alone (own fields only, on the "
                 "machine cheapest for them%s) and cleanest first (what falls on one when all are "
                 "cut that way). As it falls: loss and delay in the own fields, the move to each "
                 "and the cleanout before it; way home and final cleanout by hectares. Who pays "
                 "in (-: is paid) so much ends with the fair share.",
                 p->season->setup.n_machines > 1 ? " or split as here" : "");
    add_prose(p, 0, 0);
    if (!p->settlement->fair.known)
        return;
    add_how(p);
    add_leaving(p);
}

/* ---- Cleaning ---- */

static void add_payers(page *p, const double *pays, double cost)
{
    bool first = true;
    for (size_t i = 0; i < p->settlement->n_parties; i++) {
        if (!(pays[i] >= 0.005 * cost))
            continue;
        sb_text_addf(&p->cell, "%s%s %.0f %%", first ? "" : ", ", p->settlement->parties[i].name,
                     100 * pays[i] / cost);
        first = false;
    }
}

static void add_bill(page *p, const sb_bill *bill)
{
    const char *before = bill->field < 0 ? "at the end" : p->season->fields[bill->field].name;
    sb_text_addf(&p->cell, "%s%s %s", p->season->setup.cleanouts[bill->cleanout].id,
                 bill->field < 0 ? "" : " before", before);
    if (p->season->setup.n_machines > 1)
        sb_text_addf(&p->cell, " (%s)", p->season->setup.machines[bill->machine].name);
    sb_text_addf(&p->cell, ", ");
    sb_words_money(&p->cell, p->season, bill->cost);
    if (bill->charge == SB_CHARGE_FINAL)
        sb_text_addf(&p->cell, ", by hectares");
    else {
        sb_text_addf(&p->cell, ", prevents a loss of ");
        sb_words_money(&p->cell, p->season, bill->prevents);
        if (bill->charge == SB_CHARGE_DEMANDED)
            sb_text_addf(&p->cell, ", demanded on entry");
    }
    sb_text_addf(&p->cell, ": ");
    if (bill->cost > 0)
        add_payers(p, bill->pays, bill->cost);
    else
        sb_text_addf(&p->cell, "costs nothing");
    sb_text_addf(p->text, "- ");
    add_prose(p, 2, 2);
}

static void add_cleaning(page *p)
{
    const sb_settlement *settlement = p->settlement;
    double all = 0;
    for (size_t i = 0; i < settlement->n_parties; i++)
        all += settlement->cleaning[i];
    sb_text_addf(p->text, "\n");
    if (settlement->n_bills == 0) {
        sb_text_addf(p->text, "No cleanout is to be paid for.\n");
        return;
    }
    sb_text_addf(&p->cell, "Who made the cleanouts necessary: ");
    sb_words_money(&p->cell, p->season, all);
    sb_text_addf(&p->cell, " in all, divided over those whose seeds they stop, by the loss that "
                           "prevents");
    add_prose(p, 0, 0);
    for (size_t i = 0; i < settlement->n_parties; i++) {
        sb_columns_add(p->text, settlement->parties[i].name, NAME, false);
        add_amount(p, true, settlement->cleaning[i]);
        end_line(p);
    }
    for (size_t b = 0; b < settlement->n_bills; b++)
        add_bill(p, &settlement->bills[b]);
}

sb_status sb_render_settlement_text(const sb_season *season, const sb_settlement *settlement,
                                    sb_text *text)
{
    page p = {.season = season, .settlement = settlement, .text = text};
    sb_text_addf(&p.cell, "Settlement among %zu grower%s of a plan that costs ",
                 settlement->n_parties, settlement->n_parties == 1 ? "" : "s");
    sb_words_money(&p.cell, season, settlement->schemes[SB_SCHEME_PLAN].cost.total);
    add_prose(&p, 0, 0);
    sb_text_addf(text, "\n");
    add_crossings(&p);
    add_pairs(&p);
    add_money(&p);
    add_cleaning(&p);
    bool failed = text->failed || p.cell.failed;
    sb_text_release(&p.cell);
    return failed ? SB_ERR_NOMEM : SB_OK;
}
