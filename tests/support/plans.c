/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plans.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/mem.h"
#include "logs.h"

#define METRES_PER_DEGREE 111000.0

static void *must(void *p)
{
    if (p == NULL)
        abort();
    return p;
}

static sb_ring square(sb_lonlat centre, double side_m)
{
    double lat = side_m / 2 / METRES_PER_DEGREE, lon = lat / cos(centre.lat_deg * 0.0174532925);
    sb_ring ring = {.items = must(sb_alloc(4, sizeof(sb_lonlat))), .count = 4, .capacity = 4};
    for (int i = 0; i < 4; i++)
        ring.items[i] = (sb_lonlat){centre.lon_deg + (i == 1 || i == 2 ? lon : -lon),
                                    centre.lat_deg + (i >= 2 ? lat : -lat)};
    return ring;
}

static void add_shape(sb_field *field, size_t i)
{
    double side_m = sqrt(field->area_ha * 1e4);
    field->n_parts = i == 2 ? 2 : 1;
    field->parts = must(sb_alloc(field->n_parts, sizeof *field->parts));
    for (size_t p = 0; p < field->n_parts; p++) {
        sb_lonlat centre = field->place;
        centre.lon_deg += (double)p * 2 * side_m / METRES_PER_DEGREE;
        field->parts[p].outer = square(centre, side_m);
    }
    if (i != 1)
        return;
    field->parts[0].holes = must(sb_alloc(1, sizeof(sb_ring)));
    field->parts[0].holes[0] = square(field->place, side_m / 3);
    field->parts[0].n_holes = 1;
}

void support_add_shapes(sb_season *season)
{
    season->growers = must(sb_alloc(2, sizeof *season->growers));
    season->n_growers = 2;
    season->growers[0] = must(sb_strdup("Grower 1"));
    season->growers[1] = must(sb_strdup("Grower 2"));
    for (size_t i = 0; i < season->n_fields; i++) {
        sb_field *field = &season->fields[i];
        double angle = 2.4 * (double)i; /* the golden angle: no two lie on each other */
        double reach = 0.012 * sqrt((double)i + 1);
        field->place = (sb_lonlat){-96 + 1.35 * reach * cos(angle), 42 + reach * sin(angle)};
        field->grower = (int)(i % 2);
        add_shape(field, i);
    }
}

void support_name_field(sb_season *season, size_t field, const char *name)
{
    sb_free(season->fields[field].name);
    season->fields[field].name = must(sb_strdup(name));
}

sb_plan *support_plan(const sb_season *season)
{
    sb_plan *plan;
    if (sb_plan_new_single(season, 0, season->n_fields, &plan) != SB_OK)
        abort();
    for (size_t i = 0; i < season->n_fields; i++) {
        plan->routes[0].stops[i].field = (int)i;
        plan->routes[0].stops[i].cleanout = (int)(i % season->setup.n_cleanouts);
    }
    if (sb_plan_price(season, plan) != SB_OK || sb_plan_explain(season, plan) != SB_OK)
        abort();
    return plan;
}

static bool listed(const sb_breaches *breaches, const sb_breach *wanted)
{
    for (size_t i = 0; i < breaches->count; i++) {
        const sb_breach *one = &breaches->items[i];
        if (one->rule == wanted->rule && one->field == wanted->field && one->which == wanted->which)
            return true;
    }
    return false;
}

bool support_breaks_another(const sb_season *season, const sb_plan *plan, const sb_plan *other)
{
    sb_breaches now = {0}, then = {0};
    if (sb_plan_breaches(season, plan, &now) != SB_OK ||
        sb_plan_breaches(season, other, &then) != SB_OK)
        abort();
    bool another = false;
    for (size_t i = 0; i < then.count; i++)
        another |= !listed(&now, &then.items[i]);
    sb_free(now.items);
    sb_free(then.items);
    return another;
}

sb_plan *support_order(const sb_season *season)
{
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = 1;
    sb_plan *plan = NULL;
    sb_report *report = sb_report_new();
    if (sb_order(season, &how, report, &plan) != SB_OK || !sb_plan_optimal(plan)) {
        fprintf(stderr, "no plan that is proven: %s\n", support_said(report));
        abort();
    }
    sb_report_free(report);
    return plan;
}
