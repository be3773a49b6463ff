/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/json_out.h"
#include "write/lessons.h"

static json_t *limits_json(const double *limits, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "p5", sb_json_number(limits[0]), ok);
    sb_json_put(object, "p50", sb_json_number(limits[1]), ok);
    sb_json_put(object, "p95", sb_json_number(limits[2]), ok);
    return object;
}

static json_t *number_json(const sb_lesson *lesson, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "number", sb_json_text(lesson->key), ok);
    sb_json_put(object, "name", sb_json_text(lesson->name), ok);
    sb_json_put(object, "as", sb_json_text(lesson->times ? "times" : "value"), ok);
    sb_json_put(object, "before", limits_json(lesson->before, ok), ok);
    sb_json_put(object, "now", limits_json(lesson->after, ok), ok);
    sb_json_put(object, "used_before", sb_json_number(lesson->used_before), ok);
    sb_json_put(object, "used_now", sb_json_number(lesson->used_now), ok);
    return object;
}

json_t *sb_lessons_json(const sb_season *season, bool *ok)
{
    const sb_lessons *lessons = &season->lessons;
    json_t *found = json_array(), *numbers = json_array(), *root = json_object();
    for (size_t i = 0; i < lessons->found.count; i++) {
        const sb_lesson_found *one = &lessons->found.items[i];
        json_t *object = json_object();
        sb_json_put(object, "what", sb_json_text(one->what), ok);
        sb_json_put(object, "found", sb_json_number(one->found), ok);
        sb_json_put(object, "expected_before", sb_json_number(one->expected_before), ok);
        sb_json_put(object, "expected_now", sb_json_number(one->expected_now), ok);
        sb_json_append(found, object, ok);
    }
    for (size_t i = 0; i < lessons->numbers.count; i++)
        sb_json_append(numbers, number_json(&lessons->numbers.items[i], ok), ok);
    sb_json_put(root, "samples", json_integer((json_int_t)lessons->samples), ok);
    sb_json_put(root, "effective", sb_json_number(lessons->effective), ok);
    sb_json_put(root, "share", sb_json_number(lessons->share), ok);
    sb_json_put(root, "found", found, ok);
    sb_json_put(root, "numbers", numbers, ok);
    return root;
}
