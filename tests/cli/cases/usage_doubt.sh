# What doubt does not understand.
two_fields
says seedbreak doubt fields.kml
for samples in 0 x 5-2 1-x -5 0-3 1.5 1-2-3 99999999999; do
    says seedbreak doubt fields.kml --plan p.json "--samples=$samples"
done
says seedbreak doubt fields.kml --plan p.json --samples 1-5
says seedbreak doubt fields.kml --plan p.json --samples 1-5 --out o --merge o
says seedbreak doubt fields.kml --plan p.json --by cost
says seedbreak order fields.kml --samples 5
says seedbreak doubt fields.kml --plan nowhere.json
