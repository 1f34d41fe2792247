"""The sheets in other languages: nothing stays English, no figure changes, names stay, words that save a life stay loud."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from writers import lift_plans, message_keys, message_plans
from writers.pdf_probe import MM, meeting, text_boxes, texts

from siting.writers.packet_pdf.whole import packet_pdf
from siting.writers.paper.language import LANGUAGES, MESSAGES, Catalogue, Said, Speaker, catalogue
from siting.writers.paper.pieces import PIECE, Pieces, keyed, placeholders

OTHERS = tuple(language for language in LANGUAGES if (MESSAGES / f"{language}.json").exists())
# Said loudly in English, and in every other language.
LOUD = (
    "LET OUT", "TAKE IN", "OUT", "IN", "LET GO", "MAKE FAST", "SET", "WIND STOP NOT SET: NOTHING IS RAISED", "NOT CHECKED", "DO NOT RAISE HERE",
    "NOBODY GOES INTO IT", "NOBODY GOES IN BETWEEN UPRIGHT WALLS", "CALL BEFORE YOU DIG: BURIED LINES NOT CHECKED", "NOTHING HOLDS", "DEEP PITS",
    "NO ORDER: DO NOT LET GO A GUY OF THE LIFT", "NO CORRECTION", "NO LEAN READ", "TENSION NOT READ", "OUTSIDE BOUNDS", "PRESUMPTIVE",
)  # fmt: skip
COMMAS, BROKEN_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))"), re.compile(r"(?<=\d)\u00a0(?=\d{3}(?!\d))")
FORM_FEET = re.compile(r"\(\d+,\d{3} ft\)")  # in the words of the notice's form, which stay English
MARK = re.compile(r"\{[0-9a-z]+\}")
FIGURE = re.compile(r"\d+(?:[.,]\d+)?")


@pytest.fixture(scope="module")
def speakers(tmp_path_factory):
    """The speakers of all sheets of all plans in German; what is said of some of them once more in the other languages."""
    made = message_plans.plans(tmp_path_factory.mktemp("languages"))
    first = message_keys.speakers_of("de", made)
    return {"de": first} | {language: message_keys.said_again(language, first[::4]) for language in OTHERS if language != "de"}


def test_german_is_shipped():
    assert "de" in OTHERS and "en" not in OTHERS


@pytest.mark.parametrize("language", OTHERS)
def test_no_key_is_unknown(speakers, language):
    unknown = Counter()
    for speaker in speakers[language]:
        unknown.update(speaker.unknown)
    assert dict(unknown) == {}
    assert sum(len(list(s.heard)) for s in speakers[language]) > 5000
    assert set(catalogue("de").messages) <= set(catalogue(language).messages)  # so that what is known in German is known here


@pytest.mark.parametrize("language", OTHERS)
def test_the_figures_of_every_string_are_those_of_the_english(speakers, language):
    for speaker in speakers[language]:
        for text in list(speaker.heard):
            said = speaker.say(text)
            if said != text:  # what stays English keeps its commas
                assert figures(BROKEN_THOUSANDS.sub("", said)) == figures(COMMAS.sub("", text)), (text, said)


def figures(text: str) -> Counter[str]:
    return Counter(figure.replace(",", ".") for figure in FIGURE.findall(text))


@pytest.mark.parametrize("language", OTHERS)
def test_the_figures_that_stand_in_a_key_stand_in_its_translation(language):
    wrong = {k: said for k, said in catalogue(language).messages.items() if figures(MARK.sub("", k)) != figures(MARK.sub("", said))}
    assert wrong == {}


@pytest.mark.parametrize("language", OTHERS)
def test_per_cent_stands_behind_a_space_and_thousands_are_parted_by_one(language):
    """As German, Spanish and French are set; a comma between thousands would be read as a decimal sign."""
    made = Speaker(language)
    assert made.say("12.5%") == made.say("12.5 %") == "12,5\u00a0%"
    assert made.say("20,000 ft") == "20\u00a0000\u00a0ft" and made.say("1,234,567.5 m") == "1\u00a0234\u00a0567,5\u00a0m"


@pytest.mark.parametrize("language", OTHERS)
def test_every_placeholder_stands_in_the_translation_once(language):
    messages = catalogue(language).messages
    wrong = {key: said for key, said in messages.items() if sorted(placeholders(key)) != sorted(placeholders(said))}
    assert wrong == {}
    assert {key for key, said in messages.items() if not said.strip()} == set()


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_shouted_stays_shouted(language):
    for key in LOUD:
        said = Speaker(language).say(key)
        assert said != key and said.upper() == said, key


@pytest.mark.parametrize("language", OTHERS)
def test_let_out_and_take_in_are_told_apart(language):
    out, into = (Speaker(language).say(word) for word in ("LET OUT", "TAKE IN"))
    assert out[:3] != into[:3]
    assert Speaker(language).say("FAIL") != Speaker(language).say("PASS")


def test_the_german_catalogue_holds_every_key_of_the_list():
    keys = [json.loads(line) for line in (MESSAGES / "keys.txt").read_text(encoding="utf-8").splitlines()]
    assert len(keys) > 1400 and set(keys) <= set(catalogue("de").messages)


# --- one string ---------------------------------------------------------------------------------------------------


def speaker(messages: dict[str, str], *names: str) -> Speaker:
    return Speaker("de", names, Catalogue(messages))


def test_numbers_and_names_are_taken_out_and_put_back():
    said = speaker({"anchor {a} stands {0} off": "{0} weit steht Anker {a}"}, "A1").say("anchor A1 stands 24.30 m off.")
    assert said == "24,30\u00a0m weit steht Anker A1."  # no line breaks between a number and its unit


def test_a_sentence_is_looked_up_in_parts():
    messages = {"ground": "Boden", "it holds": "er hält", "no source": "ohne Quelle", "stop at {0}": "Halt bei {0}"}
    assert speaker(messages).say("Ground: it holds (no source). Stop at 10.5°") == "Boden: er hält (ohne Quelle). Halt bei 10,5°"


def test_a_list_of_known_things_is_said_one_by_one():
    messages = {"road": "Straße", "building": "Gebäude", "{a} pit": "{a} Grube", "{a} at {0}": "{a} auf {0}"}
    made = speaker(messages, "A1", "B1")
    assert made.say("road, building") == "Straße, Gebäude"
    assert made.say("A1 pit, B1 pit") == "A1 Grube, B1 Grube"
    assert made.say("A1 at 58.5 m, B1 at 58.5 m") == "A1 auf 58,5\u00a0m, B1 auf 58,5\u00a0m"


def test_an_unknown_key_stays_english_and_is_counted():
    made = speaker({})
    assert made.say("nobody wrote this, 3.5 m") == "nobody wrote this, 3,5\u00a0m"
    assert made.unknown == {"nobody wrote this, {0}": 1}


def test_what_is_never_changed():
    made = speaker({"see {a}": "siehe {a}"}, "47°01'39.763\"N")
    for text in ("47°01'39.763\"N", "47.0277119° -109.8496689°", "29 CFR 1926.652(b)(2)", "2027-05-10", "wind_stop_m_s", "EPSG:32612", "kN"):
        assert made.say(text) == text
    assert made.say("see 29 CFR 1926.652(b)(2)") == "siehe 29 CFR 1926.652(b)(2)"
    assert made.say("1.5 : 1") == "1,5 : 1" and made.say("−0.25 m") == "−0,25\u00a0m"
    assert made.say("7°27'24.12\"E") == "7°27'24.12\"E" and made.say("1 in = 83.33 ft") == "1 in = 83.33 ft"


def test_a_name_hides_no_heading_and_no_heading_a_name():
    made = speaker({"hold points": "Haltepunkte", "winch": "Winde"}, "Hold", "WINCH")
    assert made.say("Hold points") == "Haltepunkte" and made.say("WINCH") == "WINCH" and made.say("Winch") == "Winde"


def test_headings_in_capitals_and_continued():
    made = speaker({"lift sheet": "Aufrichteblatt", ", continued": ", Fortsetzung"})
    assert made.say("LIFT SHEET, CONTINUED") == "AUFRICHTEBLATT, FORTSETZUNG"


def test_what_is_said_is_not_said_again():
    assert speaker({"Said": "Gesagt"}).say(Said("Said")) == "Said"


def test_english_passes():
    assert Speaker("en", ("A1",)).say("  Ground:  1.50 m ") == "Ground: 1.50 m"


def test_keys_name_numbers_and_names_apart():
    marked, taken = Pieces(("A1", "B1")).taken_out("A1 to B1: 3 m, 4 m", with_names=True)
    assert keyed(marked, taken) == "{a} to {b}: {0}, {1}" and len(PIECE.findall(marked)) == 4


# --- the sheets ---------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sheets")
    return {"demo": lift_plans.demo(), "across": lift_plans.across(folder / "across"), "rigged": lift_plans.rigged(folder / "rigged")}


CASES = [(name, language, paper) for language in OTHERS for name, paper in (("demo", "A4"), ("across", "A3"), ("rigged", "Letter"))]


@pytest.fixture(scope="module")
def packets(plans):
    made = {(name, lang, paper): packet_pdf(replace(plans[name], language=lang, paper=paper)) for name, lang, paper in CASES}
    return made | {(name, "en", paper): packet_pdf(replace(plans[name], paper=paper)) for name, language, paper in CASES if language == OTHERS[0]}


@pytest.fixture(scope="module")
def pages(packets):
    """The text of each page of each packet."""
    return {case: texts(data) for case, data in packets.items()}


@pytest.mark.parametrize("case", CASES)
def test_no_text_lies_on_another_or_beyond_the_margin(packets, case):
    for number, page in enumerate(pdfium.PdfDocument(packets[case]), 1):
        boxes, (width, height) = text_boxes(page), page.get_size()
        edge = 8.0 * MM
        assert all(edge <= b[0] and b[2] <= width - edge and edge <= b[1] and b[3] <= height - edge for b in boxes), number
        assert meeting(boxes) == [], number


@pytest.mark.parametrize("case", CASES)
def test_no_more_texts_are_cut_than_in_english(pages, case):
    name, _, paper = case
    cut = [sum(text.count("…") for text in pages[name, language, paper]) for language in (case[1], "en")]
    assert cut[0] <= cut[1]


@pytest.mark.parametrize("case", CASES)
def test_pages_for_the_hand_hold_the_figures_of_the_english(packets, pages, case):
    """Cover, and the first page of each sheet: decimal sign and page numbers apart."""
    name, language, paper = case
    here, there = (first_pages(packets[name, lang, paper], pages[name, lang, paper]) for lang in (language, "en"))
    assert len(here) == len(there) >= 8
    for kind in (0, 5, 6):  # cover, lift, dig: their words fill the page, so each holds what the English page holds
        assert figures(here[kind]) == figures(there[kind]), kind


@pytest.mark.parametrize("case", CASES)
def test_the_packet_holds_every_figure_of_the_english(pages, case):
    """Over all pages: longer words may carry a table over to the next page. The counts of pages differ with that."""
    name, language, paper = case
    here, there = (FORM_FEET.sub("", " ".join(pages[name, lang, paper])) for lang in (language, "en"))
    counts = len(pages[case]), len(pages[name, "en", paper])
    counted = {str(number) for number in range(min(counts), max(counts) + 1)}
    assert set(figures(here)) ^ set(figures(COMMAS.sub(" ", there))) <= counted


def first_pages(data: bytes, pages: list[str]) -> list[str]:
    """The first page of each sheet by the outline, without what counts pages."""
    document = pdfium.PdfDocument(data)
    starts = [item.get_dest().get_index() for item in document.get_toc()]
    found = []
    for number, start in enumerate(starts):
        text = re.sub(rf"\b{start + 1} \w+ {len(pages)}\b", "", pages[start])
        for other in starts if number == 0 else ():
            text = re.sub(rf" {other + 1}(?= |$)", " ", text, count=1) if other else text
        found.append(text)
    return found


def test_a_german_lift_sheet_reads_german(pages, plans):
    text = " ".join(pages["demo", "de", "A4"])
    assert "WINDHALT NICHT GESETZT: NICHTS WIRD AUFGERICHTET" in text and "WIND STOP" not in text
    assert "82,50 m" in text and "82.50 m" not in text.partition("1.1 ×")[0]
    for stake in plans["demo"].stakes:
        assert stake.point in text
    assert plans["demo"].base.dms in text and "47.0277119° -109.8496689°" in text


def test_titles_of_the_file_are_in_its_language(packets):
    document = pdfium.PdfDocument(packets["demo", "de", "A4"])
    assert document.get_metadata_dict()["Title"] == "Mappe: Curlew Bench M1"
    assert [item.get_title() for item in document.get_toc()][:2] == ["Mappe", "Lageplan"]
