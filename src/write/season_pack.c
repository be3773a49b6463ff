/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One list of members serves for packing and unpacking, so that the two cannot drift apart. A
 * member added to a season that pricing, checking or drawing needs must be added here; tests/write/
 * test_season_pack.c notices that one was added. */
#include "write/season_pack.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

typedef struct packer {
    bool reading;
    sb_text *out;            /* writing */
    const unsigned char *in; /* reading: what is left */
    size_t left;
    sb_status status;
} packer;

/* ---- Bytes and numbers ---- */

static void pack_bytes(packer *p, void *bytes, size_t n)
{
    if (!p->reading) {
        sb_text_add(p->out, bytes, n);
        return;
    }
    if (n > p->left) {
        memset(bytes, 0, n);
        p->status = p->status == SB_OK ? SB_ERR_ARG : p->status;
        return;
    }
    memcpy(bytes, p->in, n);
    p->in += n;
    p->left -= n;
}

/* Seven bits a byte, the highest bit set while more follow. */
static void pack_whole(packer *p, uint64_t *value)
{
    uint64_t rest = *value, sum = 0;
    for (unsigned shift = 0; shift < 64; shift += 7) {
        unsigned char byte = (unsigned char)((rest & 0x7F) | (rest > 0x7F ? 0x80 : 0));
        pack_bytes(p, &byte, 1);
        sum |= (uint64_t)(byte & 0x7F) << shift;
        rest >>= 7;
        if ((byte & 0x80) == 0)
            break;
    }
    *value = sum;
}

static void pack_size(packer *p, size_t *value)
{
    uint64_t whole = *value;
    pack_whole(p, &whole);
    *value = (size_t)whole;
}

/* -1 becomes 1, 1 becomes 2: small either way. */
static void pack_int(packer *p, int *value)
{
    uint64_t whole = *value < 0 ? 2 * (uint64_t)(-((int64_t)*value + 1)) + 1 : 2 * (uint64_t)*value;
    pack_whole(p, &whole);
    *value = (int)(whole & 1 ? -(int64_t)(whole / 2) - 1 : (int64_t)(whole / 2));
}

static void pack_bool(packer *p, bool *value)
{
    unsigned char byte = *value;
    pack_bytes(p, &byte, 1);
    *value = byte != 0;
}

/* Most numbers of a season are none, without limit or unknown: a byte says so. */
static void pack_double(packer *p, double *value)
{
    static const double often[] = {0, 1, INFINITY, NAN};
    unsigned char which = 0;
    while (which < 4 && memcmp(value, &often[which], sizeof *value) != 0)
        which++;
    if (!p->reading && isnan(*value))
        which = 3;
    pack_bytes(p, &which, 1);
    if (which >= 4)
        pack_bytes(p, value, sizeof *value);
    else
        *value = often[which];
}

static void pack_doubles(packer *p, double *values, size_t n)
{
    for (size_t i = 0; i < n; i++)
        pack_double(p, &values[i]);
}

/* Room for n things when reading; NULL only without memory. */
static void *room(packer *p, void *items, size_t n, size_t size)
{
    if (!p->reading)
        return items;
    void *made = p->status == SB_OK ? sb_alloc(n, size) : NULL;
    if (made == NULL && p->status == SB_OK)
        p->status = SB_ERR_NOMEM;
    return made;
}

/* A text, or NULL. */
static void pack_text(packer *p, char **text)
{
    size_t n = !p->reading && *text != NULL ? strlen(*text) + 1 : 0;
    pack_size(p, &n);
    if (n == 0) {
        *text = NULL;
        return;
    }
    if (p->reading && n > p->left)
        p->status = SB_ERR_ARG;
    *text = room(p, *text, n, 1);
    if (*text != NULL)
        pack_bytes(p, *text, n - 1); /* the end stays what sb_alloc made it: zero */
}

/* A list: how many things, and room for them when reading. Never more than there are bytes left;
 * none without memory. */
static void *pack_list(packer *p, void *items, size_t *n, size_t size)
{
    pack_size(p, n);
    if (p->reading && *n > p->left) {
        p->status = SB_ERR_ARG;
        *n = 0;
    }
    void *list = room(p, items, *n, size);
    if (list == NULL)
        *n = 0;
    return list;
}

/* An array, or NULL: which of the two is packed as well. */
static void *pack_array(packer *p, void *items, size_t n, size_t size)
{
    bool there = items != NULL;
    pack_bool(p, &there);
    return there ? room(p, items, n, size) : NULL;
}

/* ---- The setup ---- */

static void pack_calendar(packer *p, sb_calendar *calendar)
{
    pack_int(p, &calendar->start_day);
    pack_int(p, &calendar->end_day);
    pack_double(p, &calendar->hours_per_day);
    pack_double(p, &calendar->day_starts_h);
    calendar->blocked = pack_list(p, calendar->blocked, &calendar->n_blocked, sizeof(int));
    for (size_t i = 0; i < calendar->n_blocked; i++)
        pack_int(p, &calendar->blocked[i]);
}

static void pack_scale(packer *p, sb_scale *scale)
{
    scale->labels = pack_list(p, scale->labels, &scale->n_classes, sizeof *scale->labels);
    scale->low = room(p, scale->low, scale->n_classes, sizeof *scale->low);
    scale->high = room(p, scale->high, scale->n_classes, sizeof *scale->high);
    if (p->status != SB_OK)
        return;
    for (size_t i = 0; i < scale->n_classes; i++)
        pack_text(p, &scale->labels[i]);
    pack_doubles(p, scale->low, scale->n_classes);
    pack_doubles(p, scale->high, scale->n_classes);
}

static void pack_cleanout(packer *p, sb_cleanout *cleanout, size_t n_sections)
{
    pack_text(p, &cleanout->id);
    pack_text(p, &cleanout->name);
    pack_double(p, &cleanout->minutes);
    pack_double(p, &cleanout->people);
    pack_double(p, &cleanout->supplies_cost);
    cleanout->counted =
        pack_list(p, cleanout->counted, &cleanout->n_counted, sizeof *cleanout->counted);
    for (size_t i = 0; i < cleanout->n_counted; i++) {
        pack_text(p, &cleanout->counted[i].name);
        pack_text(p, &cleanout->counted[i].unit);
        pack_double(p, &cleanout->counted[i].amount);
    }
    pack_text(p, &cleanout->supplies);
    pack_bool(p, &cleanout->full);
    uint64_t needs = cleanout->needs;
    pack_whole(p, &needs);
    cleanout->needs = (unsigned)needs;
    pack_doubles(p, cleanout->keep_loose, n_sections);
    pack_doubles(p, cleanout->keep_lodged, n_sections);
    cleanout->steps = pack_list(p, cleanout->steps, &cleanout->n_steps, sizeof *cleanout->steps);
    for (size_t i = 0; i < cleanout->n_steps; i++) {
        pack_text(p, &cleanout->steps[i].section);
        pack_double(p, &cleanout->steps[i].minutes);
        pack_text(p, &cleanout->steps[i].text);
    }
}

static void pack_section(packer *p, sb_section *section)
{
    pack_text(p, &section->id);
    pack_text(p, &section->name);
    pack_double(p, &section->kg);
    pack_double(p, &section->lodged_share);
    pack_double(p, &section->tau_loose_t);
    pack_double(p, &section->tau_lodged_t);
    pack_double(p, &section->tank_share_small);
    pack_double(p, &section->tank_share_large);
}

static void pack_machine(packer *p, sb_machine *machine, const sb_setup *setup)
{
    pack_text(p, &machine->id);
    pack_text(p, &machine->name);
    pack_double(p, &machine->ha_per_hour);
    machine->crop_ha_per_hour =
        pack_array(p, machine->crop_ha_per_hour, setup->n_crops, sizeof(double));
    if (machine->crop_ha_per_hour != NULL)
        pack_doubles(p, machine->crop_ha_per_hour, setup->n_crops);
    pack_double(p, &machine->road_km_h);
    pack_double(p, &machine->cost_per_km);
    pack_double(p, &machine->cost_per_hour);
    pack_double(p, &machine->season_hours);
    pack_double(p, &machine->header_m);
    pack_int(p, &machine->from_day);
    pack_int(p, &machine->to_day);
    machine->cuts_crop = pack_array(p, machine->cuts_crop, setup->n_crops, sizeof(bool));
    for (size_t i = 0; machine->cuts_crop != NULL && i < setup->n_crops; i++)
        pack_bool(p, &machine->cuts_crop[i]);
    pack_double(p, &machine->most_slope_percent);
    machine->sections = room(p, machine->sections, setup->n_sections, sizeof(sb_section));
    for (size_t i = 0; machine->sections != NULL && i < setup->n_sections; i++)
        pack_section(p, &machine->sections[i]);
    int start = (int)machine->start;
    pack_int(p, &start);
    machine->start = (sb_start_kind)start;
}

static void pack_resources(packer *p, sb_setup *setup)
{
    setup->resources =
        pack_list(p, setup->resources, &setup->n_resources, sizeof *setup->resources);
    for (size_t i = 0; i < setup->n_resources; i++) {
        pack_text(p, &setup->resources[i].id);
        pack_text(p, &setup->resources[i].name);
        pack_int(p, &setup->resources[i].count);
    }
}

static void pack_setup(packer *p, sb_setup *setup)
{
    pack_text(p, &setup->currency);
    pack_calendar(p, &setup->calendar);
    pack_scale(p, &setup->scale);
    pack_size(p, &setup->n_sections);
    setup->weeds = pack_list(p, setup->weeds, &setup->n_weeds, sizeof *setup->weeds);
    for (size_t i = 0; i < setup->n_weeds; i++) {
        pack_text(p, &setup->weeds[i].id);
        pack_text(p, &setup->weeds[i].name);
        pack_bool(p, &setup->weeds[i].large_seed);
    }
    setup->crops = pack_list(p, setup->crops, &setup->n_crops, sizeof *setup->crops);
    for (size_t i = 0; i < setup->n_crops; i++) {
        pack_text(p, &setup->crops[i].id);
        pack_text(p, &setup->crops[i].name);
    }
    setup->cleanouts =
        pack_list(p, setup->cleanouts, &setup->n_cleanouts, sizeof *setup->cleanouts);
    for (size_t i = 0; i < setup->n_cleanouts; i++)
        pack_cleanout(p, &setup->cleanouts[i], setup->n_sections);
    setup->machines = pack_list(p, setup->machines, &setup->n_machines, sizeof *setup->machines);
    for (size_t i = 0; i < setup->n_machines; i++)
        pack_machine(p, &setup->machines[i], setup);
    pack_double(p, &setup->wage_per_hour);
    pack_double(p, &setup->lost_time_per_hour);
    pack_double(p, &setup->limits.full_cleanouts);
    pack_double(p, &setup->limits.cleaning_cost);
    pack_double(p, &setup->limits.loss_per_grower);
    pack_resources(p, setup);
}

/* ---- The fields ---- */

/* Outlines are only drawn: ten-millionths of a degree will do, each from the corner before. Across
 * the antimeridian that difference does not fit 32 bits: it wraps around, and back in reading. */
static void pack_ring(packer *p, sb_ring *ring)
{
    uint32_t lon = 0, lat = 0;
    ring->items = pack_list(p, ring->items, &ring->count, sizeof *ring->items);
    for (size_t i = 0; i < ring->count; i++) {
        sb_lonlat *corner = &ring->items[i];
        int right = p->reading ? 0 : (int)((uint32_t)lround(corner->lon_deg * 1e7) - lon);
        int up = p->reading ? 0 : (int)((uint32_t)lround(corner->lat_deg * 1e7) - lat);
        pack_int(p, &right);
        pack_int(p, &up);
        lon += (uint32_t)right;
        lat += (uint32_t)up;
        if (p->reading)
            *corner = (sb_lonlat){(int)lon / 1e7, (int)lat / 1e7};
    }
}

static void pack_parts(packer *p, sb_field *field)
{
    field->parts = pack_list(p, field->parts, &field->n_parts, sizeof *field->parts);
    for (size_t i = 0; i < field->n_parts; i++) {
        sb_part *part = &field->parts[i];
        pack_ring(p, &part->outer);
        part->holes = pack_list(p, part->holes, &part->n_holes, sizeof *part->holes);
        for (size_t h = 0; h < part->n_holes; h++)
            pack_ring(p, &part->holes[h]);
    }
}

static void pack_place(packer *p, sb_lonlat *place)
{
    pack_double(p, &place->lon_deg);
    pack_double(p, &place->lat_deg);
}

static void pack_ints(packer *p, int **items, size_t *n)
{
    *items = pack_list(p, *items, n, sizeof **items);
    for (size_t i = 0; i < *n; i++)
        pack_int(p, &(*items)[i]);
}

static void pack_rules(packer *p, sb_field *field, size_t n_weeds)
{
    pack_int(p, &field->ready_day);
    pack_double(p, &field->not_before_h);
    pack_int(p, &field->latest_day);
    pack_int(p, &field->best_before_day);
    pack_double(p, &field->delay_cost_per_day);
    pack_int(p, &field->entry);
    pack_ints(p, &field->after, &field->n_after);
    pack_ints(p, &field->only, &field->n_only);
    field->apart = pack_list(p, field->apart, &field->n_apart, sizeof *field->apart);
    for (size_t i = 0; i < field->n_apart; i++) {
        pack_int(p, &field->apart[i].grower);
        pack_int(p, &field->apart[i].cleanout);
    }
    pack_double(p, &field->gate_m);
    pack_double(p, &field->slope_percent);
    pack_doubles(p, field->limit_seeds_ha, n_weeds);
    pack_double(p, &field->tank_limit_seeds_kg);
}

static void pack_field(packer *p, sb_field *field, size_t n_weeds)
{
    pack_text(p, &field->name);
    pack_text(p, &field->whole);
    pack_int(p, &field->part);
    pack_int(p, &field->n_split);
    pack_int(p, &field->grower);
    pack_int(p, &field->crop);
    pack_parts(p, field);
    pack_place(p, &field->place);
    pack_double(p, &field->area_ha);
    pack_double(p, &field->yield_t_ha);
    pack_double(p, &field->grain_t);
    pack_double(p, &field->material_kg_ha);
    pack_rules(p, field, n_weeds);
    for (size_t k = 0; k < n_weeds; k++) {
        int source = (int)field->ratings[k].source;
        pack_int(p, &source);
        field->ratings[k].source = (sb_rating_source)source;
        pack_int(p, &field->ratings[k].class_index);
        pack_double(p, &field->ratings[k].density_plants_m2);
        pack_double(p, &field->seeds_per_kg[k]);
        pack_double(p, &field->loss_per_seed[k]);
    }
}

/* ---- The season and the plan ---- */

static void pack_join(packer *p, struct sb_machine_join *join, size_t n_pools, size_t n_weeds)
{
    pack_int(p, &join->yard);
    pack_int(p, &join->start);
    pack_double(p, &join->start_h);
    for (size_t pool = 0; pool < n_pools; pool++)
        pack_doubles(p, &join->start_seeds[pool * SB_MAX_WEEDS], n_weeds);
    pack_int(p, &join->start_grower);
    pack_int(p, &join->start_cleanout);
    pack_bool(p, &join->cleaned);
    pack_int(p, &join->final_cleanout);
    pack_bool(p, &join->goes_home);
}

static void pack_cut_since(packer *p, sb_season *season)
{
    size_t n = season->setup.n_machines * season->n_growers;
    season->cut_since = pack_array(p, season->cut_since, n, sizeof *season->cut_since);
    for (size_t i = 0; season->cut_since != NULL && i < n; i++) {
        uint64_t cleanouts = season->cut_since[i];
        pack_whole(p, &cleanouts);
        season->cut_since[i] = (uint16_t)cleanouts;
    }
}

/* Two of eight bytes are left out: what remains is exact to some 7 parts in a million million, a
 * hundredth of what the page is held to, and the kilometres are most of what is packed. */
static void pack_km_between(packer *p, double *km)
{
    uint64_t bits = 0;
    memcpy(&bits, km, sizeof bits);
    bits = (bits + 0x8000) >> 16;
    for (int i = 0; i < 6; i++) {
        unsigned char byte = (unsigned char)(bits >> 8 * i);
        pack_bytes(p, &byte, 1);
        bits = (bits & ~((uint64_t)0xFF << 8 * i)) | (uint64_t)byte << 8 * i;
    }
    if (p->reading) {
        bits <<= 16;
        memcpy(km, &bits, sizeof bits);
    }
}

/* Roads are mostly as long there as back: then half of them is enough. */
static void pack_km(packer *p, sb_season *season)
{
    size_t n = season->n_places;
    bool both_ways = true;
    for (size_t i = 0; !p->reading && i < n; i++)
        for (size_t k = 0; k < i; k++)
            both_ways &=
                memcmp(&season->km[i * n + k], &season->km[k * n + i], sizeof *season->km) == 0;
    pack_bool(p, &both_ways);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            if (both_ways && k < i)
                season->km[i * n + k] = season->km[k * n + i];
            else
                pack_km_between(p, &season->km[i * n + k]);
        }
}

static void pack_season(packer *p, sb_season *season)
{
    const sb_setup *setup = &season->setup;
    pack_setup(p, &season->setup);
    season->growers = pack_list(p, season->growers, &season->n_growers, sizeof *season->growers);
    for (size_t i = 0; i < season->n_growers; i++)
        pack_text(p, &season->growers[i]);
    season->grower_most =
        pack_array(p, season->grower_most, season->n_growers, sizeof *season->grower_most);
    if (season->grower_most != NULL)
        pack_doubles(p, season->grower_most, season->n_growers);
    season->fields = pack_list(p, season->fields, &season->n_fields, sizeof *season->fields);
    for (size_t i = 0; i < season->n_fields; i++)
        pack_field(p, &season->fields[i], setup->n_weeds);
    season->yards = pack_list(p, season->yards, &season->n_yards, sizeof *season->yards);
    for (size_t i = 0; i < season->n_yards; i++) {
        pack_text(p, &season->yards[i].name);
        pack_place(p, &season->yards[i].place);
    }
    season->joins = room(p, season->joins, setup->n_machines, sizeof *season->joins);
    for (size_t i = 0; season->joins != NULL && i < setup->n_machines; i++)
        pack_join(p, &season->joins[i], 2 * setup->n_sections, setup->n_weeds);
    pack_cut_since(p, season);
    pack_size(p, &season->n_places);
    if (season->n_places > SB_MOST_PACKED_PLACES)
        p->status = SB_ERR_ARG;
    season->km = room(p, season->km, season->n_places * season->n_places, sizeof *season->km);
    if (season->km != NULL)
        pack_km(p, season);
}

static void pack_route(packer *p, sb_route *route)
{
    pack_int(p, &route->machine);
    pack_int(p, &route->final_cleanout);
    route->stops = pack_list(p, route->stops, &route->n_stops, sizeof *route->stops);
    for (size_t i = 0; i < route->n_stops; i++) {
        pack_int(p, &route->stops[i].field);
        pack_int(p, &route->stops[i].cleanout);
    }
}

sb_status sb_season_pack(const sb_season *season, const sb_plan *plan, sb_text *bytes)
{
    packer p = {.out = bytes};
    sb_season whole = *season; /* writing changes nothing that it points to */
    double *measured = NULL;
    if (whole.km == NULL) {
        measured = sb_alloc(whole.n_places * whole.n_places, sizeof *measured);
        if (measured == NULL)
            return SB_ERR_NOMEM;
        for (size_t i = 0; i < whole.n_places * whole.n_places; i++)
            measured[i] =
                sb_season_km(season, (int)(i / whole.n_places), (int)(i % whole.n_places));
        whole.km = measured;
    }
    pack_season(&p, &whole);
    sb_free(measured);
    size_t n_routes = plan->n_routes;
    pack_size(&p, &n_routes);
    for (size_t r = 0; r < n_routes; r++) {
        sb_route route = plan->routes[r];
        pack_route(&p, &route);
    }
    return bytes->failed ? SB_ERR_NOMEM : SB_OK;
}

sb_status sb_season_unpack(const unsigned char *bytes, size_t n, sb_season **season, sb_plan **plan)
{
    packer p = {.reading = true, .in = bytes, .left = n};
    size_t n_routes = 0;
    *season = sb_alloc(1, sizeof **season);
    *plan = NULL;
    if (*season == NULL)
        return SB_ERR_NOMEM;
    pack_season(&p, *season);
    pack_size(&p, &n_routes);
    if (p.status == SB_OK)
        p.status = sb_plan_new(*season, n_routes, plan);
    for (size_t r = 0; p.status == SB_OK && r < n_routes; r++)
        pack_route(&p, &(*plan)->routes[r]);
    if (p.status != SB_OK) {
        sb_plan_free(*plan);
        sb_season_free(*season);
        *plan = NULL;
        *season = NULL;
    }
    return p.status;
}
