# Parts drawn by several processes, put together, are to the last bit what one process finds.
{
    field North 0 0 crop=wheat weed:kochia=3
    field South 0 -1 crop=wheat weed:kochia=2 weed:wild_oat=1
    field East 1 0 crop=wheat weed:wild_oat=3
} | kml >fields.kml
seedbreak order fields.kml --quiet --out plan >/dev/null
seedbreak order fields.kml --quiet --by shortest-road --out road >/dev/null
doubt() {
    seedbreak doubt fields.kml --quiet --json --plan plan/plan.json --against road/plan.json "$@"
}
export -f doubt
parallel --will-cite -j 4 doubt --samples {} --out parts ::: 1-70 71-200 201-201 202-400
ls parts
doubt --merge parts >merged.json
doubt --samples 400 --out whole | cmp - merged.json && echo 'the same to the last bit'
# So is the band on the page; the parts write none.
doubt --merge parts --out merged >/dev/null
cmp whole/season.html merged/season.html && echo 'the same page'
# The rows, too.
sort -t, -k2,2n <(tail -qn +2 parts/*.csv) | cmp - <(tail -n +2 whole/samples-1-400.csv) &&
    echo 'the same rows'
rm parts/samples-71-200.csv
says doubt --merge parts
cp whole/samples-1-400.csv parts/
says doubt --merge parts
says doubt --merge whole --seed 2
mkdir empty
says doubt --merge empty
says doubt --merge nowhere
