seedbreak check nowhere.kml
