"""Where points lie: coordinate systems, geodesics, north."""
