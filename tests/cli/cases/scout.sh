# Where to look before starting: the table fits the page, the JSON agrees, whatever the threads.
{
    field North 0 0 crop=wheat weed:kochia=3
    field South 0 -1 crop=wheat weed:kochia=2 weed:wild_oat=1
    field East 1 0 crop=wheat weed:wild_oat=3
    field West -1 1 crop=wheat weed:kochia=1 weed:wild_oat=2
} | kml >fields.kml
seedbreak scout fields.kml --quiet >table.txt
[ "$(wc -L <table.txt)" -le 80 ] && echo 'fits 80 columns'
grep -c '^Walk\|^No walk' table.txt
seedbreak scout fields.kml --quiet --json --threads 1 >one.json
seedbreak scout fields.kml --quiet --json --threads 2 | cmp - one.json
jq -c '.format, .version, (.ratings | length), (.fields | length),
    ([.ratings[].worth] | . == (sort | reverse)), ([.fields[].worth >= 0] | all)' one.json
# A field is worth no less than each of its ratings.
jq -c '. as $all | [.ratings[] | . as $one | ($all.fields[] | select(.field == $one.field)).worth >= .worth]
    | all' one.json
says seedbreak scout fields.kml --out o
# Nothing to walk for: no head without rows.
field Clean 0 0 crop=wheat weed:kochia=0 | kml >clean.kml
seedbreak scout clean.kml --quiet | grep -c 'To be counted'
# Cut short, it does not say that what it had no time to look at is worth nothing.
demo=$SEEDBREAK_SOURCE/demo
seedbreak scout "$demo/fields.kml" "$demo/scouting.gpx" "$demo/season.xml" --quiet --time-limit 1 |
    tr '\n' ' ' | grep -o 'Stopped before\|cannot change the plan' | sort -u
