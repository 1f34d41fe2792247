"""The laydown rose as an inline picture of the map: margins as bars, what rules out as patterns with letters, the chosen one."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan
from siting.writers.paper.canvas import Point
from siting.writers.paper.sketch_labels import Box, Label
from siting.writers.profiles.around import place_around
from siting.writers.profiles.sectors import NOT_JUDGED, Run, Sector, kinds, runs, sectors
from siting.writers.profiles.svg_marks import (
    SMALL,
    TEXT,
    WIDTH,
    block,
    box,
    circle,
    element,
    line,
    number,
    picture,
    plain,
    polygon,
    wide,
    words,
)
from siting.writers.profiles.svg_patterns import PATTERN_INK, kind_patterns, pattern_fill
from siting.writers.profiles.words import ALLOWED, bearing, rose_summary, run_words, uphill_words

PREFIX = "laydown-rose"
INNER, BARS, OUTER = 6.0, 35.5, 42.5
MIDDLE = (WIDTH / 2, 58.0)
LETTER_ROOM, NORTH = 4.6, 12.0
HIGH = 116.0
PASS_INK = 0.3


def rose_svg(plan: Plan) -> str:
    """The rose with its legend, no unit: markup to stand in a page."""
    found = sectors(plan.laydown)
    title = f"The laydown rose: laydown {shown(plan.laydown.azimuth_deg, 'bearing')} true, true north up"
    ring = "".join(_run(plan, run, found) for run in runs(found))
    legend, y = _legend(plan, found)
    content = _circles() + ring + _bars(found) + _directions(plan) + _names(plan, found) + _norths(plan) + legend
    return picture(PREFIX, y + 1.0, (title, f"{rose_summary(plan)} {ALLOWED}"), content, kind_patterns(PREFIX, kinds(found)))


def _at(azimuth_deg: float, radius: float) -> Point:
    turn = math.radians(azimuth_deg)
    return MIDDLE[0] + radius * math.sin(turn), MIDDLE[1] - radius * math.cos(turn)


def _piece(span_deg: Point, radii: Point) -> str:
    """The path of a piece of a ring, clockwise; a whole ring in two halves."""
    if span_deg[1] - span_deg[0] >= 360.0 - 1e-9:
        return _piece((span_deg[0], span_deg[0] + 180.0), radii) + _piece((span_deg[0] + 180.0, span_deg[0] + 359.999), radii)
    a, b, c, d = _at(span_deg[0], radii[1]), _at(span_deg[1], radii[1]), _at(span_deg[1], radii[0]), _at(span_deg[0], radii[0])
    large = int(span_deg[1] - span_deg[0] > 180.0)
    xy = [f"{number(p[0])} {number(p[1])}" for p in (a, b, c, d)]
    outer, inner = number(radii[1]), number(radii[0])
    return f"M{xy[0]}A{outer} {outer} 0 {large} 1 {xy[1]}L{xy[2]}A{inner} {inner} 0 {large} 0 {xy[3]}Z"


def _run(plan: Plan, run: Run, found: tuple[Sector, ...]) -> str:
    """A run of the ring: a pattern where it is ruled out, white where allowed, dashed where not judged."""
    span = (run.from_deg, run.from_deg + run.width_deg)
    kind = next((k for k in kinds(found) if k.kind == run.kind), None)
    first, last = run.sectors[0].azimuth_deg, run.sectors[-1].azimuth_deg
    what = f"{run.verdict}{f', {kind.letter}' if kind else ''}"
    told = element("title", plain(f"{bearing(first)} to {bearing(last)}: {what}. {run_words(plan, run, found)}"))
    css = f"rose-run rose-{run.verdict}" + (f" rose-{run.kind.replace('_', '-')}" if kind else "")
    return element(
        "path", told, class_=css, data_from=bearing(first).rstrip("°"), data_to=bearing(last).rstrip("°"), data_verdict=run.verdict,
        data_kind=run.kind or None, d=_piece(span, (BARS, OUTER)), fill=pattern_fill(PREFIX, kind) if kind else "#fff",
        fill_opacity=PATTERN_INK.get(kind.pattern % 10) if kind else None, stroke="currentColor",
        stroke_width=0.3 if kind else 0.7, stroke_dasharray="0.8 0.8" if run.verdict == NOT_JUDGED else None,
    )  # fmt: skip


def _circles() -> str:
    """Circles at a quarter, a half and three quarters of what is allowed; ticks of the compass."""
    parts = [circle(MIDDLE, BARS - part * (BARS - INNER), "rose-circle", stroke=0.15) for part in (0.25, 0.5, 0.75)]
    parts += [circle(MIDDLE, INNER, "rose-circle", stroke=0.25)]
    for azimuth in range(0, 360, 10):
        parts.append(line(_at(azimuth, OUTER), _at(azimuth, OUTER + (2.0 if azimuth % 30 == 0 else 1.1)), "rose-tick", 0.25))
    return "".join(parts)


def _bars(found: tuple[Sector, ...]) -> str:
    """Bars inward from the ring for the allowed directions, as long as what is left; neighbours in one outline."""
    parts = []
    for run in runs(found):
        if run.verdict not in ("pass", "marginal"):
            continue
        edge = [_at(run.from_deg, BARS)]
        for sector in run.sectors:
            end = BARS - max(sector.margin, 0.01) * (BARS - INNER)
            edge += [_at(sector.from_deg, end), _at(sector.to_deg, end)]
        steps = max(1, math.ceil(run.width_deg / 3.0))
        edge += [_at(run.from_deg + run.width_deg * k / steps, BARS) for k in range(steps, -1, -1)]
        bar = polygon(edge, f"rose-bar rose-{run.verdict}", "currentColor" if run.verdict == "pass" else "#fff", 0.25)
        parts.append(bar.replace(' fill="currentColor"', f' fill="currentColor" fill-opacity="{PASS_INK:g}"'))
    return "".join(parts)


def _head(azimuth_deg: float, foot: float, tip: float, across: float) -> list[Point]:
    """The corners of an arrow's head that points outward."""
    back, side = _at(azimuth_deg, foot), _at(azimuth_deg + 90.0, across / 2)
    dx, dy = side[0] - MIDDLE[0], side[1] - MIDDLE[1]
    return [_at(azimuth_deg, tip), (back[0] + dx, back[1] + dy), (back[0] - dx, back[1] - dy)]


def _directions(plan: Plan) -> str:
    """The next best with their numbers, the chosen laydown, uphill as an open arrow."""
    parts = []
    for count, runner in enumerate(plan.laydown.runners_up, 1):
        parts.append(line(_at(runner.azimuth_deg, INNER), _at(runner.azimuth_deg, BARS), "rose-runner", 0.3, "1.6 1"))
        x, y = _at(runner.azimuth_deg, BARS - 4.4)
        parts.append(circle((x, y), 2.7, "rose-runner", "#fff", 0.35))
        parts.append(words((x, y + 0.35 * TEXT), str(count), bold=True, align="middle"))
    azimuth = plan.laydown.azimuth_deg
    casing = line(MIDDLE, _at(azimuth, BARS - 1.0), "rose-casing", 2.0).replace('stroke="currentColor"', 'stroke="#fff"')
    parts += [casing, line(MIDDLE, _at(azimuth, BARS - 1.0), "rose-laydown", 1.2)]
    parts.append(polygon(_head(azimuth, OUTER - 6.5, OUTER, 4.6), "rose-laydown"))
    parts.append(circle(MIDDLE, 1.6, "rose-base", "#fff", 0.45))
    if plan.base.uphill_deg is not None:
        parts.append(polygon(_head(plan.base.uphill_deg, OUTER + 2.4, OUTER + 6.4, 3.6), "rose-uphill", "#fff", 0.4))
    return "".join(parts)


def _label(lines: tuple[str, ...], azimuth_deg: float, size: float, reach: float) -> Label:
    is_bold = len(lines) > 1 or len(lines[0]) == 1
    across = max(wide(text, size, bold=is_bold) for text in lines) + 0.4
    return Label(_at(azimuth_deg, OUTER), reach, across, len(lines) * size, math.radians(azimuth_deg - 90.0), lines)


def _names(plan: Plan, found: tuple[Sector, ...]) -> str:
    """Letters inside the ring where they fit; the others, the compass and the names around it."""
    parts, labels = [], []
    letters = {kind.kind: kind.letter for kind in kinds(found)}
    for run in runs(found):
        text = letters[run.kind] if run.verdict == "fail" else "?" if run.verdict == NOT_JUDGED else ""
        if text and math.radians(run.width_deg) * BARS < LETTER_ROOM:
            labels.append(_label((text,), run.middle_deg, TEXT, 0.8))
            continue
        count = max(1, round(run.width_deg / 60.0)) if text else 0
        for k in range(count):
            x, y = _at(run.from_deg + run.width_deg * (k + 0.5) / count, (BARS + OUTER) / 2)
            parts += [circle((x, y), 2.4, "rose-letter", "#fff", None), words((x, y + 0.35 * TEXT), text, bold=True, align="middle")]
    lay, uphill = plan.laydown, plan.base.uphill_deg
    labels.append(_label(("laydown", shown(lay.azimuth_deg, "bearing")), lay.azimuth_deg, TEXT, 1.0))
    labels += [_label(("uphill",), uphill, SMALL, 6.4)] if uphill is not None else []
    for azimuth in range(0, 360, 30):
        name = {0: "N", 90: "E", 180: "S", 270: "W"}.get(azimuth, f"{azimuth}°")
        labels.append(_label((name,), float(azimuth), TEXT + 0.8 if azimuth % 90 == 0 else SMALL, 2.2))
    marks: list[Box] = [(x - 3.2, y - 3.2, x + 3.2, y + 3.2) for x, y in (_at(a, (BARS + OUTER) / 2) for a in range(0, 360, 3))]
    marks.append((0.0, 0.0, 15.0, NORTH + 9.0))
    if uphill is not None:
        xs, ys = zip(*_head(uphill, OUTER + 2.4, OUTER + 6.4, 3.6), strict=True)
        marks.append((min(xs), min(ys), max(xs), max(ys)))
    area = (0.5, 0.5, WIDTH - 0.5, HIGH - 0.5)
    placed = place_around(labels, marks, area)
    for name in placed:
        parts += [line(*name.leader, "rose-leader", 0.2)] if name.leader else []
        left, top, right, low = name.box
        size = (low - top) / len(name.label.lines)
        is_bold = len(name.label.lines) > 1 or len(name.label.lines[0]) == 1
        for k, text in enumerate(name.label.lines):
            parts.append(words(((left + right) / 2, top + size * (k + 0.84)), text, size, bold=is_bold, align="middle"))
    return "".join(parts)


def _norths(plan: Plan) -> str:
    """True, grid and magnetic north from one foot, true to their angles, with their angles in words."""
    crs, foot = plan.crs, (5.0, NORTH + 2.4)
    turns = [("T", 0.0, 0.5), ("G", crs.convergence_deg, 0.2)]
    turns += [("M", crs.declination_deg, 0.3)] if crs.declination_deg is not None else []
    parts = []
    for name, turn_deg, stroke in turns:
        turn, long = math.radians(turn_deg), NORTH - (0.0 if name == "T" else 1.6)
        tip = (foot[0] + long * math.sin(turn), foot[1] - long * math.cos(turn))
        parts.append(line(foot, tip, "rose-north", stroke, "1 0.6" if name == "M" else None))
        if name == "T":
            parts.append(polygon([(tip[0], tip[1] - 0.8), (tip[0] - 1.0, tip[1] + 2.4), (tip[0] + 1.0, tip[1] + 2.4)], "rose-north"))
    texts = ["T true"] + [f"{name} {turn_deg:+.2f}°".replace("-", "−") for name, turn_deg, _ in turns[1:]]
    parts += [words((0.5, foot[1] + SMALL * (1.1 + 1.15 * k)), text, SMALL) for k, text in enumerate(texts)]
    return "".join(parts)


def _legend(plan: Plan, found: tuple[Sector, ...]) -> tuple[str, float]:
    """What each sign means, and how many directions it stands for; where the picture ends."""
    count = {v: sum(s.verdict == v for s in found) for v in ("pass", "marginal", NOT_JUDGED)}
    rows = [("laydown", f"laydown {shown(plan.laydown.azimuth_deg, 'bearing')} true, {plan.laydown.chosen_by}")]
    for n, runner in enumerate(plan.laydown.runners_up, 1):
        rows.append((str(n), f"next best {bearing(runner.azimuth_deg)}: {runner.why}"))
    rows += [("uphill", uphill_words(plan)), ("pass", f"allowed ({count['pass']}); bar inward: what is left, circles at 25, 50, 75 %")]
    rows += [("marginal", f"marginal ({count['marginal']}), bar inward: what is left")] if count["marginal"] else []
    rows += [(NOT_JUDGED, f"not judged, no ground ({count[NOT_JUDGED]})")] if count[NOT_JUDGED] else []
    parts, y = [], HIGH + 1.0
    for sign, text in rows:
        parts.append(_sign(sign, y))
        drawn, y = block((14.0, y), text, WIDTH - 14.0)
        parts.append(drawn)
        y += 1.2
    for kind in kinds(found):
        swatch = box((0.0, y + 0.2), (11.0, 4.4), "rose-swatch", pattern_fill(PREFIX, kind), 0.3)
        ink = PATTERN_INK.get(kind.pattern % 10)
        parts.append(swatch if ink is None else swatch.replace(' fill="currentColor"', f' fill="currentColor" fill-opacity="{ink:g}"'))
        parts.append(words((14.0, y + 0.92 * TEXT), kind.letter, bold=True))
        drawn, y = block((19.0, y), f"ruled out: {kind.words} ({kind.count})", WIDTH - 19.0)
        parts.append(drawn)
        y += 1.2
    return "".join(parts), y


def _sign(sign: str, y: float) -> str:
    """A sign of the legend, 11 wide."""
    middle = y + 2.2
    if sign == "laydown":
        return line((0.0, middle), (8.0, middle), "rose-laydown", 1.2) + polygon([(11.0, middle), (6.8, middle - 1.8), (6.8, middle + 1.8)], "rose-laydown")
    if sign == "uphill":
        return polygon([(5.5, middle - 2.0), (7.3, middle + 1.8), (3.7, middle + 1.8)], "rose-uphill", "#fff", 0.4)
    if sign in ("pass", "marginal"):
        bar = box((0.0, middle - 1.7), (11.0, 3.4), f"rose-bar rose-{sign}", "currentColor" if sign == "pass" else "#fff")
        return bar.replace(' fill="currentColor"', f' fill="currentColor" fill-opacity="{PASS_INK:g}"')
    if sign == NOT_JUDGED:
        edges = [line((0.0, middle + s), (11.0, middle + s), "rose-unchecked", 0.4, "0.8 0.8") for s in (-1.8, 1.8)]
        return "".join(edges) + words((5.5, middle + 0.35 * TEXT), "?", bold=True, align="middle")
    return circle((5.5, middle), 2.3, "rose-runner", "#fff", 0.35) + words((5.5, middle + 0.35 * TEXT), sign, bold=True, align="middle")
