# A scouting point outside every field is doubtful, not wrong.
{
    field North 0 0 crop=wheat weed:kochia=2
    point S1 -90 40 weed:kochia=3
} | kml >fields.kml
seedbreak check fields.kml --json >check.json
jq -c '.warnings' check.json
seedbreak check fields.kml | grep -c 'fields.kml:4'
