# Grain that is left standing, of a field dropped or of hectares left, is counted against the plan.
export SOURCE_DATE_EPOCH=1785600000
{
    field North 0 0 crop=wheat weed:kochia=0 yield_t_ha=3
    field Middle 1 0 crop=wheat weed:kochia=2 yield_t_ha=3
    field South 2 0 crop=wheat weed:kochia=3 yield_t_ha=3
    point Shop -100.1 48 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-03"/><crop id="wheat" price_per_t="200"/>' >season.xml
seedbreak order fields.kml season.xml --out plan --quiet >plan.txt
log() { seedbreak log fields.kml season.xml --log season.log --quiet "$@" >log.txt || cat log.txt >&2; }
compare() {
    seedbreak resume fields.kml season.xml --log season.log --plan plan/plan.json --quiet >rest.txt
    sed -n '/^To come/,/^$/p' rest.txt
}
log cut North --left 10 --to 2026-08-05T09:10
# 10 ha of 3 t of 200 USD: 6,000.
compare
log drop Middle --to 2026-08-05T10:00
# And all of Middle, as large as it is.
compare
seedbreak check fields.kml season.xml --json --quiet |
    jq '.season.fields[] | select(.name == "Middle") | .grain_t * 200 + 6000 | round'
