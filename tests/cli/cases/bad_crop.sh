field North 0 0 crop=quinoa | kml >fields.kml
seedbreak check fields.kml
