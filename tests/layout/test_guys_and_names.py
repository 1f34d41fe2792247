"""Chords of the guys by Pythagoras, names that every rover takes, and shapes as files need them."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import EARTH, plan_of

from siting.layout.guys import guy_chords
from siting.layout.shapes import circle_shape
from siting.layout.stakes import point_names
from siting.records.mast import Anchor, GuyLevel, Mast
from siting.records.site import PointOptions


def mast(*guys: GuyLevel) -> Mast:
    anchors = (Anchor("A", "permanent", 60.0, 40.0), Anchor("B", "permanent", 180.0, 30.0))
    return Mast("m", 60.0, 60.9, "tubular", 11.0, 2.5, 0.3, 10.0, anchors, guys)


def test_a_chord_by_hand():
    """30 m out, 40 m up to the attachment: 50 m, at 53.13 degrees."""
    made = mast(GuyLevel(41.7, ("B", "A"), "permanent", 4.0), GuyLevel(20.0, ("A",), "temporary"))
    first, second, third = guy_chords(made, 500.0, {"A": 497.0, "B": 502.0})
    assert (first.anchor, first.attach_m, first.use, first.diameter_mm) == ("B", 41.7, "permanent", 4.0)
    assert first.chord_m == pytest.approx(50.0) and first.anchor_angle_deg == pytest.approx(math.degrees(math.atan2(40, 30)))
    assert second.chord_m == pytest.approx(math.hypot(40.0, 45.0))
    assert (third.use, third.diameter_mm) == ("temporary", None)
    assert third.chord_m == pytest.approx(math.hypot(40.0, 23.3))


def test_an_anchor_above_the_attachment_gives_a_guy_that_runs_down():
    (guy,) = guy_chords(mast(GuyLevel(2.0, ("B",), "permanent")), 500.0, {"A": 500.0, "B": 512.3})
    assert guy.anchor_angle_deg == pytest.approx(-math.degrees(math.atan2(10.0, 30.0)))
    assert guy.chord_m == pytest.approx(math.hypot(30.0, 10.0))


ids = st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1, max_size=14), min_size=1, max_size=30)


@given(ids, st.integers(4, 12))
def test_names_are_short_ascii_and_unique(names, limit):
    found = point_names(tuple(names), PointOptions(name_length=limit))
    assert len(found) == len(names)
    assert all(re.fullmatch(rf"[A-Za-z0-9_\-]{{1,{limit}}}", name) for name in found)
    assert len({name.upper() for name in found}) == len(names)


@given(st.lists(st.from_regex(r"\A[A-Z0-9\-]{1,8}\Z"), min_size=1, max_size=20, unique=True))
def test_names_that_fit_stay_as_they_are(names):
    assert point_names(tuple(names), PointOptions()) == tuple(names)


def test_names_that_are_cut_stay_apart():
    found = point_names(("SIDE-RIGHT-1", "SIDE-RIGHT-2", "side-rig", "Süd 1"), PointOptions())
    assert found == ("SIDE-RIG", "SIDE-RI2", "side-ri3", "Sd1")


@given(st.floats(1.0, 300.0), st.floats(0.0, 3000.0))
def test_a_circle_is_closed_counter_clockwise_and_round(radius_m, height_m):
    shape = circle_shape("fall_zone", "fall circle", 46.5, 7.5, radius_m, height_m)
    (ring,) = shape.rings
    assert ring[0] == ring[-1] and len(ring) == 181 and shape.geometry == "Polygon"
    lon, lat = np.array(ring).T
    assert float(np.sum(lon[:-1] * lat[1:] - lon[1:] * lat[:-1])) > 0
    for k in (0, 45, 100):
        ellipsoid_m = EARTH.Inverse(46.5, 7.5, lat[k], lon[k])["s12"]
        assert ellipsoid_m == pytest.approx(radius_m * (1 - height_m / 6.38e6), rel=1e-5)


def test_every_guy_line_runs_from_the_base_to_its_stake(slope_folder, tmp_path):
    for name in ("dem.tif", "mast.toml"):
        (tmp_path / name).write_bytes((slope_folder / name).read_bytes())
    plan = plan_of(tmp_path)
    stakes = {s.id: (s.lon, s.lat) for s in plan.stakes}
    kinds = {}
    for shape in plan.shapes:
        if shape.kind in ("guy", "side_guy", "winch_line", "laydown"):
            kinds[shape.id] = shape.kind
            assert shape.rings == ((stakes["BASE"], stakes[shape.id]),)
    assert kinds == {
        "HEAD": "laydown", "A1": "guy", "B1": "guy", "C1": "guy", "S1": "side_guy", "S2": "side_guy", "K1": "guy", "W1": "winch_line"
    }  # fmt: skip
    assert next(s.label for s in plan.shapes if s.id == "K1") == "temporary guys to K1"
