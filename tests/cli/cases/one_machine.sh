# What is done for one machine at a time says so before it searches, and names the machines.
two_fields
cat >season.xml <<'XML'
<season xmlns="urn:seedbreak:season:1">
  <machine id="big" ha_per_hour="4"/>
  <machine id="small" ha_per_hour="2"/>
</season>
XML
says seedbreak scout fields.kml season.xml --quiet
says seedbreak order fields.kml season.xml --quiet --robust mean
says seedbreak weigh fields.kml season.xml --quiet
says seedbreak scout fields.kml season.xml --quiet --machine huge
seedbreak scout fields.kml season.xml --quiet --machine small | grep -c 'alk'
