# Supplies with amounts: added up by name and unit for each machine and the whole plan, in the
# checklist, in plan.json and in what is left of a season.
two_fields
season '<cleanout id="blowdown"><supply name="dust bags" amount="2"/>
  <supply name="straw" amount="0.5" unit="bales"/></cleanout>
<cleanout id="deep"><supply name="straw" amount="3" unit="bales"/>
  <supply name="straw" amount="4" unit="kg"/></cleanout>
<cleanout id="thorough" supplies="vacuum"/>
<machine id="red" name="Red" yard="Depot" final_cleanout="deep"/>
<machine id="blue" name="Blue" yard="Depot" final_cleanout="thorough"/>' >season.xml
point Depot -99.98 48.01 role=yard | kml >yard.kml
# Red: blow-down and deep clean. Blue: blow-down and thorough clean. So 2 x 2 bags, 2 x 0.5 + 3 bales.
cat >plan.json <<'END'
{"machines": [{"id": "red", "stops": [{"field": "South", "cleanout": "blowdown"}]},
              {"id": "blue", "stops": [{"field": "North", "cleanout": "blowdown"}]}]}
END
seedbreak trace fields.kml yard.kml season.xml --plan plan.json --quiet --checklist | sed '/ ends the season/,$d'
seedbreak trace fields.kml yard.kml season.xml --plan plan.json --quiet --json |
    jq -c '(.machines[] | .id, .supplies[]), "together", .supplies[]'
seedbreak trace fields.kml yard.kml season.xml --plan plan.json --quiet --out out >out.txt
sed -z 's/\r\n //g' out/calendar.ics | grep -o 'Have ready: [^.]*\..*' | sort -u
# A season in progress: South is cut, by Red.
seedbreak log fields.kml yard.kml season.xml --log season.log --quiet cut South --machine red \
    --from 2026-08-03T09:00 --to 2026-08-04T09:00 >log.txt
seedbreak resume fields.kml yard.kml season.xml --log season.log --machine red --quiet --checklist |
    sed '/ ends the season/,$d'
seedbreak resume fields.kml yard.kml season.xml --log season.log --machine red --quiet --checklist --board
