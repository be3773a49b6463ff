/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a season was taught, kept for those who tell it. */
#include "base/mem.h"
#include "season/season.h"

void sb_lessons_release(sb_lessons *lessons)
{
    for (size_t i = 0; i < lessons->numbers.count; i++) {
        sb_free(lessons->numbers.items[i].name);
        sb_free(lessons->numbers.items[i].key);
    }
    for (size_t i = 0; i < lessons->found.count; i++)
        sb_free(lessons->found.items[i].what);
    sb_free(lessons->numbers.items);
    sb_free(lessons->found.items);
    *lessons = (sb_lessons){0};
}

static bool copy_number(sb_lessons *to, const sb_lesson *from)
{
    sb_lesson lesson = *from;
    lesson.name = lesson.key = NULL;
    return SB_PUSH(&to->numbers, lesson) &&
           sb_copy_text(&to->numbers.items[to->numbers.count - 1].name, from->name) &&
           sb_copy_text(&to->numbers.items[to->numbers.count - 1].key, from->key);
}

static bool copy_found(sb_lessons *to, const sb_lesson_found *from)
{
    sb_lesson_found found = *from;
    found.what = NULL;
    return SB_PUSH(&to->found, found) &&
           sb_copy_text(&to->found.items[to->found.count - 1].what, from->what);
}

bool sb_lessons_copy(sb_lessons *to, const sb_lessons *from)
{
    *to =
        (sb_lessons){.samples = from->samples, .effective = from->effective, .share = from->share};
    for (size_t i = 0; i < from->numbers.count; i++)
        if (!copy_number(to, &from->numbers.items[i]))
            return false;
    for (size_t i = 0; i < from->found.count; i++)
        if (!copy_found(to, &from->found.items[i]))
            return false;
    return true;
}
