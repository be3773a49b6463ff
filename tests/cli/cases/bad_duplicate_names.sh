{
    field North 0 0
    field North 1 0
} | kml >fields.kml
seedbreak check fields.kml
