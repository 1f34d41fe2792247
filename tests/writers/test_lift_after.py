"""The pages of the lift sheet for after the lift: the order in which the guys go over, and the form for the readings."""

from __future__ import annotations

import math
from dataclasses import replace

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from writers.lift_plans import plans as make_plans
from writers.pdf_probe import MM, meeting, size_of, straight_lines, text_boxes, texts

from siting.writers.lift.force_words import angle
from siting.writers.lift.pdf import lift_pdf

NAMES = ["demo", "rigged", "no winch", "bare", "line inside", "across", "many", "downhill", "demo, Letter", "many, Letter"]


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    return make_plans(tmp_path_factory.mktemp("lift"))


@pytest.fixture(scope="module")
def sheets(plans):
    return {name: lift_pdf(plan) for name, plan in plans.items()}


def whole(data: bytes) -> str:
    return " ".join(texts(data))


def pages_with(data: bytes, words: str) -> list[int]:
    return [k for k, text in enumerate(texts(data)) if words in text]


@pytest.mark.parametrize("name", NAMES)
def test_every_step_of_the_transfer_stands_in_its_row(plans, sheets, name):
    plan, text = plans[name], whole(sheets[name])
    assert "After the lift: guys go over to the permanent anchors" in text
    if plan.transfer is None:
        why = next(w for w in plan.warnings if w.startswith("No order of moving the guys over"))
        page = texts(sheets[name])[pages_with(sheets[name], "NO ORDER: DO NOT LET GO A GUY OF THE LIFT")[0]]
        assert why.replace(" ", "") in page.replace(" ", "") and "Ask the mast maker" in page
        return
    at = text.index("Tick a step when it is done")
    point = {s.id: s.point for s in plan.stakes}
    for step in plan.transfer.steps:
        level = "winch line" if step.level_m is None else f"{step.level_m:g} m"
        anchors = [a.anchor_to for a in plan.transfer.steps if a.action == "make fast" and a.level_m == step.level_m]
        named = {"make fast": [step.anchor_to], "let go": [step.anchor_from], "set": anchors}[step.action]
        held = ", ".join(point[a] for a in step.held_by) or "the permanent guys alone"
        row = f"{step.number} {step.action.upper()} {level} {', '.join(point[a] for a in named)} {held} "
        at = text.index(row, at)
        rest = text[at + len(row) : at + len(row) + 400]
        assert rest.startswith("–" if step.widest_gap_deg is None else angle(step.widest_gap_deg))
        assert step.instruction[1:] in rest
    assert all(note in text for note in plan.transfer.notes)


def test_the_transfer_is_in_figures_of_14_points_and_each_step_has_a_box(plans, sheets):
    data, plan = sheets["demo"], plans["demo"]
    document = pdfium.PdfDocument(data)
    numbers = pages_with(data, "MAKE FAST")
    for step in plan.transfer.steps[:-1]:
        for words in (step.action.upper(), f"{step.level_m:g} m"):
            assert max(size for n in numbers for size in size_of(document[n], words)) >= 14.0
    boxes = 0
    for n in numbers:
        for o in document[n].get_objects([raw.FPDF_PAGEOBJ_PATH]):
            left, low, right, top = o.get_bounds()
            boxes += abs((right - left) - (top - low)) < 0.1 and 5.0 * MM < right - left < 7.0 * MM
    assert boxes == len(plan.transfer.steps)


def test_a_transfer_that_many_guys_hold_finds_room(plans):
    plan = plans["demo"]
    ids = tuple(s.id for s in plan.stakes)
    steps = tuple(replace(s, held_by=ids * 4) for s in plan.transfer.steps)
    for paper in ("A4", "Letter"):
        data = lift_pdf(replace(plan, paper=paper, transfer=replace(plan.transfer, steps=steps)))
        for n in pages_with(data, "MAKE FAST"):
            assert meeting(text_boxes(pdfium.PdfDocument(data)[n])) == []


def test_a_plan_without_transfer_and_form_and_without_a_reason_is_to_be_made_again(plans):
    plan = replace(plans["demo"], transfer=None, plumb_form=None)
    text = whole(lift_pdf(plan))
    assert "NO ORDER: DO NOT LET GO A GUY OF THE LIFT" in text and "NO FORM FOR THE READINGS" in text
    assert text.count("This plan does not hold them: make it again with siting plan.") == 2


@pytest.mark.parametrize("name", NAMES)
def test_the_form_has_every_level_from_the_top_with_limit_set_values_and_bounds(plans, sheets, name):
    plan, text = plans[name], whole(sheets[name])
    assert "Readings of the standing mast" in text
    if plan.plumb_form is None:
        assert name == "bare" and "NO FORM FOR THE READINGS" in text
        assert next(w for w in plan.warnings if w.startswith("No form for plumbing")) in text
        return
    at = text.index("Readings of the standing mast")
    point = {s.id: s.point for s in plan.stakes}
    for words in (*(d.text for d in plan.plumb_form.directions), *plan.plumb_form.how, *(b[1:] for b in plan.plumb_form.blanks)):
        assert words in text[at:], words
    for level in plan.plumb_form.levels:
        at = text.index(f"{level.attach_m:g} m {level.limit_cm:.2f}", at)
        for guy in level.guys:
            at = text.index(f"{point[guy.anchor]} {guy.set_kn:.2f} {guy.least_kn:.2f}–{guy.greatest_kn:.2f}", at)
    assert "Type them into readings.csv and run: siting lift PLAN.json --readings readings.csv" in text


@pytest.mark.parametrize("name", ["demo", "demo, Letter", "rigged"])
def test_the_form_fits_a_page_with_boxes_for_a_thick_pen(plans, sheets, name):
    (number,) = pages_with(sheets[name], "Readings of the standing mast")
    page, form = pdfium.PdfDocument(sheets[name])[number], plans[name].plumb_form
    assert "Type them into readings.csv" in texts(sheets[name])[number]
    sizes = []
    for o in page.get_objects([raw.FPDF_PAGEOBJ_PATH]):
        left, low, right, top = (v / MM for v in o.get_bounds())
        if raw.FPDFPath_CountSegments(o.raw) == 5:
            sizes.append((right - left, top - low))
    pens = [s for s in sizes if 18.0 <= s[0] <= 45.0 and 9.0 <= s[1] <= 21.0]
    assert len(pens) >= sum(2 + len(level.guys) for level in form.levels)
    for level in form.levels:
        assert min(size_of(page, f"{level.limit_cm:.2f}")) >= 14.0
        assert all(min(size_of(page, f"{g.least_kn:.2f}–{g.greatest_kn:.2f}")) >= 14.0 for g in level.guys)


@pytest.mark.parametrize("name", ["demo", "downhill", "across"])
def test_the_form_shows_the_anchors_at_their_bearings_from_the_laydown(plans, sheets, name):
    plan = plans[name]
    (number,) = pages_with(sheets[name], "Readings of the standing mast")
    lines = [b - a for a, b in straight_lines(pdfium.PdfDocument(sheets[name])[number])]
    stakes = [s for s in plan.stakes if s.role == "permanent"]
    spokes = {}
    for stake in stakes:
        turn = math.radians(stake.azimuth_deg - plan.laydown.azimuth_deg)
        spokes[stake.id] = [
            math.hypot(*d) / stake.radius_m for d in lines
            if abs((math.atan2(d[0], d[1]) - turn + math.pi) % (2.0 * math.pi) - math.pi) < 2e-3
        ]  # fmt: skip
    # One scale, mm for a metre, at which each anchor has its line.
    assert any(
        all(any(abs(k / scale - 1.0) < 5e-3 for k in found) for found in spokes.values()) for scale in spokes[stakes[0].id]
    )
