/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/named.h"

#include <string.h>
#include <strings.h>

#include "base/near.h"
#include "base/report.h"

static void add_machine(const sb_machine *machine, sb_text *text)
{
    sb_text_addf(text, "%s'%s'", text->count > 0 ? ", " : "", machine->id);
    if (sb_has_own_name(machine))
        sb_text_addf(text, " (%s)", machine->name);
}

void sb_add_machine_names(const sb_season *season, sb_text *text)
{
    for (size_t m = 0; m < season->setup.n_machines; m++)
        add_machine(&season->setup.machines[m], text);
}

/* How well a machine is called by what was typed. */
typedef enum fit {
    FIT_NONE,
    FIT_BEGINS, /* its id or its name begins so */
    FIT_NAME,
    FIT_ID,
    FIT_EXACT, /* its id, letter for letter */
} fit;

static fit fit_of(const sb_machine *machine, const char *typed)
{
    size_t length = strlen(typed);
    if (strcmp(machine->id, typed) == 0)
        return FIT_EXACT;
    if (strcasecmp(machine->id, typed) == 0)
        return FIT_ID;
    if (strcasecmp(machine->name, typed) == 0)
        return FIT_NAME;
    return length > 0 && (strncasecmp(machine->id, typed, length) == 0 ||
                          strncasecmp(machine->name, typed, length) == 0)
               ? FIT_BEGINS
               : FIT_NONE;
}

/* Ids at even places, names at odd ones. */
static const char *called_at(const void *season, size_t i)
{
    const sb_machine *machine = &((const sb_season *)season)->setup.machines[i / 2];
    return i % 2 == 0                                ? machine->id
           : strcmp(machine->name, machine->id) != 0 ? machine->name
                                                     : ""; /* near nothing */
}

static sb_status refuse_unknown(const sb_season *season, const char *typed, const char *file,
                                sb_report *report)
{
    char excerpt[SB_EXCERPT_BYTES];
    sb_text near = {0}, known = {0};
    sb_status status;
    if (sb_text_add_near(&near, typed, called_at, season, 2 * season->setup.n_machines)) {
        status = sb_bad(report, file, 0, "no machine '%s' in the season%s",
                        sb_excerpt(typed, excerpt), sb_text_get(&near));
    } else {
        sb_add_machine_names(season, &known);
        status = sb_bad(report, file, 0, "no machine '%s' in the season, expected %s%s",
                        sb_excerpt(typed, excerpt), season->setup.n_machines > 1 ? "one of " : "",
                        sb_text_get(&known));
    }
    sb_text_release(&near);
    sb_text_release(&known);
    return status;
}

sb_status sb_machine_named(const sb_season *season, const char *typed, const char *file,
                           sb_report *report, int *machine)
{
    const sb_setup *setup = &season->setup;
    char excerpt[SB_EXCERPT_BYTES];
    fit best = FIT_NONE;
    size_t n = 0, found = 0;
    sb_text known = {0};
    for (size_t m = 0; m < setup->n_machines; m++) {
        fit is = fit_of(&setup->machines[m], typed);
        if (is == FIT_NONE || is < best)
            continue;
        if (is > best)
            sb_text_clear(&known);
        n = is > best ? 1 : n + 1;
        best = is;
        found = m;
        add_machine(&setup->machines[m], &known);
    }
    sb_status status = SB_OK;
    if (n == 0)
        status = refuse_unknown(season, typed, file, report);
    else if (n > 1)
        status = sb_bad(report, file, 0,
                        "machine '%s' may be one of %s, expected more of its name, or its id",
                        sb_excerpt(typed, excerpt), sb_text_get(&known));
    else
        *machine = (int)found;
    sb_text_release(&known);
    return status;
}
