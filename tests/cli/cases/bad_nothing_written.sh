# Bad input leaves no trace in the folder.
field North 0 0 crop=wheat weed:dodder=2 | kml >fields.kml
says seedbreak order fields.kml --out plan
ls
