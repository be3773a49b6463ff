/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What all cleanouts of a plan take, machine by machine and together, and the clean that ends the
 * season, to tick off. */
#include "base/text.h"
#include "write/cautions.h"
#include "write/columns.h"
#include "write/needs.h"
#include "write/page.h"
#include "write/stream.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

#define NAME 32 /* columns */
#define TIMES 5
#define MINUTES 12
#define MONEY 14

typedef struct list {
    const sb_season *season;
    const sb_plan *plan;
    sb_text *text;
} list;

static void add_cell(list *l, sb_text *cell, int width)
{
    sb_text_addf(l->text, " ");
    sb_columns_add(l->text, sb_text_get(cell), width, true);
    l->text->failed |= cell->failed;
    sb_text_clear(cell);
}

static void add_row(list *l, const char *name, const sb_needs *sum)
{
    sb_text cell = {0};
    sb_columns_add(l->text, name, NAME, false);
    sb_text_addf(&cell, "%.0f", sum->times);
    add_cell(l, &cell, TIMES);
    sb_words_minutes(&cell, sum->minutes);
    add_cell(l, &cell, MINUTES);
    sb_words_minutes(&cell, sum->person_minutes);
    add_cell(l, &cell, MINUTES);
    sb_words_money(&cell, l->season, sum->money);
    add_cell(l, &cell, MONEY);
    sb_text_addf(l->text, "\n");
    sb_text_release(&cell);
}

static void add_heads(list *l, const char *first)
{
    sb_columns_add(l->text, first, NAME, false);
    sb_text_addf(l->text, " %*s %*s %*s %*s\n", TIMES, "Times", MINUTES, "Time", MINUTES,
                 "People's", MONEY, "Supplies");
}

static void wrap(list *l, sb_text *words, int indent)
{
    sb_columns_wrap(l->text, sb_text_get(words), 0, indent);
    l->text->failed |= words->failed;
    sb_text_clear(words);
}

/* One machine's cleanouts by level. */
static sb_status add_machine(list *l, const sb_route *route)
{
    const sb_setup *setup = &l->season->setup;
    sb_status status = SB_OK;
    bool any = false;
    sb_text name = {0};
    sb_words_machine(&name, l->season, route->machine, sb_add_plain_name);
    add_heads(l, sb_text_get(&name));
    l->text->failed |= name.failed;
    sb_text_release(&name);
    for (int level = 1; status == SB_OK && level < (int)setup->n_cleanouts; level++) {
        sb_needs needs = {0};
        status = sb_needs_of_routes(&needs, l->season, route, 1, level);
        if (needs.times > 0)
            add_row(l, setup->cleanouts[level].name, &needs);
        any |= needs.times > 0;
        sb_needs_release(&needs);
    }
    if (!any)
        sb_text_addf(l->text, "no cleanout\n");
    sb_text_addf(l->text, "\n");
    return status;
}

/* All cleanouts of all machines together, and what to have at hand for them. */
static sb_status add_whole(list *l)
{
    sb_needs whole = {0};
    sb_text words = {0};
    sb_status status = sb_needs_of_routes(&whole, l->season, l->plan->routes, l->plan->n_routes, 0);
    add_heads(l, "Cleanouts of the season");
    add_row(l, "Together", &whole);
    for (size_t i = 0; i < whole.n_supplies; i++) {
        sb_text_addf(&words, "[ ] ");
        sb_need_words(&words, &whole.supplies[i], sb_add_plain_name);
        wrap(l, &words, 4);
    }
    sb_text_release(&words);
    sb_needs_release(&whole);
    return status;
}

static void add_final(list *l, const sb_route *route)
{
    const sb_setup *setup = &l->season->setup;
    int level = sb_page_level(route, route->n_stops);
    sb_text words = {0};
    if (level <= 0)
        return;
    const sb_cleanout *cleanout = &setup->cleanouts[level];
    sb_text_addf(&words, "\n%s ends the season with: %s, ", setup->machines[route->machine].name,
                 cleanout->name);
    sb_words_minutes(&words, cleanout->minutes);
    sb_text_addf(&words, ", %g people, ", cleanout->people);
    sb_words_moment(&words, &setup->calendar, route->final_clean_h, false);
    sb_text_addf(l->text, "\n");
    sb_columns_wrap(l->text, sb_text_get(&words) + 1, 0, 2);
    sb_text_clear(&words);
    sb_text_addf(&words, "[ ] Park where cleaning is done in the yard, %s.",
                 l->season->yards[l->season->joins[route->machine].yard].name);
    wrap(l, &words, 4);
    for (size_t i = 0; i < cleanout->n_steps; i++) {
        const sb_step *step = &cleanout->steps[i];
        const char *caution = sb_step_caution(step->section);
        sb_text_addf(&words, "[ ] %g min: %s%s%s", step->minutes, step->text,
                     caution != NULL ? " ! " : "", caution != NULL ? caution : "");
        wrap(l, &words, 4);
    }
    sb_text_addf(&words, "[ ] A second person has looked over the machine: ____________");
    wrap(l, &words, 4);
    sb_text_release(&words);
}

static void add_cautions(list *l)
{
    sb_text words = {0};
    sb_text_addf(l->text, "\nBefore anyone touches the machine\n");
    sb_text_addf(&words, "%s", sb_caution_first);
    wrap(l, &words, 0);
    for (size_t i = 0; i < sb_n_cautions; i++) {
        sb_text_addf(&words, "- %s", sb_cautions[i]);
        wrap(l, &words, 2);
    }
    sb_text_release(&words);
}

sb_status sb_print_checklist(const sb_season *season, const sb_plan *plan, FILE *stream)
{
    if (season == NULL || plan == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    list l = {season, plan, &text};
    sb_status status = SB_OK;
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++)
        status = add_machine(&l, &plan->routes[r]);
    if (status == SB_OK)
        status = add_whole(&l);
    for (size_t r = 0; r < plan->n_routes; r++)
        add_final(&l, &plan->routes[r]);
    add_cautions(&l);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}
