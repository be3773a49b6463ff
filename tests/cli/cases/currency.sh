# Another currency renames money; built-in prices that are still used under its name are told, and
# none once every one of them is stated.
two_fields
season '<weed id="kochia" cost_per_plant="5"/>
<machine id="ours" cost_per_km="2.2"/>' | sed 's/:1"/:1" currency="EUR"/' >some.xml
seedbreak check fields.kml some.xml |
    sed -n '/currency is/,/^$/p; /^- Kochia/,/source/p; /^- ours:/p; /^- a person/p'
echo "as JSON"
seedbreak check fields.kml some.xml --json |
    jq -r '.assumptions[].text | select(startswith("ours: ") or startswith("Kochia: "))'
season '<weed id="kochia" cost_per_plant="4"/>
<travel cost_per_km="2" cost_per_hour="55"/>
<costs wage_per_hour="22" lost_time_per_hour="95"/>
<cleanout id="blowdown" supplies_cost="4"/><cleanout id="thorough" supplies_cost="12"/>
<cleanout id="deep" supplies_cost="35"/>' | sed 's/:1"/:1" currency="EUR"/' >all.xml
seedbreak check fields.kml all.xml --json | grep -e dollars -e currency
says seedbreak order fields.kml some.xml --out some | grep -e Total -e ours: -e exit
says seedbreak order fields.kml all.xml --out all | grep -e Total -e ours: -e exit
echo "on the page"
grep -o 'ours: [^<]*road hour' some/season.html
