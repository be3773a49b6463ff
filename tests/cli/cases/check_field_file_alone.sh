two_fields
seedbreak check fields.kml --json >check.json
jq -c '.fields[] | [.name, (.area_ha * 100 | round / 100), .vertices, .holes, .crop, .ratings]' \
    check.json
seedbreak check fields.kml >table.txt
[ "$(wc -L <table.txt)" -le 80 ] && echo 'fits 80 columns'
