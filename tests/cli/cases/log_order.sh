# Cuts against growers kept apart and fields to be cut after others are taken, and told whenever the
# log is read; with two machines whoever cut the field that comes first.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3 grower=Aldane
    field Middle 1 0 crop=wheat weed:kochia=0 grower=Brenn
    field South 2 0 crop=wheat weed:kochia=1 grower=Corrin apart:Aldane=thorough
    field East 3 0 crop=wheat weed:kochia=0 grower=Corrin 'apart:Aldane=any full'
    field West 4 0 crop=wheat weed:kochia=0 grower=Corrin after=Far
    field Far 5 0 crop=wheat weed:kochia=0 grower=Corrin 'after=Middle; Near'
    field Near 6 0 crop=wheat weed:kochia=0 grower=Corrin
    field Last 7 0 crop=wheat weed:kochia=0 grower=Corrin 'after=North; Dropped'
    field Dropped 7 1 crop=wheat weed:kochia=0 grower=Corrin
    field Gone -1 0 role=cut crop=wheat weed:kochia=2 grower=Aldane
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-10-31"/>
<machine id="red" yard="Shop"/>
<machine id="blue" yard="Shop"><start field="Gone" cleanout="blowdown"/></machine>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log "$@"; }
log --machine red cut North --from 2026-08-04T09:00 --to 2026-08-06T12:00
log --machine red cut Middle --from 2026-08-07T09:00 --to 2026-08-09T12:00
# Middle lies in between: that ends nothing, nor does a lesser cleanout; a thorough one ends one
# of the rules.
log --machine red cleanout blowdown --by Ann --to 2026-08-09T13:00
log --machine red cut South --from 2026-08-10T09:00 --to 2026-08-12T12:00
log --machine red cleanout thorough --by Ann --to 2026-08-12T15:00
log --machine red cut East --from 2026-08-13T09:00 --to 2026-08-15T12:00
echo 'blue comes from a field of Aldane, with a lesser cleanout' >&2
log strike 4
log --machine blue cut South --from 2026-08-04T09:00 --to 2026-08-06T12:00
echo 'West before Far, of which nothing is known yet' >&2
log --machine blue cut West --from 2026-08-07T09:00 --to 2026-08-09T12:00
echo 'Far after West was begun, and before Near; Middle was done by red' >&2
log --machine blue cut Near --from 2026-08-10T09:00 --to 2026-08-16T12:00
log --machine red cut Far --from 2026-08-15T13:00 --to 2026-08-17T12:00
echo 'Last: nothing is wrong once Dropped is dropped' >&2
log --machine red cut Last --from 2026-08-18T09:00 --to 2026-08-20T12:00
log drop Dropped --to 2026-08-20T13:00
echo 'resume says so again' >&2
seedbreak resume fields.kml season.xml --log season.log >/dev/null
echo 'and so does log show' >&2
log show >/dev/null
echo 'and so does whoever reads the log' >&2
seedbreak check fields.kml season.xml season.log | tr -s '\n ' ' ' |
    grep -o "'[A-Z][a-z]*' \(is kept apart from grower '[A-Z][a-z]*'\|finished at [^,]*, but '[A-Z][a-z]*'\)"
