two_fields
printf 'from,North,South\nNorth,0,NaN\nSouth,5,0\n' >travel.csv
says seedbreak check fields.kml --travel travel.csv
printf 'from,North\nNorth,0\n' >short.csv
says seedbreak check fields.kml --travel short.csv
