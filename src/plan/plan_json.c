/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading plan.json: ours, or one written by hand, where stops with "field" are enough. Everything
 * but fields and cleanouts is worked out anew (docs/formats.md). */
#define _POSIX_C_SOURCE 200809L
#include <errno.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>

#include <jansson.h>

#include "base/mem.h"
#include "base/near.h"
#include "base/report.h"
#include "plan/plan.h"

#define MOST_NAMED 10 /* fields left out that a message names; more are counted */
#define MOST_KNOWN 8  /* a list this short is named whole when a name is not in it */

typedef struct plan_reader {
    const sb_season *season;
    const char *path;
    sb_report *report;
    bool *cut;    /* by field */
    bool partly;  /* fields that are not in the season are passed over, and none need be there */
    bool of_rest; /* it says that it is for the rest of a season */
} plan_reader;

static const char *field_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->fields[i].name;
}

static const char *level_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->setup.cleanouts[i].id;
}

static const char *machine_at(const void *season, size_t i)
{
    return ((const sb_season *)season)->setup.machines[i].id;
}

/* Index of a name in a list, exactly as written; -1 when it is not there. */
static int find_name(const sb_season *season, const char *name, sb_name_at name_at, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(name_at(season, i), name) == 0)
            return (int)i;
    return -1;
}

/* ", expected one of 'a', 'b'" */
static void add_known(const sb_season *season, sb_name_at name_at, size_t n, sb_text *text)
{
    for (size_t i = 0; i < n; i++)
        sb_text_addf(text, "%s '%s'",
                     i > 0   ? ","
                     : n > 1 ? ", expected one of"
                             : ", expected",
                     name_at(season, i));
}

/* Finds a name, or says that it is unknown and what it may have meant. */
static sb_status look_up(plan_reader *reader, const char *where, const char *what, json_t *value,
                         sb_name_at name_at, size_t n, int *index)
{
    if (!json_is_string(value))
        return sb_bad(reader->report, reader->path, 0, "%s: no name, expected that of a %s", where,
                      what);
    *index = find_name(reader->season, json_string_value(value), name_at, n);
    if (*index >= 0)
        return SB_OK;
    sb_text near = {0};
    if (!sb_text_add_near(&near, json_string_value(value), name_at, reader->season, n) &&
        n <= MOST_KNOWN)
        add_known(reader->season, name_at, n, &near);
    sb_status status = sb_bad(reader->report, reader->path, 0, "%s: unknown %s '%s'%s", where, what,
                              json_string_value(value), sb_text_get(&near));
    if (near.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&near);
    return status;
}

/* A cleanout, or "none" when nothing or null is said; `none` is what that means here. */
static sb_status read_cleanout(plan_reader *reader, const char *where, json_t *value, int none,
                               int *cleanout)
{
    *cleanout = none;
    if (value == NULL || json_is_null(value))
        return SB_OK;
    return look_up(reader, where, "cleanout", value, level_at, reader->season->setup.n_cleanouts,
                   cleanout);
}

/* A stop without a cleanout has no misspelt one either: the plan would be for another season. */
static sb_status refuse_misspelt(plan_reader *reader, const char *where, json_t *stop)
{
    const char *key;
    json_t *value;
    json_object_foreach(stop, key, value)
    {
        if (strcmp(key, "field") != 0 && sb_is_near(key, "cleanout"))
            return sb_bad(reader->report, reader->path, 0,
                          "%s: unknown key '%s': did you mean 'cleanout'", where, key);
    }
    return SB_OK;
}

static sb_status read_stop(plan_reader *reader, const char *machine, size_t number, json_t *value,
                           sb_stop *stop)
{
    char where[96];
    snprintf(where, sizeof where, "machine '%.40s', stop %zu", machine, number);
    if (!json_is_object(value))
        return sb_bad(reader->report, reader->path, 0,
                      "%s: not an object, expected {\"field\": ..., \"cleanout\": ...}", where);
    const char *name = json_string_value(json_object_get(value, "field"));
    if (reader->partly && name != NULL &&
        find_name(reader->season, name, field_at, reader->season->n_fields) < 0) {
        stop->field = -1;
        return SB_OK;
    }
    sb_status status = look_up(reader, where, "field", json_object_get(value, "field"), field_at,
                               reader->season->n_fields, &stop->field);
    if (status != SB_OK)
        return status;
    if (reader->cut[stop->field])
        return sb_bad(reader->report, reader->path, 0,
                      "%s: '%s' is cut already, expected every field once", where,
                      reader->season->fields[stop->field].name);
    reader->cut[stop->field] = true;
    if (json_object_get(value, "cleanout") == NULL) {
        stop->cleanout = 0;
        return refuse_misspelt(reader, where, value);
    }
    return read_cleanout(reader, where, json_object_get(value, "cleanout"), 0, &stop->cleanout);
}

/* The list is short. Where no file declares a machine, one that does may have been forgotten. */
static sb_status unknown_machine(plan_reader *reader, const char *id)
{
    const sb_setup *setup = &reader->season->setup;
    sb_text known = {0};
    add_known(reader->season, machine_at, setup->n_machines, &known);
    sb_status status = sb_bad(
        reader->report, reader->path, 0, "plan: unknown machine '%s'%s%s", id, sb_text_get(&known),
        setup->machines[0].line == 0
            ? ", the built-in one: is the season file missing that the plan was made with"
            : "");
    if (known.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&known);
    return status;
}

/* Which machine a route is for: by id, else by its place in the list. */
static sb_status read_machine(plan_reader *reader, json_t *id, size_t position, int *machine)
{
    size_t n = reader->season->setup.n_machines;
    if (json_is_string(id)) {
        *machine = find_name(reader->season, json_string_value(id), machine_at, n);
        return *machine >= 0 ? SB_OK : unknown_machine(reader, json_string_value(id));
    }
    if (id != NULL)
        return sb_bad(reader->report, reader->path, 0, "plan: no name, expected that of a machine");
    if (position >= n)
        return sb_bad(reader->report, reader->path, 0, "plan for %zu machines, the season has %zu",
                      position + 1, n);
    *machine = (int)position;
    return SB_OK;
}

/* Takes out the stops whose field is not in the season. */
static void drop_unknown(sb_route *route)
{
    size_t kept = 0;
    for (size_t i = 0; i < route->n_stops; i++)
        if (route->stops[i].field >= 0)
            route->stops[kept++] = route->stops[i];
    route->n_stops = kept;
}

/* One element of "machines", or the whole file when it has "stops" at its top. */
static sb_status read_route(plan_reader *reader, sb_plan *plan, size_t r, json_t *object,
                            json_t *id)
{
    sb_route *route = &plan->routes[r];
    json_t *stops = json_object_get(object, "stops");
    int machine = 0;
    sb_status status = read_machine(reader, id, r, &machine);
    if (status != SB_OK)
        return status;
    const char *name = machine_at(reader->season, (size_t)machine);
    for (size_t earlier = 0; earlier < r; earlier++)
        if (plan->routes[earlier].machine == machine)
            return sb_bad(reader->report, reader->path, 0,
                          "machine '%s' has two lists of stops, expected one", name);
    if (!json_is_array(stops))
        return sb_bad(reader->report, reader->path, 0,
                      "machine '%s' has no 'stops', expected an array", name);
    status = sb_route_init(reader->season, machine, json_array_size(stops), route);
    for (size_t i = 0; status == SB_OK && i < route->n_stops; i++)
        status = read_stop(reader, name, i + 1, json_array_get(stops, i), &route->stops[i]);
    if (status == SB_OK && reader->partly)
        drop_unknown(route);
    /* What a machine that cuts nothing does at the end says nothing of what it would do after it.
     */
    json_t *final_cleanout = json_object_get(object, "final_cleanout");
    if (status == SB_OK && final_cleanout != NULL && route->n_stops > 0)
        status =
            read_cleanout(reader, "final_cleanout", final_cleanout, -1, &route->final_cleanout);
    return status;
}

static sb_status name_fields_left_out(plan_reader *reader)
{
    const sb_season *season = reader->season;
    sb_text names = {0};
    size_t missing = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        if (!reader->cut[i] && missing++ < MOST_NAMED)
            sb_text_addf(&names, "%s'%s'", missing == 1 ? "" : ", ", season->fields[i].name);
    if (missing > MOST_NAMED)
        sb_text_addf(&names, " and %zu more", missing - MOST_NAMED);
    sb_status status = SB_OK;
    if (missing > 0)
        status = sb_bad(reader->report, reader->path, 0,
                        "the plan leaves out %s, expected every field once%s", sb_text_get(&names),
                        reader->of_rest ? ": it is for the rest of a season (so_far), and read by "
                                          "'resume --plan'"
                                        : "");
    sb_text_release(&names);
    return status;
}

static sb_status check_format(plan_reader *reader, json_t *root)
{
    json_t *format = json_object_get(root, "format"), *version = json_object_get(root, "version");
    if (!json_is_object(root))
        return sb_bad(reader->report, reader->path, 0, "not an object, expected a plan");
    if (format != NULL &&
        (!json_is_string(format) || strcmp(json_string_value(format), "seedbreak-plan") != 0))
        return sb_bad(reader->report, reader->path, 0,
                      "'format' is not 'seedbreak-plan': this is no plan");
    if (version != NULL && json_integer_value(version) != 1)
        return sb_bad(reader->report, reader->path, 0, "unknown 'version' of the plan, expected 1");
    if (json_object_get(root, "machines") != NULL &&
        !json_is_array(json_object_get(root, "machines")))
        return sb_bad(reader->report, reader->path, 0, "'machines' is no array, expected one");
    return SB_OK;
}

/* The routes of the file, however it is laid out. */
static size_t count_routes(json_t *root)
{
    json_t *machines = json_object_get(root, "machines");
    return machines != NULL ? json_array_size(machines) : 1;
}

static json_t *route_at(json_t *root, size_t r, json_t **id)
{
    json_t *machines = json_object_get(root, "machines");
    json_t *object = machines != NULL ? json_array_get(machines, r) : root;
    *id = json_object_get(object, machines != NULL ? "id" : "machine");
    return object;
}

/* How much of the file's plan the season knows. */
typedef struct acquaintance {
    size_t fields, known_fields, known_machines;
    const char *stranger; /* the first field that it does not know */
} acquaintance;

static acquaintance get_acquainted(const sb_season *season, json_t *root)
{
    acquaintance a = {0};
    for (size_t r = 0; r < count_routes(root); r++) {
        json_t *id, *stops = json_object_get(route_at(root, r, &id), "stops");
        a.known_machines +=
            json_is_string(id) &&
            find_name(season, json_string_value(id), machine_at, season->setup.n_machines) >= 0;
        for (size_t i = 0; i < json_array_size(stops); i++) {
            const char *name =
                json_string_value(json_object_get(json_array_get(stops, i), "field"));
            bool known = name != NULL && find_name(season, name, field_at, season->n_fields) >= 0;
            a.fields += name != NULL;
            a.known_fields += known;
            if (name != NULL && !known && a.stranger == NULL)
                a.stranger = name;
        }
    }
    return a;
}

/* Another season's plan is told as such and not by its first field or machine. One whose first
 * stranger is near a field of the season has slips of the pen. */
static sb_status check_season(plan_reader *reader, json_t *root)
{
    acquaintance a = get_acquainted(reader->season, root);
    bool strange =
        reader->partly ? a.known_fields + a.known_machines == 0 : 2 * a.known_fields < a.fields;
    sb_text near = {0};
    if (a.fields < 2 || !strange ||
        sb_text_add_near(&near, a.stranger, field_at, reader->season, reader->season->n_fields)) {
        sb_text_release(&near);
        return SB_OK;
    }
    return sb_bad(reader->report, reader->path, 0,
                  "the plan is of another season: %zu of its %zu fields are not in this one, '%s' "
                  "is the first",
                  a.fields - a.known_fields, a.fields, a.stranger);
}

static sb_status read_routes(plan_reader *reader, json_t *root, sb_plan **plan)
{
    size_t n = count_routes(root);
    sb_status status = sb_plan_new(reader->season, n, plan);
    for (size_t r = 0; status == SB_OK && r < n; r++) {
        json_t *id, *object = route_at(root, r, &id);
        status = read_route(reader, *plan, r, object, id);
    }
    return status == SB_OK && !reader->partly ? name_fields_left_out(reader) : status;
}

/* jansson 2.14 takes text that it finds no memory for to be bad JSON: so we see first that there is
 * memory, several times what the shortest values take. */
#define MAX_BYTES ((off_t)16 << 20)
#define TREE_SHARE 64
#define ROOM_BYTES ((size_t)64 << 10)

static sb_status look_for_room(plan_reader *reader, FILE *file)
{
    struct stat info;
    if (fstat(fileno(file), &info) != 0)
        return sb_bad_system(reader->report, reader->path, "cannot read");
    if (info.st_size > MAX_BYTES)
        return sb_bad(reader->report, reader->path, 0,
                      "plan larger than %lld MB, expected at most that much",
                      (long long)MAX_BYTES >> 20);
    return sb_mem_room(ROOM_BYTES + TREE_SHARE * (size_t)info.st_size) ? SB_OK : SB_ERR_NOMEM;
}

/* The file's JSON; the caller releases it with json_decref. */
static sb_status load(plan_reader *reader, json_t **root)
{
    FILE *file = fopen(reader->path, "rb");
    if (file == NULL)
        return sb_bad_system(reader->report, reader->path, "cannot read");
    sb_status status = look_for_room(reader, file);
    if (status != SB_OK) {
        fclose(file);
        return status;
    }
    json_error_t error;
    errno = 0;
    *root = json_loadf(file, JSON_REJECT_DUPLICATES, &error);
    if (ferror(file))
        status = sb_bad_system(reader->report, reader->path, "cannot read");
    else if (*root == NULL && json_error_code(&error) == json_error_out_of_memory)
        status = SB_ERR_NOMEM;
    else if (*root == NULL)
        status = sb_bad(reader->report, reader->path, error.line > 0 ? (size_t)error.line : 1,
                        "%s, expected JSON", error.text);
    fclose(file);
    return status;
}

static double number_or_nan(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

/* A text that fits; else "". */
static void read_short(const json_t *object, const char *key, size_t bytes, char *text)
{
    const char *value = json_string_value(json_object_get(object, key));
    text[0] = '\0';
    if (value != NULL && strlen(value) < bytes)
        strcpy(text, value);
}

static void read_stated(const json_t *root, sb_plan_stated *stated)
{
    const json_t *so_far = json_object_get(root, "so_far");
    json_int_t entries = json_integer_value(json_object_get(so_far, "entries"));
    *stated = (sb_plan_stated){.total = number_or_nan(json_object_get(root, "cost"), "total")};
    if (so_far == NULL)
        return;
    stated->so_far.is_rest = true;
    stated->so_far.spent = number_or_nan(so_far, "spent");
    stated->so_far.standing = number_or_nan(so_far, "standing");
    stated->so_far.entries = entries > 0 ? (size_t)entries : 0;
    read_short(so_far, "seal", sizeof stated->so_far.seal, stated->so_far.seal);
    read_short(so_far, "from", sizeof stated->so_far.from, stated->so_far.from);
}

/* The plan as it stands in the file, not priced.
 * @param stated [out] what it says of itself; may be NULL */
static sb_status read_plan(plan_reader *reader, sb_plan_stated *stated, sb_plan **plan)
{
    json_t *root = NULL;
    sb_plan *read = NULL;
    sb_status status = load(reader, &root);
    if (status != SB_OK)
        goto out;
    reader->of_rest = json_object_get(root, "so_far") != NULL;
    reader->cut = sb_alloc(reader->season->n_fields, sizeof *reader->cut);
    status = reader->cut != NULL ? check_format(reader, root) : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = check_season(reader, root);
    if (status == SB_OK)
        status = read_routes(reader, root, &read);
    if (status == SB_OK && stated != NULL)
        read_stated(root, stated);
    if (status == SB_OK) {
        *plan = read;
        read = NULL;
    }
out:
    sb_plan_free(read);
    sb_free(reader->cut);
    json_decref(root);
    return status;
}

sb_status sb_plan_read(const sb_season *season, const char *path, sb_report *report, sb_plan **plan)
{
    if (plan != NULL)
        *plan = NULL;
    if (season == NULL || path == NULL || plan == NULL)
        return SB_ERR_ARG;
    plan_reader reader = {.season = season, .path = path, .report = report};
    sb_plan *read = NULL;
    size_t broken;
    sb_status status = read_plan(&reader, NULL, &read);
    if (status == SB_OK)
        status = sb_plan_price(season, read);
    if (status == SB_OK)
        status = sb_plan_check(season, read, SB_WARNING, report, &broken);
    status = sb_report_settle(report, status);
    if (status == SB_OK) {
        *plan = read;
        read = NULL;
    }
    sb_plan_free(read);
    return status;
}

sb_status sb_plan_read_partly(const sb_season *season, const char *path, sb_report *report,
                              sb_plan **plan, sb_plan_stated *stated)
{
    plan_reader reader = {.season = season, .path = path, .report = report, .partly = true};
    *plan = NULL;
    return read_plan(&reader, stated, plan);
}
