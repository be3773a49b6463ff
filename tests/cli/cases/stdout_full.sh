# Results that do not get out are no success.
two_fields
code=0; seedbreak --help >/dev/full || code=$?; echo "exit $code"
code=0; seedbreak check fields.kml >/dev/full || code=$?; echo "exit $code"
code=0; seedbreak order fields.kml --quiet >/dev/full || code=$?; echo "exit $code"
