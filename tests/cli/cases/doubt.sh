# How sure a plan is: the table fits the page, the JSON says the same, whatever the threads.
{
    field North 0 0 crop=wheat weed:kochia=3
    field South 0 -1 crop=wheat weed:kochia=2 weed:wild_oat=1
    field East 1 0 crop=wheat weed:wild_oat=3
} | kml >fields.kml
seedbreak order fields.kml --quiet --out plan >/dev/null
doubt() { seedbreak doubt fields.kml --quiet --plan plan/plan.json --samples 400 "$@"; }
doubt >table.txt
[ "$(wc -L <table.txt)" -le 80 ] && echo 'fits 80 columns'
# (a road and its reverse are as short, so which of them is the rival may change)
grep -v '^shortest-road' table.txt
doubt --json --threads 1 >one.json
doubt --json --threads 2 | cmp - one.json
doubt --json --seed 2 | cmp -s - one.json || echo 'another seed, other seasons'
jq -c '.format, .version, .last, (.total | keys), [.fields[].field], [.rivals[].name]' one.json
# A plan against itself is never beaten and never beats.
doubt --json --against plan/plan.json | jq -c '.rivals[0].beaten, .rivals[0].dearer.p95'
