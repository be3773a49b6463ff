# Fields that wait for each other, and a latest day that no machine can keep: the chain is named with
# its dates, and nothing of the fields beside it. Fields of 64 ha at 6.4 ha/h take ten hours, a day has
# ten.
{
    field North 0 0 crop=wheat after=East
    field South 0 -1 crop=wheat ready=2026-08-05
    field East 1 0 crop=wheat after=South
    field West -1 0 crop=wheat ready=2026-08-03 after=South latest=2026-09-30
    point Shop -99.9947 48.0036 role=yard
} | kml >fields.kml
calendar='<calendar start="2026-08-01" hours_per_day="10"/>'
red='<machine id="red" ha_per_hour="6.4"/>' blue='<machine id="blue" ha_per_hour="6.4"/>'
season "$calendar$red$blue
<field name=\"North\" latest=\"2026-08-06\"/>" >two.xml
says seedbreak order fields.kml two.xml --quiet --out plan
season "$calendar$red
<field name=\"North\" latest=\"2026-08-06\"/>" >one.xml
says seedbreak order fields.kml one.xml --quiet --out plan
says seedbreak weigh fields.kml one.xml --quiet --out plan
# The machine that may cut East comes late; the other one would not.
season "$calendar<machine id=\"red\" ha_per_hour=\"6.4\" from=\"2026-08-07\"/>$blue
<field name=\"East\" only=\"red\"/><field name=\"North\" latest=\"2026-08-07\"/>" >late.xml
says seedbreak order fields.kml late.xml --quiet --out plan
# Two days more, and there is a plan.
season "$calendar$red$blue
<field name=\"North\" latest=\"2026-08-08\"/>" >fine.xml
seedbreak order fields.kml fine.xml --json --quiet | jq -r '.rules_broken, .status'
ls
