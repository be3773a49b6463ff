# Misspelt attributes, elements and roles: what was meant is offered.
two_fields
bad() {
    season "$1" >season.xml
    says seedbreak check fields.kml season.xml --quiet
}
bad '<machine id="ours" headr_m="9"/>'
bad '<field name="North" yeild_t_ha="3"/>'
bad '<mashine id="ours"/>'
bad '<cleanout id="deep"><keap section="tank" loose="0" lodged="0"/></cleanout>'
bad '<field name="North" role="feild"/>'
bad '<machine id="ours" colour="red"/>'
point Shop -99.9947 48.0036 role=yrd | kml >yard.kml
says seedbreak check fields.kml yard.kml --quiet
