# A plan of another season is told as that; one that lacks its season file, too; and a field typed
# short is found.
growers_fields
season '<machine id="red"/>' >season.xml
seedbreak order fields.kml season.xml --out plan --quiet >order.txt
two_fields
season '<machine id="red"/>
<machine id="blue" name="The blue one"/>' >two.xml
says seedbreak trace fields.kml two.xml --plan plan/plan.json --quiet
growers_fields
says seedbreak trace fields.kml --plan plan/plan.json --quiet
says seedbreak trace fields.kml two.xml --by shortest-road --quiet
for field in wee Noth st zzz; do
    says seedbreak trace fields.kml season.xml --plan plan/plan.json --why "$field" --quiet
done
printf '{"stops": [{"field": "Dirty"}, {"field": "Northh"}]}' >slip.json
says seedbreak trace fields.kml season.xml --plan slip.json --quiet
printf '{"machine": 7, "stops": []}' >number.json
says seedbreak trace fields.kml season.xml --plan number.json --quiet
