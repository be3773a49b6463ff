/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/breach.h"

#include "write/words.h"

typedef struct teller {
    const sb_season *season;
    const sb_breach *breach;
    sb_add_name *add_name;
    sb_text *text;
} teller;

static void add_field(const teller *t)
{
    t->add_name(t->text, t->season->fields[t->breach->field].name);
}

static void add_cleanout(const teller *t, double level)
{
    if (level > 0)
        t->add_name(t->text, t->season->setup.cleanouts[(int)level].name);
    else
        sb_text_addf(t->text, "no cleanout");
}

static void add_moment(const teller *t, bool is_end)
{
    sb_words_moment(t->text, &t->season->setup.calendar, t->breach->found, is_end);
}

static void tell_dates(const teller *t)
{
    bool ready = t->breach->rule == SB_BROKEN_READY;
    add_field(t);
    sb_text_addf(t->text, ready ? " would be begun on " : " would be finished on ");
    add_moment(t, !ready);
    sb_text_addf(t->text, ready ? ", it is ready on " : ", its latest day is ");
    sb_words_day(t->text, (int)t->breach->allowed);
}

static void tell_seeds(const teller *t)
{
    const sb_breach *breach = t->breach;
    if (breach->rule == SB_BROKEN_TANK_LIMIT) {
        sb_text_addf(t->text, "the grain of ");
        add_field(t);
        sb_text_addf(t->text, " would hold %.3g carried-in seeds/kg, its limit is %g",
                     breach->found, breach->allowed);
        return;
    }
    add_field(t);
    sb_text_addf(t->text, " would receive ");
    sb_words_seeds(t->text, breach->found);
    sb_text_addf(t->text, " seeds/ha of ");
    t->add_name(t->text, t->season->setup.weeds[breach->which].name);
    sb_text_addf(t->text, ", its limit is %g", breach->allowed);
}

static void tell_machine_end(const teller *t)
{
    const sb_breach *breach = t->breach;
    t->add_name(t->text, t->season->setup.machines[breach->which].name);
    if (breach->rule == SB_BROKEN_SEASON_HOURS) {
        sb_text_addf(t->text, " would need %.1f hours, it has %g", breach->found, breach->allowed);
        return;
    }
    sb_text_addf(t->text, " would be back and clean on ");
    add_moment(t, true);
    sb_text_addf(t->text, breach->rule == SB_BROKEN_MACHINE_TO ? ", it has to be by "
                                                               : ", the season ends on ");
    sb_words_day(t->text, (int)breach->allowed);
}

static void tell_season_limit(const teller *t)
{
    const sb_breach *breach = t->breach;
    if (breach->rule == SB_BROKEN_FULL_CLEANOUTS) {
        sb_text_addf(t->text, "there would be %g full cleanout%s, the limit is %g", breach->found,
                     breach->found == 1 ? "" : "s", breach->allowed);
        return;
    }
    if (breach->rule == SB_BROKEN_CLEANING_COST) {
        sb_text_addf(t->text, "cleanouts would cost ");
    } else {
        if (breach->which >= 0)
            t->add_name(t->text, t->season->growers[breach->which]);
        else
            sb_text_addf(t->text, "the fields that name no grower");
        sb_text_addf(t->text, " would be expected to lose ");
    }
    sb_words_money(t->text, t->season, breach->found);
    sb_text_addf(t->text, ", the limit is ");
    sb_words_money(t->text, t->season, breach->allowed);
}

static void tell_order(const teller *t)
{
    const sb_breach *breach = t->breach;
    switch (breach->rule) {
    case SB_BROKEN_ENTRY:
        sb_text_addf(t->text, "the entry rule of ");
        add_field(t);
        sb_text_addf(t->text, " demands ");
        add_cleanout(t, breach->allowed);
        break;
    case SB_BROKEN_APART:
        add_field(t);
        sb_text_addf(t->text, " is kept apart from ");
        t->add_name(t->text, t->season->growers[breach->which]);
        break;
    case SB_BROKEN_AFTER:
        add_field(t);
        sb_text_addf(t->text, " must be cut after ");
        t->add_name(t->text, t->season->fields[breach->which].name);
        break;
    case SB_BROKEN_RESOURCE:
        sb_text_addf(t->text, "%g machines would need ", breach->found);
        t->add_name(t->text, t->season->setup.resources[breach->which].name);
        sb_text_addf(t->text, " at a time, there %s %g", breach->allowed == 1 ? "is" : "are",
                     breach->allowed);
        break;
    case SB_BROKEN_CLEANED_TWICE:
        sb_text_addf(t->text, "the machine was cleaned so where it stands");
        break;
    default: /* neither another level nor another order of the same stops breaks it */
        sb_text_addf(t->text, "a rule would be broken");
        break;
    }
}

void sb_breach_words(const sb_season *season, const sb_breach *breach, sb_add_name *add_name,
                     sb_text *text)
{
    teller t = {season, breach, add_name, text};
    switch (breach->rule) {
    case SB_BROKEN_NONE:
        break;
    case SB_BROKEN_READY:
    case SB_BROKEN_LATEST:
        tell_dates(&t);
        break;
    case SB_BROKEN_SEED_LIMIT:
    case SB_BROKEN_TANK_LIMIT:
        tell_seeds(&t);
        break;
    case SB_BROKEN_SEASON_HOURS:
    case SB_BROKEN_MACHINE_TO:
    case SB_BROKEN_CALENDAR_END:
        tell_machine_end(&t);
        break;
    case SB_BROKEN_FULL_CLEANOUTS:
    case SB_BROKEN_CLEANING_COST:
    case SB_BROKEN_GROWER:
        tell_season_limit(&t);
        break;
    default:
        tell_order(&t);
        break;
    }
}
