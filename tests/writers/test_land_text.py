"""What `siting land` prints: verdict and move first, every rule, zone and line, lines that fit a terminal."""

from __future__ import annotations

from dataclasses import replace

import pytest
from writers.land_plans import MAKERS, plans

from siting.records.rules import HEIGHT_ID
from siting.writers.land.text import land_text
from siting.writers.land.words import DEFER_LAND, fall_words, land_verdict, rule_figures, zone_letter

FILES = ("land.pdf", "land.geojson", "land.kml")


@pytest.fixture(scope="module")
def made():
    return plans()


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", list(MAKERS))
def test_lines_fit_and_every_rule_and_line_is_told(made, name):
    plan = made[name]
    text = land_text(plan, FILES, "outputs")
    assert max(map(len, text.splitlines())) <= 100
    assert text.index("RULES") < text.index("ZONES") < text.index("OVERHEAD") < text.index("AIR") < text.index(DEFER_LAND)
    for rule in plan.land.rules:
        assert " ".join(rule_figures(rule)) in flat(text)
        assert flat(rule.source) in flat(text)
    for line in plan.power_lines:
        assert flat(line.text) in flat(text)
    assert all(file in text for file in FILES)


def test_the_verdict_comes_first_then_the_move(made):
    lines = land_text(made["failing"], FILES, "out").splitlines()
    assert lines[2].startswith("FAIL. 1 of 3 checks of the land fails: the mast may not stand here by them.")
    assert any(line.startswith("MOVE: Move the base 12.60 m towards 90.0°") for line in lines[3:6])
    assert "MOVE:" not in land_text(made["waived"], FILES, "out")


def test_loud_words_stand_before_the_rules(made):
    text = land_text(made["two lines"], FILES, "out")
    assert 0 < text.index("DO NOT RAISE HERE: Near line: the lift stays 4.20 m away") < text.index("RULES")
    text = land_text(made["unmeasured"], FILES, "out")
    assert text.count("NOT CHECKED: ") >= 5 and "NOT MEASURED" in text
    assert "WAIVED: 12-005 Ödland: waived by its owner" in land_text(made["waived"], FILES, "out")


def test_verdicts_count_rules_and_lines_even_without_their_checks(made):
    plan = replace(made["two lines"], checks=())
    assert land_verdict(plan) == "fail"
    assert land_verdict(replace(plan, power_lines=())) == "pass"
    assert land_verdict(made["unmeasured"]) == "unchecked"
    assert land_verdict(made["waived"]) == "pass"


def test_whose_ground_the_fall_circle_reaches(made):
    assert fall_words(made["failing"]) == "The fall circle reaches 1 neighbour, 400 m² in all: 12-005."
    assert fall_words(made["waived"]) == "The fall circle reaches own land alone."
    assert "no parcels were given" in fall_words(made["unmeasured"])
    assert "60 neighbours" in fall_words(made["many"]) and "and 54 more" in fall_words(made["many"])
    beside = replace(made["waived"], reach=tuple(replace(z, no_parcel_m2=5.0) for z in made["waived"].reach))
    assert fall_words(beside) == "Of parcels that are drawn, the fall circle reaches own ones alone. 5 m² of it lies in no parcel that is drawn."


def test_letters_of_zones_go_on_after_z():
    assert [zone_letter(k) for k in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]


def test_a_greatest_height_stands_among_the_rules_without_a_bearing(made):
    plan = made["waived"]
    height = replace(plan.land.rules[0], id=HEIGHT_ID, value_m=82.5, limit_m=60.0, margin_m=-22.5, bearing_deg=None, lat=None, lon=None, verdict="fail")
    text = land_text(replace(plan, land=replace(plan.land, rules=(height,))), FILES, "out")
    assert "82.50 m 60.00 m −22.50 m – FAIL" in flat(text)
