/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Machines of a season file. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/season_file.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const sb_value_rule machine_rules[] = {
    {"id", SB_VALUE_ID, offsetof(sb_machine, id)},
    {"name", SB_VALUE_TEXT, offsetof(sb_machine, name)},
    {"yard", SB_VALUE_TEXT, offsetof(sb_machine, yard)},
    {"ha_per_hour", SB_VALUE_POSITIVE, offsetof(sb_machine, ha_per_hour)},
    {"road_km_h", SB_VALUE_POSITIVE, offsetof(sb_machine, road_km_h)},
    {"cost_per_km", SB_VALUE_AMOUNT, offsetof(sb_machine, cost_per_km)},
    {"cost_per_hour", SB_VALUE_AMOUNT, offsetof(sb_machine, cost_per_hour)},
    {"season_hours", SB_VALUE_POSITIVE, offsetof(sb_machine, season_hours)},
    {"header_m", SB_VALUE_POSITIVE, offsetof(sb_machine, header_m)},
    {"final_cleanout", SB_VALUE_ID, offsetof(sb_machine, final_cleanout)},
    {"from", SB_VALUE_DATE, offsetof(sb_machine, from_day)},
    {"to", SB_VALUE_DATE, offsetof(sb_machine, to_day)},
    {"crops", SB_VALUE_LATER, 0},
    {"most_slope_percent", SB_VALUE_POSITIVE, offsetof(sb_machine, most_slope_percent)},
};

static const sb_value_rule section_rules[] = {
    {"id", SB_VALUE_LATER, 0},
    {"kg", SB_VALUE_AMOUNT, offsetof(sb_section, kg)},
    {"lodged_share", SB_VALUE_SHARE, offsetof(sb_section, lodged_share)},
    {"tau_loose_t", SB_VALUE_POSITIVE, offsetof(sb_section, tau_loose_t)},
    {"tau_lodged_t", SB_VALUE_POSITIVE, offsetof(sb_section, tau_lodged_t)},
    {"tank_share_small", SB_VALUE_SHARE, offsetof(sb_section, tank_share_small)},
    {"tank_share_large", SB_VALUE_SHARE, offsetof(sb_section, tank_share_large)},
};

static sb_declared_machine *last_machine(sb_season_file *file)
{
    return &file->machines[file->n_machines - 1];
}

sb_status sb_season_section(const sb_season_file *file, const sb_xml_element *element,
                            const char *id, size_t *section)
{
    int found = sb_find_section(&file->setup, id);
    if (found >= 0) {
        *section = (size_t)found;
        return SB_OK;
    }
    char excerpt[SB_EXCERPT_BYTES];
    sb_text known = {0};
    for (size_t i = 0; i < file->setup.n_sections; i++)
        sb_text_addf(&known, "%s%s", i > 0 ? ", " : "", file->setup.machines[0].sections[i].id);
    sb_status status = sb_bad(file->reading.report, file->reading.file, element->line,
                              "unknown section '%s' in %s, expected one of %s",
                              sb_excerpt(id, excerpt), element->name, sb_text_get(&known));
    sb_text_release(&known);
    return status;
}

/* The built-in sections, for the file's to be laid over. */
static sb_status copy_sections(const sb_setup *setup, sb_machine *machine)
{
    machine->sections = sb_alloc(setup->n_sections, sizeof *machine->sections);
    if (machine->sections == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < setup->n_sections; i++) {
        const sb_section *from = &setup->machines[0].sections[i];
        sb_section *to = &machine->sections[i];
        *to = *from;
        to->id = sb_strdup(from->id);
        to->name = sb_strdup(from->name);
        to->source = sb_strdup(from->source);
        if (to->id == NULL || to->name == NULL || to->source == NULL)
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

sb_status sb_season_begin_machine(sb_season_file *file, const sb_xml_element *element)
{
    const sb_reading *r = &file->reading;
    const char *id;
    sb_status status = sb_values_need(r, element, "id", &id);
    for (size_t i = 0; status == SB_OK && i < file->n_machines; i++)
        if (strcmp(file->machines[i].machine.id, id) == 0)
            status = sb_bad(r->report, r->file, element->line,
                            "a second machine '%s' (the first: line %zu), expected ids that differ",
                            file->machines[i].machine.id, file->machines[i].machine.line);
    if (status != SB_OK)
        return status;
    void *grown = sb_resize(file->machines, file->n_machines + 1, sizeof *file->machines);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    file->machines = grown;
    file->machines[file->n_machines++] = (sb_declared_machine){0};
    sb_machine *machine = &last_machine(file)->machine;
    machine->ha_per_hour = machine->road_km_h = machine->cost_per_km = machine->cost_per_hour =
        machine->season_hours = machine->header_m = NAN;
    machine->from_day = machine->to_day = SB_NO_DAY;
    machine->most_slope_percent = INFINITY;
    machine->file = r->file;
    machine->line = element->line;
    machine->given = sb_values_given(element, machine_rules, COUNT(machine_rules));
    status = copy_sections(&file->setup, machine);
    if (status == SB_OK)
        status = sb_values_take(r, element, machine_rules, COUNT(machine_rules), machine);
    if (status == SB_OK && machine->name == NULL)
        status = sb_values_replace(&machine->name, id);
    const char *crops = sb_xml_attribute_value(element, "crops");
    if (status == SB_OK && crops != NULL)
        status = sb_values_replace(&last_machine(file)->crops, crops);
    return status;
}

sb_status sb_season_begin_rate(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"crop", SB_VALUE_ID, offsetof(sb_crop_rate, crop)},
        {"ha_per_hour", SB_VALUE_POSITIVE, offsetof(sb_crop_rate, ha_per_hour)},
    };
    sb_declared_machine *declared = last_machine(file);
    const char *value;
    sb_status status = sb_values_need(&file->reading, element, "crop", &value);
    if (status == SB_OK)
        status = sb_values_need(&file->reading, element, "ha_per_hour", &value);
    if (status != SB_OK)
        return status;
    void *grown = sb_resize(declared->rates, declared->n_rates + 1, sizeof *declared->rates);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    declared->rates = grown;
    sb_crop_rate *rate = &declared->rates[declared->n_rates++];
    *rate = (sb_crop_rate){.line = element->line};
    return sb_values_take(&file->reading, element, rules, COUNT(rules), rate);
}

sb_status sb_season_begin_section(sb_season_file *file, const sb_xml_element *element)
{
    const char *id;
    size_t index;
    sb_status status = sb_values_need(&file->reading, element, "id", &id);
    if (status == SB_OK)
        status = sb_season_section(file, element, id, &index);
    if (status != SB_OK)
        return status;
    sb_section *section = &last_machine(file)->machine.sections[index];
    status = sb_values_take(&file->reading, element, section_rules, COUNT(section_rules), section);
    if (status != SB_OK)
        return status;
    section->given |= sb_values_given(element, section_rules, COUNT(section_rules));
    section->basis = SB_GIVEN;
    return sb_values_replace(&section->source, "season file; the rest as built in");
}

sb_status sb_season_begin_start(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"field", SB_VALUE_TEXT, offsetof(sb_machine, start_field)},
        {"cleanout", SB_VALUE_ID, offsetof(sb_machine, start_cleanout)},
    };
    sb_machine *machine = &last_machine(file)->machine;
    if (machine->start_given)
        return sb_bad(file->reading.report, file->reading.file, element->line,
                      "a second start of machine '%s', expected one", machine->id);
    machine->start_given = true;
    sb_status status = sb_values_take(&file->reading, element, rules, COUNT(rules), machine);
    if (machine->start_field != NULL)
        machine->start = SB_START_FIELD;
    return status;
}

sb_status sb_season_begin_load(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"weed", SB_VALUE_ID, offsetof(sb_known_load, weed)},
        {"section", SB_VALUE_ID, offsetof(sb_known_load, section)},
        {"loose_seeds", SB_VALUE_AMOUNT, offsetof(sb_known_load, loose_seeds)},
        {"lodged_seeds", SB_VALUE_AMOUNT, offsetof(sb_known_load, lodged_seeds)},
    };
    sb_machine *machine = &last_machine(file)->machine;
    if (machine->start == SB_START_FIELD)
        return sb_bad(file->reading.report, file->reading.file, element->line,
                      "a known load beside a start field, expected one of the two");
    const char *value;
    sb_status status = sb_values_need(&file->reading, element, "weed", &value);
    if (status == SB_OK)
        status = sb_values_need(&file->reading, element, "section", &value);
    if (status != SB_OK)
        return status;
    void *grown =
        sb_resize(machine->start_loads, machine->n_start_loads + 1, sizeof *machine->start_loads);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    machine->start_loads = grown;
    machine->start = SB_START_LOAD;
    sb_known_load *load = &machine->start_loads[machine->n_start_loads++];
    *load = (sb_known_load){.line = element->line};
    return sb_values_take(&file->reading, element, rules, COUNT(rules), load);
}

static double or_default(double value, double fallback)
{
    return isnan(value) ? fallback : value;
}

static sb_status finish_rates(sb_season_file *file, sb_declared_machine *declared)
{
    const sb_setup *setup = &file->setup;
    if (declared->n_rates == 0)
        return SB_OK;
    double *by_crop = sb_alloc(setup->n_crops, sizeof *by_crop);
    if (by_crop == NULL)
        return SB_ERR_NOMEM;
    declared->machine.crop_ha_per_hour = by_crop; /* handed over */
    for (size_t c = 0; c < setup->n_crops; c++)
        by_crop[c] = NAN;
    for (size_t i = 0; i < declared->n_rates; i++) {
        const sb_crop_rate *rate = &declared->rates[i];
        int crop = sb_find_crop(setup, rate->crop);
        if (crop < 0)
            return sb_bad(file->reading.report, file->reading.file, rate->line,
                          "rate for unknown crop '%s', expected the id of a crop", rate->crop);
        by_crop[crop] = rate->ha_per_hour;
    }
    return SB_OK;
}

sb_status sb_season_finish_machines(sb_season_file *file)
{
    sb_setup *setup = &file->setup;
    const sb_machine *built_in = &setup->machines[0];
    if (file->n_machines == 0)
        return SB_OK;
    sb_machine *machines = sb_alloc(file->n_machines, sizeof *machines);
    if (machines == NULL)
        return SB_ERR_NOMEM;
    sb_status status = SB_OK;
    for (size_t i = 0; i < file->n_machines; i++) {
        sb_machine *machine = &file->machines[i].machine;
        machine->ha_per_hour = or_default(machine->ha_per_hour, built_in->ha_per_hour);
        machine->road_km_h = or_default(machine->road_km_h, built_in->road_km_h);
        machine->cost_per_km = or_default(machine->cost_per_km, built_in->cost_per_km);
        machine->cost_per_hour = or_default(machine->cost_per_hour, built_in->cost_per_hour);
        machine->season_hours = or_default(machine->season_hours, built_in->season_hours);
        machine->header_m = or_default(machine->header_m, built_in->header_m);
        machine->given |= built_in->given; /* by `travel` */
        if (status == SB_OK)
            status = finish_rates(file, &file->machines[i]);
        if (status == SB_OK)
            status = sb_season_finish_crops(file, &file->machines[i]);
        machines[i] = *machine;
        *machine = (sb_machine){0}; /* handed over */
    }
    for (size_t i = 0; i < setup->n_machines; i++)
        sb_machine_release(&setup->machines[i], setup->n_sections);
    sb_free(setup->machines);
    setup->machines = machines;
    setup->n_machines = file->n_machines;
    return status;
}

void sb_season_release_machines(sb_season_file *file)
{
    for (size_t i = 0; i < file->n_machines; i++) {
        sb_machine_release(&file->machines[i].machine, file->setup.n_sections);
        for (size_t k = 0; k < file->machines[i].n_rates; k++)
            sb_free(file->machines[i].rates[k].crop);
        sb_free(file->machines[i].rates);
        sb_free(file->machines[i].crops);
    }
    sb_free(file->machines);
}
