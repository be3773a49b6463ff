/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From what a log says was found to a season that has learned from it. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "doubt/posterior.h"
#include "doubt/seed_bank.h"
#include "log/season.h"
#include "write/doubt_out.h"
#include "write/words.h"

/* Found so many times more or less than is expected even now: the ranges do not hold it. */
#define FAR_OFF 5
/* Seeds by which they differ at least, to be called far off. */
#define FEW 20

/* A number is told when its limits drew together to this share of what they were, in u, or its
 * middle moved by so much. */
#define TOLD_WIDTH 0.9
#define TOLD_MOVE 0.05

/* What was found at a step of the log. */
typedef struct finding {
    size_t step;    /* of the cleanout, or of the cut that brought the machine into the field */
    size_t entry;   /* that says so */
    size_t cleaned; /* entry of the cleanout whose tarp it was; seedlings: as entry */
    int weed;       /* -1: the weight of what lay on the tarp */
    double share;   /* of the tarp that was looked through */
    double strip_m, width_m; /* seedlings: where they were counted; NAN: on a tarp */
    sb_found found;
} finding;

typedef struct findings {
    const sb_log_state *state;
    struct {
        finding *items;
        size_t count, capacity;
    } list; /* by step */
} findings;

/* ---- What is expected --------------------------------------------------------------------------
 */

/* A load that asks no more where its seeds are from. */
static void take_start(const sb_season *season, size_t machine, sb_load *load)
{
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            load->seeds[pool][w] = season->joins[machine].start_seeds[pool * SB_MAX_WEEDS + w];
}

/* Adds the seeds that a cleanout takes out to the tarp. */
static void clean(const sb_season *season, int level, sb_load *load, double *tarp)
{
    const sb_cleanout *cleanout = &season->setup.cleanouts[level];
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++) {
        double keep = (pool % 2 ? cleanout->keep_lodged : cleanout->keep_loose)[pool / 2];
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            tarp[w] += load->seeds[pool][w] * (1 - keep);
            load->seeds[pool][w] *= keep;
        }
    }
}

static void cut(const sb_season *season, const sb_log_step *step, sb_load *load)
{
    sb_passage passage;
    sb_passage_of_part(season, step->machine, step->field,
                       step->share * season->fields[step->field].grain_t, &passage);
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            load->seeds[pool][w] =
                load->seeds[pool][w] * passage.kept[pool] + passage.taken_in[pool][w];
}

/* Seedlings in a strip of the first pass: of the seeds that a machine drops there, and of the
 * field's own. */
static double seedlings(const sb_season *season, const sb_log_step *step, const finding *found,
                        const sb_load *load)
{
    const sb_field *field = &season->fields[step->field];
    const sb_machine *machine = &season->setup.machines[step->machine];
    const sb_weed *weed = &season->setup.weeds[found->weed];
    double grain_t = found->strip_m * field->yield_t_ha * machine->header_m / 1e4;
    double width_m = isnan(found->width_m) ? machine->header_m : found->width_m;
    double m2 = found->strip_m * width_m, fallen = 0;
    grain_t = fmin(grain_t, step->share * field->grain_t);
    for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++) {
        const sb_section *section = &machine->sections[pool / 2];
        double tau_t = pool % 2 ? section->tau_lodged_t : section->tau_loose_t;
        fallen += load->seeds[pool][found->weed] * -expm1(-grain_t / tau_t) *
                  sb_season_ground_share(season, step->machine, (int)(pool / 2), found->weed);
    }
    sb_bank bank = {0};
    sb_bank_harvest(&bank, weed, field->ratings[found->weed].density_plants_m2,
                    fallen * fmin(width_m / machine->header_m, 1) / m2);
    return bank.fresh * weed->emergence * m2;
}

/* Goes through the log once more with a season's numbers. An sb_expect. */
static void expect(const void *context, const sb_season *season, double *expected)
{
    const findings *all = context;
    const sb_log_state *state = all->state;
    size_t next = 0;
    for (size_t m = 0; m < season->setup.n_machines; m++) {
        sb_load load = {0};
        take_start(season, m, &load);
        for (size_t s = 0; s < state->steps.count; s++) {
            const sb_log_step *step = &state->steps.items[s];
            double tarp[SB_MAX_WEEDS] = {0};
            if (step->machine != (int)m)
                continue;
            sb_load before = load;
            if (step->field < 0)
                clean(season, step->cleanout, &load, tarp);
            else
                cut(season, step, &load);
            for (next = 0; next < all->list.count && all->list.items[next].step < s; next++)
                ;
            for (; next < all->list.count && all->list.items[next].step == s; next++) {
                const finding *f = &all->list.items[next];
                expected[next] = f->weed < 0       ? sb_tarp_kg(season, (int)m, step->cleanout)
                                 : step->field < 0 ? tarp[f->weed] * f->share
                                                   : seedlings(season, step, f, &before);
            }
        }
    }
}

/* ---- What was found ----------------------------------------------------------------------------
 */

/* The step at which seedlings' seeds were dropped: the first time that a machine came in. */
static bool first_entry(const sb_log_state *state, const sb_log_entry *entry, size_t *step)
{
    for (*step = 0; *step < state->steps.count; (*step)++) {
        const sb_log_step *s = &state->steps.items[*step];
        if (s->field >= 0 && s->enters &&
            state->log->entries.items[s->entry].happened < entry->happened &&
            strcmp(state->season->fields[s->field].name, entry->field) == 0)
            return true;
    }
    return false;
}

/* A machine cleaned twice in a row does not fill up between. */
static bool filled_before(const sb_log_state *state, size_t step)
{
    for (size_t s = step; s-- > 0;)
        if (state->steps.items[s].machine == state->steps.items[step].machine)
            return state->steps.items[s].field >= 0;
    return false;
}

/* Puts a finding behind those of the steps up to its own. */
static bool put(findings *all, finding found)
{
    if (!SB_PUSH(&all->list, found))
        return false;
    size_t at = all->list.count - 1;
    for (; at > 0 && all->list.items[at - 1].step > found.step; at--)
        all->list.items[at] = all->list.items[at - 1];
    all->list.items[at] = found;
    return true;
}

/* What an entry says of one weed, if it does. */
static bool put_weed(findings *all, const sb_log_entry *entry, size_t weed, finding found)
{
    found.weed = (int)weed;
    found.found.amount = sb_log_entry_count(entry, all->state->season->setup.weeds[weed].id);
    return isnan(found.found.amount) || put(all, found);
}

/* What lay on the tarp of a cleanout, counted then or later: of each weed the newest count. */
static bool put_tarp(findings *all, size_t step)
{
    const sb_season *season = all->state->season;
    const sb_log *log = all->state->log;
    size_t cleaned = all->state->steps.items[step].entry;
    finding found = {.step = step, .cleaned = cleaned, .strip_m = NAN, .width_m = NAN};
    bool done = true;
    for (size_t w = 0; w < season->setup.n_weeds && done; w++) {
        found.entry = sb_log_count_of(log, cleaned, season->setup.weeds[w].id);
        if (found.entry == SIZE_MAX)
            continue;
        found.share = sb_log_counted_share(log, cleaned, found.entry);
        done = put_weed(all, &log->entries.items[found.entry], w, found);
    }
    double kg = sb_log_tarp_kg(log, cleaned, &found.entry);
    if (!isnan(kg) && filled_before(all->state, step)) {
        found.weed = -1;
        found.share = 1;
        found.found = (sb_found){kg, true};
        done = done && put(all, found);
    }
    return done;
}

static bool put_seedlings(findings *all, size_t index, size_t step)
{
    const sb_log_entry *entry = &all->state->log->entries.items[index];
    finding found = {.step = step,
                     .entry = index,
                     .cleaned = index,
                     .share = 1,
                     .strip_m = entry->strip_m,
                     .width_m = entry->width_m};
    bool done = true;
    for (size_t w = 0; w < all->state->season->setup.n_weeds && done; w++)
        done = put_weed(all, entry, w, found);
    return done;
}

static bool collect(findings *all)
{
    const sb_log_state *state = all->state;
    for (size_t s = 0; s < state->steps.count; s++)
        if (state->steps.items[s].field < 0 && !put_tarp(all, s))
            return false;
    for (size_t i = 0; i < state->log->entries.count; i++) {
        const sb_log_entry *entry = &state->log->entries.items[i];
        size_t step;
        if (entry->kind == SB_LOG_SEEDLINGS && !entry->is_struck &&
            first_entry(state, entry, &step) && !put_seedlings(all, i, step))
            return false;
    }
    return true;
}

/* "deep, entry 4", and where it was counted later "deep, entry 4, counted in 9". */
static void add_where(const findings *all, const finding *found, sb_text *text)
{
    const sb_log_entry *cleaned = &all->state->log->entries.items[found->cleaned];
    sb_text_addf(text, "%s, entry %ld", cleaned->cleanout, cleaned->number);
    if (found->entry != found->cleaned)
        sb_text_addf(text, ", counted in %ld", all->state->log->entries.items[found->entry].number);
}

static void add_what(const findings *all, const finding *found, sb_text *text)
{
    const sb_season *season = all->state->season;
    const sb_log_entry *entry = &all->state->log->entries.items[found->entry];
    if (entry->kind == SB_LOG_SEEDLINGS) {
        sb_text_addf(text, "%s seedlings, %s, entry %ld", season->setup.weeds[found->weed].name,
                     entry->field, entry->number);
        return;
    }
    if (found->weed < 0)
        sb_text_addf(text, "kg on the tarp, ");
    else if (entry->sample_kg > 0)
        sb_text_addf(text, "%s seeds in %g kg of tarp, ", season->setup.weeds[found->weed].name,
                     entry->sample_kg);
    else
        sb_text_addf(text, "%s seeds on the tarp, ", season->setup.weeds[found->weed].name);
    add_where(all, found, text);
}

/* How many entries of the log the season has learned from already: up to the last of the seals that
 * learned.xml bears that is one of this log. */
static sb_status count_known(const sb_season *season, const sb_log *log, size_t *known)
{
    char seal[SB_SEAL_LENGTH + 1];
    *known = 0;
    sb_log_first_seal(seal);
    for (size_t i = 0; i < log->entries.count && season->learned.seal != NULL; i++) {
        sb_status status = sb_log_seal(seal, &log->entries.items[i], seal);
        if (status != SB_OK)
            return status;
        if (strstr(season->learned.seal, seal) != NULL)
            *known = i + 1;
    }
    return SB_OK;
}

/* Had one of the first `known` entries counted the same, though a later one now holds? */
static bool was_known(const findings *all, const finding *found, size_t known)
{
    const sb_log *log = all->state->log;
    const sb_setup *setup = &all->state->season->setup;
    for (size_t i = found->cleaned; i < known; i++) {
        const sb_log_entry *entry = &log->entries.items[i];
        if (i != found->cleaned && entry->counts != log->entries.items[found->cleaned].number)
            continue;
        if (found->weed < 0 ? !isnan(entry->tarp_kg)
                            : !isnan(sb_log_entry_count(entry, setup->weeds[found->weed].id)))
            return true;
    }
    return false;
}

/* A struck entry among those that the season has learned from: that cannot be unlearned. */
static void say_struck(const sb_log *log, size_t known, sb_report *report)
{
    for (size_t i = known; i < log->entries.count; i++) {
        long strikes = log->entries.items[i].strikes;
        if (log->entries.items[i].kind == SB_LOG_STRUCK && strikes <= (long)known)
            sb_say(report, SB_WARNING, log->path, log->entries.items[i].line,
                   "entry %ld was struck after the files' learned.xml had learned from it: write "
                   "that anew with record, of the files without it",
                   strikes);
    }
}

/* Leaves out what is in the season's numbers already: it counts once. */
static sb_status leave_out_known(findings *all, sb_report *report)
{
    const sb_log *log = all->state->log;
    size_t known, kept = 0, out = 0;
    sb_status status = count_known(all->state->season, log, &known);
    for (size_t i = 0; i < all->list.count && status == SB_OK; i++) {
        const finding *found = &all->list.items[i];
        bool recount = found->entry >= known && was_known(all, found, known);
        if (recount)
            sb_say(report, SB_WARNING, log->path, log->entries.items[found->entry].line,
                   "a recount of what the files' learned.xml has learned from already, left out: "
                   "write that anew with record, of the files without it");
        if (found->entry >= known && !recount)
            all->list.items[kept++] = *found;
        else
            out += !recount;
    }
    if (status != SB_OK || known == 0)
        return status;
    all->list.count = kept;
    say_struck(log, known, report);
    if (out > 0)
        sb_say(report, SB_NOTE, log->path, 0,
               "learned.xml was written after entry %zu of this log: %zu %s up to there %s in the "
               "numbers already and %s not learned from again",
               known, out, out == 1 ? "finding" : "findings", out == 1 ? "is" : "are",
               out == 1 ? "is" : "are");
    return SB_OK;
}

#define MOST_SUSPECTS 3

/* "'Ridge' or 'Old Orchard'": the last fields that the machine cut, since it was clean, before what
 * was found. @return how many */
static size_t add_suspects(const findings *all, const finding *found, sb_text *text)
{
    const sb_season *season = all->state->season;
    const sb_log_step *at = &all->state->steps.items[found->step];
    int fields[MOST_SUSPECTS];
    size_t n = 0;
    for (size_t s = found->step; s-- > 0 && n < MOST_SUSPECTS;) {
        const sb_log_step *step = &all->state->steps.items[s];
        if (step->machine != at->machine || step->field == at->field)
            continue;
        if (step->field < 0 && season->setup.cleanouts[step->cleanout].full)
            break;
        bool again = step->field < 0;
        for (size_t i = 0; i < n; i++)
            again |= fields[i] == step->field;
        if (!again)
            fields[n++] = step->field;
    }
    for (size_t i = 0; i < n; i++)
        sb_text_addf(text, "%s'%s'",
                     i == 0      ? ""
                     : i + 1 < n ? ", "
                                 : " or ",
                     season->fields[fields[i]].name);
    return n;
}

/* Nobody knows where it came from: say so, and what would help. */
static void say_strange(const findings *all, const finding *found, sb_report *report)
{
    const sb_log *log = all->state->log;
    const sb_log_entry *entry = &log->entries.items[found->entry];
    sb_text what = {0}, suspects = {0};
    add_what(all, found, &what);
    size_t n = add_suspects(all, found, &suspects);
    if (entry->kind == SB_LOG_SEEDLINGS)
        sb_text_addf(&suspects, "%s'%s' itself", n > 0 ? ", or " : "", entry->field);
    sb_say(
        report, SB_WARNING, log->path, entry->line,
        "%s: %g found, but nothing that was cut before is rated for it; left out. Rate the field "
        "that they came from%s%s, and they count (log ... rating)",
        sb_text_get(&what), found->found.amount, suspects.count > 0 ? ", perhaps " : "",
        sb_text_get(&suspects));
    sb_text_release(&suspects);
    sb_text_release(&what);
}

/* Leaves out what nothing that the machine cut, or held, can explain. */
static sb_status leave_out_strange(findings *all, sb_report *report)
{
    double *expected = sb_alloc(all->list.count, sizeof *expected);
    if (expected == NULL)
        return SB_ERR_NOMEM;
    expect(all, all->state->season, expected);
    size_t kept = 0;
    for (size_t i = 0; i < all->list.count; i++) {
        const finding *found = &all->list.items[i];
        if (expected[i] > 0)
            all->list.items[kept++] = *found;
        else if (found->found.amount > 0)
            say_strange(all, found, report);
    }
    all->list.count = kept;
    sb_free(expected);
    return SB_OK;
}

/* ---- What it teaches ---------------------------------------------------------------------------
 */

typedef struct ranked {
    double width; /* of the limits now, as a share of what it was, in u */
    size_t spread;
} ranked;

static bool add_number(const sb_season *season, const sb_spread *spread, const sb_learned *learned,
                       sb_lessons *lessons)
{
    static const double BEFORE[3] = {0.05, 0.5, 0.95};
    sb_lesson lesson = {.times = spread->what != SB_DOUBT_RATING && spread->weed < 0};
    double central = sb_spread_central(spread, season);
    for (size_t q = 0; q < 3; q++) {
        double before = sb_spread_multiplier(spread, BEFORE[q]);
        double after = sb_spread_multiplier(spread, learned->u[q]);
        lesson.before[q] = lesson.times ? before : sb_spread_value(spread, central, before);
        lesson.after[q] = lesson.times ? after : sb_spread_value(spread, central, after);
    }
    lesson.used_before = central;
    lesson.used_now =
        lesson.times ? learned->times : sb_spread_value(spread, central, learned->times);
    sb_text name = {0};
    sb_spread_name(season, spread, &name);
    if (spread->what == SB_DOUBT_RATING)
        sb_text_addf(&name, ", plants/m2");
    bool done = !name.failed && sb_copy_text(&lesson.name, sb_text_get(&name)) &&
                sb_copy_text(&lesson.key, sb_number_key(spread->what)) &&
                SB_PUSH(&lessons->numbers, lesson);
    if (!done) {
        sb_free(lesson.name);
        sb_free(lesson.key);
    }
    sb_text_release(&name);
    return done;
}

static bool add_found(const findings *all, size_t i, const sb_posterior *posterior,
                      sb_lessons *lessons)
{
    sb_lesson_found told = {.found = all->list.items[i].found.amount,
                            .expected_before = posterior->before[i],
                            .expected_now = posterior->after[i]};
    sb_text what = {0};
    add_what(all, &all->list.items[i], &what);
    bool done = !what.failed && sb_copy_text(&told.what, sb_text_get(&what)) &&
                SB_PUSH(&lessons->found, told);
    if (!done)
        sb_free(told.what);
    sb_text_release(&what);
    return done;
}

/* Says where even the learned season is far from what was found. */
static void warn(const findings *all, const sb_posterior *posterior, sb_report *report)
{
    const sb_log *log = all->state->log;
    for (size_t i = 0; i < all->list.count; i++) {
        const finding *f = &all->list.items[i];
        double found = f->found.amount, now = posterior->after[i];
        double more = fmax(found, now), less = fmin(found, now);
        if (f->weed < 0 || more - less < FEW || more < FAR_OFF * less)
            continue;
        sb_text what = {0}, counted = {0}, expected = {0};
        add_what(all, f, &what);
        sb_words_seeds(&counted, found);
        sb_words_seeds(&expected, now);
        sb_say(report, SB_WARNING, log->path, log->entries.items[f->entry].line,
               "%s: %s found, %s expected with everything learned: outside the ranges, so look "
               "at ratings and counts again",
               sb_text_get(&what), sb_text_get(&counted), sb_text_get(&expected));
        sb_text_release(&counted);
        sb_text_release(&expected);
        sb_text_release(&what);
    }
    if (posterior->share < 1)
        sb_say(report, SB_WARNING, log->path, 0,
               "the findings contradict each other or the model: they count for %.2g %% of their "
               "worth",
               100 * posterior->share);
}

/* The narrowest now first. */
static int narrower(const void *a, const void *b)
{
    const ranked *one = a, *other = b;
    if (one->width != other->width)
        return one->width < other->width ? -1 : 1;
    return one->spread < other->spread ? -1 : 1;
}

/* Every number whose middle moved, or whose limits drew together. */
static bool add_numbers(const sb_evidence *evidence, const sb_posterior *posterior,
                        sb_lessons *lessons)
{
    size_t n = 0;
    ranked *ranks = sb_alloc(evidence->spreads->count, sizeof *ranks);
    bool done = ranks != NULL;
    for (size_t s = 0; s < evidence->spreads->count && done; s++) {
        const sb_learned *number = &posterior->spread[s];
        double width = (number->u[2] - number->u[0]) / 0.9;
        if (fabs(number->u[1] - 0.5) > TOLD_MOVE || width < TOLD_WIDTH)
            ranks[n++] = (ranked){width, s};
    }
    if (n > 1)
        qsort(ranks, n, sizeof *ranks, narrower);
    for (size_t i = 0; i < n && done; i++)
        done = add_number(evidence->season, &evidence->spreads->items[ranks[i].spread],
                          &posterior->spread[ranks[i].spread], lessons);
    sb_free(ranks);
    return done;
}

/* What a spread's number is multiplied by from now on, on top of what earlier seasons taught. */
static bool keep_factor(const sb_season *season, const sb_spread *spread, double times,
                        sb_factors *factors)
{
    const char *of = spread->weed >= 0    ? season->setup.weeds[spread->weed].id
                     : spread->level >= 0 ? season->setup.cleanouts[spread->level].id
                                          : NULL;
    sb_factor *known = sb_factors_find(factors, spread->what, of);
    if (known != NULL) {
        known->times *= times;
        return true;
    }
    sb_factor factor = {.what = spread->what, .times = times, .used = NAN};
    if (spread->weed >= 0)
        factor.used = sb_spread_central(spread, season);
    if (!sb_copy_text(&factor.of, of))
        return false;
    if (SB_PUSH(factors, factor))
        return true;
    sb_free(factor.of);
    return false;
}

/* Ratings are this year's alone: fields are rated anew. */
static bool keep_factors(const sb_evidence *evidence, const double *times, const sb_log *log,
                         sb_factors *factors)
{
    const sb_spreads *spreads = evidence->spreads;
    sb_text seals = {0};
    sb_text_addf(&seals, "%s", log->seal);
    if (factors->seal != NULL && strstr(factors->seal, log->seal) == NULL)
        sb_text_addf(&seals, " %s", factors->seal);
    sb_free(factors->from);
    sb_free(factors->seal);
    factors->seal = NULL;
    bool kept = !seals.failed && sb_copy_text(&factors->from, log->path) &&
                sb_copy_text(&factors->seal, sb_text_get(&seals));
    sb_text_release(&seals);
    for (size_t s = 0; s < spreads->count && kept; s++)
        if (spreads->items[s].what != SB_DOUBT_RATING && times[s] != 1)
            kept = keep_factor(evidence->season, &spreads->items[s], times[s], factors);
    return kept;
}

static sb_status make(const sb_evidence *evidence, const findings *all,
                      const sb_posterior *posterior, sb_season **learned)
{
    const sb_spreads *spreads = evidence->spreads;
    sb_season *made = NULL;
    double *times = sb_alloc(spreads->count, sizeof *times);
    sb_status status =
        times != NULL ? sb_season_copy(evidence->season, NULL, NULL, &made) : SB_ERR_NOMEM;
    bool done = status == SB_OK && add_numbers(evidence, posterior, &made->lessons);
    for (size_t s = 0; s < spreads->count && done; s++)
        times[s] = posterior->spread[s].times;
    for (size_t i = 0; i < all->list.count && done; i++)
        done = add_found(all, i, posterior, &made->lessons);
    done = done && keep_factors(evidence, times, all->state->log, &made->learned);
    if (done) {
        made->lessons.samples = posterior->samples;
        made->lessons.effective = posterior->effective;
        made->lessons.share = posterior->share;
        sb_spreads_apply(spreads, times, evidence->season, made);
        *learned = made;
    } else {
        sb_season_free(made);
        status = SB_ERR_NOMEM;
    }
    sb_free(times);
    return status;
}

static sb_status learn_from(const findings *all, const sb_learn_options *options, sb_report *report,
                            sb_season **learned)
{
    const sb_season *season = all->state->season;
    sb_spreads spreads = {0};
    sb_posterior posterior = {0};
    sb_found *found = sb_alloc(all->list.count, sizeof *found);
    sb_status status = found != NULL ? sb_spreads_of(season, &spreads) : SB_ERR_NOMEM;
    for (size_t i = 0; i < all->list.count && found != NULL; i++)
        found[i] = all->list.items[i].found;
    sb_evidence evidence = {season, &spreads, found, all->list.count, expect, all};
    if (status == SB_OK)
        status = sb_posterior_of(&evidence, options->samples, options->seed, options->threads,
                                 &posterior);
    if (status == SB_OK)
        status = make(&evidence, all, &posterior, learned);
    if (status == SB_OK)
        warn(all, &posterior, report);
    sb_posterior_release(&posterior);
    sb_free(spreads.items);
    sb_free(found);
    return status;
}

void sb_learn_options_init(sb_learn_options *options)
{
    *options = (sb_learn_options){.samples = 8192, .seed = 1};
}

sb_status sb_learn(const sb_season *season, const sb_log *log, const sb_learn_options *options,
                   sb_report *report, sb_season **learned)
{
    if (learned == NULL)
        return SB_ERR_ARG;
    *learned = NULL;
    if (season == NULL || log == NULL || options == NULL || report == NULL ||
        options->samples < 1 || options->samples > SB_LEARN_MOST_SAMPLES)
        return SB_ERR_ARG;
    sb_log_state state;
    findings all = {.state = &state};
    sb_status status = sb_log_replay(season, log, report, &state);
    if (status == SB_OK)
        status = collect(&all) ? leave_out_known(&all, report) : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = leave_out_strange(&all, report);
    if (status == SB_OK && all.list.count > 0)
        status = learn_from(&all, options, report, learned);
    sb_free(all.list.items);
    sb_log_state_release(&state);
    status = sb_report_settle(report, status);
    if (status != SB_OK) {
        sb_season_free(*learned);
        *learned = NULL;
    }
    return status;
}
