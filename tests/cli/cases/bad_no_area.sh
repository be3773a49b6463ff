point North -100 48 role=field crop=wheat | kml >fields.kml
seedbreak check fields.kml
