"""Pictures of the lift, true to scale: from the side and from above, a page for each of five angles of the mast."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from siting.figures import shown
from siting.records.plan import Plan, Stake
from siting.units import turn_deg
from siting.writers.lift.force_words import angle, force, main_stage, no_forces
from siting.writers.lift.words import side_stakes
from siting.writers.paper.canvas import HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.flow import TITLE_MM, Flow
from siting.writers.paper.sketch import SCALES
from siting.writers.paper.sketch_labels import Box, Label, Segment, place_labels
from siting.writers.paper.sketch_marks import bar_length_m, draw_mark, draw_scale_bar

ANGLES_DEG = (20.0, 45.0, 70.0, 90.0)  # after the rest line
PICTURE_GAP_MM, EDGE_MM, LEGEND_MM = 1.4, 1.2, 14.0
ROOM_MM = 3.0  # around what is drawn, for marks and names
FIGURES_MM, FIGURES_SIZE = 4.0, 9.0
PAST_WINCH_M = 5.0  # so much of the ground is drawn behind the winch
ANGLE_SIZE, NAME_SIZE, ARROW_MM = 14.0, 7.0, 7.0
GROUND_INK, GROUND_DEPTH_MM = 0.86, 1.6
MAST_MM, POLE_MM = 0.9, 0.6
ON_LINE_M = 1.0  # a stake so near to the laydown's line stands on the ground that the side view shows
# Stroke (mm) and dashes of what is drawn.
STROKES = {
    "mast": (MAST_MM, ()),
    "gin pole": (POLE_MM, ()),
    "winch line": (0.3, (3.0, 0.8, 0.5, 0.8)),
    "lift line": (0.25, (0.6, 0.6)),
    "back guy": (0.2, ()),
    "side guy": (0.2, (1.6, 0.9)),
    "ground": (0.35, ()),
    "ground not in the plan": (0.25, (0.8, 0.8)),
}
LEGEND_COLUMNS = 3
Place = tuple[float, float, float]  # along the laydown, to its right, above the ground at the base; metres


@dataclass(frozen=True, slots=True)
class Scene:
    """What is drawn at every angle, in metres from the base."""

    plan: Plan
    anchors: tuple[tuple[Stake, Place], ...]  # temporary and winch
    ground: tuple[Point, ...]  # along the laydown, from behind the winch where the plan has it: distance, height
    beyond: tuple[tuple[Point, Point], ...]  # between stakes on the line, where the plan has no ground

    def turned(self, along_m: float, angle_deg: float, ahead_deg: float = 0.0) -> Place:
        """A point of the mast at this angle; ahead: of the gin pole, 90 degrees before it."""
        t = math.radians(angle_deg + ahead_deg)
        return along_m * math.cos(t), 0.0, self.plan.mast.hinge_height_m + along_m * math.sin(t)


def fill_pictures(flow: Flow) -> None:
    """A page for each angle: from the side above, from above below it, both to the same scale."""
    scene = _scene(flow.plan)
    for angle_deg in _angles(flow.plan):
        flow.turn()
        _page(flow, scene, angle_deg)
        flow.y = flow.end


def _page(flow: Flow, scene: Scene, angle_deg: float) -> None:
    """Both views at one angle, what holds there in figures, and the legend."""
    top, low = flow.y + TITLE_MM + FIGURES_MM, flow.end - LEGEND_MM
    scale, (side, above) = _scale(scene, flow.width_mm, low - top - PICTURE_GAP_MM)
    flow.title(f"From the side, and from above: 1:{scale}, heights and lengths alike. The laydown runs to the right")
    figures, size = flow.sheet.fitted(_figures(scene.plan, angle_deg), flow.width_mm, FIGURES_SIZE, 6.5)
    flow.sheet.text((flow.left, flow.y + 2.6), figures, size)
    spare_mm = low - top - PICTURE_GAP_MM - 1000.0 * (side[3] - side[2] + above[3] - above[2]) / scale
    middle = top + 1000.0 * (side[3] - side[2]) / scale + spare_mm / 2
    _from_side(flow.sheet, scene, View((flow.left, top, flow.sheet.right, middle), scale, side, 2), angle_deg)
    _from_above(flow.sheet, scene, View((flow.left, middle + PICTURE_GAP_MM, flow.sheet.right, low), scale, above, 1), angle_deg)
    _legend(flow.sheet, scene, (flow.left, low + 1.0), scale)


def _figures(plan: Plan, angle_deg: float) -> str:
    """Pull, gin pole and clearances at this angle, as far as the plan holds them."""
    stage = main_stage(plan)
    if stage is None:
        return no_forces(plan)
    k = min(range(len(stage.angles_deg)), key=lambda i: abs(stage.angles_deg[i] - angle_deg))
    told = [f"winch pull {force(stage.winch_pull_kn[k])}", f"back guys {force(stage.back_guy_kn[k])} each"]
    if stage.gin_pole_compression_kn[k] is not None:
        told.append(f"gin pole's foot {force(stage.gin_pole_compression_kn[k])} (below 0: pulled off it)")
    clear = plan.statics.clearance
    if clear is not None:
        told += [f"gin pole over ground {shown(clear.pole_clear_m[k], 'travel')}", f"winch line {shown(clear.line_clear_m[k], 'travel')}"]
    return f"Mast at {angle(stage.angles_deg[k])}: {', '.join(told)}."


def _angles(plan: Plan) -> tuple[float, ...]:
    rest_deg = plan.laydown.rest_angle_deg
    return (rest_deg, *(a for a in ANGLES_DEG if a > rest_deg))


def _place(plan: Plan, stake: Stake) -> Place:
    """A stake in the lift's frame, metres."""
    turn = math.radians(turn_deg(plan.laydown.azimuth_deg, stake.azimuth_deg))
    return stake.radius_m * math.cos(turn), stake.radius_m * math.sin(turn), stake.above_base_m


def _scene(plan: Plan) -> Scene:
    anchors = tuple((s, _place(plan, s)) for s in plan.stakes if s.role in ("temporary", "winch"))
    profile = plan.laydown.profile
    ground = [(s, h - plan.base.height_m) for s, h in zip(profile.s_m, profile.ground_m, strict=True)]
    ground = [*_behind(plan, anchors), *ground]
    on_line = [p for _, p in anchors if abs(p[1]) <= ON_LINE_M]
    beyond = []
    behind = min((p for p in on_line if p[0] < ground[0][0]), default=None)
    ahead = max((p for p in on_line if p[0] > ground[-1][0]), default=None)
    if behind is not None:
        beyond.append(((behind[0], behind[2]), ground[0]))
    if ahead is not None:
        beyond.append((ground[-1], (ahead[0], ahead[2])))
    return Scene(plan, anchors, tuple(ground), tuple(beyond))


def _behind(plan: Plan, anchors: tuple[tuple[Stake, Place], ...]) -> list[Point]:
    """The ground from a little past the winch to the base: along the laydown, above the base; empty where not in the plan."""
    clear = plan.statics.clearance if plan.statics else None
    winch = next((p for stake, p in anchors if stake.role == "winch"), None)
    if clear is None or winch is None:
        return []
    radius_m = math.hypot(winch[0], winch[1])
    part = winch[0] / radius_m  # the profile runs towards the winch, the picture along the laydown
    points = [
        (s * part, g + plan.mast.hinge_height_m)
        for s, g in zip(clear.s_m, clear.ground_m, strict=True) if 0.0 < s <= radius_m + PAST_WINCH_M
    ]  # fmt: skip
    return points[::-1]


Bounds = tuple[float, float, float, float]  # least and largest along, least and largest across or up; metres


def _scale(scene: Scene, width_mm: float, height_mm: float) -> tuple[int, tuple[Bounds, Bounds]]:
    """The largest round scale at which both views fit one above the other, and what each must show."""
    mast = scene.plan.mast
    xs = [p[0] for _, p in scene.anchors] + [0.0, mast.height_m, -mast.gin_pole_length_m, scene.ground[0][0]]
    zs = [p[2] for _, p in scene.anchors] + [h for _, h in scene.ground] + [mast.hinge_height_m + mast.height_m]
    ys = [p[1] for _, p in scene.anchors] + [0.0]
    side, above = (min(xs), max(xs), min(zs), max(zs)), (min(xs), max(xs), min(ys), max(ys))
    for scale in SCALES:
        room_x = (width_mm - 2 * ROOM_MM) * scale / 1000.0
        room_y = (height_mm - 4 * ROOM_MM) * scale / 1000.0
        if max(b[1] - b[0] for b in (side, above)) <= room_x and sum(b[3] - b[2] for b in (side, above)) <= room_y:
            break
    return scale, (side, above)


@dataclass(frozen=True, slots=True)
class View:
    """A picture: its box on the paper, its scale, what it shows, and which coordinate runs up (2) or down (1)."""

    box: Box
    scale: int
    bounds: Bounds
    axis: int

    def at(self, place: Place) -> Point:
        """Where a place lies on the paper, mm."""
        sign = -1.0 if self.axis == 2 else 1.0
        middle = ((self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2)
        b, mm_per_m = self.bounds, 1000.0 / self.scale
        return (
            middle[0] + (place[0] - (b[0] + b[1]) / 2) * mm_per_m,
            middle[1] + sign * (place[self.axis] - (b[2] + b[3]) / 2) * mm_per_m,
        )


def _lines(scene: Scene, angle_deg: float) -> list[tuple[Place, Place, str]]:
    """Every line of the lift at this angle, the mast last."""
    plan = scene.plan
    at = {stake.id: place for stake, place in scene.anchors}
    sides = {s.id for s in side_stakes(plan)}
    found = [
        (scene.turned(g.attach_m, angle_deg), at[g.anchor], "side guy" if g.anchor in sides else "back guy")
        for g in plan.guys if g.anchor in at
    ]  # fmt: skip
    hinge, tip = scene.turned(0.0, angle_deg), scene.turned(plan.mast.gin_pole_length_m, angle_deg, 90.0)
    found += [(tip, place, "winch line") for stake, place in scene.anchors if stake.role == "winch"]
    stage = main_stage(plan)
    for line in stage.lift_lines if stage else ():
        found.append((tip, scene.turned(line.attach_m, angle_deg), "lift line"))
    if any(stake.role == "winch" for stake, _ in scene.anchors):
        found.append((hinge, tip, "gin pole"))
    return [*found, (hinge, scene.turned(plan.mast.height_m, angle_deg), "mast")]


def _from_side(sheet: Sheet, scene: Scene, view: View, angle_deg: float) -> None:
    box = view.box
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), HAIR_MM)
    line = [view.at((s, 0.0, h)) for s, h in scene.ground]
    low = min(box[3] - HAIR_MM, max(y for _, y in line) + GROUND_DEPTH_MM)
    sheet.polygon([*line, (line[-1][0], low), (line[0][0], low)], 0.0, GROUND_INK)
    for start, end in scene.beyond:
        ends = view.at((start[0], 0.0, start[1])), view.at((end[0], 0.0, end[1]))
        sheet.line(*ends, *STROKES["ground not in the plan"])
    for a, b in zip(line, line[1:], strict=False):
        sheet.line(a, b, *STROKES["ground"])
    _draw(sheet, scene, view, angle_deg)
    words = f"{angle(angle_deg)}{', rest line' if angle_deg == scene.plan.laydown.rest_angle_deg else ''}"
    sheet.text((box[0] + EDGE_MM, box[1] + 5.4), words, ANGLE_SIZE, bold=True)


def _from_above(sheet: Sheet, scene: Scene, view: View, angle_deg: float) -> None:
    box = view.box
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), HAIR_MM)
    _draw(sheet, scene, view, angle_deg)
    turn = math.radians(scene.plan.laydown.azimuth_deg)
    middle = (box[0] + 7.5, box[1] + 7.5)
    step = (math.cos(turn) * ARROW_MM / 2, -math.sin(turn) * ARROW_MM / 2)
    tip, foot = (middle[0] + step[0], middle[1] + step[1]), (middle[0] - step[0], middle[1] - step[1])
    sheet.line(foot, tip, 0.3)
    back = (tip[0] - 0.36 * (tip[0] - foot[0]), tip[1] - 0.36 * (tip[1] - foot[1]))
    across = ((tip[1] - foot[1]) / ARROW_MM, -(tip[0] - foot[0]) / ARROW_MM)
    sheet.polygon([tip, (back[0] + across[0], back[1] + across[1]), (back[0] - across[0], back[1] - across[1])], 0.15, 0.0)
    sheet.text((middle[0] + step[0] * 1.6, middle[1] + step[1] * 1.6 + 1.0), "N", 8.0, bold=True, align="middle")


def _draw(sheet: Sheet, scene: Scene, view: View, angle_deg: float) -> None:
    """The lines, the stakes' marks and their names, as far as these find room."""
    lines = [(view.at(a), view.at(b), kind) for a, b, kind in _lines(scene, angle_deg)]
    for start, end, kind in lines:
        sheet.line(start, end, *STROKES[kind])
    for stake, place in scene.anchors:
        draw_mark(sheet, stake.role, view.at(place))
    sheet.circle(view.at(scene.turned(0.0, angle_deg)), 0.7, THIN_MM, 1.0)
    _names(sheet, scene, view, [(a, b) for a, b, _ in lines])


def _names(sheet: Sheet, scene: Scene, view: View, lines: Sequence[Segment]) -> None:
    box = view.box
    groups: dict[tuple[float, float], list[str]] = {}
    for stake, place in scene.anchors:  # seen from the side two anchors can be one point
        x, y = view.at(place)
        near = next((at for at in groups if math.dist(at, (x, y)) < 4.0), (x, y))
        groups.setdefault(near, []).append(stake.point)
    marks = [(x - 1.5, y - 1.5, x + 1.5, y + 1.5) for x, y in (view.at(p) for _, p in scene.anchors)]
    corner = (box[0], box[1], box[0] + (31.0 if view.axis == 2 else 15.0), box[1] + (7.0 if view.axis == 2 else 15.0))
    labels = []
    for at, names in groups.items():
        text = ", ".join(names)
        width_mm = sheet.text_mm(text, NAME_SIZE) + 0.4
        outward = math.pi / 2 if view.axis == 2 else math.atan2(at[1] - (box[1] + box[3]) / 2, 1.0)
        labels.append(Label(at, 1.5, width_mm, NAME_SIZE / POINTS_PER_MM, outward, (text,)))
    inner = (box[0] + 0.4, box[1] + 0.4, box[2] - 0.4, box[3] - 0.4)
    for name in place_labels(labels, [*marks, corner], lines, inner) or ():
        left, top, right, low = name.box
        if name.leader:
            sheet.line(*name.leader, HAIR_MM)
        sheet.text(((left + right) / 2, (top + low) / 2 + 0.85), name.label.lines[0], NAME_SIZE, align="middle")


def _legend(sheet: Sheet, scene: Scene, at: Point, scale: int) -> None:
    """Strokes in words, and the scale bar."""
    drawn = {kind for _, _, kind in _lines(scene, 45.0)} | {"ground"}
    if scene.beyond:
        drawn.add("ground not in the plan")
    kinds = [kind for kind in STROKES if kind in drawn]
    room_mm = sheet.right - at[0]
    bar_mm = 1000.0 * bar_length_m(scale, room_mm * 0.3) / scale
    draw_scale_bar(sheet, (sheet.right - bar_mm - 1.0, at[1] + 1.0), scale, room_mm * 0.3)
    step_mm = (room_mm - bar_mm - 6.0) / LEGEND_COLUMNS
    for number, kind in enumerate(kinds):
        x, y = at[0] + number % LEGEND_COLUMNS * step_mm, at[1] + 2.0 + number // LEGEND_COLUMNS * 3.6
        sheet.line((x, y), (x + 7.0, y), *STROKES[kind])
        sheet.text((x + 8.0, y + 0.9), kind, 7.0)
    stage = main_stage(scene.plan)
    if stage is not None and not stage.lift_lines:
        sheet.text((at[0], at[1] + 12.9), "No lift line is drawn: the mast file does not say where it holds (lift_attach_m).", 7.0)
    elif stage is None:
        sheet.text((at[0], at[1] + 12.9), "No winch line is drawn: the plan has no forces of the lift.", 7.0)
