#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes tests/read/bad: files that must be refused, most of them tiny variants of a good one.

The files are in the repository; this says how they came about and makes the next ones easy. What
each must be answered with stands in bad/EXPECTED.tsv: taken from a run (libxml2 2.9.14) and read
over line by line.
"""
import pathlib
import struct
import sys
import zlib

OUT = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent / "bad")
OUT.mkdir(exist_ok=True)

SQUARE = "5,52 5.01,52 5.01,52.01 5,52.01 5,52"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def put(name, text):
    data = text if isinstance(text, bytes) else text.encode("utf-8")
    (OUT / name).write_bytes(data)


def ring(coordinates=SQUARE):
    return f"<LinearRing>\n<coordinates>{coordinates}</coordinates></LinearRing>"


def polygon(coordinates=SQUARE, inner=""):
    return f"<Polygon><outerBoundaryIs>{ring(coordinates)}</outerBoundaryIs>{inner}</Polygon>"


def placemark(geometry, name="f", data=""):
    return f"<Placemark><name>{name}</name>{data}\n{geometry}</Placemark>"


def kml(inside, head=HEAD):
    return f'{head}<kml xmlns="http://www.opengis.net/kml/2.2">\n<Document>{inside}</Document>\n</kml>\n'


def kml_coordinates(coordinates):
    return kml(placemark(polygon(coordinates)))


def gpx(inside, head=HEAD):
    return (f'{head}<gpx xmlns="http://www.topografix.com/GPX/1/1" '
            f'xmlns:f="urn:seedbreak:field:1" version="1.1" creator="t">\n{inside}\n</gpx>\n')


def track(points):
    inside = "\n".join(f'<trkpt lat="{lat}" lon="{lon}"/>' for lat, lon in points)
    return f"<trk><name>t</name><trkseg>\n{inside}\n</trkseg></trk>"


def taskdata(inside, head=HEAD):
    return f'{head}<ISO11783_TaskData VersionMajor="4" VersionMinor="3">\n{inside}\n</ISO11783_TaskData>\n'


def partfield(lines):
    return f'<PFD A="PFD1" C="f" D="1"><PLN A="1">\n{lines}\n</PLN></PFD>'


def line(kind, points):
    return f'<LSG A="{kind}">' + "".join(f'<PNT A="2" C="{lat}" D="{lon}"/>\n' for lat, lon in points) + "</LSG>"


def season(inside, head=HEAD, attributes=""):
    return f'{head}<season xmlns="urn:seedbreak:season:1"{attributes}>\n{inside}\n</season>\n'


CORNERS = [(52, 5), (52, 5.01), (52.01, 5.01), (52.01, 5)]

# ---- XML itself, in KML's clothes ----
GOOD = kml_coordinates(SQUARE)
put("empty.kml", "")
put("blanks_only.kml", "  \n\n  ")
put("no_xml.kml", "Name;Area\nNorth;12\n")
put("json.kml", '{"format":"seedbreak-plan","version":1}\n')
put("gzip.kml", b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\x03")
put("binary.kml", bytes(range(256)))
put("html.kml", "<html><body><p>Not found</p></body></html>\n")
put("unknown_root.xml", "<fields><field/></fields>\n")
put("truncated_tag.kml", GOOD[: GOOD.index("coordinates>") + 3])
put("truncated_text.kml", GOOD[: GOOD.index("5.01") + 2])
put("truncated_end.kml", GOOD[: GOOD.index("</Document>")])
put("mismatch.kml", GOOD.replace("</Placemark>", "</Placemarks>"))
put("unclosed_quote.kml", GOOD.replace('kml/2.2">', "kml/2.2>"))
put("double_attribute.kml", kml('<Folder id="a" id="b"/>'))
put("bare_ampersand.kml", kml(placemark(polygon(), "Hill & Dale")))
put("bare_less.kml", kml(placemark(polygon(), "a < b")))
put("undefined_entity.kml", kml(placemark(polygon(), "a&nbsp;b")))
put("bad_char_reference.kml", kml(placemark(polygon(), "a&#1;b")))
put("control_character.kml", kml(placemark(polygon(), "a\x01b")))
put("nul_character.kml", kml(placemark(polygon(), "a\0b")))
put("cdata_unclosed.kml", kml(placemark(polygon(), "<![CDATA[ a")))
put("comment_dashes.kml", kml("<!-- a -- b -->" + placemark(polygon())))
put("two_roots.kml", GOOD + "<kml/>")
put("text_after_root.kml", GOOD + "more\n")
put("processing_xml.kml", GOOD.replace("<Document>", '<?xml version="1.0"?><Document>'))
put("unknown_encoding.kml", GOOD.replace("UTF-8", "EBCDIC-XX"))
put("version_two.kml", GOOD.replace('version="1.0"', 'version="9.9x"'))
put("doctype_plain.kml", kml(placemark(polygon()), HEAD + "<!DOCTYPE kml>\n"))
put("doctype_entity.kml", kml(placemark(polygon(), "&x;"), HEAD + '<!DOCTYPE kml [<!ENTITY x "y">]>\n'))
put("doctype_system.kml", kml(placemark(polygon()), HEAD + '<!DOCTYPE kml SYSTEM "evil.dtd">\n'))
put("doctype_public.kml", kml(placemark(polygon()), HEAD + '<!DOCTYPE kml PUBLIC "-//X//Y" "http://localhost/x.dtd">\n'))
put("doctype_parameter.kml", kml(placemark(polygon()), HEAD + '<!DOCTYPE kml [<!ENTITY % p SYSTEM "secret.txt"> %p;]>\n'))
put("doctype_bomb.kml", kml(placemark(polygon(), "&c;"), HEAD + '<!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>\n'))
put("depth_101.kml", HEAD + "<kml>" + "<Folder>" * 100 + "</Folder>" * 100 + "</kml>\n")
put("attributes_300.kml", kml("<Folder " + " ".join(f'a{i}="1"' for i in range(300)) + "/>"))
put("late_fault.kml", HEAD + "\n" * 70000 + GOOD[len(HEAD):].replace("52.01", "95", 1))
put("prefix_kml_bad_coordinates.kml", HEAD + '<k:kml xmlns:k="http://www.opengis.net/kml/2.2"><k:Placemark><k:Point>\n<k:coordinates>5</k:coordinates></k:Point></k:Placemark></k:kml>\n')
put("utf16_truncated.kml", GOOD.replace("UTF-8", "UTF-16").encode("utf-16")[:201])

# ---- KML ----
for name, coordinates in {
    "empty": "", "blank": " \n ", "one_number": "5", "one_place": "5,52", "two_places": "5,52 5.01,52",
    "same_place": "5,52 5,52 5,52 5,52", "there_and_back": "5,52 5.01,52 5,52",
    "nan_lon": "nan,52 5.01,52 5.01,52.01", "nan_lat": "5,NaN 5.01,52 5.01,52.01", "inf": "5,52 inf,52 5.01,52.01",
    "infinity": "5,52 5.01,52 5.01,-Infinity", "hex": "0x5,52 5.01,52 5.01,52.01",
    "words": "five,52 5.01,52 5.01,52.01", "decimal_comma": "5,0,52,0 5,01,52,0 5,01,52,01 5,0,52,0",
    "semicolons": "5;52 5.01;52 5.01;52.01", "degrees_sign": "5°,52° 5.01°,52° 5.01°,52.01°",
    "degrees_minutes": "5 30,52 10 5 31,52 10", "huge": "5,52 1e400,52 5.01,52.01", "two_points": "5.0.1,52 5.01,52 5.01,52.01",
    "sign_only": "-,52 5.01,52 5.01,52.01", "exponent_only": "e5,52 5.01,52 5.01,52.01",
    "four_numbers": "5,52,0,1 5.01,52,0,1 5.01,52.01,0,1", "missing_lat": "5, 5.01,52 5.01,52.01",
    "only_commas": ",,,,", "lat_90_5": "5,52 5.01,90.5 5.01,52.01", "lat_minus_91": "5,52 5.01,-91 5.01,-52.01",
    "lon_180_5": "180.5,52 179,52 179,52.01", "lon_360": "359,52 358,52 358,52.01",
    "swapped": "52,105 52,105.01 52.01,105.01 52,105", "projected": "500000,5761000 500100,5761000 500100,5761100",
    "spike_only": "5,52 5.01,52 5.02,52 5.01,52 5,52", "html_inside": "<b>5</b>,52 x",
}.items():
    put(f"coordinates_{name}.kml", kml_coordinates(coordinates))
put("polygon_empty.kml", kml(placemark("<Polygon/>")))
put("polygon_inner_only.kml", kml(placemark(f"<Polygon><innerBoundaryIs>{ring()}</innerBoundaryIs></Polygon>")))
put("polygon_no_ring.kml", kml(placemark("<Polygon><outerBoundaryIs/></Polygon>")))
put("polygon_two_outer.kml", kml(placemark(f"<Polygon><outerBoundaryIs>{ring()}</outerBoundaryIs><outerBoundaryIs>{ring()}</outerBoundaryIs></Polygon>")))
put("polygon_two_rings_outer.kml", kml(placemark(f"<Polygon><outerBoundaryIs>{ring()}{ring()}</outerBoundaryIs></Polygon>")))
put("hole_two_places.kml", kml(placemark(polygon(inner=f"<innerBoundaryIs>{ring('5.001,52.001 5.002,52.001')}</innerBoundaryIs>"))))
put("hole_nan.kml", kml(placemark(polygon(inner=f"<innerBoundaryIs>{ring('5.001,52.001 5.002,nan 5.003,52.003')}</innerBoundaryIs>"))))
put("point_empty.kml", kml(placemark("<Point>\n<coordinates/></Point>")))
put("point_two.kml", kml(placemark("<Point>\n<coordinates>5,52 5.1,52</coordinates></Point>")))
put("point_nan.kml", kml(placemark("<Point>\n<coordinates>nan,nan</coordinates></Point>")))
put("point_lat_95.kml", kml(placemark("<Point>\n<coordinates>5,95</coordinates></Point>")))
put("second_placemark_bad.kml", kml(placemark(polygon()) + "\n" + placemark(polygon("5,52"))))
put("multi_second_bad.kml", kml(placemark(f"<MultiGeometry>{polygon()}{polygon('5,52 6,52')}</MultiGeometry>")))

# ---- GPX ----
put("wpt_no_lat.gpx", gpx('<wpt lon="5"><name>a</name></wpt>'))
put("wpt_no_lon.gpx", gpx('<wpt lat="52"><name>a</name></wpt>'))
put("wpt_empty_lat.gpx", gpx('<wpt lat="" lon="5"/>'))
put("wpt_undefined.gpx", gpx('<wpt lat="undefined" lon="undefined"/>'))
put("wpt_nan.gpx", gpx('<wpt lat="NaN" lon="5"/>'))
put("wpt_decimal_comma.gpx", gpx('<wpt lat="52,1" lon="5"/>'))
put("wpt_lat_91.gpx", gpx('<wpt lat="91" lon="5"/>'))
put("wpt_lon_181.gpx", gpx('<wpt lat="52" lon="181"/>'))
put("wpt_swapped.gpx", gpx('<wpt lat="-104" lon="47"/>'))
put("trk_unclosed.gpx", gpx(track([(52, 5), (52, 5.01), (52.01, 5.01), (52.01, 5.005)])))
put("trk_unclosed_long.gpx", gpx(track([(52, 5), (52, 5.1), (52.1, 5.1), (52.1, 5.0), (52.02, 5.0)])))
put("trk_straight.gpx", gpx(track([(52, 5), (52, 5.01), (52, 5.02)])))
put("trk_there_and_back.gpx", gpx(track([(52, 5), (52, 5.01), (52, 5)])))
put("trk_same_place.gpx", gpx(track([(52, 5), (52, 5), (52, 5)])))
put("trk_point_no_lon.gpx", gpx('<trk><trkseg><trkpt lat="52"/></trkseg></trk>'))
put("trk_point_nan.gpx", gpx(track([(52, 5), ("nan", 5.01), (52.01, 5.01), (52, 5)])))
put("trk_point_lat_99.gpx", gpx(track([(52, 5), (99, 5.01), (52.01, 5.01), (52, 5)])))
put("rte_unclosed.gpx", gpx('<rte><name>r</name><rtept lat="52" lon="5"/><rtept lat="52" lon="6"/><rtept lat="53" lon="6"/></rte>'))
put("rte_point_words.gpx", gpx('<rte><rtept lat="north" lon="5"/></rte>'))
put("gpx_truncated.gpx", gpx(track(CORNERS))[:150])
put("gpx_mismatch.gpx", gpx("<wpt lat='52' lon='5'></trk>"))
put("gpx_doctype.gpx", gpx("", HEAD + "<!DOCTYPE gpx>\n"))
put("gpx_depth.gpx", gpx('<wpt lat="52" lon="5"><extensions>' + "<a>" * 100 + "</a>" * 100 + "</extensions></wpt>"))
put("gpx_entity.gpx", gpx('<wpt lat="52" lon="5"><name>&copy;</name></wpt>'))
put("gpx_hex.gpx", gpx('<wpt lat="0x34" lon="5"/>'))

# ---- TASKDATA ----
put("pfd_two_points.xml", taskdata(partfield(line(1, CORNERS[:2]))))
put("pfd_no_points.xml", taskdata(partfield('<LSG A="1"/>')))
put("pfd_nan.xml", taskdata(partfield(line(1, [(52, 5), ("nan", 5.01), (52.01, 5.01)]))))
put("pfd_no_coordinate.xml", taskdata(partfield('<LSG A="1">\n<PNT A="2" C="52"/></LSG>')))
put("pfd_lat_95.xml", taskdata(partfield(line(1, [(52, 5), (95, 5.01), (52.01, 5.01)]))))
put("pfd_swapped.xml", taskdata(partfield(line(1, [(105, 52), (105, 52.01), (105.01, 52.01)]))))
put("pfd_millidegrees.xml", taskdata(partfield(line(1, [(52000, 5000), (52000, 5010), (52010, 5010)]))))
put("pfd_hole_outside.xml", taskdata(partfield(line(1, CORNERS) + line(2, [(53, 5), (53, 5.01), (53.01, 5.01)]))))
put("pfd_hole_alone.xml", taskdata(partfield(line(2, CORNERS))))
put("pfd_hole_two_points.xml", taskdata(partfield(line(1, CORNERS) + line(2, CORNERS[:2]))))
put("xfr_missing.xml", taskdata('<XFR A="PFD00001" B="1"/>'))
put("xfr_path.xml", taskdata('<XFR A="../../../etc/passwd" B="1"/>'))
put("xfr_absolute.xml", taskdata('<XFR A="/etc/hosts" B="1"/>'))
put("xfr_lower_case.xml", taskdata('<XFR A="pfd00001" B="1"/>'))
put("xfr_empty.xml", taskdata('<XFR B="1"/>'))
put("xfr_wrong_root.xml", taskdata('<XFR A="PFD00002" B="1"/>'))
put("PFD00002.XML", "<PFD/>\n")
put("xfr_broken.xml", taskdata('<XFR A="PFD00003" B="1"/>'))
put("PFD00003.XML", "<XFC>\n<PFD></XFC>\n")
put("xfr_doctype.xml", taskdata('<XFR A="PFD00004" B="1"/>'))
put("PFD00004.XML", "<!DOCTYPE XFC>\n<XFC/>\n")
put("taskdata_namespace_doctype.xml", taskdata("", HEAD + '<!DOCTYPE x SYSTEM "file:///etc/hosts">\n'))
put("taskdata_truncated.xml", taskdata(partfield(line(1, CORNERS)))[:160])

# ---- Season files ----
for name, inside in {
    "unknown_element": "<tractor/>",
    "text_element_in_field": '<field name="a"><crop>wheat</crop></field>',
    "unknown_attribute": '<travel speed="3"/>',
    "attribute_namespace": '<travel xmlns:x="urn:x" x:detour="2"/>',
    "calendar_date": '<calendar start="1.8.2026"/>',
    "calendar_no_such_day": '<calendar start="2026-02-30"/>',
    "calendar_hours": '<calendar hours_per_day="25"/>',
    "calendar_hours_zero": '<calendar hours_per_day="0"/>',
    "calendar_clock": '<calendar day_starts="9 am"/>',
    "calendar_clock_24": '<calendar day_starts="24:00"/>',
    "blocked_nothing": "<calendar>\n<blocked/></calendar>",
    "blocked_half": '<calendar>\n<blocked from="2026-08-01"/></calendar>',
    "blocked_both": '<calendar>\n<blocked date="2026-08-01" from="2026-08-01" to="2026-08-02"/></calendar>',
    "blocked_backwards": '<calendar>\n<blocked from="2026-08-02" to="2026-08-01"/></calendar>',
    "blocked_for_ever": '<calendar>\n<blocked from="1950-01-01" to="2150-01-01"/></calendar>',
    "scale_unknown": '<scale name="our_grandfathers"/>',
    "scale_empty": "<scale/>",
    "scale_label_twice": '<scale id="o"><class label="1" plants_m2="0"/>\n<class label="1" plants_m2="1"/></scale>',
    "scale_descending": '<scale id="o"><class label="1" plants_m2="1"/>\n<class label="2" plants_m2="0.5"/></scale>',
    "scale_outside_limits": '<scale id="o"><class label="1" plants_m2="5" low="0" high="1"/></scale>',
    "scale_negative": '<scale id="o"><class label="1" plants_m2="-1"/></scale>',
    "scale_nan": '<scale id="o"><class label="1" plants_m2="NaN"/></scale>',
    "scale_no_label": '<scale id="o"><class plants_m2="1"/></scale>',
    "crop_no_id": '<crop yield_t_ha="3"/>',
    "crop_bad_id": '<crop id="3 wheat" yield_t_ha="3"/>',
    "crop_new_no_yield": '<crop id="flax"/>',
    "crop_yield_zero": '<crop id="wheat" yield_t_ha="0"/>',
    "crop_yield_word": '<crop id="wheat" yield_t_ha="plenty"/>',
    "crop_yield_nan": '<crop id="wheat" yield_t_ha="nan"/>',
    "crop_delay": '<crop id="wheat" delay_per_day="1.5"/>',
    "crop_empty_name": '<crop id="wheat" name=" "/>',
    "weed_new_incomplete": '<weed id="brome" seeds_per_plant="200"/>',
    "weed_retained": '<weed id="kochia" retained="90"/>',
    "weed_negative": '<weed id="kochia" seeds_per_plant="-5"/>',
    "weed_seed_size": '<weed id="kochia" seed="medium"/>',
    "weed_infinite": '<weed id="kochia" seeds_per_plant="INF"/>',
    "weeds_too_many": "\n".join(f'<weed id="w{i}" seeds_per_plant="2" retained="1" header_loss="0" viability="1" emergence="1" cost_per_plant="1"/>' for i in range(9)),
    "cleanout_new_no_minutes": '<cleanout id="vacuum"/>',
    "cleanout_none_changed": '<cleanout id="none" minutes="1"/>',
    "cleanout_keeps_more": '<cleanout id="deep">\n<keep section="tank" loose="1.5"/></cleanout>',
    "cleanout_lodged_keeps_more": '<cleanout id="deep">\n<keep section="tank" lodged="2"/></cleanout>',
    "cleanout_unknown_section": '<cleanout id="deep">\n<keep section="wheels" loose="0"/></cleanout>',
    "cleanout_keep_no_section": '<cleanout id="deep">\n<keep loose="0"/></cleanout>',
    "cleanout_full": '<cleanout id="deep" full="yes"/>',
    "cleanout_step_section": '<cleanout id="deep">\n<step section="roof">Sweep</step></cleanout>',
    "cleanouts_too_many": "\n".join(f'<cleanout id="c{i}" minutes="1"/>' for i in range(9)),
    "supply_no_name": '<cleanout id="deep">\n<supply amount="3" unit="bales"/></cleanout>',
    "supply_empty_name": '<cleanout id="deep">\n<supply name=" " amount="3"/></cleanout>',
    "supply_empty_unit": '<cleanout id="deep">\n<supply name="straw" amount="3" unit=""/></cleanout>',
    "supply_no_amount": '<cleanout id="deep">\n<supply name="straw" unit="bales"/></cleanout>',
    "supply_zero": '<cleanout id="deep">\n<supply name="straw" amount="0"/></cleanout>',
    "supply_negative": '<cleanout id="deep">\n<supply name="straw" amount="-3"/></cleanout>',
    "supply_infinite": '<cleanout id="deep">\n<supply name="straw" amount="inf"/></cleanout>',
    "supply_nan": '<cleanout id="deep">\n<supply name="straw" amount="nan"/></cleanout>',
    "supply_with_unit_in_amount": '<cleanout id="deep">\n<supply name="straw" amount="3 bales"/></cleanout>',
    "supply_twice": '<cleanout id="deep">\n<supply name="straw" amount="3" unit="bales"/>\n<supply name="straw " amount="1" unit="bales"/></cleanout>',
    "supply_attribute": '<cleanout id="deep">\n<supply name="straw" amount="3" price="4"/></cleanout>',
    "supply_text": '<cleanout id="deep">\n<supply name="straw" amount="3">bales</supply></cleanout>',
    "supply_outside": '<supply name="straw" amount="3" unit="bales"/>',
    "supply_of_none": '<cleanout id="none">\n<supply name="straw" amount="3"/></cleanout>',
    "supplies_too_many": '<cleanout id="deep">' + "".join(f'\n<supply name="s{i}" amount="1"/>' for i in range(41)) + "</cleanout>",
    "travel_detour": '<travel detour="0.5"/>',
    "travel_speed": '<travel road_km_h="0"/>',
    "costs_negative": '<costs wage_per_hour="-1"/>',
    "limits_word": '<limits full_cleanouts="few"/>',
    "limits_grower_no_name": '<limits>\n<grower loss="500"/></limits>',
    "limits_grower_no_loss": '<limits>\n<grower name="Ash"/></limits>',
    "limits_grower_negative": '<limits>\n<grower name="Ash" loss="-1"/></limits>',
    "limits_grower_attribute": '<limits>\n<grower name="Ash" loss="1" weed="kochia"/></limits>',
    "limits_grower_twice": '<limits><grower name="Ash" loss="1"/>\n<grower name="Ash" loss="2"/></limits>',
    "limits_grower_outside": '<grower name="Ash" loss="1"/>',
    "machine_no_id": "<machine/>",
    "machine_twice": '<machine id="m"/>\n<machine id="m"/>',
    "machine_rate_zero": '<machine id="m" ha_per_hour="0"/>',
    "machine_rate_unknown_crop": '<machine id="m">\n<rate crop="quinoa" ha_per_hour="2"/></machine>',
    "machine_rate_no_crop": '<machine id="m">\n<rate ha_per_hour="2"/></machine>',
    "machine_section_unknown": '<machine id="m">\n<section id="cab" kg="1"/></machine>',
    "machine_tau_zero": '<machine id="m">\n<section id="tank" tau_loose_t="0"/></machine>',
    "machine_two_starts": '<machine id="m"><start/>\n<start/></machine>',
    "machine_load_and_field": '<machine id="m"><start field="a">\n<load weed="kochia" section="tank"/></start></machine>',
    "machine_load_no_weed": '<machine id="m"><start>\n<load section="tank" loose_seeds="1"/></start></machine>',
    "machine_load_negative": '<machine id="m"><start>\n<load weed="kochia" section="tank" loose_seeds="-1"/></start></machine>',
    "machine_from": '<machine id="m" from="next week"/>',
    "machine_to": '<machine id="m" to="2026-13-01"/>',
    "machine_crops_unknown": '<machine id="m" crops="wheat; quinoa"/>',
    "machine_crops_none": '<machine id="m" crops=" ; "/>',
    "machine_slope": '<machine id="m" most_slope_percent="0"/>',
    "resource_no_id": '<resource count="2"/>',
    "resource_twice": '<resource id="pad"/>\n<resource id="pad" count="2"/>',
    "resource_none": '<resource id="pad" count="0"/>',
    "resource_half": '<resource id="pad" count="1.5"/>',
    "resource_attribute": '<resource id="pad" size="4"/>',
    "resources_too_many": "\n".join(f'<resource id="r{i}"/>' for i in range(9)),
    "cleanout_needs_unknown": '<resource id="pad"/>\n<cleanout id="deep" needs="pad, hose"/>',
    "cleanout_needs_undeclared": '<cleanout id="deep" needs="pad"/>',
    "cleanout_needs_nothing": '<cleanout id="deep" needs=","/>',
    "apart_no_grower": '<field name="a">\n<apart cleanout="deep"/></field>',
    "apart_attribute": '<field name="a">\n<apart grower="B" level="deep"/></field>',
    "apart_outside": '<apart grower="B"/>',
    "field_no_name": '<field crop="wheat"/>',
    "field_unknown": '<field name="Nowhere" crop="wheat"/>',
    "field_attribute": '<field name="a" colour="red"/>',
    "rating_neither": '<field name="a">\n<rating weed="kochia"/></field>',
    "rating_both": '<field name="a">\n<rating weed="kochia" rating="1" plants_m2="1"/></field>',
    "rating_no_weed": '<field name="a">\n<rating rating="1"/></field>',
    "limit_no_seeds": '<field name="a">\n<limit weed="kochia"/></field>',
    "text_in_season": "fields are in the other file",
    "step_of_child": '<cleanout id="deep">\n<step>Sweep <b>well</b></step></cleanout>',
}.items():
    put(f"season_{name}.xml", season(inside))
put("season_no_namespace.xml", "<season/>\n")
put("season_other_namespace.xml", '<season xmlns="urn:seedbreak:season:2"/>\n')
put("season_doctype.xml", season("", HEAD + '<!DOCTYPE season [<!ENTITY a "b">]>\n'))
put("season_truncated.xml", season("<costs/>")[:-5])
put("season_currency.xml", season("", attributes=' currency=""'))
put("season_root_attribute.xml", season("", attributes=' year="2026"'))

# ---- Archives ----


def archive(entries):
    """A ZIP by hand, so that it can lie: (name, data, method, flags, claimed size or None)."""
    out, directory = b"", b""
    for name, data, method, flags, claimed in entries:
        raw = name.encode()
        packed = data
        if method == 8:
            packer = zlib.compressobj(9, zlib.DEFLATED, -15)
            packed = packer.compress(data) + packer.flush()
        size = len(data) if claimed is None else claimed
        fields = struct.pack("<HHHHHIIIHH", 20, flags, method, 0, 0x21, zlib.crc32(data), len(packed), size, len(raw), 0)
        offset = len(out)
        out += b"PK\3\4" + fields + raw + packed
        directory += b"PK\1\2" + struct.pack("<H", 20) + fields + struct.pack("<HHHII", 0, 0, 0, 0, offset) + raw
    end = b"PK\5\6" + struct.pack("<HHHHIIH", 0, 0, len(entries), len(entries), len(directory), len(out), 0)
    return out + directory + end


DOC = GOOD.encode()
put("archive_empty.kmz", archive([]))
put("archive_no_kml.kmz", archive([("readme.txt", b"hello", 8, 0, None)]))
put("archive_garbage.kmz", b"PK\3\4" + b"\0" * 60)
put("archive_truncated.kmz", archive([("doc.kml", DOC, 8, 0, None)])[:-30])
put("archive_up.kmz", archive([("../doc.kml", DOC, 8, 0, None)]))
put("archive_up_inside.kmz", archive([("a/../../doc.kml", DOC, 8, 0, None)]))
put("archive_absolute.kmz", archive([("/doc.kml", DOC, 8, 0, None)]))
put("archive_backslash.kmz", archive([("..\\doc.kml", DOC, 8, 0, None)]))
put("archive_drive.kmz", archive([("C:doc.kml", DOC, 8, 0, None)]))
put("archive_encrypted.kmz", archive([("doc.kml", DOC, 8, 1, None)]))
put("archive_method.kmz", archive([("doc.kml", DOC, 99, 0, None)]))
put("archive_claims_4_gb.kmz", archive([("doc.kml", DOC, 8, 0, 0xFFFFFFFE)]))
put("archive_claims_less.kmz", archive([("doc.kml", DOC, 8, 0, 10)]))
put("archive_bomb.kmz", archive([("doc.kml", HEAD.encode() + b"<kml>" + b" " * (6 << 20) + b"</kml>", 8, 0, None)]))
put("archive_bad_kml.kmz", archive([("doc.kml", kml_coordinates("5,52").encode(), 8, 0, None)]))
put("archive_nested.kmz", archive([("doc.kml", archive([("doc.kml", DOC, 8, 0, None)]), 0, 0, None)]))
put("archive_broken_data.kmz", archive([("doc.kml", DOC, 8, 0, None)]).replace(b"\x00\x00\x21\x00", b"\x00\x00\x21\x00", 1)[:60] + b"\xff" * 40 + archive([("doc.kml", DOC, 8, 0, None)])[100:])
