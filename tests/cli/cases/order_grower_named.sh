# A cap on what one grower's fields receive, by name in the season file: kept by the plan, shown in its
# table, known to `check` and `trace`, left out where only `order` keeps it. A cap that no plan keeps is
# named with its line, and so is one for a grower whom nobody knows.
growers_fields
capped() {
    season "<limits${2-}>
$1</limits><machine id=\"red\" ha_per_hour=\"6.4\"/>"
}
capped '<grower name="Ash" loss="100"/>' >ash.xml
capped '<grower name="Ash" loss="100"/>' ' loss_per_grower="540"' >both.xml
seedbreak order fields.kml ash.xml --quiet --out ash >table.txt
sed -n '/^Expected loss/,/^$/p' table.txt
jq -c '.status, (.fairness | .costs > 0, .loss_per_grower,
    (.growers[] | [.grower, .may_lose, .loss <= (.may_lose // 1e9)]))' ash/plan.json
seedbreak order fields.kml both.xml --quiet --json |
    jq -c '.fairness | .loss_per_grower, (.growers[] | [.grower, .may_lose, .loss <= .may_lose])'
seedbreak order fields.kml both.xml --quiet --fair --json |
    jq -c '.fairness | .least_worst, (.growers[] | [.grower, .may_lose, .loss <= .may_lose])'
seedbreak check fields.kml both.xml --quiet | sed -n '/^Most expected/,/^$/p'
seedbreak check fields.kml both.xml --quiet --json | jq -c .season.limits
season '<machine id="red" ha_per_hour="6.4"/>' >free.xml
seedbreak order fields.kml free.xml --quiet --out free >/dev/null
seedbreak trace fields.kml ash.xml --plan free/plan.json 2>&1 >/dev/null | grep loss
seedbreak order fields.kml ash.xml --by shortest-road 2>&1 >/dev/null | grep grower
capped '<grower name="Birch" loss="0"/>
<grower name="Ash" loss="5000"/>' >none.xml
says seedbreak order fields.kml none.xml --quiet
capped '<grower name="Brich" loss="400"/>' >nobody.xml
says seedbreak order fields.kml nobody.xml --quiet
# The same by option; of a cap for all only those stay that are in each other's way.
seedbreak order fields.kml free.xml --quiet --json --loss-per-grower 540 --loss-per-grower Ash=100 |
    jq -c '.fairness | .loss_per_grower, (.growers[] | [.grower, .may_lose, .loss <= .may_lose])'
capped '' ' loss_per_grower="0.001"' >all.xml
says seedbreak order fields.kml all.xml --quiet
says seedbreak order fields.kml free.xml --quiet --loss-per-grower 0.001
says seedbreak order fields.kml ash.xml --quiet --loss-per-grower Birch=0
says seedbreak order fields.kml free.xml --quiet --loss-per-grower Brich=400
says seedbreak order fields.kml free.xml --quiet --loss-per-grower Birch=a
says seedbreak order fields.kml free.xml --quiet --loss-per-grower =5
seedbreak order fields.kml free.xml --robust mean --samples 4 --loss-per-grower Ash=100 2>&1 >/dev/null |
    grep grower
