# Why a move is as it is: of one field, of all, and in plan.json the same numbers.
two_fields
seedbreak order fields.kml --quiet --json >plan.json
seedbreak trace fields.kml --quiet --plan plan.json --why South
seedbreak trace fields.kml --quiet --plan plan.json --why all | grep -c '^[12] '
seedbreak order fields.kml --quiet --why all | awk 'length > 80 { print "too long: " $0 }'
jq -c '.machines[0].stops[1].why | [(.levels | keys), (.from | length), .nearer, .later]' plan.json
seedbreak trace fields.kml --quiet --plan plan.json --why Suoth
seedbreak trace fields.kml --quiet --plan plan.json --why all --json
