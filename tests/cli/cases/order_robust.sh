# A plan that holds up: what the insurance costs, and that its sums are right.
{
    field North 0 0 crop=wheat weed:kochia=3
    field South 0 -1 crop=wheat weed:kochia=2 weed:wild_oat=1
    field East 1 0 crop=wheat weed:wild_oat=3
    field West -1 1 crop=wheat weed:kochia=1 weed:wild_oat=2
} | kml >fields.kml
for aim in mean worst20; do
    seedbreak order fields.kml --quiet --json --robust "$aim" --samples 10 >$aim.json
    jq -c '.robust | .aim, .scenarios, .bound <= .value, .value <= .cheapest_value, .judged' \
        $aim.json
    # The plan is an ordinary one: trace prices it the same.
    seedbreak trace fields.kml --quiet --json --plan $aim.json |
        jq --slurpfile robust $aim.json '.cost.total - $robust[0].cost.total | fabs < 1e-9'
done
seedbreak order fields.kml --quiet --json --robust mean --samples 10 --threads 1 |
    jq 'del(.proof.seconds)' | cmp - <(jq 'del(.proof.seconds)' mean.json)
seedbreak order fields.kml --quiet --json |
    jq --slurpfile robust mean.json '.cost.total == $robust[0].robust.cheapest_cost'
seedbreak order fields.kml --quiet --robust mean --samples 10 | grep -A 3 'Made for'
says seedbreak order fields.kml --robust most
says seedbreak order fields.kml --robust mean --by shortest-road
says seedbreak order fields.kml --robust mean --samples 5-9
says seedbreak order fields.kml --robust mean --samples 1001
