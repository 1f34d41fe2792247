"""The winch line through the lift: arm, where it fails and what mends it, length, and the drum it winds on."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from siting.errors import OutOfMethod
from siting.figures import shown
from siting.kernels.crossings import first_at_least
from siting.kernels.drum import layer_diameter, wind_on, wraps_in_layer
from siting.kernels.moments import line_between, pole_direction
from siting.kernels.swing import least_winch_arm, winch_arm
from siting.lift.geometry import ARM_JUDGED_TO_DEG
from siting.records.rigging import WinchGear
from siting.records.statics import WinchLine

# How far a better place for the winch is looked for, and in which steps; then halved to far below a millimetre.
LOWER_MAX_M, FARTHER_MAX_M, LOOK_STEP_M = 30.0, 150.0, 0.25
LOOK_STEPS_OF_ANGLE = 2000


def arm_fails_deg(winch: np.ndarray, rest_deg: float) -> float | None:
    """Mast angle (degrees) from which the line does not lift, at the earliest the rest line; None where not before plumb.

    The arm is zero where the gin pole points straight at the winch anchor's trace in the lift plane, and lifts while
    it points above that.
    """
    trace_deg = math.degrees(math.atan2(winch[2], winch[0]))
    if math.cos(math.radians(rest_deg - trace_deg)) >= 0.0:
        return rest_deg
    turn_deg = rest_deg + (trace_deg - 90.0 - rest_deg) % 360.0
    return turn_deg if turn_deg <= 90.0 else None


def least_ratio(pole_m: float, winch: np.ndarray, rest_rad: float) -> tuple[float, float]:
    """Smallest arm between rest and 80 degrees as a ratio of the pole's length, and its angle (degrees)."""
    arm, at = least_winch_arm(pole_m, tuple(winch[:, None]), np.array([rest_rad]), math.radians(ARM_JUDGED_TO_DEG))
    return float(arm[0]) / pole_m, math.degrees(float(at[0]))


def winch_places(
    pole_m: float, winch: np.ndarray, rest_rad: float, limit_ratio: float, ground_z_m: Callable[[np.ndarray], np.ndarray] | None
) -> tuple[float | None, float | None]:
    """How much lower in its place, or how much farther out, the winch meets the arm's limit, metres.

    None where it meets the limit already, or no such place is found (30 m lower, 150 m farther at most).

    Args:
        ground_z_m: height of the ground above the hinge at radii (m) along the winch's bearing; None: the same height.
    """
    if least_ratio(pole_m, winch, rest_rad)[0] >= limit_ratio:
        return None, None
    end_rad = math.radians(ARM_JUDGED_TO_DEG)
    radius = math.hypot(winch[0], winch[1])

    def lowered(by_m: np.ndarray) -> np.ndarray:
        place = (np.full(by_m.shape, winch[0]), np.full(by_m.shape, winch[1]), winch[2] - by_m)
        return least_winch_arm(pole_m, place, np.full(by_m.shape, rest_rad), end_rad)[0] / pole_m

    def farther(by_m: np.ndarray) -> np.ndarray:
        out = 1.0 + by_m / radius
        z = np.full(by_m.shape, winch[2]) if ground_z_m is None else ground_z_m(radius + by_m)
        arm = least_winch_arm(pole_m, (winch[0] * out, winch[1] * out, z), np.full(by_m.shape, rest_rad), end_rad)[0]
        return np.where(np.isfinite(arm), arm / pole_m, -1.0)

    lower = first_at_least(lowered, limit_ratio, (0.0, LOWER_MAX_M), round(LOWER_MAX_M / LOOK_STEP_M))
    away = first_at_least(farther, limit_ratio, (0.0, FARTHER_MAX_M), round(FARTHER_MAX_M / LOOK_STEP_M))
    return lower, away


def line_table(
    pole_m: float, winch: np.ndarray, angles_deg: tuple[float, ...], limit_ratio: float,
    pulls_kn: tuple[float | None, ...], gear: WinchGear, ground_z_m: Callable[[np.ndarray], np.ndarray] | None = None,
) -> WinchLine:  # fmt: skip
    """The winch line at each angle: arm ratio, length and take-up in metres, wraps, layers and the winch's limit in kN.

    Args:
        winch: (3,) anchor seen from the hinge; pulls_kn: at the winch, one for each angle.
        ground_z_m: as in `winch_places`.
    Raises:
        OutOfMethod: the line is thicker than the drum is wide.
    """
    t = np.radians(np.array(angles_deg))
    rest_rad = float(t[0])
    arms = winch_arm(pole_m, tuple(winch), t) / pole_m
    _, length_m = line_between(pole_m * pole_direction(t), winch)
    take_up_m = length_m[0] - length_m
    least, least_at = least_ratio(pole_m, winch, rest_rad)
    lower_m, farther_m = winch_places(pole_m, winch, rest_rad, limit_ratio, ground_z_m)
    short = lambda a: limit_ratio - winch_arm(pole_m, tuple(winch), a) / pole_m  # noqa: E731
    weak_rad = first_at_least(short, 1e-12, (rest_rad, math.pi / 2), LOOK_STEPS_OF_ANGLE)
    weak = None if weak_rad is None else math.degrees(weak_rad)
    fails = arm_fails_deg(winch, angles_deg[0])
    plumb_m = _lower_for_plumb_m(winch, fails)
    wraps, layers, rated, drum_text = _on_the_drum(take_up_m, gear)
    uses = [p / r for p, r in zip(pulls_kn, rated, strict=True) if p is not None] if rated else []
    return WinchLine(
        angles_deg=angles_deg,
        arm_ratio=tuple(float(v) for v in arms),
        length_m=tuple(float(v) for v in length_m),
        take_up_m=tuple(float(v) for v in take_up_m),
        least_ratio=least,
        least_at_deg=least_at,
        limit_ratio=limit_ratio,
        weak_from_deg=weak,
        fails_at_deg=fails,
        lower_by_m=lower_m,
        farther_by_m=farther_m,
        lower_for_plumb_m=plumb_m,
        text=_words((least, least_at, limit_ratio), (fails, plumb_m, weak), (lower_m, farther_m), ground_z_m is not None),
        wraps=wraps,
        layers=layers,
        rated_kn=rated,
        largest_use_ratio=max(uses, default=None),
        drum_text=drum_text,
    )


def _lower_for_plumb_m(winch: np.ndarray, fails_deg: float | None) -> float | None:
    """At plumb the gin pole lies level: a winch at the hinge's height, on its side, lifts to there and no higher one does."""
    return float(winch[2]) if fails_deg is not None and winch[0] < 0.0 and winch[2] > 0.0 else None


def _words(
    least: tuple[float, float, float], fails: tuple[float | None, ...], moves_m: tuple[float | None, ...], on_ground: bool
) -> str:
    """Where the line fails and what mends it, in plain words.

    Args:
        least: ratio, angle, limit; fails: angle, metres lower for plumb, angle from which it is weak; moves_m: lower, farther.
    """
    ratio, at_deg, limit = least
    parts = []
    fails_deg, lower_for_plumb_m, weak_deg = fails
    if fails_deg is not None:
        cure = "" if lower_for_plumb_m is None else f"; {shown(lower_for_plumb_m, 'length')} lower in its place it lifts to plumb"
        parts.append(
            f"at {shown(fails_deg, 'angle')} the winch line passes through the hinge, and from there it cannot lift: the winch "
            f"stands too high{cure}"
        )
    if ratio >= limit:
        late = "" if weak_deg is None else f", less from {weak_deg:.1f}° on: have the back guys ready by then"
        parts.append(f"arm at least {ratio:.2f} of the gin pole's length up to {ARM_JUDGED_TO_DEG:.0f}°, {limit:.2f} wanted{late}")
        return "; ".join(parts)
    parts.append(f"arm only {ratio:.2f} of the gin pole's length at {at_deg:.1f}°, {limit:.2f} wanted")
    lower_m, farther_m = moves_m
    mends = []
    if lower_m is not None:
        mends.append(f"{shown(lower_m, 'length')} lower in its place")
    if farther_m is not None:
        where = "on the ground there" if on_ground else "at the same height"
        mends.append(f"{shown(farther_m, 'length')} farther out {where}")
    none = "no place of the winch lower or farther out meets it: a longer gin pole, or another laydown"
    return "; ".join([*parts, f"the winch meets it {' or '.join(mends)}" if mends else none])


def _on_the_drum(
    take_up_m: np.ndarray, gear: WinchGear
) -> tuple[tuple[float, ...] | None, tuple[int, ...] | None, tuple[float, ...] | None, str]:
    """Wraps, layers, the winch's limit on each layer (kN), and what they rest on."""
    sizes = (gear.drum_diameter_mm, gear.drum_width_m, gear.line_diameter_mm)
    flat = None if gear.limit_kn is None else tuple(gear.limit_kn for _ in take_up_m)
    if any(v is None for v in sizes):
        missing = [k for k, v in zip(("drum_diameter_mm", "drum_width_m", "line_diameter_mm"), sizes, strict=True) if v is None]
        limit = "the winch's limit is taken as the same on every layer" if flat else "the winch's limit is not given (limit_kn)"
        return None, None, flat, f"wraps not worked out: {', '.join(missing)} not given; {limit}"
    drum_m, width_m, line_m = gear.drum_diameter_mm / 1000.0, gear.drum_width_m, gear.line_diameter_mm / 1000.0
    if wraps_in_layer(width_m, line_m) < 1:
        raise OutOfMethod.of(
            "statics_range", "mast file, [winch]", f"a line of {gear.line_diameter_mm:g} mm does not fit on a drum {width_m:g} m wide",
            "check line_diameter_mm (mm) and drum_width_m (m)",
        )  # fmt: skip
    wraps, layers = wind_on(gear.wound_m + np.maximum(take_up_m, 0.0), drum_m, width_m, line_m)
    first = layer_diameter(1.0, drum_m, line_m)
    rated = None if flat is None else tuple(float(gear.limit_kn * first / layer_diameter(k, drum_m, line_m)) for k in layers)
    text = f"{wraps_in_layer(width_m, line_m)} wraps a layer, single line, {gear.wound_m:g} m on the drum before the lift"
    text += "; the limit falls with the layer's diameter" if flat else "; the winch's limit is not given (limit_kn)"
    text += "; wraps that must stay on are not counted; flanges are not checked"
    return tuple(float(w) for w in wraps), tuple(int(k) for k in layers), rated, text
