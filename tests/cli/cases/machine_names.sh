# A machine is called by its id or its name, short and in either case; tables show both once.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3
    field South 2 0 crop=wheat weed:kochia=1
    point Depot -100.1 48 role=yard
    point Ridge -100.2 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-10-31"/>
<machine id="big" name="Depot combine" yard="Depot" ha_per_hour="5"/>
<machine id="hill" name="Ridge combine" yard="Ridge" ha_per_hour="3"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log --quiet "$@"; }
echo '-- by name, by its beginning, by id'
log --machine "DEPOT combine" cut North --part --ha 2 --from 2026-08-04T09:00 --to 2026-08-04T10:00
log --machine depot cut North --part --ha 2 --from 2026-08-04T10:00 --to 2026-08-04T11:00
log --machine BIG cut North --from 2026-08-04T11:00 --to 2026-08-05T12:00
echo '-- nobody, somebody else, one of two'
says log cut South --to 2026-08-05T12:00
says log --machine "Depo combin" cut South --to 2026-08-05T12:00
says log --machine green cut South --to 2026-08-05T12:00
season '<machine id="r1" name="Ridge combine"/><machine id="r2" name="Ridge combine"/>' >twins.xml
says seedbreak order fields.kml twins.xml --machine ridge
echo '-- where the crew meets them'
seedbreak resume fields.kml season.xml --log season.log --quiet --machine "ridge combine" |
    grep -e combine -e error
seedbreak order fields.kml season.xml --quiet --out out | grep combine
seedbreak trace fields.kml season.xml --quiet --plan out/plan.json --board | grep -A 3 Hours
seedbreak trace fields.kml season.xml --quiet --plan out/plan.json --checklist | grep combine
seedbreak check fields.kml season.xml --quiet | grep combine
grep -o '<h3>.*combine.*</h3>' out/season.html
