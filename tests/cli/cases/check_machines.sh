# Several machines, what they share and who may cut what: in words, and as numbers.
{
    field North 0 0 crop=wheat grower=Ash weed:kochia=2 gate_m=9
    field South 0 -1 crop=barley grower=Birch weed:kochia=1 apart:Ash=deep split=2 after=North
    field East 1 0 crop=corn grower=Cedar weed:kochia=0 only=red
    point Shop -99.9947 48.0036 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-01" end="2026-09-30" hours_per_day="10"/>
<resource id="pad" name="Wash pad" count="2"/>
<cleanout id="thorough" needs="pad"/><cleanout id="deep" needs="pad"/>
<machine id="red" ha_per_hour="4" header_m="12"/>
<machine id="blue" ha_per_hour="3" header_m="9" crops="wheat; barley" from="2026-08-03"
         to="2026-08-20" most_slope_percent="12" season_hours="180"/>' >season.xml
seedbreak check fields.kml season.xml | sed -n '/^Machines/,/^Doubtful/p'
seedbreak check fields.kml season.xml --json | jq -c '.season |
    .resources, (.cleanouts[] | [.id, .needs]), (.machines[] | [.id, .from_h, .to_h, .crops]),
    (.fields[] | [.name, (.area_ha * 100 | round / 100), .machines, .apart, .gate_m, .part_of, .after])'
