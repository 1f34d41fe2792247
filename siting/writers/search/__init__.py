"""What `siting search` writes: rasters, spots, the map, the terminal's text."""
