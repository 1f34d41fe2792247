"""The land sheet: verdict, move, every rule with its source, zones, lines, air; drawn to scale; fonts, and that no two texts meet."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pytest
from writers.land_plans import MAKERS, ON_LETTER, plans
from writers.pdf_probe import MM, fonts_embedded, meeting, size_of, straight_lines, text_boxes, texts

from siting.figures import shown
from siting.writers.land.pdf import land_pdf
from siting.writers.land.rules_map import ties_of
from siting.writers.land.words import DEFER_LAND, land_verdict, rule_figures

NAMES = [*MAKERS, *(f"{name}, Letter" for name in ON_LETTER)]
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


@pytest.fixture(scope="module")
def made():
    return plans()


@pytest.fixture(scope="module")
def sheets(made):
    return {name: land_pdf(plan) for name, plan in made.items()}


def whole(data: bytes) -> str:
    return " ".join(texts(data))


def page_with(data: bytes, words: str) -> int:
    return next(k for k, text in enumerate(texts(data)) if words in text)


@pytest.mark.parametrize("name", NAMES)
def test_the_first_page_says_whether_the_mast_may_stand_and_who_comes_first(made, sheets, name):
    plan, first = made[name], texts(sheets[name])[0]
    assert {"pass": "PASS", "fail": "FAIL", "unchecked": "NOT CHECKED"}[land_verdict(plan)] in first
    assert DEFER_LAND in first and plan.provenance.run_id in first and "LAND SHEET" in first
    assert "no permission to build" in first


@pytest.mark.parametrize("name", NAMES)
def test_every_rule_stands_with_its_figures_and_its_source(made, sheets, name):
    text = whole(sheets[name])
    for rule in made[name].land.rules:
        assert rule.title in text
        assert " ".join(f for f in rule_figures(rule)) in text
        assert rule.source in text
    assert text.count("check your local code") >= len(made[name].land.rules)
    assert made[name].land.rules or "No rule of the land was read" in text


@pytest.mark.parametrize("name", ["failing", "failing, Letter", "many"])
def test_the_move_is_in_large_letters_and_drawn_to_scale(made, sheets, name):
    page, first = pdfium.PdfDocument(sheets[name])[0], texts(sheets[name])[0]
    assert "Move the base 12.60 m towards 90.0°" in first
    assert min(size_of(page, "Move the base 12.60 m")) >= 12.0
    assert "move 12.60 m, 90.00°" in first


@pytest.mark.parametrize("name", ["failing", "waived", "failing, Letter"])
def test_distances_of_the_picture_are_true_to_its_scale(made, sheets, name):
    """Each rule's tie that ends inside the frame: its length and its direction on the paper."""
    plan, page = made[name], pdfium.PdfDocument(sheets[name])[0]
    scale = int(re.findall(r"\b1:(\d+)\b", texts(sheets[name])[0])[0])
    lines = [b - a for a, b in straight_lines(page)]
    for rule in plan.land.rules:
        turn = math.radians(rule.bearing_deg)
        wanted = 1000.0 * rule.value_m / scale * np.array([math.sin(turn), math.cos(turn)])
        assert any(np.linalg.norm(line - wanted) < 0.15 for line in lines), rule.id
    assert len(ties_of(plan)) == len(plan.land.rules)


def test_what_was_not_measured_is_as_loud_as_a_failure(sheets):
    first, page = texts(sheets["unmeasured"])[0], pdfium.PdfDocument(sheets["unmeasured"])[0]
    assert first.count("NOT CHECKED") >= 4 and "NOT MEASURED" in first
    assert max(size_of(page, "NOT CHECKED")) >= 14.0
    text = whole(sheets["unmeasured"])
    assert "no parcels were given" in text and "Look for them on site, all round" in text and "holds no screening for air" in text


def test_a_waived_line_is_named_with_who_waived_it(sheets):
    first = texts(sheets["waived"])[0]
    assert "WAIVED" in first and "12-005 Ödland: waived by its owner, book 12 page 34, 2026-10-02 (left out of: property line)" in first


@pytest.mark.parametrize("name", ["two lines", "two lines, Letter"])
def test_a_line_that_is_too_near_forbids_raising_in_large_letters(made, sheets, name):
    number = page_with(sheets[name], "Overhead lines: least distances")
    page, text = pdfium.PdfDocument(sheets[name])[number], texts(sheets[name])[number]
    assert max(size_of(page, "DO NOT RAISE HERE")) >= 20.0
    for line in made[name].power_lines:
        assert " ".join((shown(line.lying_m, "length"), shown(line.lifting_m, "length"), shown(line.standing_m, "length"))) in text
        assert line.text.removeprefix("DO NOT RAISE HERE. ") in text and line.source in text
    assert "voltage NOT KNOWN" in text
    assert "DO NOT RAISE HERE" not in whole(sheets["failing"])
    assert "DO NOT RAISE HERE OVERHEAD Near line: the lift stays 4.20 m away; 6.10 m is asked for." in texts(sheets[name])[0]


def test_what_fails_beside_the_rules_is_named_on_the_first_page(sheets):
    first = texts(sheets["bare"])[0]
    assert "FAILS FAIL: Base to the boundary: 78.30 m, least 90.75 m (towards 12-005 Ödland, 270.00° true)." in first


@pytest.mark.parametrize(("name", "words"), [("failing", "NOTICE REQUIRED"), ("waived", "NOT BY THESE CRITERIA"), ("two lines", "CANNOT TELL")])
def test_the_air_result_is_in_the_largest_letters_and_no_permission(made, sheets, name, words):
    number = page_with(sheets[name], "Air navigation: a screening")
    page, text = pdfium.PdfDocument(sheets[name])[number], texts(sheets[name])[number]
    assert max(size_of(page, words)) >= 24.0
    assert "never a permission: the authority alone decides" in text
    every = whole(sheets[name])
    found = made[name].air
    for value in (found.form.latitude, found.form.longitude, found.form.lead_time, *(c.text[1:] for c in found.criteria), *(c.source for c in found.criteria)):
        assert value in every
    assert "82.50 m (270.7 ft)" in every and "NOT KNOWN" in every


def test_bands_of_the_first_law_that_applies_stand_in_metres_and_feet(made, sheets):
    text = whole(sheets["failing"])
    assert "Marking as drawn: Law with spheres (US-XX): APPLIES" in text
    for band in made["failing"].air.markings[1].bands:
        assert f"{band.from_m:.2f} {band.to_m:.2f} {band.from_ft:.1f} {band.to_ft:.1f} {band.colour}" in text
    assert "Bands: Second law that applies" in text and "Law that does not apply (US-XX): an invented reason" in text


@pytest.mark.parametrize("name", ["failing", "many", "many, Letter"])
def test_every_parcel_of_a_zone_stands_with_owner_area_and_whose(made, sheets, name):
    text = whole(sheets[name])
    for parcel in made[name].reach[0].by_parcel:
        assert f"{parcel.id} {parcel.owner} {'own' if parcel.is_own else 'NEIGHBOUR'} {shown(parcel.area_m2, 'area', unit=False)}" in text
    assert "Čierna cesta 70.00 A, D" in text
    assert "The fall circle is the rule. Every other outline is information" in text


@pytest.mark.parametrize("name", NAMES)
def test_no_text_lies_on_another_or_beyond_the_margin(sheets, name):
    for number, page in enumerate(pdfium.PdfDocument(sheets[name]), 1):
        boxes, (width, height) = text_boxes(page), page.get_size()
        edge = 10.0 * MM
        assert all(edge - 3 <= b[0] and b[2] <= width - edge + 3 and b[1] >= 8.0 * MM and b[3] <= height - 8.0 * MM for b in boxes), number
        assert meeting(boxes) == [], number


@pytest.mark.parametrize("name", NAMES)
def test_paper_fonts_run_and_page_numbers(made, sheets, name):
    data, plan = sheets[name], made[name]
    fonts = set(re.findall(rb"/BaseFont\s*/(\S+)", data))
    assert fonts and all(re.fullmatch(rb"[A-Z]{6}\+SourceSansPro-(Regular|Bold)", font) for font in fonts), fonts
    assert b"/Keywords (run " + plan.provenance.run_id.encode() + b")" in data
    pages = texts(data)
    for page in pdfium.PdfDocument(data):
        assert [side / MM for side in page.get_size()] == pytest.approx(PAPERS_MM[plan.paper], abs=0.01)
        assert fonts_embedded(page) == {1}
    for number, text in enumerate(pages, 1):
        assert text.count(f"page {number} of {len(pages)}") == 2
        assert plan.provenance.run_id in text


@pytest.mark.parametrize("name", ["failing", "many, Letter"])
def test_the_same_plan_gives_the_same_bytes_and_black_ink_alone(made, sheets, name):
    assert land_pdf(made[name]) == sheets[name]
    for page in pdfium.PdfDocument(sheets[name]):
        pixels = np.asarray(page.render(scale=0.6).to_pil().convert("RGB")).astype(int)
        assert np.ptp(pixels, axis=2).max() <= 2


@pytest.mark.parametrize("paper", list(PAPERS_MM))
def test_a_law_of_many_narrow_bands_is_drawn_and_its_table_goes_on_below(made, paper):
    plan = made["failing"]
    narrow = tuple(m for m in plan.air.markings if len(m.bands) == 55)
    data = land_pdf(replace(plan, paper=paper, air=replace(plan.air, markings=narrow)))
    text = whole(data)
    assert "Marking as drawn: Law with narrow bands (US-XX): CANNOT TELL" in text
    for band in narrow[0].bands:
        assert f"{band.from_m:.2f} {band.to_m:.2f} {band.from_ft:.1f} {band.to_ft:.1f} {band.colour}" in text
    for page in pdfium.PdfDocument(data):
        assert meeting(text_boxes(page)) == []


def test_no_final_word_stands_on_it(sheets):
    for name in NAMES:
        assert not re.search(r"\bapproved?\b|\bsafe to\b|\bcertif", whole(sheets[name]), re.I)
