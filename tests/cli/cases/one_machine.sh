# What is done for one machine at a time says so before it searches, and names the machines; scout and
# a robust plan are for all together, and say that they are without a proof.
two_fields
cat >season.xml <<'XML'
<season xmlns="urn:seedbreak:season:1">
  <machine id="big" ha_per_hour="4"/>
  <machine id="small" name="The old one" ha_per_hour="2"/>
</season>
XML
seedbreak scout fields.kml season.xml --quiet | tr -s '\n ' ' ' | grep -c 'all 2 machines together'
seedbreak scout fields.kml season.xml --quiet --json | jq -c '.machines, (.first.fields | length)'
seedbreak order fields.kml season.xml --quiet --robust mean --samples 8 |
    tr -s '\n ' ' ' | grep -c 'for all machines together'
seedbreak order fields.kml season.xml --quiet --robust worst20 --samples 8 --json |
    jq -c '(.machines | length), .robust.bound, .robust.proven, .robust.value <= .robust.cheapest_value'
says seedbreak weigh fields.kml season.xml --quiet
says seedbreak scout fields.kml season.xml --quiet --machine huge
seedbreak scout fields.kml season.xml --quiet --machine small | grep -c 'alk'
