/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/load_curve.h"

#include <math.h>

const int sb_drawn_points[SB_DRAWN_POINTS] = {0, 1, 4, SB_CURVE_POINTS - 1};

static sb_held held_of(const sb_season *season, const sb_load *load)
{
    sb_held held = {0};
    for (int s = 0; s < (int)season->setup.n_sections; s++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            held.loose[k] += load->seeds[sb_pool(s, false)][k];
            held.lodged[k] += load->seeds[sb_pool(s, true)][k];
        }
    return held;
}

static void start_load(const sb_season *season, int machine, sb_load *load)
{
    *load = (sb_load){0};
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            load->seeds[pool][k] = season->joins[machine].start_seeds[pool * SB_MAX_WEEDS + k];
}

static void clean(const sb_season *season, int cleanout, sb_load *load)
{
    const sb_cleanout *level = &season->setup.cleanouts[cleanout];
    for (int s = 0; s < (int)season->setup.n_sections; s++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            load->seeds[sb_pool(s, false)][k] *= level->keep_loose[s];
            load->seeds[sb_pool(s, true)][k] *= level->keep_lodged[s];
        }
}

/* The load after a share of the field's grain: what was kept of a pool is g to that power, and its
 * own seeds fill the place of what left. */
static void cut_share(const sb_season *season, const sb_passage *passage, double share,
                      const sb_load *before, sb_load *after)
{
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++) {
        double all = 1 - passage->kept[pool];
        double kept = pow(passage->kept[pool], share);
        double filled = all > 0 ? (1 - kept) / all : 0;
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            after->seeds[pool][k] =
                before->seeds[pool][k] * kept + passage->taken_in[pool][k] * filled;
    }
}

void sb_load_curve(const sb_season *season, const sb_route *route, sb_held *curve)
{
    sb_load load;
    start_load(season, route->machine, &load);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        sb_passage passage;
        sb_load now = load;
        clean(season, stop->cleanout, &load);
        sb_passage_of(season, route->machine, stop->field, &passage);
        for (int p = 0; p < SB_CURVE_POINTS; p++) {
            cut_share(season, &passage, p / (double)(SB_CURVE_POINTS - 1), &load, &now);
            *curve++ = held_of(season, &now);
        }
        load = now;
    }
}

const double sb_origin_shares[SB_ORIGIN_POINTS] = {0, 0.125, 1};

/* Without the start load, and with the field's own seeds for the first of its stops only. */
void sb_origin_curve(const sb_season *season, const sb_route *route, size_t stop,
                     const sb_passage *passages, double (*curve)[SB_MAX_WEEDS])
{
    sb_load load = {0};
    for (size_t i = stop; i < route->n_stops; i++) {
        sb_passage passage = passages[i];
        sb_load now = load;
        if (i > stop) {
            clean(season, route->stops[i].cleanout, &load);
            for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
                for (size_t k = 0; k < season->setup.n_weeds; k++)
                    passage.taken_in[pool][k] = 0;
        }
        for (int p = 0; p < SB_ORIGIN_POINTS; p++, curve++) {
            cut_share(season, &passage, sb_origin_shares[p], &load, &now);
            sb_held held = held_of(season, &now);
            for (size_t k = 0; k < season->setup.n_weeds; k++)
                (*curve)[k] = held.loose[k] + held.lodged[k];
        }
        load = now;
    }
}
