# trace prices what order found the same, and less of it is not needed.
two_fields
seedbreak order fields.kml --quiet --json >plan.json
seedbreak trace fields.kml --quiet --json --plan plan.json >again.json
jq -n --slurpfile a plan.json --slurpfile b again.json \
    '($a[0].cost.total - $b[0].cost.total | fabs) < 1e-9 * $a[0].cost.total'
jq '{format, version, machines: [.machines[] | {id, stops: [.stops[] | {field, cleanout}]}]}' \
    plan.json >by_hand.json
seedbreak trace fields.kml --quiet --json --plan by_hand.json --out out | cmp - again.json
ls out
