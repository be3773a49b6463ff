# Plans stand side by side, at most four beside each other and 80 columns wide.
two_fields
seedbreak order fields.kml --quiet --json >best.json
jq '.machines[0].stops |= reverse' best.json >turned.json
seedbreak trace fields.kml --quiet --plan best.json --plan turned.json --by shortest-road
seedbreak trace fields.kml --quiet --plan best.json --plan turned.json --plan best.json \
    --by shortest-road --by cleanest-first --by cost >six.txt
awk 'length > 80 { print "too long: " $0 }' six.txt
grep -c '^Total' six.txt
seedbreak trace fields.kml --quiet --plan best.json --plan turned.json --json |
    jq -c '.format, [.plans[] | [.name, .dearer > 0, .rules_broken, (.machines[0].stops | length)]]'
seedbreak trace fields.kml --plan best.json --by shortest-road --out out
seedbreak trace fields.kml --quiet
