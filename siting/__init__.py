"""siting: staking plans for guyed tilt-up meteorological masts from an open DEM."""

from siting.version import VERSION as __version__

__all__ = ["__version__"]
