# Several machines: rivals are looked for in other seasons, the same in every part of a study.
{
    field North 0 0 crop=wheat weed:kochia=3
    field Middle 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia=2
    field East 3 0 crop=wheat weed:kochia=1
    field West 4 0 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
    point Barn -99.7 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03"/>
<machine id="red" name="Red" yard="Shop"/>
<machine id="blue" name="Blue" yard="Barn" header_m="6" ha_per_hour="2"/>' >season.xml
seedbreak order fields.kml season.xml --quiet --out plan >/dev/null
doubt() { seedbreak doubt fields.kml season.xml --plan plan/plan.json "$@"; }
doubt --samples 300 --out out 2>said | sed -n '/^Against/,/seeds brought/p' | cut -c 1-24 | sed 's/ *$//'
sed 's/ in [0-9][0-9]*/ in N/g' said
# Of each rival there is all that order writes, and trace prices it the same.
ls out | grep -v csv
for name in out/other-*; do
    seedbreak trace fields.kml season.xml --plan "$name/plan.json" --json --quiet | jq .cost.total
done >traced
doubt --samples 300 --json --quiet | jq -r '.total.cost.central as $own | .rivals[].dearer.central + $own' |
    paste - traced | awk '{ gap = $1 - $2; if (gap * gap > 1e-6) print "dearer by", gap }'
# All shares together are the whole.
doubt --samples 300 --json --quiet | jq '([.total.cheapest, .rivals[].cheapest] | add - 1 | fabs) < 1e-12'
# Put together from parts it is the same.
doubt --samples 1-120 --out parts --quiet --threads 1
doubt --samples 121-300 --out parts --quiet
ls parts
doubt --merge parts --json --quiet >merged
doubt --samples 300 --json --quiet | cmp - merged && echo 'the same'
# Named ones are taken as they are, and nothing is looked for.
doubt --samples 50 --against plan/plan.json --json | jq -c '[.rivals[].name]'
