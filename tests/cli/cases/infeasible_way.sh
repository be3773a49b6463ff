two_fields
{
    echo ',North,South,Shop'
    echo 'North,0,,3'
    echo 'South,,0,'
    echo 'Shop,3,,0'
} >travel.csv
season '<machine id="m" yard="Shop" ha_per_hour="3" road_km_h="25" cost_per_km="2" cost_per_hour="60"
  season_hours="500"/>' >season.xml
point Shop -100.1 48 role=yard | kml >yard.kml
says seedbreak order fields.kml yard.kml season.xml --travel travel.csv
