"""The material list of a small mast, counted by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from dig.digs import CUT_LIST, case, choice, holding

from siting.dig.clips import clips_per_end
from siting.dig.stage import dig_plan
from siting.errors import OutOfMethod

GROUPS = ("anchors", "guys", "ends", "lift", "earthing", "marking")


@pytest.fixture(scope="module")
def rows():
    return dig_plan(case()).materials


def count(rows, item, size=None):
    found = [r for r in rows if r.item == item and (size is None or size in r.size)]
    assert len(found) == 1, [r.size for r in found]
    return found[0].count


def test_every_row_says_where_it_is_used_what_to_check_and_in_which_unit(rows):
    assert list(dict.fromkeys(row.group for row in rows)) == list(GROUPS)
    for row in rows:
        assert row.unit in ("pcs", "m", "kg", "m3"), row
        assert row.used_at and row.note and row.size and row.count > 0, row


def test_anchors_and_rods(rows):
    plates = next(r for r in rows if r.item == "anchor plate")
    assert (plates.size, plates.count, plates.used_at) == ("1.2 m x 0.3 m", 2, "A C")
    assert count(rows, "screw anchor with its shaft") == 1
    assert count(rows, "rock bar with grout") == 1
    assert count(rows, "steel pin") == 4
    rod = next(r for r in rows if r.item == "anchor rod with eye")
    assert (rod.size, rod.count) == ("2.80 m", 2)  # 2.5 m in the ground and 0.3 m over it
    bare = next(r for r in rows if r.item == "ANCHOR NOT CHOSEN")
    assert (bare.count, bare.used_at) == (1, "W")


def test_two_lengths_of_rod_are_two_rows():
    rods = [
        row for row in dig_plan(case(choices=(choice("A", 60.0, holding(rod_m=2.51)), choice("B", 180.0, holding(rod_m=2.58))))).materials
        if row.item == "anchor rod with eye"
    ]  # fmt: skip
    assert [(row.size, row.used_at) for row in rods] == [("2.90 m", "A B")]
    other = dig_plan(case(choices=(choice("A", 60.0, holding(rod_m=2.51)), choice("B", 180.0, holding(rod_m=2.2))))).materials
    assert [(r.size, r.used_at) for r in other if r.item == "anchor rod with eye"] == [("2.50 m", "B"), ("2.90 m", "A")]


def test_strand_is_what_the_cut_list_orders(rows):
    assert count(rows, "guy strand", "4.0 mm") == 150.0
    assert count(rows, "guy strand", "6.0 mm") == 161.0
    heavy = next(r for r in rows if r.item == "guy strand" and "6.0 mm" in r.size)
    assert "25 kg" in heavy.note and heavy.used_at == "levels 28 m"


def test_ends_by_diameter(rows):
    """4 guys of 4 mm (three at 14 m, one temporary), 3 of 6 mm: two ends each, three clips an end."""
    for size, guys in (("4.0 mm", 4), ("6.0 mm", 3)):
        assert count(rows, "thimble", size) == 2 * guys
        assert count(rows, "shackle, screw pin secured", size) == 2 * guys
        assert count(rows, "turnbuckle or other adjuster", size) == guys
        assert count(rows, "wire rope clip, forged", size) == 2 * 3 * guys


def test_winch_line_and_lift_lines(rows):
    assert count(rows, "winch line") == math.ceil(41.2 + 5.0 + 5.0)
    assert count(rows, "wire rope clip, forged", "19.0 mm") == 4
    lift = [r for r in rows if r.item == "lift line"]
    assert [r.count for r in lift] == [
        pytest.approx(18.2),
        pytest.approx(31.2),
    ]  # hypot(14, 8) + 2 = 18.12, hypot(28, 8) + 2 = 31.12


def test_earthing(rows):
    assert count(rows, "lightning conductor") == math.ceil(31.5 + 1.0 + 2.0)
    assert count(rows, "earth rod") == 1
    assert count(rows, "conductor clamp") == 2


def test_marking(rows):
    """Three outer guys at 28 m: six spheres. Six permanent guys: six sleeves. Seven bands of 30/7 m, four of them orange."""
    assert count(rows, "marker sphere") == 6
    assert count(rows, "guy sleeve") == 6
    assert count(rows, "mast in aviation orange") == pytest.approx(30.0 * 4 / 7)
    assert count(rows, "mast in white") == pytest.approx(30.0 * 3 / 7)
    assert count(rows, "stake with flag") == 6
    assert count(rows, "white flag") == 6
    assert all("CHECK YOUR LOCAL CODE" in r.note for r in rows if r.item in ("marker sphere", "guy sleeve", "mast in white"))


def test_without_guys_or_lift_the_list_is_shorter_but_stands():
    made = dig_plan(replace(case(), cut_list=None, lift_guys=None)).materials
    assert {row.group for row in made} == {"anchors", "lift", "earthing", "marking"}
    missing = dig_plan(replace(case(), cut_list=replace(CUT_LIST, not_listed=("B at 14 m: no strand",)))).materials
    assert [r.count for r in missing if r.item == "GUY WITHOUT A LENGTH"] == [1]


def test_clips_end_where_the_table_ends():
    assert [clips_per_end(d) for d in (3.2, 4.0, 12.7, 16.0, 19.0, 22.2, 25.4)] == [3, 3, 3, 4, 4, 4, 5]
    for diameter in (0.0, 26.0):
        with pytest.raises(OutOfMethod, match="table of wire rope clips"):
            clips_per_end(diameter)
