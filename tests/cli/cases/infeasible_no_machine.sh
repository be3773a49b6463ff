# A field that the machine may not cut, and a season with too few hours, end the same way.
two_fields
season '<machine id="wide" header_m="12"/>
<field name="South" gate_m="6"/>' >gate.xml
says seedbreak order fields.kml gate.xml --quiet --out plan
season '<machine id="short" ha_per_hour="3.2" season_hours="30"/>' >hours.xml
says seedbreak order fields.kml hours.xml --quiet --out plan
ls
