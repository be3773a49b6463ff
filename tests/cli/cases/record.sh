# The record of a season, grower by grower, each line with its log entry; strips to walk.
export SOURCE_DATE_EPOCH=1785600000
{
    field "North, upper" 0 0 crop=wheat weed:kochia=3 grower='Ann &amp; &lt;Co>'
    field Middle 1 0 crop=wheat weed:kochia=0 grower=Bo
    field South 2 0 crop=wheat weed:kochia=1 grower='Ann &amp; &lt;Co>'
    point Shop -100.1 48 role=yard
} | kml >fields.kml
log() { seedbreak log fields.kml --log season.log --quiet "$@" >log.txt || cat log.txt >&2; }
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
log cut North --from 2026-08-06T09:00 --to 2026-08-07T12:12 --ha 63.5
log cleanout blow kochia=1500 --minutes 25 --by 'C "D"' --tarp-kg 12 --sample-kg 0.5 --to 2026-08-07T12:45
log cut Middle --to 2026-08-09T11:00
log cut South --to 2026-08-09T12:00
log strike 4 --why 'not yet'
log seedlings Middle kochia=42 --strip 80 --to 2027-04-20T10:00
says seedbreak record fields.kml season.log --quiet | tr -d '\r'
says seedbreak record fields.kml --log season.log --out out
ls out
seedbreak record fields.kml --log season.log --quiet | cmp - out/record.csv
sed -n 's/.*<desc>\(.*\)<\/desc>/\1/p' out/scouting.gpx
grep -c '<section>' out/record.html
grep -o 'Ann &amp; &lt;Co&gt;' out/record.html
sed -n 's/<[^>]*>/ /g; /on the tarp/p' out/record.html
xmllint --noout out/scouting.gpx
says seedbreak record fields.kml
sed -i 's/63.5/65.3/' season.log
says seedbreak record fields.kml --log season.log --out out
