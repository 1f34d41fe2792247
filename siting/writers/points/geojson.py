"""stakes.geojson: RFC 7946 points, lines and zones, in WGS 84."""

from __future__ import annotations

import json
from typing import Any

from siting.records.plan import Plan, Shape, Stake
from siting.records.survey import ControlPoint

# What goes into the staking file: the user's own parcels and obstacles stay in the user's own layers.
SHAPE_KINDS = ("fall_zone", "setback", "anchor_circle", "laydown", "guy", "side_guy", "winch_line")


def geojson(plan: Plan) -> bytes:
    """stakes.geojson as UTF-8 text; coordinates are longitude, latitude in degrees.

    No third coordinate is written: RFC 7946 means height above the ellipsoid by it, and the DEM's heights are not.

    Source: RFC 7946 (no `crs` member, rings closed, exterior rings counter-clockwise).
    """
    collection = {
        "type": "FeatureCollection",
        "name": plan.name,
        "run_id": plan.provenance.run_id,
        "datum": "WGS 84",
        "projected": f"{plan.crs.name}, datum {plan.crs.datum}, epoch {plan.crs.epoch}",
        "vertical_datum": plan.terrain.vertical_datum,
        "warnings": list(plan.warnings),
        "features": [*(_stake(s, plan) for s in plan.stakes), *(_control(c, plan) for c in plan.control), *(_shape(s, plan) for s in plan.shapes if s.kind in SHAPE_KINDS)],
    }
    return (json.dumps(collection, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _stake(stake: Stake, plan: Plan) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": stake.id,
        "geometry": {"type": "Point", "coordinates": [stake.lon, stake.lat]},
        "properties": {
            "point": stake.point,
            "role": stake.role,
            "code": stake.code,
            "easting": stake.easting,
            "northing": stake.northing,
            "crs": plan.crs.name,
            "height_m": stake.height_m,
            "ellipsoid_height_m": stake.ellipsoid_height_m,
            "vertical_datum": plan.terrain.vertical_datum,
            "azimuth_deg": stake.azimuth_deg,
            "azimuth_grid_deg": stake.azimuth_grid_deg,
            "azimuth_magnetic_deg": stake.azimuth_magnetic_deg,
            "radius_m": stake.radius_m,
            "above_base_m": stake.above_base_m,
            "slope_percent": stake.slope_percent,
            "verdict": stake.verdict,
            "description": stake.description,
            "run_id": plan.provenance.run_id,
        },
    }


def _control(point: ControlPoint, plan: Plan) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": point.id,
        "geometry": {"type": "Point", "coordinates": [point.lon, point.lat]},
        "properties": {
            "point": point.point,
            "role": point.role,
            "code": point.code,
            "easting": point.easting,
            "northing": point.northing,
            "crs": plan.crs.name,
            "height_m": point.height_m,
            "azimuth_deg": point.azimuth_deg,
            "distance_m": point.distance_m,
            "description": f"{point.role} point as given by the user",
            "run_id": plan.provenance.run_id,
        },
    }


def _shape(shape: Shape, plan: Plan) -> dict[str, Any]:
    rings = [[list(point) for point in ring] for ring in shape.rings]
    coordinates = rings if shape.geometry == "Polygon" else rings[0]
    name = shape.kind if shape.id in (shape.kind, "HEAD") else f"{shape.kind}:{shape.id}"
    return {
        "type": "Feature",
        "id": name,
        "geometry": {"type": shape.geometry, "coordinates": coordinates},
        "properties": {"kind": shape.kind, "label": shape.label, "run_id": plan.provenance.run_id},
    }
