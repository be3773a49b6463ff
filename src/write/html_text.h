/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Text for HTML and SVG: nothing that a user wrote gets in any other way. */
#ifndef SB_WRITE_HTML_TEXT_H
#define SB_WRITE_HTML_TEXT_H

#include "base/text.h"

/** Appends text with & < > " ' escaped; control characters become '?'. Good in element content
 * and in quoted attributes. */
void sb_html_escape(sb_text *text, const char *value);

/** A name, in <bdi> where it has letters beyond ASCII, so that its writing direction stays its own.
 * An sb_add_name. */
void sb_html_name(sb_text *text, const char *name);

/** A name for an SVG label, cut to so many columns, with no characters that turn direction. */
void sb_svg_name(sb_text *text, const char *name, int columns);

/** Width that sb_svg_name takes in letters of this size [units]: rather too much than too little,
 * whatever font there is. */
double sb_svg_name_width(const char *name, int columns, double size);
/** Appends attributes that squeeze such a name into `most` units, where it would be wider. */
void sb_svg_squeeze(sb_text *text, const char *name, int columns, double size, double most);

/** A name escaped but without <bdi>, which SVG titles cannot hold. An sb_add_name. */
void sb_svg_title_name(sb_text *text, const char *name);

/** Opens a frame that scrolls sideways when its content is wide, by keyboard too; close it with
 * </div>. The label, and the class it may have besides, are ours, not a user's. */
void sb_html_open_scroll(sb_text *text, const char *label, const char *class_name);

#endif
