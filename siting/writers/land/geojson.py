"""land.geojson: zones, nearest points of rules and overhead lines, the move, RFC 7946, in WGS 84."""

from __future__ import annotations

import json
from typing import Any

from siting.records.plan import Plan
from siting.writers.land.features import LandFeature, land_features
from siting.writers.land.words import DEFER_LAND, land_headline, land_verdict


def land_geojson(plan: Plan) -> bytes:
    """land.geojson as UTF-8 text; coordinates are longitude, latitude in degrees, lengths in metres.

    Source: RFC 7946 (no `crs` member, rings closed, exterior rings counter-clockwise).
    """
    collection = {
        "type": "FeatureCollection",
        "name": f"{plan.name}, land",
        "run_id": plan.provenance.run_id,
        "datum": "WGS 84",
        "verdict": land_verdict(plan),
        "headline": land_headline(plan),
        "defer": DEFER_LAND,
        "features": [_feature(plan, found) for found in land_features(plan)],
    }
    return (json.dumps(collection, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _feature(plan: Plan, found: LandFeature) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": found.id,
        "geometry": _geometry(found),
        "properties": {"kind": found.kind, "name": found.name, **found.properties, "run_id": plan.provenance.run_id},
    }


def _geometry(found: LandFeature) -> dict[str, Any]:
    if found.line:
        return {"type": "LineString", "coordinates": [list(p) for p in found.line]}
    polygons = [[[list(p) for p in ring] for ring in rings] for rings in found.polygons]
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}
