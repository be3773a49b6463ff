/* SPDX-License-Identifier: GPL-3.0-or-later */
/* curve.json and curve.csv: the trade-off curve for other programs (docs/formats.md). */
#include <math.h>

#include "write/json_out.h"
#include "write/trade.h"

static json_t *pair_json(double from, double to, bool *ok)
{
    json_t *array = json_array();
    sb_json_append(array, sb_json_number(from), ok);
    sb_json_append(array, sb_json_number(to), ok);
    return array;
}

static json_t *weights_json(const sb_trade *trade, bool *ok)
{
    return isnan(trade->weight_from) ? json_null()
                                     : pair_json(trade->weight_from, trade->weight_to, ok);
}

/* What the step to this plan from the one before it costs and saves; null for the first. */
static json_t *step_json(const sb_season *season, const sb_curve *curve,
                         const sb_curve_point *point, bool first, bool *ok)
{
    if (first)
        return json_null();
    const sb_curve_point *before = point - 1;
    sb_text words = {0};
    sb_trade_step(season, before, point, curve->weight, sb_add_plain_name, &words);
    *ok &= !words.failed;
    json_t *object = json_object();
    sb_json_put(object, "text", json_string(sb_text_get(&words)), ok);
    sb_json_put(object, "money", sb_json_number(point->trade.money - before->trade.money), ok);
    sb_json_put(object, "spread_saved", sb_json_number(before->trade.spread - point->trade.spread),
                ok);
    sb_json_put(object, "seeds_saved", sb_json_number(before->trade.seeds - point->trade.seeds),
                ok);
    sb_text_release(&words);
    return object;
}

static json_t *point_json(const sb_season *season, const sb_curve *curve,
                          const sb_curve_point *point, bool first, bool *ok)
{
    const sb_trade *trade = &point->trade;
    json_t *object = json_object();
    sb_json_put(object, "money", sb_json_number(trade->money), ok);
    sb_json_put(object, "spread", sb_json_number(trade->spread), ok);
    sb_json_put(object, "cleaning", sb_json_number(trade->cleaning), ok);
    sb_json_put(object, "seeds", sb_json_number(trade->seeds), ok);
    sb_json_put(object, "cleanouts", json_integer(trade->cleanouts), ok);
    sb_json_put(object, "full_cleanouts", json_integer(trade->full_cleanouts), ok);
    sb_json_put(object, "weights", weights_json(trade, ok), ok);
    sb_json_put(object, "proven", json_boolean(trade->proven), ok);
    sb_json_put(object, "gap", sb_json_number(trade->gap), ok);
    sb_json_put(object, "step", step_json(season, curve, point, first, ok), ok);
    sb_json_put(object, "plan", sb_plan_json(season, point->plan, ok), ok);
    return object;
}

static json_t *points_json(const sb_season *season, const sb_curve *curve,
                           const sb_curve_points *points, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < points->count; i++)
        sb_json_append(array, point_json(season, curve, &points->items[i], i == 0, ok), ok);
    return array;
}

static json_t *asked_json(const sb_curve *curve, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "spread_weight", sb_json_number(curve->weight), ok);
    sb_json_put(object, "spend_limit", sb_json_number(curve->spend_limit), ok);
    sb_json_put(object, "full_cleanouts", sb_json_number(curve->full_limit), ok);
    sb_json_put(object, "every_plan", json_boolean(curve->every_plan), ok);
    return object;
}

sb_status sb_render_curve_json(const sb_season *season, const sb_curve *curve, sb_text *text)
{
    bool ok = true;
    json_t *root = json_object();
    sb_json_put(root, "format", json_string("seedbreak-curve"), &ok);
    sb_json_put(root, "version", json_integer(1), &ok);
    sb_json_put(root, "currency", json_string(season->setup.currency), &ok);
    sb_json_put(root, "machine", json_string(season->setup.machines[curve->machine].id), &ok);
    sb_json_put(root, "asked", asked_json(curve, &ok), &ok);
    sb_json_put(root, "looked_at", pair_json(curve->weight_low, curve->weight_high, &ok), &ok);
    sb_json_put(root, "best", json_integer((json_int_t)curve->best), &ok);
    sb_json_put(root, "points", points_json(season, curve, &curve->points, &ok), &ok);
    sb_json_put(root, "by_full_cleanouts", points_json(season, curve, &curve->full, &ok), &ok);
    sb_json_put(root, "open", sb_json_number(curve->open_share), &ok);
    if (curve->every_plan)
        sb_json_put(root, "open_stretches", json_integer((json_int_t)curve->open_pairs), &ok);
    sb_json_put(root, "seconds", sb_json_number(curve->seconds), &ok);
    return sb_json_finish(root, ok, text);
}

static void add_rows(const sb_curve_points *points, const char *list, sb_text *text)
{
    for (size_t i = 0; i < points->count; i++) {
        const sb_trade *trade = &points->items[i].trade;
        const sb_cost *cost = &points->items[i].plan->cost;
        sb_text_addf(text, "%s,%zu,%.12g,%.12g,%.12g,%.12g,%.12g,%.12g,%.12g,%d,%d,",
                     trade->between ? "between" : list, i + 1, trade->money, cost->travel,
                     cost->cleanout, cost->delay, cost->spread, cost->total, trade->seeds,
                     trade->cleanouts, trade->full_cleanouts);
        if (!isnan(trade->weight_from))
            sb_text_addf(text, "%.12g,%.12g", trade->weight_from, trade->weight_to);
        else
            sb_text_addf(text, ",");
        sb_text_addf(text, ",%s,%.12g\r\n", trade->proven ? "yes" : "no", trade->gap);
    }
}

sb_status sb_render_curve_csv(const sb_season *season, const sb_curve *curve, sb_text *text)
{
    (void)season;
    sb_text_addf(text, "list,number,money,travel,cleanout,delay,spread,total,seeds,cleanouts,"
                       "full_cleanouts,weight_from,weight_to,proven,gap\r\n");
    add_rows(&curve->points, "curve", text);
    add_rows(&curve->full, "full_cleanouts", text);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
