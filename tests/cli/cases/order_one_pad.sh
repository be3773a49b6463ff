# Two machines and one wash pad: nobody cleans while the other does, and the cost is that of the plan
# with its waits, over a bound that holds without them.
{
    for i in 0 1 2 3 4 5 6 7; do
        field "F$i" "$i" 0 crop=wheat weed:kochia=$((i % 4)) best_before=2026-08-02 \
            entry="$([ "$i" -ge 2 ] && echo thorough || echo none)"
    done
    point Shop -99.9947 48.0036 role=yard
} | kml >fields.kml
season '<calendar start="2026-08-01"/><resource id="pad"/>
<cleanout id="thorough" minutes="300" needs="pad"/><cleanout id="deep" needs="pad"/>
<machine id="red" ha_per_hour="6.4"/><machine id="blue" ha_per_hour="6.4"/>' >season.xml
seedbreak order fields.kml season.xml --quiet --time-limit 5 --json >plan.json
jq '.status, (.bound <= .cost.total)' plan.json
jq '[.machines[].stops[] | select(.cleanout == "thorough" or .cleanout == "deep") |
     {from: .clean_h, to: (.clean_h + .cleanout_minutes / 60)}] | sort_by(.from) |
    (length > 3), ([range(1; length) as $i | .[$i].from + 1e-6 >= .[$i - 1].to] | all)' plan.json
