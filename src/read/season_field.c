/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a season file lays over a field that another file draws, and the scale of its ratings. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/season_file.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Attributes that go to the field as they are: the join looks at their values. */
static const sb_value_rule field_rules[] = {
    {"name", SB_VALUE_LATER, 0},
    {"crop", SB_VALUE_LATER, 0},
    {"yield_t_ha", SB_VALUE_LATER, 0},
    {"grower", SB_VALUE_LATER, 0},
    {"ready", SB_VALUE_LATER, 0},
    {"latest", SB_VALUE_LATER, 0},
    {"best_before", SB_VALUE_LATER, 0},
    {"worth", SB_VALUE_LATER, 0},
    {"entry", SB_VALUE_LATER, 0},
    {"after", SB_VALUE_LATER, 0},
    {"area_ha", SB_VALUE_LATER, 0},
    {"role", SB_VALUE_LATER, 0},
    {"tank_limit_seeds_kg", SB_VALUE_LATER, 0},
    {"only", SB_VALUE_LATER, 0},
    {"gate_m", SB_VALUE_LATER, 0},
    {"slope_percent", SB_VALUE_LATER, 0},
    {"split", SB_VALUE_LATER, 0},
    {"field", SB_VALUE_LATER, 0},
    {"patch", SB_VALUE_LATER, 0},
    {"side", SB_VALUE_LATER, 0},
    {"width_m", SB_VALUE_LATER, 0},
};

sb_status sb_season_begin_field(sb_season_file *file, const sb_xml_element *element)
{
    const char *name;
    sb_status status = sb_values_need(&file->reading, element, "name", &name);
    if (status == SB_OK)
        status = sb_values_take(&file->reading, element, field_rules, COUNT(field_rules), NULL);
    if (status != SB_OK)
        return status;
    file->field =
        (sb_feature){.kind = SB_FEATURE_OVERLAY, .file = file->reading.file, .line = element->line};
    file->field.name = sb_strdup(name);
    if (file->field.name == NULL)
        return SB_ERR_NOMEM;
    char *trimmed = sb_trim(file->field.name);
    memmove(file->field.name, trimmed, strlen(trimmed) + 1);
    for (size_t i = 0; i < element->n_attributes && status == SB_OK; i++)
        if (strcmp(element->attributes[i].name, "name") != 0)
            status = sb_feature_add_attribute(&file->field, element->attributes[i].name,
                                              element->attributes[i].value, element->line);
    return status;
}

sb_status sb_season_end_field(sb_season_file *file, const char *text)
{
    (void)text;
    return sb_draft_add_feature(file->reading.draft, &file->field);
}

/* Adds "FAMILY:ID" or "FAMILY:ID:SUFFIX" with the value of an attribute, when it is there. */
static sb_status add_keyed(sb_season_file *file, const sb_xml_element *element, const char *family,
                           const char *attribute, const char *suffix)
{
    const char *id = sb_xml_attribute_value(element, "weed");
    const char *value = sb_xml_attribute_value(element, attribute);
    if (value == NULL)
        return SB_OK;
    sb_text key = {0};
    sb_text_addf(&key, "%s:%s%s", family, id, suffix);
    sb_status status =
        key.failed ? SB_ERR_NOMEM
                   : sb_feature_add_attribute(&file->field, key.bytes, value, element->line);
    sb_text_release(&key);
    return status;
}

sb_status sb_season_begin_rating(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {{"weed", SB_VALUE_LATER, 0},
                                          {"rating", SB_VALUE_LATER, 0},
                                          {"plants_m2", SB_VALUE_LATER, 0}};
    const sb_reading *r = &file->reading;
    const char *value;
    sb_status status = sb_values_need(r, element, "weed", &value);
    if (status == SB_OK)
        status = sb_values_take(r, element, rules, COUNT(rules), NULL);
    bool rating = sb_xml_attribute_value(element, "rating") != NULL;
    if (status == SB_OK && rating == (sb_xml_attribute_value(element, "plants_m2") != NULL))
        status = sb_bad(r->report, r->file, element->line,
                        "rating of '%s' with %s, expected either rating or plants_m2", value,
                        rating ? "both rating and plants_m2" : "neither rating nor plants_m2");
    if (status == SB_OK)
        status = add_keyed(file, element, "weed", "rating", "");
    if (status == SB_OK)
        status = add_keyed(file, element, "weed", "plants_m2", ":plants_m2");
    return status;
}

/* Becomes the attribute "apart:GROWER", whose value no id of a cleanout can be when none is named.
 */
sb_status sb_season_begin_apart(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {{"grower", SB_VALUE_LATER, 0},
                                          {"cleanout", SB_VALUE_LATER, 0}};
    const char *grower, *cleanout = sb_xml_attribute_value(element, "cleanout");
    sb_status status = sb_values_need(&file->reading, element, "grower", &grower);
    if (status == SB_OK)
        status = sb_values_take(&file->reading, element, rules, COUNT(rules), NULL);
    if (status != SB_OK)
        return status;
    sb_text key = {0};
    sb_text_addf(&key, SB_APART_KEY "%s", grower);
    status = key.failed ? SB_ERR_NOMEM
                        : sb_feature_add_attribute(&file->field, key.bytes,
                                                   cleanout != NULL ? cleanout : SB_ANY_FULL,
                                                   element->line);
    sb_text_release(&key);
    return status;
}

sb_status sb_season_begin_limit(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {{"weed", SB_VALUE_LATER, 0},
                                          {"seeds_ha", SB_VALUE_LATER, 0}};
    const char *value;
    sb_status status = sb_values_need(&file->reading, element, "weed", &value);
    if (status == SB_OK)
        status = sb_values_need(&file->reading, element, "seeds_ha", &value);
    if (status == SB_OK)
        status = sb_values_take(&file->reading, element, rules, COUNT(rules), NULL);
    return status == SB_OK ? add_keyed(file, element, "limit", "seeds_ha", "") : status;
}

sb_status sb_season_begin_scale(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {{"id", SB_VALUE_ID, offsetof(sb_scale, id)},
                                          {"name", SB_VALUE_TEXT, offsetof(sb_scale, name)}};
    sb_scale_release(&file->scale);
    file->scale.line = element->line;
    return sb_values_take(&file->reading, element, rules, COUNT(rules), &file->scale);
}

/* Room for one class more in every list of the scale. */
static sb_status grow_scale(sb_scale *scale)
{
    size_t n = scale->n_classes + 1;
    char **labels = sb_resize(scale->labels, n, sizeof *labels);
    if (labels == NULL)
        return SB_ERR_NOMEM;
    scale->labels = labels;
    double **lists[] = {&scale->density_plants_m2, &scale->low, &scale->high};
    for (size_t i = 0; i < COUNT(lists); i++) {
        double *list = sb_resize(*lists[i], n, sizeof *list);
        if (list == NULL)
            return SB_ERR_NOMEM;
        *lists[i] = list;
    }
    scale->labels[scale->n_classes++] = NULL;
    return SB_OK;
}

typedef struct scale_class {
    char *label;
    double plants_m2, low, high;
} scale_class;

static sb_status check_class(sb_season_file *file, const sb_xml_element *element,
                             const scale_class *class)
{
    const sb_reading *r = &file->reading;
    const sb_scale *scale = &file->scale;
    for (size_t i = 0; i < scale->n_classes; i++)
        if (strcmp(scale->labels[i], class->label) == 0)
            return sb_bad(r->report, r->file, element->line,
                          "a second class '%s', expected labels that differ", class->label);
    if (class->low > class->plants_m2 || class->plants_m2 > class->high)
        return sb_bad(
            r->report, r->file, element->line,
            "class '%s' with %g plants/m2 outside its limits, expected a value from %g to %g",
            class->label, class->plants_m2, class->low, class->high);
    if (scale->n_classes > 0 && class->plants_m2 <= scale->density_plants_m2[scale->n_classes - 1])
        return sb_bad(r->report, r->file, element->line,
                      "class '%s' with %g plants/m2, expected more than the class before it",
                      class->label, class->plants_m2);
    return SB_OK;
}

sb_status sb_season_begin_class(sb_season_file *file, const sb_xml_element *element)
{
    static const sb_value_rule rules[] = {
        {"label", SB_VALUE_TEXT, offsetof(scale_class, label)},
        {"plants_m2", SB_VALUE_AMOUNT, offsetof(scale_class, plants_m2)},
        {"low", SB_VALUE_AMOUNT, offsetof(scale_class, low)},
        {"high", SB_VALUE_AMOUNT, offsetof(scale_class, high)},
    };
    const char *value;
    sb_status status = sb_values_need(&file->reading, element, "label", &value);
    if (status == SB_OK)
        status = sb_values_need(&file->reading, element, "plants_m2", &value);
    if (status != SB_OK)
        return status;
    scale_class class = {NULL, 0, NAN, NAN};
    status = sb_values_take(&file->reading, element, rules, COUNT(rules), &class);
    if (isnan(class.low))
        class.low = class.plants_m2;
    if (isnan(class.high))
        class.high = class.plants_m2;
    if (status == SB_OK)
        status = check_class(file, element, &class);
    if (status == SB_OK)
        status = grow_scale(&file->scale);
    if (status != SB_OK) {
        sb_free(class.label);
        return status;
    }
    sb_scale *scale = &file->scale;
    size_t last = scale->n_classes - 1;
    scale->labels[last] = class.label; /* handed over */
    scale->density_plants_m2[last] = class.plants_m2;
    scale->low[last] = class.low;
    scale->high[last] = class.high;
    return SB_OK;
}

/* Classes of its own, or the name of a published scale. */
sb_status sb_season_end_scale(sb_season_file *file, const char *text)
{
    (void)text;
    const sb_reading *r = &file->reading;
    sb_scale *scale = &file->scale;
    if (scale->n_classes > 0) {
        if (scale->id == NULL && sb_values_replace(&scale->id, "own") != SB_OK)
            return SB_ERR_NOMEM;
        if (scale->name == NULL && sb_values_replace(&scale->name, scale->id) != SB_OK)
            return SB_ERR_NOMEM;
        if (sb_values_replace(&scale->source, "season file") != SB_OK)
            return SB_ERR_NOMEM;
        sb_scale_release(&file->setup.scale);
        file->setup.scale = *scale;
        *scale = (sb_scale){0}; /* handed over */
        return SB_OK;
    }
    if (scale->name == NULL)
        return sb_bad(r->report, r->file, scale->line,
                      "scale without classes and without a name, expected one of the two");
    sb_status status = sb_scale_builtin(scale->name, &file->setup.scale);
    if (status == SB_ERR_INPUT)
        return sb_bad(
            r->report, r->file, scale->line,
            "unknown scale '%s', expected the name of a published scale or classes of its own",
            scale->name);
    file->setup.scale.line = scale->line;
    return status;
}
