# Two machines, day by day: each cuts its own fields, and every line keeps to 80 columns.
two_fields
cat >season.xml <<'END'
<season xmlns="urn:seedbreak:season:1">
  <calendar start="2026-08-03" hours_per_day="10" day_starts="09:00"/>
  <machine id="red" name="Big combine" ha_per_hour="4"/>
  <machine id="blue" name="Small combine with a name that is far too long for a column" ha_per_hour="2"/>
</season>
END
names=$(seedbreak check fields.kml season.xml --json --quiet | jq -c '[.fields[].name]')
jq -n --argjson names "$names" '{format: "seedbreak-plan", version: 1, machines: [
    {id: "red", stops: [{field: $names[0]}]},
    {id: "blue", stops: [{field: $names[1], cleanout: "deep"}]}]}' >plan.json
seedbreak trace fields.kml season.xml --plan plan.json --quiet --board | tee board.txt
LC_ALL=C.UTF-8 wc -L <board.txt
seedbreak trace fields.kml season.xml --plan plan.json --quiet --json |
    jq -r '.board[] | [.machine, .activity, .begin, .end, .field // "home"] | @tsv'
