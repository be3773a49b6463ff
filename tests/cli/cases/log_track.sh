# The timed track of a receiver as log entries: fields matched, passes left out, all or none.
export SOURCE_DATE_EPOCH=1785600000 TZ=America/Chicago
{
    field North 0 0 crop=wheat weed:kochia=1
    field East 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<machine id="red" yard="Shop" header_m="10"/>' >season.xml
says() {
    local code=0
    "$@" || code=$?
    [ "$code" = 0 ] || echo "exit $code" >&2
}
log() { says seedbreak log fields.kml season.xml --log season.log --quiet "$@"; }
# walk LON LAT NORTHWARD_SWATHS START [SHARE]: up and down, ten metres apart, 1.5 m/s, from a square's
# south-west corner, as track points every 15 s; START in seconds since 2026-08-06T12:00Z.
walk() {
    awk -v lon="$1" -v lat="$2" -v swaths="$3" -v t="$4" 'BEGIN {
        high = 0.0072; step = 22.5 / 111200; apart = 10 / 74500
        for (s = 0; s < swaths; s++)
            for (y = step; y < high - step; y += step) {
                print t, lat + (s % 2 ? high - y : y), lon + apart * (s + 0.5)
                t += 15
            }
    }'
}
gpx() {
    echo '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="test"><trk><trkseg>'
    awk 'NF == 0 { print "</trkseg><trkseg>"; next }
        { printf "<trkpt lat=\"%.7f\" lon=\"%.7f\"><time>%s</time></trkpt>\n", $2, $3,
            strftime("%Y-%m-%dT%H:%M:%SZ", 1786017600 + $1, 1) }'
    echo '</trkseg></trk></gpx>'
}
{
    walk -100 48 80 0
    # Through East and out again: three minutes.
    walk -99.95 48 3 80000 | head -12
    echo
    walk -99.9 48 30 90000
} >track
gpx <track >run.gpx
log track run.gpx --dry-run
ls season.log 2>&1
log track run.gpx
log track run.gpx
# Next day the rest of South, in two stays with a night between them.
{
    walk -99.8959 48 20 170000
    walk -99.8933 48 28 240000
} | gpx >rest.gpx
log track rest.gpx
log show
seedbreak record fields.kml season.xml --log season.log --quiet | cut -d, -f2-4,6-7,9 | grep ,cut,
# The whole season's track: what the log has is passed by, what is new is written.
{
    cat track
    walk -99.95 48 80 300000
} | gpx >season.gpx
cp season.log whole.log
says seedbreak log fields.kml season.xml --log whole.log --quiet track season.gpx
says seedbreak log fields.kml season.xml --log whole.log --quiet track season.gpx
# A patch is a field of its own where it is cut last, and no field where it is left standing: the
# passes count where they lie. Parts of a split field have no outline.
patches() {
    {
        field North 0 0 crop=wheat weed:kochia=1
        field East 1 0 crop=wheat weed:kochia=0
        echo "<Placemark><name>Corner</name><ExtendedData><Data name=\"role\"><value>patch</value></Data>
            <Data name=\"field\"><value>North</value></Data><Data name=\"patch\"><value>$1</value></Data>
            </ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>-100,48 -99.9973,48
            -99.9973,48.0072 -100,48.0072 -100,48</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
        point Shop -100.1 48 role=yard
    } | kml >patched.kml
    says seedbreak log patched.kml season.xml --log patched.log --quiet track corner.gpx --dry-run
}
{
    walk -99.9972 48 55 0
    echo
    walk -99.9999 48 19 90000
} | gpx >corner.gpx
patches last
patches leave
patches cut
{
    field North 0 0 crop=wheat weed:kochia=1 split=2
    point Shop -100.1 48 role=yard
} | kml >split.kml
says seedbreak log split.kml season.xml --log split.log --quiet track corner.gpx
# What cannot be: the log stays as it was.
cp season.log before.log
sed 's|<time>[^<]*</time>||' rest.gpx >untimed.gpx
log track untimed.gpx
sed '0,/T11:13:20Z/s//T11:13:50Z/' rest.gpx >back.gpx
log track back.gpx
sed 's|<time>2026[^<]*</time>|<time>noon</time>|' rest.gpx >noon.gpx
log track noon.gpx
walk -99.95 48 80 1000 | gpx >early.gpx
log track early.gpx
walk -99.95 48 1 300000 | gpx >pass.gpx
log track pass.gpx
{
    walk -99.95 48 5 300000
    echo
    walk -99.95 48 5 300060
} | gpx >twice.gpx
log track twice.gpx
echo '<gpx><wpt lat="48" lon="-100"><time>2026-08-06T12:00:00Z</time></wpt></gpx>' >point.gpx
log track point.gpx
printf '<!DOCTYPE gpx [<!ENTITY a "b">]><gpx>&a;</gpx>' >entity.gpx
log track entity.gpx
sed 's/lat="48/lat="148/' early.gpx >off.gpx
log track off.gpx
log track fields.kml
log track nowhere.gpx
log track
log drop East --dry-run
cmp season.log before.log
log drop East --to 2026-08-12T12:00
walk -99.95 48 80 300000 | gpx >dropped.gpx
log track dropped.gpx --dry-run
