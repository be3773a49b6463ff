# The same input and seed give the same plan, whatever the number of threads.
for i in 0 1 2 3 4 5 6 7; do
    field "F$i" $((i * 5 % 4)) $((i * 3 % 5)) crop=wheat "weed:kochia=$((i % 3))"
done | kml >fields.kml
plan() { seedbreak order fields.kml --quiet --json --seed 7 "$@" | jq '[.cost, .machines]'; }
plan --threads 1 >one.json
plan --threads 2 | cmp - one.json
plan --threads 2 | cmp - one.json
