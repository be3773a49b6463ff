/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/spreads.h"

#include <math.h>

#include "base/mem.h"
#include "doubt/philox.h"
#include "doubt/spread_table.h"

/* An open class reaches as far above the density used for it as it does below, by magnitude; where
 * it begins at nothing, to twice the density. */
static double top_of_open_class(const sb_rating *rating)
{
    double density = rating->density_plants_m2;
    return rating->low > 0 ? density / rating->low : 2;
}

/* A class of the scale spreads the density over the class. */
static bool class_spread(const sb_rating *rating, sb_spread *spread)
{
    double density = rating->density_plants_m2;
    spread->shape = rating->low > 0 ? SB_SPREAD_FACTOR : SB_SPREAD_EVEN;
    spread->low = rating->low / density;
    spread->high = isfinite(rating->high) ? rating->high / density : top_of_open_class(rating);
    spread->source = "limits of the class";
    return spread->low < 1 || spread->high > 1;
}

/* The mean of n points is uncertain by their standard deviation over the root of n. */
static bool scouted_spread(const sb_rating *rating, sb_spread *spread)
{
    double error = rating->sd / sqrt((double)rating->n_points) / rating->density_plants_m2;
    spread->shape = SB_SPREAD_MEAN;
    spread->sigma = sqrt(log1p(error * error));
    spread->low = sb_spread_multiplier(spread, 0.05);
    spread->high = sb_spread_multiplier(spread, 0.95);
    spread->source = "scatter of the scouting points";
    return error > 0;
}

/* A point alone says no more than its class. */
static bool lone_point_spread(const sb_scale *scale, const sb_rating *rating, sb_spread *spread)
{
    sb_rating in_class = *rating;
    in_class.low = fmin(scale->low[rating->class_index], rating->density_plants_m2);
    in_class.high = fmax(scale->high[rating->class_index], rating->density_plants_m2);
    bool wide = class_spread(&in_class, spread);
    spread->source = "one scouting point: limits of its class";
    return wide;
}

static bool add_rating(const sb_season *season, int field, int weed, sb_spreads *spreads)
{
    const sb_rating *rating = &season->fields[field].ratings[weed];
    sb_spread spread = {.what = SB_DOUBT_RATING, .field = field, .weed = weed, .level = -1};
    bool wide = false;
    if (!(rating->density_plants_m2 > 0))
        return true;
    if (rating->source == SB_RATING_CLASS)
        wide = class_spread(rating, &spread);
    else if (rating->source == SB_RATING_SCOUTED)
        wide = rating->n_points > 1 ? scouted_spread(rating, &spread)
                                    : lone_point_spread(&season->setup.scale, rating, &spread);
    return !wide || SB_PUSH(spreads, spread);
}

static double odds(double share)
{
    return share / (1 - share);
}

static bool add_constant(const sb_range *range, int weed, int level, sb_spreads *spreads)
{
    bool share = sb_number_is_share(range->what);
    sb_spread spread = {
        .what = range->what,
        .field = -1,
        .weed = weed,
        .level = level,
        .shape = share ? SB_SPREAD_ODDS : SB_SPREAD_FACTOR,
        .low = share ? odds(range->low) / odds(range->middle) : range->low / range->middle,
        .high = share ? odds(range->high) / odds(range->middle) : range->high / range->middle,
        .source = range->source,
    };
    return SB_PUSH(spreads, spread);
}

sb_status sb_spreads_of(const sb_season *season, sb_spreads *spreads)
{
    const sb_setup *setup = &season->setup;
    bool ok = true, small = false, large = false;
    *spreads = (sb_spreads){0};
    for (size_t w = 0; w < setup->n_weeds; w++) {
        if (!sb_season_has_weed(season, w))
            continue;
        *(setup->weeds[w].large_seed ? &large : &small) = true;
        for (size_t i = 0; i < season->n_fields; i++)
            ok = ok && add_rating(season, (int)i, (int)w, spreads);
        for (int what = SB_DOUBT_SEEDS_PER_PLANT; what <= SB_DOUBT_CROWDING; what++)
            ok = ok && add_constant(sb_range_of_weed((sb_doubtful)what, setup->weeds[w].id), (int)w,
                                    -1, spreads);
    }
    for (int what = SB_DOUBT_HELD; what <= SB_DOUBT_TANK_LARGE; what++)
        if ((what != SB_DOUBT_TANK_SMALL || small) && (what != SB_DOUBT_TANK_LARGE || large))
            ok = ok && add_constant(sb_range_of_machine((sb_doubtful)what), -1, -1, spreads);
    for (size_t l = 1; l < setup->n_cleanouts; l++)
        ok = ok && add_constant(sb_range_of_keep(setup->cleanouts[l].id), -1, (int)l, spreads);
    if (ok)
        return SB_OK;
    sb_free(spreads->items);
    *spreads = (sb_spreads){0};
    return SB_ERR_NOMEM;
}

double sb_spread_multiplier(const sb_spread *spread, double u)
{
    switch (spread->shape) {
    case SB_SPREAD_MEAN:
        return exp(spread->sigma * (sb_normal_quantile(u) - spread->sigma / 2));
    case SB_SPREAD_EVEN:
        return u < 0.5 ? 2 * u : 1 + (spread->high - 1) * (2 * u - 1);
    default:
        return u < 0.5 ? pow(spread->low, 1 - 2 * u) : pow(spread->high, 2 * u - 1);
    }
}

double sb_spread_value(const sb_spread *spread, double central, double multiplier)
{
    if (spread->shape != SB_SPREAD_ODDS)
        return central * multiplier;
    return sb_times_odds(central, multiplier);
}

double sb_spread_central(const sb_spread *spread, const sb_season *season)
{
    if (spread->what == SB_DOUBT_RATING)
        return season->fields[spread->field].ratings[spread->weed].density_plants_m2;
    if (spread->weed >= 0) {
        sb_weed weed = season->setup.weeds[spread->weed];
        return *sb_weed_number(&weed, spread->what);
    }
    return 1;
}

void sb_spreads_draw(const sb_spreads *spreads, uint64_t seed, uint32_t stream, uint64_t sample,
                     double *multiplier)
{
    for (size_t s = 0; s < spreads->count; s++)
        multiplier[s] = sb_spread_multiplier(&spreads->items[s],
                                             sb_philox_unit(seed, stream, sample, (uint32_t)s));
}

static void apply_to_sections(const sb_spread *spread, double multiplier, const sb_season *season,
                              sb_season *sampled)
{
    for (size_t m = 0; m < season->setup.n_machines; m++)
        for (size_t s = 0; s < season->setup.n_sections; s++) {
            sb_section central = season->setup.machines[m].sections[s];
            *sb_section_number(&sampled->setup.machines[m].sections[s], spread->what) =
                sb_spread_value(spread, *sb_section_number(&central, spread->what), multiplier);
        }
}

static void apply_to_cleanout(const sb_spread *spread, double multiplier, const sb_season *season,
                              sb_season *sampled)
{
    const sb_cleanout *central = &season->setup.cleanouts[spread->level];
    sb_cleanout *to = &sampled->setup.cleanouts[spread->level];
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        to->keep_loose[s] = sb_spread_value(spread, central->keep_loose[s], multiplier);
        to->keep_lodged[s] = sb_spread_value(spread, central->keep_lodged[s], multiplier);
    }
}

void sb_spreads_apply(const sb_spreads *spreads, const double *multiplier, const sb_season *season,
                      sb_season *sampled)
{
    for (size_t s = 0; s < spreads->count; s++) {
        const sb_spread *spread = &spreads->items[s];
        if (spread->what == SB_DOUBT_RATING) {
            sampled->fields[spread->field].ratings[spread->weed].density_plants_m2 =
                sb_spread_value(spread, sb_spread_central(spread, season), multiplier[s]);
        } else if (spread->weed >= 0) {
            *sb_weed_number(&sampled->setup.weeds[spread->weed], spread->what) =
                sb_spread_value(spread, sb_spread_central(spread, season), multiplier[s]);
        } else if (spread->level >= 0) {
            apply_to_cleanout(spread, multiplier[s], season, sampled);
        } else {
            apply_to_sections(spread, multiplier[s], season, sampled);
        }
    }
    sb_season_derive(sampled);
}

/* Acklam's fit: one rational function in the middle, another in the tails. */
double sb_normal_quantile(double p)
{
    static const double a[] = {-3.969683028665376e+01, 2.209460984245205e+02,
                               -2.759285104469687e+02, 1.383577518672690e+02,
                               -3.066479806614716e+01, 2.506628277459239e+00};
    static const double b[] = {-5.447609879822406e+01, 1.615858368580409e+02,
                               -1.556989798598866e+02, 6.680131188771972e+01,
                               -1.328068155288572e+01};
    static const double c[] = {-7.784894002430293e-03, -3.223964580411365e-01,
                               -2.400758277161838e+00, -2.549732539343734e+00,
                               4.374664141464968e+00,  2.938163982698783e+00};
    static const double d[] = {7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00,
                               3.754408661907416e+00};
    const double tail = 0.02425;
    if (p >= tail && p <= 1 - tail) {
        double q = p - 0.5, r = q * q;
        return (((((a[0] * r + a[1]) * r + a[2]) * r + a[3]) * r + a[4]) * r + a[5]) * q /
               (((((b[0] * r + b[1]) * r + b[2]) * r + b[3]) * r + b[4]) * r + 1);
    }
    double q = sqrt(-2 * log(p < 0.5 ? p : 1 - p));
    double z = (((((c[0] * q + c[1]) * q + c[2]) * q + c[3]) * q + c[4]) * q + c[5]) /
               ((((d[0] * q + d[1]) * q + d[2]) * q + d[3]) * q + 1);
    return p < 0.5 ? z : -z;
}
