"""packet.pdf in every language: the same figures, what life hangs on translated, catalogues whole in their marks."""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.writers.packet_pdf.whole import packet_pdf

ROOT = Path(__file__).parents[2]
MESSAGES = ROOT / "siting" / "static" / "messages"
LANGUAGES = ("de", "es", "fr")
MARKS = re.compile(r"\{[0-9a-z]+\}")
# English words that must not be left where the crew acts on them.
SHOUTS = ("WIND STOP NOT SET", "CALL BEFORE YOU DIG", "NOT CHECKED", "DEEP PIT")


@pytest.fixture(scope="module")
def plan():
    return make_plan(read_site(ROOT / "sample_dem" / "site.toml"))


@pytest.fixture(scope="module")
def texts(plan):
    """The packet's text by language."""
    found = {}
    for language in ("en", *LANGUAGES):
        document = pdfium.PdfDocument(io.BytesIO(packet_pdf(replace(plan, language=language))))
        found[language] = "\n".join(page.get_textpage().get_text_range() for page in document)
    return found


def test_the_whole_packet_is_one_file_with_every_sheet(texts):
    for word in ("Stake-out sheet", "Lift sheet", "Dig sheet", "All checks", "page 1 of"):
        assert word.lower() in texts["en"].lower()


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_life_hangs_on_is_translated(texts, language):
    for shout in SHOUTS:
        assert shout in texts["en"] and shout not in texts[language]


@pytest.mark.parametrize("language", LANGUAGES)
def test_coordinates_and_forces_are_the_same(texts, plan, language):
    for stake in plan.stakes[:12]:
        assert f"{stake.easting:.3f}".replace(".", ",") in texts[language] or f"{stake.easting:.3f}" in texts[language]
    pull = f"{plan.statics.stages[-1].start_pull_kn:.2f}"
    assert pull in texts["en"] and pull.replace(".", ",") in texts[language]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_translation_keeps_the_marks_of_its_key(language):
    catalogue = json.loads((MESSAGES / f"{language}.json").read_text(encoding="utf-8"))
    keys = [json.loads(line) for line in (MESSAGES / "keys.txt").read_text(encoding="utf-8").splitlines() if line]
    assert len(keys) > 1000
    assert [k for k in keys if k not in catalogue] == []
    wrong = [k for k, text in catalogue.items() if Counter(MARKS.findall(k)) != Counter(MARKS.findall(text))]
    assert wrong == []
