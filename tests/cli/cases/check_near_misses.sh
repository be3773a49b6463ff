# Keys and notes that nearly say something are passed by, and told.
{
    field North 0 0 crop=wheat redy=2026-08-01 ryegrass=3 weed:kochia=1 owner=x
    field South 0 -1 crop=wheat redy=2026-08-01 weed:kochia=0
} | kml >fields.kml
cat >scouting.gpx <<'END'
<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="hand">
<wpt lat="48.003" lon="-99.995"><name>P1</name><desc>ryegrass 3</desc></wpt>
<wpt lat="48.004" lon="-99.995"><name>P2</name><desc>deep rut</desc></wpt>
</gpx>
END
seedbreak check fields.kml scouting.gpx --json | jq -r '.warnings[] | "\(.file):\(.line): \(.text)"'
