# Warnings reach whoever gets the plan's JSON or its page alone, also with --quiet; a plan by hand that
# breaks a rule says so there too, and is priced with exit code 0.
two_fields
season '<field name="South" latest="2026-01-01"/>' | sed 's/:1"/:1" currency="EUR"/' >season.xml
season '' | sed 's/:1"/:1" currency="EUR"/' >loose.xml
seedbreak order fields.kml loose.xml --quiet --json --out plan |
    jq -r '.rules_broken, (.warnings[] | "\(.file):\(.line): \(.text[:60])")'
jq -r '.warnings | length' plan/plan.json
grep -o 'href="#doubtful">[^<]*' plan/season.html
sed -n '/id="doubtful"/,/<\/section>/p' plan/season.html | grep -o '<li>.\{50\}\|<span>[^<]*'
says seedbreak trace fields.kml season.xml --plan plan/plan.json --quiet --out traced | tail -1
jq -r '.rules_broken, (.warnings[] | select(.file == null) | .text)' traced/plan.json
grep -o 'This plan breaks [^<]*' traced/season.html
