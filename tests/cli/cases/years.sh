# The season repeated: the table fits the page, the JSON has every year.
{
    field North 0 0 crop=wheat weed:kochia=4
    field South 0 -1 crop=wheat weed:kochia=1
    field East 1 0 crop=wheat weed:wild_oat=3
} | kml >fields.kml
seedbreak order fields.kml --quiet --out plan >/dev/null
years() { seedbreak years fields.kml --quiet --plan plan/plan.json "$@"; }
years >table.txt
[ "$(wc -L <table.txt)" -le 80 ] && echo 'fits 80 columns'
head -n 2 table.txt
years --json --years 3 --threads 1 >one.json
years --json --years 3 --threads 2 | cmp - one.json
jq -c '.format, .version, .years, (.spent.this_plan | length),
    ([.fields[] | .no_cleaning.plants_m2 | length] | unique),
    ([.fields[] | .no_cleaning.plants_m2[3] >= .this_plan.plants_m2[3]] | all)' one.json
jq -c '[.spread | keys[]], (.spread.no_cleaning[0] >= .spread.this_plan[0])' one.json
# The sums below the table are those of the years.
years --years 3 | sed -n '/^USD in/,/^  spread saved/p' | tr -s ' ' | sed 's/,//g' >sums.txt
jq -r '[.spent, .spread] | .[] | [.no_cleaning, .this_plan, .reordered] | map(add | round) | join(" ")' \
    one.json | while read -r row; do grep -c " $row\$" sums.txt; done
wc -l <sums.txt
# A spread beyond what is harvested is told as one.
for cost in 5 5000000; do
    echo "<season xmlns='urn:seedbreak:season:1'><weed id='kochia' cost_per_plant='$cost'/></season>" >s.xml
    seedbreak years fields.kml s.xml --quiet --plan plan/plan.json --years 2 | tr -s '\n ' ' ' |
        grep -c 'more than the [0-9,.]* USD that a harvest is worth'
done
says years --years 0
says years --years 51
says seedbreak years fields.kml
# That nothing turns weedy is told, with no head without rows.
field Clean 0 0 crop=wheat weed:kochia=0 | kml >clean.kml
seedbreak order clean.kml --quiet --out clean >/dev/null
seedbreak years clean.kml --quiet --plan clean/plan.json | head -n 2
# A terminal shows how far it is, unless it is to be quiet; a file never does.
drawn() {
    script -qec "seedbreak years fields.kml --plan plan/plan.json --years 3 ${1:-}" /dev/null >shown
    grep -q $'\033\\[K' shown && echo drawn || echo 'not drawn'
}
drawn
drawn --quiet
drawn '2>said'
