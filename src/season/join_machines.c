/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Yards, and what each machine starts from and ends with. */
#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"

static sb_status take_yards(sb_joining *join)
{
    sb_season *season = join->season;
    size_t n = join->n_yards > 0 ? join->n_yards : 1;
    season->yards = sb_alloc(n, sizeof *season->yards);
    if (season->yards == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < join->n_yards; i++) {
        const sb_feature *feature = join->yards[i];
        sb_yard *yard = &season->yards[season->n_yards++];
        yard->name = sb_strdup(feature->name != NULL ? feature->name : "Yard");
        if (yard->name == NULL)
            return SB_ERR_NOMEM;
        yard->place = feature->place;
        if (feature->kind == SB_FEATURE_AREA && feature->parts.count > 0 &&
            sb_parts_place(feature->parts.items, feature->parts.count, &yard->place) != SB_OK)
            return SB_ERR_NOMEM;
        for (size_t other = 0; other < i; other++)
            if (strcmp(season->yards[other].name, yard->name) == 0)
                SB_JOIN_BAD(join, feature->file, feature->line,
                            "two yards are named '%s', expected a name of its own for each",
                            yard->name);
    }
    return SB_OK;
}

/* Nobody gave a yard: the machine starts from, and returns to, the middle of the fields. */
static sb_status assume_yard(sb_joining *join)
{
    sb_season *season = join->season;
    sb_lonlat *places = sb_alloc(season->n_fields, sizeof *places);
    if (places == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < season->n_fields; i++)
        places[i] = season->fields[i].place;
    season->yards[0].place = sb_join_centre(places, season->n_fields);
    sb_free(places);
    season->yards[0].name = sb_strdup("Centre of the fields");
    if (season->yards[0].name == NULL)
        return SB_ERR_NOMEM;
    season->n_yards = 1;
    join->yard_assumed = true;
    sb_say(join->report, SB_NOTE, NULL, 0,
           "no yard is given: the machine starts from and returns to the centre of the fields");
    return SB_OK;
}

static int yard_of(sb_joining *join, const sb_machine *machine)
{
    const sb_season *season = join->season;
    if (machine->yard == NULL || *machine->yard == '\0')
        return 0;
    for (size_t i = 0; i < season->n_yards && !join->yard_assumed; i++)
        if (strcmp(season->yards[i].name, machine->yard) == 0)
            return (int)i;
    sb_text known = {0};
    for (size_t i = 0; i < season->n_yards && !join->yard_assumed; i++)
        sb_text_addf(&known, "%s'%s'", i > 0 ? ", " : "one of ", season->yards[i].name);
    SB_JOIN_BAD(join, machine->file, machine->line,
                "machine '%s' has the unknown yard '%s', expected %s", machine->id, machine->yard,
                known.count > 0 ? known.bytes : "a point with role yard and that name");
    sb_text_release(&known);
    return 0;
}

static double *start_seeds(struct sb_machine_join *joined, int section, bool lodged, size_t weed)
{
    return &joined->start_seeds[(size_t)sb_pool(section, lodged) * SB_MAX_WEEDS + weed];
}

/* What a machine that entered clean holds when it leaves a field, after a cleanout (-1: none). */
static void load_from(const sb_setup *setup, const sb_machine *machine, const sb_field *field,
                      int cleanout, struct sb_machine_join *joined)
{
    const sb_cleanout *level = &setup->cleanouts[cleanout < 0 ? 0 : cleanout];
    for (size_t s = 0; s < setup->n_sections; s++) {
        const sb_section *section = &machine->sections[s];
        for (int lodged = 0; lodged < 2; lodged++) {
            double share = lodged ? section->lodged_share : 1 - section->lodged_share;
            double tau_t = lodged ? section->tau_lodged_t : section->tau_loose_t;
            double keep = lodged ? level->keep_lodged[s] : level->keep_loose[s];
            double filled = -expm1(-field->grain_t / tau_t);
            for (size_t w = 0; w < setup->n_weeds; w++)
                *start_seeds(joined, (int)s, lodged, w) =
                    keep * field->seeds_per_kg[w] * section->kg * share * filled;
        }
    }
}

static void start_from_field(sb_joining *join, const sb_machine *machine,
                             struct sb_machine_join *joined)
{
    int field = sb_join_field_named(join, machine->start_field);
    joined->start_grower = -1;
    if (field >= 0)
        SB_JOIN_BAD(join, machine->file, machine->line,
                    "machine '%s' starts from field '%s', which is still to be cut; expected a "
                    "field with role cut",
                    machine->id, machine->start_field);
    else if (field == INT_MIN) {
        sb_text near = {0};
        sb_join_add_near_field(join, &near, machine->start_field);
        SB_JOIN_BAD(join, machine->file, machine->line,
                    "machine '%s' starts from field '%s', but no field has that name; expected a "
                    "field with role cut%s",
                    machine->id, machine->start_field, sb_text_get(&near));
        sb_text_release(&near);
    } else {
        joined->start_grower = join->cut[~field].grower;
        load_from(&join->season->setup, machine, &join->cut[~field], joined->start_cleanout,
                  joined);
    }
}

static void start_from_load(sb_joining *join, const sb_machine *machine,
                            struct sb_machine_join *joined)
{
    const sb_setup *setup = &join->season->setup;
    for (size_t i = 0; i < machine->n_start_loads; i++) {
        const sb_known_load *load = &machine->start_loads[i];
        int section = sb_find_section(setup, load->section), weed = sb_find_weed(setup, load->weed);
        if (section < 0 || weed < 0) {
            sb_text known = {0};
            if (section < 0)
                sb_join_add_ids(&known, machine->sections, setup->n_sections,
                                sizeof *machine->sections);
            else
                sb_join_add_ids(&known, setup->weeds, setup->n_weeds, sizeof *setup->weeds);
            SB_JOIN_BAD(join, machine->file, load->line,
                        "start load of machine '%s' names the unknown %s '%s', expected one of %s",
                        machine->id, section < 0 ? "section" : "weed",
                        section < 0 ? load->section : load->weed, sb_text_get(&known));
            sb_text_release(&known);
            continue;
        }
        if (!(load->loose_seeds >= 0 && load->lodged_seeds >= 0))
            SB_JOIN_BAD(join, machine->file, load->line,
                        "start load of machine '%s' is %g loose and %g lodged seeds, expected "
                        "numbers of at least 0",
                        machine->id, load->loose_seeds, load->lodged_seeds);
        *start_seeds(joined, section, false, (size_t)weed) += load->loose_seeds;
        *start_seeds(joined, section, true, (size_t)weed) += load->lodged_seeds;
    }
}

static int optional_cleanout(sb_joining *join, const sb_machine *machine, const char *id)
{
    if (id == NULL || *id == '\0')
        return -1;
    return sb_join_cleanout(join, id, machine->file, machine->line);
}

sb_status sb_join_machines(sb_joining *join)
{
    sb_season *season = join->season;
    sb_status status = take_yards(join);
    if (status == SB_OK && join->n_yards == 0)
        status = assume_yard(join);
    if (status != SB_OK)
        return status;
    season->joins = sb_alloc(season->setup.n_machines, sizeof *season->joins);
    if (season->joins == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < season->setup.n_machines; i++) {
        const sb_machine *machine = &season->setup.machines[i];
        struct sb_machine_join *joined = &season->joins[i];
        joined->yard = joined->start = yard_of(join, machine);
        joined->start_cleanout = optional_cleanout(join, machine, machine->start_cleanout);
        joined->final_cleanout = optional_cleanout(join, machine, machine->final_cleanout);
        if (machine->start == SB_START_FIELD)
            start_from_field(join, machine, joined);
        else if (machine->start == SB_START_LOAD)
            start_from_load(join, machine, joined);
    }
    return SB_OK;
}
