"""Moments and directions of a mast that turns about its hinge: weight, lines, the gin pole.

Frame as in swing: origin at the hinge, x along the laydown, y to its right, z up. A moment about the hinge axis
is counted as it raises the mast (from x towards z). Points and forces are (..., 3) arrays; lengths share one unit.
"""

from __future__ import annotations

import numpy as np


def mast_direction(angle_rad: np.ndarray) -> np.ndarray:
    """(..., 3) unit vector along the mast at its angle above the horizontal, no unit."""
    angle = np.asarray(angle_rad, dtype=float)
    return np.stack([np.cos(angle), np.zeros_like(angle), np.sin(angle)], axis=-1)


def pole_direction(angle_rad: np.ndarray) -> np.ndarray:
    """(..., 3) unit vector along the gin pole, square to the mast and away from the laydown, no unit."""
    angle = np.asarray(angle_rad, dtype=float)
    return np.stack([-np.sin(angle), np.zeros_like(angle), np.cos(angle)], axis=-1)


def raising_moment(point: np.ndarray, force: np.ndarray) -> np.ndarray:
    """Moment of a force at a point about the hinge axis, in force x length; positive raises the mast."""
    return point[..., 0] * force[..., 2] - point[..., 2] * force[..., 0]


def line_between(start: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(..., 3) unit vector from start to end (no unit), and the distance in the lengths' unit."""
    reach = np.asarray(end, dtype=float) - np.asarray(start, dtype=float)
    length = np.linalg.norm(reach, axis=-1)
    return reach / length[..., None], length


def weight_moment(at: np.ndarray, weight: np.ndarray, pole_centre: float, pole_weight: float, angle_rad: np.ndarray) -> np.ndarray:
    """Moment of the weights about the hinge axis, in weight x length; positive turns the mast down to the laydown.

    The gin pole leans away from the laydown, so its weight helps to raise the mast: it counts against.

    Args:
        at: (n,) distances of the weights along the mast; weight: (n,); pole_centre: along the gin pole.
    """
    lowering = np.sum(weight * at) * np.cos(angle_rad)
    return lowering - pole_weight * pole_centre * np.sin(angle_rad)


def balance_angle(at: np.ndarray, weight: np.ndarray, pole_centre: float, pole_weight: float) -> float:
    """Mast angle (radians) at which the weight stands over the hinge: its moment is zero and changes sign.

    Source: tan t = sum(w a) / (pole weight x its centre), from the moment above.
    """
    return float(np.arctan2(np.sum(weight * at), pole_weight * pole_centre))


def line_pulls(moment: np.ndarray, arm: np.ndarray, least_arm: float) -> np.ndarray:
    """Force of a line that holds these moments at these arms; 0 where the moment is negative, NaN without an arm.

    Without a moment any arm above 0 will do; else it must be longer than the least.

    Source: moments about the hinge: weight moment / lever arm.
    """
    moment, arm = np.asarray(moment, dtype=float), np.asarray(arm, dtype=float)
    holds = arm > np.where(moment > 0.0, least_arm, 0.0)
    pulls = np.divide(moment, arm, out=np.full(np.broadcast_shapes(moment.shape, arm.shape), np.nan), where=holds)
    return np.where(moment < 0.0, 0.0, pulls)
