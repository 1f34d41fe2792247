"""The profile sheet: every crib in large figures, pictures true to their stated scale, guys as they hang, no two texts meet."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pytest
from writers.pdf_probe import MM, fonts_embedded, meeting, size_of, straight_lines, text_boxes, texts
from writers.profile_plans import plans as make_plans

from siting.figures import shown
from siting.records.profiles import Hang
from siting.writers.paper.flow import Flow
from siting.writers.profiles.lines import height_of, plan_lines
from siting.writers.profiles.pdf import fill_profiles, fill_rose, profiles_pdf
from siting.writers.profiles.words import CRIBBING, NO_GUYS, NO_JOINTS, NO_PROFILES

NAMES = [
    "demo", "60 m", "many", "hole", "unknown strand", "level, Letter", "no guys", "long sections", "short sections", "every kind",
    "demo, Letter", "many, Letter", "every kind, Letter",
]  # fmt: skip
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
LAYDOWN, GUYS = "The mast on the ground before the lift", "The guys and the ground under them: 1:"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return make_plans(tmp_path_factory.mktemp("profiles"))


@pytest.fixture(scope="module")
def sheets(made):
    return {name: profiles_pdf(plan) for name, plan in made.items()}


def whole(data: bytes) -> str:
    return " ".join(texts(data))


def guy_pages(data: bytes):
    """(text, straight lines, scale) of each page of guys."""
    document = pdfium.PdfDocument(data)
    found = ((t, straight_lines(document[k])) for k, t in enumerate(texts(data)) if GUYS in t)
    return [(t, lines, int(re.search(GUYS + r"(\d+)", t)[1])) for t, lines in found]


def test_every_plan_is_looked_at(made):
    assert set(made) == set(NAMES)
    assert len(made["short sections"].profiles.laydown_joints) == 80


@pytest.mark.parametrize("name", NAMES)
def test_no_two_texts_meet_and_the_paper_and_fonts_are_right(made, sheets, name):
    document = pdfium.PdfDocument(sheets[name])
    wide, high = PAPERS_MM[made[name].paper]
    for number, page in enumerate(document):
        assert meeting(text_boxes(page)) == [], (name, number + 1)
        assert page.get_size() == pytest.approx((wide * MM, high * MM), abs=0.01)
        assert fonts_embedded(page) == {1}
        for left, low, right, top in text_boxes(page):
            assert left > 10.0 * MM and right < (wide - 10.0) * MM and low > 8.0 * MM and top < (high - 9.0) * MM


@pytest.mark.parametrize("name", ["demo", "every kind", "many, Letter"])
def test_the_same_plan_gives_the_same_bytes(made, sheets, name):
    assert profiles_pdf(made[name]) == sheets[name]


@pytest.mark.parametrize("name", NAMES)
def test_every_page_counts_itself_and_names_the_run(made, sheets, name):
    said = texts(sheets[name])
    for number, text in enumerate(said, 1):
        assert f"page {number} of {len(said)}" in text and made[name].provenance.run_id in text
        assert "PROFILE SHEET" in text


@pytest.mark.parametrize("name", NAMES)
def test_every_crib_stands_there_in_14_points(made, sheets, name):
    joints, document = made[name].profiles.laydown_joints, pdfium.PdfDocument(sheets[name])
    said = whole(sheets[name])
    if not joints:
        assert NO_JOINTS in said
        return
    pages = [k for k, t in enumerate(texts(sheets[name])) if "Cribs at the joints" in t]
    for number, joint in enumerate(joints, 1):
        figures = [shown(v, "length", unit=False) for v in (joint.along_m, joint.s_m)] + [shown(joint.cribbing_m, "travel", unit=False)]
        assert f"{number} {' '.join(figures)}" in said
        for figure in figures:
            assert any(max(size_of(document[k], figure), default=0.0) >= 14.0 for k in pages), (number, figure)
    for words in CRIBBING:
        assert words in said


@pytest.mark.parametrize("name", NAMES)
def test_the_mast_lies_on_its_rest_line_at_the_stated_scale(made, sheets, name):
    plan, page = made[name], pdfium.PdfDocument(sheets[name])[0]
    text = texts(sheets[name])[0]
    assert f"{LAYDOWN}, {shown(plan.laydown.azimuth_deg, 'bearing')} true" in text
    scale = int(re.search(r"to the right\. 1:(\d+)", text)[1])
    tall = re.search(r"heights drawn (\d) times", text)
    tall = int(tall[1]) if tall else 1
    assert tall in (1, 2, 5) and (tall > 1 or "heights and lengths alike" in text)
    rest = math.radians(plan.laydown.rest_angle_deg)
    wanted = np.array([math.cos(rest), tall * math.sin(rest)]) * 1000.0 * plan.mast.height_m / scale
    under = [line for line in straight_lines(page) if np.abs(np.abs(line[1] - line[0]) - np.abs(wanted)).max() < 0.05]
    assert len(under) >= 2  # its underside and its upper side
    hinge = next(line for line in under if (line[1] - line[0]) @ wanted > 0)[0]
    ground = {tuple(np.round(p, 1)) for line in straight_lines(page) for p in line}
    profile = plan.laydown.profile
    low = min((line[0] for line in under), key=lambda p: p[1])
    for s, h in list(zip(profile.s_m, profile.ground_m, strict=True))[::7]:
        at = low + np.array([s, tall * (h - plan.base.height_m - plan.mast.hinge_height_m)]) * 1000.0 / scale
        assert any(abs(at[0] - x) <= 0.11 and abs(at[1] - y) <= 0.11 for x, y in ground), s
    assert hinge[0] == pytest.approx(low[0], abs=0.01)


@pytest.mark.parametrize(("name", "tall"), [("demo", 2), ("hole", 1), ("level, Letter", 5), ("60 m", 5)])
def test_heights_are_drawn_as_they_are_where_the_cribs_can_be_read(sheets, name, tall):
    text = texts(sheets[name])[0]
    assert ("heights and lengths alike" if tall == 1 else f"heights drawn {tall} times") in text


@pytest.mark.parametrize("name", [n for n in NAMES if n != "no guys"])
def test_every_direction_of_guys_has_its_picture_and_its_least_height(made, sheets, name):
    lines, pages = plan_lines(made[name]), guy_pages(sheets[name])
    said = " ".join(t for t, _, _ in pages)
    assert {anchor.anchor for line in lines for _, anchor in line.anchors} == {g.anchor for g in made[name].guys}
    for line in lines:
        guy, hang = line.least
        least = min(h.clear_m for _, h in line.hangs)
        assert hang.clear_m == least
        assert f"Least: {guy} from {hang.attach_m:g} m: {shown(least, 'travel')} over the ground at {shown(hang.clear_at_m, 'length')}" in said
        assert f"{shown(line.azimuth_deg, 'bearing')} true" in said


def test_the_pictures_of_guys_are_large(sheets):
    assert {name: guy_pages(sheets[name])[0][2] for name in ("demo", "60 m", "demo, Letter")} == {"demo": 1500, "60 m": 1250, "demo, Letter": 2000}


@pytest.mark.parametrize("name", ["demo", "60 m", "hole", "demo, Letter"])
def test_masts_and_permanent_guys_are_drawn_to_scale_heights_and_lengths_alike(made, sheets, name):
    """Each guy's points in its picture, from the foot of the mast that stands in it, within 0.1 mm."""
    plan, pages = made[name], guy_pages(sheets[name])
    drawn, masts = [], []
    for _, lines, scale in pages:
        high_mm = 1000.0 * (plan.mast.hinge_height_m + plan.mast.height_m) / scale
        ends = np.array([p for line in lines for p in line])
        for line in lines:
            if abs(line[0][0] - line[1][0]) < 0.01 and abs(abs(line[1][1] - line[0][1]) - high_mm) < 0.05:
                masts.append((min(line, key=lambda p: p[1]), ends, scale))
    assert len(masts) == len(plan_lines(plan))
    for (foot, ends, scale), line in zip(masts, plan_lines(plan), strict=True):
        for _, hang in line.hangs:
            if hang.use != "permanent":
                continue
            for x, z in zip(hang.x_m, hang.z_m, strict=True):
                at = foot + np.array([x, z]) * 1000.0 / scale
                assert np.abs(ends - at).max(axis=1).min() < 0.1, (line.names, x)
                drawn.append(x)
    assert len(drawn) >= 24 * 6


@pytest.mark.parametrize("name", [n for n in NAMES if n != "no guys"])
def test_every_guy_stands_in_the_table_of_least_heights(made, sheets, name):
    said = whole(sheets[name])
    for guy in made[name].profiles.guys:
        for hang in guy.hangs:
            row = f"{hang.attach_m:g} {shown(hang.clear_m, 'travel', unit=False)} {shown(hang.clear_at_m, 'length', unit=False)}"
            assert f"{row} {'straight' if hang.straight_because else 'hanging'}" in said


def test_a_strand_that_is_not_known_is_drawn_straight_and_said(sheets):
    said = whole(sheets["unknown strand"])
    assert "drawn straight: its curve is not known, it hangs lower" in said
    assert "Drawn straight, a real guy hangs lower: A1 from 58 m, A1 from 30 m, B1 from 58 m" in said
    assert "the mast file gives neither its strand nor its diameter_mm." in said
    assert "Drawn straight" not in whole(sheets["60 m"])


def lowered(plan, clear_m: float | None):
    """The same plan as if the first guy came so near to the ground."""
    first = plan.profiles.guys[0]
    hang = replace(first.hangs[0], clear_m=clear_m, clear_at_m=None if clear_m is None else 30.0)
    guys = (replace(first, hangs=(hang, *first.hangs[1:])), *plan.profiles.guys[1:])
    return replace(plan, profiles=replace(plan.profiles, guys=guys))


def test_a_guy_below_the_ground_is_shouted_and_one_over_unknown_ground_is_no_nought(made):
    said = whole(profiles_pdf(lowered(made["60 m"], -1.25)))
    assert "Least: A1 from 58 m: 1.25 m BELOW THE GROUND at 30.00 m from the base" in said and "58 −1.25 30.00" in said
    said = whole(profiles_pdf(lowered(made["60 m"], None)))
    assert "58 – – hanging" in said and "Least: A1 from 30 m:" in said


def test_gaps_in_the_ground_are_said(made):
    plan = made["60 m"]
    first = plan.profiles.guys[0]
    ground = tuple(None if 10 <= k <= 14 else h for k, h in enumerate(first.ground_m))
    guys = (replace(first, ground_m=ground), *plan.profiles.guys[1:])
    said = whole(profiles_pdf(replace(plan, profiles=replace(plan.profiles, guys=guys))))
    assert said.count("the DEM has gaps here") == 1
    none = replace(first, ground_m=(None,) * len(ground), hangs=tuple(replace(h, clear_m=None, clear_at_m=None) for h in first.hangs))
    said = whole(profiles_pdf(replace(plan, profiles=replace(plan.profiles, guys=(none, *plan.profiles.guys[1:])))))
    assert "The DEM has no ground under these guys." in said


def test_without_guys_or_profiles_it_says_so(made, sheets):
    assert NO_GUYS in whole(sheets["no guys"]) and GUYS not in whole(sheets["no guys"])
    assert NO_PROFILES in whole(profiles_pdf(replace(made["demo"], profiles=None)))


def test_the_profiles_can_stand_in_another_sheet(made):
    flow = Flow(made["demo"], "Packet", 5)
    flow.y = flow.end - 20.0  # no room left on this page
    fill_profiles(flow)
    fill_rose(flow)
    said = texts(flow.finish())
    assert len(said) == 5 and LAYDOWN not in said[0] and LAYDOWN in said[1] and GUYS in said[2] and "laydown rose" in said[4]


def test_the_height_of_a_guy_between_its_points():
    hang = Hang(10.0, "permanent", (20.0, 10.0, 0.0), (1.0, 4.0, 10.3), 2.0, 17.0, "")
    assert [height_of(hang, x) for x in (20.0, 15.0, 10.0, 5.0, 0.0)] == pytest.approx([1.0, 2.5, 4.0, 7.15, 10.3])
