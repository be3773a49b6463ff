/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/columns.h"

#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* A unit behind a number is no wider than this, a comma or full stop included. */
#define UNIT 4
#define HEAD_LINES 3

/* One character as it will be shown. */
typedef struct glyph {
    const char *bytes;
    size_t n;     /* bytes to copy: 0 drops it */
    size_t taken; /* bytes of the input it stands for */
    int width;
} glyph;

typedef struct span {
    uint32_t first, last;
} span;

/* Combining marks and joiners: no column of their own. */
static const span zero_width[] = {
    {0x0300, 0x036F}, {0x0483, 0x0489},   {0x0591, 0x05BD},   {0x0610, 0x061A}, {0x064B, 0x065F},
    {0x06D6, 0x06DC}, {0x0900, 0x0902},   {0x093C, 0x093C},   {0x0941, 0x0948}, {0x094D, 0x094D},
    {0x0E31, 0x0E31}, {0x0E34, 0x0E3A},   {0x0E47, 0x0E4E},   {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF},
    {0x200B, 0x200D}, {0x20D0, 0x20FF},   {0x2060, 0x2064},   {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F},
    {0xFEFF, 0xFEFF}, {0x1F3FB, 0x1F3FF}, {0xE0100, 0xE01EF},
};

/* East Asian wide and full-width blocks, and pictographs. */
static const span double_width[] = {
    {0x1100, 0x115F},   {0x2E80, 0x303E},   {0x3041, 0xA4CF},   {0xA960, 0xA97F},
    {0xAC00, 0xD7A3},   {0xF900, 0xFAFF},   {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},
    {0xFFE0, 0xFFE6},   {0x1F300, 0x1F64F}, {0x1F680, 0x1F6FF}, {0x1F900, 0x1FAFF},
    {0x20000, 0x3FFFD},
};

static bool within(const span *spans, size_t n, uint32_t code)
{
    for (size_t i = 0; i < n; i++)
        if (code >= spans[i].first && code <= spans[i].last)
            return true;
    return false;
}

/* Marks, embeddings, overrides and isolates that turn the writing direction. */
static bool turns_direction(uint32_t code)
{
    return code == 0x061C || code == 0x200E || code == 0x200F ||
           (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

/* Decodes one UTF-8 character; a broken or overlong one gives 0 and counts one byte. */
static uint32_t decode(const unsigned char *s, size_t *n)
{
    *n = 1;
    if (s[0] < 0x80)
        return s[0];
    size_t length = s[0] >= 0xF0 ? 4 : s[0] >= 0xE0 ? 3 : 2;
    if (s[0] < 0xC2 || s[0] > 0xF4)
        return 0;
    uint32_t code = s[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++) {
        if ((s[i] & 0xC0) != 0x80)
            return 0;
        code = code << 6 | (s[i] & 0x3Fu);
    }
    static const uint32_t smallest[] = {0, 0, 0x80, 0x800, 0x10000};
    if (code < smallest[length] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF))
        return 0;
    *n = length;
    return code;
}

bool sb_columns_whole(const char *utf8)
{
    size_t n;
    for (; *utf8 != '\0'; utf8 += n)
        if (decode((const unsigned char *)utf8, &n) == 0)
            return false;
    return true;
}

static glyph next_glyph(const char *s)
{
    size_t n;
    uint32_t code = decode((const unsigned char *)s, &n);
    if (code == '\n' || code == '\t')
        return (glyph){" ", 1, n, 1};
    if (code < 0x20 || (code >= 0x7F && code < 0xA0))
        return (glyph){"?", 1, n, 1};
    if (turns_direction(code))
        return (glyph){s, 0, n, 0};
    if (within(zero_width, sizeof zero_width / sizeof *zero_width, code))
        return (glyph){s, n, n, 0};
    bool wide = within(double_width, sizeof double_width / sizeof *double_width, code);
    return (glyph){s, n, n, wide ? 2 : 1};
}

static void add_blanks(sb_text *text, int n)
{
    for (int i = 0; i < n; i++)
        sb_text_add(text, " ", 1);
}

int sb_columns_width(const char *utf8)
{
    int width = 0;
    while (*utf8 != '\0') {
        glyph g = next_glyph(utf8);
        width += g.width;
        utf8 += g.taken;
    }
    return width;
}

/* Appends at most width columns, with an ellipsis when that is not all; returns the columns used.
 */
static int cut(sb_text *text, const char *utf8, int width)
{
    bool all = sb_columns_width(utf8) <= width;
    int room = all ? width : width - 1;
    int used = 0;
    while (*utf8 != '\0') {
        glyph g = next_glyph(utf8);
        if (used + g.width > room)
            break;
        sb_text_add(text, g.bytes, g.n);
        used += g.width;
        utf8 += g.taken;
    }
    if (all)
        return used;
    sb_text_addf(text, "…");
    return used + 1;
}

void sb_columns_cut(sb_text *text, const char *utf8, int width)
{
    (void)cut(text, utf8, width);
}

void sb_columns_add(sb_text *text, const char *utf8, int width, bool right)
{
    int wanted = sb_columns_width(utf8);
    if (right && wanted <= width)
        add_blanks(text, width - wanted);
    int used = cut(text, utf8, width);
    if (!right || wanted > width)
        add_blanks(text, width - used);
}

/* Bytes and columns of the word at s: up to a blank or the end. */
static size_t word_at(const char *s, int *width)
{
    size_t n = strcspn(s, " \n\t");
    *width = 0;
    for (size_t i = 0; i < n;) {
        glyph g = next_glyph(s + i);
        *width += g.width;
        i += g.taken;
    }
    return n;
}

int sb_columns_longest_word(const char *utf8)
{
    int longest = 0, width;
    for (;;) {
        utf8 += strspn(utf8, " \n\t");
        size_t n = word_at(utf8, &width);
        if (n == 0)
            return longest;
        longest = width > longest ? width : longest;
        utf8 += n;
    }
}

/* Lines being filled; at == n: there is no room left. */
typedef struct lines {
    sb_text *texts;
    int n, at, width, used;
} lines;

static void next_line(lines *l)
{
    if (l->at < l->n)
        l->at++;
    l->used = 0;
}

/* A word behind what the line holds; one longer than a line in pieces about as long as each other,
 * a hyphen behind all but the last. */
static void add_word(lines *l, const char *word, size_t n, int width)
{
    int pieces = width <= l->width ? 1 : (width + l->width - 2) / (l->width - 1);
    int most = pieces == 1 ? l->width : (width + pieces - 1) / pieces;
    if (l->used > 0) {
        sb_text_add(&l->texts[l->at], " ", 1);
        l->used++;
    }
    for (size_t i = 0; i < n && l->at < l->n;) {
        glyph g = next_glyph(word + i);
        if (l->used > 0 && l->used + g.width > most) {
            sb_text_add(&l->texts[l->at], "-", 1);
            next_line(l);
            continue;
        }
        sb_text_add(&l->texts[l->at], g.bytes, g.n);
        l->used += g.width;
        i += g.taken;
    }
}

int sb_columns_split(const char *utf8, int width, sb_text *texts, int n)
{
    lines l = {.texts = texts, .n = n, .width = width};
    for (;;) {
        utf8 += strspn(utf8, " \n\t");
        int word_width;
        size_t bytes = word_at(utf8, &word_width);
        if (bytes == 0)
            break;
        if (l.used > 0 && l.used + 1 + word_width > width)
            next_line(&l);
        if (l.at == n)
            break;
        add_word(&l, utf8, bytes, word_width);
        utf8 += bytes;
    }
    if (l.at < n)
        return l.at + 1;
    /* Text is left over: the last line shows it. */
    sb_text last = texts[n - 1];
    texts[n - 1] = (sb_text){.failed = last.failed};
    sb_text_addf(&last, "……");
    cut(&texts[n - 1], sb_text_get(&last), width);
    sb_text_release(&last);
    return n;
}

static void end_line(sb_text *text)
{
    while (text->count > 0 && text->bytes[text->count - 1] == ' ')
        text->bytes[--text->count] = '\0';
    sb_text_add(text, "\n", 1);
}

void sb_columns_heads(sb_text *text, const char *first, const char *const *names, const int *widths,
                      int n)
{
    for (int line = HEAD_LINES - 1; line >= 0; line--) {
        sb_text row = {0};
        bool empty = line > 0;
        sb_columns_add(&row, line == 0 ? first : "", sb_columns_width(first), false);
        for (int i = 0; i < n; i++) {
            sb_text parts[HEAD_LINES] = {0};
            int at = sb_columns_split(names[i], widths[i], parts, HEAD_LINES) - 1 - line;
            empty = empty && at < 0;
            sb_text_add(&row, " ", 1);
            sb_columns_add(&row, at < 0 ? "" : sb_text_get(&parts[at]), widths[i], true);
            for (int l = 0; l < HEAD_LINES; l++) {
                text->failed |= parts[l].failed;
                sb_text_release(&parts[l]);
            }
        }
        end_line(&row);
        if (!empty)
            sb_text_add(text, sb_text_get(&row), row.count);
        text->failed |= row.failed;
        sb_text_release(&row);
    }
}

/* The word at s with the unit that belongs to its number: "97 %", "22 min". */
static size_t phrase_at(const char *s, int *width)
{
    size_t n = word_at(s, width);
    int unit;
    if (n == 0 || s[n] != ' ' || s[n - 1] < '0' || s[n - 1] > '9')
        return n;
    size_t more = word_at(s + n + 1, &unit);
    if (more == 0 || unit > UNIT)
        return n;
    *width += 1 + unit;
    return n + 1 + more;
}

void sb_columns_wrap(sb_text *text, const char *utf8, int at, int indent)
{
    int column = at;
    bool line_is_empty = true;
    for (;;) {
        utf8 += strspn(utf8, " \n\t");
        int width;
        size_t n = phrase_at(utf8, &width);
        if (n == 0)
            break;
        int gap = line_is_empty ? 0 : 1;
        if (!line_is_empty && column + gap + width > SB_PAGE_COLUMNS) {
            sb_text_add(text, "\n", 1);
            add_blanks(text, indent);
            column = indent;
            gap = 0;
        }
        add_blanks(text, gap);
        column += gap;
        for (size_t i = 0; i < n;) {
            glyph g = next_glyph(utf8 + i);
            if (column + g.width > SB_PAGE_COLUMNS) {
                sb_text_add(text, "\n", 1);
                add_blanks(text, indent);
                column = indent;
            }
            sb_text_add(text, g.bytes, g.n);
            column += g.width;
            i += g.taken;
        }
        line_is_empty = false;
        utf8 += n;
    }
    sb_text_add(text, "\n", 1);
}
