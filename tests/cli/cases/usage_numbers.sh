# A number is read whole or not at all.
says seedbreak order fields.kml --time-limit 60s
says seedbreak order fields.kml --time-limit 0
says seedbreak order fields.kml --time-limit nan
says seedbreak order fields.kml --time-limit 0x10
says seedbreak order fields.kml --seed -1
says seedbreak order fields.kml --seed 18446744073709551616
says seedbreak order fields.kml --threads 2.5
says seedbreak order fields.kml --threads 1025
