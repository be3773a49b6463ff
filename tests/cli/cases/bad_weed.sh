field North 0 0 crop=wheat weed:dodder=2 | kml >fields.kml
seedbreak check fields.kml
