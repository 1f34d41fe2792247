"""The invented ground of the demonstration: a ridge with a spur, a bench, gullies, a farm track, a road.

Everything is drawn in metres from the middle of the DEM, x to grid east, y to grid north. No height was measured.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

CELLS = 700  # rows and columns
CELL_M = 1.0
SEED = 20270412
CREST_HEIGHT_M = 1452.0
HALF_M = CELLS * CELL_M / 2.0

# Lines of the landscape, as corners that are rounded before use: (x, y) in metres.
# fmt: off
CREST = [(-600, 60), (-450, 95), (-320, 150), (-190, 212), (-60, 226), (60, 204), (170, 240), (300, 262), (450, 330)]
CREST += [(600, 350)]
CREST_SWELL = [(-600, -2), (-380, 1), (-230, 4), (-70, 6), (70, -3), (190, 2), (330, 7), (600, 9)]  # x, metres up
SPUR = [(-95, 235), (-74, 150), (-44, 95), (-8, 30)]
HOLLOW = [(-118, 140), (-98, 80), (-70, 38), (-44, 10), (-36, -20)]
GULLY = [(-32, -8), (-37, -30), (-42, -62), (-66, -115), (-62, -170), (-92, -215), (-104, -262), (-96, -300)]
EAST_DRAW = [(230, 215), (195, 110), (212, 30), (190, -60), (235, -150), (220, -240), (236, -296)]
STREAM = [(-420, -330), (-300, -300), (-200, -318), (-96, -300), (20, -312), (110, -286), (236, -296), (330, -270)]
STREAM += [(420, -282)]
TRACK = [(-420, -75), (-250, -60), (-160, -22), (-128, 45), (-85, 88), (-20, 103), (50, 96), (120, 98), (172, 122)]
TRACK += [(165, 176), (100, 222), (60, 262), (20, 330), (10, 420)]
ROAD = [(-420, -215), (-250, -190), (-110, -178), (0, -172), (120, -205), (230, -200), (420, -160)]

# Slope of the ground (rise per metre) against the distance south of the crest in metres.
NORTH_SIDE = [(-400, -0.2), (-200, -0.2), (-80, -0.23), (-25, -0.1), (0, 0), (25, 0.08)]
WITH_BENCH = [*NORTH_SIDE, (60, 0.17), (110, 0.17), (140, 0.12), (165, 0.075), (315, 0.07), (335, 0.24), (365, 0.26)]
WITH_BENCH += [(395, 0.13), (450, 0.06), (520, 0.03), (800, 0.02)]
WITHOUT_BENCH = [*NORTH_SIDE, (60, 0.15), (200, 0.125), (330, 0.115), (450, 0.06), (520, 0.03), (800, 0.02)]
# fmt: on


def make_ground() -> np.ndarray:
    """Heights of the invented ground, (CELLS, CELLS) float64, metres; row 0 is the northern edge."""
    rng = np.random.default_rng(SEED)
    broad, warp = _roughness(rng, 60, 300, 3.2), _roughness(rng, 40, 250, 3.2)
    knolls, rills = _roughness(rng, 18, 90, 3.0), _roughness(rng, 20, 140, 2.8, downhill_stretch=2.4)
    hummocks, tussocks = _roughness(rng, 3, 14, 2.2), _roughness(rng, 1, 5, 1.5)
    x, y = _cell_centres()

    heights = _ridge(x, y, broad, warp, rills)
    heights += _spur(x, y) - _hollow(x, y)
    heights -= _gully(x + 3 * knolls, y + 3 * warp) + _east_draw(x + 5 * knolls, y)
    heights = _valley(heights + 0.5 * broad + 0.14 * knolls, x + 3 * knolls, y)
    # The old track has sunk a little; the road is kept.
    heights = _grade(heights, TRACK, half_width_m=2.0, batter=0.55, smooth_m=25, drop_m=0.2)
    heights = _grade(heights, ROAD, half_width_m=3.5, batter=0.5, smooth_m=40, drop_m=0.0)
    heights = _weather(_weather(heights))
    return heights + 0.03 * hummocks + 0.01 * tussocks


def rounded(corners: list[tuple[float, float]], rounds: int = 4) -> np.ndarray:
    """The line through `corners` with its corners cut (Chaikin 1974, from memory), (n, 2) metres."""
    line = np.asarray(corners, float)
    for _ in range(rounds):
        near, far = 0.75 * line[:-1] + 0.25 * line[1:], 0.25 * line[:-1] + 0.75 * line[1:]
        line = np.vstack([line[:1], np.stack([near, far], axis=1).reshape(-1, 2), line[-1:]])
    return line


def _cell_centres() -> tuple[np.ndarray, np.ndarray]:
    """x and y of each cell's centre, metres."""
    axis_m = (np.arange(CELLS) + 0.5) * CELL_M - HALF_M
    return np.meshgrid(axis_m, -axis_m)


def _roughness(rng, shortest_m: float, longest_m: float, beta: float, downhill_stretch: float = 1.0) -> np.ndarray:
    """Random ground of mean 0 and deviation 1 whose power falls as frequency ** -beta between two wavelengths."""
    size = 1024  # more than the DEM, so that the pattern's repeat stays outside it
    fy, fx = np.meshgrid(np.fft.fftfreq(size), np.fft.rfftfreq(size), indexing="ij")
    frequency = np.hypot(fy * downhill_stretch, fx)
    frequency[0, 0] = 1.0
    too_short = np.exp(-0.5 * (frequency * shortest_m) ** 2)
    too_long = 1.0 - np.exp(-((frequency * longest_m) ** 2))
    amplitude = frequency ** (-beta / 2) * too_short * too_long
    amplitude[0, 0] = 0.0
    field = np.fft.irfft2(amplitude * np.exp(2j * np.pi * rng.random(frequency.shape)), s=(size, size))[:CELLS, :CELLS]
    return (field - field.mean()) / field.std()


def _curve(corners: list[tuple[float, float]], sigma_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Positions each metre and the smoothed values there."""
    px, py = np.array(corners, float).T
    at = np.arange(px[0], px[-1] + 1.0)
    reach = int(3 * sigma_m)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma_m) ** 2)
    return at, np.convolve(np.pad(np.interp(at, px, py), reach, mode="edge"), kernel / kernel.sum(), "valid")


def _fall(distance_m: np.ndarray, slopes: list[tuple[float, float]]) -> np.ndarray:
    """Metres below the crest: the slope summed up from the crest outwards."""
    at, slope = _curve(slopes, 8.0)
    below = np.concatenate([[0.0], np.cumsum(0.5 * (slope[1:] + slope[:-1]))])
    return np.interp(distance_m, at, below - np.interp(0.0, at, below))


def _along(corners, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
    """Distance from a rounded line, distance run along it, and its length, metres."""
    line = rounded(corners, 3)
    offset, run, start = np.full(x.shape, np.inf), np.zeros(x.shape), 0.0
    for (ax, ay), (bx, by) in pairwise(line):
        dx, dy = bx - ax, by - ay
        length = float(np.hypot(dx, dy))
        part = np.clip(((x - ax) * dx + (y - ay) * dy) / length**2, 0.0, 1.0)
        away = np.hypot(x - ax - part * dx, y - ay - part * dy)
        is_nearer = away < offset
        offset = np.where(is_nearer, away, offset)
        run = np.where(is_nearer, start + part * length, run)
        start += length
    return offset, run, start


def _ridge(x, y, broad, warp, rills) -> np.ndarray:
    """The ridge and its flanks, with a bench across the middle of the southern one, metres."""
    at, crest_y = _curve(CREST, 35.0)
    turn = np.arctan(np.interp(x, at, np.gradient(crest_y)))
    south_m = (np.interp(x, at, crest_y) - y) * np.cos(turn)
    wavy_m = south_m + 8 * warp
    bench = 1 / (1 + np.exp(-(x + 135 + 14 * broad) / 22)) / (1 + np.exp((x - 185 + 14 * broad) / 30))
    heights = CREST_HEIGHT_M - bench * _fall(wavy_m, WITH_BENCH) - (1 - bench) * _fall(wavy_m, WITHOUT_BENCH)
    heights += np.interp(x, *_curve(CREST_SWELL, 55.0)) * np.exp(-((south_m / 140) ** 2))
    steep = np.exp(-(((south_m - 90) / 60) ** 2)) + 0.8 * np.exp(-(((south_m - 365) / 40) ** 2))
    steep += 0.8 * np.exp(-(((south_m + 120) / 80) ** 2))
    return heights - np.sqrt(rills**2 + 0.05) * steep * (0.75 + 0.35 * broad)


def _spur(x, y) -> np.ndarray:
    """A rounded nose from the crest down to the bench, metres up."""
    offset, run, length = _along(SPUR, x, y)
    part = run / length
    rise = 6.5 * np.interp(part, [0, 0.2, 0.5, 0.8, 1], [0.15, 0.6, 0.9, 0.45, 0])
    return rise * np.exp(-((offset / np.interp(part, [0, 1], [46, 26])) ** 2))


def _hollow(x, y) -> np.ndarray:
    """The shallow hollow that feeds the gully, metres down."""
    offset, run, length = _along(HOLLOW, x, y)
    return 1.5 * np.clip(1.6 * run / length, 0, 1) * np.exp(-((offset / 20) ** 2))


def _gully(x, y) -> np.ndarray:
    """The gully that starts on the bench, west of the base, metres down."""
    offset, run, length = _along(GULLY, x, y)
    depth = np.interp(run, [0, 5, 20, 60, 140, 200, 290, length], [0, 0.5, 2.6, 3.8, 5.5, 3.5, 1.0, 0.8])
    width = np.interp(run, [0, 30, 120, length], [5, 6.5, 10, 12])
    return depth * np.exp(-((offset / width) ** 2.4))


def _east_draw(x, y) -> np.ndarray:
    """The wider draw that ends the bench in the east, metres down."""
    offset, run, length = _along(EAST_DRAW, x, y)
    return np.interp(run, [0, 60, 200, 330, 430, length], [0, 1, 4, 4.5, 1, 0.8]) * np.exp(-((offset / 16) ** 2))


def _valley(heights, x, y) -> np.ndarray:
    """The ground with the valley floor drawn to a stream that falls steadily to the east, and its bed."""
    offset, run, length = _along(STREAM, x, y)
    floor = _heights_along(heights, rounded(STREAM, 3), length)
    at = np.arange(floor.size)
    lift = _smooth(np.interp(at, [0, length], [1399.0, 1393.5]) - floor, 60)
    heights = heights + np.interp(run, at, lift) * np.exp(-((offset / 75) ** 2))
    return heights - 1.1 * np.exp(-((offset / 5) ** 2))


def _grade(heights, corners, *, half_width_m: float, batter: float, smooth_m: int, drop_m: float) -> np.ndarray:
    """The ground with a track cut and filled along a line: level across, its height smoothed along it."""
    x, y = _cell_centres()
    offset, run, length = _along(corners, x, y)
    grade = _smooth(_heights_along(heights, rounded(corners, 3), length), smooth_m) - drop_m
    target = np.interp(run, np.arange(grade.size), grade)
    bank = batter * np.maximum(0.0, offset - half_width_m)
    return np.where(offset < 25.0, np.clip(heights, target - bank, target + bank), heights)


def _heights_along(heights: np.ndarray, line: np.ndarray, length_m: float) -> np.ndarray:
    """Height of the ground at each metre of a line; beyond the DEM, that of its edge."""
    stations = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.arange(0.0, length_m, 1.0)
    col = np.clip(np.interp(at, stations, line[:, 0]) + HALF_M, 0, CELLS - 1).astype(int)
    row = np.clip(HALF_M - np.interp(at, stations, line[:, 1]), 0, CELLS - 1).astype(int)
    return heights[row, col]


def _smooth(values: np.ndarray, reach: int) -> np.ndarray:
    """A running mean with soft ends, over `reach` values to each side."""
    kernel = np.hanning(2 * reach + 1)
    return np.convolve(np.pad(values, reach, mode="edge"), kernel / kernel.sum(), "valid")


def _weather(heights: np.ndarray) -> np.ndarray:
    """The ground with its sharp edges worn, metres."""
    wide = np.pad(heights, 1, mode="edge")
    rows = 0.25 * wide[:-2] + 0.5 * wide[1:-1] + 0.25 * wide[2:]
    return 0.25 * rows[:, :-2] + 0.5 * rows[:, 1:-1] + 0.25 * rows[:, 2:]
