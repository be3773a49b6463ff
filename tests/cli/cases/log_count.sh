# A tarp counted days later: an entry of its own that names the cleanout; learning and the record use it.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3 weed:waterhemp=1 grower=Ann
    field Middle 1 0 crop=wheat weed:kochia=0 grower=Bo
    field South 2 0 crop=wheat weed:kochia=2 grower=Bo
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-10-31"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log --quiet "$@"; }
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
says log count 1 kochia=9000 --by Bo --to 2026-08-09T20:00
says log cut North --from 2026-08-03T09:00 --to 2026-08-05T09:10
says log cleanout deep --by Ann --tarp-kg 60 --to 2026-08-05T15:10
says log cut Middle --to 2026-08-07T09:10
says log cleanout blow --by Ann --to 2026-08-07T10:00
# What cannot be.
says log count 1 kochia=9000 --by Bo --to 2026-08-09T20:00
says log count 7 kochia=9000 --by Bo --to 2026-08-09T20:00
says log count two kochia=9000 --by Bo --to 2026-08-09T20:00
says log count 2 --by Bo --to 2026-08-09T20:00
says log count 2 kochia=9000 --to 2026-08-09T20:00
says log count 2 kochia=many --by Bo --to 2026-08-09T20:00
says log count 2 kocha=9000 --by Bo --to 2026-08-09T20:00
says log count 2 kochia=9000 --by Bo --to 2026-08-04T20:00
says log count 2 kochia=9000 --by Bo --to 2028-08-04T20:00
says log count 2 kochia=9000 --by Bo --to 2026-08-09T20:00 --sample-kg 90
says log count 2 kochia=9000 --by Bo --to 2026-08-09T20:00 --tarp-kg 66 --sample-kg 1
says log count 4 kochia=9 --by Bo --to 2026-08-09T20:00 --sample-kg 1
says log count
# The sample's part of the tarp is known from the cleanout; nothing is counted twice unless it says so.
says log count 2 kochia=9000 --by Bo --to 2026-08-09T20:00 --sample-kg 0.5
says log count 2 kochia=8000 --by Bo --to 2026-08-10T20:00 --sample-kg 0.5
says log count 2 waterhemp=3 --by Bo --to 2026-08-10T20:00 --sample-kg 2
says log count 2 kochia=8000 --by Cy --to 2026-08-11T20:00 --tarp-kg 62 --sample-kg 0.4 --recount
says log show
found() { seedbreak record fields.kml season.xml --log season.log --quiet | tr -d '\r' | cut -d, -f3-4,13-16,22-23; }
found | grep tarp
seedbreak record fields.kml season.xml --log season.log --quiet --out out
sed -n 's/<[^>]*>/ /g; /on the tarp/p' out/record.html
says seedbreak resume fields.kml season.xml --log season.log --quiet | sed -n '/^What was found/,/^What that/p' | head -5
# Struck, a recount lets the count before it hold again; a struck cleanout takes its counts along.
says log strike 7
found | grep tarp,Ann,kochia
says log strike 2
says log count 2 kochia=9000 --by Bo --to 2026-08-11T21:00
says log show | sed -n '/^ *[257] /p'
found | grep -c kochia,.*,[0-9]
says seedbreak check fields.kml season.xml season.log 2>&1 | grep -o 'every seal holds'
# Later counts are sealed like everything else.
sed -i 's/seeds="8000"/seeds="800"/' season.log
says seedbreak check fields.kml season.xml season.log
