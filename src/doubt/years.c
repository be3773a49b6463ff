/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/years.h"

#include <math.h>

#include "base/mem.h"
#include "base/text.h"
#include "plan/plan.h"

/* Hands on what the orders of single years tell, as one work of many years. */
typedef struct watch {
    const sb_order_options *options; /* of the caller */
    size_t done, of;                 /* years that are ordered anew */
    double before_s;                 /* what those that are done took */
    double order_s;                  /* what the one at work has taken as far as it told */
} watch;

/* One routine on its way through the years. */
typedef struct course {
    sb_routine routine;
    sb_years *years;
    watch *watch;
    sb_season *season; /* a copy whose ratings change */
    sb_plan *plan;
    sb_bank *banks; /* n_fields x n_weeds */
} course;

static double *density_at(sb_years *years, sb_routine routine, size_t year)
{
    return years->density +
           ((size_t)routine * (years->years + 1) + year) * years->n_fields * years->n_weeds;
}

/* Puts the year's densities into the season and remembers them. */
static void rate(course *c, size_t year)
{
    size_t n_weeds = c->years->n_weeds;
    double *density = density_at(c->years, c->routine, year);
    for (size_t i = 0; i < c->years->n_fields; i++)
        for (size_t w = 0; w < n_weeds; w++) {
            sb_rating *rating = &c->season->fields[i].ratings[w];
            if (year > 0)
                rating->density_plants_m2 = sb_bank_year(
                    &c->banks[i * n_weeds + w], &c->season->setup.weeds[w], &sb_bank_published);
            density[i * n_weeds + w] = rating->density_plants_m2;
        }
    sb_season_derive(c->season);
}

static void tell(const watch *w, double cost, double bound)
{
    sb_progress now = {w->before_s + w->order_s, cost, bound, (double)w->done / (double)w->of};
    if (w->options->progress != NULL)
        w->options->progress(&now, w->options->context);
}

static void hand_on(const sb_progress *of_year, void *context)
{
    watch *w = context;
    w->order_s = of_year->elapsed_s;
    tell(w, of_year->cost, of_year->bound);
}

static bool asked_to_stop(void *context)
{
    const watch *w = context;
    return w->options->stop != NULL && w->options->stop(w->options->context);
}

static sb_status order_watched(const sb_season *season, watch *w, sb_report *report, sb_plan **plan)
{
    sb_order_options how = *w->options;
    how.progress = hand_on;
    how.stop = asked_to_stop;
    how.context = w;
    sb_status status = sb_order(season, &how, report, plan);
    w->before_s += w->order_s;
    w->order_s = 0;
    w->done++;
    tell(w, INFINITY, -INFINITY);
    return status;
}

/* The plan for a year of the routine that orders anew; that of the year before when none keeps the
 * rules any more. */
static sb_status order_anew(course *c, size_t year)
{
    sb_report *unread = sb_report_new();
    sb_plan *plan = NULL;
    if (unread == NULL)
        return SB_ERR_NOMEM;
    sb_status status = order_watched(c->season, c->watch, unread, &plan);
    sb_report_free(unread);
    if (status == SB_ERR_INFEASIBLE) {
        c->years->kept_old[(size_t)c->routine * c->years->years + year] = true;
        return SB_OK;
    }
    if (status != SB_OK)
        return status;
    c->years->unproven[(size_t)c->routine * c->years->years + year] = !sb_plan_optimal(plan);
    sb_plan_free(c->plan);
    c->plan = plan;
    return SB_OK;
}

static void harvest(course *c, size_t year)
{
    size_t n_weeds = c->years->n_weeds;
    const double *density = density_at(c->years, c->routine, year);
    for (size_t r = 0; r < c->plan->n_routes; r++)
        for (size_t t = 0; t < c->plan->routes[r].n_stops; t++) {
            const sb_stop *stop = &c->plan->routes[r].stops[t];
            size_t i = (size_t)stop->field;
            double area_m2 = c->season->fields[i].area_ha * 1e4;
            for (size_t w = 0; w < n_weeds; w++)
                sb_bank_harvest(&c->banks[i * n_weeds + w], &c->season->setup.weeds[w],
                                density[i * n_weeds + w], stop->trace.ground[w] / area_m2);
        }
    const sb_cost *cost = &c->plan->cost;
    c->years->spent[(size_t)c->routine * c->years->years + year] =
        cost->travel + cost->cleanout + cost->delay;
    c->years->spread[(size_t)c->routine * c->years->years + year] = cost->spread;
}

static void leave_out_cleaning(sb_plan *plan)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        plan->routes[r].final_cleanout = -1;
        for (size_t t = 0; t < plan->routes[r].n_stops; t++)
            plan->routes[r].stops[t].cleanout = 0;
    }
}

static sb_status run_course(course *c, const sb_season *season, const sb_plan *plan)
{
    size_t n_pairs = c->years->n_fields * c->years->n_weeds;
    sb_status status = sb_season_copy(season, NULL, NULL, &c->season);
    if (status == SB_OK)
        status = sb_plan_copy(season, plan, &c->plan);
    if (status == SB_OK && (c->banks = sb_alloc(n_pairs, sizeof *c->banks)) == NULL)
        status = SB_ERR_NOMEM;
    if (status != SB_OK)
        return status;
    if (c->routine == SB_ROUTINE_NO_CLEANING)
        leave_out_cleaning(c->plan);
    rate(c, 0);
    for (size_t year = 0; status == SB_OK && year < c->years->years; year++) {
        /* This year's plan is given; from then on the ratings are others. */
        if (c->routine == SB_ROUTINE_REORDERED && year > 0)
            status = order_anew(c, year);
        if (status == SB_OK)
            status = sb_plan_price_only(c->season, c->plan);
        if (status == SB_OK) {
            harvest(c, year);
            rate(c, year + 1);
        }
    }
    return status;
}

static void course_release(course *c)
{
    sb_season_free(c->season);
    sb_plan_free(c->plan);
    sb_free(c->banks);
}

size_t sb_years_weedy(const sb_years *years, int routine, size_t field, size_t weed)
{
    size_t year = 0;
    while (year <= years->years &&
           sb_years_density(years, routine, year, field, weed) < SB_WEEDY_PLANTS_M2)
        year++;
    return year;
}

void sb_years_free(sb_years *years)
{
    if (years == NULL)
        return;
    sb_free(years->density);
    sb_free(years->spent);
    sb_free(years->spread);
    sb_free(years->kept_old);
    sb_free(years->unproven);
    sb_free(years);
}

static sb_status years_new(const sb_season *season, size_t n_years, sb_years **years)
{
    sb_years *made = sb_alloc(1, sizeof *made);
    *years = made;
    if (made == NULL)
        return SB_ERR_NOMEM;
    made->years = n_years;
    made->n_fields = season->n_fields;
    made->n_weeds = season->setup.n_weeds;
    size_t cells = SB_ROUTINES * (n_years + 1) * made->n_fields * made->n_weeds;
    made->density = sb_alloc(cells, sizeof *made->density);
    made->spent = sb_alloc(SB_ROUTINES * n_years, sizeof *made->spent);
    made->spread = sb_alloc(SB_ROUTINES * n_years, sizeof *made->spread);
    made->kept_old = sb_alloc(SB_ROUTINES * n_years, sizeof *made->kept_old);
    made->unproven = sb_alloc(SB_ROUTINES * n_years, sizeof *made->unproven);
    bool ok = made->density != NULL && made->spent != NULL && made->spread != NULL &&
              made->kept_old != NULL && made->unproven != NULL;
    return ok ? SB_OK : SB_ERR_NOMEM;
}

sb_status sb_years_ahead(const sb_season *season, const sb_plan *plan, size_t n_years,
                         const sb_order_options *options, sb_years **years)
{
    if (years == NULL)
        return SB_ERR_ARG;
    *years = NULL;
    if (season == NULL || plan == NULL || options == NULL || n_years < 1 ||
        n_years > SB_MOST_YEARS || !(plan->cost.total < SB_LARGEST))
        return SB_ERR_ARG;
    sb_years *made;
    watch watched = {.options = options, .of = n_years - 1};
    sb_status status = years_new(season, n_years, &made);
    for (int routine = 0; status == SB_OK && routine < SB_ROUTINES; routine++) {
        course c = {.routine = (sb_routine)routine, .years = made, .watch = &watched};
        status = run_course(&c, season, plan);
        course_release(&c);
    }
    if (status == SB_OK)
        *years = made;
    else
        sb_years_free(made);
    return status;
}
