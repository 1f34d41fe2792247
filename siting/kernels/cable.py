"""A guy as a hanging cable between its anchor and the mast: shape, tension, length, stretch, pulse time.

The guy is an inextensible catenary of constant weight per metre; stretch and heat are added to its length
afterwards, so every length that is asked back (unstressed, cut) follows from the same two steps. Arrays
broadcast. Lengths in metres, forces in newtons.

Source: the catenary's closed form (any statics text); held against printed examples in
tests/outside/test_cable_published.py and against the integrated cable equation in tests/lift/test_cable.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# ln(opening) is searched between these; below it the pull exceeds any strand's, above it the guy is over 180 spans long.
_SLACKEST, _TAUTEST = np.log(8.0), np.log(1e-10)
_HALVINGS = 80  # of that range: beyond the last bit of a double
_NEWTON_STEPS = 60


@dataclass(frozen=True, slots=True)
class Catenary:
    """A hanging guy. `opening` = span / (2 c), c the catenary's parameter: small is taut; NaN where it cannot hang."""

    span_m: np.ndarray  # horizontal, anchor to attachment, over 0
    rise_m: np.ndarray  # attachment above the anchor
    weight_n_per_m: np.ndarray
    opening: np.ndarray

    @property
    def chord_m(self) -> np.ndarray:
        """Straight line from the anchor to the attachment, metres."""
        return np.hypot(self.span_m, self.rise_m)

    @property
    def parameter_m(self) -> np.ndarray:
        """The catenary's parameter c = horizontal tension / weight per metre, metres."""
        return self.span_m / (2.0 * self.opening)

    @property
    def horizontal_n(self) -> np.ndarray:
        """Horizontal part of the tension, the same all along, newtons."""
        return self.weight_n_per_m * self.parameter_m

    @property
    def _middle(self) -> np.ndarray:
        """Where along the unit catenary the guy's middle lies; its ends are an opening to each side."""
        return np.arcsinh(self.rise_m * self.opening / (self.span_m * np.sinh(self.opening)))

    @property
    def length_m(self) -> np.ndarray:
        """Length along the hanging guy, under tension, metres."""
        return _arc_m(self.span_m, self.rise_m, self.opening)

    @property
    def anchor_tension_n(self) -> np.ndarray:
        """Tension at the anchor, newtons."""
        return self.horizontal_n * np.cosh(self._middle - self.opening)

    @property
    def top_tension_n(self) -> np.ndarray:
        """Tension at the attachment, newtons: the anchor's plus weight per metre x rise, exactly."""
        return self.horizontal_n * np.cosh(self._middle + self.opening)

    @property
    def anchor_angle_rad(self) -> np.ndarray:
        """The guy's direction at the anchor above the horizontal, radians; below the chord's by the sag."""
        return np.arctan(np.sinh(self._middle - self.opening))

    @property
    def top_angle_rad(self) -> np.ndarray:
        """The guy's direction at the attachment above the horizontal, radians."""
        return np.arctan(np.sinh(self._middle + self.opening))

    @property
    def sag_at_m(self) -> np.ndarray:
        """Horizontal distance from the anchor to where the guy hangs lowest under its chord, metres."""
        return self.parameter_m * (np.arcsinh(self.rise_m / self.span_m) - (self._middle - self.opening))

    @property
    def sag_m(self) -> np.ndarray:
        """Largest vertical distance of the guy under its chord, metres."""
        slope = self.rise_m / self.span_m
        low = np.sqrt(1.0 + np.sinh(self._middle - self.opening) ** 2)
        return self.sag_at_m * slope - self.parameter_m * (np.sqrt(1.0 + slope**2) - low)

    @property
    def intercept_m(self) -> np.ndarray:
        """How far below the attachment the guy's tangent at the anchor meets the plumb mast, metres."""
        return _intercept_m(self.span_m, self.rise_m, self.opening)

    def stretch_m(self, stiffness_n: np.ndarray) -> np.ndarray:
        """Elastic stretch, the integral of T ds / (E A) along the guy, metres; stiffness E A in newtons.

        Source: closed form, w c^2 / (2 E A) * [a + sinh a cosh a] between the guy's ends.
        """
        bracket = 2.0 * self.opening + np.cosh(2.0 * self._middle) * np.sinh(2.0 * self.opening)
        return self.weight_n_per_m * self.parameter_m**2 * bracket / (2.0 * stiffness_n)

    def unstressed_m(self, stiffness_n: np.ndarray) -> np.ndarray:
        """Length of the strand with no tension in it, metres."""
        return self.length_m - self.stretch_m(stiffness_n)


def hang_at_tension(span_m: np.ndarray, rise_m: np.ndarray, weight_n_per_m: np.ndarray, anchor_tension_n: np.ndarray) -> Catenary:
    """The taut guy with a given tension at its anchor; `opening` is NaN where that tension cannot hold it up.

    With u the opening, s(u) the length and K = 2 T / w + rise, the ends' tensions (their sum is w s coth u, their
    difference w rise) give u K = s(u) u coth u. The right side is convex in u, so Newton's steps from 0 climb
    to the smaller (taut) root and never pass it.

    Source: derived; held in tests/lift/test_cable.py.
    """
    span, rise, weight, tension = np.broadcast_arrays(
        *(np.asarray(v, float) for v in (span_m, rise_m, weight_n_per_m, anchor_tension_n))
    )
    k = 2.0 * tension / weight + rise
    with np.errstate(all="ignore"):
        u = np.where(k > 0.0, np.hypot(span, rise) / k, np.nan)
        for _ in range(_NEWTON_STEPS):
            sinh, cosh = np.sinh(u), np.cosh(u)
            stretch, coth = sinh / u, cosh / sinh
            s = np.sqrt(rise**2 + (span * stretch) ** 2)
            s_slope = span**2 * stretch * (cosh - stretch) / (u * s)
            gap = u * k - s * u * coth
            slope = k - s_slope * u * coth - s * (coth - u / sinh**2)
            step = np.where(slope > 0.0, -gap / slope, np.nan)
            u = u + np.where(gap < 0.0, step, 0.0)
    return Catenary(span, rise, weight, u)


def hang_with_length(
    span_m: np.ndarray, rise_m: np.ndarray, weight_n_per_m: np.ndarray, stiffness_n: np.ndarray, unstressed_m: np.ndarray
) -> Catenary:
    """The guy of a given unstressed length between two points: taut and stretched, or slack and hanging.

    Args:
        stiffness_n: E A; infinite for a guy that does not stretch (its `opening` is NaN where it is too short).
    Accuracy:
        strain is taken as T / (E A) of the stretched length. Against a cable whose strain counts on the unstressed
        length the tension is off by about the strain itself: 0.07 % at a strain of 0.08 % (strand at 10 % of its
        strength), 0.14 % at 0.15 % (rope); held in tests/lift/test_cable.py.
    """
    values = (span_m, rise_m, weight_n_per_m, stiffness_n, unstressed_m)
    span, rise, weight, stiffness, wanted = np.broadcast_arrays(*(np.asarray(v, float) for v in values))
    u = _halve(lambda u: Catenary(span, rise, weight, u).unstressed_m(stiffness), wanted)
    return Catenary(span, rise, weight, u)


def hang_with_intercept(span_m: np.ndarray, rise_m: np.ndarray, weight_n_per_m: np.ndarray, intercept_m: np.ndarray) -> Catenary:
    """The guy whose tangent at the anchor meets the plumb mast a given distance below the attachment.

    The way to read a tension by sighting along the guy from its anchor; exact for the catenary.
    """
    values = (span_m, rise_m, weight_n_per_m, intercept_m)
    span, rise, weight, wanted = np.broadcast_arrays(*(np.asarray(v, float) for v in values))
    u = _halve(lambda u: _intercept_m(span, rise, u), wanted)
    return Catenary(span, rise, weight, u)


def pulse_round_trip_s(length_m: np.ndarray, mass_kg_per_m: np.ndarray, tension_n: np.ndarray) -> np.ndarray:
    """Seconds in which a jerk given at the anchor runs up the guy and comes back: 2 length sqrt(mass / tension).

    Tension: the guy's mean, (anchor + top) / 2; length: along the guy.

    Source: wave on a string; ANSI/TIA-222 names it the pulse method (clause not read).
    """
    return 2.0 * length_m * np.sqrt(mass_kg_per_m / tension_n)


def tension_from_pulses_n(
    length_m: np.ndarray, mass_kg_per_m: np.ndarray, returns: np.ndarray, seconds: np.ndarray
) -> np.ndarray:
    """Mean tension, newtons, of a guy whose jerk comes back `returns` times in so many seconds.

    Source: as pulse_round_trip_s, T = 4 m length^2 N^2 / P^2, the same as 4 W length N^2 / (g P^2).
    """
    return 4.0 * mass_kg_per_m * (length_m * returns / seconds) ** 2


def thermal_change_m(length_m: np.ndarray, expansion_per_k: np.ndarray, warming_k: np.ndarray) -> np.ndarray:
    """Change of a free length when it is warmed, metres; positive longer."""
    return length_m * expansion_per_k * warming_k


def _arc_m(span_m: np.ndarray, rise_m: np.ndarray, opening: np.ndarray) -> np.ndarray:
    """Length of the catenary through both ends, metres."""
    return np.hypot(rise_m, span_m * np.sinh(opening) / opening)


def _intercept_m(span_m: np.ndarray, rise_m: np.ndarray, opening: np.ndarray) -> np.ndarray:
    """Tangent intercept on the plumb mast, metres; rises with the opening."""
    return rise_m * (1.0 - opening / np.tanh(opening)) + opening * _arc_m(span_m, rise_m, opening)


def _halve(rising, wanted: np.ndarray) -> np.ndarray:
    """Opening at which a rising function of it takes the wanted value; NaN where it never does."""
    low, high = np.full(wanted.shape, _TAUTEST), np.full(wanted.shape, _SLACKEST)
    with np.errstate(all="ignore"):
        reached = (rising(np.exp(low)) <= wanted) & (rising(np.exp(high)) >= wanted)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            below = rising(np.exp(middle)) < wanted
            low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(reached, np.exp((low + high) / 2.0), np.nan)
