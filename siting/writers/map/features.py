"""The stakes, the user's own points and the contours as GeoJSON with their words."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from siting.records.ground import Backdrop
from siting.records.plan import Plan, Stake
from siting.writers.map.words import ROLES, STAKE_VERDICTS, control_rows, stake_rows

# Contours whose height is a whole multiple of this many intervals are drawn stronger and carry their height;
# where there are few contours, each carries it.
INDEX_EVERY = 5
FEW_CONTOURS = 12
# Their heights are placed after every other label.
LAST_LABEL = 99
def feature(number: int, kind: str, coordinates: Any, properties: dict[str, Any]) -> dict[str, Any]:
    """One GeoJSON feature; coordinates in degrees, longitude first."""
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "id": number, "geometry": geometry, "properties": properties}


def unwrapped(lon: float, base_lon: float) -> float:
    """The longitude within 180 degrees of the base's, so that a site on the antimeridian is drawn in one piece."""
    if lon - base_lon > 180.0:
        return lon - 360.0
    return lon + 360.0 if lon - base_lon < -180.0 else lon


def stake_features(plan: Plan) -> list[dict[str, Any]]:
    """The stakes as points with what their labels and popups say; degrees."""
    places = [[unwrapped(stake.lon, plan.base.lon), stake.lat] for stake in plan.stakes]
    return [feature(k, "Point", places[k], _stake_words(plan, stake)) for k, stake in enumerate(plan.stakes)]


def control_features(plan: Plan) -> list[dict[str, Any]]:
    """The user's own points, drawn like stakes but judged by nothing; degrees."""
    features = []
    for number, point in enumerate(plan.control, len(plan.stakes)):
        place = [unwrapped(point.lon, plan.base.lon), point.lat]
        words = {
            "id": point.id, "role": point.role, "verdict": "", "word": "", "label": point.id,
            "title": f"{point.id}: {ROLES[point.role]}", "note": "As given by the user.", "azimuth": point.azimuth_deg,
            "rows": control_rows(plan, point),
        }  # fmt: skip
        features.append(feature(number, "Point", place, words))
    return features


def _stake_words(plan: Plan, stake: Stake) -> dict[str, Any]:
    flagged = {"fail": " · FAIL", "marginal": " · marginal"}.get(stake.verdict, "")
    return {
        "id": stake.id,
        "role": stake.role,
        "verdict": stake.verdict,
        "word": STAKE_VERDICTS[stake.verdict],
        "label": stake.id + flagged,
        "title": f"{stake.id}: {ROLES[stake.role]}",
        "note": stake.description,
        "azimuth": plan.laydown.azimuth_deg if stake.role in ("base", "head") else stake.azimuth_deg,
        "rows": stake_rows(plan, stake),
    }


def contour_features(backdrop: Backdrop) -> list[dict[str, Any]]:
    """The contours, all lines of one height as one feature; heights on the index contours. Degrees, metres."""
    lines: dict[float, list[Any]] = defaultdict(list)
    for height_m, line in backdrop.contours:
        lines[height_m].append([[round(lon, 6), round(lat, 6)] for lon, lat in line])  # 0.1 m on paper
    features = []
    for number, (height_m, parts) in enumerate(sorted(lines.items())):
        steps = height_m / (backdrop.contour_interval_m * INDEX_EVERY)
        index = abs(steps - round(steps)) < 1e-6
        words = {"css": "contour_index" if index else "contour", "kind": "contour", "rows": []}
        if index or len(lines) <= FEW_CONTOURS:
            words |= {"label": f"{height_m:g}", "place": "line", "dense": True, "order": LAST_LABEL}
        features.append(feature(number, "MultiLineString", parts, words))
    return features
