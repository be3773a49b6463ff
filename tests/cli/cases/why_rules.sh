# A reason names the rule that bites, which need not be the one that asks for a cleanout: for each
# level that would be cheaper its rule, with figures; the same numbers in plan.json.
{
    field North 0 0 crop=wheat weed:kochia=1
    field South 0 -1 crop=wheat entry=blowdown
    field East 1 0 crop=wheat
} | kml >fields.kml
reason() { sed -n '/^Why/,/^Travel/p' | sed '1d; /^Travel/d; /^$/d'; }
start='<calendar start="2026-08-01"/>'
in_order='<field name="South" after="North"/><field name="East" after="South"/>'
season "$start$in_order<field name=\"South\"><limit weed=\"kochia\" seeds_ha=\"15\"/></field>" >limit.xml
seedbreak order fields.kml limit.xml --quiet --out limit | reason
jq -c '.machines[0].stops[1] | .cleanout, .reason.demanded, .reason.breaks.none.rule,
    (.reason.breaks.blowdown | [.rule, .field, .weed, .allowed]),
    (.reason.breaks.blowdown.found * 10 | round)' limit/plan.json
season "$start$in_order<field name=\"North\"><rating weed=\"kochia\" rating=\"4\"/></field>
<limits full_cleanouts=\"0\"/>" >full.xml
seedbreak order fields.kml full.xml --quiet --out full | reason
seedbreak order fields.kml full.xml --quiet --out spend --spend-limit 100 | reason
season "$start$in_order<field name=\"South\" tank_limit_seeds_kg=\"0.003\"/>" >tank.xml
seedbreak order fields.kml tank.xml --quiet --out tank | reason
seedbreak trace fields.kml tank.xml --quiet --plan tank/plan.json --why South
# A first stop whose entry rule asks for a cleanout, because none is on record.
season "$start<field name=\"North\" after=\"South\"/><field name=\"East\" after=\"South\"/>" >first.xml
seedbreak order fields.kml first.xml --quiet --out first | reason
