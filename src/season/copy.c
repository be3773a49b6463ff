/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A deep copy of a season, whole or of some of its fields and machines. */
#include <string.h>

#include "base/mem.h"
#include "season/season.h"

typedef struct season_copy {
    const sb_season *from;
    sb_season *to;
    const bool *keep_field, *keep_machine; /**< NULL: all */
    int *becomes; /**< by place of the old season: its place in the copy; -1: left out */
} season_copy;

static size_t count_kept(const bool *keep, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        kept += keep == NULL || keep[i];
    return kept;
}

/* ---- Outlines and fields ---- */

static bool copy_outline(sb_field *to, const sb_field *from)
{
    to->parts = sb_alloc(from->n_parts, sizeof *to->parts);
    to->n_parts = to->parts != NULL ? from->n_parts : 0;
    if (to->parts == NULL)
        return false;
    for (size_t i = 0; i < from->n_parts; i++)
        if (sb_part_copy(&from->parts[i], &to->parts[i]) != SB_OK)
            return false;
    return true;
}

static bool copy_points(sb_field *to, const sb_field *from)
{
    to->points = sb_alloc(from->n_points, sizeof *to->points);
    to->n_points = to->points != NULL ? from->n_points : 0;
    if (to->points == NULL)
        return false;
    for (size_t i = 0; i < from->n_points; i++) {
        to->points[i] = from->points[i];
        to->points[i].name = NULL;
    }
    for (size_t i = 0; i < from->n_points; i++)
        if (!sb_copy_text(&to->points[i].name, from->points[i].name))
            return false;
    return true;
}

/* A file name that the old season owns, as the copy owns it. */
static const char *own_file(const season_copy *copying, const char *file)
{
    for (size_t i = 0; i < copying->from->files.count; i++)
        if (copying->from->files.items[i] == file)
            return copying->to->files.items[i];
    return NULL;
}

static void own_stated(const season_copy *copying, sb_stated *at)
{
    at->file = own_file(copying, at->file);
}

/* Rules about a field that is left out go with it. */
static bool copy_after(const season_copy *copying, sb_field *to, const sb_field *from)
{
    to->after = sb_alloc(from->n_after, sizeof *to->after);
    to->after_at = sb_alloc(from->n_after, sizeof *to->after_at);
    if (to->after == NULL || to->after_at == NULL)
        return false;
    for (size_t i = 0; i < from->n_after; i++)
        if (copying->becomes[from->after[i]] >= 0) {
            if (from->after_at != NULL)
                to->after_at[to->n_after] = from->after_at[i];
            own_stated(copying, &to->after_at[to->n_after]);
            to->after[to->n_after++] = copying->becomes[from->after[i]];
        }
    return true;
}

/* A wish for machines that are all left out stays a wish: for machine -1, which is nobody. */
static bool copy_only(const season_copy *copying, sb_field *to, const sb_field *from)
{
    to->only = sb_alloc(from->n_only, sizeof *to->only);
    if (to->only == NULL)
        return false;
    for (size_t i = 0; i < from->n_only; i++) {
        int machine = from->only[i];
        bool kept =
            machine >= 0 && (copying->keep_machine == NULL || copying->keep_machine[machine]);
        if (kept)
            to->only[to->n_only++] = (int)count_kept(copying->keep_machine, (size_t)machine);
    }
    if (to->n_only == 0 && from->n_only > 0)
        to->only[to->n_only++] = -1;
    return true;
}

static bool copy_apart(const season_copy *copying, sb_field *to, const sb_field *from)
{
    to->apart = sb_alloc(from->n_apart, sizeof *to->apart);
    if (to->apart == NULL)
        return false;
    for (; to->n_apart < from->n_apart; to->n_apart++) {
        to->apart[to->n_apart] = from->apart[to->n_apart];
        own_stated(copying, &to->apart[to->n_apart].at);
    }
    return true;
}

static bool copy_field(const season_copy *copying, sb_field *to, const sb_field *from)
{
    *to = *from;
    to->name = to->whole = NULL;
    to->only = NULL;
    to->apart = NULL;
    to->n_only = to->n_apart = 0;
    to->parts = NULL;
    to->after = NULL;
    to->after_at = NULL;
    to->points = NULL;
    to->n_parts = to->n_after = to->n_points = 0;
    to->file = own_file(copying, from->file);
    for (size_t i = 0; i < SB_STATED_RULES; i++)
        own_stated(copying, &to->stated[i]);
    return sb_copy_text(&to->name, from->name) && sb_copy_text(&to->whole, from->whole) &&
           copy_outline(to, from) && copy_after(copying, to, from) && copy_points(to, from) &&
           copy_only(copying, to, from) && copy_apart(copying, to, from);
}

static bool copy_fields(const season_copy *copying)
{
    const sb_season *from = copying->from;
    sb_season *to = copying->to;
    to->fields = sb_alloc(count_kept(copying->keep_field, from->n_fields), sizeof *to->fields);
    if (to->fields == NULL)
        return false;
    for (size_t i = 0; i < from->n_fields; i++)
        if (copying->becomes[i] >= 0 &&
            !copy_field(copying, &to->fields[to->n_fields++], &from->fields[i]))
            return false;
    return true;
}

/* ---- Machines, places, names ---- */

static bool copy_machines(const season_copy *copying)
{
    const sb_season *from = copying->from;
    sb_season *to = copying->to;
    to->joins = sb_alloc(from->setup.n_machines, sizeof *to->joins);
    if (from->cut_since != NULL)
        to->cut_since = sb_alloc(from->setup.n_machines * from->n_growers, sizeof *to->cut_since);
    if (to->joins == NULL || (from->cut_since != NULL && to->cut_since == NULL))
        return false;
    own_stated(copying, &to->setup.calendar_end_at);
    own_stated(copying, &to->setup.blocked_at);
    own_stated(copying, &to->setup.currency_at);
    own_stated(copying, &to->setup.limits.full_cleanouts_at);
    own_stated(copying, &to->setup.limits.cleaning_cost_at);
    own_stated(copying, &to->setup.limits.loss_per_grower_at);
    size_t kept = 0;
    for (size_t m = 0; m < from->setup.n_machines; m++) {
        sb_machine machine = to->setup.machines[m];
        if (copying->keep_machine != NULL && !copying->keep_machine[m]) {
            sb_machine_release(&to->setup.machines[m], to->setup.n_sections);
            continue;
        }
        machine.file = own_file(copying, machine.file);
        to->setup.machines[m] = (sb_machine){0};
        to->setup.machines[kept] = machine;
        to->joins[kept] = from->joins[m];
        if (from->cut_since != NULL)
            memcpy(to->cut_since + kept * from->n_growers, from->cut_since + m * from->n_growers,
                   from->n_growers * sizeof *to->cut_since);
        kept++;
    }
    to->setup.n_machines = kept;
    return true;
}

static bool copy_yards(const season_copy *copying)
{
    const sb_season *from = copying->from;
    sb_season *to = copying->to;
    to->yards = sb_alloc(from->n_yards, sizeof *to->yards);
    to->n_yards = to->yards != NULL ? from->n_yards : 0;
    if (to->yards == NULL)
        return false;
    for (size_t i = 0; i < from->n_yards; i++) {
        to->yards[i].place = from->yards[i].place;
        if (!sb_copy_text(&to->yards[i].name, from->yards[i].name))
            return false;
    }
    return true;
}

static bool copy_km(const season_copy *copying)
{
    const sb_season *from = copying->from;
    sb_season *to = copying->to;
    to->n_places = to->n_fields + to->n_yards;
    to->km_from_table = from->km_from_table;
    if (from->km == NULL)
        return true;
    to->km = sb_alloc(to->n_places * to->n_places, sizeof *to->km);
    if (to->km == NULL)
        return false;
    for (size_t a = 0; a < from->n_places; a++)
        for (size_t b = 0; b < from->n_places; b++)
            if (copying->becomes[a] >= 0 && copying->becomes[b] >= 0)
                to->km[(size_t)copying->becomes[a] * to->n_places + (size_t)copying->becomes[b]] =
                    from->km[a * from->n_places + b];
    return true;
}

static bool copy_names(char ***to, size_t *n_to, char *const *from, size_t n)
{
    *to = sb_alloc(n, sizeof **to);
    *n_to = *to != NULL ? n : 0;
    for (size_t i = 0; i < *n_to; i++)
        if (!sb_copy_text(&(*to)[i], from[i]))
            return false;
    return *to != NULL;
}

/* What the growers may lose, and where that was said. */
static bool copy_caps(const season_copy *copying)
{
    const sb_season *from = copying->from;
    sb_season *to = copying->to;
    for (size_t i = 0; i < to->setup.n_grower_caps; i++)
        to->setup.grower_caps[i].file = own_file(copying, from->setup.grower_caps[i].file);
    if (from->grower_most == NULL)
        return true;
    to->grower_most = sb_alloc(from->n_growers, sizeof *to->grower_most);
    if (to->grower_most == NULL)
        return false;
    memcpy(to->grower_most, from->grower_most, from->n_growers * sizeof *to->grower_most);
    return true;
}

static bool copy_assumptions(const season_copy *copying)
{
    const sb_season *from = copying->from;
    sb_season *to = copying->to;
    to->assumptions.items = sb_alloc(from->assumptions.count, sizeof *to->assumptions.items);
    if (to->assumptions.items == NULL)
        return false;
    to->assumptions.count = to->assumptions.capacity = from->assumptions.count;
    for (size_t i = 0; i < from->assumptions.count; i++)
        if (!sb_copy_text(&to->assumptions.items[i].text, from->assumptions.items[i].text) ||
            !sb_copy_text(&to->assumptions.items[i].source, from->assumptions.items[i].source))
            return false;
    return true;
}

static bool copy_warnings(const season_copy *copying)
{
    for (size_t i = 0; i < copying->from->warnings.count; i++) {
        const sb_warning *warning = &copying->from->warnings.items[i];
        if (!sb_season_keep_warning(copying->to, warning->file, warning->line, warning->text))
            return false;
    }
    return true;
}

/* ---- The whole ---- */

static bool number_places(season_copy *copying)
{
    const sb_season *from = copying->from;
    size_t n = from->n_fields + from->n_yards;
    copying->becomes = sb_alloc(n, sizeof *copying->becomes);
    if (copying->becomes == NULL)
        return false;
    int next = 0;
    for (size_t i = 0; i < n; i++) {
        bool kept = i >= from->n_fields || copying->keep_field == NULL || copying->keep_field[i];
        copying->becomes[i] = kept ? next++ : -1;
    }
    return true;
}

sb_status sb_season_copy(const sb_season *season, const bool *keep_field, const bool *keep_machine,
                         sb_season **copy)
{
    *copy = NULL;
    if (count_kept(keep_machine, season->setup.n_machines) == 0)
        return SB_ERR_ARG;
    season_copy copying = {.from = season, .keep_field = keep_field, .keep_machine = keep_machine};
    copying.to = sb_alloc(1, sizeof *copying.to);
    bool done = copying.to != NULL && number_places(&copying) &&
                copy_names(&copying.to->files.items, &copying.to->files.count, season->files.items,
                           season->files.count) &&
                copy_names(&copying.to->growers, &copying.to->n_growers, season->growers,
                           season->n_growers) &&
                sb_setup_copy(&season->setup, &copying.to->setup) == SB_OK && copy_caps(&copying) &&
                copy_machines(&copying) && copy_yards(&copying) && copy_fields(&copying) &&
                copy_km(&copying) && copy_assumptions(&copying) && copy_warnings(&copying) &&
                sb_lessons_copy(&copying.to->lessons, &season->lessons) &&
                sb_factors_copy(&copying.to->learned, &season->learned);
    sb_free(copying.becomes);
    if (!done) {
        sb_season_free(copying.to);
        return SB_ERR_NOMEM;
    }
    copying.to->files.capacity = copying.to->files.count;
    copying.to->so_far = season->so_far;
    *copy = copying.to;
    return SB_OK;
}
