# A rule in conflict is shown where it stands: each in the season file's line, in another file than
# the outline, or in an option; and how many hours are missing at best, and which fields are late.
{
    field North 0 0 crop=wheat weed:kochia=4 grower=Ash
    field South 0 -1 crop=wheat
    field East 1 0 crop=wheat
} | kml >fields.kml
season '<field name="South"
    entry="deep"/>
<limits
    full_cleanouts="0" cleaning_cost="1500"/>' >entry.xml
says seedbreak order fields.kml entry.xml --quiet
season '<field name="South" entry="deep"/>' >asked.xml
says seedbreak order fields.kml asked.xml --quiet --spend-limit 100
says seedbreak order fields.kml asked.xml --quiet --full-cleanouts 0
season '<field name="South" after="North">
  <limit weed="kochia" seeds_ha="10"/>
  <apart grower="Ash"/>
</field>
<limits full_cleanouts="0"/>' >seeds.xml
says seedbreak order fields.kml seeds.xml --quiet
season '<field name="South" after="North"/>
<field name="North" ready="2026-08-04"/>
<field name="South" latest="2026-08-03"/>' >dates.xml
says seedbreak order fields.kml dates.xml --quiet
season '<calendar start="2026-08-01"/>
<calendar end="2026-08-06"/>
<field name="South" after="North"/>' >end.xml
says seedbreak order fields.kml end.xml --quiet
season '<machine id="m" season_hours="60.2"/>' >home.xml
says seedbreak order fields.kml home.xml --quiet
