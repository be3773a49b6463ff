# Slips of the pen in a log: what cannot be is refused, what is unlikely is taken with a warning.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3
    field Middle 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia=1
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-10-31"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log "$@"; }
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
says log cut North --to 2025-08-05T17:00
says log cut North --to 2026-06-02T23:59
says log cut North --to 2027-01-01T00:00
says log lost 2020-01-01
says log lost 2026-10-31 2026-11-02
says log seedlings North kochia=3 --strip 50 --to 2027-05-01T10:00
says log add Fern lon=-90.1 lat=48 area_ha=16 kochia=1 --to 2026-08-03T09:00
says log strike 2
says log cut North --from 2026-08-05T12:00 --to 2026-08-05T12:05
says log cut North --from 2026-08-05T12:00 --to 2026-08-05T16:00
says log cleanout deep --by Ann --to 2025-08-05T17:30
says log cleanout deep --by Ann --tarp-kg 3000 --sample-kg 0.5 --to 2026-08-05T17:30
says log cleanout deep --by Ann --tarp-kg 300 --sample-kg 0.5 --to 2026-08-05T17:30
says log seedlings North kochia=3 --strip 50 --to 2026-08-05T15:00
says log rating South kochia=2 --to 2025-08-05T15:00
says log cleanout deep --by Ann --tarp-kg 58 --sample-kg 0.5 --to 2026-08-05T18:30
# Left standing for good: finished, and told as such; --part keeps the rest.
says log cut Middle --to 2026-08-07T09:10 --left 15
says log cut South --to 2026-08-07T11:10 --part --ha 2
says log strike 9
says log cut South --to 2026-08-08T09:10 --part --ha 20
says seedbreak resume fields.kml season.xml --log season.log --quiet | sed -n 1,3p
says seedbreak record fields.kml season.xml --log season.log --quiet | cut -d, -f2,4,9,10 | grep cut,
says seedbreak check fields.kml season.xml season.log 2>&1 | tr -s '\n ' ' ' |
    grep -o 'are the times right\|is the weight right'
# Finished with less than it has, before it is ready, and no time given at all.
season '<calendar start="2026-08-03" end="2026-10-31"/><field name="South" ready="2026-08-20"/>' >ready.xml
says seedbreak log fields.kml ready.xml --log season.log cut South --to 2026-08-09T12:00 --ha 30
says seedbreak log fields.kml season.xml --log now.log rating South kochia=2 2>&1 |
    grep -c '^seedbreak: note: no --to given: taken as now, 20[0-9-]* [0-9:]*$'
# Words that are nearly right.
says log cut homme
says log cut sud
says log cut Midle
says log cut Nodth --machine combine
says log cut North --machine red
says log frobnicate North
says log cleanout deep kocha=10 --by Ann --to 2026-08-09T18:30
# What names its option, and what cannot be meant.
says log away --machine combine --from 2026-08-09T10:00
says log seedlings Middle kochia=3
says log cleanout none --by Ann --to 2026-08-09T18:30
says log rating North kochia=2 kochia:plants_m2=0.5 --to 2026-08-09T18:30
begun() { seedbreak log fields.kml season.xml --log begun.log --quiet "$@"; }
says begun cut North --part --ha 10 --to 2026-08-05T15:00
says begun drop north --to 2026-08-05T14:00
says begun drop north --to 2026-08-06T08:00
says begun add north --to 2026-08-07T09:00
# Longitude and latitude the other way round.
{
    point West 10.5 52.1 role=field area_ha=20 crop=wheat weed:kochia=1
    point East 10.6 52.1 role=field area_ha=20 crop=wheat weed:kochia=0
} | kml >far.kml
says seedbreak log far.kml --log far.log add Fern lon=52.12 lat=10.51 area_ha=16 --to 2026-08-03T09:00
says seedbreak log far.kml --log far.log add Fern lon=-90.1 lat=-120 area_ha=16 --to 2026-08-03T09:00
says seedbreak log far.kml --log far.log add Fern lon=10.51 lat=52.12 area_ha=16 --to 2026-08-03T09:00
# A refusal says why, and not once more what is doubtful about the files.
field Bare 0 0 crop=wheat | kml >bare.kml
says seedbreak log bare.kml --log bare.log cut Bar --from 2026-08-05T15:00 --to 2026-08-05T14:00
says seedbreak log bare.kml --log bare.log cut Bear --to 2026-08-05T14:00
