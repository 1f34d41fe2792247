"""The plumb sheet: each step and number stands on it, what was not read is shouted, nothing overlaps, pictures to scale."""

from __future__ import annotations

import ctypes
import math
import re
import subprocess
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from writers.pdf_probe import MM, fonts_embedded, meeting, size_of, straight_lines, text_boxes, texts
from writers.plumb_sheets import LONG_NAME, RUN, WHY_NONE, by_hand, correction, sheets

from siting.figures import shown
from siting.writers.plumb.pdf import plumb_pdf
from siting.writers.plumb.words import change_word, cm, limit_cm

NAMES = [
    "six levels", "six levels, Letter", "one level", "one level, Letter", "forty steps", "forty steps, Letter", "no step", "no lean",
    "no correction", "no tension", "long name", "read", "read, Letter", "tensions alone", "lean alone",
]  # fmt: skip
STEPPED = [name for name in NAMES if name not in ("no step", "no correction")]
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
DEFER = "Defer to the mast maker, local codes and a licensed engineer."


@pytest.fixture(scope="module")
def made():
    return sheets()


@pytest.fixture(scope="module")
def pdfs(made):
    return {name: plumb_pdf(*pair) for name, pair in made.items()}


def whole(data: bytes) -> str:
    return " ".join(texts(data))


def test_every_sheet_is_looked_at(made):
    assert set(made) == set(NAMES)
    assert len(made["forty steps"][0].correction.steps) == 40 and made["no step"][0].correction.steps == ()
    assert len(made["read"][0].correction.steps) > 3 and made["read"][0].tensions_unread == ()
    assert made["tensions alone"][0].report is None and made["lean alone"][0].tensions_read == 0


@pytest.mark.parametrize("name", NAMES)
def test_the_first_page_says_verdict_headline_and_whom_to_defer_to(made, pdfs, name):
    sheet, _ = made[name]
    first, page = texts(pdfs[name])[0], pdfium.PdfDocument(pdfs[name])[0]
    verdict = {"pass": "PASS", "marginal": "MARGINAL", "fail": "FAIL", "unchecked": "NOT CHECKED"}[sheet.verdict]
    for words in ("PLUMB SHEET", sheet.name, verdict, " ".join(sheet.headline.split()), DEFER):
        assert words in first, words
    assert max(size_of(page, verdict)) >= 20.0 and min(size_of(page, sheet.headline.split(":")[0][:20])) >= 14.0


@pytest.mark.parametrize("name", STEPPED)
def test_each_step_stands_on_it_in_order_with_what_is_carried_then(made, pdfs, name):
    sheet, _ = made[name]
    text = whole(pdfs[name])
    at = text.index("Order of work")
    for step in sheet.correction.steps:
        do = f"{change_word(step.change_cm)} {cm(abs(step.change_cm))} {step.anchor} at {step.attach_m:g} m"
        level = [(g, step.tension_kn[i]) for i, g in enumerate(sheet.correction.guys) if g.attach_m == step.attach_m]
        carried = " ".join(f"{g.anchor} {shown(kn, 'force', unit=False)}" for g, kn in level)
        said = f"{step.number} {do} Then at {step.attach_m:g} m: {carried} kN"
        assert said in text[at:], said
        at = text.index(said, at)
        lean = cm(step.lean_cm[sheet.correction.levels_m.index(step.attach_m)])
        rest = text[at + len(said) : at + len(said) + 40]
        assert (f"lean {lean}" in rest) == (sheet.report is not None)
        for guy in step.outside:
            assert guy in text[at : at + 300]
    assert text.count("OUTSIDE BOUNDS AFTER THIS STEP") == sum(bool(s.outside) for s in sheet.correction.steps)
    assert "After the last step: read lean and tensions again" in text


@pytest.mark.parametrize("name", ["six levels", "read", "forty steps, Letter"])
def test_what_the_crew_acts_on_is_large(made, pdfs, name):
    sheet, _ = made[name]
    pages = list(pdfium.PdfDocument(pdfs[name]))
    for step in sheet.correction.steps:
        amount, guy = cm(abs(step.change_cm)), f"{step.anchor} at {step.attach_m:g} m"
        sizes = [s for page in pages[1:] for s in size_of(page, amount)]
        assert max(sizes) >= 20.0
        assert max(s for page in pages[1:] for s in size_of(page, guy)) >= 14.0
    for level in sheet.report.levels:
        assert max(size_of(pages[0], cm(level.lean_cm))) >= 14.0 and max(size_of(pages[0], f"{level.attach_m:g} m")) >= 14.0


def ink_of(page, word: str) -> set[int]:
    """The ink, 0 black to 255 white, of every text of the page in which this word stands alone."""
    textpage, inks = page.get_textpage(), set()
    for o in page.get_objects([raw.FPDF_PAGEOBJ_TEXT]):
        length = raw.FPDFTextObj_GetText(o.raw, textpage.raw, None, 0)
        buffer = ctypes.create_string_buffer(length)
        raw.FPDFTextObj_GetText(o.raw, textpage.raw, ctypes.cast(buffer, ctypes.POINTER(raw.FPDF_WCHAR)), length)
        if buffer.raw.decode("utf-16-le").rstrip("\0") == word:
            colours = [ctypes.c_uint() for _ in range(4)]
            assert raw.FPDFPageObj_GetFillColor(o.raw, *(ctypes.byref(c) for c in colours))
            inks.add(colours[0].value)
    return inks


def test_let_out_and_take_in_are_told_apart_without_colour(pdfs):
    """On the page of steps LET OUT is black on white and TAKE IN white on black."""
    page = pdfium.PdfDocument(pdfs["six levels"])[1]
    assert ink_of(page, "LET OUT") == {0} and ink_of(page, "TAKE IN") == {255}


def test_no_lean_is_shouted_and_nothing_is_drawn(made, pdfs):
    for name in NAMES:
        text = whole(pdfs[name])
        assert ("NO LEAN READ" in text) == (made[name][0].report is None), name
        assert ("From above, lean to a scale of" in text) == (made[name][0].report is not None), name
    assert "NOT READ: plumb and straightness are not checked." in whole(pdfs["no lean"])
    assert min(size_of(pdfium.PdfDocument(pdfs["no lean"])[0], "NO LEAN READ")) >= 14.0
    assert made["tensions alone"][0].correction.warnings[0] in whole(pdfs["tensions alone"])


def test_no_correction_is_shouted_with_its_reason(pdfs):
    text = whole(pdfs["no correction"])
    assert text.count("NO CORRECTION") == 2 and text.count(WHY_NONE[1:]) == 2
    assert "LET OUT" not in text and "TAKE IN" not in text and "Guys whose tension was not read" in text
    assert all("NO CORRECTION" not in whole(pdfs[name]) for name in NAMES if name != "no correction")


def test_nothing_to_do_is_said(pdfs):
    assert "NOTHING IS TO BE LET OUT OR TAKEN IN" in whole(pdfs["no step"])
    assert "After the last step" not in whole(pdfs["no step"])


def test_tensions_that_were_not_read_are_shouted(made, pdfs):
    for name in NAMES:
        unread, text = made[name][0].tensions_unread, texts(pdfs[name])[0]
        assert ("TENSION NOT READ" in text) == bool(unread), name
    first = texts(pdfs["six levels"])[0]
    assert "3 of 18 guys: B2 at 26 m, A2 at 52 m, C2 at 65 m." in first
    assert "18 of 18 guys, not one was read." in texts(pdfs["lean alone"])[0]


@pytest.mark.parametrize("name", [n for n in NAMES if n != "no correction"])
def test_tables_hold_every_guy_and_level(made, pdfs, name):
    sheet, _ = made[name]
    text = whole(pdfs[name])
    for guy in sheet.correction.guys:
        word = change_word(guy.change_cm)
        total = "" if word == "leave" else f" {cm(abs(guy.change_cm), unit=False)}"
        read = "not read" if guy.read_kn is None else shown(guy.read_kn, "force", unit=False)
        row = f"{guy.attach_m:g} {guy.anchor} {word}{total} {read} {shown(guy.before_kn, 'force', unit=False)}"
        after = f"{shown(guy.after_kn, 'force', unit=False)} (?:inside|OUTSIDE) {guy.least_kn:.2f} {guy.greatest_kn:.2f}"
        assert re.search(f"{re.escape(row)} (?:inside|OUTSIDE) {after}", text), row
    after = dict(zip(sheet.correction.levels_m, sheet.correction.after_cm, strict=True))
    for level in sheet.report.levels if sheet.report else ():
        row = f"{level.attach_m:g} {cm(level.lean_cm, unit=False)} "
        assert re.search(f"{re.escape(row)}.{{20,60}}{cm(after[level.attach_m], unit=False)}", text), row
        word = "OVER" if level.margin_cm < 0.0 else "limit"
        assert f"{word} {limit_cm(level.limit_cm)}" in texts(pdfs[name])[0]


@pytest.mark.parametrize("name", NAMES)
def test_warnings_assumptions_notes_and_cautions_stand_on_it(made, pdfs, name):
    sheet, plan = made[name]
    text = whole(pdfs[name])
    found = [*sheet.cautions, *sheet.said, *plan.warnings]
    if sheet.correction:
        found += [sheet.correction.assumes, *sheet.correction.notes, *(w for w in sheet.correction.warnings)]
    if sheet.report:
        found += [*sheet.report.notes, *(c.place for c in sheet.report.checks)]
    for words in found:
        assert " ".join(words.split()) in text or all(part.strip() in text for part in words.split("  ")), words


@pytest.mark.parametrize("name", ["six levels", "one level, Letter", "read", "read, Letter"])
def test_the_lean_is_drawn_to_the_scales_that_are_stated(made, pdfs, name):
    sheet, _ = made[name]
    number = next(k for k, text in enumerate(texts(pdfs[name])) if "lean to a scale of" in text)
    text, lines = texts(pdfs[name])[number], straight_lines(pdfium.PdfDocument(pdfs[name])[number])
    scale = float(re.search(r"lean to a scale of 1:([\d.]+)", text)[1])
    for level in sheet.report.levels:
        long_mm, turn = 10.0 * level.lean_cm / scale, math.radians(level.bearing_deg)
        drawn = [b - a for a, b in lines]
        want = (long_mm * math.sin(turn), long_mm * math.cos(turn))
        assert any(math.dist(d, want) < 0.05 for d in drawn), level.attach_m
    factor = float(re.search(r"sideways ([\d.]+) times", text)[1])
    levels, heights = sheet.report.levels, [0.0, *(v.attach_m for v in sheet.report.levels)]
    upright = {round(abs(b - a)[1], 2) for a, b in lines if abs(a[0] - b[0]) < 1e-3 and abs(a[1] - b[1]) > 60.0}
    for offsets in ([0.0, *(v.along_cm for v in levels)], [0.0, *(v.across_cm for v in levels)]):
        sides = list(zip(np.diff(offsets) / 100.0, np.diff(heights), strict=True))
        assert any(  # one of the upright lines is the plumb mast: it gives the heights' scale
            all(
                any(math.dist(b - a, (across_m * mm / heights[-1] * factor, up_m * mm / heights[-1])) < 0.1 for a, b in lines)
                for across_m, up_m in sides
            )
            for mm in upright
        )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_no_text_lies_on_another_or_beyond_the_margin(pdfs, name):
    for number, page in enumerate(pdfium.PdfDocument(pdfs[name]), 1):
        boxes, (width, height) = text_boxes(page), page.get_size()
        edge = 10.0 * MM
        assert all(
            edge - 3 <= b[0] and b[2] <= width - edge + 3 and b[1] >= 8.0 * MM and b[3] <= height - 8.0 * MM for b in boxes
        )
        assert meeting(boxes) == [], number


@pytest.mark.parametrize("name", NAMES)
def test_paper_fonts_runs_and_page_numbers(made, pdfs, name):
    sheet, plan = made[name]
    data, pages = pdfs[name], texts(pdfs[name])
    fonts = set(re.findall(rb"/BaseFont\s*/(\S+)", data))
    assert fonts and all(re.fullmatch(rb"[A-Z]{6}\+SourceSansPro-(Regular|Bold)", font) for font in fonts), fonts
    for page in pdfium.PdfDocument(data):
        assert [side / MM for side in page.get_size()] == pytest.approx(PAPERS_MM[plan.paper], abs=0.01)
        assert fonts_embedded(page) == {1}
    for number, text in enumerate(pages, 1):
        assert text.count(f"page {number} of {len(pages)}") == 2
        assert sheet.run_id in text and sheet.plan_run_id in text and "no permission to work on a mast" in text
    assert b"/Keywords (run %s readings %s)" % (sheet.plan_run_id.encode(), RUN.encode()) in data


def test_a_long_name_is_not_cut(pdfs):
    assert all(LONG_NAME in text for text in texts(pdfs["long name"]))
    assert all(LONG_NAME in text for text in texts(pdfs["forty steps, Letter"]))


def test_the_same_sheet_gives_the_same_bytes(made, pdfs):
    for name in ("six levels", "read, Letter"):
        assert plumb_pdf(*made[name]) == pdfs[name]


def test_pdftotext_reads_the_steps_too(tmp_path, made, pdfs):
    file = tmp_path / "plumb.pdf"
    file.write_bytes(pdfs["forty steps"])
    try:
        text = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
    except FileNotFoundError:
        pytest.skip("pdftotext is not installed")
    for step in made["forty steps"][0].correction.steps:
        do = f"{step.number} +{change_word(step.change_cm)} +{cm(abs(step.change_cm))} +{step.anchor} at {step.attach_m:g} m"
        assert re.search(do, text), do


def test_many_guys_on_a_level_and_long_names_find_room(made):
    """Eight guys of one level with anchors of forty letters: every one named, none on another."""
    plan = made["six levels"][1]
    ids = tuple(f"ANCHOR-IN-THE-NORTHERN-FIELD-OF-OLD-{k:04d}" for k in range(8))
    old = next(s for s in plan.stakes if s.role == "permanent")
    stakes = tuple(replace(old, id=name, point=f"NORTH-{k:02d}", azimuth_deg=45.0 * k) for k, name in enumerate(ids))
    sheet, plan = by_hand(replace(plan, stakes=(*plan.stakes, *stakes)), 2, 5)
    fix = correction(ids, 2, 5, outside=(1, 2, 3))
    sheet = replace(sheet, correction=fix, tensions_unread=tuple(f"{g.anchor} at {g.attach_m:g} m" for g in fix.guys))
    data = plumb_pdf(sheet, plan)
    text = whole(data)
    for step in fix.steps:
        assert f"{cm(abs(step.change_cm))} {next(s.point for s in stakes if s.id == step.anchor)} at" in text
    for page in pdfium.PdfDocument(data):
        assert meeting(text_boxes(page)) == []


def test_no_final_word_stands_on_it(pdfs):
    for name in NAMES:
        assert not re.search(r"\bapproved?\b|\bsafe to\b|\bcertif", whole(pdfs[name]), re.I)
