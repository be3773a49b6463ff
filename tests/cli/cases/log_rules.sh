# A cut that a rule of the files forbids is taken, since it was done, but not passed over.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3
    field Middle 1 0 crop=wheat weed:kochia=0 entry=thorough
    field South 2 0 crop=wheat weed:kochia=1 entry=blowdown
    field East 3 0 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03" end="2026-10-31"/>
<machine id="wide" yard="Shop" ha_per_hour="5" header_m="12"/>
<machine id="old" yard="Shop" ha_per_hour="5" header_m="6"/>
<field name="East" gate_m="8"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log "$@"; }
log --machine wide cut North --from 2026-08-04T09:00 --to 2026-08-05T12:00
log --machine wide cut Middle --from 2026-08-06T09:00 --to 2026-08-07T12:00
log --machine wide cleanout thorough --by Ann --to 2026-08-07T16:00
log --machine wide cut South --from 2026-08-10T09:00 --to 2026-08-11T12:00
log --machine wide cut East --from 2026-08-12T09:00 --to 2026-08-13T12:00
echo 'resume says so again' >&2
seedbreak resume fields.kml season.xml --log season.log >/dev/null
