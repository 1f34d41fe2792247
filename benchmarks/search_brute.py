"""Three plain ways to do what a search does, for comparison: numpy with scipy, compiled, and compiled with tables.

All three look at every sample of every azimuth of every cell, on a north-up grid of square cells, and take the same
checks of ground and lift as the search: anchor slope, laydown slope, rest slope, gap, side guys' travel, winch arm.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from scipy.ndimage import map_coordinates

from siting.kernels.fitting import slope_weights
from siting.kernels.swing import cos_sin, guy_travel, least_arm
from siting.lift.geometry import ARM_END
from siting.records.mast import Mast
from siting.screening.alone import score_azimuths
from siting.screening.stencil import Rules


def with_scipy(heights, slopes, box, mast: Mast, rules: Rules, azimuths_deg, s_m) -> np.ndarray:
    """(rows, cols): least utilisation of the cells of a box (row0, row1, col0, col1), azimuth by azimuth with map_coordinates."""
    i, j = np.meshgrid(np.arange(box[0], box[1]), np.arange(box[2], box[3]), indexing="ij")
    h0 = heights[box[0] : box[1], box[2] : box[3]]
    hinge, best, weights = h0 + mast.hinge_height_m, np.full(h0.shape, np.inf), slope_weights(s_m)
    ends = [(math.radians(a.bearing_deg), a.radius_m) for a in mast.anchors]
    for azimuth in np.radians(azimuths_deg):
        profile = np.stack([map_coordinates(heights, [i - s * math.cos(azimuth), j + s * math.sin(azimuth)], order=1) for s in s_m])
        slope = 100.0 * np.tensordot(weights, profile, axes=1)
        rest = ((profile[1:] - hinge) / s_m[1:, None, None]).max(axis=0)
        gap = (hinge + rest * s_m[:, None, None] - profile).max(axis=0)
        at = [(i - r * math.cos(azimuth + b), j + r * math.sin(azimuth + b)) for b, r in ends]
        steep = np.max([slopes[np.rint(row).astype(int), np.rint(col).astype(int)] for row, col in at], axis=0)
        used = np.maximum.reduce([steep / rules.anchor_most, 100.0 * rest / rules.rest_most, gap / rules.gap_most, _range(slope, rules)])
        used = np.maximum(used, _lift(heights, hinge, at, rest, mast, rules))
        best = np.minimum(best, np.minimum(used, 10.0))
    return best


def _range(slope, rules: Rules):
    low, high = slope < rules.slope_least, slope > rules.slope_most
    return np.where(low, 1.0 + (rules.slope_least - slope) / rules.slope_most, np.where(high, slope / rules.slope_most, 0.0))


def _lift(heights, hinge, at, rest, mast: Mast, rules: Rules):
    turn, used = cos_sin(rest), 0.0
    sides = [mast.anchors.index(a) for a in mast.side_anchors]
    over = {k: map_coordinates(heights, at[k], order=1) - hinge for k in (*sides, mast.anchors.index(mast.winch))}
    for attach, x, y, side in rules.guys:
        used = np.maximum(used, guy_travel(attach, (x, y, over[sides[int(side)]]), turn) / rules.travel_most)
    arm = least_arm(rules.pole, (rules.winch_x, rules.winch_y, over[mast.anchors.index(mast.winch)]), turn, ARM_END) / rules.pole
    return np.maximum(used, np.where(arm > 0, rules.arm_least / np.where(arm > 0, arm, 1.0), 10.0))


@njit
def _height(heights, row, col):
    i, j = int(math.floor(row)), int(math.floor(col))
    v, u = row - i, col - j
    top = heights[i, j] + u * (heights[i, j + 1] - heights[i, j])
    low = heights[i + 1, j] + u * (heights[i + 1, j + 1] - heights[i + 1, j])
    return top + v * (low - top)


@njit
def compiled(heights, slopes, box, azimuths_rad, s_m, weights, bearings_rad, radii_m, side_of, winch, guys, limits, pole, hinge_m, end, best):
    """The same in one compiled loop that works out every position as it goes: what one would write first."""
    profile, z = np.empty(s_m.size), np.empty(radii_m.size)
    for i in range(box[0], box[1]):
        for j in range(box[2], box[3]):
            hinge, least = heights[i, j] + hinge_m, np.inf
            for azimuth in azimuths_rad:
                used, slope, rest, gap = 0.0, 0.0, -np.inf, -np.inf
                for a in range(radii_m.size):
                    row, col = i - radii_m[a] * math.cos(azimuth + bearings_rad[a]), j + radii_m[a] * math.sin(azimuth + bearings_rad[a])
                    used = max(used, slopes[int(math.floor(row + 0.5)), int(math.floor(col + 0.5))] / limits[0])
                    z[a] = _height(heights, row, col) - hinge
                for n in range(s_m.size):
                    profile[n] = _height(heights, i - s_m[n] * math.cos(azimuth), j + s_m[n] * math.sin(azimuth))
                    slope += 100.0 * weights[n] * profile[n]
                    if n > 0:
                        rest = max(rest, (profile[n] - hinge) / s_m[n])
                for n in range(s_m.size):
                    gap = max(gap, hinge + rest * s_m[n] - profile[n])
                used = max(used, 100.0 * rest / limits[3], gap / limits[4])
                if slope < limits[1]:
                    used = max(used, 1.0 + (limits[1] - slope) / limits[2])
                if slope > limits[2]:
                    used = max(used, slope / limits[2])
                angle = math.atan(rest)
                for g in range(guys.shape[0]):
                    used = max(used, _travel(guys[g, 0], guys[g, 1], guys[g, 2], z[side_of[g]], angle) / limits[5])
                arm = _arm(pole, radii_m[winch] * math.cos(bearings_rad[winch]), radii_m[winch] * math.sin(bearings_rad[winch]), z[winch], angle, end) / pole
                used = max(used, limits[6] / arm if arm > 0 else 10.0)
                least = min(least, min(used, 10.0))
            best[i - box[0], j - box[2]] = least


@njit
def _travel(attach, x, y, z, rest):
    most, least = -np.inf, np.inf
    towards = math.atan2(z, x)
    for t in (rest, math.pi / 2, towards, towards + math.pi, towards - math.pi):
        if rest <= t <= math.pi / 2:
            length = math.sqrt((attach * math.cos(t) - x) ** 2 + y**2 + (attach * math.sin(t) - z) ** 2)
            most, least = max(most, length), min(least, length)
    return most - least


@njit
def _arm(pole, x, y, z, rest, end):
    least = np.inf
    rho = max(math.hypot(x, z), 1e-12)
    k = (x * x + y * y + z * z + pole * pole) / (2.0 * pole * rho)
    at, towards = math.asin(math.sqrt(max(k * k - 1.0, 0.0)) - k), math.atan2(z, x)
    for t in (rest, end, towards + at, towards + at + 2 * math.pi, towards + math.pi - at, towards - math.pi - at):
        if rest <= t <= end:
            tip_x, tip_z = -pole * math.sin(t), pole * math.cos(t)
            line = math.sqrt((x - tip_x) ** 2 + y * y + (z - tip_z) ** 2)
            least = min(least, (tip_x * (z - tip_z) - tip_z * (x - tip_x)) / line)
    return least


@njit
def with_tables(raster, width, box, stencil, best):
    """Compiled, from the search's own tables, every check of every azimuth of every cell with no short cut."""
    used = np.empty(stencil.azimuth_count)
    for i in range(box[0], box[1]):
        for j in range(box[2], box[3]):
            score_azimuths(raster, i * width + j, stencil, used)
            best[i - box[0], j - box[2]] = np.nanmin(used)
