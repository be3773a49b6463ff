/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `check`: the fields in a table 80 columns wide, then what is doubtful, then what is assumed. */
#include "base/report.h"
#include "season/season.h"
#include "write/check_rules.h"
#include "write/columns.h"
#include "write/stream.h"

/* Column widths; grower and field share what is left of the page. */
#define MIN_GROWER 10
#define AREA 8
#define CROP 8
#define RATING 9        /* beside the crop */
#define NARROW_RATING 7 /* in a table of their own */
#define WEEDS_BESIDE 3  /* more would leave no room for the field's name */

typedef struct page {
    const sb_season *season;
    sb_text *text;
    size_t weeds[SB_MAX_WEEDS]; /* rated somewhere */
    size_t n_weeds;
} page;

static void cell(page *p, const char *content, int width, bool right)
{
    if (p->text->count > 0 && p->text->bytes[p->text->count - 1] != '\n')
        sb_text_add(p->text, " ", 1);
    sb_columns_add(p->text, content, width, right);
}

static void end_line(page *p)
{
    sb_text *text = p->text;
    while (text->count > 0 && text->bytes[text->count - 1] == ' ')
        text->bytes[--text->count] = '\0';
    sb_text_add(text, "\n", 1);
}

static void paragraph(page *p, const char *content, int indent)
{
    for (int i = 0; i < indent; i++)
        sb_text_add(p->text, " ", 1);
    sb_columns_wrap(p->text, content, indent, indent + 2);
}

static void heading(page *p, const char *content)
{
    sb_text_addf(p->text, "\n%s\n", content);
}

/* "3", "3 d" (a density was stated) or "3 p4" (mean of 4 scouting points); "-" unrated. */
static void rating_cell(page *p, const sb_field *field, size_t weed, int width)
{
    const sb_rating *rating = &field->ratings[weed];
    const char *class_label = p->season->setup.scale.labels[rating->class_index];
    sb_text content = {0};
    if (rating->source == SB_RATING_NONE)
        sb_text_addf(&content, "-");
    else if (rating->source == SB_RATING_SCOUTED)
        sb_text_addf(&content, "%s p%zu", class_label, rating->n_points);
    else
        sb_text_addf(&content, "%s%s", class_label,
                     rating->source == SB_RATING_DENSITY ? " d" : "");
    cell(p, sb_text_get(&content), width, true);
    p->text->failed |= content.failed;
    sb_text_release(&content);
}

/* The head of a table: the line that was laid out in `first`, and the rated weeds, if any. */
static void heads(page *p, page *first, size_t n_weeds, int width)
{
    const char *names[SB_MAX_WEEDS];
    int widths[SB_MAX_WEEDS];
    for (size_t i = 0; i < n_weeds; i++) {
        names[i] = p->season->setup.weeds[p->weeds[i]].name;
        widths[i] = width;
    }
    sb_columns_heads(p->text, sb_text_get(first->text), names, widths, (int)n_weeds);
    p->text->failed |= first->text->failed;
    sb_text_release(first->text);
}

static void ratings(page *p, const sb_field *field, int width)
{
    for (size_t i = 0; i < p->n_weeds; i++)
        rating_cell(p, field, p->weeds[i], width);
    end_line(p);
}

/* Growers get what field names leave over, but no more than they need. */
static int grower_width(const sb_season *season, int room)
{
    int names = 0, wanted = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        int width = sb_columns_width(season->fields[i].name);
        names = width > names ? width : names;
    }
    for (size_t i = 0; i < season->n_growers; i++) {
        int width = sb_columns_width(season->growers[i]);
        wanted = width > wanted ? width : wanted;
    }
    int width = wanted < room - names ? wanted : room - names;
    return width > MIN_GROWER ? width : MIN_GROWER;
}

static void fields(page *p)
{
    const sb_season *season = p->season;
    bool beside = p->n_weeds <= WEEDS_BESIDE;
    int room = SB_PAGE_COLUMNS - AREA - CROP - 3 - (beside ? (int)p->n_weeds * (RATING + 1) : 0);
    int grower = grower_width(season, room);
    int name = room - grower;
    sb_text line = {0};
    page first = {.season = season, .text = &line};
    cell(&first, "Field", name, false);
    cell(&first, "Grower", grower, false);
    cell(&first, "ha", AREA, true);
    cell(&first, "Crop", CROP, false);
    heads(p, &first, beside ? p->n_weeds : 0, RATING);
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        sb_text area = {0};
        sb_text_addf(&area, field->area_ha < 0.1 ? "%.4f" : "%.2f", field->area_ha);
        cell(p, field->name, name, false);
        cell(p, field->grower < 0 ? "-" : season->growers[field->grower], grower, false);
        cell(p, sb_text_get(&area), AREA, true);
        cell(p, season->setup.crops[field->crop].name, CROP, false);
        p->text->failed |= area.failed;
        sb_text_release(&area);
        if (beside)
            ratings(p, field, RATING);
        else
            end_line(p);
    }
}

static void ratings_table(page *p)
{
    int name = SB_PAGE_COLUMNS - (int)p->n_weeds * (NARROW_RATING + 1);
    sb_text_add(p->text, "\n", 1);
    sb_text line = {0};
    page first = {.season = p->season, .text = &line};
    cell(&first, "Ratings", name, false);
    heads(p, &first, p->n_weeds, NARROW_RATING);
    for (size_t i = 0; i < p->season->n_fields; i++) {
        cell(p, p->season->fields[i].name, name, false);
        ratings(p, &p->season->fields[i], NARROW_RATING);
    }
}

static void legend(page *p)
{
    if (p->n_weeds == 0)
        return;
    sb_text line = {0};
    sb_text_addf(&line,
                 "Ratings: classes of the scale '%s'. A class alone is stated for the field; d: "
                 "the class of a density stated for it; p4: the class of the mean of 4 scouting "
                 "points; -: unrated.",
                 p->season->setup.scale.id);
    sb_text_add(p->text, "\n", 1);
    paragraph(p, sb_text_get(&line), 0);
    p->text->failed |= line.failed;
    sb_text_release(&line);
}

static void totals(page *p)
{
    const sb_season *season = p->season;
    double area_ha = 0, grain_t = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        area_ha += season->fields[i].area_ha;
        grain_t += season->fields[i].grain_t;
    }
    sb_text line = {0};
    sb_text_addf(&line,
                 "%zu field%s, %.1f ha, %.0f t of grain; %zu machine%s; yard%s: ", season->n_fields,
                 season->n_fields == 1 ? "" : "s", area_ha, grain_t, season->setup.n_machines,
                 season->setup.n_machines == 1 ? "" : "s", season->n_yards == 1 ? "" : "s");
    for (size_t i = 0; i < season->n_yards; i++)
        sb_text_addf(&line, "%s%s", i > 0 ? ", " : "", season->yards[i].name);
    sb_text_add(p->text, "\n", 1);
    paragraph(p, sb_text_get(&line), 0);
    p->text->failed |= line.failed;
    sb_text_release(&line);
}

/* ---- Doubts, notes, assumptions ---- */

static size_t messages(page *p, const sb_report *report, sb_severity severity, const char *title)
{
    size_t n = 0;
    for (size_t i = 0; report != NULL && i < sb_report_count(report); i++) {
        sb_message message = sb_report_get(report, i);
        if (message.severity != severity)
            continue;
        if (n++ == 0)
            heading(p, title);
        sb_text line = {0};
        sb_text_addf(&line, "- ");
        if (message.file != NULL)
            sb_text_addf(&line, "%s:", message.file);
        if (message.file != NULL && message.line > 0)
            sb_text_addf(&line, "%zu:", message.line);
        sb_text_addf(&line, "%s%s", message.file != NULL ? " " : "", message.text);
        paragraph(p, sb_text_get(&line), 0);
        p->text->failed |= line.failed;
        sb_text_release(&line);
    }
    return n;
}

/* Ratings that nobody confirmed by walking the field. */
static size_t unscouted(page *p, bool under_heading)
{
    size_t n = 0;
    sb_text line = {0};
    sb_text_addf(&line, "- rated without a scouting point: ");
    for (size_t i = 0; i < p->n_weeds; i++) {
        size_t count = 0, rated = 0;
        for (size_t f = 0; f < p->season->n_fields; f++) {
            sb_rating_source source = p->season->fields[f].ratings[p->weeds[i]].source;
            rated += source != SB_RATING_NONE;
            count += source == SB_RATING_CLASS;
        }
        if (count > 0)
            sb_text_addf(&line, "%s%s in %zu of %zu rated fields", n++ > 0 ? ", " : "",
                         p->season->setup.weeds[p->weeds[i]].name, count, rated);
    }
    if (n > 0 && !under_heading)
        heading(p, "Doubtful");
    if (n > 0)
        paragraph(p, sb_text_get(&line), 0);
    p->text->failed |= line.failed;
    sb_text_release(&line);
    return n;
}

static void assumptions(page *p)
{
    heading(p, "Assumed");
    for (size_t i = 0; i < p->season->assumptions.count; i++) {
        const sb_assumption *assumption = &p->season->assumptions.items[i];
        sb_text line = {0};
        sb_text_addf(&line, "- %s", assumption->text);
        paragraph(p, sb_text_get(&line), 0);
        sb_text_clear(&line);
        sb_text_addf(&line, "source: %s", assumption->source);
        paragraph(p, sb_text_get(&line), 4);
        p->text->failed |= line.failed;
        sb_text_release(&line);
    }
    if (p->season->assumptions.count == 0)
        paragraph(p, "Nothing: the files say it all.", 0);
}

static void render(page *p, const sb_report *report)
{
    const sb_season *season = p->season;
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        bool rated = false;
        for (size_t i = 0; i < season->n_fields; i++)
            rated = rated || season->fields[i].ratings[w].source != SB_RATING_NONE;
        if (rated)
            p->weeds[p->n_weeds++] = w;
    }
    fields(p);
    if (p->n_weeds > WEEDS_BESIDE)
        ratings_table(p);
    totals(p);
    legend(p);
    sb_add_check_rules(season, p->text);
    size_t doubts = messages(p, report, SB_WARNING, "Doubtful");
    doubts += unscouted(p, doubts > 0);
    if (doubts == 0)
        sb_text_addf(p->text, "\nNothing doubtful was found.\n");
    messages(p, report, SB_NOTE, "Noted");
    assumptions(p);
}

sb_status sb_print_check(const sb_season *season, const sb_report *report, FILE *stream)
{
    if (season == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    page p = {.season = season, .text = &text};
    render(&p, report);
    sb_status status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}
