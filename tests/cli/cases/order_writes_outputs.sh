two_fields
seedbreak order fields.kml --quiet --out plan >table.txt
ls plan
jq -r '.format, .version, .status' plan/plan.json
seedbreak order fields.kml --quiet --json | jq .cost >printed.json
jq .cost plan/plan.json | cmp - printed.json
