# Weedy patches: cut with their field, cut last, or left standing; hostile ones are refused by line.
export SOURCE_DATE_EPOCH=1785600000
fields() {
    field North 0 0 crop=wheat weed:kochia:plants_m2=0.06
    field Middle 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia=0
    field East 4 1 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
}
corner='-100,48 -99.998,48 -99.998,48.0014 -100,48.0014 -100,48'
{
    fields
    ring Corner "$corner" role=patch field=North weed:kochia:plants_m2=2
    point Strip -99.94 48.001 role=patch field=Middle side=west width_m=30 weed:kochia:plants_m2=0.1
} | kml >fields.kml
says seedbreak order fields.kml --patches --out plan | sed '/^Combine: /,$d'
jq -r '.machines[0].stops[] | [.field, .cleanout] | @tsv' plan/plan.json
# What becomes of a patch can be said: in the field file, or laid over it.
season '<field name="Corner" patch="last"/><field name="Strip" patch="leave"/>' >season.xml
seedbreak check fields.kml season.xml --json --quiet |
    jq -r '.fields[] | [.name, (.area_ha * 100 | round / 100), .ratings.kochia] | @tsv'
seedbreak order fields.kml season.xml --json --quiet |
    jq -r '.machines[0].stops[].field, (.patches[] | [.name, .patch, (.worth | round)] | @tsv)'
seedbreak order fields.kml season.xml --quiet | grep -A1 'Left standing'
refused() {
    { fields; cat; } | kml >bad.kml
    says seedbreak order bad.kml --quiet
}
ring Out '-101,48 -100.9,48 -100.9,48.1 -101,48' role=patch field=North | refused
ring Half '-100.002,48 -99.998,48 -99.998,48.001 -100.002,48.001 -100.002,48' role=patch field=North | refused
ring Lost "$corner" role=patch field=Nroth | refused
ring Nowhere "$corner" role=patch | refused
ring Kept "$corner" role=patch field=North patch=burn | refused
ring East "$corner" role=patch field=North | refused
ring Whole '-100,48 -99.9893,48 -99.9893,48.0072 -100,48.0072 -100,48' role=patch field=North | refused
{
    ring One "$corner" role=patch field=North
    ring Two "$corner" role=patch field=North
} | refused
point Side -100 48 role=patch field=North side=up width_m=20 | refused
point Wide -100 48 role=patch field=North side=north width_m=-2 | refused
{ fields; } | kml >plain.kml
says seedbreak order plain.kml --patches --quiet
says seedbreak order plain.kml --patches --by shortest-road --quiet
