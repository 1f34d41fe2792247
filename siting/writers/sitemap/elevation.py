"""The mast from the side, standing, to scale: real ground in two guy planes, heights, guys, anchors, fall circle."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from siting.figures import shown
from siting.records.permit import PermitFacts
from siting.records.plan import Plan, Stake
from siting.units import METRES_PER_FOOT
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point
from siting.writers.paper.sketch_marks import REACH_MM, draw_mark
from siting.writers.sitemap.guy_planes import GuyPlane, guy_planes, heights_of
from siting.writers.sitemap.label_room import LabelRoom
from siting.writers.sitemap.lengths import length, signed_length
from siting.writers.sitemap.map_sheet import HEADING, LINE_MM, TEXT, Box, MapSheet
from siting.writers.sitemap.scale import METRIC, Scale, standard_scales
from siting.writers.sitemap.scale_foot import FOOT_BARS, METRE_BARS, draw_bar
from siting.writers.sitemap.strokes import draw_arrows

# Of a common scale ruler: a drawing seen from the side needs finer steps than a map.
RATIOS = tuple(sorted({*METRIC, 125, 150, 300, 400, 600, 750, 1500, 2000}))
SCHEMATIC = "Schematic: the mast maker's drawing rules. The mast's width is not to scale; guys are drawn straight."
NO_GROUND = "NO GROUND IS DRAWN where the plan holds no profile of it."
GROUND_WORDS = "Ground by the DEM, drawn as far as the plan knows it; dashed: the level of the ground at the base. All of it proposed."
TITLE_MM, BAR_ROOM_MM, PAD_MM = 6.0, 70.0, 1.0
ROW_MM, FIRST_ROW_MM, TOP_MM, FALL_TICK_MM = 5.8, 6.6, 6.4, 2.6
LADDER_MM, STEP_MM, KINK_MM = 8.0, 4.3, 3.5
# Columns at the ladder of heights: figures, words. Wide enough in every language, so that the scale is the same in each.
FIGURE_MM, WORDS_MM = 18.0, 34.0
OVER = ("over ground", "over hinge")
MAST_MM, LACE_MM, GROUND_MM, GUY_MM, HATCH_MM, HATCH_STEP_MM = 1.8, 2.2, 0.5, 0.3, 1.2, 2.2
LEVEL_DASH, LEVEL_INK = (1.6, 1.2), 0.45


@dataclass(frozen=True, slots=True)
class Elevation:
    """The drawing in the making: scale, where the base's ground lies on the paper (mm), the planes to either side."""

    sheet: MapSheet
    plan: Plan
    facts: PermitFacts
    scale: Scale
    origin: Point
    right: GuyPlane
    left: GuyPlane | None

    def at(self, out_m: float, up_m: float) -> Point:
        """A place on the paper: metres to the right of the mast's axis and above the ground at the base."""
        return self.origin[0] + self.scale.mm(out_m), self.origin[1] - self.scale.mm(up_m)

    @property
    def sides(self) -> tuple[tuple[float, GuyPlane], ...]:
        """The planes with +1 for the right one and −1 for the left one."""
        return ((1.0, self.right), *(((-1.0, self.left),) if self.left is not None else ()))


def draw_elevation(sheet: MapSheet, plan: Plan, facts: PermitFacts, box: Box) -> Scale:
    """Draws it inside the box, mm; returns its scale."""
    right, left, others = guy_planes(plan)
    notes = _notes(plan, right, left, others)
    lines = [line for text in notes for line in sheet.wrapped(text, box[2] - box[0] - BAR_ROOM_MM - 4.0, TEXT)]
    head_mm = TITLE_MM + max(LINE_MM * len(lines), 12.0) + 2.0
    inner = (box[0] + PAD_MM, box[1] + head_mm + TOP_MM, box[2] - PAD_MM, box[3] - PAD_MM)
    made = _fitted(Elevation(sheet, plan, facts, Scale(1.0, True, True, ""), (0.0, 0.0), right, left), inner)
    _head(made, box, lines)
    room = LabelRoom(sheet, (box[0], box[1] + head_mm, box[2], box[3]))
    _ground(made, room)
    _guys(made, room)
    _mast(made, room)
    _ladder(made, room)
    _dimensions(made, room)
    _anchors(made, room)
    room.draw()
    return made.scale


def _notes(plan: Plan, right: GuyPlane, left: GuyPlane | None, others: tuple[GuyPlane, ...]) -> list[str]:
    """What the drawing is, and what stands on which side of it."""
    if not right.anchors:
        return [SCHEMATIC, f"No permanent guys are known. Right: the laydown, {shown(right.azimuth_deg, 'bearing')} true.", GROUND_WORDS]
    sides = f"Right: the guy plane {shown(right.azimuth_deg, 'bearing')} true"
    if left is not None:
        sides += f"; left: the guy plane {shown(left.azimuth_deg, 'bearing')} true, each turned into the paper"
    rest = ", ".join(s.point for plane in others for s in plane.anchors)
    ground = GROUND_WORDS if right.ground and (left is None or left.ground) else NO_GROUND
    return [SCHEMATIC, f"{sides}.", *([f"In other planes, see the table: {rest}."] if rest else []), ground]


def _reach_m(made: Elevation, side: float) -> float:
    """How far the ground or an anchor of a side reaches, metres."""
    plane = made.right if side > 0 else made.left
    return max([0.0, *(s.radius_m for s in plane.anchors)]) if plane is not None else 0.0


def _label_mm(made: Elevation) -> float:
    """Width of the figures and words at the ladder of heights."""
    return 2.0 * FIGURE_MM + max(WORDS_MM, *(made.sheet.text_mm(words, TEXT) for _, words in _levels(made)))


def _rows(made: Elevation) -> int:
    """How many rows of dimensions stand under the ground: the anchors', then the fall circle's."""
    return max(len(plane.anchors) for _, plane in made.sides) + 1


def _fitted(made: Elevation, inner: Box) -> Elevation:
    """The largest scale of the ruler at which everything finds room; the drawing in the middle of its room."""
    plan = made.plan
    fall, total = plan.land.fall_radius_m, plan.mast.total_height_m
    low = min([0.0, *(h for _, plane in made.sides for _, h in plane.ground if h is not None), *(s.above_base_m for _, p in made.sides for s in p.anchors)])
    below_mm = FIRST_ROW_MM + ROW_MM * _rows(made) + 1.0
    ratios = standard_scales(made.facts.units) if made.facts.units == "ft" else tuple(float(r) for r in RATIOS)
    for ratio in ratios:
        scale = Scale(ratio, True, True, "")
        left_mm = scale.mm(max(fall, _reach_m(made, -1.0))) + 1.0
        right_mm = max(scale.mm(fall), scale.mm(_reach_m(made, 1.0)) + LADDER_MM + KINK_MM + _label_mm(made)) + 1.0
        high_mm = scale.mm(total - low) + below_mm
        if left_mm + right_mm <= inner[2] - inner[0] and high_mm <= inner[3] - inner[1]:
            break
    spare = max(0.0, (inner[2] - inner[0] - left_mm - right_mm) / 2)
    return replace(made, scale=scale, origin=(inner[0] + spare + left_mm, inner[1] + scale.mm(total)))


def _head(made: Elevation, box: Box, lines: list[str]) -> None:
    """Title with the scale, the notes, and a bar in the office's unit."""
    sheet, scale = made.sheet, made.scale
    title, size = sheet.fitted(f"Elevation of the mast, standing plumb; {scale.written} ({scale.in_words})", box[2] - box[0], HEADING, TEXT, bold=True)
    sheet.text((box[0], box[1] + TITLE_MM - 1.5), title, size, bold=True)
    sheet.line((box[0], box[1] + TITLE_MM), (box[2], box[1] + TITLE_MM), 0.4)
    for number, line in enumerate(lines):
        sheet.text((box[0], box[1] + TITLE_MM + 3.6 + LINE_MM * number), line, TEXT)
    is_feet = made.facts.units == "ft"
    unit_m = METRES_PER_FOOT if is_feet else 1.0
    whole = next((b for b in (FOOT_BARS if is_feet else METRE_BARS) if scale.mm(b * unit_m) <= BAR_ROOM_MM - 14.0), 5.0)
    draw_bar(sheet, (box[2] - BAR_ROOM_MM, box[1] + TITLE_MM + 3.0), scale.mm(whole * unit_m), whole, "ft" if is_feet else "m")


def _ground(made: Elevation, room: LabelRoom) -> None:
    """The level of the base dashed over the fall circle; the ground of either side with earth strokes."""
    sheet, fall = made.sheet, made.plan.land.fall_radius_m
    sheet.path([made.at(-fall, 0.0), made.at(fall, 0.0)], HAIR_MM, LEVEL_DASH, LEVEL_INK)
    for side, plane in made.sides:
        for (s0, h0), (s1, h1) in zip(plane.ground, plane.ground[1:], strict=False):
            if h0 is None or h1 is None:
                continue
            a, b = made.at(side * s0, h0), made.at(side * s1, h1)
            sheet.line(a, b, GROUND_MM)
            room.add_lines([a, b])
        _earth(made, side, plane)


def _earth(made: Elevation, side: float, plane: GuyPlane) -> None:
    """Short strokes below the ground, at even steps of the paper."""
    if not plane.ground:
        return
    count = int(made.scale.mm(plane.ground[-1][0]) / HATCH_STEP_MM)
    for k in range(count):
        s_m = (k + 0.5) * HATCH_STEP_MM * made.scale.ratio / 1000.0
        height = plane.height_at(s_m)
        if height is not None:
            x, y = made.at(side * s_m, height)
            made.sheet.line((x, y + 0.3), (x - HATCH_MM * 0.7, y + 0.3 + HATCH_MM * 0.7), HAIR_MM)


def _guys(made: Elevation, room: LabelRoom) -> None:
    """The permanent guys of the two planes, straight, from the anchor's real height to the attachment."""
    hinge = made.plan.mast.hinge_height_m
    for side, plane in made.sides:
        at = {s.id: s for s in plane.anchors}
        for guy in made.plan.guys:
            if guy.use == "permanent" and guy.anchor in at:
                stake = at[guy.anchor]
                ends = [made.at(0.0, guy.attach_m + hinge), made.at(side * stake.radius_m, stake.above_base_m)]
                made.sheet.line(*ends, GUY_MM)
                room.add_lines(ends)


def _mast(made: Elevation, room: LabelRoom) -> None:
    """The mast on its hinge: two edges, laced where it is a lattice; the air terminal as a single line."""
    sheet, mast = made.sheet, made.plan.mast
    half, top_m = MAST_MM / 2, min(mast.hinge_height_m + mast.height_m, mast.total_height_m)
    (x, foot), (_, top), (_, tip) = made.at(0.0, mast.hinge_height_m), made.at(0.0, top_m), made.at(0.0, mast.total_height_m)
    sheet.box((x - half, top), (MAST_MM, foot - top), fill=1.0)
    for edge in (-half, half):
        sheet.line((x + edge, foot), (x + edge, top), THIN_MM)
    sheet.line((x - half, top), (x + half, top), THIN_MM)
    if mast.structure == "lattice":
        count = max(1, int((foot - top) / LACE_MM))
        step = (foot - top) / count
        sheet.path([(x + (half if k % 2 else -half), foot - k * step) for k in range(count + 1)], HAIR_MM)
    sheet.line((x, top), (x, tip), 0.45)
    ground = made.at(0.0, 0.0)
    sheet.polygon([(x, foot), (x - 1.5, ground[1] + 1.3), (x + 1.5, ground[1] + 1.3)], 0.2, 0.0)
    room.boxes.append((x - half - 0.4, tip, x + half + 0.4, ground[1] + 1.4))


def _levels(made: Elevation) -> list[tuple[float, str]]:
    """Heights above the ground at the base with their words, the highest first."""
    mast = made.plan.mast
    found = [(mast.total_height_m, "tip of the air terminal")]
    if mast.total_height_m - mast.hinge_height_m - mast.height_m > 0.01:
        found.append((mast.hinge_height_m + mast.height_m, "top of the mast"))
    found += [(attach_m + mast.hinge_height_m, "guys") for attach_m in heights_of(made.plan)]
    return [*sorted(found, key=lambda level: -level[0]), (mast.hinge_height_m, "hinge"), (0.0, "ground at the base")]


def _ladder(made: Elevation, room: LabelRoom) -> None:
    """The heights on a line of their own at the right, each with what stands there; figures that come too near are spread."""
    sheet, units = made.sheet, made.facts.units
    x = made.at(_reach_m(made, 1.0), 0.0)[0] + LADDER_MM
    levels, hinge_m = _levels(made), made.plan.mast.hinge_height_m
    wanted = [made.at(0.0, height)[1] for height, _ in levels]
    places = _spread(wanted, STEP_MM)
    sheet.line((x, wanted[0]), (x, wanted[-1]), THIN_MM)
    for y, place, (height, words) in zip(wanted, places, levels, strict=True):
        sheet.path([(made.origin[0] + MAST_MM, y), (x + 1.2, y)], HAIR_MM, (0.6, 0.9), LEVEL_INK)
        sheet.line((x - 0.9, y + 0.9), (x + 0.9, y - 0.9), 0.3)
        sheet.line((x + 1.2, y), (x + KINK_MM, place), HAIR_MM)
        left = x + KINK_MM + 0.8
        sheet.box((left, place - 1.7), (2.0 * FIGURE_MM + sheet.text_mm(words, TEXT) + 0.8, 3.4), fill=1.0)
        sheet.text((left, place + 1.05), length(height, units), TEXT, bold=True)
        over_hinge = length(height - hinge_m, units) if height > hinge_m else ""
        sheet.text((left + FIGURE_MM, place + 1.05), over_hinge, TEXT)
        sheet.text((left + 2.0 * FIGURE_MM, place + 1.05), words, TEXT)
    for number, words in enumerate(OVER):
        sheet.text((left + number * FIGURE_MM, min(places) - 3.2), words, TEXT)
    room.boxes.append((x - 1.2, min(places) - 6.0, x + KINK_MM + _label_mm(made), max(places) + 2.5))


def _spread(wanted: list[float], step: float) -> list[float]:
    """Places at least a step apart, in the order given, none below the last that is wanted: one pass down, one back up."""
    places: list[float] = []
    for y in wanted:
        places.append(max(y, places[-1] + step) if places else y)
    most = wanted[-1]
    for k in range(len(places) - 1, -1, -1):
        places[k] = min(places[k], most)
        most = places[k] - step
    return places


def _low_mm(made: Elevation) -> float:
    """The lowest ground on the paper, mm."""
    heights = [h for _, plane in made.sides for _, h in plane.ground if h is not None]
    return made.at(0.0, min([0.0, *heights, *(s.above_base_m for _, p in made.sides for s in p.anchors)]))[1]


def _dimensions(made: Elevation, room: LabelRoom) -> None:
    """Under the ground: each anchor's radius, then the fall circle's, from the mast's axis."""
    first = _low_mm(made) + FIRST_ROW_MM
    fall, rows = made.plan.land.fall_radius_m, _rows(made)
    axis = made.origin[0]
    made.sheet.line((axis, made.origin[1] + 1.3), (axis, first + ROW_MM * (rows - 1) + 1.2), HAIR_MM)
    for side, plane in ((1.0, made.right), (-1.0, made.left)):
        for row, stake in enumerate(sorted(plane.anchors, key=lambda s: s.radius_m) if plane is not None else ()):
            ends = made.at(side * stake.radius_m, stake.above_base_m), first + ROW_MM * row
            _dimension(made, room, ends, f"{stake.point} {length(stake.radius_m, made.facts.units)}")
        x, level = made.at(side * fall, 0.0)
        ends = (x, level + FALL_TICK_MM), first + ROW_MM * (rows - 1)
        _dimension(made, room, ends, f"fall circle {length(fall, made.facts.units)}")


def _dimension(made: Elevation, room: LabelRoom, ends: tuple[Point, float], text: str) -> None:
    """A level dimension from the axis to below a point, its figure over the line's outer part."""
    (x, top), y = ends
    sheet, axis = made.sheet, made.origin[0]
    sheet.line((x, top), (x, y + 1.0), HAIR_MM)
    draw_arrows(sheet, (axis, y), (x, y), 0.15)
    room.boxes.append((min(axis, x) - 0.6, y - ROW_MM + 1.4, max(axis, x) + 0.6, y + 0.8))
    wide = sheet.text_mm(text, TEXT)
    middle = (axis + x) / 2
    inner = axis + math.copysign(wide / 2 + 1.0, x - axis)  # a short dimension's figure begins at the axis and runs out
    sheet.text((middle if abs(x - axis) > wide + 2.0 else inner, y - 1.1), text, TEXT, align="middle")


def _anchors(made: Elevation, room: LabelRoom) -> None:
    """The anchors with their names and the ground's height there against the base."""
    names: list[tuple[Point, float, float, tuple[str, ...]]] = []
    r = REACH_MM["permanent"]
    placed: list[tuple[float, Stake]] = [(side, stake) for side, plane in made.sides for stake in plane.anchors]
    for side, stake in placed:
        x, y = made.at(side * stake.radius_m, stake.above_base_m)
        draw_mark(made.sheet, "permanent", (x, y))
        room.boxes.append((x - r, y - r, x + r, y + r))
        names.append(((x, y), r, -math.pi / 2, (f"{stake.point} {signed_length(stake.above_base_m, made.facts.units)}",)))
    room.points(names)
