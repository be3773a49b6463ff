printf '<kml>\n<Document>\n<Placemark>\n</Document>\n</kml>\n' >fields.kml
seedbreak order fields.kml --out plan
