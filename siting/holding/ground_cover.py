"""The ground over an anchor: how deep a point on the rod lies, the lowest ground that would break out, the nearest bank."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right

from siting.holding.refusal import out_of_range
from siting.records.holding import GroundAt

# Ground that falls steeper than this, over at least this height, is a bank: common practice, no source.
BANK_PERCENT, BANK_DROP_M = 50.0, 0.5


class GroundLine:
    """One anchor's ground, ready to be asked. Distances are metres outward from the stake, heights above the stake's ground.

    The profile runs along the guy's plan line. Ground beside that line is taken to fall by the slope across it. What lies
    lower than both say (a ditch, a hole, a bank off the line) is known from the rings about the stake only, so that much
    is taken off everywhere.
    """

    def __init__(self, ground: GroundAt) -> None:
        self.s_m, self._rise_m = ground.s_m, ground.rise_m
        self.slope_percent = ground.slope_percent
        self.across = abs(ground.across_percent) / 100.0
        self._radii_m = ground.radii_m
        self._hidden_m = tuple(self._unexplained_m(r, low) for r, low in zip(ground.radii_m, ground.lowest_rise_m, strict=True))
        self._falls = self._steep_falls()

    def knows(self, out_m: float, reach_m: float) -> bool:
        """Whether the profile and the rings reach as far as this on both sides of a point; no unit."""
        far = max(abs(out_m - reach_m), abs(out_m + reach_m))
        inside = self.s_m[0] <= out_m - reach_m and out_m + reach_m <= self.s_m[-1]
        return inside and bool(self._radii_m) and far <= self._radii_m[-1]

    def rise_m(self, out_m: float) -> float:
        """Ground on the line above the ground at the stake, m; straight between samples.

        Raises:
            OutOfMethod: beyond the profile.
        """
        s, rise = self.s_m, self._rise_m
        if not s[0] <= out_m <= s[-1]:
            raise out_of_range(f"ground {out_m:.1f} m out from the stake", "is not known", "take a shorter rod")
        if len(s) == 1:  # nothing is known beside the stake itself
            return rise[0]
        index = min(max(bisect_right(s, out_m) - 1, 0), len(s) - 2)
        part = (out_m - s[index]) / (s[index + 1] - s[index])
        return rise[index] + part * (rise[index + 1] - rise[index])

    def hidden_m(self, out_m: float, reach_m: float) -> float:
        """How much lower some ground near is than profile and cross slope say, m; 0 on even ground.

        Raises:
            OutOfMethod: beyond the rings.
        """
        far = max(abs(out_m - reach_m), abs(out_m + reach_m))
        index = bisect_left(self._radii_m, far)
        if index == len(self._radii_m):
            raise out_of_range(f"ground {far:.1f} m about the stake", "is not known", "take a shorter rod")
        return self._hidden_m[index]

    def lowest_m(self, out_m: float, reach_m: float) -> float:
        """The lowest ground within a distance of a point on the line, above the ground at the stake, m.

        Raises:
            OutOfMethod: the ground is not known as far as that.
        """
        low, high = out_m - reach_m, out_m + reach_m
        first, last = bisect_right(self.s_m, low), bisect_left(self.s_m, high)
        line = min(self.rise_m(low), self.rise_m(high), *self._rise_m[first:last])
        return line - self.across * reach_m - self.hidden_m(out_m, reach_m)

    def steepest_fall_deg(self, out_m: float, reach_m: float) -> float:
        """The steepest straight fall from a point to ground within a distance of it, degrees, never below 0.

        Ground that falls less at first and more later counts with the line of sight: all of it lies above that slope.

        Args:
            reach_m: positive outward, negative towards the base; may not be 0.
        Raises:
            OutOfMethod: beyond the profile.
        """
        return self._steepest_deg(out_m, reach_m, -1.0)

    def steepest_rise_deg(self, out_m: float, reach_m: float) -> float:
        """The steepest straight rise from a point to ground within a distance of it, degrees, never below 0.

        Args:
            reach_m: positive outward, negative towards the base; may not be 0.
        Raises:
            OutOfMethod: beyond the profile.
        """
        return self._steepest_deg(out_m, reach_m, 1.0)

    def _steepest_deg(self, out_m: float, reach_m: float, way: float) -> float:
        here, end = self.rise_m(out_m), out_m + reach_m
        low, high = min(out_m, end), max(out_m, end)
        steepest = way * (self.rise_m(end) - here) / abs(reach_m)
        for index in range(bisect_right(self.s_m, low), bisect_left(self.s_m, high)):
            steepest = max(steepest, way * (self._rise_m[index] - here) / abs(self.s_m[index] - out_m))
        return math.degrees(math.atan(max(steepest, 0.0)))

    def bank_m(self, out_m: float) -> float | None:
        """Distance from a point on the line to the nearest bank below it, m; None where none is known.

        A bank is ground that falls away from the point at 50 % or more over 0.5 m or more. One that only the rings see
        may lie on any side: its distance is then the least that it can be.

        Source: common practice, no source.
        """
        found = []
        for near, far in self._falls:  # from the top of the fall to its foot
            if far >= near >= out_m or far <= near <= out_m:
                found.append(abs(near - out_m))
            elif min(near, far) < out_m < max(near, far):
                found.append(0.0)
        radii, hidden = (0.0, *self._radii_m), (0.0, *self._hidden_m)
        for index in range(1, len(radii)):
            drop = hidden[index] - hidden[index - 1]
            if drop >= BANK_DROP_M and drop >= BANK_PERCENT / 100.0 * (radii[index] - radii[index - 1]):
                found.append(max(radii[index - 1] - abs(out_m), abs(out_m) - radii[index], 0.0))
        return min(found) if found else None

    def _unexplained_m(self, radius_m: float, lowest_m: float) -> float:
        """How much lower the ring's lowest ground is than the profile inside it, less the slope across."""
        low, high = max(-radius_m, self.s_m[0]), min(radius_m, self.s_m[-1])
        inside = [r for s, r in zip(self.s_m, self._rise_m, strict=True) if low < s < high]
        line = min(self.rise_m(low), self.rise_m(high), *inside) - self.across * radius_m
        return max(line - lowest_m, 0.0)

    def _steep_falls(self) -> list[tuple[float, float]]:
        """(top, foot) of every run of samples that falls steeply one way by enough, m out from the stake."""
        falls, run = [], []
        steps = list(zip(self.s_m, self.s_m[1:], self._rise_m, self._rise_m[1:], strict=False))
        for s0, s1, r0, r1 in [*steps, (0.0, 1.0, 0.0, 0.0)]:
            grade = (r1 - r0) / (s1 - s0) * 100.0
            way = 0 if abs(grade) < BANK_PERCENT else int(math.copysign(1, grade))
            if run and way != run[0][0]:
                top, foot = (run[0][1], run[-1][2]) if run[0][0] < 0 else (run[-1][2], run[0][1])
                if abs(sum(piece[3] for piece in run)) >= BANK_DROP_M:
                    falls.append((top, foot))
                run = []
            if way:
                run.append((way, s0, s1, r1 - r0))
        return falls


def bank_fault(line: GroundLine, out_m: float, reach_m: float) -> str:
    """Words where a bank is nearer to an anchor than the ground that it would break out; empty where none is; no unit."""
    bank = line.bank_m(out_m)
    if bank is None or bank > reach_m:
        return ""
    return (
        f"a bank (ground falling {BANK_PERCENT:.0f} % or more) is {bank:.1f} m from the anchor, "
        f"the ground that it would break out reaches {reach_m:.1f} m: move the anchor or have it designed"
    )


def known_fault(line: GroundLine, out_m: float, reach_m: float) -> str:
    """Words where the ground is not known as far as the anchor would break it out; empty where it is; no unit."""
    if line.knows(out_m, reach_m):
        return ""
    return f"the ground is not known {reach_m:.1f} m about a point {out_m:.1f} m out from the stake"
