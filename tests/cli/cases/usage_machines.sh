# Two machines: which one is to be named, and how.
two_fields
season '<machine id="red"/>
<machine id="blue"/>' >season.xml
says seedbreak order fields.kml season.xml
says seedbreak order fields.kml season.xml --machine green
