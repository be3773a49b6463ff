# Seeds counted on the tarp, and seedlings next spring, change the numbers that the rest is planned on.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3
    field Middle 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia=2
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
log cut North --to 2026-08-05T09:10
log cleanout deep --by Ann kochia=9000 waterhemp=3 --tarp-kg 60 --sample-kg 0.5 --to 2026-08-05T15:10
log cut Middle --to 2026-08-07T09:10
says seedbreak resume fields.kml season.xml --log season.log --out rest | sed '/^Combine: /,$d'
jq -r '.learned | (.found[] | [.what, .found] | @tsv), (.numbers | length > 3), (.effective > 2000)' rest/plan.json
grep -c 'id="learned"' rest/season.html
says seedbreak resume fields.kml season.xml --log season.log --unlearned --quiet --out plain | grep -c 'What that teaches'
grep -c 'id="learned"' plain/season.html
jq 'has("learned")' plain/plan.json
# The same whatever the threads.
for n in 1 3; do seedbreak resume fields.kml season.xml --log season.log --quiet --threads $n --json |
    jq -c '.learned' >threads_$n; done
cmp threads_1 threads_3
# Next spring.
log cut South --to 2026-08-09T09:10
log cut East --to 2026-08-11T09:10
log seedlings Middle kochia=40 --strip 50 --width 2 --to 2027-05-10T10:00
says seedbreak resume fields.kml season.xml --log season.log --quiet | grep seedlings
says seedbreak order fields.kml season.xml --unlearned
