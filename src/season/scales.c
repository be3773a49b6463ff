/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Published rating scales.
 *
 * The model works with plants/m2. A scale of ground cover is turned into densities by an assumption
 * that is printed with the scale: plants stand at random and each covers 0.1 m2, so that a share
 * C of the ground is covered by -ln(1 - C) / 0.1 plants/m2 (Poisson overlap). */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "season/builtin.h"

#define PLANT_COVER_M2 0.1  /* assumed: ground one weed covers at harvest */
#define FULL_COVER_PCT 99.9 /* assumed: what "100 %" is taken as; its density would be infinite */
#define MAX_CLASSES 12

#define COVER_NOTE                                                                          \
    "; cover to plants/m2 is assumed: plants at random, 0.1 m2 each, so density = -ln(1 - " \
    "cover) / 0.1"

typedef struct class_row {
    const char *label;
    double value, low, high; /* plants/m2, or % cover */
} class_row;

typedef struct scale_table {
    const char *id, *name, *source;
    bool cover; /* values are % cover */
    size_t n;
    class_row classes[MAX_CLASSES];
} scale_table;

static const scale_table tables[] = {
    {
        .id = "density",
        .name = "Scouting density classes 0-5",
        .source = "common practice, no source: none, trace, light, moderate, heavy, severe; the "
                  "geometric mean of each class is used; the outer limits 0.001 and 100 plants/m2 "
                  "are assumed",
        .n = 6,
        .classes = {{"0", 0, 0, 0},
                    {"1", 0.0031622776601683794, 0.001, 0.01},
                    {"2", 0.031622776601683791, 0.01, 0.1},
                    {"3", 0.31622776601683794, 0.1, 1},
                    {"4", 3.1622776601683795, 1, 10},
                    {"5", 31.622776601683793, 10, 100}},
    },
    {
        .id = "braun_blanquet",
        .name = "Braun-Blanquet cover scale",
        .source = "Braun-Blanquet 1964, Pflanzensoziologie: limits of classes 1-5, mid-points "
                  "used; cover of r and + from memory; 0 is added for absent" COVER_NOTE,
        .cover = true,
        .n = 8,
        .classes = {{"0", 0, 0, 0},
                    {"r", 0.1, 0, 0.25},
                    {"+", 0.5, 0.25, 1},
                    {"1", 5, 1, 10},
                    {"2", 17.5, 10, 25},
                    {"3", 37.5, 25, 50},
                    {"4", 62.5, 50, 75},
                    {"5", 87.5, 75, 100}},
    },
    {
        .id = "domin",
        .name = "Domin cover scale",
        .source = "class limits from memory, mid-points used, classes 1 and 2 (single, few) "
                  "assumed 0.1 and 0.5 % cover; 0 is added for absent" COVER_NOTE,
        .cover = true,
        .n = 11,
        .classes = {{"0", 0, 0, 0},
                    {"1", 0.1, 0, 0.25},
                    {"2", 0.5, 0.25, 1},
                    {"3", 2.5, 1, 4},
                    {"4", 7, 4, 10},
                    {"5", 17.5, 10, 25},
                    {"6", 29, 25, 33},
                    {"7", 41.5, 33, 50},
                    {"8", 62.5, 50, 75},
                    {"9", 82.5, 75, 90},
                    {"10", 95, 90, 100}},
    },
    {
        .id = "horsfall_barratt",
        .name = "Horsfall-Barratt scale",
        .source = "class limits from memory, mid-points used, 100 % taken as 99.9 %" COVER_NOTE,
        .cover = true,
        .n = 12,
        .classes = {{"0", 0, 0, 0},
                    {"1", 1.5, 0, 3},
                    {"2", 4.5, 3, 6},
                    {"3", 9, 6, 12},
                    {"4", 18.5, 12, 25},
                    {"5", 37.5, 25, 50},
                    {"6", 62.5, 50, 75},
                    {"7", 81.5, 75, 88},
                    {"8", 91, 88, 94},
                    {"9", 95.5, 94, 97},
                    {"10", 98.5, 97, FULL_COVER_PCT},
                    {"11", FULL_COVER_PCT, FULL_COVER_PCT, 100}},
    },
    {
        .id = "rangeland_cover",
        .name = "Rangeland cover classes",
        .source = "class limits from memory, mid-points used; none is added for absent" COVER_NOTE,
        .cover = true,
        .n = 5,
        .classes = {{"none", 0, 0, 0},
                    {"trace", 0.5, 0, 1},
                    {"low", 3, 1, 5},
                    {"moderate", 15, 5, 25},
                    {"high", 62.5, 25, 100}},
    },
};

/* Full cover gives INFINITY: the open top of the last class. */
static double plants_m2(const scale_table *table, double value)
{
    if (!table->cover || value == 0)
        return value;
    return -log1p(-value / 100) / PLANT_COVER_M2;
}

static sb_status fill(const scale_table *table, sb_scale *scale)
{
    scale->labels = sb_alloc(table->n, sizeof *scale->labels);
    scale->density_plants_m2 = sb_alloc(table->n, sizeof *scale->density_plants_m2);
    scale->low = sb_alloc(table->n, sizeof *scale->low);
    scale->high = sb_alloc(table->n, sizeof *scale->high);
    if (scale->labels == NULL || scale->density_plants_m2 == NULL || scale->low == NULL ||
        scale->high == NULL || !sb_builtin_text(&scale->id, table->id) ||
        !sb_builtin_text(&scale->name, table->name) ||
        !sb_builtin_text(&scale->source, table->source))
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < table->n; i++) {
        const class_row *row = &table->classes[i];
        scale->n_classes = i + 1;
        scale->density_plants_m2[i] = plants_m2(table, row->value);
        scale->low[i] = plants_m2(table, row->low);
        scale->high[i] = plants_m2(table, row->high);
        if (!sb_builtin_text(&scale->labels[i], row->label))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

sb_status sb_scale_builtin(const char *name, sb_scale *scale)
{
    for (size_t t = 0; t < sizeof tables / sizeof *tables; t++) {
        if (strcmp(tables[t].id, name) != 0)
            continue;
        sb_scale fresh = {0};
        sb_status status = fill(&tables[t], &fresh);
        if (status != SB_OK) {
            sb_scale_release(&fresh);
            return status;
        }
        sb_scale_release(scale);
        *scale = fresh;
        return SB_OK;
    }
    return SB_ERR_INPUT;
}
