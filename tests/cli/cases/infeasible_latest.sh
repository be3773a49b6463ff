# Both must be cut on the one day, and one takes twenty hours.
{
    field North 0 0 crop=wheat ready=2026-08-10 latest=2026-08-10
    field South 0 -1 crop=wheat ready=2026-08-10 latest=2026-08-10
} | kml >fields.kml
says seedbreak order fields.kml --out plan
ls
