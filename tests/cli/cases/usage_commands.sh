says seedbreak
says seedbreak ordre fields.kml
says seedbreak --versio
