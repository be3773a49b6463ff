/* SPDX-License-Identifier: GPL-3.0-or-later */
/* settlement.json: all that the settlement knows (docs/formats.md). */
#include <math.h>

#include "write/json_out.h"
#include "write/settlement.h"

static const char *const SCHEMES[] = {"plan", "shortest_road", "cleanest_first"};

static json_t *pairs(const sb_season *season, const sb_settlement *settlement,
                     const sb_exchange *exchange, bool *ok)
{
    size_t n = settlement->n_parties, n_weeds = settlement->n_weeds;
    json_t *array = json_array();
    for (size_t at = 0; at < (n + 1) * n * n_weeds; at++) {
        if (!(exchange->seeds[at] > 0))
            continue;
        size_t giver = at / n_weeds / n;
        json_t *object = json_object();
        sb_json_put(object, "from",
                    giver < n ? sb_json_text(settlement->parties[giver].name) : json_null(), ok);
        sb_json_put(object, "to", sb_json_text(settlement->parties[at / n_weeds % n].name), ok);
        sb_json_put(object, "weed", sb_json_text(season->setup.weeds[at % n_weeds].id), ok);
        sb_json_put(object, "seeds", sb_json_number(exchange->seeds[at]), ok);
        sb_json_put(object, "loss", sb_json_number(exchange->loss[at]), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

static json_t *exchanges(const sb_season *season, const sb_settlement *settlement, bool *ok)
{
    json_t *object = json_object();
    for (int s = 0; s < SB_N_SCHEMES; s++) {
        const sb_exchange *exchange = &settlement->schemes[s];
        json_t *one = exchange->known ? json_object() : json_null();
        if (exchange->known) {
            sb_json_put(one, "cost", sb_cost_json(&exchange->cost, ok), ok);
            sb_json_put(one, "pairs", pairs(season, settlement, exchange, ok), ok);
        }
        sb_json_put(object, SCHEMES[s], one, ok);
    }
    return object;
}

static json_t *bears(const sb_settlement *settlement, size_t party, bool *ok)
{
    json_t *object = json_object();
    for (int s = 0; s < SB_N_SCHEMES; s++) {
        const sb_exchange *exchange = &settlement->schemes[s];
        sb_json_put(object, SCHEMES[s],
                    exchange->known ? sb_json_number(exchange->bears[party]) : json_null(), ok);
    }
    return object;
}

static json_t *alone(const sb_season *season, const sb_alone *way, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "cost", sb_json_number(way->cost), ok);
    sb_json_put(
        object, "machine",
        way->machine < 0 ? json_null() : sb_json_text(season->setup.machines[way->machine].id), ok);
    sb_json_put(object, "proven", json_boolean(way->proven), ok);
    return object;
}

static json_t *grower(const sb_season *season, const sb_settlement *settlement, size_t p, bool *ok)
{
    const sb_fair *fair = &settlement->fair;
    double share = fair->known ? fair->share[p] : NAN;
    double alternative = sb_settlement_alternative(settlement, p);
    json_t *object = json_object();
    sb_json_put(object, "name", sb_json_text(settlement->parties[p].name), ok);
    sb_json_put(object, "fields", json_integer((json_int_t)settlement->parties[p].n_fields), ok);
    sb_json_put(object, "area_ha", sb_json_number(settlement->parties[p].area_ha), ok);
    sb_json_put(object, "bears", bears(settlement, p, ok), ok);
    sb_json_put(object, "alone", alone(season, &settlement->alone[p], ok), ok);
    sb_json_put(object, "best_alternative", sb_json_number(alternative), ok);
    sb_json_put(object, "fair_share", sb_json_number(share), ok);
    sb_json_put(object, "standard_error", sb_json_number(fair->known ? fair->deviation[p] : NAN),
                ok);
    sb_json_put(object, "gains", sb_json_number(alternative - share), ok);
    sb_json_put(object, "pays_in",
                sb_json_number(share - settlement->schemes[SB_SCHEME_PLAN].bears[p]), ok);
    sb_json_put(object, "cleaning", sb_json_number(settlement->cleaning[p]), ok);
    return object;
}

static json_t *split(const sb_settlement *settlement, bool *ok)
{
    const sb_fair *fair = &settlement->fair;
    json_t *object = json_object(), *leaving = json_array();
    for (size_t p = 0; fair->leaving != 0 && p < settlement->n_parties; p++)
        if (fair->leaving >> p & 1)
            sb_json_append(leaving, sb_json_text(settlement->parties[p].name), ok);
    sb_json_put(object, "method",
                !fair->known  ? json_null()
                : fair->exact ? json_string("exact")
                              : json_string("sampled"),
                ok);
    sb_json_put(object, "coalitions", json_integer(fair->coalitions), ok);
    sb_json_put(object, "proven", json_integer(fair->proven), ok);
    sb_json_put(object, "orders", json_integer(fair->orders), ok);
    sb_json_put(object, "stopped", json_boolean(fair->stopped), ok);
    sb_json_put(object, "leaving", leaving, ok);
    sb_json_put(object, "leaving_saves", sb_json_number(fair->leaving_saves), ok);
    return object;
}

static json_t *bill(const sb_season *season, const sb_settlement *settlement, const sb_bill *of,
                    bool *ok)
{
    static const char *const RULES[] = {"stopped", "demanded", "field", "final"};
    json_t *object = json_object(), *pays = json_array();
    for (size_t p = 0; p < settlement->n_parties; p++) {
        if (!(of->pays[p] > 0))
            continue;
        json_t *one = json_object();
        sb_json_put(one, "grower", sb_json_text(settlement->parties[p].name), ok);
        sb_json_put(one, "money", sb_json_number(of->pays[p]), ok);
        sb_json_append(pays, one, ok);
    }
    sb_json_put(object, "machine", sb_json_text(season->setup.machines[of->machine].id), ok);
    sb_json_put(object, "field",
                of->field < 0 ? json_null() : sb_json_text(season->fields[of->field].name), ok);
    sb_json_put(object, "cleanout", sb_json_text(season->setup.cleanouts[of->cleanout].id), ok);
    sb_json_put(object, "cost", sb_json_number(of->cost), ok);
    sb_json_put(object, "prevents", sb_json_number(of->prevents), ok);
    sb_json_put(object, "rule", json_string(RULES[of->charge]), ok);
    sb_json_put(object, "pays", pays, ok);
    return object;
}

sb_status sb_render_settlement_json(const sb_season *season, const sb_settlement *settlement,
                                    sb_text *text)
{
    bool ok = true;
    json_t *root = json_object(), *growers = json_array(), *bills = json_array();
    for (size_t p = 0; p < settlement->n_parties; p++)
        sb_json_append(growers, grower(season, settlement, p, &ok), &ok);
    for (size_t b = 0; b < settlement->n_bills; b++)
        sb_json_append(bills, bill(season, settlement, &settlement->bills[b], &ok), &ok);
    sb_json_put(root, "format", json_string("seedbreak-settlement"), &ok);
    sb_json_put(root, "version", json_integer(1), &ok);
    sb_json_put(root, "currency", sb_json_text(season->setup.currency), &ok);
    sb_json_put(root, "growers", growers, &ok);
    sb_json_put(root, "exchange", exchanges(season, settlement, &ok), &ok);
    sb_json_put(root, "split", split(settlement, &ok), &ok);
    sb_json_put(root, "cleanouts", bills, &ok);
    return sb_json_finish(root, ok, text);
}
