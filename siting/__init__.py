"""siting: staking plans for guyed tilt-up meteorological masts from an open DEM."""

__version__ = "0.1.0"
