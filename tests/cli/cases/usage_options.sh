says seedbreak order fields.kml --fast
says seedbreak order fields.kml -x
says seedbreak order fields.kml --out
says seedbreak order fields.kml --out ''
says seedbreak order fields.kml --quiet=yes
says seedbreak check fields.kml --out plan
says seedbreak order fields.kml --plan plan.json
says seedbreak order fields.kml --timelimit 5
says seedbreak order fields.kml --Threads=2
says seedbreak order fields.kml --timeout 5
says seedbreak check fields.kml --seed 1
says seedbreak record fields.kml --json
says seedbreak years fields.kml --by cost
says seedbreak trace fields.kml --years 3
