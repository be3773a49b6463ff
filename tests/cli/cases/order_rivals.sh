# The rivals cost at least as much; keeping the order of the cheapest plan finds that plan again.
for i in 0 1 2 3 4 5 6; do
    field "F$i" $((i * 5 % 4)) $((i * 3 % 5)) crop=wheat "weed:kochia=$((i % 3))"
done | kml >fields.kml
total() { seedbreak order fields.kml --quiet --json "$@" | jq .cost.total; }
seedbreak order fields.kml --quiet --json >plan.json
cheapest=$(jq .cost.total plan.json)
road=$(total --by shortest-road)
clean=$(total --by cleanest-first)
kept=$(total --keep-order plan.json)
jq -n "[$road >= $cheapest, $clean >= $cheapest, ($kept - $cheapest | fabs) < 1e-6]" | jq -c .
seedbreak order fields.kml --quiet --by shortest-road | grep '^The order was given'
seedbreak order fields.kml --quiet --keep-order plan.json | grep '^The order was given'
seedbreak trace fields.kml --quiet --plan plan.json | grep '^Priced as given'
says seedbreak order fields.kml --by fastest
says seedbreak order fields.kml --by shortest-road --keep-order plan.json
