# A cap on what any grower's fields receive, on the command line and in the season file, for one
# machine and for two; the least worst loss; what either costs. A cap that no plan keeps, the checker
# on a plan that breaks one, and options that do not go together.
growers_fields
season '<machine id="red" ha_per_hour="6.4"/>' >season.xml
fairness() {
    jq -c '.status, (.fairness | .costs >= 0, .least_worst, .loss_per_grower),
        ([.fairness.growers[].loss] | max | round)' "$1"
}
seedbreak order fields.kml season.xml --quiet --out free >/dev/null
jq '.fairness' free/plan.json
seedbreak order fields.kml season.xml --quiet --loss-per-grower 540 --json >capped.json
fairness capped.json
season '<limits loss_per_grower="540"/><machine id="red" ha_per_hour="6.4"/>' >ruled.xml
seedbreak order fields.kml ruled.xml --quiet --out ruled >table.txt
stops() {
    jq -c '[.machines[].stops[] | [.field, .cleanout]]' "$1"
}
cmp <(stops ruled/plan.json) <(stops capped.json) && sed -n '/^Expected loss/,/^$/p' table.txt
# The same rule from the checker's side: the plan made without it breaks it.
seedbreak trace fields.kml ruled.xml --plan free/plan.json 2>&1 >/dev/null | grep loss
says seedbreak order fields.kml season.xml --quiet --loss-per-grower 400
seedbreak order fields.kml season.xml --quiet --fair --json >fair.json
fairness fair.json
season '<calendar start="2026-08-01"/>
<machine id="red" ha_per_hour="8"/><machine id="blue" ha_per_hour="8" season_hours="25"/>
<field name="Dirty" latest="2026-08-01"/><field name="Weedy" latest="2026-08-01"/>' >two.xml
sed 's|<Data name="after"><value>[^<]*</value></Data>||' fields.kml >free.kml
seedbreak order free.kml two.xml --quiet --loss-per-grower 200 --json >two.json
fairness two.json
seedbreak order fields.kml ruled.xml --quiet --by shortest-road >/dev/null
seedbreak order fields.kml ruled.xml --by shortest-road 2>&1 >/dev/null | grep grower
says seedbreak order fields.kml --fair --by cleanest-first
says seedbreak order fields.kml --loss-per-grower -5
