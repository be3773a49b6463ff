# An entry rule asks for a full cleanout, the limits allow none.
{
    field North 0 0 crop=wheat weed:kochia=2
    field Seed 0 -1 crop=wheat entry=deep
} | kml >fields.kml
season '<limits full_cleanouts="0"/>' >season.xml
says seedbreak order fields.kml season.xml
