# Several machines: fields that none may cut, with every machine's reason; too few hours for the
# fields that only some may cut; hours that do not add up to whole fields; and a wish that the hours
# do not allow. Fields of 64 ha at 6.4 ha/h take ten hours.
{
    field North 0 0 crop=wheat
    field South 0 -1 crop=wheat
    field East 1 0 crop=corn
    point Shop -99.9947 48.0036 role=yard
} | kml >fields.kml
two='<machine id="red" ha_per_hour="6.4" header_m="12" crops="wheat"'
blue='<machine id="blue" ha_per_hour="6.4" most_slope_percent="5"'
season "$two/>$blue/>
<field name=\"North\" gate_m=\"6\" slope_percent=\"9\"/>" >closed.xml
says seedbreak order fields.kml closed.xml --quiet --out plan
season "<calendar start=\"2026-08-01\"/>$two to=\"2026-08-03\"/>$blue from=\"2026-08-10\"/>
<field name=\"North\" only=\"red\" ready=\"2026-08-05\"/><field name=\"East\" latest=\"2026-08-09\"/>" >window.xml
says seedbreak order fields.kml window.xml --quiet --out plan
season "$two season_hours=\"100\"/>$blue season_hours=\"15\"/>
<field name=\"South\" only=\"blue\"/>" >hours.xml
says seedbreak order fields.kml hours.xml --quiet --out plan
season "$two season_hours=\"16\"/>$blue season_hours=\"16\"/>" >whole.xml
says seedbreak order fields.kml whole.xml --quiet --out plan
season "<calendar start=\"2026-08-01\"/>${two/6.4/8}/>${blue/6.4/8}/>
<field name=\"North\" only=\"red\" latest=\"2026-08-01\"/><field name=\"South\" latest=\"2026-08-01\"/>
<field name=\"South\" only=\"red\"/><field name=\"East\" latest=\"2026-08-09\"/>" >wish.xml
says seedbreak order fields.kml wish.xml --quiet --out plan
ls
