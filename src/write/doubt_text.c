/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bands, chances and drivers as tables 80 columns wide. */
#include <math.h>
#include <string.h>

#include "write/columns.h"
#include "write/doubt_out.h"
#include "write/words.h"

/* Column widths. */
#define FIELD 14
#define CELL 6 /* three bands of three numbers beside the field */
#define WIDE_NAME 24
#define WIDE_CELL 10
#define NUMBER 40
#define RANGE 22
#define SHARE 7

/* Numbers that explain less than this are not worth a line. */
#define LEAST_SHARE 0.005
#define MOST_DRIVERS 12

typedef void say(sb_text *text, double value);

static void cell(sb_text *text, const char *content, int width, bool right)
{
    sb_columns_add(text, content, width, right);
}

static void number_cell(sb_text *text, say *how, double value, int width)
{
    sb_text content = {0};
    how(&content, value);
    sb_text_add(text, " ", 1);
    cell(text, sb_text_get(&content), width, true);
    text->failed |= content.failed;
    sb_text_release(&content);
}

static void band_cells(sb_text *text, say *how, const sb_band *band, int width)
{
    number_cell(text, how, band->p5, width);
    number_cell(text, how, band->p50, width);
    number_cell(text, how, band->p95, width);
}

static void end_line(sb_text *text)
{
    while (text->count > 0 && text->bytes[text->count - 1] == ' ')
        text->bytes[--text->count] = '\0';
    sb_text_add(text, "\n", 1);
}

static void paragraph(sb_text *text, const char *content)
{
    sb_text_add(text, "   ", 3);
    sb_columns_wrap(text, content, 3, 3);
}

static void band_line(sb_text *text, const char *name, say *how, const sb_band *band)
{
    cell(text, name, WIDE_NAME, false);
    band_cells(text, how, band, WIDE_CELL);
    number_cell(text, how, band->mean, WIDE_CELL);
    number_cell(text, how, band->central, WIDE_CELL);
    end_line(text);
}

static void totals(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                   sb_text *text)
{
    sb_text name = {0};
    sb_text_addf(text, "%llu seasons drawn, seed %llu\n\n",
                 (unsigned long long)(doubt->last - doubt->first + 1),
                 (unsigned long long)doubt->seed);
    cell(text, "The plan", WIDE_NAME, false);
    static const char *const heads[] = {"5 %", "50 %", "95 %", "mean", "as planned"};
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        sb_text_add(text, " ", 1);
        cell(text, heads[i], WIDE_CELL, true);
    }
    end_line(text);
    band_line(text, "Seeds brought", sb_words_seeds, &f->total[SB_SAMPLED_SEEDS]);
    band_line(text, "Plants next year", sb_words_seeds, &f->total[SB_SAMPLED_PLANTS]);
    sb_text_addf(&name, "Spread, %s", season->setup.currency);
    band_line(text, sb_text_get(&name), sb_words_whole_amount, &f->total[SB_SAMPLED_LOSS]);
    sb_text_clear(&name);
    sb_text_addf(&name, "Total, %s", season->setup.currency);
    band_line(text, sb_text_get(&name), sb_words_whole_amount, &f->cost);
    text->failed |= name.failed;
    sb_text_release(&name);
    paragraph(text, "One season in twenty lies below the first number, one in twenty above the "
                    "third. Roads, cleaning and delay cost the same in every one.");
}

/* A share of the samples; never "100 %" of something that did not always happen. */
static void add_share(sb_text *text, double share)
{
    double percent = 100 * share;
    if (percent < 100 && percent >= 99.95)
        sb_text_addf(text, ">99.9 %%");
    else
        sb_text_addf(text, "%.1f %%", percent);
}

/* How often each plan would have been the best one. */
static void cheapest(const sb_doubt *doubt, const sb_findings *f, sb_text *text)
{
    sb_text share = {0};
    sb_text_addf(text, "\n");
    cell(text, "Of all of them", WIDE_NAME, false);
    sb_text_addf(text, "  cheapest in\n");
    for (size_t r = 0; r <= f->n_rivals; r++) {
        cell(text, r == 0 ? "this plan" : doubt->rival_names[r - 1], WIDE_NAME, false);
        sb_text_clear(&share);
        add_share(&share, f->cheapest[r]);
        sb_text_add(text, "  ", 2);
        cell(text, sb_text_get(&share), WIDE_CELL + 1, true);
        end_line(text);
    }
    text->failed |= share.failed;
    sb_text_release(&share);
}

static void rivals(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                   sb_text *text)
{
    if (f->n_rivals == 0)
        return;
    sb_text content = {0};
    sb_text_addf(text, "\nAgainst its rivals\n");
    cell(text, "Rival", WIDE_NAME, false);
    sb_text_addf(text, " beaten in   dearer by, %.12s: 5, 50, 95 %%, as planned\n",
                 season->setup.currency);
    for (size_t r = 0; r < f->n_rivals; r++) {
        cell(text, doubt->rival_names[r], WIDE_NAME, false);
        sb_text_clear(&content);
        add_share(&content, f->chance[r].beats);
        sb_text_add(text, " ", 1);
        cell(text, sb_text_get(&content), WIDE_CELL - 1, true);
        band_cells(text, sb_words_whole_amount, &f->chance[r].dearer, WIDE_CELL);
        number_cell(text, sb_words_whole_amount, f->chance[r].dearer.central, WIDE_CELL);
        end_line(text);
    }
    cheapest(doubt, f, text);
    text->failed |= content.failed;
    sb_text_release(&content);
}

/* Money in a narrow column: like seeds, but cents are nothing. */
static void short_money(sb_text *text, double money)
{
    if (money < 0.5)
        sb_text_addf(text, "0");
    else
        sb_words_seeds(text, fmax(money, 1));
}

static void rows(sb_text *text, const char *name, const sb_band *bands)
{
    cell(text, name, FIELD, false);
    band_cells(text, sb_words_seeds, &bands[SB_SAMPLED_SEEDS], CELL);
    band_cells(text, sb_words_seeds, &bands[SB_SAMPLED_PLANTS], CELL);
    band_cells(text, short_money, &bands[SB_SAMPLED_LOSS], CELL);
    end_line(text);
}

static void tables(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                   sb_text *text)
{
    sb_text head = {0};
    sb_text_addf(&head, "loss, %s", season->setup.currency);
    sb_text_addf(text, "\n%*s", FIELD, "");
    static const char *const kinds[] = {"seeds brought", "plants next year"};
    for (size_t i = 0; i <= 2; i++) {
        sb_text_add(text, " ", 1);
        cell(text, i < 2 ? kinds[i] : sb_text_get(&head), 3 * CELL + 2, true);
    }
    sb_text_addf(text, "\n");
    cell(text, "Field", FIELD, false);
    for (int i = 0; i < 3; i++)
        sb_text_addf(text, " %*s %*s %*s", CELL, "5 %", CELL, "50 %", CELL, "95 %");
    sb_text_addf(text, "\n");
    for (size_t i = 0; i < f->n_fields; i++)
        rows(text, season->fields[i].name, f->field + i * SB_SAMPLED_KINDS);
    for (size_t w = 0; w < f->n_weeds; w++) {
        sb_text_clear(&head);
        sb_text_addf(&head, "all %s", season->setup.weeds[doubt->weed[w]].name);
        rows(text, sb_text_get(&head), f->weed + w * SB_SAMPLED_KINDS);
    }
    text->failed |= head.failed;
    sb_text_release(&head);
}

static void drivers(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                    sb_text *text)
{
    sb_text name = {0}, range = {0};
    double explained = 0;
    if (!(f->total[SB_SAMPLED_LOSS].mean > 0))
        return; /* nothing is lost in any season */
    sb_text_addf(text, "\n");
    cell(text, "What drives the expected loss", NUMBER, false);
    sb_text_addf(text, " ");
    cell(text, "may lie", RANGE, true);
    sb_text_addf(text, " %*s %*s\n", SHARE, "share", SHARE, "rank");
    for (size_t d = 0; d < f->n_drivers; d++) {
        const sb_driver *driver = &f->driver[d];
        const sb_spread *spread = &doubt->spreads.items[driver->spread];
        explained += driver->first_order;
        if (d >= MOST_DRIVERS || driver->first_order < LEAST_SHARE)
            continue;
        sb_text_clear(&name);
        sb_text_clear(&range);
        sb_spread_name(season, spread, &name);
        sb_spread_range(season, spread, &range);
        cell(text, sb_text_get(&name), NUMBER, false);
        sb_text_add(text, " ", 1);
        cell(text, sb_text_get(&range), RANGE, true);
        sb_text_addf(text, " %*.1f %% %+*.2f\n", SHARE - 2, 100 * driver->first_order, SHARE,
                     driver->rank);
    }
    sb_text_clear(&name);
    sb_text_addf(&name,
                 "Share: of the variance of the loss that this number explains alone (first-order "
                 "index), %.0f %% in all; the rest comes of several together. Rank: rank "
                 "correlation with the loss. What is not rated is taken as clean, what was "
                 "counted as a density as exact.",
                 fmin(100 * explained, 100));
    paragraph(text, sb_text_get(&name));
    text->failed |= name.failed || range.failed;
    sb_text_release(&name);
    sb_text_release(&range);
}

sb_status sb_render_doubt_text(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                               sb_text *text)
{
    totals(season, doubt, f, text);
    rivals(season, doubt, f, text);
    tables(season, doubt, f, text);
    drivers(season, doubt, f, text);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
