# Near misses: what was meant is offered; errors come in the order of lines.
{
    field North 0 0 crop=whaet weed:Ryegrass=2
    field South 0 -1 crop=lentil
} | kml >fields.kml
season '<field name="Nroth" crop="wheat"/>' >season.xml
says seedbreak check fields.kml
says seedbreak check fields.kml season.xml
