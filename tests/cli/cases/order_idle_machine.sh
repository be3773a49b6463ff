# A machine that is not worth its way stays in the yard: no way home, no final cleanout and no cost of
# it, in the table, on the board and in every file.
{
    field North 0 0 crop=wheat weed:kochia=2
    field South 0 -1 crop=wheat
    point Shop -99.9947 48.0036 role=yard
    point Far -99.0 48.0036 role=yard
} | kml >fields.kml
season '<machine id="red" name="Red" ha_per_hour="6.4" final_cleanout="deep"/>
<machine id="blue" name="Blue" ha_per_hour="6.4" yard="Far" final_cleanout="deep"/>' >season.xml
seedbreak order fields.kml season.xml --quiet --out plan >table.txt
grep -A 1 '^Blue' table.txt
grep -c 'Far' table.txt
grep -E '^(Travel|Cleanouts)' table.txt
jq -c '.machines[1]' plan/plan.json
jq '[.machines[].final_cleanout]' -c plan/plan.json
grep -c 'blue\|Blue' plan/schedule.csv plan/calendar.ics plan/route.gpx plan/map.kml
grep -o 'flush</th><td class="num">[0-9]*' plan/season.html
grep -o 'Blue</b>, 0 fields, from Far, where it stays' plan/season.html
# The same plan again, also from its file.
seedbreak trace fields.kml season.xml --quiet --plan plan/plan.json | sed '/^Blue/,$!d' | head -1
seedbreak trace fields.kml season.xml --quiet --plan plan/plan.json --board | tail -3
