"""Bands, spheres, sleeves, fences of each law for a mast, and which laws hold for it."""

from __future__ import annotations

import math
import re

import pytest
from air.places import EARTH, FT, guy, mast, stake

from siting.air.bands import band_count, bands, icao_band_count
from siting.air.ground_marks import fence, patch
from siting.air.icao import lights_text
from siting.air.marking import applies_to, mast_markings, outer_guys
from siting.air.marking_laws import FIVE_FOOT, ICAO_BANDS, LAWS, SEVEN, TOP_THIRD
from siting.figures import rounded
from siting.records.air import CANNOT_TELL, NO, YES

GUYS = (
    guy("A1", 20.0, 30.0), guy("B1", 20.0, 30.0), guy("C1", 20.0, 30.0),
    guy("A2", 58.0, 75.0), guy("B2", 58.0, 76.0), guy("C2", 58.0, 77.0), guy("T1", 58.0, 70.0, "temporary"),
)  # fmt: skip
ANCHORS = (stake("A2", 60.0, 48.0), stake("B2", 180.0, 48.0), stake("C2", 300.0, 48.0))


def marked(height_m=59.0, **more):
    case = mast(height_m, guys=GUYS, anchors=ANCHORS, **({"is_rural": True, "base_width_m": 0.5} | more))
    return {m.law: m for m in mast_markings(case)}


def law(name):
    return next(item for item in LAWS if item.name == name)


@pytest.mark.parametrize("height_m", [60.0, 80.0, 82.5, 100.0, 213.0])
def test_seven_bands_sum_to_the_masts_length_and_end_in_orange(height_m):
    found = rounded(bands(SEVEN, height_m))
    assert len(found) == 7
    assert found[0].from_m == 0.0 and found[-1].to_m == pytest.approx(height_m, abs=0.0005)
    assert sum(b.to_m - b.from_m for b in found) == pytest.approx(height_m, abs=0.0005)
    assert all(a.to_m == b.from_m for a, b in zip(found, found[1:], strict=False))
    assert [b.colour for b in found] == ["aviation orange", "white"] * 3 + ["aviation orange"]
    assert all(b.to_ft == pytest.approx(b.to_m / FT, abs=0.011) for b in found)


@pytest.mark.parametrize(("height_ft", "count"), [(10.0, 0), (10.5, 0), (11.0, 7), (700.0, 7), (701.0, 9), (900.0, 9), (901.0, 11), (1300.0, 13)])
def test_the_number_of_bands_of_the_table(height_ft, count):
    assert band_count(height_ft) == count


def test_icao_bands_are_no_wider_than_30_m_and_odd():
    assert [icao_band_count(h) for h in (1.5, 60.0, 210.0, 211.0, 300.0)] == [0, 7, 7, 9, 11]
    for height_m in (60.0, 210.0, 250.0, 400.0):
        found = bands(ICAO_BANDS, height_m)
        assert found[0].to_m <= min(30.0, height_m / 7.0) + 1e-9 and len(found) % 2 == 1
        assert found[-1].to_m == pytest.approx(height_m)


def test_the_top_third_and_bands_of_five_feet():
    third = bands(TOP_THIRD, 60.0)
    assert third[-1].to_m == pytest.approx(20.0) and third[0].colour == third[-1].colour == "aviation orange"
    narrow = bands(FIVE_FOOT, 60.0)
    assert len(narrow) == 40 and narrow[-1].to_m == 60.0 and narrow[0].to_ft == pytest.approx(5.0)
    assert bands("", 60.0) == ()


def test_outer_guys_are_the_permanent_ones_of_the_highest_level():
    assert [g.anchor for g in outer_guys(GUYS)] == ["A2", "B2", "C2"]
    assert outer_guys(()) == ()


def test_montana_in_montana():
    found = marked(state="US-MT")
    assert set(found) == {item.name for item in LAWS if item.place in ("US", "ICAO", "US-MT")}
    montana = found["Montana 67-1-214"]
    assert montana.applies == YES and len(montana.bands) == 7
    assert montana.sphere_count == 2 and len(montana.spheres) == 6
    assert [s.from_anchor_m for s in montana.spheres[:2]] == pytest.approx([25.0, 50.0])
    assert all(s.from_anchor_m + s.from_mast_m == pytest.approx(g) for s, g in zip(montana.spheres[::2], (75.0, 76.0, 77.0), strict=True))
    assert montana.sleeve_m == pytest.approx(2.1336) and montana.sleeve_count == 6
    assert "10 working days" in montana.notice_text


def test_each_laws_own_spheres_and_sleeves():
    found = marked()
    nebraska, carolina = found["Nebraska 3-407.01"], found["North Carolina 63-110"]
    assert nebraska.sleeve_count == 3 and nebraska.sleeve_m == pytest.approx(14 * FT)
    assert all(s.from_mast_m <= 20 * FT + 1e-9 for s in nebraska.spheres[1::2])
    assert all(s.from_mast_m >= s.from_anchor_m - 1e-9 for s in nebraska.spheres[::2])
    assert carolina.sphere_count == 1 and all(s.from_mast_m < (s.from_mast_m + s.from_anchor_m) / 3.0 for s in carolina.spheres)


def test_without_guys_nothing_is_placed_and_the_words_stay():
    montana = {m.law: m for m in mast_markings(mast(59.0))}["Montana 67-1-214"]
    assert montana.spheres == () and montana.sleeve_count == 0 and "each outside guy" in montana.spheres_text


@pytest.mark.parametrize(
    ("name", "height_ft", "more", "expected"),
    [
        ("Montana 67-1-214", 50.0, {}, YES),
        ("Montana 67-1-214", 49.9, {}, NO),
        ("Montana 67-1-214", 60.0, {"is_rural": False}, NO),
        ("Montana 67-1-214", 60.0, {"is_rural": None}, CANNOT_TELL),
        ("Montana 67-1-214", 60.0, {"state": None}, CANNOT_TELL),
        ("Montana 67-1-214", 60.0, {"state": "US"}, CANNOT_TELL),
        ("North Carolina 63-110", 50.0, {"state": "US-NC"}, NO),
        ("North Carolina 63-110", 50.1, {"state": "US-NC"}, YES),
        ("Minnesota 360.915", 200.0, {"state": "US-MN"}, YES),
        ("Minnesota 360.915", 200.1, {"state": "US-MN"}, NO),
        ("Minnesota 360.915", 100.0, {"state": "US-MN", "base_width_m": 10 * FT}, YES),
        ("Minnesota 360.915", 100.0, {"state": "US-MN", "base_width_m": 3.1}, NO),
        ("Minnesota 360.915", 100.0, {"state": "US-MN", "base_width_m": None}, CANNOT_TELL),
        ("California PUC 21417", 100.0, {"state": "US-CA"}, CANNOT_TELL),
        ("2016 Act section 2110, amended 2018", 100.0, {}, CANNOT_TELL),
        ("2016 Act section 2110, amended 2018", 201.0, {}, NO),
        ("2016 Act section 2110, amended 2018", 100.0, {"is_rural": False}, NO),
        ("FAA policy on met masts under 200 ft", 100.0, {}, YES),
        ("FAA marking over 200 ft", 200.0, {}, NO),
        ("FAA marking over 200 ft", 201.0, {}, YES),
        ("ICAO Annex 14", 100.0, {}, CANNOT_TELL),
    ],
)
def test_which_law_holds(name, height_ft, more, expected):
    case = mast(height_ft * FT, **({"is_rural": True, "base_width_m": 0.5, "state": "US-MT"} | more))
    applies, why = applies_to(case, law(name))
    assert applies == expected and why


def test_a_law_that_does_not_hold_asks_for_nothing():
    bare = marked(70.0, state="US-CA")["California PUC 21417"]
    assert bare.applies == NO and bare.bands == () and bare.spheres == () and bare.ground == () and bare.notice_text == ""


def test_other_states_laws_are_left_out_where_the_state_is_given():
    assert {m.place for m in marked(state="DE-BY").values()} == {"ICAO"}
    assert {m.place for m in marked(state="US").values()} == {m.place for m in marked().values()}


def test_every_law_has_its_citation_and_the_day_it_was_read():
    assert len({item.name for item in LAWS}) == len(LAWS) >= 17
    for item in LAWS:
        assert re.search(r"read|from memory", item.source), item.name
        assert re.fullmatch(r"20\d\d-\d\d-\d\d", item.date_read), item.name
        assert re.fullmatch(r"ICAO|US(-[A-Z]{2})?", item.place), item.name


def test_the_fence_keeps_four_feet_around_the_anchor_and_holds_64_square_feet():
    for anchor in ANCHORS:
        mark = fence(anchor)
        corners = mark.ring[:-1]
        assert mark.ring[0] == mark.ring[-1] and len(corners) == 4
        xy = []
        for lon, lat in corners:
            line = EARTH.Inverse(anchor.lat, anchor.lon, lat, lon)
            ground_m = line["s12"] * (6_371_000.0 + anchor.height_m) / 6_371_000.0
            xy.append((ground_m * math.sin(math.radians(line["azi1"])), ground_m * math.cos(math.radians(line["azi1"]))))
        sides = list(zip(xy, xy[1:] + xy[:1], strict=True))
        area_m2 = sum(a[0] * b[1] - b[0] * a[1] for a, b in sides) / 2.0
        assert area_m2 >= 64.0 * FT**2 and area_m2 == pytest.approx(mark.area_m2, rel=1e-4)  # positive: counter-clockwise
        for a, b in sides:
            edge_m = abs(a[0] * b[1] - b[0] * a[1]) / math.hypot(b[0] - a[0], b[1] - a[1])
            assert edge_m >= 4.0 * FT and edge_m == pytest.approx(mark.edge_m, abs=1e-4)


def test_the_round_patch_reaches_six_feet_everywhere():
    mark = patch(ANCHORS[0])
    points = [EARTH.Inverse(ANCHORS[0].lat, ANCHORS[0].lon, lat, lon) for lon, lat in mark.ring[:-1]]
    turn = math.radians((points[0]["azi1"] - points[1]["azi1"]) % 360.0)
    assert 0.0 < turn < math.pi / 8  # counter-clockwise
    assert all(p["s12"] * math.cos(turn / 2.0) * 1.00015 >= 6.0 * FT for p in points)
    assert mark.across_m == pytest.approx(12.0 * FT) and mark.area_m2 == pytest.approx(math.pi * (6 * FT) ** 2)


def test_fences_and_patches_stand_with_the_laws_that_ask_for_them():
    found = marked()
    assert [m.kind for m in found["California PUC 21417"].ground] == ["fence"] * 3
    assert [m.kind for m in found["Washington RCW 14.16.100"].ground] == ["patch"] * 3
    assert found["Montana 67-1-214"].ground == ()


def test_icao_lights_by_height():
    assert "low intensity" in lights_text(45.0)
    assert "medium intensity" in lights_text(45.1) and "medium intensity" in lights_text(150.0)
    assert "high intensity" in lights_text(150.1)
