"""The terminal's text of a search: what fails, differs or is not checked stands before the table; nothing is longer than a line."""

from __future__ import annotations

from dataclasses import replace

from writers.search_results import SPOTS, TRIED, UNSCREENED, made, spot

from siting.records.search import FULL
from siting.writers.search.text import search_text
from siting.writers.search.words import gains_words, headline, holding, tried_words

FILES = ("search.html", "spots.geojson", "search.json")


def text(search) -> str:
    return search_text(search.result, FILES, "out")


def test_the_loud_lines_stand_before_the_spots():
    said = text(made())
    flat = " ".join(said.split())
    order = [
        "FOUND. 2 of 4 spots hold when planned; the best, spot_01.toml, uses 73 % of its limits", "WARNING Screening", "DIFFERS no. 3:",
        "DIFFERS no. 4: No plan can be made there", "NOT CHECKED at every spot: overhead lines.", "SPOTS, the best first",
        "PLANNED 6 spots were planned, of 12 at most: 2 hold; 2 fail only checks that are not screened; 1 fails a screened check; 1 cannot be planned.",
        "Failing checks that are not screened: holding of the anchors (2).", "AREA 5 460 cells",
        "Most is taken away by: no ground under the base", "“about”: told from a sample of 200 cells, a share may be off by about 7 points.", "LIMITS share",
        "Of limits half as wide again, these gain most: anchor slope (27.0 % to 40.5 %), from 50.0 % to 61.2 %;", "note Heights",
        "note The map draws 2 of the 104213 parcels", "FILES in out", "NEXT siting plan out/spot_01.toml",
        "This is a calculation, not a survey.",
    ]  # fmt: skip
    places = [flat.index(words) for words in order]
    assert places == sorted(places)
    assert max(map(len, said.splitlines())) <= 100


def test_a_failing_check_that_the_difference_names_is_not_said_twice():
    said = text(made())
    assert said.count("<b>push</b>: 2.00 ratio, limit 1.00") == 1 and "FAILS" not in said
    other = made(spots=(spot(1, "pass"), spot(2, "fail", failing=("hole too near: 1.00 m, limit 2.00",))))
    assert "FAILS  no. 2: hole too near: 1.00 m, limit 2.00" in text(other)


def test_what_fails_and_is_not_screened_is_no_difference():
    said = " ".join(text(made(spots=(spot(1, "pass"), replace(UNSCREENED, rank=2)), warnings=())).split())
    assert "FAILS no. 2: Fails in its plan on a check that is not screened: <i>push</i>: 2.89, at most 1.00." in said
    assert "DIFFERS" not in said and said.count("<i>push</i>") == 1
    both = replace(UNSCREENED, rank=2, failing=(*UNSCREENED.failing, "hole: 1.00 m, at most 0.50 m"))
    said = text(made(spots=(spot(1, "pass"), both)))
    assert "FAILS  no. 2: Fails in its plan" in said and "FAILS  no. 2: hole: 1.00 m, at most 0.50 m" in said


def test_every_spot_has_its_row():
    rows = {line.split()[0]: line for line in text(made()).splitlines() if line.endswith(".toml") and line.startswith("  ") and line.split()[0].isdigit()}
    assert set(rows) == {"1", "2", "3", "4"}
    assert rows["1"].split() == ["1", "pass", "73", "%", "14.00°", "47.0281000", "-109.8499000", "1427.23", "m", "spot_01.toml"]
    assert rows["4"].split() == ["4", "NO", "PLAN", "–", "–", "47.0284000", "-109.8496000", "–", "spot_04.toml"]
    assert "MARGINAL" in rows["2"] and "FAIL" in rows["3"]


def test_a_search_that_finds_nothing_says_what_to_look_at():
    said = text(made(spots=()))
    assert "NONE HOLDS. No cell passes: the picture of what the rules take away says which limit decides." in said
    assert "NEXT" not in said and "SPOTS" not in said
    assert headline(made(FULL, spots=()).result).startswith("No spot was found")


def test_a_search_whose_spots_fail_does_not_say_found():
    search = made(spots=SPOTS[2:])
    assert holding(search.result) == ()
    assert "NONE HOLDS. None of the 2 best spots holds when it is planned." in text(search)
    assert "NEXT" not in text(search)


def test_nothing_checked_is_no_pass():
    assert holding(made(spots=(spot(1, "unchecked"),)).result) == ()


def test_spots_with_other_gaps_are_named():
    search = made(spots=(spot(1, "pass"), replace(spot(2, "pass"), unchecked=("setback", "overhead_lines"))))
    said = text(search)
    assert "NOT CHECKED at no. 1: overhead lines." in said and "NOT CHECKED at no. 2: setback, overhead lines." in said


def test_how_plans_ended_in_words():
    def said(**changes):
        none = {"failing_unscreened": 0, "failing_screened": 0, "without_plan": 0, "by_check": ()}
        return tried_words(made(tried=replace(TRIED, plans=1, **{"holding": 0} | none | changes)).result)

    assert said(holding=1) == "1 spot was planned, of 12 at most: 1 holds."
    assert said(failing_unscreened=1, by_check=(("anchor_holding", 1),)) == (
        "1 spot was planned, of 12 at most: 1 fails only a check that is not screened. Failing checks that are not screened: holding of the anchors (1)."
    )
    assert tried_words(made(spots=()).result) == "No spot was planned."


def test_limits_that_gain_nothing_are_said_to():
    result = made().result
    curves = tuple((name, ratios, (0.5,) * len(ratios)) for name, ratios, _ in result.shares.curves)
    assert gains_words(replace(result, shares=replace(result.shares, curves=curves))) == "No limit, half as wide again, lets notably more cells pass."
    one = (("winch arm", curves[0][1], tuple(r / 2 for r in curves[0][1])), *curves[1:])
    assert gains_words(replace(result, shares=replace(result.shares, curves=one))) == (
        "Of limits half as wide again, this one gains most: winch arm (0.10 to 0.07), from 50.0 % to 75.0 %."
    )
