"""The lift sheet: what the crew reads on it, what it shouts, fonts, scale, and that no two texts meet."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from writers.lift_plans import plans as make_plans
from writers.pdf_probe import MM, fonts_embedded, meeting, size_of, straight_lines, text_boxes, texts

from siting.figures import shown
from siting.writers.lift.force_words import angle
from siting.writers.lift.pdf import lift_pdf
from siting.writers.lift.slopes import slope_texts
from siting.writers.lift.words import hold_points, zones
from siting.writers.paper.line_chart import nice_step

NAMES = ["demo", "rigged", "no winch", "bare", "line inside", "across", "many", "downhill", "demo, Letter", "many, Letter"]
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
NOT_SET = "WIND STOP NOT SET: NOTHING IS RAISED"


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    return make_plans(tmp_path_factory.mktemp("lift"))


@pytest.fixture(scope="module")
def sheets(plans):
    return {name: lift_pdf(plan) for name, plan in plans.items()}


def whole(data: bytes) -> str:
    return " ".join(texts(data))


def test_every_plan_is_looked_at(plans):
    assert set(plans) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_the_first_page_says_what_the_crew_leader_must_know(plans, sheets, name):
    plan, first = plans[name], texts(sheets[name])[0]
    lay = plan.laydown
    for words in (
        "LIFT SHEET", plan.name, plan.mast.name, plan.provenance.run_id, shown(lay.azimuth_deg, "bearing"),
        shown(lay.azimuth_grid_deg, "bearing"), shown(lay.azimuth_magnetic_deg, "bearing"), "Stop at 45°", "Stop at 80°",
        plan.base.dms, plan.base.mgrs, shown(plan.base.lat, "latlon"), shown(plan.base.lon, "latlon"),
        "Defer to the mast maker, local codes and a licensed engineer.", shown(plan.land.fall_radius_m, "length"),
        "Tilt sector", "Behind hinge", "Name", "Time", "common practice, no source",
    ):  # fmt: skip
        assert words in first, words
    for point in hold_points(plan):
        assert point in first
    for zone in zones(plan):
        assert zone.figure in first
    base = plan.stakes[0]
    assert all(text in first for text in slope_texts(base.slope_percent))


@pytest.mark.parametrize("name", NAMES)
def test_a_wind_stop_that_is_not_set_is_shouted(plans, sheets, name):
    page = pdfium.PdfDocument(sheets[name])[0]
    first = texts(sheets[name])[0]
    if plans[name].wind_stop is None:
        assert first.count(NOT_SET) == 1 and min(size_of(page, NOT_SET)) >= 20.0
        assert "wind_stop_m_s, wind_stop_height_m and wind_stop_averaging" in first
    else:
        assert name == "rigged"
        assert NOT_SET not in first
        assert "WIND STOP 7.0 m/s measured 10.00 m above ground, averaged: gust, 3 s" in first


def test_a_line_inside_the_fall_circle_blocks(plans, sheets):
    first = texts(sheets["line inside"])[0]
    assert "DO NOT RAISE HERE" in first and "FAIL" in first
    assert "40.00 m away; the mast reaches 60.30 m" in first
    assert min(size_of(pdfium.PdfDocument(sheets["line inside"])[0], "DO NOT RAISE HERE")) >= 14.0
    assert min(size_of(pdfium.PdfDocument(sheets["line inside"])[0], "40.00 m away")) >= 14.0
    for name in NAMES:
        assert ("DO NOT RAISE HERE" in whole(sheets[name])) == (name == "line inside"), name


def test_lines_that_nobody_knows_of_are_not_checked_and_known_ones_are_named(sheets):
    assert "NOT CHECKED Overhead lines: no obstacle layer was given" in texts(sheets["across"])[0]
    demo = texts(sheets["demo"])[0]
    assert "NOT CHECKED" not in demo and "Nearest overhead line known: Supply line" in demo
    assert "the lift (winch line, first at 5°) stays 43.57 m away; 3.05 m is asked for" in demo


@pytest.mark.parametrize("name", [n for n in NAMES if n != "bare"])
def test_every_instruction_of_every_line_stands_in_its_row(plans, sheets, name):
    """The figures of a line follow each other on the pages of instructions, from the first stop to plumb."""
    text, found = whole(sheets[name]), plans[name].lift_guys
    assert found.lines
    for line in found.lines:
        assert f"{line.travel_m:.2f} {line.tightest_m:.2f} {angle(line.tightest_at_deg)}" in text
        assert f"{line.slackest_m:.2f} {angle(line.slackest_at_deg)}" in text
        cells = [f"{line.stops[0].length_m:.2f}"]
        for stop in line.stops[1:]:
            word = "leave" if stop.change_cm == 0 else "OUT" if stop.change_cm > 0 else "IN"
            total = f"{stop.since_rest_cm:+.0f}".replace("-", "−").replace("+0", "0")
            cells.append(f"{word}\\*? {abs(stop.change_cm):.0f} {re.escape(total)}")
        assert re.search(" ".join(cells), text), line.anchor


def test_what_a_line_gives_on_the_way_is_said(plans):
    plan = plans["demo"]
    line = plan.lift_guys.lines[0]
    stop = replace(line.stops[3], peak_cm=12.0, instruction="let out 12 cm on the way, then take in 5 cm")
    line = replace(line, stops=(*line.stops[:3], stop, *line.stops[4:]))
    text = whole(lift_pdf(replace(plan, lift_guys=replace(plan.lift_guys, lines=(line, *plan.lift_guys.lines[1:])))))
    assert "* SIDE-R side guy, from 26 m, on the way to 30°: let out 12 cm on the way, then take in 5 cm." in text
    assert "OUT* 7 +19" in text


def test_a_side_anchor_over_the_limit_comes_with_its_mends(plans, sheets):
    text, found = whole(sheets["across"]), plans["across"].lift_guys
    assert found.mends and "IS OVER THE LIMIT" in text
    for mend in found.mends:
        assert f"its guy from {mend.attach_m:g} m travels {mend.travel_m:.2f} m, limit {mend.limit_m:.2f} m" in text
        assert all(move.text.split(";")[0] in text for move in mend.moves)
    assert f"{found.azimuths[0].azimuth_deg:.2f}°" in text
    assert "IS OVER THE LIMIT" not in whole(sheets["demo"])


@pytest.mark.parametrize("name", ["demo", "rigged", "downhill", "demo, Letter"])
def test_every_pull_stands_on_it(plans, sheets, name):
    text, found = whole(sheets[name]), plans[name].statics
    for stage in found.stages:
        for k, pull_kn in enumerate(stage.winch_pull_kn):
            row = [angle(stage.angles_deg[k]), shown(stage.weight_moment_knm[k], "moment", unit=False)]
            row += [shown(stage.arm_m[k], "travel", unit=False)]
            row += ["no figure" if v is None else shown(v, "force", unit=False) for v in (stage.line_kn[k], pull_kn)]
            assert " ".join(row) in text
    first = texts(sheets[name])[0]
    stage = found.stages[-1]
    assert f"{shown(stage.start_pull_kn, 'force')} at {angle(stage.angles_deg[0])}" in first
    assert found.gain.text[1:] in text and found.winch_line.text in text and found.clearance.text in text
    assert stage.takeover in text


def test_the_demo_shows_where_its_line_bears_on_the_ground_and_the_gain_uphill(sheets):
    text = whole(sheets["demo"])
    assert "c: from 70° on the winch line bears on the ground" in text
    assert "a: from 88.3° on the weight pulls to the winch's side: the back guys hold" in text
    assert "The weight does not pass over the hinge before plumb." in whole(sheets["across"])
    assert "the largest pull is 31 % less uphill than downhill" in text
    assert "e: from 85.7° on the line passes under the hinge" in whole(sheets["downhill"])
    assert "b: from 31.9° on the gin pole is pulled off its foot" in whole(sheets["rigged"])


def test_bending_is_drawn_where_the_mast_file_gives_stiffness(plans, sheets):
    assert plans["rigged"].statics.bending is not None
    text = whole(sheets["rigged"])
    assert "Bending moment at the worst angle" in text and "kNm, positive sags" in text and "m, sag negative" in text
    assert "bending of the mast: not worked out" in whole(sheets["across"])


@pytest.mark.parametrize("name", NAMES)
def test_cut_list_and_tensions_stand_on_it(plans, sheets, name):
    text, plan = whole(sheets[name]), plans[name]
    for guy in plan.cut_list.guys if plan.cut_list else ():
        assert shown(guy.cut_m, "coordinate", unit=False) in text
    for total in plan.cut_list.totals if plan.cut_list else ():
        assert shown(total.order_m, "length", unit=False) in text
    for guy in plan.tensions.guys if plan.tensions else ():
        assert " ".join(shown(t, "force", unit=False) for t in guy.tension_kn) in text
        assert " ".join(shown(s, "seconds", unit=False) for s in guy.pulse_s) in text
        assert " ".join(f"{m:.3f}" for m in guy.intercept_m) in text
    for words in plan.tensions.methods if plan.tensions else ():
        assert words.split(":")[0] in text
    assert plan.tensions is not None or "there is nothing to set" in text


def test_what_the_plan_does_not_hold_is_said(sheets):
    text = whole(sheets["no winch"])
    assert text.count("NOT WORKED OUT") >= 4 and "The mast file has no winch anchor." in text
    assert "winch arm" in texts(sheets["no winch"])[0]
    bare = whole(sheets["bare"])
    assert "nothing to let out or to take in" in bare and "there is nothing to cut" in bare
    assert "not given" in whole(sheets["across"]) and "no figure" in whole(sheets["across"])


def test_a_plan_made_before_there_was_a_lift_in_it_is_to_be_made_again(plans):
    old = replace(plans["demo"], lift_guys=None, statics=None, cut_list=None, tensions=None)
    text = whole(lift_pdf(old))
    assert text.count("This plan does not hold them: make it again with siting plan.") >= 4
    assert "The mast file has no" not in text


def test_what_fails_is_named_on_the_first_page(sheets):
    first = texts(sheets["across"])[0]
    assert "FAIL: travel of the side guy from 58 m to S1: 2.71 m, limit 1.00 m" in first
    assert "FAIL: travel of the side guy from 58 m to S2: 2.31 m, limit 1.00 m" in first


def test_a_magnetic_azimuth_that_is_not_known_is_said(plans):
    plan = plans["demo"]
    first = texts(lift_pdf(replace(plan, laydown=replace(plan.laydown, azimuth_magnetic_deg=None))))[0]
    assert "not known magnetic" in first


def test_without_mgrs_the_grid_coordinates_stand_there(plans):
    plan = plans["demo"]
    first = texts(lift_pdf(replace(plan, base=replace(plan.base, mgrs=""))))[0]
    assert "E 587408.950 N 5208885.700" in first


@pytest.mark.parametrize("name", ["demo", "demo, Letter", "rigged", "across"])
def test_figures_of_the_first_two_pages_are_at_least_14_points(plans, sheets, name):
    pages, plan = pdfium.PdfDocument(sheets[name]), plans[name]
    figures = [shown(plan.laydown.azimuth_deg, "bearing"), *(z.figure for z in zones(plan)), plan.base.dms]
    figures += [shown(plan.statics.stages[-1].start_pull_kn, "force"), "Stop at 45°"]
    figures += [slope_texts(s.slope_percent)[2] for s in plan.stakes if s.role == "base"]
    for figure in figures:
        assert min(size_of(pages[0], figure)) >= 14.0, figure
    for line in plan.lift_guys.lines:
        assert max(size_of(pages[1], f"{abs(line.stops[2].change_cm):.0f}")) >= 14.0
        assert min(size_of(pages[1], f"{line.tightest_m:.2f}")) >= 14.0


@pytest.mark.parametrize("name", NAMES)
def test_mast_and_guys_are_drawn_to_the_scale_that_is_stated(plans, sheets, name):
    """Each angle's mast, from the side, within 0.3 mm of its length and 0.1 degrees of its angle."""
    plan, document = plans[name], pdfium.PdfDocument(sheets[name])
    pages = [k for k, text in enumerate(texts(sheets[name])) if "From the side, and from above: 1:" in text]
    scale = int(re.search(r"from above: 1:(\d+)", texts(sheets[name])[pages[0]])[1])
    lines = [line for number in pages for line in straight_lines(document[number])]
    rest_deg = plan.laydown.rest_angle_deg
    angles = [rest_deg, 20.0, 45.0, 70.0, 90.0]
    long_mm = 1000.0 * plan.mast.height_m / scale
    for deg in angles:
        found = [
            a for a in lines
            if abs(math.hypot(*(a[1] - a[0])) - long_mm) < 0.3
            and abs(math.degrees(math.atan2(*(a[1] - a[0])[::-1])) - deg) < 0.1
        ]  # fmt: skip
        assert found, deg
        above_mm = long_mm * math.cos(math.radians(deg))
        assert any(abs(a[1][0] - a[0][0] - above_mm) < 0.3 and abs(a[1][1] - a[0][1]) < 0.05 for a in lines)
    drawn = [math.hypot(*(a[1] - a[0])) for a in lines]
    for side in plan.lift.side_guys:  # from above at plumb: the anchor's ground distance
        stake = next(s for s in plan.stakes if s.id == side.anchor)
        assert any(abs(mm - 1000.0 * stake.radius_m / scale) < 0.3 for mm in drawn)


@pytest.mark.parametrize("name", NAMES)
def test_no_text_lies_on_another_or_beyond_the_margin(sheets, name):
    for number, page in enumerate(pdfium.PdfDocument(sheets[name]), 1):
        boxes, (width, height) = text_boxes(page), page.get_size()
        edge = 10.0 * MM
        assert all(edge - 3 <= b[0] and b[2] <= width - edge + 3 and b[1] >= 8.0 * MM and b[3] <= height - 8.0 * MM for b in boxes)
        assert meeting(boxes) == [], number


def test_the_finder_of_meeting_texts_finds_them():
    assert len(meeting([(0, 0, 10, 5), (8, 3, 20, 9), (10, 0, 20, 3), (30, 0, 40, 5)])) == 1


@pytest.mark.parametrize("name", NAMES)
def test_paper_fonts_and_page_numbers(plans, sheets, name):
    data = sheets[name]
    fonts = set(re.findall(rb"/BaseFont\s*/(\S+)", data))
    assert fonts and all(re.fullmatch(rb"[A-Z]{6}\+SourceSansPro-(Regular|Bold)", font) for font in fonts), fonts
    pages = texts(data)
    for page in pdfium.PdfDocument(data):
        assert [side / MM for side in page.get_size()] == pytest.approx(PAPERS_MM[plans[name].paper], abs=0.01)
        assert fonts_embedded(page) == {1}
    for number, text in enumerate(pages, 1):
        assert text.count(f"page {number} of {len(pages)}") == 2
        assert plans[name].provenance.run_id in text and "no permission to lift" in text


def test_the_same_plan_gives_the_same_bytes(plans, sheets):
    for name in ("demo", "rigged"):
        assert lift_pdf(plans[name]) == sheets[name]


def test_no_final_word_stands_on_it(sheets):
    for name in NAMES:
        assert not re.search(r"\bapproved?\b|\bsafe to\b|\bcertif", whole(sheets[name]), re.I)


@pytest.mark.parametrize(("span", "step"), [(36.5, 10.0), (0.72, 0.2), (7.0, 1.0), (123.0, 20.0), (1e-6, 2e-7)])
def test_steps_of_an_axis_are_round(span, step):
    assert nice_step(span) == pytest.approx(step)


def test_the_run_is_in_the_keywords_of_the_pdf(plans, sheets):
    """As the packet's check reads it: one search in the file."""
    for name in NAMES:
        found = re.search(rb"/Keywords \(run ([0-9A-Za-z]+)\)", sheets[name])
        assert found and found[1].decode() == plans[name].provenance.run_id
        assert pdfium.PdfDocument(sheets[name]).get_metadata_dict()["Keywords"] == f"run {plans[name].provenance.run_id}"
