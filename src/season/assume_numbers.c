/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers of crops, weeds, machines and cleanouts that the answer uses and no file states. */
#include <math.h>
#include <string.h>

#include "season/assume.h"
#include "season/builtin.h"
#include "season/service.h"

/* What a new crop, weed or cleanout has without stating it (src/read/season_biology.c). */
#define SOURCE_OF_NEW "assumed: what a new one has unless its element says otherwise"

/* A number of some struct: the words around it, and its key when it is money. */
typedef struct number {
    const char *before;
    size_t offset;
    const char *after;
    const char *price_key; /* NULL: no money */
} number;

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* The thing whose numbers are looked at. */
typedef struct thing {
    const void *at;
    sb_numbers_given given;
    const char *element, *id; /* where its prices are to be stated: "weed", "kochia" or "" */
} thing;

static double value_of(const thing *of, size_t offset)
{
    double value;
    memcpy(&value, (const char *)of->at + offset, sizeof value);
    return value;
}

static bool is_given(const thing *of, size_t offset)
{
    return (of->given & SB_GIVEN_BIT(offset)) != 0;
}

/* A built-in price other than nothing. It counts in US dollars, whatever the season's currency. */
static void note_dollars(sb_assuming *a, const thing *of, const char *key, double value)
{
    if (value == 0)
        return;
    if (a->dollars_of == of->at)
        sb_text_addf(&a->dollars, ", %s %g", key, value);
    else
        sb_text_addf(&a->dollars, "%s%s%s%s: %s %g", a->dollars.count > 0 ? "; " : "", of->element,
                     *of->id != '\0' ? " " : "", of->id, key, value);
    a->dollars_of = of->at;
}

/* Those that no file states. */
static void add_numbers(sb_assuming *a, const thing *of, const number *numbers, size_t n)
{
    const char *currency = a->join->season->setup.currency;
    for (size_t i = 0; i < n; i++) {
        const number *one = &numbers[i];
        double value = value_of(of, one->offset);
        if (is_given(of, one->offset))
            continue;
        if (one->price_key == NULL) {
            sb_assume_part(a, "%s%.6g%s", one->before, value, one->after);
            continue;
        }
        sb_assume_part(a, "%s%.6g %s%s", one->before, value, currency, one->after);
        note_dollars(a, of, one->price_key, value);
    }
}

/* ---- Crops and weeds ---- */

/* What of a crop the answer uses. */
typedef struct crop_use {
    bool cut, yield, delay, price;
} crop_use;

static crop_use use_of_crop(const sb_joining *join, int crop)
{
    const sb_season *season = join->season;
    crop_use use = {0};
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        if (field->crop != crop)
            continue;
        use.cut = true;
        use.yield |= sb_join_attribute(join->from[i], "yield_t_ha") == NULL;
        use.delay |= field->best_before_day != SB_NO_DAY;
        const char *name = field->whole != NULL ? field->whole : field->name;
        for (size_t p = 0; p < season->patches.count; p++)
            use.price |= strcmp(season->patches.items[p].field, name) == 0;
    }
    use.price |= use.delay;
    return use;
}

static sb_status assume_crop(sb_assuming *a, int c)
{
    static const number yield = {"", offsetof(sb_crop, yield_t_ha),
                                 " t/ha where no yield is stated", NULL};
    static const number material = {"", offsetof(sb_crop, mog_per_grain),
                                    " kg other material per kg grain", NULL};
    static const number price = {"", offsetof(sb_crop, price_per_t), "/t", "price_per_t"};
    const sb_crop *crop = &a->join->season->setup.crops[c];
    int known = sb_find_crop(&a->builtin, crop->id);
    thing of = {crop, crop->given, "crop", crop->id};
    crop_use use = use_of_crop(a->join, c);
    sb_assume_begin(a, crop->name);
    if (use.yield)
        add_numbers(a, &of, &yield, 1);
    if (use.cut)
        add_numbers(a, &of, &material, 1);
    if (use.price)
        add_numbers(a, &of, &price, 1);
    if (use.delay && !is_given(&of, offsetof(sb_crop, delay_per_day)))
        sb_assume_part(a, "%g %% lost a day after best_before", 100 * crop->delay_per_day);
    return sb_assume_end(a, known < 0 ? SOURCE_OF_NEW : a->builtin.crops[known].source);
}

static sb_status assume_weed(sb_assuming *a, size_t w)
{
    static const number numbers[] = {
        {"seeds per plant ", offsetof(sb_weed, seeds_per_plant), "", NULL},
        {"retained ", offsetof(sb_weed, retained), "", NULL},
        {"header loss ", offsetof(sb_weed, header_loss), "", NULL},
        {"viability ", offsetof(sb_weed, viability), "", NULL},
        {"emergence ", offsetof(sb_weed, emergence), "", NULL},
        {"survival ", offsetof(sb_weed, survival), "", NULL},
        {"control ", offsetof(sb_weed, control), "", NULL},
        {"cost per plant ", offsetof(sb_weed, cost_per_plant), "", "cost_per_plant"},
        {"crowding plants/m2 ", offsetof(sb_weed, crowding_plants_m2), "", NULL},
    };
    const sb_weed *weed = &a->join->season->setup.weeds[w];
    int known = sb_find_weed(&a->builtin, weed->id);
    thing of = {weed, weed->given, "weed", weed->id};
    sb_assume_begin(a, weed->name);
    if (sb_season_has_weed(a->join->season, w))
        add_numbers(a, &of, numbers, COUNT(numbers));
    return sb_assume_end(a, known < 0 ? SOURCE_OF_NEW : a->builtin.weeds[known].source);
}

/* ---- Machines and cleanouts ---- */

/* Does it cut a crop for which it states no rate of its own? */
static bool uses_general_rate(const sb_season *season, int m)
{
    const double *by_crop = season->setup.machines[m].crop_ha_per_hour;
    for (size_t i = 0; i < season->n_fields; i++)
        if ((by_crop == NULL || isnan(by_crop[season->fields[i].crop])) &&
            sb_season_may_cut(season, m, (int)i))
            return true;
    return false;
}

/* One number of every section of a machine. */
static void add_of_sections(sb_assuming *a, const sb_machine *machine, const char *kind,
                            size_t offset)
{
    for (size_t s = 0; s < a->join->season->setup.n_sections; s++) {
        const sb_section *section = &machine->sections[s];
        thing of = {section, section->given, "section", section->id};
        if (!is_given(&of, offset))
            sb_assume_of_section(a, kind, section->id, value_of(&of, offset));
    }
}

/* "Combine, held by section: ". */
static void begin_of_machine(sb_assuming *a, const sb_machine *machine, const char *what)
{
    sb_text head = {0};
    sb_text_addf(&head, "%s, %s", machine->name, what);
    sb_assume_begin(a, sb_text_get(&head));
    a->text.failed |= head.failed;
    sb_text_release(&head);
}

static sb_status assume_sections(sb_assuming *a, const sb_machine *machine)
{
    begin_of_machine(a, machine, "material held");
    add_of_sections(a, machine, "kg in", offsetof(sb_section, kg));
    add_of_sections(a, machine, "lodged share in", offsetof(sb_section, lodged_share));
    add_of_sections(a, machine, "purge constant of loose seed, t grain, in",
                    offsetof(sb_section, tau_loose_t));
    add_of_sections(a, machine, "of lodged seed in", offsetof(sb_section, tau_lodged_t));
    sb_status status = sb_assume_end(a, SB_SOURCE_HOLD_UP);
    if (status != SB_OK)
        return status;
    begin_of_machine(a, machine, "share to the grain tank");
    add_of_sections(a, machine, "of small seed shed in", offsetof(sb_section, tank_share_small));
    add_of_sections(a, machine, "of large seed in", offsetof(sb_section, tank_share_large));
    return sb_assume_end(a, SB_SOURCE_TANK_SHARE);
}

static sb_status assume_machine(sb_assuming *a, int m)
{
    static const number rate = {"", offsetof(sb_machine, ha_per_hour), " ha/h", NULL};
    static const number others[] = {
        {"header ", offsetof(sb_machine, header_m), " m", NULL},
        {"", offsetof(sb_machine, road_km_h), " km/h on the road", NULL},
        {"", offsetof(sb_machine, cost_per_km), "/km", "cost_per_km"},
        {"", offsetof(sb_machine, cost_per_hour), " per road hour", "cost_per_hour"},
    };
    const sb_machine *machine = &a->join->season->setup.machines[m];
    /* Where no machine is declared, `travel` states what the built-in one costs on the road. */
    thing of = {machine, machine->given, machine->line > 0 ? "machine" : "travel",
                machine->line > 0 ? machine->id : ""};
    sb_assume_begin(a, machine->name);
    if (uses_general_rate(a->join->season, m))
        add_numbers(a, &of, &rate, 1);
    add_numbers(a, &of, others, COUNT(others));
    sb_status status = sb_assume_end(a, SB_SOURCE_MACHINE);
    return status == SB_OK ? assume_sections(a, machine) : status;
}

/* What a cleanout leaves of the seed in every section. */
static void add_kept(sb_assuming *a, const thing *of, const char *kind, size_t offset)
{
    const sb_setup *setup = &a->join->season->setup;
    for (size_t s = 0; s < setup->n_sections; s++) {
        size_t at = offset + s * sizeof(double);
        if (!is_given(of, at))
            sb_assume_of_section(a, kind, setup->machines[0].sections[s].id, value_of(of, at));
    }
}

static sb_status assume_cleanout(sb_assuming *a, int c)
{
    static const number numbers[] = {
        {"", offsetof(sb_cleanout, minutes), " min", NULL},
        {"", offsetof(sb_cleanout, people), " at work", NULL},
        {"", offsetof(sb_cleanout, supplies_cost), " of supplies", "supplies_cost"},
    };
    const sb_cleanout *level = &a->join->season->setup.cleanouts[c];
    int known = sb_find_cleanout(&a->builtin, level->id);
    thing of = {level, level->given, "cleanout", level->id};
    sb_assume_begin(a, level->name);
    add_numbers(a, &of, numbers, COUNT(numbers));
    if (known >= 0 && level->full && a->builtin.cleanouts[known].full)
        sb_assume_part(a, "a full cleanout");
    add_kept(a, &of, "kept of loose seed in", offsetof(sb_cleanout, keep_loose));
    add_kept(a, &of, "of lodged seed in", offsetof(sb_cleanout, keep_lodged));
    return sb_assume_end(a, known < 0 ? SOURCE_OF_NEW : a->builtin.cleanouts[known].source);
}

/* ---- Costs and roads ---- */

static sb_status assume_costs(sb_assuming *a)
{
    static const number wage = {"", offsetof(sb_setup, wage_per_hour), " per hour",
                                "wage_per_hour"};
    static const number lost = {"", offsetof(sb_setup, lost_time_per_hour), " per hour",
                                "lost_time_per_hour"};
    const sb_setup *setup = &a->join->season->setup;
    thing of = {setup, setup->given, "costs", ""};
    sb_assume_begin(a, "a person cleaning");
    add_numbers(a, &of, &wage, 1);
    sb_status status = sb_assume_end(a, SB_SOURCE_WAGE);
    if (status != SB_OK)
        return status;
    sb_assume_begin(a, "machine time lost to cleaning");
    add_numbers(a, &of, &lost, 1);
    return sb_assume_end(a, SB_SOURCE_LOST_TIME);
}

static sb_status assume_roads(sb_assuming *a)
{
    static const number detour = {"", offsetof(sb_setup, detour),
                                  " times as long as the straight line", NULL};
    const sb_season *season = a->join->season;
    thing of = {&season->setup, season->setup.given, "travel", ""};
    sb_assume_begin(a, "roads");
    if (!season->km_from_table)
        add_numbers(a, &of, &detour, 1);
    return sb_assume_end(a, SB_SOURCE_DETOUR);
}

sb_status sb_assume_numbers(sb_assuming *a)
{
    const sb_setup *setup = &a->join->season->setup;
    sb_status status = SB_OK;
    for (size_t c = 0; c < setup->n_crops && status == SB_OK; c++)
        status = assume_crop(a, (int)c);
    for (size_t w = 0; w < setup->n_weeds && status == SB_OK; w++)
        status = assume_weed(a, w);
    for (size_t m = 0; m < setup->n_machines && status == SB_OK; m++)
        status = assume_machine(a, (int)m);
    for (size_t c = 1; c < setup->n_cleanouts && status == SB_OK; c++) /* 0: none, by definition */
        status = assume_cleanout(a, (int)c);
    if (status == SB_OK)
        status = assume_costs(a);
    return status == SB_OK ? assume_roads(a) : status;
}
