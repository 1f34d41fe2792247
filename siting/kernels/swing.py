"""A mast turning about its hinge axis: guy lengths and the winch line's lever arm.

Frame: origin at the hinge, x horizontal along the laydown, y horizontal to its right, z up; the mast at an
angle t above the horizontal points along (cos t, 0, sin t). Arrays broadcast; lengths share one unit.
"""

from __future__ import annotations

import numpy as np


def guy_length(attach: np.ndarray, anchor: tuple[np.ndarray, ...], angle_rad: np.ndarray) -> np.ndarray:
    """Distance from the attachment to the anchor at a mast angle, in the lengths' unit."""
    x, y, z = anchor
    return np.sqrt((attach * np.cos(angle_rad) - x) ** 2 + y**2 + (attach * np.sin(angle_rad) - z) ** 2)


def guy_extremes(
    attach: np.ndarray, anchor: tuple[np.ndarray, ...], rest_rad: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Smallest length, its angle, largest length, its angle over the lift from rest to plumb (exact).

    L^2 = a^2 + |p|^2 - 2 a (x cos t + z sin t) is a single wave in t: its only turning points are where the
    mast points at the anchor's trace in the lift plane, or away from it.

    Source: derived; held against a 3-D rotation in tests/lift.
    """
    x, _, z = anchor
    towards = np.arctan2(z, x)
    plumb = np.full(np.shape(rest_rad), np.pi / 2)
    angles = [rest_rad, plumb]
    for turn in (0.0, np.pi, -np.pi):
        t = towards + turn
        angles.append(np.where((t > rest_rad) & (t < plumb), t, rest_rad))
    t = np.stack(np.broadcast_arrays(*angles))
    lengths = guy_length(attach, anchor, t)
    low, high = lengths.argmin(axis=0), lengths.argmax(axis=0)
    pick = lambda table, index: np.take_along_axis(table, index[None], axis=0)[0]  # noqa: E731
    return pick(lengths, low), pick(t, low), pick(lengths, high), pick(t, high)


def winch_arm(pole: float, winch: tuple[np.ndarray, ...], angle_rad: np.ndarray) -> np.ndarray:
    """Lever arm about the hinge axis of the line from the gin pole's tip to the winch anchor, in the lengths' unit.

    The gin pole stands square to the mast, its tip at pole * (-sin t, 0, cos t). Positive: the line lifts.

    Source: moment of a unit force along the line about the y axis, (r x u) turned from x towards z.
    """
    x, y, z = winch
    tip_x, tip_z = -pole * np.sin(angle_rad), pole * np.cos(angle_rad)
    line = np.sqrt((x - tip_x) ** 2 + y**2 + (z - tip_z) ** 2)
    return (tip_x * (z - tip_z) - tip_z * (x - tip_x)) / line


def least_winch_arm(
    pole: float, winch: tuple[np.ndarray, ...], rest_rad: np.ndarray, end_rad: float
) -> tuple[np.ndarray, np.ndarray]:
    """The smallest lever arm between the rest line and an end angle (exact), and its angle (radians).

    With the winch at distance rho and angle w in the lift plane, p = t - w and W the full distance,
    arm = -pole rho cos p / sqrt(W^2 + pole^2 + 2 pole rho sin p). Its turning points solve
    sin^2 p + 2 k sin p + 1 = 0 with k = (W^2 + pole^2)/(2 pole rho) >= 1.

    Source: derived; held against dense sampling in tests/lift.
    """
    x, y, z = winch
    rho = np.hypot(x, z)
    k = (x**2 + y**2 + z**2 + pole**2) / (2.0 * pole * np.maximum(rho, 1e-12))
    sine = -k + np.sqrt(np.maximum(k**2 - 1.0, 0.0))
    at = np.arcsin(np.clip(sine, -1.0, 1.0))
    towards = np.arctan2(z, x)
    angles = [rest_rad, np.full(np.shape(rest_rad), end_rad)]
    for base in (at, np.pi - at):
        for turn in (-2 * np.pi, 0.0, 2 * np.pi):
            t = towards + base + turn
            angles.append(np.where((t > rest_rad) & (t < end_rad), t, rest_rad))
    t = np.stack(np.broadcast_arrays(*angles))
    arms = winch_arm(pole, winch, t)
    index = arms.argmin(axis=0)
    return np.take_along_axis(arms, index[None], axis=0)[0], np.take_along_axis(t, index[None], axis=0)[0]


def cos_sin(slope: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Cosine and sine of the angle whose tangent is a slope (rise per metre): a root and a quotient, the same on every machine."""
    cosine = 1.0 / np.sqrt(1.0 + slope * slope)
    return cosine, slope * cosine


def guy_travel(attach: float, anchor: tuple[np.ndarray, ...], rest: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Largest minus smallest guy length over the lift from rest to plumb, in the lengths' unit.

    `guy_extremes` without the angles: x cos t + z sin t is largest, sqrt(x^2 + z^2), where the mast points at the
    anchor's trace, if it does on its way.

    Args:
        rest: cosine and sine of the rest line's angle.
    Source: derived; held against guy_extremes and a 3-D rotation in tests/lift.
    """
    x, y, z = anchor
    cosine, sine = rest
    first = x * cosine + z * sine
    turn = z * cosine - x * sine  # how it changes with the angle at rest; at plumb it changes by -x
    far = np.sqrt(x * x + z * z)
    most = np.where((turn > 0) & (x > 0), far, np.maximum(first, z))
    least = np.where((turn < 0) & (x < 0), -far, np.minimum(first, z))
    square = attach * attach + (x * x + y * y + z * z)
    twice = 2.0 * attach
    return np.sqrt(square - twice * least) - np.sqrt(square - twice * most)


def least_arm(
    pole: float, winch: tuple[np.ndarray, ...], rest: tuple[np.ndarray, np.ndarray], end: tuple[float, float]
) -> np.ndarray:
    """The smallest lever arm between the rest line and an end angle, in the lengths' unit: `least_winch_arm` without its angle.

    Args:
        rest, end: cosine and sine of the angles.
    Source: derived; held against least_winch_arm in tests/lift.
    """
    x, y, z = winch
    square = (x * x + y * y + z * z) + pole * pole
    twice = 2.0 * pole
    at_rest = -pole * (x * rest[0] + z * rest[1]) / np.sqrt(square + twice * (x * rest[1] - z * rest[0]))
    at_end = -pole * (x * end[0] + z * end[1]) / np.sqrt(square + twice * (x * end[1] - z * end[0]))
    # Between them the arm can only turn where the sine of the angle past the winch's trace is s, its cosine positive.
    rho = np.maximum(np.sqrt(x * x + z * z), 1e-12)
    k = square / (twice * rho)
    s = np.sqrt(np.maximum(k * k - 1.0, 0.0)) - k
    c = np.sqrt(np.maximum(1.0 - s * s, 0.0))
    cosine, sine = (x * c - z * s) / rho, (z * c + x * s) / rho
    is_between = (sine * rest[0] - cosine * rest[1] > 0) & (end[1] * cosine - end[0] * sine > 0)
    turned = -pole * (rho * c) / np.sqrt(np.maximum(square + twice * (rho * s), 1e-300))
    return np.where(is_between, np.minimum(turned, np.minimum(at_rest, at_end)), np.minimum(at_rest, at_end))
