# What a season taught goes into the next: record writes it, and every command reads it with the files.
export SOURCE_DATE_EPOCH=1785600000
fields() {
    field North 0 0 crop=wheat weed:kochia=3
    field Middle 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia=2
    point Shop -100.1 48 role=yard
}
fields | kml >fields.kml
season '<calendar start="2026-08-03"/>' >season.xml
log() { seedbreak log "$@" >log.txt || cat log.txt >&2; }
log fields.kml season.xml --log season.log --quiet cut North --to 2026-08-05T09:10
seedbreak record fields.kml season.xml --log season.log --out nothing
ls nothing
log fields.kml season.xml --log season.log --quiet \
    cleanout deep --by Ann kochia=9000 --tarp-kg 60 --sample-kg 0.5 --to 2026-08-05T15:10
seedbreak record fields.kml season.xml --log season.log --quiet --out record
sed 's/seal="[0-9a-f]*"/seal="..."/; s/\(times="[0-9]*\.[0-9][0-9]\)[0-9]*/\1/' record/learned.xml
# Given with its own log it does not count that log's findings twice, but later ones it does.
own() { seedbreak resume fields.kml season.xml record/learned.xml --log "$@" --json 2>&1 >own.json | grep learned.xml; }
own season.log
jq 'has("learned")' own.json
cp season.log later.log
log fields.kml season.xml --log later.log --quiet cut Middle --to 2026-08-07T09:10
log fields.kml season.xml --log later.log --quiet cleanout blow --by Ann kochia=40 --to 2026-08-07T10:10
log fields.kml season.xml --log later.log --quiet count 2 kochia=7000 --sample-kg 0.5 --by Ann --to 2026-08-07T10:10 --recount
own later.log
jq -r '.learned.found[].what' own.json
log fields.kml season.xml --log later.log --quiet strike 2
own later.log
# The next season begins with the numbers that the last one ended with.
seedbreak check fields.kml record/learned.xml --json --quiet >next.json
seedbreak resume fields.kml season.xml --log season.log --quiet --json >resumed.json
jq -n --slurpfile a next.json --slurpfile b resumed.json '$a[0].season.weeds.kochia.seeds_per_plant ==
    ($b[0].learned.numbers[] | select(.number == "seeds_per_plant") | .used_now)'
seedbreak check fields.kml record/learned.xml | grep -A1 'seeds per plant .* instead'
# Two seasons on: what the second taught is on top, and neither log counts twice.
log fields.kml season.xml record/learned.xml --log second.log --quiet cut North --to 2026-08-05T09:10
seedbreak record fields.kml season.xml record/learned.xml --log second.log --quiet --out idle
cmp idle/learned.xml record/learned.xml
log fields.kml season.xml record/learned.xml --log second.log --quiet \
    cleanout deep --by Ann kochia=4000 --tarp-kg 60 --sample-kg 0.5 --to 2026-08-05T15:10
seedbreak record fields.kml season.xml record/learned.xml --log second.log --quiet --out second
grep -o 'log="[^"]*"' second/learned.xml
sed -n 's/.*seal="\([0-9a-f ]*\)".*/\1/p' second/learned.xml | wc -w
for each in season second; do
    seedbreak resume fields.kml season.xml second/learned.xml --log $each.log --json 2>&1 >own.json | grep learned.xml
    jq 'has("learned")' own.json
done
# By hand: 20,000 x 1.5 seeds a plant; the odds of 0.9 halved, 4.5 to 1; a keep of 1/2 becomes 1/3.
learned() {
    printf '<learned xmlns="urn:seedbreak:learned:1" log="season.log">\n%s\n</learned>\n' "$1"
}
learned '<number name="seeds_per_plant" weed="kochia" used="20000" times="1.5"/>
<number name="retained" weed="kochia" used="0.9" times="0.5"/>
<number name="keep" cleanout="half" times="0.5"/>
<number name="tau_loose_t" times="2"/>' >learned.xml
half='<cleanout id="half" minutes="20" supplies_cost="0"><keep section="header" loose="0.5" lodged="0.5"/></cleanout>'
season "$half" >half.xml
seedbreak check fields.kml half.xml --json --quiet >before.json
seedbreak check fields.kml half.xml learned.xml --json --quiet >after.json
jq -r -n --slurpfile a before.json --slurpfile b after.json '[$a[0], $b[0]] | map(.season) | .[0] as $a | .[1] as $b |
    $b.weeds.kochia.seeds_per_plant, ($b.weeds.kochia.retained * 11 | . * 1e9 | round / 1e9),
    (($b.cleanouts[] | select(.id == "half") | .keep[0].loose * 3) | . * 1e9 | round / 1e9),
    $b.machines[0].sections[1].tau_loose_t / $a.machines[0].sections[1].tau_loose_t,
    (($b.fields[0].seeds_per_kg.kochia / $a.fields[0].seeds_per_kg.kochia / (1.5 * 9 / 11 / 0.9)) | . * 1e9 | round / 1e9)'
# What says another number, or is not there, is left out, and told.
season '<weed id="kochia" seeds_per_plant="15000"/>' >own.xml
seedbreak check fields.kml own.xml learned.xml --json --quiet |
    jq -r '.warnings[] | select(.file == "learned.xml") | "\(.line): \(.text)"'
refused() {
    learned "$1" >bad.xml
    says seedbreak check fields.kml bad.xml --quiet
}
refused '<number name="yield" times="2"/>'
refused '<number name="kg" weed="kochia" times="2"/>'
refused '<number name="retained" weed="kochia" times="2"/>'
refused '<number name="kg" times="1e9"/>'
refused '<number name="kg"/>'
refused '<number name="kg" times="2"/><number name="kg" times="2"/>'
says seedbreak check fields.kml learned.xml record/learned.xml --quiet
