"""The lift sheet's pictures: a page an angle, both views to the scale that is stated, the plan's own ground; and the mast's bending."""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pytest
from writers.lift_plans import plans as make_plans
from writers.pdf_probe import straight_lines, texts

from siting.figures import shown
from siting.writers.lift.pdf import lift_pdf

NAMES = ["demo", "rigged", "no winch", "across", "downhill", "demo, Letter"]
TITLE = "From the side, and from above: 1:"


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    return make_plans(tmp_path_factory.mktemp("pictures"))


@pytest.fixture(scope="module")
def pictures(plans):
    """By name: the plan, the pictures' pages as (text, straight lines in mm), and their scale."""
    found = {}
    for name in NAMES:
        data = lift_pdf(plans[name])
        said, document = texts(data), pdfium.PdfDocument(data)
        pages = [(said[k], straight_lines(document[k])) for k in range(len(said)) if TITLE in said[k]]
        found[name] = (plans[name], pages, int(re.search(r"from above: 1:(\d+)", pages[0][0])[1]))
    return found


def mast_line(plan, lines, scale: int, angle_deg: float):
    """The mast as the side view shows it: hinge and head, mm."""
    long_mm = 1000.0 * plan.mast.height_m / scale
    return next(
        line for line in lines
        if abs(math.hypot(*(line[1] - line[0])) - long_mm) < 0.2
        and abs(math.degrees(math.atan2(*(line[1] - line[0])[::-1])) - angle_deg) < 0.1
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_five_angles_each_from_the_side_and_from_above_at_one_scale(pictures, name):
    plan, pages, scale = pictures[name]
    angles = [plan.laydown.rest_angle_deg, 20.0, 45.0, 70.0, 90.0]
    assert len(pages) == len(angles)
    for angle_deg, (text, lines) in zip(angles, pages, strict=True):
        assert f"{TITLE}{scale}," in text and "lift line" in text or "no lift line" in text.lower() or "No winch line" in text
        mast_line(plan, lines, scale, angle_deg)
        above_mm = 1000.0 * plan.mast.height_m * math.cos(math.radians(angle_deg)) / scale
        assert any(abs(abs(a[1][0] - a[0][0]) - above_mm) < 0.2 and abs(a[1][1] - a[0][1]) < 0.02 for a in lines)


def test_the_scales_are_large(pictures):
    assert {name: pictures[name][2] for name in NAMES} == {
        "demo": 1000, "rigged": 750, "no winch": 750, "across": 750, "downhill": 750, "demo, Letter": 1000
    }  # fmt: skip


@pytest.mark.parametrize("name", ["demo", "rigged", "across", "downhill", "demo, Letter"])
def test_the_ground_behind_the_base_is_the_plans_own(pictures, name):
    """Every piece between two samples of the profile is drawn, within 0.1 mm, from behind the winch to the base."""
    plan, pages, scale = pictures[name]
    clear, hinge_m = plan.statics.clearance, plan.mast.hinge_height_m
    radius_m = next(s.radius_m for s in plan.stakes if s.role == "winch")
    turn = np.sign(clear.s_m[1])
    points = [(-s * turn, g) for s, g in zip(clear.s_m, clear.ground_m, strict=True) if 0.0 < s <= radius_m + 5.0]
    assert len(points) > radius_m
    for angle_deg, (_, lines) in zip((plan.laydown.rest_angle_deg, 20.0, 45.0, 70.0, 90.0), pages, strict=True):
        hinge = mast_line(plan, lines, scale, angle_deg)[0]
        drawn = {tuple(np.round(np.sort(line, axis=0)[0], 1)) for line in lines} | {tuple(np.round(p, 1)) for line in lines for p in line}
        for x, z in points:
            at = hinge + 1000.0 * np.array([x, z]) / scale
            assert any(abs(at[0] - dx) <= 0.11 and abs(at[1] - dy) <= 0.11 for dx, dy in drawn), (angle_deg, x)
    assert abs(hinge_m - 0.3) < 1e-9


def test_ground_that_the_plan_does_not_hold_is_dashed_and_said(plans):
    plan = plans["demo"]
    bare = replace(plan, statics=replace(plan.statics, clearance=None))
    text = next(t for t in texts(lift_pdf(bare)) if TITLE in t)
    assert "ground not in the plan" in text and "gin pole over ground" not in text


@pytest.mark.parametrize("name", ["demo", "rigged", "downhill"])
def test_each_page_says_pull_and_clearances_at_its_angle(pictures, name):
    plan, pages, _ = pictures[name]
    stage, clear = plan.statics.stages[-1], plan.statics.clearance
    for angle_deg, (text, _) in zip((None, 20.0, 45.0, 70.0, 90.0), pages, strict=True):
        k = 0 if angle_deg is None else stage.angles_deg.index(angle_deg)
        pull = stage.winch_pull_kn[k]
        assert f"winch pull {'no figure' if pull is None else shown(pull, 'force')}" in text
        assert f"gin pole over ground {shown(clear.pole_clear_m[k], 'travel')}" in text


# --- bending ------------------------------------------------------------------------------------------------------


def bending_page(data: bytes, title: str = "Bending moment at the worst angle"):
    number = next(k for k, text in enumerate(texts(data)) if title in text)
    return texts(data)[number], straight_lines(pdfium.PdfDocument(data)[number])


@pytest.mark.parametrize("name", ["demo", "rigged"])
def test_moment_and_deflection_are_drawn_with_the_limits_where_they_belong(plans, name):
    """The two limit lines lie as far apart as the axis says, and the largest moment where the plan has it."""
    plan = plans[name]
    text, lines = bending_page(lift_pdf(plan))
    bend = plan.statics.bending
    assert "upper limit" in text and "lower limit" in text and "Deflection at that angle" in text
    assert f"limit {bend.limit_knm:.1f} kNm" in text and f"Largest {abs(bend.largest_deflection_m) * 1000:.1f} mm at" in text
    # The moment's chart is the left one: its grid lines and its limits run from edge to edge.
    level = [(round(a[0][0], 1), round(a[1][0], 1), a[0][1]) for a in lines if abs(a[0][1] - a[1][1]) < 1e-3 and a[1][0] < 105.0]
    (left, right), _ = Counter((x0, x1) for x0, x1, _ in level if x1 - x0 > 20.0).most_common(1)[0]
    ys = sorted(y for x0, x1, y in level if (x0, x1) == (left, right))
    at_x = left + (right - left) * bend.largest_at_m / axis_m(bend)
    ratio = bend.largest_knm / bend.limit_knm
    drawn = [p for a in lines for p in a if abs(p[0] - at_x) < 0.1]
    between = [(up + low) / 2 + ratio * (up - low) / 2 for up in ys for low in ys if up > low]
    assert any(abs(p[1] - y) < 0.1 for p in drawn for y in between)


def axis_m(bend) -> float:
    """Length of the chart's axis: the mast's length up to the next whole step of ten or twenty metres."""
    step = 10.0 if max(bend.at_m) <= 70.0 else 20.0
    return math.ceil(max(bend.at_m) / step - 1e-9) * step


def test_without_stiffness_limit_or_lift_points_it_is_said(plans):
    plan = plans["rigged"]
    bend = replace(plan.statics.bending, deflection_m=None, largest_deflection_m=None, limit_knm=None)
    text, _ = bending_page(lift_pdf(replace(plan, statics=replace(plan.statics, bending=bend))))
    assert "NOT WORKED OUT: the mast file gives no stiffness" in text
    assert "NO LIMIT IS DRAWN: the mast file gives none (moment_limit_knm)." in text and "upper limit" not in text
    text, _ = bending_page(lift_pdf(plans["across"]), "Bending of the mast")
    assert "NOT WORKED OUT: bending of the mast: not worked out: mast file, lift_attach_m: is not given" in text
