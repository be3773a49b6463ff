field North 0 0 crop=wheat weed:kochia=7 | kml >fields.kml
seedbreak check fields.kml
