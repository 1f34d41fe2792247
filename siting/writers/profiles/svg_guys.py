"""The guys as an inline picture of the map: for each direction the ground, the mast, the guys as they hang, the least height."""

from __future__ import annotations

import math

from siting.records.plan import Plan
from siting.records.profiles import Hang
from siting.writers.anchor_names import level_name
from siting.writers.paper.canvas import Point
from siting.writers.profiles.lines import PlanLine, guy_name, height_of, line_bounds_m, plan_lines, straight_words
from siting.writers.profiles.section import block_m
from siting.writers.profiles.svg_marks import (
    SMALL,
    TEXT,
    WIDTH,
    block,
    blocks,
    box,
    circle,
    earth_pattern,
    line,
    picture,
    polygon,
    polyline,
    wide,
    words,
)
from siting.writers.profiles.words import HANGING, NO_GUYS, NO_PROFILES, bearing, clear_words

PREFIX = "guy-profiles"
GAP, LEFT, RIGHT, HEAD, ABOVE, BELOW, DEEP = 3.0, 13.0, 3.0, 6.6, 3.4, 7.4, 2.4
BAR, ANCHOR = 1.2, 1.1
STROKES = {"permanent": ("pf-guy", 0.3, None), "temporary": ("pf-guy-lift", 0.3, "1.8 1"), "straight": ("pf-guy-straight", 0.35, "0.6 0.9")}
STROKE_WORDS = {"permanent": "guy", "temporary": "guy for the lift only", "straight": "drawn straight: it hangs lower"}


def guy_profiles_svg(plan: Plan) -> str:
    """The ground along every guy, no unit: markup to stand in a page."""
    title, lines = "The guys and the ground under them", plan_lines(plan)
    if not lines:
        told = NO_GUYS if plan.profiles is not None else NO_PROFILES
        content, low = block((0.0, 0.0), told, WIDTH)
        return picture(PREFIX, low + 1.0, (title, told), content)
    columns = 2 if len(lines) > 1 else 1
    across = (WIDTH - GAP * (columns - 1)) / columns
    bounds = line_bounds_m(plan, lines)
    per_m = (across - LEFT - RIGHT) / max(bounds[0], (bounds[2] - bounds[1]) * 0.9)
    legend, top = _legend(lines, per_m)
    foot = 2 * SMALL * 1.28 + 2.6
    high = HEAD + ABOVE + (bounds[2] - bounds[1]) * per_m + BELOW + foot
    cells = [
        _cell(plan, a_line, (number % columns * (across + GAP), top + number // columns * (high + GAP)), ((across, high, foot), per_m, bounds))
        for number, a_line in enumerate(lines)
    ]
    y = top + math.ceil(len(lines) / columns) * (high + GAP)
    notes, straight = "", straight_words(plan)
    for text in straight:
        drawn, y = block((0.0, y), text, WIDTH, SMALL, bold=True)
        notes += drawn
    least = "; ".join(f"{', '.join(a.names)} at {bearing(a.azimuth_deg)}: {_least(a)}" for a in lines)
    told = f"Least heights: {least}. {' '.join((*HANGING, *straight))}"
    return picture(PREFIX, y + 1.0, (title, told), legend + "".join(cells) + notes, earth_pattern(PREFIX))


def _legend(lines: tuple[PlanLine, ...], per_m: float) -> tuple[str, float]:
    """Strokes in words, an angle of scale bars, and where the pictures begin."""
    drawn = {_kind(hang) for a_line in lines for _, hang in a_line.hangs}
    parts, y = [words((0.0, 0.92 * TEXT), "Heights and lengths alike, one scale", bold=True)], 1.4 * TEXT
    for kind in (k for k in STROKES if k in drawn):
        parts.append(line((0.0, y + 1.8), (10.0, y + 1.8), *STROKES[kind]))
        parts.append(words((11.6, y + 0.92 * SMALL), STROKE_WORDS[kind], SMALL))
        y += 1.28 * SMALL
    step = block_m(per_m, 6.0)
    part, corner = step * per_m, (WIDTH - 2 * step * per_m - wide("100 m", SMALL) - 1.0, max(y, 2.6 * TEXT) - BAR)
    parts.append(blocks([((corner[0] + k * part, corner[1]), (part, BAR)) for k in range(2)], "pf-axis"))
    parts.append(blocks([((corner[0] - BAR, corner[1] - part), (BAR, part))], "pf-axis"))
    parts.append(words((corner[0] + 2 * part + 0.8, corner[1] + BAR + 0.3), f"{2 * step:g} m", SMALL))
    parts.append(words((corner[0] + 1.0, corner[1] - part + 0.7 * SMALL), f"{step:g} m up", SMALL))
    return "".join(parts), max(y, corner[1] + BAR) + 2.4


def _kind(hang: Hang) -> str:
    return "straight" if hang.straight_because else hang.use


def _least(a_line: PlanLine) -> str:
    """The guy that comes nearest to the ground, in words."""
    found = a_line.least
    gap = "; the DEM has gaps here" if a_line.has_gap else ""
    return "ground not known" if found is None else f"{guy_name(*found)}, {clear_words(found[1])}{gap}"


def _cell(plan: Plan, a_line: PlanLine, corner: Point, how: tuple[tuple[float, float, float], float, tuple[float, float, float]]) -> str:
    """One direction: heading, drawing, and what comes nearest to the ground below it."""
    (across, high, foot), per_m, (_, _, high_m) = how
    x, y = corner
    azimuth = f"{bearing(a_line.azimuth_deg)} true"
    names, room = ", ".join(a_line.names), across - wide(azimuth, SMALL) - 4.0
    if wide(names, bold=True) > room:
        names = next(names[:n] for n in range(len(names), -1, -1) if wide(f"{names[:n]}…", bold=True) <= room) + "…"
    parts = [
        box((x, y), (across, high), "pf-frame", "none", 0.25),
        words((x + 1.2, y + 4.6), names, bold=True),
        words((x + across - 1.2, y + 4.6), azimuth, SMALL, align="end"),
    ]
    origin = (x + LEFT, y + HEAD + ABOVE + high_m * per_m)

    def at(place: Point) -> Point:
        return origin[0] + place[0] * per_m, origin[1] - place[1] * per_m

    for piece in a_line.ground:
        ground = [at(p) for p in piece]
        parts.append(polygon([*ground, *((gx, gy + DEEP) for gx, gy in ground[::-1])], "pf-earth", f"url(#{PREFIX}-earth)"))
        parts.append(polyline(ground, "pf-ground", 0.5))
    parts.append(_guys(plan, a_line, at))
    for k, text in enumerate(_foot(a_line)):
        parts.append(words((x + 1.2, y + high - foot + 0.9 + SMALL * (0.92 + 1.28 * k)), text, SMALL, bold=k == 0))
    parts.append(line((x, y + high - foot), (x + across, y + high - foot), "pf-rule", 0.2))
    return "".join(parts)


def _foot(a_line: PlanLine) -> tuple[str, str]:
    """Two lines below a picture: how near the lowest guy comes to the ground, and where."""
    found = a_line.least
    if found is None:
        return "Ground not known", ""
    first, _, rest = clear_words(found[1]).partition(" at ")
    return f"{first}", f"{guy_name(*found)}, at {rest.removesuffix(' from the base')}"


def _guys(plan: Plan, a_line: PlanLine, at) -> str:
    """Guys, the plumb mast with its attachments' heights, the anchors, the arrow on the least height."""
    parts, hinge_m = [], plan.mast.hinge_height_m
    for _, hang in a_line.hangs:
        css, stroke, dash = STROKES[_kind(hang)]
        points = [at(p) for p in zip(hang.x_m, hang.z_m, strict=True)]
        parts.append(polyline([points[0], points[-1]] if hang.straight_because else points, css, stroke, dash))
    parts.append(line(at((0.0, 0.0)), at((0.0, hinge_m + plan.mast.height_m)), "pf-mast", 1.0))
    last = math.inf
    for attach_m in sorted({hang.attach_m for _, hang in a_line.hangs}):
        x, y = at((0.0, hinge_m + attach_m))
        parts.append(circle((x, y), 0.7, "pf-attachment", "#fff"))
        if last - y >= SMALL:
            parts.append(words((x - 1.5, y + 0.34 * SMALL), level_name(attach_m), SMALL, align="end"))
            last = y
    right = -math.inf
    for stake, _ in a_line.anchors:
        x, y = at((stake.radius_m, stake.above_base_m))
        parts.append(_anchor((x, y), stake.role))
        name = stake.point if len(a_line.anchors) > 1 else ""
        if name and x - wide(name, SMALL) / 2 > right:
            parts.append(words((x, y + ANCHOR + SMALL + 1.6), name, SMALL, align="middle"))
            right = x + wide(name, SMALL) / 2
    found = a_line.least
    if found is not None:
        x, y = at((found[1].clear_at_m, height_of(found[1], found[1].clear_at_m)))
        parts.append(line((x, y - 5.0), (x, y - 1.2), "pf-least", 0.35))
        parts.append(polygon([(x, y - 0.1), (x - 0.8, y - 2.0), (x + 0.8, y - 2.0)], "pf-least"))
    return "".join(parts)


def _anchor(at: Point, role: str) -> str:
    """The mark of an anchor: a square, or a diamond for the lift."""
    (x, y), r = at, ANCHOR
    if role == "permanent":
        return box((x - r, y - r), (2 * r, 2 * r), "pf-anchor", "currentColor")
    return polygon([(x, y - 1.4 * r), (x + 1.4 * r, y), (x, y + 1.4 * r), (x - 1.4 * r, y)], "pf-anchor", "#fff", 0.4)
