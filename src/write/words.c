/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/words.h"

#include <math.h>
#include <string.h>

#include "base/date.h"

void sb_words_seeds(sb_text *text, double seeds)
{
    static const char units[] = "kMGT";
    /* Steps are taken where rounding takes them: 999.5 would be shown as 1e+03. */
    if (seeds < SB_SEEDS_SHOWN) {
        sb_text_addf(text, "0");
    } else if (seeds < SB_SEEDS_TOLD) {
        sb_text_addf(text, "~0");
    } else if (seeds < 99.5) {
        sb_text_addf(text, "%.2g", seeds);
    } else if (seeds < 999.5) {
        sb_text_addf(text, "%.0f", seeds);
    } else {
        size_t unit = 0;
        for (seeds /= 1000; seeds >= 999.5 && units[unit + 1] != '\0'; unit++)
            seeds /= 1000;
        sb_text_addf(text, "%.3g%c", seeds, units[unit]);
    }
}

void sb_words_machine(sb_text *text, const sb_season *season, int machine, sb_add_name *add_name)
{
    const sb_machine *m = &season->setup.machines[machine];
    add_name(text, m->name);
    if (season->setup.n_machines < 2 || !sb_has_own_name(m))
        return;
    sb_text_addf(text, " (");
    add_name(text, m->id);
    sb_text_addf(text, ")");
}

void sb_words_full_cleanouts(sb_text *text, const sb_season *season, sb_add_name *add_name)
{
    size_t n = 0;
    for (size_t c = 0; c < season->setup.n_cleanouts; c++)
        if (season->setup.cleanouts[c].full) {
            sb_text_addf(text, "%s", n++ > 0 ? ", " : "");
            add_name(text, season->setup.cleanouts[c].id);
        }
    if (n == 0)
        sb_text_addf(text, "none");
}

void sb_words_some_seeds(sb_text *text, double seeds)
{
    if (seeds >= SB_SEEDS_SHOWN && seeds < SB_SEEDS_TOLD)
        sb_text_addf(text, "fewer than 1 seed");
    else {
        sb_words_seeds(text, seeds);
        sb_text_addf(text, " seeds");
    }
}

void sb_words_area(sb_text *text, double area_ha)
{
    if (area_ha < 0.05)
        sb_text_addf(text, "%.0f m²", area_ha * 1e4);
    else
        sb_text_addf(text, "%.1f ha", area_ha);
}

/* A currency is a code or a sign. It goes into pages as it stands, so markup stays out of it. */
static void add_currency(sb_text *text, const char *currency)
{
    for (; *currency != '\0'; currency++)
        if ((unsigned char)*currency >= 0x20 && strchr("<>&\"'", *currency) == NULL)
            sb_text_add(text, currency, 1);
}

void sb_words_currency(sb_text *text, const sb_season *season)
{
    add_currency(text, season->setup.currency);
}

void sb_words_whole_amount(sb_text *text, double money)
{
    if (money <= -0.5)
        sb_text_add(text, "-", 1);
    sb_text_add_grouped(text, fabs(money));
}

void sb_words_money(sb_text *text, const sb_season *season, double money)
{
    sb_text_add_amount(text, money);
    if (!isfinite(money))
        return;
    sb_text_add(text, " ", 1);
    add_currency(text, season->setup.currency);
}

void sb_words_minutes(sb_text *text, double minutes)
{
    long whole = lround(minutes);
    if (whole < 60)
        sb_text_addf(text, "%ld min", whole);
    else if (whole % 60 == 0)
        sb_text_addf(text, "%ld h", whole / 60);
    else
        sb_text_addf(text, "%ld h %ld min", whole / 60, whole % 60);
}

void sb_words_km(sb_text *text, double km)
{
    if (isfinite(km))
        sb_text_addf(text, "%.1f km", km);
    else
        sb_text_addf(text, "no way");
}

void sb_words_metres(sb_text *text, double metres)
{
    if (metres < 999.5)
        sb_text_addf(text, "%.0f m", metres);
    else
        sb_text_addf(text, "%.1f km", metres / 1000);
}

void sb_words_day(sb_text *text, int day)
{
    static const char *const weekdays[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
    static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    char date[11];
    sb_date_format(day, date);
    int weekday = ((day + 4) % 7 + 7) % 7; /* 1970-01-01 was a Thursday */
    long month = 1, of_month = 1;
    sb_parse_long(date + 8, 1, 31, &of_month);
    date[7] = '\0';
    sb_parse_long(date + 5, 1, 12, &month);
    sb_text_addf(text, "%s %2ld %s", weekdays[weekday], of_month, months[month - 1]);
}

void sb_words_moment(sb_text *text, const sb_calendar *calendar, double hours, bool is_end)
{
    char stamp[17] = "unknown";
    int day;
    if (isfinite(hours))
        sb_calendar_stamp(calendar, hours, is_end, stamp);
    if (!sb_date_parse(stamp, &day)) {
        sb_text_addf(text, "%s", stamp);
        return;
    }
    sb_words_day(text, day);
    sb_text_addf(text, " %s", stamp + 11);
}

void sb_words_stop(sb_text *text, size_t n_routes, size_t route, size_t i)
{
    if (sb_words_letter(n_routes, route))
        sb_text_addf(text, "%c%zu", sb_words_letter(n_routes, route), i + 1);
    else if (n_routes > 1)
        sb_text_addf(text, "%zu·%zu", route + 1, i + 1);
    else
        sb_text_addf(text, "%zu", i + 1);
}

void sb_words_exact(sb_text *text, double value)
{
    sb_text digits = {0};
    for (int precision = 15; precision <= 17; precision++) {
        double again;
        sb_text_clear(&digits);
        sb_text_addf(&digits, "%.*g", precision, value);
        if (sb_parse_double(sb_text_get(&digits), &again) && again == value)
            break;
    }
    sb_text_addf(text, "%s", sb_text_get(&digits));
    text->failed |= digits.failed;
    sb_text_release(&digits);
}

bool sb_weed_in_play(const sb_season *season, int weed)
{
    for (size_t f = 0; f < season->n_fields; f++)
        if (season->fields[f].ratings[weed].source != SB_RATING_NONE ||
            season->fields[f].seeds_per_kg[weed] > 0)
            return true;
    for (size_t m = 0; m < season->setup.n_machines; m++)
        for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
            if (season->joins[m].start_seeds[pool * SB_MAX_WEEDS + (size_t)weed] > 0)
                return true;
    return false;
}
