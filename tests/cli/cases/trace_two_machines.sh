# A plan of two machines by hand: one pad, an earlier field of the other machine, and a grower to be
# kept apart from. Fields of 64 ha at 6.4 ha/h take ten hours, and the yard is where North is.
{
    field North 0 0 crop=wheat grower=Ash weed:kochia=2
    field South 0 -1 crop=wheat grower=Birch apart:Ash=deep
    field East 1 0 crop=wheat grower=Ash
    field West -1 0 crop=wheat grower=Cedar after=North
    point Shop -99.9947 48.0036 role=yard
} | kml >fields.kml
season '<resource id="pad" name="Wash pad"/>
<cleanout id="thorough" minutes="60" needs="pad"/><cleanout id="deep" minutes="120" needs="pad"/>
<machine id="red" ha_per_hour="6.4"/>
<machine id="blue" ha_per_hour="6.4"/>' >season.xml
echo '{"machines": [
 {"id": "red", "stops": [{"field": "North"}, {"field": "South", "cleanout": "thorough"}]},
 {"id": "blue", "stops": [{"field": "East"},
                          {"field": "West", "cleanout": "thorough"}]}]}' >plan.json
seedbreak trace fields.kml season.xml --plan plan.json --json >priced.json
jq -c '.machines[] | .id as $id | .stops[] | [$id, .field, .cleanout, (.clean_h, .leave_h, .finish_h |
    . * 10 | round / 10)]' priced.json
# Nothing of the plan but fields and cleanouts is read back, so it is priced the same again.
seedbreak trace fields.kml season.xml --quiet --plan priced.json --json 2>/dev/null | cmp - priced.json
