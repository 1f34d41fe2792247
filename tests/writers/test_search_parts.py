"""What the rules take away: the parts add up to the area, whatever the sample says, and the pictures say the same."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from writers.search_results import made, shares

from siting.records.search import FATES, IN_THE_LIFT, RULES, Shares
from siting.records.site import Limits
from siting.writers.search.curves_svg import curves_svg
from siting.writers.search.parts import AZIMUTH, LEFT, LIFT, apportioned, area_cells, hectares, largest_loss, parts_of
from siting.writers.search.waterfall_svg import waterfall_svg
from siting.writers.search.words import LIMIT_OF, limit_words, sample_words, share_words


@given(
    st.lists(st.integers(0, 10**9), min_size=len(FATES), max_size=len(FATES)),
    st.lists(st.integers(0, 50), min_size=len(RULES), max_size=len(RULES)),
)
def test_the_parts_add_up_to_the_area(counts, lost):
    sample = max(1, sum(lost))
    made_shares = Shares(tuple(zip(FATES, counts)), sample, tuple((r, n / sample) for r, n in zip(RULES, lost)), ())
    parts = parts_of(made_shares)
    assert sum(p.cells for p in parts) == area_cells(made_shares) == sum(counts[1:])
    assert [p.cells for p in parts if p.group == LEFT] == [counts[-1]]
    assert parts[-1].group == LEFT
    if sum(counts[1:]):
        assert sum(p.share for p in parts) == pytest.approx(1.0)


def test_what_was_counted_at_every_cell_is_not_called_a_sample():
    counts = tuple(({name: 7 for name in FATES} | dict.fromkeys(IN_THE_LIFT, 2) | {"no azimuth": 30, "passes": 10}).items())
    all_of_them = Shares(counts, 40 + 2 * len(IN_THE_LIFT), ((RULES[0], 0.5), (RULES[1], 0.25)), ())
    some = replace(all_of_them, sample_count=20)
    assert "told from all 52 cells" in sample_words(all_of_them) and "sample of 20 cells" in sample_words(some)
    assert [any(part.is_estimate for part in parts_of(s)) for s in (all_of_them, some)] == [False, True]


@given(st.integers(0, 10**9), st.lists(st.floats(1e-6, 1.0), min_size=1, max_size=8))
def test_whole_numbers_in_a_ratio_add_up_and_are_within_one(total, weights):
    counts = apportioned(total, weights)
    assert sum(counts) == total
    for count, weight in zip(counts, weights):
        assert abs(count - total * weight / sum(weights)) < 1 + 1e-6


def test_only_what_is_told_from_the_sample_is_an_estimate():
    parts = {p.words: p for p in parts_of(made().result.shares)}
    assert {name for name, p in parts.items() if p.is_estimate} == {"anchor slope", "side guy travel", "winch arm"}
    assert parts["anchor slope"].cells == 2 * parts["side guy travel"].cells == 6 * parts["winch arm"].cells
    assert "outside the area" not in parts and "rest slope" not in parts
    none = parts_of(shares(np.full((3, 3), FATES.index("no azimuth"), np.uint8), sample=0))
    assert [(p.words, p.cells, p.is_estimate) for p in none] == [("no azimuth", 9, False), ("passes", 0, False)]


def test_largest_loss_and_hectares():
    result = made().result
    assert largest_loss(parts_of(result.shares)).words == "no ground under the base"  # two stripes of it
    assert largest_loss(parts_of(shares(np.full((3, 3), len(FATES) - 1, np.uint8)))) is None
    assert hectares(replace(result, cell_m=(2.0, 5.0)), 1000) == 1.0


@pytest.mark.parametrize(("share", "words"), [(0.0, "0.0 %"), (1e-5, "under 0.1 %"), (0.123, "12.3 %"), (0.9999, "over 99.9 %"), (1.0, "100.0 %")])
def test_what_is_not_nothing_never_reads_as_nothing_nor_as_all(share, words):
    assert share_words(share) == words


def test_every_rule_with_a_limit_has_its_limit_in_words():
    assert set(LIMIT_OF) == set(RULES[1:-1])
    assert limit_words(Limits(), "anchor slope", 2.0) == "54.0 %"
    assert limit_words(Limits(), "winch arm", 2.0) == "0.05"  # a least value: twice as wide is half of it
    assert limit_words(Limits(), "ground known under the layout", 1.0) == ""


def test_the_waterfall_names_every_part_and_its_bars_add_up():
    result = made().result
    svg = etree.fromstring(waterfall_svg(result))
    texts = ["".join(t.itertext()) for t in svg.iter("{*}text")]
    parts = parts_of(result.shares)
    left = sum(part.cells for part in parts if part.group in (AZIMUTH, LIFT, LEFT))
    for part in parts:
        assert ("left: it passes" if part.group == LEFT else part.words) in texts
        is_second = part.group in (AZIMUTH, LIFT, LEFT)  # the share of its bar's own width
        assert share_words(part.cells / left if is_second else part.share) in texts
        assert not is_second or any(text.endswith(f"; {share_words(part.share)} of the area") for text in texts)
    assert f"{share_words(left / area_cells(result.shares))} of the area, drawn wider" in texts
    bars = [(float(r.get("x")), float(r.get("width"))) for r in svg.iter("{*}rect")]
    whole, left = bars[0], [k for k, bar in enumerate(bars) if bar == bars[0]][1]
    assert whole == (0.0, 120.0)
    for group in (bars[1:left], bars[left + 1 :]):
        for (x, width), (following, _) in zip(group, group[1:]):
            assert following == pytest.approx(x + width, abs=0.02)
    assert bars[-1][0] + bars[-1][1] == pytest.approx(120.0, abs=0.02)


@pytest.mark.parametrize("fate", range(len(FATES)))
def test_an_area_of_one_fate_is_drawn(fate):
    result = replace(made().result, shares=shares(np.full((4, 5), fate, np.uint8), sample=0))
    etree.fromstring(waterfall_svg(result))
    assert curves_svg(result) == ""


def test_the_charts_mark_the_limit_as_it_stands():
    svg = etree.fromstring(curves_svg(made().result))
    texts = ["".join(t.itertext()) for t in svg.iter("{*}text")]
    assert texts.count("50.0 %") >= 6 and {"27.0 %", "13.5 %", "54.0 %", "0.20"} <= set(texts)
    for line in svg.iter("{*}polyline"):
        heights = [float(y) for y in re.findall(r",([\d.]+)", line.get("points"))]
        assert len(heights) == 16 and heights == sorted(heights, reverse=True)
