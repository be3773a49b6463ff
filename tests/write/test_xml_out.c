/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is written is read again by libxml2, which shares no code with the writer. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <libxml/parser.h>
#include <libxml/tree.h>

#include "write/xml_out.h"

#define AWKWARD "a<b>&amp;\"c'\xC3\xBC ]]> \t\n\r d"

static xmlDocPtr read_again(const sb_text *text)
{
    return xmlReadMemory(text->bytes, (int)text->count, "written", NULL, XML_PARSE_NONET);
}

static void awkward_characters_come_back_as_they_were(void **state)
{
    (void)state;
    sb_text text = {0};
    sb_xml_out *out = sb_xml_out_new();
    sb_xml_open(out, "root");
    sb_xml_attribute(out, "name", AWKWARD);
    sb_xml_element(out, "child", AWKWARD);
    sb_xml_close(out);
    assert_int_equal(sb_xml_out_finish(out, &text), SB_OK);
    xmlDocPtr document = read_again(&text);
    assert_non_null(document);
    xmlNodePtr root = xmlDocGetRootElement(document);
    xmlChar *name = xmlGetProp(root, BAD_CAST "name");
    xmlChar *content = xmlNodeGetContent(xmlFirstElementChild(root));
    assert_string_equal((char *)name, AWKWARD);
    assert_string_equal((char *)content, AWKWARD);
    xmlFree(name);
    xmlFree(content);
    xmlFreeDoc(document);
    sb_text_release(&text);
}

static void what_xml_cannot_say_becomes_a_question_mark(void **state)
{
    (void)state;
    sb_text text = {0};
    sb_xml_out *out = sb_xml_out_new();
    sb_xml_element(out, "x", "bell\x07 escape\x1B[31m");
    assert_int_equal(sb_xml_out_finish(out, &text), SB_OK);
    assert_non_null(strstr(text.bytes, "<x>bell? escape?[31m</x>"));
    sb_text_release(&text);
}

static void elements_are_indented_and_left_open_ones_closed(void **state)
{
    (void)state;
    sb_text text = {0};
    sb_xml_out *out = sb_xml_out_new();
    sb_xml_open(out, "a");
    sb_xml_open(out, "b");
    sb_xml_element(out, "c", "");
    sb_xml_close(out);
    sb_xml_open(out, "d");
    sb_xml_attribute(out, "e", "1");
    sb_xml_close(out);
    sb_xml_open(out, "f");
    assert_int_equal(sb_xml_out_finish(out, &text), SB_OK);
    assert_string_equal(text.bytes, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                                    "<a>\n <b>\n  <c></c>\n </b>\n <d e=\"1\"/>\n <f/>\n</a>\n");
    sb_text_release(&text);
}

static void the_antimeridian_is_written_as_gpx_wants_it(void **state)
{
    (void)state;
    sb_text text = {0};
    sb_xml_out *out = sb_xml_out_new();
    sb_xml_open(out, "wpt");
    sb_xml_lat_lon(out, (sb_lonlat){.lon_deg = 179.99999999, .lat_deg = -12.5});
    sb_xml_close(out);
    assert_int_equal(sb_xml_out_finish(out, &text), SB_OK);
    assert_non_null(strstr(text.bytes, "<wpt lat=\"-12.5000000\" lon=\"-180.0000000\"/>"));
    sb_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(awkward_characters_come_back_as_they_were),
        cmocka_unit_test(what_xml_cannot_say_becomes_a_question_mark),
        cmocka_unit_test(elements_are_indented_and_left_open_ones_closed),
        cmocka_unit_test(the_antimeridian_is_written_as_gpx_wants_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
