"""The packet: cover, every sheet, every check; one count of pages, one outline, fonts once, on every paper."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from writers import lift_plans
from writers.pdf_probe import MM, fonts_embedded, meeting, size_of, straight_lines, text_boxes, texts
from writers.site_maps import gdal_transform

from siting.figures import shown
from siting.writers.lift.pdf import lift_pdf
from siting.writers.packet_pdf.checks_pages import all_checks
from siting.writers.packet_pdf.sheets import sheets_of
from siting.writers.packet_pdf.whole import packet_pdf
from siting.writers.paper.canvas import PAPERS_MM
from siting.writers.sitemap.pdf import sitemap_pdf

MAP, LAND = "Site map", "Land sheet"
NAMES = ["demo", "across", "no winch", "rigged", "bare", *(f"demo, {paper}" for paper in ("Letter", "A3", "Tabloid")), "across, Tabloid"]


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    folder = tmp_path_factory.mktemp("packet")
    made = {
        "demo": lift_plans.demo(),
        "across": lift_plans.across(folder / "across"),
        "no winch": lift_plans.small(folder / "no winch", mast={"anchors": lift_plans.NO_WINCH}),
        "rigged": lift_plans.rigged(folder / "rigged"),
        "bare": lift_plans.small(folder / "bare", mast={"guys": (), "anchors": lift_plans.NO_WINCH[:3]}),
    }
    for name in NAMES:
        plan, _, paper = name.partition(", ")
        made[name] = replace(made[plan], paper=paper) if paper else made[plan]
    return made


@pytest.fixture(scope="module")
def packets(plans):
    return {name: packet_pdf(plans[name]) for name in NAMES}


@pytest.fixture(scope="module")
def pages(packets):
    """The text of each page of each packet."""
    return {name: texts(data) for name, data in packets.items()}


def map_pages(data: bytes) -> range:
    """The numbers, from 0, of the pages that the site map stands on, by the outline."""
    starts = [(item.get_title(), item.get_dest().get_index()) for item in pdfium.PdfDocument(data).get_toc()]
    at = next(k for k, (title, _) in enumerate(starts) if title == MAP)
    return range(starts[at][1], starts[at + 1][1])


@pytest.mark.parametrize("name", NAMES)
def test_the_pages_are_counted_through(plans, packets, pages, name):
    found, on_map = pages[name], map_pages(packets[name])
    for number, text in enumerate(found, 1):
        is_map = number - 1 in on_map
        assert text.count(f"page {number} of {len(found)}") == (1 if is_map else 2)
        assert plans[name].provenance.run_id in text and ("NOT A BOUNDARY SURVEY" if is_map else "Not a survey") in text
        if is_map:
            assert f"sheet {number - on_map[0]} of {len(on_map)}" in text


@pytest.mark.parametrize("name", NAMES)
def test_the_site_map_stands_there_as_in_its_own_file(plans, packets, pages, name):
    alone = [uncounted(text) for text in texts(sitemap_pdf(plans[name]))]
    assert [uncounted(pages[name][k]) for k in map_pages(packets[name])] == alone


@pytest.mark.parametrize("name", ["demo", "demo, A3", "across"])
def test_gdalinfo_finds_the_map_on_its_page_of_the_packet_and_nowhere_else(plans, packets, pages, tmp_path, name):
    path, number = tmp_path / "packet.pdf", map_pages(packets[name])[0] + 1
    path.write_bytes(packets[name])
    (x0, dx, rx, y0, ry, dy), size, wkt = gdal_transform(path, page=number)
    plan, page = plans[name], pdfium.PdfDocument(packets[name])[number - 1]
    assert f'ID["EPSG",{plan.crs.epsg}]' in wkt and packets[name].count(b"/Type /Viewport") == 1
    ratio, (wide, high) = float(re.search(r"Scale 1:(\d+)", pages[name][number - 1])[1]), (v / MM for v in page.get_size())
    for stake in (s for s in plan.stakes if s.role == "permanent"):  # the far end of each guy, as it is drawn
        ends = [b for a, b in straight_lines(page) if abs(math.dist(a, b) - 1000.0 * stake.radius_m / ratio) < 0.02]
        pixels = [(x * size[0] / wide, (high - y) * size[1] / high) for x, y in ends]
        miss = [math.dist((x0 + c * dx + r * rx, y0 + c * ry + r * dy), (stake.easting, stake.northing)) for c, r in pixels]
        assert min(miss) * plan.crs.unit_m < 0.1, stake.id


def test_without_land_the_sheets_say_what_is_missing(pages):
    text = " ".join(pages["across"])
    assert "No rule of the land was read" in text and "no parcels were given: whose ground it is, is not known" in text
    assert "Overhead lines: " in text and "Look for them on site, all round" in text
    first = pages["across"][1]
    assert "INCOMPLETE" in first and "NOT CHECKED: " in first and "Applicant not given" in first


@pytest.mark.parametrize("name", NAMES)
def test_contents_outline_and_headings_agree(plans, packets, pages, name):
    document, pages = pdfium.PdfDocument(packets[name]), pages[name]
    outline = [(item.get_title(), item.get_dest().get_index()) for item in document.get_toc()]
    assert [title for title, _ in outline] == ["Packet", *(sheet.kind for sheet in sheets_of(plans[name]))]
    assert outline[0][1] == 0 and pages[0].startswith("PACKET")
    contents = pages[0].partition("Contents")[2]
    for (title, index), sheet in zip(outline[1:], sheets_of(plans[name]), strict=True):
        if title == MAP:
            assert "SITE MAP FOR PERMIT" in pages[index] and index in map_pages(packets[name])
        else:
            assert pages[index].startswith(f"{title.upper()} page {index + 1} of")
        assert "CONTINUED" not in pages[index][:60]
        assert re.search(rf"{re.escape(sheet.kind)} {re.escape(sheet.purpose)} {index + 1}\b", contents), title


def test_the_sheets_stand_in_the_order_in_which_they_are_used(plans):
    assert [s.kind for s in sheets_of(plans["demo"])] == [
        MAP, LAND, "Stake-out sheet", "Profile sheet", "Lift sheet", "Dig sheet", "All checks", "Not checked, warnings, cautions",
    ]  # fmt: skip
    assert "Dig sheet" not in [s.kind for s in sheets_of(replace(plans["demo"], dig=None))]


def test_the_cover_says_the_verdict_and_what_is_not_checked_as_loud(plans, packets):
    page, plan = pdfium.PdfDocument(packets["across"])[0], plans["across"]
    first = texts(packets["across"])[0]
    assert plan.headline in first
    verdict, missing = max(size_of(page, "FAIL")), max(size_of(page, "NOT CHECKED"))
    assert verdict >= 30.0 and missing >= 0.85 * verdict
    for name in plan.unchecked:
        assert name.replace("_", " ") in first
    assert "buried lines" in first and "never a pass" in first
    assert "PASS" in texts(packets["demo"])[0] and "buried lines" in texts(packets["demo"])[0]
    assert "WIND STOP NOT SET: NOTHING IS RAISED" in first
    assert "WIND STOP 7.0 m/s" in texts(packets["rigged"])[0]


@pytest.mark.parametrize("name", ["demo", "across", "demo, A3"])
def test_the_cover_says_mast_base_laydown_and_run(plans, pages, name):
    first, plan = pages[name][0], plans[name]
    base, lay = plan.base, plan.laydown
    for words in (
        plan.name, plan.mast.name, shown(base.lat, "latlon"), base.dms, f"MGRS {base.mgrs}", f"{shown(lay.azimuth_deg, 'bearing')} true",
        f"{shown(lay.azimuth_grid_deg, 'bearing')} grid", f"{shown(lay.azimuth_magnetic_deg, 'bearing')} magnetic", "Emergency number",
        "Gate and meeting point", shown(plan.mast.total_height_m, "length"), f"Run {plan.provenance.run_id}",
    ):  # fmt: skip
        assert words in first, words


@pytest.mark.parametrize("name", NAMES)
def test_every_check_stands_there_with_its_limit_and_its_source(plans, pages, name):
    pages, plan = pages[name], plans[name]
    begin = next(k for k, text in enumerate(pages) if text.startswith("ALL CHECKS"))
    text = letters(" ".join(pages[begin:]))
    checks = all_checks(plan)
    assert {c.id for c in plan.checks} <= {c.id for c in checks}
    for check in checks:
        for words in (check.label, check.place, check.source):
            assert letters(words) in text, check.id
    assert "…" not in " ".join(pages[begin:])
    for item in plan.unchecked_detail:
        assert letters(item.missing) in text and letters(item.do) in text
    for words in (*plan.warnings, *plan.cautions, *plan.notes):
        assert letters(words) in text


def letters(text: str) -> str:
    """Without spaces and hyphens: lines break where they must."""
    return re.sub(r"[\s\-\u00ad\ufffe]", "", text)


def test_a_sheet_stands_in_the_packet_as_in_its_own_file(plans, packets):
    alone, pages = texts(lift_pdf(plans["demo"])), texts(packets["demo"])
    begin = next(k for k, text in enumerate(pages) if text.startswith("LIFT SHEET"))
    for number, text in enumerate(alone):
        assert uncounted(pages[begin + number]) == uncounted(text)


def uncounted(text: str) -> str:
    return re.sub(r"(?: · )?page \d+ of \d+", "", text)


@pytest.mark.parametrize("name", NAMES)
def test_paper_and_fonts(plans, packets, name):
    data = packets[name]
    fonts = re.findall(rb"/BaseFont\s*/(\S+)", data)
    assert all(re.fullmatch(rb"[A-Z]{6}\+SourceSansPro-(Regular|Bold)", font) for font in fonts), fonts
    assert data.count(b"/FontFile2 ") == len(set(fonts)) <= 4  # a font of more than 256 signs is two subsets
    on_map = map_pages(data)
    for number, page in enumerate(pdfium.PdfDocument(data)):
        sides = PAPERS_MM[plans[name].paper]
        assert [side / MM for side in page.get_size()] == pytest.approx(sides[::-1] if number in on_map else sides, abs=0.01)
        assert fonts_embedded(page) == {1}


@pytest.mark.parametrize("name", NAMES)
def test_no_text_lies_on_another_or_beyond_the_margin(packets, name):
    for number, page in enumerate(pdfium.PdfDocument(packets[name]), 1):
        boxes, (width, height) = text_boxes(page), page.get_size()
        edge = 8.0 * MM
        assert all(edge <= b[0] and b[2] <= width - edge and edge <= b[1] and b[3] <= height - edge for b in boxes), number
        assert meeting(boxes) == [], number


def test_the_run_is_in_the_keywords_and_the_same_plan_gives_the_same_bytes(plans, packets):
    run = plans["demo"].provenance.run_id
    assert f"/Keywords (run {run})".encode() in packets["demo"]
    assert packet_pdf(plans["demo"]) == packets["demo"]


def test_the_contents_lead_to_their_pages(packets):
    page = pdfium.PdfDocument(packets["demo"])[0]
    assert raw.FPDFPage_GetAnnotCount(page.raw) >= 6
