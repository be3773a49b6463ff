# Plans that only a limit on money picks: in the table, in all files, and nowhere unasked.
export SOURCE_DATE_EPOCH=1785600000
fields() {
    field North 0 0 crop=wheat weed:kochia:plants_m2=0.06
    field Middle 1 0 crop=wheat weed:kochia=0
    field South 2 0 crop=wheat weed:kochia:plants_m2=0.004
    field East 4 1 crop=wheat weed:kochia=0
    field West 5 2 crop=wheat weed:kochia:plants_m2=0.01
    point Shop -100.1 48 role=yard
}
fields | kml >fields.kml
seedbreak weigh fields.kml --every-plan --out every --quiet | sed 's/([0-9.]* s)/(S s)/' | sed '/^What one more/,/^Step by step/d'
jq -r '.asked.every_plan, .open_stretches, (.points[] | [.proven, .weights == null, (.money | round), (.spread | round)] | @tsv)' every/curve.json
cut -d, -f1,2,12,13,14 every/curve.csv | grep -c '^between,[0-9]*,,,yes'
grep -o 'only under a limit on money' every/curve.svg | sort | uniq -c
grep -o 'only under a limit on money' every/season.html | sort | uniq -c
# Unasked, the curve is what it was.
seedbreak weigh fields.kml --out plain --quiet >plain.txt
grep -c 'by limit' plain.txt
jq -c '.asked.every_plan, has("open_stretches"), .points == null' plain/curve.json
diff <(jq '[.points[] | select(.weights != null) | .money]' every/curve.json) <(jq '[.points[].money]' plain/curve.json) && echo corners stay
says seedbreak order fields.kml --every-plan
