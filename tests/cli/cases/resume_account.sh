# Against an earlier plan resume says what each entry since costs: what happened apart from what was
# found out. Also against a plan that itself went on from the log, and when nothing is left to cut.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=3 best_before=2026-08-05
    field Middle 1 0 crop=wheat weed:kochia=0 best_before=2026-08-06
    field South 2 0 crop=wheat weed:kochia=2 best_before=2026-08-06
    field East 4 1 crop=wheat weed:kochia=0
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03"/>
<machine id="red" name="Red" yard="Shop" final_cleanout="deep"/>' >season.xml
log() { seedbreak log fields.kml season.xml --log season.log --quiet "$@" >log.txt || cat log.txt >&2; }
resume() { seedbreak resume fields.kml season.xml --log season.log --quiet "$@"; }
against() { resume --plan "$@" | sed -n '/^To come/,/^$/{/^$/d;p};/^What that is made of/,/^$/p'; }
seedbreak order fields.kml season.xml --out plan --quiet >plan.txt
jq -r '.machines[0].stops[] | [.field, .cleanout, .finish] | @tsv' plan/plan.json
jq 'has("so_far")' plan/plan.json
echo
# Two days of rain cost what the grain loses; the work itself went as planned.
log cut East --to 2026-08-04T20:34
log lost 2026-08-06 2026-08-07 --why rain
against plan/plan.json --out rained
jq '.so_far | .entries, (.seal | length), .spent > 0, .standing' rained/plan.json
# Against the plan made after the rain that is no news, and only what came since is told.
against rained/plan.json
log rating Middle kochia=3 --to 2026-08-08T08:00
against rained/plan.json
# The price of a rating: the old order with it against the old order without it.
row=$(resume --plan rained/plan.json | sed -n "s/^ *3 'Middle' rated.* \([0-9,]*\) USD$/\1/p")
resume --plan rained/plan.json | tr '\n' ' ' |
    sed 's/.*To come: \([0-9,.]*\) USD.*old order would *cost \([0-9,.]*\) USD.*/\1 \2\n/' | tr -d , >with
sed '/<rating/d' season.log >without.log
seedbreak resume fields.kml season.xml --log without.log --quiet --json | jq '.cost.total' >without
awk -v row="$(printf %s "$row" | tr -d ,)" 'NR == FNR { with = $1 + $2; next }
    { gap = with - $1 - row; print (gap * gap < 4 ? "the row is their difference" : "off by " gap) }' with without
# A wrong entry, struck; a field given up; seeds found on a tarp with its cleanout.
log rating South kochia=4 --to 2026-08-08T08:10
log strike 4
log drop South --to 2026-08-08T08:20 --why hail
log cut Middle --to 2026-08-10T12:00
log cleanout deep kochia=900 --tarp-kg 55 --sample-kg 0.5 --by Ann --to 2026-08-10T18:00
against rained/plan.json
# Not a plan of this log.
jq '.so_far.seal |= "0" + .[1:]' rained/plan.json >other.json
seedbreak resume fields.kml season.xml --log season.log --plan other.json 2>said | sed -n '/^To come/,/^$/p'
grep other said
seedbreak resume fields.kml season.xml --log season.log --quiet --from 2099-01-01T00:00
# A plan that was to wait until then, or that says nothing: told as far as it can be.
for change in '.so_far.from = "2099-01-01T00:00"' '.so_far.from = "soon"' 'del(.cost)'; do
    jq "$change" rained/plan.json >other.json
    against other.json
done
# The same as JSON: every row of the table with its money to the cent, and what it adds up to.
table() {
    resume --plan "$1" | sed -n '/^What that is made of/,/^$/p' | tr -d , |
        grep -o ' -\?[0-9]* USD$\|breaks a rule$\|not known$' | sed 's/ USD//; s/^ *//'
}
resume --plan rained/plan.json --json >against.json
jq '.against | keys_unsorted' -c against.json
jq -r '.against.made_of[] | [.what, .entry, .breaks_rule, .text] | @tsv' against.json
jq -r '.against | (.made_of | (map(select(.what != "found")) + map(select(.what == "found")))[]
    | select(.entry != null or .costs == null or (.costs | fabs) >= 0.5) | .costs | round), (.together | round)' \
    against.json >cents
table rained/plan.json | diff - cents && echo 'the same in the table'
jq '.against | (.spent + .standing + .to_come - .in_all | fabs) < 1e-6,
    (([.made_of[].costs] | add) - .together | fabs) < 1e-6' against.json
# Without the log that plan is none for these fields, and says for whom it is.
seedbreak trace fields.kml season.xml --plan rained/plan.json 2>&1 >/dev/null | tail -n 1
# Nothing is left: what it came to, and the last clean to tick off.
log cut North --to 2026-08-12T12:00
against rained/plan.json
resume --checklist | sed -n '1,/^Red ends/p'
resume --board
resume --json --plan rained/plan.json | jq -c '.machines[0].stops, .against.same, (.against.made_of | length)'
resume --json --out none | jq -c 'has("against")'
resume --json --out none | jq -c '.status, .cost.cleanout, .machines[0].stops'
ls none 2>&1 || true
log cleanout deep --by Ann --place Shop --to 2026-08-13T18:00
resume --checklist | head -3
