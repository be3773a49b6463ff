# A season in progress goes on from its log; the earlier plan is set beside the new one.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=0
    field Middle 1 0 crop=wheat weed:kochia=2
    field South 2 0 crop=wheat weed:kochia=3
    field East 4 1 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log --quiet "$@" >log.txt || cat log.txt >&2; }
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
says seedbreak order fields.kml season.xml --out plan --quiet --json | jq -r '.machines[0].stops[] | [.field, .cleanout, .finish] | @tsv'
echo
log cut North --to 2026-08-05T09:10
says seedbreak resume fields.kml season.xml --log season.log --plan plan/plan.json --quiet | sed '/^Combine: /,$d;/^Built-in/,$d'
# Somebody found kochia in East, and the machine stood in rain for a day.
log rating East kochia=4 --to 2026-08-05T12:00
log lost 2026-08-06
log cut Middle --part --ha 20 --from 2026-08-05T11:00 --to 2026-08-05T17:00
says seedbreak resume fields.kml season.xml season.log --plan plan/plan.json --quiet --out rest >rest.txt
sed '/^Combine: /,$d;/: 3 fields/,$d' rest.txt
jq -r '.status, (.machines[0].stops[] | [.field, .cleanout, .arrive] | @tsv)' rest/plan.json
ls rest
log cut Middle --to 2026-08-07T12:00
log cut South --to 2026-08-08T17:00
log drop East
says seedbreak resume fields.kml season.xml --log season.log --quiet
says seedbreak resume fields.kml season.xml
says seedbreak resume fields.kml season.xml --log nowhere.log
says seedbreak resume fields.kml season.xml --log season.xml
sed -i 's/South/North/' season.log
says seedbreak resume fields.kml season.xml --log season.log --quiet
