# A key of an added field that is typed wrong: the keys near it are offered, unless a weed is nearer.
two_fields
add() {
    says seedbreak log fields.kml --log season.log add Fern lon=-99.9 lat=48.05 area_ha=20 "$@" \
        --to 2026-08-03T10:00 --quiet
}
add cropp=wheat
add crop=wheat redy=2026-08-20
add crop=wheat kocha=2
add crop=wheat xyzzy=2
says seedbreak log fields.kml --log season.log add Fern lon=-99.9 latt=48.05 area=20 --quiet
ls
