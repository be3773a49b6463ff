/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bands, chances and drivers as JSON (docs/formats.md). */
#include "write/doubt_out.h"
#include "write/json_out.h"

static const char *const kinds[SB_SAMPLED_KINDS] = {"seeds", "plants", "loss"};

json_t *sb_band_json(const sb_band *band, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "central", sb_json_number(band->central), ok);
    sb_json_put(object, "p5", sb_json_number(band->p5), ok);
    sb_json_put(object, "p50", sb_json_number(band->p50), ok);
    sb_json_put(object, "p95", sb_json_number(band->p95), ok);
    sb_json_put(object, "mean", sb_json_number(band->mean), ok);
    return object;
}

/* The three bands of a field, a weed or the whole. */
static void put_bands(json_t *object, const sb_band *bands, bool *ok)
{
    for (int kind = 0; kind < SB_SAMPLED_KINDS; kind++)
        sb_json_put(object, kinds[kind], sb_band_json(&bands[kind], ok), ok);
}

static json_t *total_json(const sb_findings *f, bool *ok)
{
    json_t *total = json_object();
    put_bands(total, f->total, ok);
    sb_json_put(total, "cost", sb_band_json(&f->cost, ok), ok);
    sb_json_put(total, "cheapest", sb_json_number(f->cheapest[0]), ok);
    return total;
}

static json_t *fields_json(const sb_season *season, const sb_findings *f, bool *ok)
{
    json_t *fields = json_array();
    for (size_t i = 0; i < f->n_fields; i++) {
        json_t *field = json_object();
        sb_json_put(field, "field", sb_json_text(season->fields[i].name), ok);
        put_bands(field, f->field + i * SB_SAMPLED_KINDS, ok);
        sb_json_append(fields, field, ok);
    }
    return fields;
}

static json_t *weeds_json(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                          bool *ok)
{
    json_t *weeds = json_array();
    for (size_t w = 0; w < f->n_weeds; w++) {
        json_t *weed = json_object();
        sb_json_put(weed, "weed", sb_json_text(season->setup.weeds[doubt->weed[w]].id), ok);
        put_bands(weed, f->weed + w * SB_SAMPLED_KINDS, ok);
        sb_json_append(weeds, weed, ok);
    }
    return weeds;
}

static json_t *rivals_json(const sb_doubt *doubt, const sb_findings *f, bool *ok)
{
    json_t *rivals = json_array();
    for (size_t r = 0; r < f->n_rivals; r++) {
        json_t *rival = json_object();
        sb_json_put(rival, "name", sb_json_text(doubt->rival_names[r]), ok);
        sb_json_put(rival, "beaten", sb_json_number(f->chance[r].beats), ok);
        sb_json_put(rival, "cheapest", sb_json_number(f->cheapest[r + 1]), ok);
        sb_json_put(rival, "dearer", sb_band_json(&f->chance[r].dearer, ok), ok);
        sb_json_append(rivals, rival, ok);
    }
    return rivals;
}

static json_t *driver_json(const sb_season *season, const sb_spread *spread,
                           const sb_driver *driver, bool *ok)
{
    json_t *object = json_object();
    double central = sb_spread_central(spread, season);
    sb_json_put(object, "number", json_string(sb_number_key(spread->what)), ok);
    if (spread->field >= 0)
        sb_json_put(object, "field", sb_json_text(season->fields[spread->field].name), ok);
    if (spread->weed >= 0)
        sb_json_put(object, "weed", sb_json_text(season->setup.weeds[spread->weed].id), ok);
    if (spread->level >= 0)
        sb_json_put(object, "cleanout", sb_json_text(season->setup.cleanouts[spread->level].id),
                    ok);
    bool relative = spread->field < 0 && spread->weed < 0;
    sb_json_put(object, "as",
                json_string(!relative                         ? "value"
                            : spread->shape == SB_SPREAD_ODDS ? "times odds"
                                                              : "times"),
                ok);
    sb_json_put(object, "central", sb_json_number(central), ok);
    sb_json_put(
        object, "low",
        sb_json_number(relative ? spread->low : sb_spread_value(spread, central, spread->low)), ok);
    sb_json_put(
        object, "high",
        sb_json_number(relative ? spread->high : sb_spread_value(spread, central, spread->high)),
        ok);
    sb_json_put(object, "first_order", sb_json_number(driver->first_order), ok);
    sb_json_put(object, "rank_correlation", sb_json_number(driver->rank), ok);
    sb_json_put(object, "source", sb_json_text(spread->source), ok);
    return object;
}

sb_status sb_render_doubt_json(const sb_season *season, const sb_doubt *doubt, const sb_findings *f,
                               sb_text *text)
{
    bool ok = true;
    json_t *root = json_object(), *drivers = json_array();
    for (size_t d = 0; d < f->n_drivers; d++)
        sb_json_append(
            drivers,
            driver_json(season, &doubt->spreads.items[f->driver[d].spread], &f->driver[d], &ok),
            &ok);
    sb_json_put(root, "format", json_string("seedbreak-doubt"), &ok);
    sb_json_put(root, "version", json_integer(1), &ok);
    sb_json_put(root, "currency", sb_json_text(season->setup.currency), &ok);
    sb_json_put(root, "seed", json_integer((json_int_t)doubt->seed), &ok);
    sb_json_put(root, "first", json_integer((json_int_t)doubt->first), &ok);
    sb_json_put(root, "last", json_integer((json_int_t)doubt->last), &ok);
    sb_json_put(root, "total", total_json(f, &ok), &ok);
    sb_json_put(root, "rivals", rivals_json(doubt, f, &ok), &ok);
    sb_json_put(root, "weeds", weeds_json(season, doubt, f, &ok), &ok);
    sb_json_put(root, "fields", fields_json(season, f, &ok), &ok);
    sb_json_put(root, "numbers", drivers, &ok);
    return sb_json_finish(root, ok, text);
}
