# shellcheck shell=bash
# Small files for the cases. Fields are squares of 64 ha, a few km apart, nowhere in particular.

# data KEY=VALUE...: the attributes of a feature
data() {
    local pair
    printf '<ExtendedData>'
    for pair in "$@"; do
        printf '<Data name="%s"><value>%s</value></Data>' "${pair%%=*}" "${pair#*=}"
    done
    printf '</ExtendedData>'
}

# field NAME COLUMN ROW [KEY=VALUE...]: a square field on a grid of 0.05 degrees
field() {
    local name=$1 west south east north
    west=$(awk -v c="$2" 'BEGIN { printf "%.4f", -100 + c * 0.05 }')
    south=$(awk -v r="$3" 'BEGIN { printf "%.4f", 48 + r * 0.05 }')
    east=$(awk -v x="$west" 'BEGIN { printf "%.4f", x + 0.0107 }')
    north=$(awk -v y="$south" 'BEGIN { printf "%.4f", y + 0.0072 }')
    shift 3
    printf '<Placemark><name>%s</name>%s' "$name" "$(data "$@")"
    printf '<Polygon><outerBoundaryIs><LinearRing><coordinates>'
    printf '%s,%s %s,%s %s,%s %s,%s %s,%s' "$west" "$south" "$east" "$south" "$east" "$north" \
        "$west" "$north" "$west" "$south"
    printf '</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>\n'
}

# ring NAME COORDINATES [KEY=VALUE...]: a field with the outline given
ring() {
    local name=$1 coordinates=$2
    shift 2
    printf '<Placemark><name>%s</name>%s' "$name" "$(data "$@")"
    printf '<Polygon><outerBoundaryIs><LinearRing><coordinates>%s' "$coordinates"
    printf '</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>\n'
}

# point NAME LON LAT [KEY=VALUE...]
point() {
    local name=$1 lon=$2 lat=$3
    shift 3
    printf '<Placemark><name>%s</name>%s<Point><coordinates>%s,%s</coordinates></Point></Placemark>\n' \
        "$name" "$(data "$@")" "$lon" "$lat"
}

# kml: wraps the features on stdin, one a line from line 3 on
kml() {
    printf '<kml xmlns="http://www.opengis.net/kml/2.2">\n<Document>\n'
    cat
    printf '</Document>\n</kml>\n'
}

# season TEXT: a season file with the elements given, they begin on line 2
season() {
    printf '<season xmlns="urn:seedbreak:season:1">\n%s\n</season>\n' "$1"
}

# two_fields: two wheat fields, the first with kochia
two_fields() {
    {
        field North 0 0 crop=wheat weed:kochia=2
        field South 0 -1 crop=wheat
    } | kml >fields.kml
}

# growers_fields: fields of three growers and of nobody; clean ones must be cut after weedy ones
growers_fields() {
    {
        field Dirty 0 0 crop=wheat grower=Ash weed:kochia=3
        field Weedy 1 -1 crop=wheat grower=Birch weed:kochia=2
        field North 1 0 crop=wheat grower=Birch after=Dirty
        field South 0 -1 crop=wheat grower=Cedar after=Weedy
        field East 2 0 crop=wheat grower=Birch
        field West -1 0 crop=wheat after=Dirty
        point Shop -99.9947 48.0036 role=yard
    } | kml >fields.kml
}

# says COMMAND...: its exit code, so that one case can try several
says() {
    local code=0
    "$@" || code=$?
    echo "exit $code"
}
