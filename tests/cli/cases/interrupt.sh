# Ctrl-C writes the best plan so far and says so, also where the signal comes twice at once (timeout
# sends it to the program and to its group).
awk 'BEGIN { srand(11); for (i = 0; i < 70; i++)
    printf "F%d %d %d %d %d %d\n", i, i % 9, int(i / 9), rand() * 3, rand() * 3, rand() * 3 }' |
    while read -r name column row a b c; do
        field "$name" "$column" "$row" crop=wheat "weed:kochia=$a" "weed:waterhemp=$b" \
            "weed:ryegrass=$c"
    done | kml >fields.kml
for signal in INT TERM; do
    code=0
    timeout --preserve-status --signal="$signal" 10 \
        seedbreak order fields.kml --quiet --out "$signal" >table.txt || code=$?
    echo "exit $code"
    grep -o '^Stopped after' table.txt
    jq -r '.status, (.machines[0].stops | length)' "$signal/plan.json"
done
