"""What `siting dig` prints: verdict and the call first, every anchor and hole, lines that fit a terminal."""

from __future__ import annotations

from dataclasses import replace

import pytest
from writers.dig_plans import plans

from siting.figures import shown
from siting.writers.dig.text import dig_text
from siting.writers.dig.words import CALL, holding_verdict, stop_at

FILES = ("dig.pdf", "locate.geojson", "locate.kml", "materials.csv")


@pytest.fixture(scope="module")
def made():
    return plans()


@pytest.mark.parametrize("name", ["screws", "pits", "mixed", "refused", "long names", "forty"])
def test_lines_fit_and_every_anchor_and_hole_is_told(made, name):
    plan, holding, dig = made[name]
    text = dig_text(plan, holding, dig, FILES, "outputs/dig")
    assert max(map(len, text.splitlines())) <= 100
    assert text.index(CALL) < text.index("GROUND as taken") < text.index("ANCHORS") < text.index("HOLES")
    flat = " ".join(text.split())
    for choice in holding.anchors:
        stop = stop_at(choice, dig)
        assert f"{choice.load.angle_deg:.1f}°" in flat
        if choice.chosen is not None:
            assert f"{stop.figure} {stop.unit} {shown(choice.proof_kn, 'force', unit=False)}" in flat
    for hole in dig.holes:
        assert f"{hole.easting:.2f} {hole.northing:.2f} {hole.depth_m:.2f}" in flat
    assert flat.count("NOTHING HOLDS") == sum(c.chosen is None for c in holding.anchors)
    assert all(file in flat for file in FILES) and "outputs/dig" in flat


def test_the_verdict_comes_first_and_the_loud_words_follow(made):
    lines = dig_text(*made["mixed"], FILES, "out").splitlines()
    assert lines[2].startswith("FAIL. 1 of 5 anchors without a kind that holds: SL.")
    assert "DEEP PITS: NOBODY GOES IN BEFORE THE WALLS ARE MADE SAFE: B1 1.80 m" in lines
    assert "LOADS FROM A WIND SCREENING: NO DESIGN" in lines
    assert dig_text(*made["screws"], FILES, "out").splitlines()[2].startswith("MARGINAL. 6 of 6 checks of anchors and base are within")


def test_long_names_stand_in_full_on_a_line_of_their_own(made):
    text = dig_text(*made["long names"], FILES, "out")
    for choice in made["long names"][1].anchors:
        assert f" is {choice.anchor}:" in text


def test_an_anchor_that_nothing_holds_fails_even_without_a_check(made):
    plan, holding, dig = made["mixed"]
    quiet = replace(holding, checks=tuple(c for c in holding.checks if c.verdict != "fail"))
    assert holding_verdict(quiet) == "fail"
    assert dig_text(plan, quiet, dig, FILES, "out").splitlines()[2].startswith("FAIL. 1 of 5 anchors without a kind that holds: SL.")
