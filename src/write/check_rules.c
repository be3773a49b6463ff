/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/check_rules.h"

#include <math.h>

#include "season/service.h"
#include "write/columns.h"

/* Ends a line of a list and empties it. */
static void end_line(sb_text *text, sb_text *line)
{
    sb_columns_wrap(text, sb_text_get(line), 0, 2);
    text->failed |= line->failed;
    sb_text_clear(line);
}

static bool is_bound(const sb_machine *machine)
{
    return machine->from_day != SB_NO_DAY || machine->to_day != SB_NO_DAY ||
           machine->cuts_crop != NULL || isfinite(machine->most_slope_percent);
}

static void add_day(sb_text *line, const char *word, int day)
{
    char date[11];
    if (day == SB_NO_DAY)
        return;
    sb_date_format(day, date);
    sb_text_addf(line, " %s %s", word, date);
}

static void add_machine(const sb_season *season, int m, sb_text *line)
{
    const sb_setup *setup = &season->setup;
    const sb_machine *machine = &setup->machines[m];
    size_t may_cut = 0;
    for (int j = 0; j < (int)season->n_fields; j++)
        may_cut += sb_season_may_cut(season, m, j);
    sb_text_addf(line, "- %s", machine->id);
    if (sb_has_own_name(machine))
        sb_text_addf(line, " (%s)", machine->name);
    sb_text_addf(line, ": yard %s, %g ha/h, header %g m", season->yards[season->joins[m].yard].name,
                 machine->ha_per_hour, machine->header_m);
    if (machine->from_day != SB_NO_DAY || machine->to_day != SB_NO_DAY) {
        sb_text_addf(line, "; at work");
        add_day(line, "from", machine->from_day);
        add_day(line, "to", machine->to_day);
    }
    if (isfinite(machine->season_hours))
        sb_text_addf(line, "; %g hours this season", machine->season_hours);
    if (machine->cuts_crop != NULL) {
        sb_text_addf(line, "; cuts");
        bool begun = false;
        for (size_t c = 0; c < setup->n_crops; c++)
            if (machine->cuts_crop[c]) {
                sb_text_addf(line, "%s %s", begun ? "," : "", setup->crops[c].id);
                begun = true;
            }
    }
    if (isfinite(machine->most_slope_percent))
        sb_text_addf(line, "; slopes of up to %g %%", machine->most_slope_percent);
    sb_text_addf(line, "; may cut %zu of %zu fields", may_cut, season->n_fields);
}

static void add_machines(const sb_season *season, sb_text *text, sb_text *line)
{
    const sb_setup *setup = &season->setup;
    bool told = setup->n_machines > 1;
    for (size_t m = 0; m < setup->n_machines; m++)
        told = told || is_bound(&setup->machines[m]);
    if (!told)
        return;
    sb_text_addf(text, "\nMachines\n");
    for (size_t m = 0; m < setup->n_machines; m++) {
        add_machine(season, (int)m, line);
        end_line(text, line);
    }
}

static void add_resources(const sb_season *season, sb_text *text, sb_text *line)
{
    const sb_setup *setup = &season->setup;
    if (setup->n_resources > 0)
        sb_text_addf(text, "\nShared by the machines\n");
    for (size_t r = 0; r < setup->n_resources; r++) {
        const sb_resource *resource = &setup->resources[r];
        sb_text_addf(line, "- %s: %d, needed by", resource->name, resource->count);
        bool begun = false;
        for (size_t c = 0; c < setup->n_cleanouts; c++)
            if (setup->cleanouts[c].needs >> r & 1) {
                sb_text_addf(line, "%s %s", begun ? "," : "", setup->cleanouts[c].id);
                begun = true;
            }
        sb_text_addf(line, begun ? "" : " no cleanout");
        end_line(text, line);
    }
}

/* "may be cut by a, b; not by c: its header ..." when some machine may not. */
static void add_service(const sb_season *season, int j, sb_text *line)
{
    sb_text able = {0}, unable = {0};
    for (int m = 0; m < (int)season->setup.n_machines; m++) {
        const char *id = season->setup.machines[m].id;
        if (sb_season_may_cut(season, m, j)) {
            sb_text_addf(&able, "%s%s", able.count > 0 ? ", " : "", id);
            continue;
        }
        sb_text_addf(&unable, "; not by %s: ", id);
        sb_season_add_hindrance(season, m, j, &unable);
    }
    if (unable.count > 0)
        sb_text_addf(line, "; may be cut by %s%s", able.count > 0 ? able.bytes : "no machine",
                     unable.bytes);
    line->failed |= able.failed || unable.failed;
    sb_text_release(&able);
    sb_text_release(&unable);
}

static void add_fields(const sb_season *season, sb_text *text, sb_text *line)
{
    bool begun = false;
    for (int j = 0; j < (int)season->n_fields; j++) {
        const sb_field *field = &season->fields[j];
        sb_text rules = {0};
        if (field->whole != NULL && field->part == 0)
            sb_text_addf(&rules, "; patch of %s", field->whole);
        else if (field->whole != NULL)
            sb_text_addf(&rules, "; part %d of %d of %s", field->part, field->n_split,
                         field->whole);
        for (size_t a = 0; a < field->n_apart; a++) {
            int cleanout = field->apart[a].cleanout;
            sb_text_addf(&rules, "; never after %s without cleanout '%s'",
                         season->growers[field->apart[a].grower],
                         cleanout < 0 ? "any full" : season->setup.cleanouts[cleanout].id);
        }
        add_service(season, j, &rules);
        if (rules.count > 0) {
            if (!begun)
                sb_text_addf(text, "\nRules about machines\n");
            begun = true;
            sb_text_addf(line, "- %s: %s", field->name, rules.bytes + 2);
            end_line(text, line);
        }
        text->failed |= rules.failed;
        sb_text_release(&rules);
    }
}

/* What growers may be expected to lose. */
static void add_growers(const sb_season *season, sb_text *text, sb_text *line)
{
    const sb_setup *setup = &season->setup;
    double each = setup->limits.loss_per_grower;
    if (isinf(each) && season->grower_most == NULL)
        return;
    sb_text_addf(text, "\nMost expected loss from the seeds that machines bring\n");
    for (size_t g = 0; season->grower_most != NULL && g < season->n_growers; g++)
        if (season->grower_most[g] < each) {
            sb_text_addf(line, "- %s: %g %s", season->growers[g], season->grower_most[g],
                         setup->currency);
            end_line(text, line);
        }
    if (isfinite(each)) {
        sb_text_addf(line, "- %s grower: %g %s",
                     season->grower_most != NULL ? "every other" : "every", each, setup->currency);
        end_line(text, line);
    }
}

void sb_add_check_rules(const sb_season *season, sb_text *text)
{
    sb_text line = {0};
    add_machines(season, text, &line);
    add_resources(season, text, &line);
    add_fields(season, text, &line);
    add_growers(season, text, &line);
    sb_text_release(&line);
}
