"""Plumb and straightness of the standing mast as read, and the form to write the readings into."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from siting.errors import Fault, InputError
from siting.figures import shown
from siting.lift.standing import StandingMast
from siting.records.findings import Check
from siting.records.plumb import (
    LEAST_CROSSING_DEG,
    SAME_LEVEL_M,
    FormDirection,
    FormGuy,
    FormLevel,
    LeanReading,
    LevelLean,
    PlumbForm,
    PlumbOptions,
    PlumbReport,
    TensionReading,
)
from siting.units import wrap_bearing_deg
from siting.verdict import FAIL, MARGINAL, PASS, UTILISATION_MAX

PLUMB_LIMIT_PERCENT = 0.25
PLUMB_SOURCE = "ANSI/TIA-222 practice, 0.25 % of the height (1:400), as an industry planning notice quotes it (clause not read)"
STRAIGHT_LIMIT_PERCENT = 0.1
STRAIGHT_SOURCE = "EIA-222-D 6.1.2.2, 1:1000, as an industry planning notice quotes it"
A_STANDS_DEG, B_STANDS_DEG = 180.0, 90.0


def lean_m(levels_m: Iterable[float], readings: Iterable[LeanReading], where: str) -> np.ndarray:
    """(L, 2) offset of each level from plumb: along the laydown and to its right, metres.

    Args:
        levels_m: every level that must have been read; where: what the readings stand in, for the error.
    Raises:
        InputError: a level without a reading or with two, a reading of no level, two directions nearly in one line.
    """
    levels, faults = list(levels_m), []
    found: dict[int, tuple[float, float]] = {}
    for reading in readings:
        at = f"{where}, level at {reading.attach_m:g} m"
        index = next((i for i, m in enumerate(levels) if abs(m - reading.attach_m) <= SAME_LEVEL_M), None)
        turn = math.radians(reading.bearing_b_deg - reading.bearing_a_deg)
        if index is None:
            known = ", ".join(f"{m:g}" for m in levels)
            faults.append(Fault("plumb_reading", at, "no permanent guys leave the mast there", f"read it at {known} m"))
        elif index in found:
            faults.append(Fault("plumb_reading", at, "is read twice", "give one reading, or their mean"))
        elif not all(map(math.isfinite, (reading.offset_a_m, reading.offset_b_m, turn))):
            faults.append(
                Fault("plumb_reading", at, "an offset or a bearing is no number", "give both offsets and both bearings")
            )
        elif abs(math.sin(turn)) < math.sin(math.radians(LEAST_CROSSING_DEG)):
            faults.append(
                Fault(
                    "plumb_reading", at, f"the two directions, {reading.bearing_a_deg:g}° and {reading.bearing_b_deg:g}°, lie "
                    f"within {LEAST_CROSSING_DEG:g}° of one line", "read in two directions nearly square to each other",
                )
            )  # fmt: skip
        else:
            found[index] = _crossed(reading)
    missing = [m for i, m in enumerate(levels) if i not in found]
    if missing and not faults:
        lost = ", ".join(f"{m:g}" for m in missing)
        faults.append(Fault("plumb_reading", where, f"no lean is given at {lost} m", "read every level of permanent guys"))
    if faults:
        raise InputError(tuple(faults))
    return np.array([found[i] for i in range(len(levels))])


def read_tensions_n(mast: StandingMast, readings: Iterable[TensionReading], where: str) -> np.ndarray:
    """(G,) tension as read at each permanent guy's anchor, newtons; NaN where it was not read.

    Raises:
        InputError: a guy that the mast does not have, one read twice, a tension that is not above 0.
    """
    tension_n, faults = np.full(len(mast.anchors), np.nan), []
    for reading in readings:
        at = f"{where}, tension of {reading.anchor} at {reading.attach_m:g} m"
        index = next(
            (i for i, a in enumerate(mast.anchors)
             if a == reading.anchor and abs(mast.attach_m[i] - reading.attach_m) <= SAME_LEVEL_M), None,
        )  # fmt: skip
        if index is None:
            faults.append(Fault("plumb_reading", at, "the mast has no such permanent guy", "correct the anchor or the level"))
        elif np.isfinite(tension_n[index]):
            faults.append(Fault("plumb_reading", at, "is read twice", "give one reading, or their mean"))
        elif not (math.isfinite(reading.tension_kn) and reading.tension_kn > 0.0):
            faults.append(
                Fault(
                    "plumb_reading",
                    at,
                    f"is {reading.tension_kn:g} kN",
                    "take a slack guy in by hand first; a tension is above 0",
                )
            )
        else:
            tension_n[index] = reading.tension_kn * 1000.0
    if faults:
        raise InputError(tuple(faults))
    return tension_n


def plumb_report(levels_m: Iterable[float], lean: np.ndarray, options: PlumbOptions) -> PlumbReport:
    """Plumb and straightness of every level against their limits.

    Straightness is taken of every level between any two others, the hinge among them: how far it lies off the straight
    line between them, as a part of their distance.

    Args:
        lean: (L, 2) metres, from lean_m.
    """
    heights = np.array(list(levels_m))
    off = np.hypot(lean[:, 0], lean[:, 1])
    levels = tuple(_level_lean(heights, lean, i) for i in range(heights.size))
    worst = int(np.argmax(off / heights))
    checks = [
        _check(
            "plumb", "Mast out of plumb, part of the height", 100.0 * off[worst] / heights[worst], PLUMB_LIMIT_PERCENT,
            100.0 * options.reading_error_m / heights[worst], PLUMB_SOURCE, f"level at {heights[worst]:g} m",
        )
    ]  # fmt: skip
    if heights.size > 1:
        ratio, between, error = _least_straight(heights, lean, options.reading_error_m)
        checks.append(
            _check(
                "straightness", "Mast out of straight, part of the distance between two levels", 100.0 * ratio,
                STRAIGHT_LIMIT_PERCENT, 100.0 * error, STRAIGHT_SOURCE, between,
            )
        )  # fmt: skip
    return PlumbReport(levels, tuple(checks), _report_notes(options))


def plumb_form(mast: StandingMast, options: PlumbOptions) -> PlumbForm:
    """The form: two instruments' places, every level with its guys and limits."""
    rows = []
    for index in reversed(range(mast.model.heights_m.size)):
        height_m = float(mast.model.heights_m[index])
        guys = tuple(
            FormGuy(
                anchor=mast.anchors[i],
                set_kn=float(mast.set_tension_n[i]) / 1000.0,
                least_kn=options.least_tension_ratio * mast.strands[i].breaking_kn,
                greatest_kn=options.greatest_tension_ratio * mast.strands[i].breaking_kn,
            )
            for i in np.flatnonzero(mast.model.level == index)
        )
        rows.append(FormLevel(height_m, height_m * PLUMB_LIMIT_PERCENT, guys))
    return PlumbForm(
        directions=(_direction("A", A_STANDS_DEG, mast.height_m), _direction("B", B_STANDS_DEG, mast.height_m)),
        levels=tuple(rows),
        blanks=(
            "date and time",
            "temperature, °C",
            "wind, m/s",
            "read by",
            "instrument A, checked on",
            "instrument B, checked on",
        ),
        how=(
            "Read in still air, early or late in the day or under cloud: sun on one side bends a mast.",
            "Level the instrument, set its cross hair on the middle of the mast at the hinge, turn it up to each level and read how "
            "far the middle of the mast lies to the right (+) or to the left (−), in cm. Read in both faces and take the mean.",
            "Read each guy's tension at its anchor and write down how: dynamometer, pulse or sight.",
            "Read lean and tensions with nothing altered between them.",
        ),
    )


def bearing_of(lean: np.ndarray) -> float:
    """Where an offset (2,) points, degrees clockwise from the laydown; 0 where there is none."""
    return wrap_bearing_deg(math.degrees(math.atan2(float(lean[1]), float(lean[0])))) + 0.0


def _crossed(reading: LeanReading) -> tuple[float, float]:
    """The offset whose parts along the two directions are as read, metres along the laydown and to its right."""
    turn = np.radians([reading.bearing_a_deg, reading.bearing_b_deg])
    along, right = np.linalg.solve(np.column_stack([np.cos(turn), np.sin(turn)]), [reading.offset_a_m, reading.offset_b_m])
    return float(along), float(right)


def _level_lean(heights: np.ndarray, lean: np.ndarray, index: int) -> LevelLean:
    """One level's row, in centimetres."""
    off_cm = 100.0 * float(np.hypot(*lean[index]))
    limit_cm = float(heights[index]) * PLUMB_LIMIT_PERCENT
    out_of_line = None
    if index + 1 < heights.size:
        out_of_line = 100.0 * _off_line(
            np.concatenate([[0.0], heights]), np.vstack([np.zeros(2), lean]), (index, index + 1, index + 2)
        )
    return LevelLean(
        attach_m=float(heights[index]),
        along_cm=100.0 * float(lean[index, 0]),
        across_cm=100.0 * float(lean[index, 1]),
        lean_cm=off_cm,
        bearing_deg=bearing_of(lean[index]),
        limit_cm=limit_cm,
        margin_cm=limit_cm - off_cm,
        out_of_line_cm=out_of_line,
    )


def _off_line(heights: np.ndarray, lean: np.ndarray, which: tuple[int, int, int]) -> float:
    """How far the middle one of three places lies off the line through the others, metres."""
    low, middle, high = which
    part = (heights[middle] - heights[low]) / (heights[high] - heights[low])
    return float(np.hypot(*(lean[middle] - (1.0 - part) * lean[low] - part * lean[high])))


def _least_straight(heights: np.ndarray, lean: np.ndarray, error_m: float) -> tuple[float, str, float]:
    """Largest part of the distance by which a level lies off the line between two others, where, and its error."""
    knots, places = np.concatenate([[0.0], heights]), np.vstack([np.zeros(2), lean])
    found = []
    for low in range(knots.size):
        for high in range(low + 2, knots.size):
            for middle in range(low + 1, high):
                distance = float(knots[high] - knots[low])
                found.append((_off_line(knots, places, (low, middle, high)) / distance, low, middle, high))
    ratio, low, middle, high = max(found)
    part = float((knots[middle] - knots[low]) / (knots[high] - knots[low]))
    # The hinge is where the instrument starts from: it has no error of its own.
    spread = math.sqrt(1.0 + part**2 + ((1.0 - part) ** 2 if low else 0.0))
    name = lambda i: f"{knots[i]:g} m" if i else "the hinge"  # noqa: E731
    return (
        ratio,
        f"level at {name(middle)}, between {name(low)} and {name(high)}",
        spread * error_m / float(knots[high] - knots[low]),
    )


def _check(kind: str, label: str, value: float, limit: float, error: float, source: str, place: str) -> Check:
    """A check against a largest value in percent."""
    verdict = FAIL if value > limit else MARGINAL if value + error > limit else PASS
    used = min(value / limit, UTILISATION_MAX)
    return Check(kind, kind, label, float(value), limit, "%", False, float(used), float(error), verdict, source, place)


def _direction(name: str, stand_deg: float, height_m: float) -> FormDirection:
    """Where an instrument stands, and where its right lies."""
    right_deg = wrap_bearing_deg(stand_deg + 180.0 + 90.0)
    side = {0.0: "where the head lay", 90.0: "the right, seen from the base to where the head lay"}.get(right_deg, "")
    text = (
        f"Instrument {name} stands at bearing {stand_deg:g}° from the laydown, at least {shown(height_m, 'length')} from the base, "
        f"and looks at the base. Offsets to its right are positive: towards bearing {right_deg:g}°"
        + (f", {side}." if side else ".")
    )
    return FormDirection(name, stand_deg, right_deg, text)


def _report_notes(options: PlumbOptions) -> tuple[str, ...]:
    """What the figures rest on."""
    return (
        "Bearings are clockwise from the laydown azimuth, as the mast file's anchors have them.",
        "Plumb is held against 0.25 % of each level's own height. Straightness is taken of every level between any two others, the "
        "hinge among them.",
        f"Each offset may be off by {100.0 * options.reading_error_m:g} cm: a level that passes by less than that is marginal.",
        "Twist (0.5° in 3 m, 5° in all, same notice) is not looked at: sight along the faces.",
    )
