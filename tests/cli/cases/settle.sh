# Two growers, one foul field: who gives, who pays, and the files beside it.
{
    field Foul 0 0 crop=wheat weed:kochia=3 grower=Ash
    field Clean 1 0 crop=wheat weed:kochia=0 grower=Birch
    field Far 3 2 crop=wheat weed:kochia=1 grower=Birch
} | kml >fields.kml
seedbreak order fields.kml --quiet --json >plan.json
seedbreak settle fields.kml --plan plan.json --quiet --out out
ls out
cut -d, -f1-3 out/settlement.csv
head -2 out/exchange.csv | cut -d, -f1-3
seedbreak settle fields.kml --plan plan.json --quiet --json >settlement.json
cmp settlement.json out/settlement.json
total=$(jq .cost.total plan.json)
jq -c --argjson total "$total" '[.growers[].fair_share] | add - $total | fabs < 1e-6' settlement.json
jq -c --argjson total "$total" '[.growers[].bears.plan] | add - $total | fabs < 1e-6' settlement.json
says seedbreak settle fields.kml
says seedbreak settle fields.kml --plan plan.json --by cost
