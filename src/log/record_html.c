/* SPDX-License-Identifier: GPL-3.0-or-later */
/* record.html: the record for paper, a grower a page. No script, nothing fetched. */
#include <math.h>

#include "log/record.h"
#include "write/html_text.h"
#include "write/receipts.h"
#include "write/words.h"

static const char HEAD[] =
    "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
    "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
    "<meta name=\"color-scheme\" content=\"light dark\">\n<title>Season record</title>\n"
    "<style>body{font:16px/1.4 sans-serif;max-width:72rem;margin:1rem auto;padding:0 1rem}"
    "table{border-collapse:collapse;width:100%}caption{text-align:left;font-weight:bold;"
    "padding:.3rem 0}th,td{border-bottom:1px solid;padding:.2rem .5rem;text-align:left;"
    "vertical-align:top}td.n,th.n{text-align:right;font-variant-numeric:tabular-nums}"
    ".wide{overflow-x:auto}code{overflow-wrap:anywhere}"
    "td.n{white-space:nowrap}@page{size:landscape;margin:10mm}"
    "@media print{section{break-after:page}tr{break-inside:avoid}"
    "body{font-size:9pt;margin:0;max-width:none;padding:0}}</style></head>\n"
    "<body><main>\n<h1>Season record</h1>\n";

static void add_cell(sb_text *text, const char *value)
{
    sb_text_addf(text, "<td>");
    if (value != NULL)
        sb_html_name(text, value);
    sb_text_addf(text, "</td>");
}

static void add_hectares(sb_text *text, double ha)
{
    sb_text_addf(text, "<td class=\"n\">");
    if (!isnan(ha))
        sb_text_addf(text, "%.1f", ha);
    sb_text_addf(text, "</td>");
}

static void add_amount(sb_text *text, double amount, const char *unit)
{
    sb_text_addf(text, "<td class=\"n\">");
    if (!isnan(amount)) {
        sb_words_seeds(text, amount);
        sb_text_addf(text, " %s", unit);
    }
    sb_text_addf(text, "</td>");
}

static void add_when(sb_text *text, const sb_log_entry *entry)
{
    char stamp[17];
    sb_text_addf(text, "<td>");
    if (entry->from != SB_NO_MOMENT) {
        sb_moment_format(entry->from, stamp);
        stamp[10] = ' ';
        sb_text_addf(text, "%s to ", stamp);
    }
    sb_moment_format(entry->to != SB_NO_MOMENT ? entry->to : entry->at, stamp);
    stamp[10] = ' ';
    sb_text_addf(text, "%s</td>", stamp);
}

/* How much of a tarp was looked through, and of one counted later when and by whom. */
static void add_counted(const sb_log *log, const sb_record_line *line, sb_text *text)
{
    const sb_log_entry *counted = &log->entries.items[line->counted];
    bool later = line->counted != line->entry;
    if (!isnan(counted->sample_kg))
        sb_text_addf(text, "%g kg of %g kg looked through%s", counted->sample_kg,
                     counted->sample_kg / sb_log_counted_share(log, line->entry, line->counted),
                     later ? ", " : "");
    if (!later)
        return;
    char stamp[17];
    sb_moment_format(counted->at, stamp);
    stamp[10] = ' ';
    sb_text_addf(text, "counted %s", stamp);
    if (counted->checked_by != NULL) {
        sb_text_addf(text, " by ");
        sb_html_name(text, counted->checked_by);
    }
}

/* What the line says beyond what was done, by which machine, when and how much. */
static void add_how(const sb_season *season, const sb_log *log, const sb_record_line *line,
                    sb_text *text)
{
    const sb_log_entry *entry = &log->entries.items[line->entry];
    sb_text_addf(text, "<td>");
    switch (line->kind) {
    case SB_RECORD_CUT:
        sb_text_addf(text, entry->part ? "a part" : "to its end");
        if (!isnan(entry->ha))
            sb_text_addf(text, ", the machine counted %.1f ha", entry->ha);
        if (!isnan(entry->left_ha))
            sb_text_addf(text, ", %.1f ha left standing", entry->left_ha);
        break;
    case SB_RECORD_CLEANED:
        sb_html_name(text, entry->cleanout);
        if (!isnan(entry->minutes))
            sb_text_addf(text, ", %.0f min", entry->minutes);
        if (entry->checked_by != NULL) {
            sb_text_addf(text, ", checked by ");
            sb_html_name(text, entry->checked_by);
        }
        break;
    case SB_RECORD_TARP:
        add_counted(log, line, text);
        break;
    case SB_RECORD_BROUGHT:
        sb_text_addf(text, "from ");
        sb_html_name(text, sb_origin_name(season, line->origin));
        if (line->origin < season->n_fields && season->fields[line->origin].grower >= 0) {
            sb_text_addf(text, ", ");
            sb_html_name(text, season->growers[season->fields[line->origin].grower]);
        }
        break;
    case SB_RECORD_SEEDLINGS:
        sb_text_addf(text, "%.0f m of the first pass walked", entry->strip_m);
        break;
    }
    sb_text_addf(text, "</td>");
}

static void add_line(const sb_log_state *state, const sb_record_line *line, sb_text *text)
{
    const sb_season *season = state->season;
    const sb_log_entry *entry = &state->log->entries.items[line->entry];
    sb_text_addf(text, "<tr><td class=\"n\">%ld", entry->number);
    if (line->counted != line->entry)
        sb_text_addf(text, ", %ld", state->log->entries.items[line->counted].number);
    sb_text_addf(text, "</td>");
    add_cell(text, season->fields[line->field].name);
    add_cell(text, sb_record_word(line->kind));
    add_when(text, entry);
    add_cell(text, entry->machine);
    add_hectares(text, line->cut_ha);
    add_how(season, state->log, line, text);
    add_cell(text, line->weed >= 0 ? season->setup.weeds[line->weed].name : NULL);
    add_amount(text, line->expected, "seeds");
    add_amount(text, line->found, line->kind == SB_RECORD_SEEDLINGS ? "seedlings" : "seeds");
    sb_text_addf(text, "</tr>\n");
}

static void open_grower(const sb_season *season, int grower, sb_text *text)
{
    sb_text_addf(text, "<section><h2>");
    sb_html_name(text, sb_record_grower(season, grower));
    sb_text_addf(
        text, "</h2>\n<div class=\"wide\" tabindex=\"0\"><table><caption>What was done, found and "
              "is expected</caption>\n<thead><tr><th scope=\"col\" class=\"n\">Entry</th><th "
              "scope=\"col\">Field</th><th scope=\"col\">What</th><th scope=\"col\">When</th><th "
              "scope=\"col\">Machine</th><th scope=\"col\" class=\"n\">ha cut</th><th "
              "scope=\"col\">How</th><th scope=\"col\">Weed</th><th scope=\"col\" class=\"n\">"
              "Expected</th><th scope=\"col\" class=\"n\">Found</th></tr></thead>\n"
              "<tbody>\n");
}

sb_status sb_render_record_html(const sb_record *record, sb_text *text)
{
    const sb_log_state *state = record->state;
    sb_text_addf(text,
                 "%s<p>Every line names the entry of the log that it rests on. Expected seeds "
                 "are worked out, found ones were counted; a counted sample is scaled up by "
                 "its weight. The log has %zu entries%s; its last seal is <code>%s</code>. "
                 "<code>seedbreak check</code> with the log verifies it.</p>\n",
                 HEAD, state->log->entries.count,
                 state->log->unsealed > 0 ? ", not all of them sealed" : "", state->log->seal);
    for (size_t i = 0; i < record->lines.count; i++) {
        const sb_record_line *line = &record->lines.items[i];
        if (i == 0 || line->grower != line[-1].grower)
            open_grower(state->season, line->grower, text);
        add_line(state, line, text);
        if (i + 1 == record->lines.count || line[1].grower != line->grower)
            sb_text_addf(text, "</tbody></table></div></section>\n");
    }
    sb_text_addf(text, "</main></body></html>\n");
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
