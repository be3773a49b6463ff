# Kept apart by a full cleanout, which the limits do not allow, after the field it must come after;
# and a machine that is not there when the field is.
{
    field North 0 0 crop=wheat grower=Ash weed:kochia=2
    field South 0 -1 crop=wheat grower=Birch after=North apart:Ash='any full'
} | kml >fields.kml
season '<limits full_cleanouts="0"/>' >limits.xml
says seedbreak order fields.kml limits.xml --quiet
{
    field North 0 0 crop=wheat weed:kochia=2
    field South 0 -1 crop=wheat latest=2026-08-10
} | kml >dated.kml
season '<calendar start="2026-08-01"/>
<machine id="late" from="2026-08-10"/>' >from.xml
says seedbreak order dated.kml from.xml --quiet
season '<calendar start="2026-08-01"/>
<machine id="short" to="2026-08-04"/><field name="South" ready="2026-08-03"/>' >to.xml
says seedbreak order dated.kml to.xml --quiet
