ring Polar '-100,88 -99.9,88 -99.9,91 -100,88' | kml >fields.kml
seedbreak check fields.kml
