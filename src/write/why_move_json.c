/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why every move is as it is, for plan.json (docs/formats.md). */
#include "write/breach_json.h"
#include "write/why_move.h"

static json_t *otherwise_json(const sb_season *season, const sb_otherwise *other, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "more", sb_json_number(other->more.total), ok);
    sb_json_put(object, "travel", sb_json_number(other->more.travel), ok);
    sb_json_put(object, "cleanout", sb_json_number(other->more.cleanout), ok);
    sb_json_put(object, "spread", sb_json_number(other->more.spread), ok);
    sb_json_put(object, "delay", sb_json_number(other->more.delay), ok);
    sb_json_put(object, "breaks_rules", json_boolean(other->breaks), ok);
    sb_json_put(object, "breaks", sb_breach_json(season, &other->breach, ok), ok);
    return object;
}

static json_t *levels_json(const sb_season *season, const sb_move *move, int own, bool *ok)
{
    json_t *object = json_object();
    for (size_t l = 0; l < season->setup.n_cleanouts; l++) {
        json_t *level = otherwise_json(season, &move->level[l], ok), *brought = json_object();
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            sb_json_put(brought, season->setup.weeds[k].id, sb_json_number(move->brought[l][k]),
                        ok);
        sb_json_put(level, "brought", brought, ok);
        sb_json_put(level, "planned", json_boolean((int)l == own), ok);
        sb_json_put(object, season->setup.cleanouts[l].id, level, ok);
    }
    return object;
}

static json_t *gifts_json(const sb_season *season, const sb_move *move, bool *ok)
{
    json_t *array = json_array();
    for (size_t g = 0; g < move->n_gifts; g++) {
        const sb_gift *gift = &move->gifts[g];
        json_t *object = json_object();
        sb_json_put(object, "from",
                    (size_t)gift->from < season->n_fields
                        ? json_string(season->fields[gift->from].name)
                        : json_null(),
                    ok);
        sb_json_put(object, "weed", json_string(season->setup.weeds[gift->weed].id), ok);
        sb_json_put(object, "seeds", sb_json_number(gift->seeds), ok);
        sb_json_put(object, "loss", sb_json_number(gift->loss), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

json_t *sb_why_move_json(const sb_season *season, const sb_route *route, size_t i, bool *ok)
{
    const sb_move *move = &route->moves[i];
    json_t *object = json_object(), *other;
    sb_text words = {0};
    sb_why_move(season, route, i, sb_add_plain_name, &words);
    for (size_t c = 0; c < words.count; c++)
        if (words.bytes[c] == '\n')
            words.bytes[c] = ' ';
    *ok &= !words.failed;
    sb_json_put(object, "text", json_string(sb_text_get(&words)), ok);
    sb_text_release(&words);
    sb_json_put(object, "levels", levels_json(season, move, route->stops[i].cleanout, ok), ok);
    sb_json_put(object, "from", gifts_json(season, move, ok), ok);
    other = move->place >= 0 ? otherwise_json(season, &move->elsewhere, ok) : json_null();
    if (move->place >= 0)
        sb_json_put(other, "stop", json_integer(move->place + 1), ok);
    sb_json_put(object, "elsewhere", other, ok);
    sb_json_put(object, "later", move->last ? json_null() : otherwise_json(season, &move->swap, ok),
                ok);
    other = move->nearer >= 0 ? otherwise_json(season, &move->first, ok) : json_null();
    if (move->nearer >= 0) {
        int field = route->stops[move->nearer].field;
        sb_json_put(other, "field", json_string(season->fields[field].name), ok);
        sb_json_put(other, "km", sb_json_number(move->nearer_km), ok);
    }
    sb_json_put(object, "nearer", other, ok);
    return object;
}
