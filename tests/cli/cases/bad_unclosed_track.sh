cat >track.gpx <<'GPX'
<gpx version="1.1" creator="case" xmlns="http://www.topografix.com/GPX/1/1">
<trk><name>Walked</name>
<trkseg>
<trkpt lat="48.000" lon="-100.000"/><trkpt lat="48.000" lon="-99.990"/>
<trkpt lat="48.007" lon="-99.990"/><trkpt lat="48.007" lon="-100.000"/>
</trkseg></trk></gpx>
GPX
seedbreak check track.gpx
