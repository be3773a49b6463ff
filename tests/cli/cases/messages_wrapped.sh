# On a terminal messages are broken at 80 columns, file and line in one piece; elsewhere one is a line.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=1
    point Shop -100.1 48 role=yard
} | kml >fields.kml
seedbreak log fields.kml --log l.log --quiet cut North --to 2026-08-05T17:00 --left 5 >log.txt
says='record fields.kml --log l.log --out record'
script -qec "seedbreak $says" /dev/null | tr -d '\r'
echo
seedbreak $says 2>&1 | grep stay
echo
script -qec 'seedbreak log fields.kml --log l.log frobnicate >/dev/null' /dev/null | tr -d '\r'
true
