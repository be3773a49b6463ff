two_fields
seedbreak order fields.kml --quiet --json >plan.json
jq -r '.status, (.machines[].stops[] | .field + " " + .cleanout)' plan.json
seedbreak order fields.kml --quiet >table.txt
[ "$(wc -L <table.txt)" -le 80 ] && echo 'fits 80 columns'
