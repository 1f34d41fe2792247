"""The likely cause in plain words, with its numbers beside what the plan would make of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.figures import shown
from siting.records.as_staked import NONE, ONE_POINT, ROTATED, SCALED, SHIFT, Alternative, Cause
from siting.records.plan import Plan
from siting.survey.moves import Kind, Move
from siting.units import wrap_bearing_deg

# A shift by whole kilometres to within this is a cut-off number, not a wrong base: common practice, no source.
ROUND_M, ROUND_TO_M = 1.0, 1000.0
# A turn within this, beside its own error, is the one it is compared with; a factor likewise in parts per million
# (offices round the factor): common practice, no source.
SAME_TURN_DEG, SAME_SCALE_PPM = 0.01, 2.0
NAMES_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Finding:
    """What survey/causes.py found, for words."""

    plan: Plan
    name: str
    ids: tuple[str, ...]
    move: Move
    kind: Kind
    reading: str
    also: tuple[str, ...]  # readings that explain it as well
    bad: tuple[int, ...]
    left_m: np.ndarray
    missed_m: np.ndarray
    planned: np.ndarray  # complex metres from the base
    scatter_m: float
    base_m: complex

    @property
    def bad_ids(self) -> tuple[str, ...]:
        """Points that do not follow the others."""
        return tuple(self.ids[i] for i in self.bad)

    def true_azimuth(self, step: complex) -> str:
        """A step's true azimuth as text."""
        grid_deg = math.degrees(math.atan2(step.real, step.imag))
        return f"{shown(wrap_bearing_deg(grid_deg + self.plan.crs.convergence_deg), 'bearing')} true"


def words_of(f: Finding, left_rms_m: float, alternatives: tuple[Alternative, ...]) -> Cause:
    """The cause with sentence, advice and numbers."""
    made = {NONE: _none, ONE_POINT: _one_point, SHIFT: _shift, ROTATED: _rotated, SCALED: _scaled}
    sentence, do = _misread(f) if f.reading else made[f.name](f)
    if f.bad and f.name not in (NONE, ONE_POINT):
        sentence += f" Besides, {_list(f, f.bad)} {'does' if len(f.bad) == 1 else 'do'} not follow the others."
    turn_error, scale_error = _errors(f)
    turns = f.kind.name.startswith(("turn", "similarity"))
    scales = f.kind.name.startswith(("scale", "similarity"))
    shifts = f.kind.name in ("shift", "turn and shift", "scale and shift", "similarity")
    return Cause(
        sentence=sentence,
        do=do,
        as_measured_m=_rms(f.missed_m),
        left_m=left_rms_m,
        scatter_m=f.scatter_m,
        bad_points=f.bad_ids,
        shift_north_m=f.move.shift.imag if shifts else None,
        shift_east_m=f.move.shift.real if shifts else None,
        turn_deg=f.move.turn_deg if turns else None,
        turn_error_deg=turn_error if turns else None,
        scale_ppm=f.move.scale_ppm if scales else None,
        scale_error_ppm=scale_error if scales else None,
        about=_about(f) if turns or scales else "",
        reading=f.reading,
        is_file_fault=bool(f.reading),
        alternatives=alternatives,
    )


def _none(f: Finding) -> tuple[str, str]:
    if f.bad:
        return (
            f"No single cause explains the misses. The points scatter by {_m(f.scatter_m)} an axis, and "
            f"{len(f.bad)} of {len(f.ids)} lie off by more than that allows: {_list(f, f.bad)}.",
            "Measure these points again; what is as far off then, set out again.",
        )
    worst = int(np.argmax(f.missed_m))
    largest = f"the largest miss is {_m(f.missed_m[worst])} at {f.ids[worst]}"
    if f.scatter_m > 0.1:
        return (
            f"No cause stands out: the points miss in all directions, by {_m(_rms(f.missed_m))} (root mean square); {largest}.",
            "Look at how they were measured (fixed or float solution, antenna height, right project), and measure again.",
        )
    return f"No common fault shows: the points scatter by {_m(f.scatter_m)} an axis, and {largest}.", "Nothing."


def _one_point(f: Finding) -> tuple[str, str]:
    index = f.bad[0]
    others = _rms(np.delete(f.left_m, index))
    point = f.ids[index]
    return (
        f"Only {point} is off, by {_m(f.left_m[index])}; the other {len(f.ids) - 1} miss by {_m(others)} (root mean square).",
        f"Measure {point} again; if it is as far off then, set it out again.",
    )


def _shift(f: Finding) -> tuple[str, str]:
    step = f.move.shift
    text = (
        f"The points lie {_m(abs(step))} to {f.true_azimuth(step)} from their stakes, all alike "
        f"(north {step.imag:+.3f} m, east {step.real:+.3f} m). {_left(f)}"
    )
    rounds = [abs(v - ROUND_TO_M * round(v / ROUND_TO_M)) <= ROUND_M for v in (step.imag, step.real)]
    if abs(step) >= ROUND_TO_M and all(rounds):
        return (
            f"{text} The shift is a round number of kilometres: leading digits were cut off.",
            "Put the leading digits back into the file and check again.",
        )
    if abs(step) >= ROUND_TO_M:
        return f"{text} So large a shift is another origin (a local system), not a staking error.", "Export the points in the plan's system."
    return (
        f"{text} A constant shift is a wrong base: the rover's base stood on wrong coordinates, or a wrong point was taken "
        "for the mast's base.",
        "Check the rover's base and any localisation on a known point before a stake is moved.",
    )


def _rotated(f: Finding) -> tuple[str, str]:
    turn, error = f.move.turn_deg, _errors(f)[0]
    side = "clockwise" if turn >= 0 else "anticlockwise"
    text = f"The points are turned by {abs(turn):.3f}° {side} about {_about(f)} (± {error:.3f}°)."
    if f.kind.name == "similarity":
        text += f" They are stretched by {f.move.scale_ppm:+.0f} parts per million as well."
    crs = f.plan.crs
    near = [(tolerance, w) for deg, tolerance, w in _known_turns(f.plan) if abs(turn - deg) <= tolerance + 3.0 * error]
    # The convergence is known to the hair, the declination to half a degree: a sharp match leaves no room for a loose one.
    found = [w for tolerance, w in near if tolerance == min(near)[0]]
    if found:
        meaning = f"That is {' or '.join(found)}."
    else:
        magnetic = "" if crs.declination_deg is None else f", nor the declination ({shown(crs.declination_deg, 'bearing')})"
        meaning = f"That is not the convergence ({shown(crs.convergence_deg, 'bearing')}){magnetic}: look for a wrong backsight or orientation."
    return f"{text} {_left(f)} {meaning}", "Set the orientation right and set the points out again; those near the middle hardly move."


def _known_turns(plan: Plan) -> list[tuple[float, float, str]]:
    """Turns that a mistaken north makes: degrees clockwise, tolerance, words."""
    crs = plan.crs
    grid = crs.convergence_deg
    turns = [
        (grid, SAME_TURN_DEG, f"the convergence ({grid:+.3f}°): true azimuths were laid off from grid north"),
        (-grid, SAME_TURN_DEG, f"the convergence ({grid:+.3f}°) the wrong way: grid azimuths were laid off from true north"),
    ]
    if crs.declination_deg is not None:
        needle, error = crs.declination_deg, 2.0 * (crs.declination_error_deg or 0.5)
        turns += [
            (needle, error, f"the declination ({needle:+.2f}°): true azimuths were laid off by compass"),
            (-needle, error, f"the declination ({needle:+.2f}°) the wrong way: magnetic azimuths were laid off from true north"),
            (needle - grid, error, f"declination less convergence ({needle - grid:+.2f}°): grid azimuths were laid off by compass"),
            (grid - needle, error, f"convergence less declination ({grid - needle:+.2f}°): magnetic azimuths were laid off from grid north"),
        ]
    return [t for t in turns if abs(t[0]) > SAME_TURN_DEG]


def _scaled(f: Finding) -> tuple[str, str]:
    scale, error = f.move.scale_ppm, _errors(f)[1]
    text = (
        f"The points are {'stretched' if scale >= 0 else 'shrunk'} by {abs(scale):.1f} parts per million about {_about(f)} "
        f"(± {error:.1f}), by {_m(float(f.move.moved(f.planned).max()))} at the most."
    )
    if f.kind.name == "similarity":
        text += f" They are turned by {f.move.turn_deg:+.3f}° as well."
    known = min(_known_scales(f.plan), key=lambda k: abs(scale - k[0]))
    off = abs(scale - known[0])
    if off <= SAME_SCALE_PPM + 3.0 * error:
        meaning = f"That is {known[1]}."
    elif off <= 0.1 * abs(known[0]):
        meaning = f"That is nearly {known[1]}; the office may have used a factor of its own."
    else:
        ground = (1.0 / f.plan.crs.combined_factor - 1.0) * 1e6
        meaning = f"Ground for grid would be {ground:+.1f} (1 / combined factor): it is another factor."
    return f"{text} {_left(f)} {meaning}", "Bring the points back to the plan's grid with that factor about that point, and check again."


def _known_scales(plan: Plan) -> list[tuple[float, str]]:
    """Factors that a mix of ground and grid makes: parts per million, words."""
    crs, known = plan.crs, []
    for factor, name in (
        (crs.combined_factor, "combined factor"), (crs.point_scale, "point scale alone"), (crs.elevation_factor, "elevation factor alone"),
    ):  # fmt: skip
        up, down = (1.0 / factor - 1.0) * 1e6, (factor - 1.0) * 1e6
        known.append((up, f"1 / {name} ({up:+.1f}): ground coordinates or distances were taken for grid"))
        known.append((down, f"the {name} ({down:+.1f}): it was applied where it was in the numbers already"))
    return known


def _misread(f: Finding) -> tuple[str, str]:
    text = f"In the file {f.reading}. "
    if f.also:
        more = f" or {len(f.also) - 2} more" if len(f.also) > 2 else ""
        text += f"They may as well be {' or '.join(f.also[:2])}{more}: the points do not tell which. "
    if f.kind.name == "shift":
        step = f.move.shift
        text += f"Read that way, the points lie {_m(abs(step))} to {f.true_azimuth(step)} from their stakes, all alike. "
    return text + _left(f), "Export the points again as the plan has them and check again: the stakes themselves may well be right."


def _left(f: Finding) -> str:
    """What the cause leaves, the bad points apart."""
    good = np.setdiff1d(np.arange(len(f.ids)), f.bad)
    if not len(good):
        return ""
    worst = int(good[np.argmax(f.left_m[good])])
    return (
        f"With that undone, {len(good)} of {len(f.ids)} points miss by {_m(_rms(f.left_m[good]))} (root mean square), "
        f"at most by {_m(f.left_m[worst])} at {f.ids[worst]}; as measured by {_m(_rms(f.missed_m))}."
    )


def _about(f: Finding) -> str:
    """What stays in place under a turn or a scale."""
    if f.kind.name in ("turn", "scale"):
        return "the base"
    if f.kind.name.endswith("about origin"):
        return "the grid's origin"
    centre = f.move.centre
    blur_m = 4.0 * f.scatter_m / (math.sqrt(len(f.ids)) * abs(f.move.factor - 1.0))
    nearest = int(np.argmin(np.abs(f.planned - centre)))
    if abs(f.planned[nearest] - centre) <= max(blur_m, 0.5) and blur_m < 5.0:
        return f.ids[nearest]
    return f"a point {abs(centre):.0f} m from the base to {f.true_azimuth(centre)}"


def _errors(f: Finding) -> tuple[float, float]:
    """Standard errors of turn (degrees) and scale (parts per million): the noise over the points' spread."""
    good = np.setdiff1d(np.arange(len(f.ids)), f.bad)
    points = f.planned[good]
    if f.kind.name.endswith("about origin"):
        points = points + f.base_m
    elif f.kind.name not in ("turn", "scale"):
        points = points - points.mean() if len(points) else points
    spread_m = math.sqrt(float(np.sum(np.abs(points) ** 2))) or math.inf
    return math.degrees(f.scatter_m / spread_m), f.scatter_m / spread_m * 1e6


def _list(f: Finding, indices: tuple[int, ...]) -> str:
    """Points with what each is off by, the worst first."""
    order = sorted(indices, key=lambda i: -f.left_m[i])
    text = ", ".join(f"{f.ids[i]} ({_m(f.left_m[i])})" for i in order[:NAMES_SHOWN])
    return text + (f" and {len(order) - NAMES_SHOWN} more" if len(order) > NAMES_SHOWN else "")


def _rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2))) if len(values) else 0.0


def _m(value: float) -> str:
    """Metres as a reader sees them; kilometres where metres say nothing."""
    return f"{value / 1000:.1f} km" if abs(value) >= 10_000 else f"{value:.1f} m" if abs(value) >= 100 else f"{value:.3f} m" if abs(value) < 1 else f"{value:.2f} m"


