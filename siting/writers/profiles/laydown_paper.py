"""The laydown on paper: the mast on its rest line over the hatched ground, every joint with its crib, and the table of cribs."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.profiles import Joint
from siting.writers.paper.canvas import BOLD_LINE_MM, HAIR_MM, THIN_MM
from siting.writers.paper.flow import GAP_MM, TITLE_MM, Flow
from siting.writers.paper.sketch import SCALES
from siting.writers.paper.table import Column, Table, draw_table
from siting.writers.profiles.section import LEAST_BLOCK_MM, Section, draw_distance_axis, draw_height_axis, exaggeration
from siting.writers.profiles.words import CRIBBING, NO_JOINTS, laydown_facts

READ_MM = 4.0  # the largest crib is drawn at least so high, where the page has the room
LEFT_MM, RIGHT_MM, ABOVE_MM, BELOW_MM = 17.0, 7.0, 11.0, 10.5
HEADING_MM, MOST_MM = 13.5, 88.0  # of the picture: its heading, and the most that its heights may take
MAST_MM, CRIB_MM, TIMBER_MM = 1.8, 1.5, 1.05
CRIB_SIZE, ROW_MM = 14.0, 7.2
BLOCKS, BLOCK_GAP_MM = 2, 6.0
NAME_SIZE = 7.5
LEAST_TABLE_MM = 32.0
STEEP = -0.1  # drawn steeper downhill than this, the head's name stands below the ground


def fill_laydown(flow: Flow) -> None:
    """The picture on what is left of the page, then the table of cribs, then what they rest on."""
    plan = flow.plan
    scale, tall, ends_m = laydown_scale(plan, flow.width_mm)
    size_mm = 1000.0 * tall * (ends_m[1] - ends_m[0]) / scale + ABOVE_MM + BELOW_MM
    flow.need(HEADING_MM + size_mm + LEAST_TABLE_MM)
    sheet, y = flow.sheet, flow.y
    heights = "heights and lengths alike" if tall == 1.0 else f"heights drawn {tall:g} times, 1:{scale / tall:g}"
    flow.title(f"The mast on the ground before the lift, {shown(plan.laydown.azimuth_deg, 'bearing')} true to the right. 1:{scale}, {heights}")
    for number, text in enumerate((laydown_facts(plan), f"Heights from the ground at the base, {shown(plan.base.height_m, 'length')} by the DEM.")):
        text, size = sheet.fitted(text, flow.width_mm, 8.0, 6.5)
        sheet.text((flow.left, flow.y + 2.4 + 3.5 * number), text, size)
    top = y + HEADING_MM
    sheet.box((flow.left, top), (flow.width_mm, size_mm), THIN_MM)
    _draw(flow, (top, top + size_mm), (scale, tall, ends_m))
    flow.y = top + size_mm + 2 * GAP_MM
    _fill_table(flow)
    flow.lines("What the cribs rest on", CRIBBING)


def laydown_scale(plan: Plan, width_mm: float) -> tuple[int, float, tuple[float, float]]:
    """Scale of lengths, how many times heights are drawn, and the heights between the ends of the axis, metres."""
    scale = next((s for s in SCALES if 1000.0 * plan.mast.height_m / s <= width_mm - LEFT_MM - RIGHT_MM), SCALES[-1])
    return scale, *exaggeration(plan, 1000.0 / scale, (READ_MM, MOST_MM, LEAST_BLOCK_MM))


def _draw(flow: Flow, span: tuple[float, float], how: tuple[int, float, tuple[float, float]]) -> None:
    """Ground, mast, joints, cribs and both axes, between these heights of the page, mm."""
    plan, (scale, tall, (low, high)) = flow.plan, how
    long_mm = 1000.0 * plan.mast.height_m / scale
    left = flow.left + LEFT_MM + (flow.width_mm - LEFT_MM - RIGHT_MM - long_mm) / 2
    section = Section(flow.sheet, (left, span[0] + ABOVE_MM + 1000.0 * tall * high / scale), scale, tall)
    profile, base_m = plan.laydown.profile, plan.base.height_m
    section.earth([(s, h - base_m) for s, h in zip(profile.s_m, profile.ground_m, strict=True)])
    _draw_mast(section, plan)
    draw_height_axis(section, left - 6.0, low, high)
    draw_distance_axis(section, span[1] - BELOW_MM + 4.2, plan.mast.height_m)


def _draw_mast(section: Section, plan: Plan) -> None:
    """The lying mast: its underside on the rest line, a tick and a number at each joint, a crib below it, hinge and head."""
    sheet, rest = section.sheet, math.radians(plan.laydown.rest_angle_deg)
    hinge_m, long_m = plan.mast.hinge_height_m, plan.mast.height_m
    hinge = section.at((0.0, hinge_m))
    head = section.at((long_m * math.cos(rest), hinge_m + long_m * math.sin(rest)))
    for joint in plan.profiles.laydown_joints:
        _draw_crib(section, joint)
    sheet.line(section.at((0.0, 0.0)), hinge, BOLD_LINE_MM)
    for end, stroke in ((0.0, 0.6), (MAST_MM, 0.25)):
        sheet.line((hinge[0], hinge[1] - end), (head[0], head[1] - end), stroke)
    for at in (hinge, head):
        sheet.line(at, (at[0], at[1] - MAST_MM), 0.25)
    joints = plan.profiles.laydown_joints
    wide = max((sheet.text_mm(str(n), NAME_SIZE, bold=True) for n in range(1, len(joints) + 1)), default=0.0) + 1.0
    step_mm = 1000.0 * plan.mast.section_length_m * math.cos(rest) / section.scale
    every = next(n for n in (1, 2, 5, 10, 20, 50, 1000) if n * step_mm >= wide)
    for number, joint in enumerate(joints, 1):
        x, y = section.at((joint.s_m, hinge_m + joint.along_m * math.sin(rest)))
        sheet.line((x, y), (x, y - MAST_MM), 0.2)
        if number % every == 0:
            sheet.text((x, y - MAST_MM - 1.0), str(number), NAME_SIZE, bold=True, align="middle")
    sheet.circle(hinge, 0.9, 0.3, 1.0)
    sheet.text((hinge[0], hinge[1] - MAST_MM - 4.4), "hinge", NAME_SIZE, align="middle")
    below_mm = section.at((0.0, 0.0))[1] - section.at((0.0, _crib_m(plan)))[1] + 5.6
    sheet.text((head[0], head[1] + below_mm if rest * section.tall < STEEP else head[1] - MAST_MM - 4.4), "head", NAME_SIZE, align="middle")


def _crib_m(plan: Plan) -> float:
    """Height of the mast's end over the ground, metres."""
    profile = plan.laydown.profile
    return profile.rest_line_m[-1] - profile.ground_m[-1]


def _draw_crib(section: Section, joint: Joint) -> None:
    """A pack of timber from the ground to the rest line at a joint."""
    foot = section.at((joint.s_m, joint.ground_m))
    high_mm = foot[1] - section.at((joint.s_m, joint.ground_m + joint.cribbing_m))[1]
    if high_mm <= 0.0:
        return
    x, sheet = foot[0] - CRIB_MM / 2, section.sheet
    sheet.box((x, foot[1] - high_mm), (CRIB_MM, high_mm), 0.15, 1.0)
    for k in range(1, math.floor(high_mm / TIMBER_MM)):
        y = foot[1] - k * TIMBER_MM
        sheet.line((x, y), (x + CRIB_MM, y), HAIR_MM)


def crib_table(plan: Plan, width_mm: float) -> Table:
    """The table of joints: every figure that the crew acts on in CRIB_SIZE points."""
    columns = (
        Column("Joint", "no.", 0.13 * width_mm),
        Column("Along mast", "m from hinge", 0.21 * width_mm),
        Column("On the level", "m from base", 0.22 * width_mm),
        Column("CRIB", "m high", 0.2 * width_mm, is_bold=True),
        Column("As set", "m", 0.24 * width_mm, is_blank=True),
    )
    rows = tuple(
        (
            str(number),
            shown(joint.along_m, "length", unit=False),
            shown(joint.s_m, "length", unit=False),
            shown(joint.cribbing_m, "travel", unit=False),
            "",
        )
        for number, joint in enumerate(plan.profiles.laydown_joints, 1)
    )
    return Table(columns, rows, ROW_MM, CRIB_SIZE)


def _fill_table(flow: Flow) -> None:
    """The table in blocks beside each other, going on over the page where it must."""
    table = crib_table(flow.plan, (flow.width_mm - (BLOCKS - 1) * BLOCK_GAP_MM) / BLOCKS)
    if not table.rows:
        flow.lines("Cribs at the joints", (NO_JOINTS,))
        return
    done, title = 0, "Cribs at the joints, counted from the hinge"
    while done < len(table.rows):
        flow.need(TITLE_MM + table.part(0, 2).height_mm)
        room = max(1, int((flow.end - flow.y - TITLE_MM - table.head_mm) // table.row_mm))
        tall = min(room, math.ceil((len(table.rows) - done) / BLOCKS))
        flow.title(title)
        lowest = flow.y
        for block in range(BLOCKS):
            part = table.part(done, done + tall)
            if part.rows:
                at = (flow.left + block * (table.width_mm + BLOCK_GAP_MM), flow.y)
                lowest = max(lowest, draw_table(flow.sheet, at, part))
            done += tall
        flow.y, title = lowest + GAP_MM, "Cribs at the joints, continued"


