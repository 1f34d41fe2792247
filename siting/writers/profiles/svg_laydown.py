"""The laydown as an inline picture of the map: mast on its rest line, hatched ground, joints with their cribs, the list of cribs."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan
from siting.writers.paper.canvas import Point
from siting.writers.profiles.section import block_m, exaggeration
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
from siting.writers.profiles.words import CRIBBING, NO_JOINTS, NO_PROFILES, laydown_facts

PREFIX = "laydown-profile"
READ, MOST = 2.6, 64.0  # the largest crib is drawn at least so high where the picture stays lower than this
LEFT, RIGHT, ABOVE, BELOW, DEEP = 17.0, 4.0, 8.0, 11.0, 3.0
BLOCK = 4.6  # least length of a block on the height axis
MAST, CRIB, BAR = 1.6, 1.3, 1.4
COLUMNS = 3
STEEP = -0.1  # drawn steeper downhill than this, the head's name stands below the ground


def laydown_profile_svg(plan: Plan) -> str:
    """The laydown's profile, no unit: markup to stand in a page."""
    title = f"The mast on the ground before the lift, {shown(plan.laydown.azimuth_deg, 'bearing')} true to the right"
    if plan.profiles is None:
        content, low = block((0.0, 0.0), NO_PROFILES, WIDTH)
        return picture(PREFIX, low + 1.0, (title, NO_PROFILES), content)
    per_m = (WIDTH - LEFT - RIGHT) / plan.mast.height_m
    tall, (low_m, high_m) = exaggeration(plan, per_m, (READ, MOST, BLOCK))
    heights = "heights and lengths alike" if tall == 1.0 else f"heights drawn {tall:g} times"
    head, y = block((0.0, 0.0), f"{shown(plan.laydown.azimuth_deg, 'bearing')} true to the right; {heights}", WIDTH, bold=True)
    origin = (LEFT, y + ABOVE + high_m * per_m * tall)
    drawn = _picture(plan, (origin, per_m, tall), (low_m, high_m))
    y = origin[1] - low_m * per_m * tall + BELOW
    listed, y = _list(plan, y + 2.0)
    note, y = block((0.0, y + 1.5), CRIBBING[2], WIDTH, SMALL)
    cribs = "; ".join(f"joint {n}: {shown(j.cribbing_m, 'travel')}" for n, j in enumerate(plan.profiles.laydown_joints, 1))
    told = f"{laydown_facts(plan)} In the picture {heights}. Cribs: {cribs or 'none'}. {CRIBBING[0]} {CRIBBING[1]}"
    return picture(PREFIX, y + 1.0, (title, told), head + drawn + listed + note, earth_pattern(PREFIX))


def _picture(plan: Plan, how: tuple[Point, float, float], ends_m: Point) -> str:
    """Ground, cribs, mast and axes."""
    origin, per_m, tall = how

    def at(s: float, height: float) -> Point:
        return origin[0] + s * per_m, origin[1] - height * per_m * tall

    profile, base_m = plan.laydown.profile, plan.base.height_m
    ground = [at(s, h - base_m) for s, h in zip(profile.s_m, profile.ground_m, strict=True)]
    parts = [polygon([*ground, *((x, y + DEEP) for x, y in ground[::-1])], "pf-earth", f"url(#{PREFIX}-earth)")]
    parts.append(polyline(ground, "pf-ground", 0.6))
    parts += [_mast(plan, at, (per_m, tall))]
    foot = at(0.0, ends_m[0])[1] + DEEP + 0.6
    step = block_m(per_m, 14.0)
    count = math.floor(plan.mast.height_m / step + 1e-9)
    parts.append(blocks([((at(k * step, 0.0)[0], foot), (step * per_m, BAR)) for k in range(count)], "pf-axis"))
    for k in range(count + 1):
        text = f"{k * step:g}" + (" m" if k == count else "")
        parts.append(words((at(k * step, 0.0)[0], foot + BAR + SMALL), text, SMALL, align="middle"))
    rise = block_m(per_m * tall, BLOCK)
    levels = range(round(ends_m[0] / rise), round(ends_m[1] / rise) + 1)
    left = LEFT - 4.6
    parts.append(blocks([((left, at(0.0, (k + 1) * rise)[1]), (BAR, rise * per_m * tall)) for k in levels[:-1]], "pf-axis"))
    for k in levels:
        text = f"{k * rise:g}".replace("-", "−") + (" m" if k == levels[-1] else "")
        parts.append(words((left - 0.7, at(0.0, k * rise)[1] + 0.34 * SMALL), text, SMALL, align="end"))
    return "".join(parts)


def _mast(plan: Plan, at, how: Point) -> str:
    """The lying mast with its joints, numbers and cribs."""
    rest, hinge_m, long_m = math.radians(plan.laydown.rest_angle_deg), plan.mast.hinge_height_m, plan.mast.height_m
    joints, (per_m, tall) = plan.profiles.laydown_joints, how
    hinge, head = at(0.0, hinge_m), at(long_m * math.cos(rest), hinge_m + long_m * math.sin(rest))
    parts = []
    for joint in joints:
        foot = at(joint.s_m, joint.ground_m)
        high = foot[1] - at(joint.s_m, joint.ground_m + joint.cribbing_m)[1]
        if high > 0.0:
            parts.append(box((foot[0] - CRIB / 2, foot[1] - high), (CRIB, high), "pf-crib", "#fff", 0.25))
    up = ((hinge[0], hinge[1] - MAST), (head[0], head[1] - MAST))
    parts.append(line(at(0.0, 0.0), hinge, "pf-mast", 0.6))
    parts.append(polygon([hinge, head, up[1], up[0]], "pf-mast", "#fff", 0.35))
    parts.append(line(hinge, head, "pf-mast", 0.8))
    step = per_m * plan.mast.section_length_m * math.cos(rest)
    widest = wide(str(len(joints)), SMALL) + 1.2
    every = next(n for n in (1, 2, 5, 10, 20, 50, 1000) if n * step >= widest)
    for number, joint in enumerate(joints, 1):
        x, y = at(joint.s_m, hinge_m + joint.along_m * math.sin(rest))
        parts.append(line((x, y), (x, y - MAST), "pf-mast", 0.25))
        if number % every == 0:
            parts.append(words((x, y - MAST - 0.9), str(number), SMALL, bold=True, align="middle"))
    parts.append(circle(hinge, 0.9, "pf-hinge", "#fff", 0.4))
    parts.append(words((hinge[0] - 1.0, hinge[1] - MAST - 6.6), "hinge", SMALL))
    profile = plan.laydown.profile
    low = at(0.0, 0.0)[1] - at(0.0, profile.rest_line_m[-1] - profile.ground_m[-1])[1] + DEEP + SMALL
    parts.append(words((min(head[0] + 4.0, WIDTH - 0.5), head[1] + low if rest * tall < STEEP else head[1] - MAST - 4.6), "head", SMALL, align="end"))
    return "".join(parts)


def _list(plan: Plan, y: float) -> tuple[str, float]:
    """Joint, distance along the mast and crib in columns, and where the next thing begins."""
    joints = plan.profiles.laydown_joints
    if not joints:
        return block((0.0, y), NO_JOINTS, WIDTH)
    rows = math.ceil(len(joints) / COLUMNS)
    step, across = TEXT * 1.32, WIDTH / COLUMNS
    parts = []
    for column in range(min(COLUMNS, math.ceil(len(joints) / rows))):
        x = column * across
        for text, right in (("joint", 8.6), ("along", 21.5), ("crib m", 35.5)):
            parts.append(words((x + right, y + SMALL), text, SMALL, bold=text == "crib m", align="end"))
        parts.append(line((x, y + SMALL + 1.3), (x + 35.5, y + SMALL + 1.3), "pf-rule", 0.3))
    for number, joint in enumerate(joints):
        x, row = number // rows * across, y + SMALL + 1.6 + (number % rows + 1) * step - 0.3 * TEXT
        parts.append(words((x + 8.6, row), str(number + 1), align="end"))
        parts.append(words((x + 21.5, row), shown(joint.along_m, "length", unit=False), align="end"))
        parts.append(words((x + 35.5, row), shown(joint.cribbing_m, "travel", unit=False), bold=True, align="end", css="pf-figure"))
    return "".join(parts), y + SMALL + 2.2 + rows * step
