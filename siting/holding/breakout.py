"""What a flat buried plate holds when it is pulled straight up: the plug of ground that breaks out over it."""

from __future__ import annotations

import math
from bisect import bisect_right

from siting.holding.refusal import out_of_range

# Friction angle (degrees): deepest breakout / width, growth of the shape factor with depth / width, uplift coefficient.
# Meyerhof and Adams 1968, Table 1, from memory; at 44 degrees it gives 0.47 where the printed example of
# tests/outside/test_holding_published.py has 0.48. The print's coefficients of 45 and 48 degrees (0.98, 1.00) are held at 0.95.
SAND = (
    (20.0, 2.5, 0.05, 0.85),
    (25.0, 3.0, 0.10, 0.89),
    (30.0, 4.0, 0.15, 0.91),
    (35.0, 5.0, 0.25, 0.94),
    (40.0, 7.0, 0.35, 0.95),
    (45.0, 9.0, 0.50, 0.95),
    (48.0, 11.0, 0.60, 0.95),
)
SHALLOWEST_RATIO = 1.0  # depth / width: the printed range begins here


def sand_row(friction_deg: float) -> tuple[float, float, float]:
    """Deepest breakout / width, growth of the shape factor, uplift coefficient, no unit; straight between the table's rows.

    Raises:
        OutOfMethod: friction angle outside 20 to 48 degrees.
    Source: Meyerhof and Adams 1968, Table 1, from memory.
    """
    if not SAND[0][0] <= friction_deg <= SAND[-1][0]:
        raise out_of_range(
            f"friction angle {friction_deg:.1f}°", "the breakout table holds from 20° to 48°", "have the anchor designed for this ground"
        )
    index = min(bisect_right(SAND, (friction_deg, math.inf)) - 1, len(SAND) - 2)
    low, high = SAND[index], SAND[index + 1]
    part = (friction_deg - low[0]) / (high[0] - low[0])
    return tuple(a + part * (b - a) for a, b in zip(low[1:], high[1:], strict=True))


def _check_depth(depth_m: float, width_m: float) -> None:
    if depth_m < SHALLOWEST_RATIO * width_m:
        raise out_of_range(
            f"plate {width_m:.2f} m wide, {depth_m:.2f} m deep", "the method begins where a plate lies as deep as it is wide",
            "lay it deeper or take a smaller plate",
        )  # fmt: skip


def sand_factor(friction_deg: float, depth_m: float, width_m: float, length_m: float) -> float:
    """Breakout load / (plate's area x vertical stress at its depth), no unit.

    1 + (2 s B + L - B) H Ku tan(phi) / (B L), s = 1 + m H/B: the ends of a long plate break out like a square one's, the
    middle like a strip's. Deeper than the table's limit the factor stays that of the limit.

    Args:
        width_m: the shorter side B; length_m: the longer L.
    Raises:
        OutOfMethod: friction outside 20 to 48 degrees, or the plate shallower than it is wide.
    Accuracy: 0.03 of the four printed factors of a square plate (3.70 to 22.51) with the print's own coefficients, 1.2 %
        with the table's straight lines (tests/outside/test_holding_published.py).
    Source: Meyerhof and Adams 1968 (square, strip, and their sum for a rectangle); the deep limit as in Das, Earth Anchors.
        All from memory.
    """
    _check_depth(depth_m, width_m)
    return sand_plug(depth_m, width_m, length_m, sand_row(friction_deg), math.tan(math.radians(friction_deg)))


def sand_plug(depth_m: float, width_m: float, length_m: float, row: tuple[float, float, float], tangent: float) -> float:
    """The formula of sand_factor, no unit, without a look at its range.

    Args:
        row: of sand_row; tangent: of the friction angle.
    """
    limit, growth, uplift = row
    depth = min(depth_m, limit * width_m)
    shape = 1.0 + growth * depth / width_m
    ends = (2.0 * shape * width_m + length_m - width_m) / (width_m * length_m)
    return 1.0 + ends * depth * uplift * tangent


def clay_factor(depth_m: float, width_m: float, length_m: float) -> float:
    """Breakout load less the weight above / (plate's area x undrained strength), no unit.

    Square: 1.2 H/B, at most 9. Strip: 0.6 H/B, at most 8. Between them straight in B/L.

    Args:
        width_m: the shorter side B; length_m: the longer L.
    Raises:
        OutOfMethod: the plate shallower than it is wide.
    Source: Meyerhof 1973 (square and strip), from memory; straight between them: common practice, no source.
    """
    _check_depth(depth_m, width_m)
    return clay_plug(depth_m, width_m, length_m)


def clay_plug(depth_m: float, width_m: float, length_m: float) -> float:
    """The formula of clay_factor, no unit, without a look at its range."""
    ratio = width_m / length_m
    return min((0.6 + 0.6 * ratio) * depth_m / width_m, 8.0 + ratio)
