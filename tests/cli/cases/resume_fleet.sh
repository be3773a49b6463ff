# Two machines in one season: one has cut two fields, the other broke down in its second.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=0
    field Middle 1 0 crop=wheat weed:kochia=2
    field South 2 0 crop=wheat weed:kochia=3
    field East 4 1 crop=wheat weed:kochia=0
    field Far 5 1 crop=wheat weed:kochia=1
    field Mill 6 1 crop=wheat weed:kochia=0 after=South
    point Shop -100.1 48 role=yard
    point Depot -99.9 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-08-10"/>
<machine id="red" name="Red" yard="Shop" ha_per_hour="4" final_cleanout="thorough"/>
<machine id="blue" name="Blue" yard="Depot" ha_per_hour="3" final_cleanout="blowdown"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log --quiet "$@" >log.txt || cat log.txt >&2; }
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
stops='.machines[] | .id as $id | (.stops[] | [$id, .field, .cleanout, .arrive, .finish]), [$id, "home", .final_cleanout, .home, .end] | @tsv'
says seedbreak order fields.kml season.xml --out plan --quiet --json | jq -r "$stops"
resume() { says seedbreak resume fields.kml season.xml --log season.log --quiet "$@"; }
machines() { sed '/^Red: /,$d; /^Blue: /,$d; /, loose/d; /, lodged/d'; }
# By the plan until the evening of the 6th, each machine to the minute.
seedbreak order fields.kml season.xml --quiet --json | jq -r '
    .machines[] | .id as $id | .stops[] | select(.finish < "2026-08-07") |
    (if .cleanout != "none" then "cleanout \(.cleanout) --machine \($id) --to \(.leave) --by Ann" else empty end),
    "cut \(.field) --machine \($id) --from \(.arrive) --to \(.finish)"' |
    while read -r entry; do
        eval "log $entry"
    done
seedbreak log fields.kml --log season.log show
resume --plan plan/plan.json | machines
# Blue is half way through its second field: it is the one to finish it.
log cut South --machine blue --part --ha 20 --from 2026-08-05T11:04 --to 2026-08-06T09:00
resume --json | jq -r "$stops" | grep South
# It breaks down there; what is left is for whoever has the time, and there is more of it.
sed -i 's/2026-08-10/2026-08-12/' season.xml
log away --machine blue --from 2026-08-06T09:00 --to 2026-08-10T09:00 --why gearbox
resume --plan plan/plan.json --from 2026-08-06T13:00 | machines
resume --from 2026-08-06T13:00 --json | jq -r "$stops"
