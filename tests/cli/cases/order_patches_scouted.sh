# Patches that nobody drew: the scouting points of a field outline them, and a file has them after.
export SOURCE_DATE_EPOCH=1785600000
scouted() {
    point "$1" "$2" "$3" role=scout "weed:kochia:plants_m2=$4"
}
fields() {
    field North 0 0 crop=wheat
    field Middle 1 0 crop=wheat weed:kochia=0 after=North
    field South 2 0 crop=wheat weed:kochia=0 after=North
    field East 4 1 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
    # Three classes of the scale above the others: two side by side, and one in the other corner.
    scouted P1 -99.9985 48.0010 3
    scouted P2 -99.9965 48.0010 1
    scouted P3 -99.9905 48.0060 2
    local i
    for i in 1 2 3 4 5 6 7; do
        scouted "Q$i" "-99.99$((10 - i))" 48.0036 0.003
    done
}
fields | kml >fields.kml
says seedbreak order fields.kml --patches --out plan | sed '/^Combine: /,$d'
# The three are three tenths of the points, and of the land.
jq -r '.patches[] | [.name, .field, .patch, (.area_ha * 100 | round / 100)] | @tsv' plan/plan.json
grep -o '<name>.*</name>\|<Data name="patch">\|<value>[a-z]*</value>\|weed:[a-z:_0-9]*' plan/patches.kml
# With them the plan can be traced, and costs what it was said to.
seedbreak trace fields.kml plan/patches.kml --plan plan/plan.json --json --quiet >traced.json
jq -n --slurpfile a plan/plan.json --slurpfile b traced.json \
    '(($a[0].cost.total - $b[0].cost.total) | fabs) < 0.005'
# A field with a patch that somebody drew keeps to that.
{
    fields
    ring Corner '-100,48 -99.998,48 -99.998,48.0014 -100,48.0014 -100,48' role=patch field=North \
        weed:kochia:plants_m2=2
} | kml >drawn.kml
rm -r plan
seedbreak order drawn.kml --patches --quiet --out plan --json | jq -c '[.patches[].name]'
[ -e plan/patches.kml ] || echo 'nothing proposed'
# Where points differ by a class, or most are dense, the field is as weedy as its mean.
{
    field North 0 0 crop=wheat
    scouted P1 -99.9985 48.0010 0.5
    scouted P2 -99.9965 48.0010 0.05
    scouted P3 -99.9905 48.0060 0.05
} | kml >even.kml
says seedbreak order even.kml --patches --quiet
