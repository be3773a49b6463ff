# The log: entries are added, refused, struck and shown; names may be typed short.
export SOURCE_DATE_EPOCH=1785600000
{
    field "North Quarter" 0 0 crop=wheat weed:kochia=3
    field "North Ridge" 1 0 crop=wheat
    point Shop -100.1 48 role=yard
} | kml >fields.kml
log() { seedbreak log fields.kml --log season.log "$@"; }
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
says log cut "north q" --from 2026-08-06T09:00 --to "2026-08-07 12:12" --ha 60
says log cut north --to 2026-08-07T15:00
says log cut "North Quarter" --to 2026-08-07T15:00
says log cut "North Ridge" --from 2026-08-07T12:11 --to 2026-08-07T15:00
says log cut "North Ridge" --to 2026-08-07T15:00 --part
says log cut "North Ridge" --to 2026-08-07T15:00 --part --ha 20
says log cleanout blow kochia=120 --to 2026-08-07T16:00 --by Ann --tarp-kg 4 --sample-kg 0.5 --place shop
says log rating "North Ridge" kochia=2 ryegrass:plants_m2=0.25 --to 2026-08-07T16:00
says log rating "North Ridge" dodder=2 --to 2026-08-07T16:00
says log lost 2026-08-08 2026-08-09
says log add "South Forty" lon=-100.2 lat=48 area_ha=16 kochia=1 --to 2026-08-07T16:00
says log away --from 2026-08-07T16:00 --to 2026-08-08T12:00 --why neighbour
says log drop "south" --to 2026-08-08T12:00
says log strike 5
# What cannot be.
says log cleanout deep --to 2026-08-08T12:30
says log cut "North Ridge" --ha 500 --to 2026-08-08T13:00
says log cut "North Ridge" --from 2026-08-08T13:00 --to 2026-11-08T13:00
says log cut "North Ridge" --to 2036-08-08T13:00
says log add "North Ridge" --to 2026-08-08T13:00
says log seedlings "North Ridge" kochia=3
says log away --from 2026-08-09T10:00 --to 2026-08-09T09:00
says log strike 5
says log show
# A word changed in the middle of the log.
sed -i 's/Ann/Bob/' season.log
says seedbreak check fields.kml season.log
says log lost 2026-08-10
says log
says log cut
says log cut north ridge
says log cut "North Ridge" --to noon
says log rating "North Ridge" kochia
says seedbreak log fields.kml cut north
says seedbreak log --log season.log show
