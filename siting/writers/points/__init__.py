"""Files of points, lines and areas for rovers and GIS."""
