# Two machines share the fields out, unless one is named; the rivals want one.
two_fields
season '<machine id="red"/>
<machine id="blue"/>' >season.xml
says seedbreak order fields.kml season.xml --by shortest-road
says seedbreak order fields.kml season.xml --machine green
