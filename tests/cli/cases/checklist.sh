# What all cleanouts of a plan take, machine by machine and together, and the last clean.
two_fields
season '<machine id="red" name="Red" yard="Depot" final_cleanout="thorough"/>
<machine id="blue" name="Blue" yard="Depot" final_cleanout="deep"/>' >season.xml
point Depot -99.98 48.01 role=yard | kml >yard.kml
cat >plan.json <<'END'
{"machines": [{"id": "red", "stops": [{"field": "South"}, {"field": "North", "cleanout": "blowdown"}]},
              {"id": "blue", "stops": []}]}
END
seedbreak trace fields.kml yard.kml season.xml --plan plan.json --quiet --checklist
says seedbreak trace fields.kml yard.kml season.xml --plan plan.json --checklist --json
