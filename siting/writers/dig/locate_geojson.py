"""locate.geojson: the area of the locate notice and every place where the ground is opened, RFC 7946, in WGS 84."""

from __future__ import annotations

import json
from typing import Any

from siting.records.dig import DigPlan, Hole, Ring
from siting.records.plan import Plan
from siting.writers.dig.words import NO_CLEARANCE, hole_ref


def locate_geojson(plan: Plan, dig: DigPlan) -> bytes:
    """locate.geojson as UTF-8 text; coordinates are longitude, latitude in degrees, depths in metres.

    No third coordinate is written: RFC 7946 means height above the ellipsoid by it, and the DEM's heights are not.

    Source: RFC 7946 (no `crs` member, rings closed, exterior rings counter-clockwise).
    """
    rings = dig.locate.rings
    collection = {
        "type": "FeatureCollection",
        "name": f"{plan.name}, locate notice",
        "run_id": plan.provenance.run_id,
        "datum": "WGS 84",
        "no_clearance": NO_CLEARANCE,
        "words": list(dig.locate.words_on_it),
        "features": [
            *(_area(plan, dig, number, ring) for number, ring in enumerate(rings, 1)),
            *(_hole(plan, hole) for hole in dig.holes),
        ],
    }
    return (json.dumps(collection, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _area(plan: Plan, dig: DigPlan, number: int, ring: Ring) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": f"area:{number}",
        "geometry": {"type": "Polygon", "coordinates": [[list(point) for point in ring]]},
        "properties": {
            "kind": "locate_area",
            "name": f"{plan.name}, area {number} of {len(dig.locate.rings)}",
            "buffer_m": dig.locate.buffer_m,
            "deepest_m": dig.locate.deepest_m,
            "no_clearance": NO_CLEARANCE,
            "run_id": plan.provenance.run_id,
        },
    }


def _hole(plan: Plan, hole: Hole) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": f"hole:{hole.id}",
        "geometry": {"type": "Point", "coordinates": [hole.lon, hole.lat]},
        "properties": {
            "kind": hole.work,
            "name": hole_ref(plan, hole),
            "anchor": hole.anchor,
            "depth_m": hole.depth_m,
            "is_deep": hole.is_deep,
            "opening_along_m": hole.top_width_m,
            "opening_square_m": hole.top_length_m,
            "azimuth_deg": hole.azimuth_deg,
            "easting": hole.easting,
            "northing": hole.northing,
            "crs": plan.crs.name,
            "no_clearance": NO_CLEARANCE,
            "run_id": plan.provenance.run_id,
        },
    }
