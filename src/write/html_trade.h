/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The trade-off curve as a section of the page. */
#ifndef SB_WRITE_HTML_TRADE_H
#define SB_WRITE_HTML_TRADE_H

#include "write/page.h"

/** Appends the section of a page that has a curve. */
void sb_html_trade(const sb_page *page, sb_text *text);

#endif
