"""The spots of a search as GeoJSON points."""

from __future__ import annotations

import json
import math
from dataclasses import fields
from typing import Any

from siting.records.search import SearchResult, Spot


def spots_geojson(result: SearchResult) -> bytes:
    """`spots.geojson`: UTF-8, WGS 84 longitude and latitude in degrees, heights in metres as a property.

    Source: RFC 7946 (a foreign member run_id stands beside the features).
    """
    features = [
        {
            "type": "Feature",
            "id": spot.rank,
            "geometry": {"type": "Point", "coordinates": [round(spot.lon, 7), round(spot.lat, 7)]},
            "properties": spot_properties(spot),
        }
        for spot in result.spots
    ]
    whole = {"type": "FeatureCollection", "run_id": result.run_id, "name": result.job.name, "features": features}
    return (json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def spot_properties(spot: Spot) -> dict[str, Any]:
    """Every field of a spot, null where there is no number; units stand in the names."""
    first = ("rank", "azimuth_deg", "worst_utilisation", "verdict", "site_file")
    names = [*first, *(field.name for field in fields(spot) if field.name not in first)]
    return {name: _plain(getattr(spot, name)) for name in names}


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return round(value, 9) if math.isfinite(value) else None
    return value
