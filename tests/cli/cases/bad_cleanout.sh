two_fields
season '<cleanout id="blowdown"><keep section="header" loose="1.2" lodged="0.5"/></cleanout>' \
    >season.xml
seedbreak check fields.kml season.xml
