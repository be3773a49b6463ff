two_fields
season '<calendar start="2026-09-01" end="2026-08-01"/>' >season.xml
seedbreak check fields.kml season.xml
field Late 0 0 ready=2026-09-10 latest=2026-09-01 | kml >late.kml
says seedbreak check late.kml
