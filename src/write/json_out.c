/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/json_out.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "write/columns.h"

#define DIGITS 17

void sb_json_put(json_t *object, const char *key, json_t *value, bool *ok)
{
    if (json_object_set_new(object, key, value) != 0)
        *ok = false;
}

void sb_json_append(json_t *array, json_t *value, bool *ok)
{
    if (json_array_append_new(array, value) != 0)
        *ok = false;
}

json_t *sb_json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *sb_json_text(const char *text)
{
    if (text == NULL)
        return json_null();
    /* jansson answers NULL to broken text and to a lack of memory alike. */
    if (sb_columns_whole(text))
        return json_string(text);
    char *ascii = sb_strdup(text);
    if (ascii == NULL)
        return NULL;
    for (char *c = ascii; *c != '\0'; c++)
        if ((unsigned char)*c >= 0x80)
            *c = '?';
    json_t *string = json_string(ascii);
    sb_free(ascii);
    return string;
}

json_t *sb_messages_json(const sb_report *report, sb_severity severity, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; report != NULL && i < sb_report_count(report); i++) {
        sb_message message = sb_report_get(report, i);
        if (message.severity != severity)
            continue;
        json_t *object = json_object();
        sb_json_put(object, "file", sb_json_text(message.file), ok);
        sb_json_put(object, "line", json_integer((json_int_t)message.line), ok);
        sb_json_put(object, "text", sb_json_text(message.text), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

json_t *sb_cost_json(const sb_cost *cost, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "total", sb_json_number(cost->total), ok);
    sb_json_put(object, "travel", sb_json_number(cost->travel), ok);
    sb_json_put(object, "cleanout", sb_json_number(cost->cleanout), ok);
    sb_json_put(object, "spread", sb_json_number(cost->spread), ok);
    sb_json_put(object, "delay", sb_json_number(cost->delay), ok);
    return object;
}

static int add_chunk(const char *bytes, size_t n, void *text)
{
    sb_text_add(text, bytes, n);
    return ((sb_text *)text)->failed ? -1 : 0;
}

sb_status sb_json_finish(json_t *root, bool ok, sb_text *text)
{
    ok = ok && json_dump_callback(root, add_chunk, text,
                                  JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    sb_text_add(text, "\n", 1);
    json_decref(root);
    return ok && !text->failed ? SB_OK : SB_ERR_NOMEM;
}
