"""Arrays in, arrays out: no records, no files."""
