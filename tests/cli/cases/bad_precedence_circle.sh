{
    field North 0 0 after=South
    field Middle 0 1 after=North
    field South 0 -1 after=Middle
} | kml >fields.kml
seedbreak check fields.kml
