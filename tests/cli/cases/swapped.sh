# Longitude and latitude swapped where both are possible latitudes, as in Europe: what lies near when
# read the other way round says so, be it a vertex, a field, half the fields or all of them.

# feld NAME LON LAT ORDER [KEY=VALUE...]: a field of 18.29 ha; ORDER is right or swapped
feld() {
    local name=$1 lon=$2 lat=$3 order=$4
    shift 4
    ring "$name" "$(awk -v x="$lon" -v y="$lat" -v order="$order" 'BEGIN {
        n = split("0 0 1 0 1 1 0 1 0 0", corner, " ")
        for (i = 1; i < n; i += 2) {
            lon = sprintf("%.3f", x + 0.006 * corner[i])
            lat = sprintf("%.3f", y + 0.004 * corner[i + 1])
            printf "%s ", order == "right" ? lon "," lat : lat "," lon
        }
    }')" crop=wheat "$@"
}
# felder NORTHERN SOUTHERN: two fields of each order
felder() {
    feld Lerchenberg 10.50 52.15 "$1" weed:kochia=2
    feld Moorweg 10.52 52.14 "$1"
    feld Kuhkamp 10.46 52.08 "$2"
    feld "Hohes Feld" 10.55 52.09 "$2"
}
gpx() {
    printf '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"'
    printf ' xmlns:sb="urn:seedbreak:field:1">\n'
    for place in 'lat="52.152" lon="10.503"' 'lat="52.082" lon="10.463"'; do
        printf '<wpt %s><extensions><sb:weed id="kochia" plants_m2="0.5"/></extensions></wpt>\n' "$place"
    done
    printf '</gpx>\n'
}
# doubts FILE...: what check doubts of places
doubts() {
    echo "$*"
    seedbreak check "$@" | sed -n '/^Doubtful/,/^$/p' | grep -v -e '^$' -e ' unrated' -e 'without a sc' \
        -e 'taken as' -e '^  clean' -e 'in 1 of 1'
}

point Hof 10.5 52.11 role=yard | kml >yard.kml
gpx >walks.gpx
felder right right | kml >right.kml
felder swapped swapped | kml >fields.kml
felder right swapped | kml >half.kml
{ felder right right && feld Insel 10.51 52.11 swapped; } | kml >one.kml
{ feld Lerchenberg 10.50 52.15 right && feld Kuhkamp 10.46 52.08 swapped; } | kml >two.kml
{ felder right right | sed '2s/10.526,52.144/52.144,10.526/'; } | kml >vertex.kml
{ felder right right && feld Areal 10.51 52.11 swapped area_ha=18.3; } | sed '$!d' | kml >area.kml
{ felder right right && point Fern 30 -20 area_ha=20; } | kml >far.kml
doubts right.kml yard.kml walks.gpx
doubts fields.kml yard.kml
doubts fields.kml walks.gpx
doubts fields.kml yard.kml walks.gpx
doubts half.kml
doubts one.kml
doubts two.kml
doubts vertex.kml
doubts area.kml
doubts far.kml
