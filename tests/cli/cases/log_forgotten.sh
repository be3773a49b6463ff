# What was forgotten takes its place in time; what follows is worked out anew; nothing is lost.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3
    field Middle 1 0 crop=wheat weed:kochia=0 entry=thorough
    field South 2 0 crop=wheat weed:kochia=1
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-10-31"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log "$@"; }
brought() { seedbreak record fields.kml season.xml --log season.log --quiet | grep -c "Middle,.*,brought,"; }
log cut North --from 2026-08-04T09:00 --to 2026-08-05T12:00
log cut Middle --from 2026-08-07T09:00 --to 2026-08-08T12:00
echo '-- the cleanout between them'
brought
says log cleanout thorough --by Ann --to 2026-08-06T16:00
log cleanout thorough --by Ann --to 2026-08-06T16:00 --forgotten
cp season.log three.log
echo '-- it counts for the field behind it, and the doubt about that is gone'
seedbreak record fields.kml season.xml --log season.log --quiet | cut -d, -f2-5 | uniq
seedbreak check fields.kml season.xml season.log --quiet >/dev/null
echo '-- in the middle of a cut it cannot have been, nor before itself'
says log cleanout blowdown --by Ann --from 2026-08-04T12:00 --to 2026-08-04T13:00 --forgotten
says log drop South --to 2026-08-04T12:00 --forgotten
echo '-- a cut before the cleanout, which then comes too late for that field'
says log cut South --from 2026-08-06T16:30 --to 2026-08-06T18:00 --part --ha 5 --forgotten
log show
echo '-- what follows is as if it had been written in time'
standing() { seedbreak resume fields.kml season.xml --log "$1" --quiet | grep -v Proven; }
standing season.log >forgotten.txt
{
    intime() { seedbreak log fields.kml season.xml --log intime.log --quiet "$@"; }
    intime cut North --from 2026-08-04T09:00 --to 2026-08-05T12:00
    intime cleanout thorough --by Ann --to 2026-08-06T16:00
    intime cut South --from 2026-08-06T16:30 --to 2026-08-06T18:00 --part --ha 5
    intime cut Middle --from 2026-08-07T09:00 --to 2026-08-08T12:00
} >/dev/null 2>&1
standing intime.log | diff - forgotten.txt && echo same
echo '-- sealed like every entry'
sed 's/ before="2"//' season.log >moved.log
says seedbreak check fields.kml season.xml moved.log --quiet
