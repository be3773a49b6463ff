/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What becomes of patches, and what else could: a table and a sentence for each. */
#include <math.h>

#include "order/patches.h"
#include "write/columns.h"
#include "write/stream.h"
#include "write/words.h"

#define NAME 26 /* columns */
#define AREA 8
#define COST 14

static const char *const WORDS[SB_PATCH_FATES] = {[SB_PATCH_CUT] = "cut with the field",
                                                  [SB_PATCH_LAST] = "cut last",
                                                  [SB_PATCH_LEAVE] = "left standing"};

static void add_cell(sb_text *text, sb_text *cell, int width)
{
    sb_text_addf(text, " ");
    sb_columns_add(text, sb_text_get(cell), width, true);
    text->failed |= cell->failed;
    sb_text_release(cell);
}

/* What the season comes to with each fate of one patch. */
static void add_row(const sb_patches *patches, size_t p, sb_text *text)
{
    const sb_patch *patch = &patches->season->patches.items[p];
    sb_text area = {0};
    sb_columns_add(text, patch->name, NAME, false);
    sb_words_area(&area, patch->area_ha);
    add_cell(text, &area, AREA);
    for (int fate = 0; fate < SB_PATCH_FATES; fate++) {
        const sb_patches_tried *tried = sb_patches_otherwise(patches, p, (sb_patch_fate)fate);
        sb_text cell = {0};
        if (tried != NULL && isfinite(tried->cost.total))
            sb_text_add_amount(&cell, tried->cost.total + tried->given_up);
        else
            sb_text_addf(&cell, "no plan");
        sb_text_addf(&cell, patch->fate == (sb_patch_fate)fate ? "*" : "");
        add_cell(text, &cell, COST);
    }
    sb_text_addf(text, "\n");
}

static void add_money(const sb_patches *patches, double money, sb_text *words)
{
    sb_words_money(words, patches->season, fabs(money));
}

/* "Thistles: left standing saves 310 USD of spread and ...". */
static void add_sentence(const sb_patches *patches, size_t p, sb_patch_fate fate, sb_text *text)
{
    const sb_patches_tried *cut = sb_patches_otherwise(patches, p, SB_PATCH_CUT);
    const sb_patches_tried *tried = sb_patches_otherwise(patches, p, fate);
    if (cut == NULL || tried == NULL || !isfinite(cut->cost.total) || !isfinite(tried->cost.total))
        return;
    double spread = cut->cost.spread - tried->cost.spread;
    double other = cut->cost.total - cut->cost.spread - (tried->cost.total - tried->cost.spread);
    double grain = tried->given_up - cut->given_up, net = spread + other - grain;
    sb_text words = {0};
    sb_text_addf(&words, "%s, %s: %s ", patches->season->patches.items[p].name, WORDS[fate],
                 spread >= 0 ? "saves" : "costs");
    add_money(patches, spread, &words);
    sb_text_addf(&words, " of spread, %s ", other >= 0 ? "saves" : "costs");
    add_money(patches, other, &words);
    sb_text_addf(&words, " of roads, cleaning and delay");
    if (grain > 0) {
        sb_text_addf(&words, ", gives up ");
        add_money(patches, grain, &words);
        sb_text_addf(&words, " of grain");
    }
    sb_text_addf(&words, "; net %s", net >= 0 ? "" : "-");
    add_money(patches, net, &words);
    sb_text_addf(&words, ".");
    sb_columns_wrap(text, sb_text_get(&words), 0, 2);
    text->failed |= words.failed;
    sb_text_release(&words);
}

/* "Salt Flat patch is proposed: the land within 138 m of 2 of 7 scouting points ...". */
static void add_proposal(const sb_patches *patches, const sb_scouted_patch *patch, sb_text *text)
{
    const sb_setup *setup = &patches->season->setup;
    sb_text words = {0};
    sb_text_addf(&words, "%s is proposed: the land of %s within ", patch->name, patch->field);
    sb_words_metres(&words, patch->radius_m);
    sb_text_addf(&words, " of %zu of its %zu scouting points,", patch->n_points, patch->n_scouted);
    const char *between = " with";
    for (size_t w = 0; w < setup->n_weeds; w++)
        if (patch->dense[w]) {
            sb_text_addf(&words, "%s %.3g %s/m2 where the field has %.3g elsewhere", between,
                         patch->plants_m2[w], setup->weeds[w].name, patch->rest_plants_m2[w]);
            between = " and";
        }
    sb_text_addf(&words, ".");
    sb_columns_wrap(text, sb_text_get(&words), 0, 2);
    text->failed |= words.failed;
    sb_text_release(&words);
}

/* A search that stopped may have missed what would turn the table round. */
static void add_unproven(const sb_patches *patches, sb_text *words)
{
    size_t open = 0;
    for (size_t i = 0; i < patches->tried.count; i++)
        open += !patches->tried.items[i].proven;
    if (open > 0)
        sb_text_addf(words,
                     " For %zu of the %zu seasons tried the search stopped before its plan was "
                     "proven cheapest: the choice may come out otherwise with more time.",
                     open, patches->tried.count);
}

sb_status sb_print_patches(const sb_patches *patches, FILE *stream)
{
    if (patches == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_columns_add(&text, "Patch", NAME, false);
    sb_text_addf(&text, " %*s %*s %*s %*s\n", AREA, "area", COST, "with the field", COST,
                 "cut last", COST, "standing");
    for (size_t p = 0; p < patches->n; p++)
        add_row(patches, p, &text);
    sb_text words = {0}, currency = {0};
    sb_words_currency(&currency, patches->season);
    sb_text_addf(&words,
                 "%s of the whole season with its best order and cleanouts, which may differ from "
                 "column to column; grain left standing included; * is the cheapest, %s.",
                 sb_text_get(&currency),
                 patches->all ? "of every combination" : "tried patch by patch");
    add_unproven(patches, &words);
    sb_columns_wrap(&text, sb_text_get(&words), 0, 0);
    text.failed |= words.failed || currency.failed;
    sb_text_release(&words);
    sb_text_release(&currency);
    for (size_t i = 0; i < patches->scouted.count; i++)
        add_proposal(patches, &patches->scouted.items[i], &text);
    for (size_t p = 0; p < patches->n; p++) {
        add_sentence(patches, p, SB_PATCH_LAST, &text);
        add_sentence(patches, p, SB_PATCH_LEAVE, &text);
    }
    sb_text_addf(&text, "\n");
    sb_status status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}
