two_fields
echo 'not a folder' >file
says seedbreak order fields.kml --quiet --out file
says seedbreak order fields.kml --quiet --out file/plan
cat file
# What took long to find is shown even when it cannot be written.
code=0
seedbreak order fields.kml --quiet --out /proc/plan >table.txt || code=$?
echo "exit $code"
grep -c 'North' table.txt
