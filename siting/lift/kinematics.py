"""How the temporary guys and the winch line change their length as the mast goes up, and what the crew does about it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.kernels.swing import guy_extremes, guy_length
from siting.lift.anchor_errors import anchor_errors
from siting.lift.geometry import seen_from_hinge
from siting.lift.guy_lengths import in_the_lift
from siting.lift.side_mends import HeightAt, azimuth_mends, mend_side, side_cases
from siting.records.lift_guys import LiftGuy, LiftGuys, LiftStop
from siting.records.mast import Mast
from siting.records.plan import Candidate

SIDE, BACK, WINCH_LINE = "side", "back", "winch"
STOP_STEP_DEG = 10.0
AT_REST = {SIDE: "make it fast at this length", BACK: "lead it to its anchor, in hand", WINCH_LINE: "draw it straight"}
NOTES = (
    "Lengths are straight lines between attachment and anchor on the DEM's ground; a guy's own sag, the give of the ground and "
    "of the mast come on top. Measured anchors first, then these tables.",
    "Let a line out ahead of the mast and take it in behind it, a little at a time: the figures are what must have gone by the "
    "time the mast reaches the stop. Positive is let out, negative is take in.",
    "Back guys follow the whole lift and are not held against the side guys' limit: kept in hand, neither tight nor trailing, "
    "until the weight passes over the hinge.",
)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the lift: from a point that turns with the mast, `arm_m` from the hinge, to an anchor."""

    anchor: str
    attach_m: float | None
    role: str
    arm_m: float
    ahead_rad: float  # the point stands so much ahead of the mast: 0 on it, a quarter turn at the gin pole's tip
    place: tuple[float, float, float]  # the anchor seen from the hinge


@dataclass(frozen=True, slots=True)
class Mending:
    """What a side anchor is held against, and where else it or the laydown might go."""

    limit_m: float
    azimuth_deg: float
    candidates: tuple[Candidate, ...] = ()
    height_at: HeightAt | None = None  # None: level ground at the anchor's own height


def lift_guys(mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float, rest_rad: float, mending: Mending) -> LiftGuys:
    """Every line of the lift, what mends the side anchors over the limit, and what an anchor's error does."""
    cases = side_cases(mast, anchor_heights_m, hinge_m, rest_rad, mending.limit_m, mending.height_at)
    mends = tuple(m for m in map(mend_side, cases) if m is not None)
    return LiftGuys(
        stops_deg=stop_angles_deg(math.degrees(rest_rad)),
        lines=tuple(follow_line(line, rest_rad) for line in lift_lines(mast, anchor_heights_m, hinge_m)),
        mends=mends,
        azimuths=azimuth_mends(mending.candidates, mending.azimuth_deg, mending.limit_m) if mends else (),
        errors=anchor_errors(mast, anchor_heights_m, hinge_m, rest_rad),
        notes=NOTES,
    )


def stop_angles_deg(rest_deg: float) -> tuple[float, ...]:
    """Where the crew stops: the rest line, 0 where it lies below that, and every ten degrees to 90."""
    first = math.floor(rest_deg / STOP_STEP_DEG) * STOP_STEP_DEG
    tens = np.arange(first, 90.0 + STOP_STEP_DEG / 2, STOP_STEP_DEG)
    return (rest_deg, *(float(t) + 0.0 for t in tens if t > rest_deg + 1e-6))


def lift_lines(mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float) -> tuple[Line, ...]:
    """Every line of the lift: guys that hold while the mast goes up, in the mast file's order, then the winch line.

    A guy to a side anchor is a side guy; any other guy of the lift follows it all the way, like a back guy.
    """
    anchors = {a.id: a for a in mast.anchors}
    seen = lambda a: tuple(float(v) for v in seen_from_hinge(a, np.array(anchor_heights_m[a.id]), hinge_m))  # noqa: E731
    lines = [
        Line(name, level.attach_m, SIDE if anchors[name].is_side else BACK, level.attach_m, 0.0, seen(anchors[name]))
        for level in mast.guys
        for name in level.anchors
        if in_the_lift(level, anchors[name])
    ]
    if mast.winch is not None:
        lines.append(Line(mast.winch.id, None, WINCH_LINE, mast.gin_pole_length_m, math.pi / 2.0, seen(mast.winch)))
    return tuple(lines)


def line_lengths_m(line: Line, angles_rad: np.ndarray) -> np.ndarray:
    """Length of a line at mast angles, metres."""
    return guy_length(line.arm_m, line.place, np.asarray(angles_rad) + line.ahead_rad)


def longest_between_m(line: Line, from_rad: float, to_rad: float) -> float:
    """Largest length of a line between two mast angles, metres (exact).

    The length's square is a single wave in the angle, longest where the point turns away from the anchor's trace.

    Source: kernels/swing.py, guy_extremes.
    """
    x, _, z = line.place
    away = math.atan2(z, x) + math.pi - line.ahead_rad
    turned = from_rad + (away - from_rad) % (2.0 * math.pi)
    angles = [from_rad, to_rad] + ([turned] if turned < to_rad else [])
    return float(line_lengths_m(line, np.array(angles)).max())


def follow_line(line: Line, rest_rad: float) -> LiftGuy:
    """A line's lengths, travel and instructions from the rest line to plumb.

    Whole centimetres are taken of the length since the rest line, so that the stops' steps never drift from it.
    """
    stops_deg = stop_angles_deg(math.degrees(rest_rad))
    t = np.radians(stops_deg)
    t[0] = rest_rad
    lengths_m = line_lengths_m(line, t)
    shortest, at_shortest, longest, at_longest = _extremes(line, rest_rad)
    whole_cm = np.round((lengths_m - lengths_m[0]) * 100.0) + 0.0
    stops = []
    for i, angle_deg in enumerate(stops_deg):
        change_cm = float(whole_cm[i] - whole_cm[i - 1]) if i else 0.0
        peak_cm = _peak_cm(line, t[i - 1], t[i]) if i else 0.0
        stops.append(
            LiftStop(
                angle_deg=angle_deg,
                length_m=float(lengths_m[i]),
                change_cm=change_cm,
                since_rest_cm=float(whole_cm[i]),
                peak_cm=peak_cm,
                instruction=_instruction(change_cm, peak_cm) if i else AT_REST[line.role],
            )
        )
    return LiftGuy(
        anchor=line.anchor,
        attach_m=line.attach_m,
        role=line.role,
        travel_m=longest - shortest,
        tightest_m=longest,
        tightest_at_deg=math.degrees(at_longest),
        slackest_m=shortest,
        slackest_at_deg=math.degrees(at_shortest),
        stops=tuple(stops),
    )


def _extremes(line: Line, rest_rad: float) -> tuple[float, float, float, float]:
    """Smallest length, its mast angle, largest length, its mast angle."""
    x, y, z = line.place
    if line.ahead_rad:
        # Turn the frame back by the quarter that the tip is ahead: (x, z) -> (z, -x).
        x, z = z, -x
    found = guy_extremes(line.arm_m, (np.array(x), np.array(y), np.array(z)), np.array(rest_rad))
    return tuple(float(v) for v in found)


def _peak_cm(line: Line, from_rad: float, to_rad: float) -> float:
    """Whole centimetres that a line must give on the way before it is taken in again; 0 where it need not."""
    ends_m = line_lengths_m(line, np.array([from_rad, to_rad]))
    peak_m = longest_between_m(line, from_rad, to_rad)
    # Under half a centimetre over the longer end there is nothing to be done on the way.
    if peak_m - float(ends_m.max()) < 0.005:
        return 0.0
    return float(math.ceil((peak_m - float(ends_m[0])) * 100.0))


def _instruction(change_cm: float, peak_cm: float) -> str:
    """What to do on the way to a stop, in plain words."""
    if peak_cm > 0.0:
        return f"let out {peak_cm:.0f} cm on the way, then take in {peak_cm - change_cm:.0f} cm"
    if change_cm == 0.0:
        return "leave it"
    return f"let out {change_cm:.0f} cm" if change_cm > 0.0 else f"take in {-change_cm:.0f} cm"
