# For what machines wait: a field that is not ripe, the wash pad, a field that another machine cuts
# first. A wait is told once; days on which nobody works are one line that says how many are blocked.
{
    field North 0 0 crop=wheat weed:kochia=2
    field South 0 -1 crop=wheat
    field East 1 0 crop=wheat
    field West 1 -1 crop=wheat after=South
    field Late 0 1 crop=wheat ready=2026-08-20
    point Shop -99.9947 48.0036 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" hours_per_day="10" day_starts="09:00">
  <blocked date="2026-08-09"/><blocked date="2026-08-16"/></calendar>
<resource id="pad" name="Wash pad" count="1"/>
<cleanout id="deep" needs="pad"/>
<machine id="red" name="Red" ha_per_hour="8" yard="Shop"/>
<machine id="blue" name="Blue" ha_per_hour="8" yard="Shop"/>' >season.xml
jq -n '{format: "seedbreak-plan", version: 1, machines: [
    {id: "red", stops: [{field: "North"}, {field: "South", cleanout: "deep"}, {field: "Late"}]},
    {id: "blue", stops: [{field: "East"}, {field: "West", cleanout: "deep"}]}]}' >plan.json
seedbreak trace fields.kml season.xml --plan plan.json --quiet --board --out out
jq -c '.board[] | select(.activity == "waiting") | [.machine, .begin, .hours, .waits_for]' out/plan.json
