"""The mast from the side on the site map: true to its scale, on the plan's ground, with heights, radii and fall circle."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from writers import lift_plans
from writers.pdf_probe import MM, meeting, straight_lines, text_boxes, texts
from writers.plan_by_hand import make_plan as plan_by_hand
from writers.site_maps import demo, facts

from siting.units import METRES_PER_FOOT
from siting.writers.sitemap.guy_planes import apart_deg, guy_planes
from siting.writers.sitemap.pdf import sitemap_pdf

CASES = [("A4", "m"), ("Letter", "ft"), ("A3", "m"), ("Tabloid", "ft")]
WITHIN_MM = 0.05


@pytest.fixture(scope="module")
def maps():
    plan, ground = demo()
    return {case: sitemap_pdf(plan, facts(*case), ground) for case in CASES}


def page_of(data: bytes):
    """The page with the elevation, and its text."""
    for page, text in zip(pdfium.PdfDocument(data), texts(data), strict=True):
        if "Elevation of the mast, standing plumb" in text:
            return page, text
    raise AssertionError("no page has an elevation")


def ratio_of(text: str) -> float:
    written = text.partition("standing plumb; ")[2]
    metric, feet = re.match(r"1:(\d+)", written), re.match(r"1 in = (\d+) ft", written)
    return float(metric[1]) if metric else float(feet[1]) * 12.0


def lengths_mm(page) -> np.ndarray:
    return np.array([float(np.hypot(*(b - a))) for a, b in straight_lines(page)])


@pytest.mark.parametrize("case", CASES)
def test_guys_heights_and_fall_circle_measure_what_the_plan_says(maps, case):
    plan, _ = demo()
    page, text = page_of(maps[case])
    ratio, lengths = ratio_of(text), lengths_mm(page)
    right, left, _ = guy_planes(plan)
    drawn = {s.id for plane in (right, left) for s in plane.anchors}
    chords = [g.chord_m for g in plan.guys if g.use == "permanent" and g.anchor in drawn]
    assert len(chords) >= 6
    for long_m in (*chords, plan.land.fall_radius_m, plan.mast.total_height_m, *(s.radius_m for s in right.anchors)):
        assert np.abs(lengths - 1000.0 * long_m / ratio).min() < WITHIN_MM, long_m


@pytest.mark.parametrize("case", CASES)
def test_the_guys_end_at_the_ground_height_of_their_anchors(maps, case):
    plan, _ = demo()
    page, text = page_of(maps[case])
    ratio, lines = ratio_of(text), straight_lines(page)
    right, left, _ = guy_planes(plan)
    for side, plane in ((1.0, right), (-1.0, left)):
        for stake in plane.anchors:
            guy = next(g for g in plan.guys if g.anchor == stake.id and g.use == "permanent")
            up_m = guy.attach_m + plan.mast.hinge_height_m - stake.above_base_m
            wanted = np.array([side * stake.radius_m, -up_m]) * 1000.0 / ratio
            assert min(np.abs((b - a) - wanted).max() for a, b in lines) < WITHIN_MM, stake.id


@pytest.mark.parametrize("case", CASES)
def test_the_bar_measures_what_it_says(maps, case):
    page, text = page_of(maps[case])
    half, whole, unit = re.search(r"\b0 (\d+) (\d+) (m|ft)\b", text).groups()
    assert float(whole) == 2 * float(half) and unit == case[1]
    wanted = float(whole) * (METRES_PER_FOOT if unit == "ft" else 1.0) * 1000.0 / ratio_of(text)
    bars = []
    for o in page.get_objects([raw.FPDF_PAGEOBJ_PATH]):
        left, low, right, top = (v / MM for v in o.get_bounds())
        if top - low < 0.2 and right - left > 15.0 and raw.FPDFPath_CountSegments(o.raw) > 2:
            bars.append(right - left)
    assert min(abs(mm - wanted) for mm in bars) < 0.1


@pytest.mark.parametrize("case", CASES)
def test_heights_radii_and_ground_stand_there_in_figures(maps, case):
    plan, _ = demo()
    _, text = page_of(maps[case])

    def said(value_m: float) -> str:
        return f"{value_m / METRES_PER_FOOT:.2f} ft" if case[1] == "ft" else f"{value_m:.2f} m"

    mast = plan.mast
    assert f"{said(mast.total_height_m)} {said(mast.total_height_m - mast.hinge_height_m)} tip of the air terminal" in text
    assert f"{said(mast.hinge_height_m)} hinge" in text and "over ground over hinge" in text
    for attach_m in {g.attach_m for g in plan.guys if g.use == "permanent"}:
        assert f"{said(attach_m + mast.hinge_height_m)} {said(attach_m)} guys" in text
    right, left, others = guy_planes(plan)
    for stake in (*right.anchors, *left.anchors):
        sign = "−" if stake.above_base_m < 0 else "+"
        assert f"{stake.point} {said(stake.radius_m)}" in text and f"{stake.point} {sign}{said(abs(stake.above_base_m))}" in text
    assert text.count(f"fall circle {said(plan.land.fall_radius_m)}") == 2
    assert "the mast maker's drawing rules" in text and "All of it proposed" in text
    whole = " ".join(texts(maps[case]))
    for stake in (s for plane in others for s in plane.anchors):
        assert re.search(rf"{stake.point} {stake.azimuth_deg:.2f}° {said(stake.radius_m)}", whole)


def test_the_planes_are_the_outermost_anchor_s_and_the_most_nearly_opposite():
    plan, _ = demo()
    right, left, others = guy_planes(plan)
    permanent = [s for s in plan.stakes if s.role == "permanent"]
    assert right.reach_m == max(s.radius_m for s in permanent)
    assert apart_deg(right.azimuth_deg, left.azimuth_deg) == max(apart_deg(right.azimuth_deg, s.azimuth_deg) for s in permanent)
    assert sorted(s.id for p in (right, left, *others) for s in p.anchors) == sorted(s.id for s in permanent)
    for plane in (right, left):
        outermost = max(plane.anchors, key=lambda s: s.radius_m)
        assert plane.height_at(outermost.radius_m) == pytest.approx(outermost.above_base_m, abs=0.02)


def test_the_checklist_has_it_drawn(maps):
    whole = " ".join(texts(maps["A4", "m"]))
    assert "Elevation drawing of the mast" in whole and "Elevation drawing of the mast: MISSING" not in whole


def test_without_guys_and_without_profiles_the_sheet_says_so(tmp_path):
    bare = lift_plans.small(tmp_path, mast={"guys": (), "anchors": lift_plans.NO_WINCH[:3]})
    page, text = page_of(sitemap_pdf(bare))
    assert "No permanent guys are known" in text and meeting(text_boxes(page)) == []
    page, text = page_of(sitemap_pdf(replace(plan_by_hand(), profiles=None)))
    assert "NO GROUND IS DRAWN where the plan holds no profile of it" in text and meeting(text_boxes(page)) == []
