/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan for the rest of a season as JSON, and beside it what changed against an earlier plan. */
#include <math.h>

#include "log/resume.h"
#include "write/json_out.h"
#include "write/stream.h"
#include "write/why.h"

static json_t *change_json(const sb_resumed *resumed, const sb_change *change, bool *ok)
{
    static const char *const WHAT[] = {
        [SB_CHANGE_FILES] = "files", [SB_CHANGE_HAPPENED] = "happened", [SB_CHANGE_WORK] = "work",
        [SB_CHANGE_WAIT] = "wait",   [SB_CHANGE_FOUND] = "found",       [SB_CHANGE_ORDER] = "order",
    };
    json_t *object = json_object();
    sb_text words = {0};
    sb_change_words(resumed, change, &words);
    sb_json_put(object, "what", json_string(WHAT[change->kind]), ok);
    json_t *entry =
        sb_change_is_entry(change)
            ? json_integer((json_int_t)resumed->state.log->entries.items[change->entry].number)
            : json_null();
    sb_json_put(object, "entry", entry, ok);
    sb_json_put(object, "text", sb_json_text(sb_text_get(&words)), ok);
    sb_json_put(object, "costs", sb_json_number(change->money), ok);
    sb_json_put(object, "breaks_rule", json_boolean(isinf(change->money)), ok);
    *ok = *ok && !words.failed;
    sb_text_release(&words);
    return object;
}

static json_t *against_json(const sb_resumed *resumed, bool *ok)
{
    json_t *object = json_object(), *made_of = json_array();
    double to_come = sb_resumed_to_come(resumed), in_all = sb_resumed_in_all(resumed, to_come);
    for (size_t i = 0; i < resumed->changes.count; i++)
        sb_json_append(made_of, change_json(resumed, &resumed->changes.items[i], ok), ok);
    sb_json_put(object, "entries", json_integer((json_int_t)resumed->since), ok);
    sb_json_put(object, "same", json_boolean(resumed->same), ok);
    sb_json_put(object, "planned", sb_json_number(resumed->planned), ok);
    sb_json_put(object, "spent", sb_json_number(sb_state_cost(&resumed->state).total), ok);
    sb_json_put(object, "standing", sb_json_number(sb_state_standing(&resumed->state)), ok);
    sb_json_put(object, "to_come", sb_json_number(to_come), ok);
    sb_json_put(object, "in_all", sb_json_number(in_all), ok);
    sb_json_put(object, "going_on", sb_json_number(resumed->going_on), ok);
    sb_json_put(object, "going_on_breaks_rule", json_boolean(isinf(resumed->going_on)), ok);
    sb_json_put(object, "made_of", made_of, ok);
    sb_json_put(object, "together", sb_json_number(in_all - resumed->planned), ok);
    return object;
}

sb_status sb_print_resumed_json(const sb_resumed *resumed, const sb_plan *plan, FILE *stream)
{
    if (resumed == NULL || stream == NULL || (plan == NULL) != sb_resumed_is_over(resumed))
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_plan *copy = NULL;
    const sb_plan *explained;
    bool ok = true;
    sb_status status = sb_plan_explained(resumed->rest, plan != NULL ? plan : resumed->home,
                                         SB_EXPLAIN_SOME, &copy, &explained);
    if (status == SB_OK) {
        json_t *root = sb_whole_plan_json(resumed->rest, explained, &ok);
        if (resumed->compared)
            sb_json_put(root, "against", against_json(resumed, &ok), &ok);
        status = sb_json_finish(root, ok, &text);
    }
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    sb_plan_free(copy);
    return status;
}
