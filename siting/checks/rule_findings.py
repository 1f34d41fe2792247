"""What one rule found on one azimuth: distance, nearest thing, point, bearing, verdict and words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from siting.checks.columns import Column
from siting.checks.rule_distances import Distances, Layout
from siting.checks.rule_targets import Aim, RuleLand, neighbour_across
from siting.checks.rule_words import height_words, how_words, measured_words, source_words
from siting.figures import shown
from siting.geodesy.frames import Frame
from siting.layout.targets import nearest_pair_m
from siting.layout.waived_line import SAME_LINE_M
from siting.records.rules import HEIGHT_ID, RuleFinding, RuleSet, SetbackRule
from siting.units import wrap_bearing_deg
from siting.verdict import FAIL, ORDER, PASS, UNCHECKED

RULE = "rule"
# A distance is at its limit within half of the last decimal that a plan keeps of it, and at the limit is a pass.
AT_THE_LIMIT_M = 0.0005


def at_the_limit(values_m: np.ndarray | float, limit_m: float) -> np.ndarray:
    """Lengths (metres), at the limit where they are so near to it that it counts as kept."""
    return np.where(np.abs(values_m - limit_m) <= AT_THE_LIMIT_M, limit_m, values_m)


@dataclass(frozen=True, slots=True)
class JudgedRule:
    """One rule on all azimuths. `column` is None where the rule could not be measured, or nothing is left to measure to."""

    rule_set: RuleSet
    rule: SetbackRule
    limit_m: float
    aim: Aim
    distances: Distances | None
    column: Column | None

    @property
    def id(self) -> str:
        """Id of the rule's check."""
        return f"{RULE}:{self.rule_set.key}:{self.rule.id}"


@dataclass(frozen=True, slots=True)
class _Where:
    """The nearest point of a rule on one azimuth: which part of the mast, which thing, where, in what direction."""

    part: str
    to: str
    xy_m: tuple[float, float] | None
    bearing_deg: float | None


def _where(judged: JudgedRule, k: int, land: RuleLand, layout: Layout) -> _Where:
    """Where a rule's distance was found on one azimuth."""
    aim, part = judged.aim, judged.distances.nearest_part(k)
    if judged.distances.is_capped(k):
        return _Where(part.words, f"none within {shown(aim.reach_m, 'length')} of the base in the layer", None, None)
    if aim.target.is_empty and judged.distances.values_at(k) >= 0:
        return _Where(part.words, "no line is left that counts: all are waived", None, None)
    here, there, owner = nearest_pair_m(aim.target, layout.geometry(part, k))
    if owner >= 0:
        to = aim.things[owner].name
    else:
        across = neighbour_across(land.parcels, there, SAME_LINE_M)
        to = f"line to parcel {across}" if across else "outer line of the own land, no parcel drawn beyond it"
    return _Where(part.words, to, there, _bearing_deg(here, there, layout.frame))


def _bearing_deg(here: tuple[float, float], there: tuple[float, float], frame: Frame) -> float | None:
    """True azimuth from the part to the nearest point; from the base where the part lies on it; None where the base does."""
    for x, y in ((there[0] - here[0], there[1] - here[1]), there):
        if math.hypot(x, y) > AT_THE_LIMIT_M:
            return wrap_bearing_deg(frame.true_bearing_deg(x, y))
    return None


def place_words(judged: JudgedRule, k: int, land: RuleLand, layout: Layout) -> str:
    """Where the value was found, for the check's own line; no unit of its own."""
    where = _where(judged, k, land, layout)
    turn = "" if where.bearing_deg is None else f", {where.bearing_deg:.1f}° true from {where.part}"
    return f"{where.to}{turn}"


def finding_of(judged: JudgedRule, k: int, land: RuleLand, layout: Layout) -> RuleFinding:
    """What one rule found on one azimuth, as the plan tells it. Distances in metres.

    Args:
        k: index of the azimuth among those judged.
    """
    rule, aim, mast = judged.rule, judged.aim, layout.mast
    value = where = None
    verdict = UNCHECKED
    if judged.column is not None:
        k = k if judged.column.by_azimuth else 0
        value, verdict = float(judged.column.values[k]), ORDER[int(judged.column.verdicts[k])]
        where = _where(judged, k, land, layout)
    elif judged.distances is not None:  # every line is waived: only what leaves the own land still counts
        found = judged.distances.values_at(k)
        value, verdict = (found, FAIL) if math.isfinite(found) else (None, PASS)
        where = _where(judged, k, land, layout)
    said = [f"Not checked: {words}." for words in ([f"{aim.missing}; {aim.do}"] if aim.missing else [v for _, v in aim.silent])]
    if rule.off_own_land and land.own is None:
        said.append("No parcels were given, so what stands on the own land counts too.")
    point = where.xy_m if where else None
    lat, lon, easting, northing = _coordinates(point, layout.frame)
    return RuleFinding(
        id=rule.id,
        rule_set=judged.rule_set.name,
        title=rule.title,
        value_m=value,
        limit_m=judged.limit_m,
        margin_m=None if value is None else value - judged.limit_m,
        how=how_words(rule, mast),
        measured=measured_words(rule, mast, where.part if where else ""),
        to=where.to if where else "",
        bearing_deg=where.bearing_deg if where else None,
        lat=lat,
        lon=lon,
        easting=easting,
        northing=northing,
        verdict=verdict,
        waived=tuple(f"{w.line}: waived by {w.by}, {w.recorded}" for w in aim.waived),
        source=source_words(rule.source, rule.clause, rule.date_read),
        note=" ".join([*said, *([rule.note] if rule.note else [])]),
    )


def _coordinates(xy_m: tuple[float, float] | None, frame: Frame) -> tuple[float | None, ...]:
    """Latitude, longitude, easting and northing of a point in the ground frame."""
    if xy_m is None:
        return None, None, None, None
    lon, lat = (float(v) for v in frame.lonlat(*(np.array(v) for v in xy_m)))
    grid = frame.combined_factor / frame.unit_m
    return lat, lon, frame.easting + xy_m[0] * grid, frame.northing + xy_m[1] * grid


def height_finding(rule_set: RuleSet, column: Column) -> RuleFinding:
    """The total height in the words of a finding, metres; the margin is what is left below the limit."""
    value, limit = float(column.values[0]), column.limit.value
    nothing: dict[str, Any] = dict.fromkeys(("bearing_deg", "lat", "lon", "easting", "northing"))
    return RuleFinding(
        id=HEIGHT_ID,
        rule_set=rule_set.name,
        title=column.label,
        value_m=value,
        limit_m=limit,
        margin_m=limit - value,
        how=height_words(rule_set),
        measured="ground at the base to the tip of the air terminal",
        to="",
        **nothing,
        verdict=ORDER[int(column.verdicts[0])],
        waived=(),
        source=source_words(rule_set.source, "", rule_set.date_read),
        note="",
    )
