# What the season file says of a field goes before the field's own file, class or density; in one file
# a density says more than a class.
{
    field Class 0 0 crop=wheat weed:kochia:plants_m2=5
    field Both 1 0 crop=wheat weed:kochia=2 weed:kochia:plants_m2=5
    field Density 2 0 crop=wheat weed:kochia=2
    field Own 3 0 crop=wheat weed:kochia=2 weed:kochia:plants_m2=5
} | kml >fields.kml
season '<field name="Class"><rating weed="kochia" rating="1"/></field>
<field name="Both"><rating weed="kochia" rating="1"/></field>
<field name="Density"><rating weed="kochia" plants_m2="0.2"/></field>' >season.xml
seedbreak check fields.kml season.xml --json --quiet |
    jq -r '.fields[] | [.name, .rating_details.kochia.source, .rating_details.kochia.plants_m2] | @tsv'
