# A rule broken by hand is named, and the plan priced all the same.
{
    field North 0 0 crop=wheat weed:kochia=2
    field Seed 0 -1 crop=wheat entry=thorough
} | kml >fields.kml
echo '{"format": "seedbreak-plan", "version": 1, "machines": [{"stops":
 [{"field": "North"}, {"field": "Seed", "cleanout": "blowdown"}]}]}' >plan.json
seedbreak trace fields.kml --plan plan.json >table.txt
