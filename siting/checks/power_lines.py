"""Overhead lines: how near mast, guys and winch line come to each of them, against the distance that its voltage asks for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from siting.checks import power_distances as published
from siting.checks.columns import AT_LEAST, Column
from siting.checks.land import MUST_BE_KNOWN
from siting.figures import shown
from siting.geodesy.frames import Frame
from siting.kernels.curtain import ANY_HEIGHT_M
from siting.layout.footprint import GroundFeature
from siting.layout.line_distance import Conductors, LineDistances, Nearest, line_distances
from siting.layout.reach import Stance
from siting.records.findings import Check, Unchecked
from siting.records.mast import Mast
from siting.records.power import PowerLineFinding
from siting.records.site import Limit
from siting.verdict import FAIL, UNCHECKED

POWER_LINE = "power_line"
# Words in a layer's `kind` that make it an overhead line, beside the kinds by which a layer shows that it holds one.
OVERHEAD_WORDS, UNDER_GROUND_WORDS = ("overhead", "power", "wire"), ("buried", "underground")
# A Z this far above the DEM may be a conductor's; lower it is the ground's own, higher another datum's: no source.
BELIEVED_M = (3.0, 100.0)
Heights = Callable[[np.ndarray, np.ndarray], np.ndarray]

# How a line's height entered, as the text says it.
WITH_HEIGHTS = "Conductor with its height, straight between the vertices: sag and swing are not worked out."
IN_PLAN = "The conductor's height is not known: measured in plan, as if it hung at every height."
PARTLY = "The DEM has no height under every vertex of it: there the conductor counts as hanging at every height."
NOT_BELIEVED = (
    f"The heights that it is drawn with lie less than {BELIEVED_M[0]:g} m or more than {BELIEVED_M[1]:g} m above the DEM: they are "
    "taken for no conductor's; measured in plan, as if it hung at every height."
)


@dataclass(frozen=True, slots=True)
class PowerLines:
    """What the plan says of overhead lines, the nearest first."""

    findings: tuple[PowerLineFinding, ...]
    checks: tuple[Check, ...]
    unchecked: tuple[Unchecked, ...]


@dataclass(frozen=True, slots=True)
class _Needed:
    """The distance that a line asks for, how far it may be off, and the words for it."""

    limit: Limit
    uncertainty_m: float
    is_known: bool  # false above the table: then nothing can pass
    words: str


def is_overhead_line(kind: str) -> bool:
    """True for a kind of obstacle that is an overhead line, a part of one, or may be one."""
    if any(word in kind for word in UNDER_GROUND_WORDS):
        return False
    return kind in MUST_BE_KNOWN["overhead_line"] or any(word in kind for word in OVERHEAD_WORDS)


def power_lines(
    obstacles: tuple[GroundFeature, ...], mast: Mast, stance: Stance, heights: Heights, frame: Frame, line_error_m: float = 0.0
) -> PowerLines:
    """Every overhead line of the layer with its least distances and its check.

    Whether a layer knows of overhead lines at all is asked in checks/land.py: an empty answer here is no "clear".

    Args:
        heights: ground (metres above datum, NaN unknown) at metres from the base in the ground frame.
        line_error_m: how well the lines' places are known; a margin below it is `marginal`.
    """
    lines = sorted((o for o in obstacles if is_overhead_line(o.kind)), key=lambda o: o.distance_m)
    if not lines:
        return PowerLines((), (), ())
    conductors, measured = _conductors(lines, heights)
    distances = line_distances(mast, stance, frame, conductors)
    findings, checks, unchecked = [], [], []
    names = _names(lines)
    for line, name, how, found in zip(lines, names, measured, distances, strict=True):
        found = _inside(line, found)
        needed = _needed(line.voltage_kv, line_error_m)
        parts = {
            "the lying mast": found.lying,
            f"the lift ({found.lifting.part}, first at {found.lifting.angle_deg:.0f}°)": found.lifting,
            f"the standing mast ({found.standing.part})": found.standing,
            "the falling mast": Nearest(line.distance_m - mast.total_height_m, "mast", 0.0, line.nearest_xy_m),
        }
        what, least = min(parts.items(), key=lambda item: (item[1].distance_m, item[0] != "the falling mast"))
        check = _check(name, needed, what, least, frame)
        if needed.is_known or check.verdict == FAIL:
            checks.append(check)
        else:
            do = "ask the line's owner or an engineer for the distance"
            unchecked.append(Unchecked(check.id, f"{name}: {published.TABLE_A_SOURCE} ends at {published.TABLE_A_MOST_KV:g} kV", do))
        verdict = check.verdict if checks and checks[-1] is check else UNCHECKED
        findings.append(_finding(line, (name, what, how), found, (least, needed), (verdict, check), frame, mast))
    return PowerLines(tuple(findings), tuple(checks), tuple(unchecked))


def _check(name: str, needed: _Needed, what: str, least: Nearest, frame: Frame) -> Check:
    bearing = frame.true_bearing_deg(*least.point_xy_m)
    place = f"{what}; {name}, {bearing:.1f}° true from the base"
    label = f"least distance to {name}, lying, going up, standing or falling"
    return Column(
        f"{POWER_LINE}:{name}", POWER_LINE, label, "m", AT_LEAST, needed.limit, np.array([least.distance_m]),
        uncertainty=needed.uncertainty_m, by_azimuth=False, place=lambda k: place,
    ).check(0)  # fmt: skip


def _needed(voltage_kv: float | None, line_error_m: float) -> _Needed:
    """The distance asked for: the table's by voltage; without a voltage the trigger distance, never the table's least."""
    trigger_m = published.trigger_m(voltage_kv)
    if voltage_kv is None:
        source = f"{published.TRIGGER_SOURCE}: trigger distance up to 350 kV, for want of the voltage"
        words = "its voltage is not known: ask the owner"
        return _Needed(Limit(trigger_m, source), max(published.largest_trigger_m() - trigger_m, line_error_m), True, words)
    table_m = published.table_a_m(voltage_kv)
    if table_m is None:
        source = f"{published.TRIGGER_SOURCE}: trigger distance; above {published.TABLE_A_MOST_KV:g} kV the owner or an engineer says"
        return _Needed(Limit(trigger_m, source), line_error_m, False, f"{voltage_kv:g} kV: the owner or an engineer sets the distance")
    return _Needed(Limit(table_m, f"{published.TABLE_A_SOURCE}, {voltage_kv:g} kV"), line_error_m, True, f"{voltage_kv:g} kV")


def _finding(
    line: GroundFeature, said: tuple[str, str, str], found: LineDistances, least: tuple[Nearest, _Needed],
    judged: tuple[str, Check], frame: Frame, mast: Mast,
) -> PowerLineFinding:  # fmt: skip
    (name, what, how), (near, needed), (verdict, check) = said, least, judged
    lon, lat = (float(v) for v in frame.lonlat(*(np.array(v) for v in near.point_xy_m)))
    trigger_m = published.trigger_m(line.voltage_kv)
    return PowerLineFinding(
        name=name,
        owner=line.owner,
        voltage_kv=line.voltage_kv,
        conductor_m=line.conductor_m,
        is_with_heights=how == WITH_HEIGHTS,
        lying_m=found.lying.distance_m,
        lifting_m=found.lifting.distance_m,
        lifting_at_deg=found.lifting.angle_deg,
        lifting_part=found.lifting.part,
        standing_m=found.standing.distance_m,
        falling_m=line.distance_m - mast.total_height_m,
        least_m=near.distance_m,
        needed_m=check.limit,
        trigger_m=trigger_m,
        verdict=verdict,
        text=f"{_text(name, what, near, needed, verdict, trigger_m)} {how}",
        information=_information(line.voltage_kv),
        source=check.source,
        bearing_deg=frame.true_bearing_deg(*near.point_xy_m),
        lat=lat,
        lon=lon,
    )


def _text(name: str, what: str, near: Nearest, needed: _Needed, verdict: str, trigger_m: float) -> str:
    """What was found, in plain words."""
    gap_m = near.distance_m
    comes = f"stays {shown(gap_m, 'length')} away" if gap_m > 0.0 else f"reaches it and {shown(-gap_m, 'length')} more"
    text = f"{name}, {needed.words}: {what} {comes}; {shown(needed.limit.value, 'length')} is asked for."
    if verdict == FAIL:
        text = f"DO NOT RAISE HERE. {text}"
    elif gap_m < trigger_m:
        text += (
            f" Nearer than {shown(trigger_m, 'length')}: {published.TRIGGER_SOURCE} ask for steps with the line's owner before "
            "anything is put together."
        )
    return text


def _information(voltage_kv: float | None) -> tuple[str, ...]:
    """Other published distances; none of them is held against the mast."""
    supports = " or ".join(f"{shown(m, 'length')} ({support})" for support, m in published.CONSULT_M)
    lines = [f"{published.CONSULT_SOURCE}: ask the line's owner where work comes within {supports}, horizontally."]
    vicinity_m = None if voltage_kv is None else published.vicinity_m(voltage_kv)
    if vicinity_m is not None:
        lines.append(f"{published.VICINITY_SOURCE}: vicinity zone for workers to {shown(vicinity_m, 'length')}; no clearance for a mast.")
    return tuple(lines)


def _names(lines: list[GroundFeature]) -> list[str]:
    """The lines' names, each once: a second of the same name gets a number."""
    seen: dict[str, int] = {}
    names = []
    for line in lines:
        seen[line.name] = seen.get(line.name, 0) + 1
        names.append(line.name if seen[line.name] == 1 else f"{line.name} ({seen[line.name]})")
    return names


def _inside(line: GroundFeature, found: LineDistances) -> LineDistances:
    """Nothing is away from a line, or an area of one, that is drawn over the base."""
    if line.distance_m > 0.0:
        return found
    return LineDistances(*(replace(n, distance_m=0.0, point_xy_m=(0.0, 0.0)) for n in (found.lying, found.lifting, found.standing)))


def _conductors(lines: list[GroundFeature], heights: Heights) -> tuple[Conductors, list[str]]:
    """Every line's spans one after the other, and how each line's height entered."""
    starts, ends, numbers, measured = [], [], [], []
    for number, line in enumerate(lines):
        pieces, how = _pieces(line, heights)
        for piece in pieces:
            starts.append(piece[:-1] if len(piece) > 1 else piece)
            ends.append(piece[1:] if len(piece) > 1 else piece)
            numbers.append(np.full(len(starts[-1]), number))
        measured.append(how)
    return Conductors(np.concatenate(starts), np.concatenate(ends), np.concatenate(numbers)), measured


def _pieces(line: GroundFeature, heights: Heights) -> tuple[list[np.ndarray], str]:
    """A line's vertices (n, 3) with the lowest conductor's height above datum, and how that height entered.

    Over ground without a height the conductor's height is not known either: it counts as any height there.
    """
    if line.spans is None:
        return _flat(line.geometry), IN_PLAN
    pieces, is_whole = [], True
    for part in shapely.get_parts(line.spans):
        xyz = shapely.get_coordinates(part, include_z=True)
        ground = heights(xyz[:, 0], xyz[:, 1])
        z = xyz[:, 2] if line.conductor_m is None else ground + line.conductor_m
        above = (z - ground)[np.isfinite(z - ground)]
        if line.conductor_m is None and not (above.size and BELIEVED_M[0] <= above.min() and above.max() <= BELIEVED_M[1]):
            return _flat(line.geometry), NOT_BELIEVED
        is_whole &= bool(np.isfinite(z).all())
        pieces.append(np.column_stack([xyz[:, :2], np.where(np.isfinite(z), z, ANY_HEIGHT_M)]))
    return pieces, WITH_HEIGHTS if is_whole else PARTLY


def _flat(geometry: Any) -> list[np.ndarray]:
    """The pieces (n, 3) of a line, a point or an area's outline, at any height."""
    pieces = []
    for part in shapely.get_parts(geometry):
        for line in shapely.get_parts(part.boundary) if part.geom_type == "Polygon" else [part]:
            if line.geom_type == "GeometryCollection":
                pieces += _flat(line)
                continue
            xy = shapely.get_coordinates(line)
            pieces.append(np.column_stack([xy, np.full(len(xy), ANY_HEIGHT_M)]))
    return pieces
