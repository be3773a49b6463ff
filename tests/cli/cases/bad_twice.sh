# One file by two names: one error, not one for each field.
two_fields
says seedbreak check fields.kml ./fields.kml
