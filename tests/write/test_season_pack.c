/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A season that was packed and unpacked prices, checks and draws every plan as before. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "plans.h"
#include "seasons.h"
#include "write/page.h"
#include "write/season_pack.h"

static void unpack(const sb_text *bytes, sb_season **season, sb_plan **plan)
{
    assert_int_equal(
        sb_season_unpack((const unsigned char *)bytes->bytes, bytes->count, season, plan), SB_OK);
}

/* Kilometres are packed to 7e-12. */
static void expect_near(double a, double b)
{
    assert_true(a == b || fabs(a - b) <= 1e-11 * fabs(a));
}

/* Once compared they are made the same, so that what is drawn can be compared to the last digit. */
static void expect_near_km(sb_season *season, const sb_season *again)
{
    for (size_t i = 0; i < season->n_places * season->n_places; i++)
        if (!isnan(season->km[i]) || !isnan(again->km[i]))
            expect_near(season->km[i], again->km[i]);
    memcpy(season->km, again->km, season->n_places * season->n_places * sizeof *season->km);
}

/* What the check says of a plan, all of it. */
static void broken_rules(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    size_t broken;
    sb_report *report = sb_report_new();
    assert_int_equal(sb_plan_check(season, plan, SB_WARNING, report, &broken), SB_OK);
    for (size_t i = 0; i < sb_report_count(report); i++)
        sb_text_addf(text, "%s\n", sb_report_get(report, i).text);
    sb_report_free(report);
}

static void expect_same_drawings(const sb_season *a, const sb_plan *plan_a, const sb_season *b,
                                 const sb_plan *plan_b)
{
    sb_page page_a, page_b;
    assert_int_equal(sb_page_init(&page_a, a, plan_a), SB_OK);
    assert_int_equal(sb_page_init(&page_b, b, plan_b), SB_OK);
    for (size_t i = 0; i < sb_n_page_parts; i++) {
        sb_text one = {0}, other = {0};
        assert_int_equal(sb_page_parts[i].draw(&page_a, &one), SB_OK);
        assert_int_equal(sb_page_parts[i].draw(&page_b, &other), SB_OK);
        assert_string_equal(sb_text_get(&one), sb_text_get(&other));
        sb_text_release(&one);
        sb_text_release(&other);
    }
    sb_page_release(&page_a);
    sb_page_release(&page_b);
}

/* Outlines are packed as map programs write them: seven decimals of a degree. */
static void round_outlines(sb_season *season)
{
    for (size_t f = 0; f < season->n_fields; f++)
        for (size_t i = 0; i < season->fields[f].n_parts; i++) {
            sb_part *part = &season->fields[f].parts[i];
            for (size_t h = 0; h <= part->n_holes; h++) {
                sb_ring *ring = h < part->n_holes ? &part->holes[h] : &part->outer;
                for (size_t v = 0; v < ring->count; v++) {
                    ring->items[v].lon_deg = (double)lround(ring->items[v].lon_deg * 1e7) / 1e7;
                    ring->items[v].lat_deg = (double)lround(ring->items[v].lat_deg * 1e7) / 1e7;
                }
            }
        }
}

/* Half of the fields get a grower with a cap of his own. */
static void cap_growers(sb_season *season, double most)
{
    int ash = support_add_grower(season, "Ash");
    season->grower_most = sb_alloc(season->n_growers, sizeof *season->grower_most);
    assert_non_null(season->grower_most);
    for (size_t g = 0; g < season->n_growers; g++)
        season->grower_most[g] = INFINITY;
    season->grower_most[ash] = most;
    for (size_t i = 0; i < season->n_fields; i += 2)
        season->fields[i].grower = ash;
}

/* The machine is on its way from the fields of one grower, partly cleaned since. */
static void send_on_its_way(sb_season *season)
{
    size_t n = season->setup.n_machines * season->n_growers;
    season->cut_since = sb_alloc(n, sizeof *season->cut_since);
    assert_non_null(season->cut_since);
    for (size_t i = 0; i < n; i++)
        season->cut_since[i] = (uint16_t)(0x101 << i % 3);
}

static void a_season_comes_back_whole(void **state)
{
    (void)state;
    size_t rules = 0;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        support_options options = support_random_options(seed);
        sb_season *season = support_random_season(seed, 6, &options), *again;
        support_add_shapes(season);
        round_outlines(season);
        if (seed % 3 == 0)
            cap_growers(season, 5.0 * (double)seed);
        if (seed % 2 == 0)
            send_on_its_way(season);
        sb_plan *plan = support_plan(season), *plan_again;
        sb_text bytes = {0}, said = {0}, said_again = {0};
        assert_int_equal(sb_season_pack(season, plan, &bytes), SB_OK);
        unpack(&bytes, &again, &plan_again);
        expect_near_km(season, again);
        assert_int_equal(season->cut_since == NULL, again->cut_since == NULL);
        if (season->cut_since != NULL)
            assert_memory_equal(season->cut_since, again->cut_since,
                                season->setup.n_machines * season->n_growers *
                                    sizeof *season->cut_since);
        assert_int_equal(sb_plan_price(season, plan), SB_OK);
        assert_int_equal(sb_plan_price(again, plan_again), SB_OK);
        expect_near(plan->cost.travel, plan_again->cost.travel);
        expect_near(plan->cost.cleanout, plan_again->cost.cleanout);
        expect_near(plan->cost.spread, plan_again->cost.spread);
        expect_near(plan->cost.delay, plan_again->cost.delay);
        broken_rules(season, plan, &said);
        broken_rules(again, plan_again, &said_again);
        assert_string_equal(sb_text_get(&said), sb_text_get(&said_again));
        rules += said.count > 0;
        /* Reasons are not packed: neither has any now. */
        sb_free(plan->routes[0].reasons);
        plan->routes[0].reasons = NULL;
        expect_same_drawings(season, plan, again, plan_again);
        sb_text_release(&said);
        sb_text_release(&said_again);
        sb_text_release(&bytes);
        sb_plan_free(plan_again);
        sb_season_free(again);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(rules > 10 && rules < 60);
}

static void supplies_come_back_with_their_amounts(void **state)
{
    (void)state;
    support_options options = support_random_options(1);
    sb_season *season = support_random_season(1, 3, &options), *again;
    sb_cleanout *blowdown = &season->setup.cleanouts[1];
    blowdown->counted = sb_resize(blowdown->counted, 2, sizeof *blowdown->counted);
    assert_non_null(blowdown->counted);
    blowdown->counted[0] = (sb_supply){sb_strdup("straw"), sb_strdup("bales"), 0.1};
    blowdown->counted[1] = (sb_supply){sb_strdup("bags"), sb_strdup(""), 1e300};
    blowdown->n_counted = 2;
    sb_plan *plan = support_plan(season), *plan_again;
    sb_text bytes = {0};
    assert_int_equal(sb_season_pack(season, plan, &bytes), SB_OK);
    unpack(&bytes, &again, &plan_again);
    const sb_cleanout *found = &again->setup.cleanouts[1];
    assert_int_equal(found->n_counted, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_string_equal(found->counted[i].name, blowdown->counted[i].name);
        assert_string_equal(found->counted[i].unit, blowdown->counted[i].unit);
        assert_true(found->counted[i].amount == blowdown->counted[i].amount);
    }
    assert_string_equal(found->supplies, blowdown->supplies);
    sb_text_release(&bytes);
    sb_plan_free(plan_again);
    sb_season_free(again);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void an_outline_across_the_antimeridian_comes_back(void **state)
{
    (void)state;
    support_options options = support_random_options(1);
    sb_season *season = support_random_season(1, 3, &options), *again;
    support_add_shapes(season);
    round_outlines(season);
    sb_ring *ring = &season->fields[0].parts[0].outer;
    for (size_t v = 0; v < ring->count; v++)
        ring->items[v].lon_deg = v % 2 ? -179.9999999 : 180;
    sb_plan *plan = support_plan(season), *plan_again;
    sb_text bytes = {0};
    assert_int_equal(sb_season_pack(season, plan, &bytes), SB_OK);
    unpack(&bytes, &again, &plan_again);
    const sb_ring *ring_again = &again->fields[0].parts[0].outer;
    assert_int_equal(ring_again->count, ring->count);
    for (size_t v = 0; v < ring->count; v++) {
        assert_true(ring_again->items[v].lon_deg == ring->items[v].lon_deg);
        assert_true(ring_again->items[v].lat_deg == ring->items[v].lat_deg);
    }
    sb_text_release(&bytes);
    sb_plan_free(plan_again);
    sb_season_free(again);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void bytes_that_end_too_early_are_refused(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    sb_season *season = support_random_season(3, 4, &options), *again;
    support_add_shapes(season);
    sb_plan *plan = support_plan(season), *plan_again;
    sb_text bytes = {0};
    long live = sb_mem_live();
    assert_int_equal(sb_season_pack(season, plan, &bytes), SB_OK);
    for (size_t n = 0; n < bytes.count; n += 1 + n / 40) {
        assert_int_equal(
            sb_season_unpack((const unsigned char *)bytes.bytes, n, &again, &plan_again),
            SB_ERR_ARG);
        assert_null(again);
        assert_null(plan_again);
    }
    sb_text_release(&bytes);
    assert_int_equal(sb_mem_live(), live);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Whoever adds a member to one of these decides here whether season_pack.c must carry it, and then
 * writes the new size down. */
static void nothing_was_added_that_the_pack_does_not_know(void **state)
{
    (void)state;
    if (sizeof(void *) != 8) {
        print_message("skipped: these are the sizes with pointers of 8 bytes\n");
        skip();
    }
    static const struct {
        const char *name;
        size_t size, known;
    } structs[] = {
#define SIZE(type, known) {#type, sizeof(type), known}
        SIZE(sb_calendar, 40),       SIZE(sb_scale, 72),
        SIZE(sb_weed, 128),          SIZE(sb_crop, 80),
        SIZE(sb_section, 88),        SIZE(sb_cleanout, 312),
        SIZE(sb_machine, 184),       SIZE(sb_resource, 32),
        SIZE(sb_limits, 72),         SIZE(sb_setup, 392),
        SIZE(sb_rating, 48),         SIZE(sb_field, 1120),
        SIZE(sb_yard, 24),           SIZE(struct sb_machine_join, 1576),
        SIZE(struct sb_season, 816),
    };
    for (size_t i = 0; i < sizeof structs / sizeof *structs; i++)
        if (structs[i].size != structs[i].known)
            fail_msg("%s has %zu bytes, season_pack.c knows %zu", structs[i].name, structs[i].size,
                     structs[i].known);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_season_comes_back_whole),
        cmocka_unit_test(supplies_come_back_with_their_amounts),
        cmocka_unit_test(an_outline_across_the_antimeridian_comes_back),
        cmocka_unit_test(bytes_that_end_too_early_are_refused),
        cmocka_unit_test(nothing_was_added_that_the_pack_does_not_know),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
