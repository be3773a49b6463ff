two_fields
echo '{"format": "seedbreak-plan", "version": 1' >broken.json
says seedbreak trace fields.kml --plan broken.json
echo '{"format": "seedbreak-plan", "version": 1,
 "machines": [{"stops": [{"field": "North"}, {"field": "Atlantis"}]}]}' >unknown.json
says seedbreak trace fields.kml --plan unknown.json
says seedbreak trace fields.kml --plan nowhere.json
