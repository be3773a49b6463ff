says seedbreak check
says seedbreak order --out plan
says seedbreak trace fields.kml
