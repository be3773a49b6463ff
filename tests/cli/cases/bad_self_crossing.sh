ring Bowtie '-100,48 -99.99,48.01 -99.99,48 -100,48.01 -100,48' | kml >fields.kml
seedbreak check fields.kml
