two_fields
seedbreak check fields.kml --json >check.json
jq -c '.fields[] | [.name, (.area_ha * 100 | round / 100), .vertices, .holes, .crop, .ratings]' \
    check.json
seedbreak check fields.kml >table.txt
[ "$(wc -L <table.txt)" -le 80 ] && echo 'fits 80 columns'
# A clean machine is no cleanout on record: what an entry rule will ask for at the first stop.
{
    field Seed 0 0 crop=wheat weed:kochia=1 entry=deep
} | kml >entry.kml
seedbreak check entry.kml | grep -A 1 'on record'
seedbreak check entry.kml | grep -A 2 'calendar:'
