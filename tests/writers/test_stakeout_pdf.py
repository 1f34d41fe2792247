"""The stake-out sheet: what stands on it, fonts, paper, scale, and that no two texts and no two names meet."""

from __future__ import annotations

import ctypes
import itertools
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import ground_point, ready_folder, site_text
from synthetic import plane
from writers.pdf_probe import meeting, text_boxes
from writers.plan_by_hand import make_plan as plan_by_hand

from siting.figures import shown
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.survey import Localisation
from siting.units import METRES_PER_US_SURVEY_FOOT
from siting.writers.paper.sketch_labels import Label, overlap, place_labels
from siting.writers.stakeout.pdf import stakeout_pdf

DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
MM = 72.0 / 25.4
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
LONG_NAME = "Übergangsstraße Ödland–Čierna Hora ≤ 2 400 m² × 15° №17 (Süd)"


def long_ids(plan):
    """The plan with a name of 60 letters and anchor ids too long for a point's name."""
    ids = {s.id: f"{s.id}-ANCHOR-IN-THE-NORTHERN-FIELD-{k}" for k, s in enumerate(plan.stakes) if s.role not in ("base", "head", "offset")}
    stakes = tuple(replace(s, id=ids.get(s.id, s.id), point=ids.get(s.id, s.id)[:7] + str(k % 10)) for k, s in enumerate(plan.stakes))
    shapes = tuple(replace(s, id=ids.get(s.id, s.id)) for s in plan.shapes)
    return replace(plan, name=LONG_NAME, stakes=stakes, shapes=shapes)


def given_points() -> str:
    """Three control points and four features around the base, as tables of a site file."""
    text = ""
    for kind, name, count in (("control", "BM", 3), ("features", "Fence post é", 4)):
        for k in range(count):
            lon, lat = ground_point((37 + 71 * k) % 360, 30 + 20 * k, 500.0)
            text += f'\n[[{kind}]]\nname = "{name} {k + 1}"\nlat = {lat!r}\nlon = {lon!r}\nheight_m = {500 + k}.25\n'
    return text


def many_anchors(count: int) -> dict:
    """A mast with this many anchors on six spokes, with their guys."""
    anchors = [(f"{'ABCDEF'[k % 6]}{k // 6 + 1}", "permanent", (45 + 60 * k) % 360, 30 + 13 * (k // 6)) for k in range(count - 4)]
    lift = [("SIDE-R", "temporary", 90, 56), ("SIDE-L", "temporary", 270, 56), ("BACK", "temporary", 0, 96), ("WINCH", "winch", 180, 92)]
    guys = ((80.0, tuple(a[0] for a in anchors), "permanent"), (60.0, ("SIDE-R", "SIDE-L", "BACK"), "temporary"))
    return {"height_m": 90.0, "anchors": (*anchors, *lift), "guys": guys}


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    folder = ready_folder(tmp_path_factory.mktemp("sheet"), plane(6.0, 40.0))
    (folder / "site.toml").write_text(site_text() + given_points(), encoding="utf-8")
    with_points = make_plan(read_site(folder / "site.toml"))
    ready_folder(folder, plane(6.0, 40.0), mast=many_anchors(30), half_width_m=130.0)
    (folder / "site.toml").write_text(site_text(sheet={"paper": "Letter"}), encoding="utf-8")
    many = make_plan(read_site(folder / "site.toml"))
    hand, demo = plan_by_hand(), make_plan(read_site(DEMO))
    made = {"demo": demo, "by hand": hand, "long": long_ids(hand), "points": with_points, "many": many}
    made |= {f"{name}, Letter": replace(made[name], paper="Letter") for name in ("demo", "by hand", "long", "points")}
    return made | {"many, A4": replace(many, paper="A4"), "number": numbered(demo)}


def numbered(plan):
    """The plan with point names so long that the drawing shows the table's numbers instead."""
    stakes = tuple(replace(s, point=f"{s.point}-OF-A-LONG-NAME-{k:02d}"[:32]) for k, s in enumerate(plan.stakes))
    return replace(plan, stakes=stakes)


@pytest.fixture(scope="module")
def sheets(plans):
    return {name: stakeout_pdf(plan) for name, plan in plans.items()}


NAMES = [
    "demo", "by hand", "long", "points", "many", "number", "demo, Letter", "by hand, Letter", "long, Letter", "points, Letter",
    "many, A4",
]  # fmt: skip


def test_every_plan_is_looked_at(plans):
    assert set(plans) == set(NAMES)


def texts(data: bytes) -> list[str]:
    return [page.get_textpage().get_text_bounded() for page in pdfium.PdfDocument(data)]


def rows_of(data: bytes) -> str:
    return " ".join(" ".join(texts(data)).split())


def letters_of(text: str) -> str:
    """Letters and figures only: a name on two lines breaks at its hyphen, which the reader of the PDF drops."""
    return "".join(c for c in text if c.isalnum())


@pytest.mark.parametrize("name", NAMES)
def test_every_stake_and_control_point_stands_on_it(plans, sheets, name):
    text, plan = rows_of(sheets[name]), plans[name]
    for point in (*plan.stakes, *plan.control):
        for value in (point.northing, point.easting):
            assert shown(value, "coordinate", unit=False) in text, point.id
    for stake in plan.stakes:
        assert shown(stake.radius_m, "coordinate", unit=False) in text
        assert shown(stake.azimuth_deg, "bearing", unit=False) in text
        assert letters_of(stake.point) in letters_of(text)
    for tie in plan.ties:
        assert shown(tie.ground_m, "coordinate", unit=False) in text
        assert shown(tie.slope_distance_m, "coordinate", unit=False) in text


@pytest.mark.parametrize("name", NAMES)
def test_a_row_holds_the_numbers_of_its_own_stake(plans, sheets, name):
    """Northing, easting, height, azimuths and distance follow each other, so that no column is one row off."""
    text, plan = rows_of(sheets[name]), plans[name]
    for s in plan.stakes:
        azimuths = ("–", "–") if s.role == "base" else tuple(shown(a, "bearing", unit=False) for a in (s.azimuth_deg, s.azimuth_grid_deg))
        numbers = [shown(v, "coordinate", unit=False) for v in (s.northing, s.easting, s.height_m)]
        row = " ".join((*numbers, *azimuths, shown(s.radius_m, "coordinate", unit=False)))
        assert row in text, s.id


@pytest.mark.parametrize("name", NAMES)
def test_the_title_block_says_what_must_be_known(plans, sheets, name):
    plan, pages = plans[name], texts(sheets[name])
    first = " ".join(pages[0].split())
    crs, lay = plan.crs, plan.laydown
    for words in (
        "STAKE-OUT SHEET", plan.mast.name, plan.headline, crs.name, f"EPSG:{crs.epsg}", crs.datum, "epoch not stated", "metres",
        shown(crs.combined_factor, "factor"), f"{abs(crs.convergence_deg):.4f}°", f"{crs.declination_deg:+.2f}°",
        f"{lay.azimuth_deg:.2f}° true", f"{lay.azimuth_grid_deg:.2f}° grid", plan.provenance.plan_date, "not for grade",
        "Not a survey", "vertical datum", "no localisation applied", "Signature", f"siting {plan.provenance.version}",
        plan.base.dms,
    ):  # fmt: skip
        assert words in first, words
    assert plan.name.replace(" ", "") in first.replace(" ", "")
    assert ("NOT CHECKED" in first) == bool(plan.unchecked)
    for number, page in enumerate(pages, 1):
        assert page.count(f"page {number} of {len(pages)}") == 2
        assert plan.provenance.run_id in page
        assert "Not a survey" in page


def test_odd_letters_come_through(sheets):
    assert "Grüße ≤ Kestrel Ridge M1" in rows_of(sheets["by hand"])
    assert "Fence post é 3" in rows_of(sheets["points"])
    assert LONG_NAME in rows_of(sheets["long"])


def test_a_failure_and_what_was_not_checked_stand_beside_each_other(sheets, plans):
    first = texts(sheets["by hand"])[0]
    assert plans["by hand"].verdict == "fail"
    assert "FAIL" in first and "overhead lines: never a pass" in first
    assert "FAIL: base plate centre" in first and "MARGINAL: permanent anchor" in first
    assert "PASS" in texts(sheets["demo"])[0] and "FAIL" not in rows_of(sheets["demo"])


def test_warnings_that_find_no_room_stand_on_the_last_page(plans):
    warnings = tuple(f"Warning number {k}: {'look at this before any stake is set, ' * 4}" for k in range(1, 8))
    pages = texts(stakeout_pdf(replace(plans["by hand"], warnings=warnings)))
    assert len(pages) == 2
    assert "5 more warnings on the last page" in pages[0]
    assert all(f"Warning number {k}" in pages[1] for k in range(1, 8))


def test_what_a_plan_may_lack_is_said(plans):
    plan = plans["demo"]
    crs = replace(plan.crs, epsg=None, declination_deg=None, declination_error_deg=None, declination_model="the date lies outside it")
    lay = replace(plan.laydown, azimuth_magnetic_deg=None)
    first = " ".join(texts(stakeout_pdf(replace(plan, crs=crs, laydown=lay)))[0].split())
    assert "(no EPSG code)" in first and "none: the date lies outside it" in first
    assert "magnetic = true" in first and "° magnetic" not in first and " M +" not in first


def test_the_localisation_stands_on_it_for_comparison(plans):
    fit = Localisation(3, 1.25, -0.5, 0.00123, 21.5, 0.014, (), "BM 2", "One pair does not fit the others.")
    text = rows_of(stakeout_pdf(replace(plans["points"], localisation=fit)))
    assert "for comparison only" in text and "no localisation applied" in text
    assert "shift 1.250 m east, -0.500 m north" in text and "scale +21.5 ppm" in text and "Suspect: BM 2" in text


def test_every_foot_says_which_foot(plans):
    plan = plans["demo"]
    text = rows_of(stakeout_pdf(replace(plan, crs=replace(plan.crs, unit="US survey foot", unit_m=METRES_PER_US_SURVEY_FOOT))))
    assert text.count("US survey feet (1200/3937 m)") == 2  # on each page


def test_heights_are_left_out_where_the_user_wants_none(plans):
    plan = plans["demo"]
    bare = rows_of(stakeout_pdf(replace(plan, terrain=replace(plan.terrain, blank_elevation=True))))
    assert not any(shown(s.height_m, "coordinate", unit=False) in bare for s in plan.stakes)
    assert "left out" in bare


def test_a_small_layout_is_one_page_and_the_demo_two(sheets):
    pages = {name: len(texts(data)) for name, data in sheets.items()}
    assert pages["by hand"] == pages["by hand, Letter"] == 1
    assert pages["demo"] == pages["demo, Letter"] == 2


@pytest.mark.parametrize("name", NAMES)
def test_paper(plans, sheets, name):
    wanted = PAPERS_MM[plans[name].paper]
    for page in pdfium.PdfDocument(sheets[name]):
        assert [side / MM for side in page.get_size()] == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_only_embedded_fonts_are_listed(sheets, name):
    data = sheets[name]
    fonts = set(re.findall(rb"/BaseFont\s*/(\S+)", data))
    assert len(fonts) >= 2
    assert all(re.fullmatch(rb"[A-Z]{6}\+SourceSansPro-(Regular|Bold)", font) for font in fonts), fonts
    assert data.count(b"/FontFile2 ") >= 2 and b"Helvetica" not in data
    for page in pdfium.PdfDocument(data):
        kinds = [raw.FPDFFont_GetIsEmbedded(raw.FPDFTextObj_GetFont(o.raw)) for o in page.get_objects([raw.FPDF_PAGEOBJ_TEXT])]
        assert len(kinds) > 20 and set(kinds) == {1}


def test_numbers_of_the_stake_table_are_at_least_nine_points(sheets, plans):
    for name in NAMES:
        textpage = pdfium.PdfDocument(sheets[name])[0].get_textpage()
        sizes = set()
        for s in (s for s in plans[name].stakes if s.role != "offset"):
            start, _ = textpage.search(shown(s.northing, "coordinate", unit=False)).get_next()
            sizes.add(raw.FPDFText_GetFontSize(textpage.raw, start))
        assert len(sizes) == 1 and min(sizes) >= 9.0, name
        assert name.startswith(("number", "many", "long")) or min(sizes) >= 11.0, name


def test_the_same_plan_gives_the_same_bytes(plans, sheets):
    for name in ("demo", "many"):
        assert stakeout_pdf(plans[name]) == sheets[name]


def scale_of(page) -> int | None:
    found = re.search(r"Sketch 1:(\d+)", page.get_textpage().get_text_bounded())
    return int(found[1]) if found else None


def sketch_page(data: bytes):
    return next(page for page in pdfium.PdfDocument(data) if scale_of(page))


@pytest.mark.parametrize("name", NAMES)
def test_the_scale_bar_is_as_long_as_it_says(sheets, name):
    """Measured on the page drawn at 600 dpi: the longest black run in the strip above the bar's last number."""
    page = sketch_page(sheets[name])
    textpage = page.get_textpage()
    _, _, right, top = textpage.get_charbox(textpage.search("100 m").get_next()[0])
    width, height = page.get_size()
    strip = (20.0, top + 0.2, width - right - 60.0, height - top - 2.9 * MM)  # left, bottom, right, top to leave out
    image = page.render(scale=600 / 72, crop=strip, grayscale=True).to_numpy() < 128
    runs = [sum(1 for _ in run) for row in image for black, run in itertools.groupby(row.tolist()) if black]
    assert max(runs) * 25.4 / 600 == pytest.approx(1000.0 * 100.0 / scale_of(page), abs=0.2)


def straight_lines(page) -> list[np.ndarray]:
    """Start and end of every straight line of the page, mm, y upward."""
    lines = []
    for o in page.get_objects([raw.FPDF_PAGEOBJ_PATH]):
        if raw.FPDFPath_CountSegments(o.raw) == 2:
            points = []
            for k in range(2):
                x, y = ctypes.c_float(), ctypes.c_float()
                assert raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(o.raw, k), ctypes.byref(x), ctypes.byref(y))
                points.append((x.value / MM, y.value / MM))
            lines.append(np.array(points))
    return lines


@pytest.mark.parametrize("name", NAMES)
def test_guys_winch_line_and_laydown_are_drawn_true_to_scale_and_to_true_north(plans, sheets, name):
    plan, page = plans[name], sketch_page(sheets[name])
    lines = straight_lines(page)
    drawn = [(math.hypot(*(b - a)), math.degrees(math.atan2(*(b - a))) % 360.0) for a, b in lines]
    wanted = {s.id for s in plan.shapes if s.kind in ("guy", "side_guy", "winch_line")} | {"HEAD"}
    stakes = [s for s in plan.stakes if s.id in wanted]
    assert len(stakes) == len(wanted) >= 8
    for s in stakes:
        long_mm = 1000.0 * s.radius_m / scale_of(page)
        assert any(abs(mm - long_mm) < 0.05 and abs((deg - s.azimuth_deg + 180) % 360 - 180) < 0.1 for mm, deg in drawn), s.id


def test_the_finder_of_meeting_texts_finds_them():
    assert len(meeting([(0, 0, 10, 5), (8, 3, 20, 9), (10, 0, 20, 3), (30, 0, 40, 5)])) == 1


@pytest.mark.parametrize("name", NAMES)
def test_no_text_lies_on_another_or_beyond_the_margin(sheets, name):
    for page in pdfium.PdfDocument(sheets[name]):
        boxes, (width, height) = text_boxes(page), page.get_size()
        assert len(boxes) > 20
        assert meeting(boxes) == []
        margin = 9.0 * MM
        assert all(margin <= b[0] and b[2] <= width - margin and margin <= b[1] and b[3] <= height - margin for b in boxes)


@settings(max_examples=25)
@given(st.lists(st.tuples(st.floats(5, 95), st.floats(5, 75), st.integers(2, 8)), min_size=4, max_size=30, unique=True))
def test_placed_names_keep_clear_of_each_other_and_of_every_mark(points):
    labels = [Label((x, y), 1.2, 1.6 * letters, 2.8, 0.0, ("N" * letters,)) for x, y, letters in points]
    marks = [(x - 1.2, y - 1.2, x + 1.2, y + 1.2) for x, y, _ in points]
    area = (0.0, 0.0, 100.0, 80.0)
    placed = place_labels(labels, marks, [((50.0, 40.0), p[:2]) for p in points], area)
    if placed is None:
        return
    boxes = [p.box for p in placed]
    assert [p.label for p in placed] == labels
    assert not any(overlap(a, b) for a, b in itertools.combinations(boxes, 2))
    assert not any(overlap(box, mark) for box in boxes for mark in marks)
    assert all(b[0] >= 0 and b[1] >= 0 and b[2] <= 100 and b[3] <= 80 for b in boxes)


def test_names_with_no_room_are_not_placed():
    label = Label((5.0, 5.0), 1.0, 30.0, 3.0, 0.0, ("A LONG NAME",))
    assert place_labels([label], [], [], (0.0, 0.0, 10.0, 10.0)) is None
    assert place_labels([label], [], [], (0.0, 0.0, 60.0, 60.0))[0].leader is None
