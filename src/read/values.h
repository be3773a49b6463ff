/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Typed attributes of a season file: from an element's words to the fields of a struct. */
#ifndef SB_READ_VALUES_H
#define SB_READ_VALUES_H

#include "read/format.h"

typedef enum sb_value_kind {
    SB_VALUE_TEXT,     /**< char *: not empty, the old text is freed */
    SB_VALUE_ID,       /**< char *: a letter, then letters, digits, '_', '.' or '-' */
    SB_VALUE_POSITIVE, /**< double > 0 */
    SB_VALUE_AMOUNT,   /**< double >= 0 */
    SB_VALUE_SHARE,    /**< double 0..1 */
    SB_VALUE_FACTOR,   /**< double >= 1 */
    SB_VALUE_HOURS,    /**< double, 0 < hours <= 24 */
    SB_VALUE_DATE,     /**< int, a day: "2026-08-01" */
    SB_VALUE_CLOCK,    /**< double, hours since midnight: "09:00" */
    SB_VALUE_COUNT,    /**< int, 1..1000 */
    SB_VALUE_FLAG,     /**< bool: "true" or "false" */
    SB_VALUE_SEED,     /**< bool, large seed: "small" or "large" */
    SB_VALUE_LATER,    /**< allowed here, taken by the caller */
} sb_value_kind;

/** One attribute and where its value goes in the target. */
typedef struct sb_value_rule {
    const char *name;
    sb_value_kind kind;
    size_t offset;
} sb_value_rule;

/** Reads every attribute of the element into the target; what is not given stays as it was.
 * @return SB_OK; SB_ERR_INPUT (an unknown attribute, a bad value: reported); SB_ERR_NOMEM */
sb_status sb_values_take(const sb_reading *reading, const sb_xml_element *element,
                         const sb_value_rule *rules, size_t n_rules, void *target);

/** Which numbers of the target the element's attributes state. */
sb_numbers_given sb_values_given(const sb_xml_element *element, const sb_value_rule *rules,
                                 size_t n_rules);

/** The value of an attribute that must be there.
 * @return SB_OK; SB_ERR_INPUT (reported) */
sb_status sb_values_need(const sb_reading *reading, const sb_xml_element *element, const char *name,
                         const char **value);

/** Replaces an owned text by a copy. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_values_replace(char **slot, const char *value);

#endif
