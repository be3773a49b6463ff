field North 0 0 yield_t_ha=nan | kml >yield.kml
says seedbreak check yield.kml
ring Nowhere '-100,48 nan,48 -99.99,48.01 -100,48' | kml >ring.kml
says seedbreak check ring.kml
two_fields
season '<costs wage_per_hour="NaN"/>' >season.xml
says seedbreak check fields.kml season.xml
