"""How the assembled mast lies on the ground along an azimuth."""
