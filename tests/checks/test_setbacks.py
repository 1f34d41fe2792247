"""Setback rules: the rows of real ordinances on a layout with numbers worked out by hand; faults planted one by one."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from rule_lands import (
    EAST,
    FIXTURES,
    FRAME,
    HEIGHT_M,
    MAST,
    NEIGHBOURS,
    THINGS,
    WEST,
    azimuths,
    feature,
    fixture,
    found,
    judged,
    land,
    layer,
    rule,
    rules,
)
from shapely.geometry import LineString, Point, box

from siting.checks.rule_targets import LayerOnGround, RuleLand
from siting.checks.setbacks import judge_rules, reach_of_rules
from siting.records.mast import Anchor
from siting.records.rules import MEASURED, TARGETS, Waiver

FT = 0.3048
LAYDOWNS = np.arange(0.0, 360.0)
# (found, asked for, verdict) of every rule of every fixture on the made-up layout, laydown to the north, by hand.
ROWS = {
    "toquerville-ut": {"line": (90.0, 66.0, "pass"), "road": (130.0, 66.0, "pass"), "overhead": (100.0, 66.0, "pass"), "tank": (70.0, 66.0, "pass")},
    "northampton-va": {"line": (90.0, 180.0, "fail"), "utility": (100.0, 180.0, "fail"), "height": (60.0, 199 * FT, "pass")},
    "mussey-mi": {
        "line": (90.0, 90.0, "pass"), "district": (500.0, 1320 * FT, "pass"), "residence": (150.0, 1000 * FT, "fail"),
        "anchors": (50.0, 40 * FT, "pass"), "anchors-road": (130.0 - 40.0 * math.cos(math.radians(30.0)), 40 * FT, "pass"),
    },
    "ny-town-175": {"line": (90.0, 90.0, "pass"), "residence": (math.hypot(30.0, 50.0), 90.0, "fail")},
    "new-hartford-ny": {},
    "contra-costa-ca": {"district": (460.0, 100 * FT, "pass")},
    "san-joaquin-ca": {},
    "concord-nh": {},
    "nh-rsa": {"line": (90.0, 90.0, "pass")},
    "luckey-oh": {},
    "little-falls-mn": {},
    "wright-mn": {"fall-zone": (90.0, 45.0, "pass")},
    "dalton-gardens-id": {
        "line": (90.0, 90.0, "pass"), "power": (100.0, 90.0, "pass"), "road": (130.0, 90.0, "pass"), "house": (150.0, 300 * FT, "pass"),
        "anchors": (50.0, 10 * FT, "pass"), "anchors-road": (130.0 - 40.0 * math.cos(math.radians(30.0)), 10 * FT, "pass"),
        "anchors-easement": (20.0, 10 * FT, "pass"),
    },
    "altoona-ia": {"anchors": (50.0, FT, "pass"), "overhead": (100.0, 60.0 + 5 * FT, "pass"), "house": (150.0, 60.0 + 5 * FT, "pass")},
    "winter-garden-fl": {"guys": (50.0, 50 * FT, "pass")},
    "jerome-id": {"line": (90.0, 60.0, "pass"), "row": (115.0, 120.0, "fail")},
    "summerset-sd": {"line": (90.0, 66.0, "pass")},
    "concord-mi": {},
    "maywood-il": {"line": (90.0, 45.0, "pass")},
    "montpelier-oh": {"line": (90.0, 90.0, "pass")},
    "adel-ia": {"line": (89.4, 66.0, "pass")},
    "ashe-nc": {"line": (90.0, 90.0, "pass")},
    "blacksburg-va": {"guys": (50.0, 30 * FT, "pass"), "house": (150.0, 60.0, "pass")},
    "blm-lek": {"lek": (3300.0, 10560 * FT, "pass")},
    "msu-sample": {},
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_every_row_of_real_ordinances(name):
    findings = found(fixture(name))
    assert {k: (f.value_m, f.limit_m, f.verdict) for k, f in findings.items()} == {
        k: (pytest.approx(value, abs=1e-6), pytest.approx(limit, abs=1e-9), verdict) for k, (value, limit, verdict) in ROWS[name].items()
    }
    for k, f in findings.items():
        sign = -1.0 if k == "height" else 1.0
        assert f.margin_m == pytest.approx(sign * (f.value_m - f.limit_m), abs=1e-9)
        assert f.source.endswith("; check your local code")


def test_every_fixture_is_looked_at():
    assert {p.stem for p in FIXTURES.glob("*.toml")} == set(ROWS)
    assert len(ROWS) == 25
    for path in FIXTURES.glob("*.toml"):
        assert path.read_text(encoding="utf-8").startswith("# Fixture of the tests, not for use:")


def test_one_layout_three_answers():
    """P2: centre, nearest part of the base, guys."""
    one = {"factor": 1.1}
    made = rules(
        rule(id="centre", **one), rule(id="nearest", measured="base_nearest", base_radius_m=0.6, **one), rule(id="guys", measured="guys", **one),
        rule(id="circle", measured="fall_circle"), rule(id="part", measured="nearest_part", base_radius_m=0.6, **one),
    )  # fmt: skip
    findings = found(made)
    assert [round(f.value_m, 6) for f in findings.values()] == [90.0, 89.4, 50.0, 30.0, 50.0]
    assert [f.verdict for f in findings.values()] == ["pass", "pass", "fail", "pass", "fail"]
    assert [f.limit_m for f in findings.values()] == [pytest.approx(66.0)] * 3 + [0.0, pytest.approx(66.0)]
    assert findings["centre"].measured == "centre of the base, to the nearest property line"
    assert findings["nearest"].measured == "outermost part of the base, 0.60 m from its centre, to the nearest property line"
    assert findings["guys"].measured == "guys to A, to the nearest property line"
    assert findings["circle"].measured == "edge of the fall circle, 60.00 m from the base, to the nearest property line"
    assert findings["circle"].how == "the fall circle itself"
    assert {f.to for f in findings.values()} == {"line to parcel east"}


@pytest.mark.parametrize(("feet", "verdict"), [(39.9, "fail"), (40.0, "pass"), (40.1, "pass")])
@pytest.mark.parametrize("target", ["property_line", "road", "easement"])
def test_an_anchor_just_inside_and_just_outside_of_forty_feet(target, feet, verdict):
    """P3: against line, right of way and easement."""
    x = 40.0 + feet * FT
    things = (("right_of_way", "Lane", box(x, -500, x + 10, 500)), ("easement", "Pipe", box(x, -500, x + 6, 500)))
    on = land(own=(box(-200, -120, x if target == "property_line" else 300, 120),), neighbours={}, things=things)
    made = rules(rule(target, "guy_anchors", least_m=40 * FT, least_ft=40.0))
    finding = found(made, on)["r"]
    assert (finding.value_m, finding.verdict) == (pytest.approx(feet * FT, abs=1e-9), verdict)
    assert finding.how == "40 ft (12.19 m)"
    assert finding.measured.startswith("permanent anchor A, to the nearest ")
    assert finding.bearing_deg == pytest.approx(90.0, abs=1e-6)


def test_at_exactly_the_limit_passes_and_a_millimetre_less_does_not():
    for height_m in (60.0, 75.0, 82.5, 33.3):
        mast, limit = replace(MAST, total_height_m=height_m), 1.1 * height_m
        for less_m, verdict in ((0.0, "pass"), (0.0004, "pass"), (0.001, "fail")):
            on = land(own=(box(-200, -120, limit - less_m, 120),), neighbours={})
            made = judged(rules(rule(factor=1.1)), on, mast=mast)
            (column,), (finding,) = made.columns_of_base, made.findings(0)
            assert (finding.verdict, column.check(0).verdict) == (verdict, verdict)
            assert finding.margin_m == column.check(0).value - column.check(0).limit
            assert (finding.margin_m == 0.0) == (verdict == "pass")


def test_the_lease_line_inside_the_own_land_does_not_count():
    assert found(rules(rule(least_m=1.0)))["r"].value_m == 90.0
    assert found(rules(rule(least_m=1.0)), land(own=(WEST,)))["r"].value_m == 30.0


WAIVER = Waiver("east", "E. Smith", "book 12, page 7")


def test_a_waived_line_is_left_out_and_told():
    """P6: the distance goes to what remains, and the finding says who waived what, and where it is recorded."""
    finding = found(rules(rule(factor=1.5, waivable=True, waivers=(WAIVER,))))["r"]
    assert finding.value_m == pytest.approx(120.0) and finding.verdict == "pass"
    assert finding.waived == ("east: waived by E. Smith, book 12, page 7",)
    assert finding.to in ("line to parcel north", "line to parcel south")
    both = (WAIVER, Waiver("NORTH", "N. Jones", "letter of 2027-01-03"), Waiver("south", "S. Roe", "instrument 9"))
    left = found(rules(rule(factor=1.5, waivable=True, waivers=both)))["r"]
    assert (left.value_m, left.to) == (pytest.approx(200.0), "line to parcel west")
    assert len(left.waived) == 3


def test_anchors_and_guys_are_measured_to_what_the_waivers_leave():
    made = rules(*(rule(id=m, measured=m, least_m=40.0, waivable=True, waivers=(WAIVER,)) for m in ("guy_anchors", "guys", "nearest_part")))
    beside_c = 120.0 - 40.0 * math.cos(math.radians(30.0))
    assert [f.value_m for f in found(made).values()] == [pytest.approx(beside_c)] * 3


def test_when_every_line_is_waived_nothing_is_left_to_measure():
    every = tuple(Waiver(n, n, "recorded") for n in NEIGHBOURS)
    made = rules(rule(id="a", factor=3.0, waivable=True, waivers=every), rule(id="b", measured="guy_anchors", factor=3.0, waivable=True, waivers=every))
    result = judged(made)
    assert (result.columns_of_base, result.columns_by_azimuth, result.unchecked) == ([], [], ())
    for finding in result.findings(0):
        assert (finding.value_m, finding.margin_m, finding.verdict) == (None, None, "pass")
        assert finding.to == "no line is left that counts: all are waived" and len(finding.waived) == 4
    outside = judged(made, land(own=(box(20, -120, 90, 120),), neighbours={"x": box(-500, -500, 500, 500).difference(box(20, -120, 90, 120))}))
    assert [f.verdict for f in outside.findings(0)] == ["fail", "fail"]
    alone = tuple(Waiver("x", "x", "y") for _ in range(1))
    whole = land(own=(box(20, -120, 90, 120),), neighbours={"x": box(-500, -500, 500, 500).difference(box(20, -120, 90, 120))})
    off = found(rules(rule(factor=1.1, waivable=True, waivers=alone)), whole)["r"]
    assert (off.verdict, off.value_m) == ("fail", pytest.approx(-20.0))


@pytest.mark.parametrize("line", ["est", "Own house", "far"])
def test_a_waiver_that_leaves_nothing_out_is_warned_of(line):
    neighbours = NEIGHBOURS | {"far": box(400, -120, 600, 120)}
    result = judged(rules(rule(factor=1.5, waivable=True, waivers=(Waiver(line, "X", "y"),))), land(neighbours=neighbours))
    assert result.findings(0)[0].value_m == 90.0 and result.findings(0)[0].waived == ()
    assert result.warnings == (
        f"The waiver of '{line}' by X left nothing out: no neighbour of that id shares a line with the own land, "
        "and nothing of that name counts. Check [[land.waivers]] line.",
    )


def test_a_waiver_used_by_one_of_two_rules_is_no_mistake():
    waiver = (Waiver("Supply line", "Utility", "easement 44"),)
    made = rules(rule(id="a", factor=1.1, waivable=True, waivers=waiver), rule("overhead_line", id="b", factor=1.1, waivable=True, waivers=waiver))
    result = judged(made)
    assert result.warnings == ()
    a, b = result.findings(0)
    assert (a.value_m, a.waived) == (90.0, ())
    assert b.waived == ("Supply line: waived by Utility, easement 44",) and b.value_m == 5000.0
    assert b.to == "none within 5000.00 m of the base in the layer" and b.verdict == "pass" and b.bearing_deg is None


@pytest.mark.parametrize(("error_m", "verdict"), [(0.0, "pass"), (3.9, "pass"), (4.1, "marginal"), (100.0, "marginal")])
def test_a_margin_below_the_error_of_the_lines_is_marginal(error_m, verdict):
    """P8; the lines of a road are not the parcel map's: its margin carries no such error."""
    made = rules(rule(id="line", least_m=86.0), rule("road", id="road", least_m=126.0), rule(id="off", least_m=91.0))
    result = judged(made, land(error_m=error_m))
    assert [f.verdict for f in result.findings(0)] == [verdict, "pass", "fail"]
    assert [c.check(0).verdict for c in result.columns_of_base] == [verdict, "pass", "fail"]
    assert [c.uncertainty for c in result.columns_of_base] == [error_m, 0.0, error_m]


# --- what is not given ------------------------------------------------------------------------------------------------

NOTHING = RuleLand(None)
EVERYTHING_UNKNOWN = {
    "property_line": ("no parcels were given, so nothing is known of property lines", "give [land] parcels"),
    "layer": ("no layer 'x' was given, so nothing is known of it", 'give [[land.layers]] name = "x" with its path'),
    "overhead_line": ("no obstacle layer was given: whether an overhead line is near is not known", "give [land] obstacles"),
    "water": ("no obstacle layer was given: whether water is near is not known", "give [land] obstacles"),
}  # fmt: skip


@pytest.mark.parametrize("measured", MEASURED)
@pytest.mark.parametrize("target", TARGETS)
def test_without_its_layer_a_rule_is_unchecked_and_never_clear(target, measured):
    keys = {"layer": "x"} if target == "layer" else {"kinds": ("tank",)} if target == "obstacle" else {}
    result = judged(rules(rule(target, measured, factor=1.1, base_radius_m=0.5, **keys)), NOTHING)
    (finding,), (item,) = result.findings(0), result.unchecked
    assert (finding.value_m, finding.margin_m, finding.bearing_deg, finding.lat, finding.easting) == (None,) * 5
    assert (finding.verdict, finding.limit_m) == ("unchecked", pytest.approx(66.0))
    assert result.columns_by_azimuth == [] and result.columns_of_base == []
    if target in EVERYTHING_UNKNOWN:
        missing, do = EVERYTHING_UNKNOWN[target]
        assert (item.missing, item.do) == (f"Rule (Made up): {missing}", do)
        assert finding.note == f"Not checked: {missing}; {do}."
    assert item.id == "rule:made-up:r"
    assert "clear" not in f"{finding} {item}".lower()


@pytest.mark.parametrize("target", [t for t in TARGETS if t not in ("property_line", "layer", "obstacle")])
def test_a_layer_that_holds_none_of_the_kinds_leaves_the_rule_unchecked(target):
    on = land(things=(("fence", "Fence", LineString([(5, -5), (5, 5)])),))
    result = judged(rules(rule(target, factor=1.1)), on)
    assert result.findings(0)[0].verdict == "unchecked" and result.columns_of_base == []
    assert result.unchecked[0].missing.endswith(": whether none is there or none was drawn cannot be told")


def test_an_empty_layer_of_the_users_is_unchecked():
    on = RuleLand(None, layers={"x": LayerOnGround("x.gpkg", (), (), 500.0)})
    finding = found(rules(rule("layer", layer="x", least_m=100.0)), on)["r"]
    assert finding.verdict == "unchecked" and "x.gpkg holds nothing" in finding.note


def test_a_kind_drawn_far_away_counts_as_known_up_to_where_the_layer_was_read():
    on = RuleLand(None, obstacles=LayerOnGround("l", (), ("road",), 300.0))
    finding = found(rules(rule("road", factor=1.1)), on)["r"]
    assert (finding.value_m, finding.verdict, finding.to) == (300.0, "pass", "none within 300.00 m of the base in the layer")
    anchors = found(rules(rule("road", "guy_anchors", least_m=50.0)), on)["r"]
    assert (anchors.value_m, anchors.verdict) == (260.0, "pass")
    circle = found(rules(rule("road", "fall_circle")), on)["r"]
    assert (circle.value_m, circle.verdict) == (240.0, "pass")


def test_a_layer_that_was_not_read_far_enough_says_nothing():
    short = RuleLand(None, obstacles=LayerOnGround("l", (), ("road",), 300.0))
    finding = found(rules(rule("road", least_m=301.0)), short)["r"]
    assert finding.verdict == "unchecked" and "read to 300 m" in finding.note
    near = RuleLand(None, obstacles=LayerOnGround("l", (feature("road", "Lane", Point(0, 200)),), ("road",), 300.0))
    assert found(rules(rule("road", least_m=301.0)), near)["r"].verdict == "fail"


def test_the_reach_of_the_rules_is_enough_to_judge_them():
    made = rules(
        rule(id="a", factor=1.5), rule("road", "guy_anchors", id="b", least_m=100.0, anchors="all"), rule("dwelling", "fall_circle", id="c", least_m=20.0),
        rule("layer", "base_nearest", id="d", layer="x", least_m=500.0, base_radius_m=1.0),
    )  # fmt: skip
    reach = reach_of_rules((made,), MAST)
    assert (reach.parcels_m, reach.obstacles_m, reach.layers_m) == (100.0, 176.0, {"x": 511.0})
    on = RuleLand(None, obstacles=LayerOnGround("l", (), ("road", "dwelling"), reach.obstacles_m), layers={"x": LayerOnGround("x", (), ("x",), 511.0)})
    assert [f.verdict for f in judged(made, on).findings(0)] == ["unchecked", "pass", "pass", "pass"]


def test_planned_roads_that_nobody_has_drawn_are_told():
    on = land(things=tuple(t for t in THINGS if t[0] != "planned_road"))
    result = judged(fixture("jerome-id"), on)
    row = result.findings(0)[1]
    assert (row.value_m, row.verdict) == (130.0, "pass")
    assert row.note == "Not checked: lines.geojson holds no planned road: whether none is there or none was drawn cannot be told."
    assert [u.id for u in result.unchecked] == ["rule:jerome-id:row:planned_road"]


def test_planned_roads_count_only_where_the_rule_says_so():
    plain = rule("road", factor=1.0, kinds=("road",))
    assert found(rules(plain))["r"].value_m == 140.0
    assert found(rules(replace(plain, is_planned=True)))["r"].value_m == 115.0


def test_one_of_two_kinds_that_the_layer_does_not_hold_is_told():
    result = judged(rules(rule("overhead_line", kinds=("overhead_line", "telephone_line"), factor=1.1)))
    assert result.findings(0)[0].value_m == 100.0
    assert [u.id for u in result.unchecked] == ["rule:made-up:r:telephone_line"]


def test_only_houses_off_the_own_land_count_where_the_rule_says_so():
    every, others = rule("dwelling", factor=1.0), rule("dwelling", factor=1.0, off_own_land=True)
    assert found(rules(every))["r"].to == "Own house"
    assert found(rules(others))["r"].to == "Neighbour's house"
    half = (*THINGS, ("house", "Straddling", box(85, -3, 95, 3)))
    assert found(rules(others), land(things=half))["r"].to == "Straddling"
    unknown = found(rules(others), land(own=None))["r"]
    assert unknown.to == "Own house"
    assert unknown.note == "No parcels were given, so what stands on the own land counts too."


def test_a_mast_without_such_anchors_is_unchecked():
    winch = replace(MAST, anchors=(Anchor("W", "winch", 180.0, 55.0),), guys=())
    for measured in ("guy_anchors", "guys"):
        result = judged(rules(rule(measured=measured, least_m=5.0)), mast=winch)
        assert result.findings(0)[0].verdict == "unchecked" and result.columns_by_azimuth == []
    assert found(rules(rule(measured="guy_anchors", least_m=5.0, anchors="all")), mast=winch)["r"].value_m == 65.0


# --- over the azimuths ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("anchors", ["permanent", "all"])
@pytest.mark.parametrize("measured", MEASURED)
@pytest.mark.parametrize("target", ["property_line", "road", "overhead_line", "easement", "dwelling"])
def test_columns_agree_with_findings_and_with_shapely_on_every_azimuth(target, measured, anchors):
    result = judged(rules(rule(target, measured, least_m=30.0, base_radius_m=0.7 if measured != "fall_circle" else 0.0, anchors=anchors)), laydowns=LAYDOWNS)
    columns = [*result.columns_by_azimuth, *result.columns_of_base]
    (column,) = columns
    assert column.by_azimuth == (measured in ("guy_anchors", "guys", "nearest_part")) == bool(result.columns_by_azimuth)
    for k in range(0, 360, 17):
        check, (finding,) = column.check(k), result.findings(k)
        assert (check.value, check.limit, check.verdict) == (finding.value_m, finding.limit_m, finding.verdict)
        assert check.label == finding.title and check.id == "rule:made-up:r" and check.kind == "rule"
        assert finding.value_m == pytest.approx(by_shapely(target, measured, anchors, float(LAYDOWNS[k])), abs=5e-6)
        assert finding.to in check.place


def by_shapely(target: str, measured: str, anchors: str, laydown: float) -> float:
    """The distance by its definition, part by part; every part on the right side, so that no sign is needed."""
    line = shapely.union_all([WEST, EAST]).boundary
    kinds = {"road": ("road", "right_of_way"), "dwelling": ("dwelling", "house")}.get(target, (target,))
    to = line if target == "property_line" else shapely.union_all([g for k, _, g in THINGS if k in kinds])
    counted = [a for a in MAST.anchors if anchors == "all" or a.use == "permanent"]

    def at(a):
        turn = math.radians(laydown + a.bearing_deg)
        return a.radius_m * math.sin(turn), a.radius_m * math.cos(turn)

    def signed(part):
        if target != "property_line":
            inside = shapely.intersection(part, to) if to.area > 0 else None
            if inside is not None and not inside.is_empty:
                return -inside.length if part.geom_type == "LineString" and inside.length > 0 else -to.boundary.distance(part)
        return to.distance(part)

    base = signed(Point(0, 0))
    ends = [signed(Point(at(a))) for a in counted]
    guys = [signed(LineString([(0, 0), at(a)])) for a in counted if a.use != "winch"]
    return {
        "base_centre": base, "base_nearest": base - 0.7, "fall_circle": base - HEIGHT_M, "guy_anchors": min(ends), "guys": min(guys),
        "nearest_part": min(base - 0.7, *ends, *guys),
    }[measured]  # fmt: skip


@given(st.floats(0.0, 360.0, exclude_max=True), st.floats(30.0, 130.0))
def test_the_nearest_point_lies_where_value_and_bearing_say(laydown, east_m):
    on = land(own=(box(-200, -120, east_m, 120),), neighbours={})
    for measured in ("base_centre", "guy_anchors", "guys"):
        finding = found(rules(rule(measured=measured, least_m=10.0)), on, laydown)["r"]
        assert finding.lat is not None
        x, y = (float(v) for v in FRAME.ground_xy(np.array(finding.lon), np.array(finding.lat)))
        assert (finding.easting - FRAME.easting) == pytest.approx(x * FRAME.combined_factor, abs=1e-6)
        assert on.own.area.boundary.distance(Point(x, y)) < 1e-6
        if measured == "base_centre":
            turn = math.radians(finding.bearing_deg)
            assert (x, y) == (pytest.approx(finding.value_m * math.sin(turn), abs=1e-6), pytest.approx(finding.value_m * math.cos(turn), abs=1e-6))


def test_the_sign_tells_the_wrong_side():
    own = (box(20, -120, 90, 120),)
    outside = found(rules(rule(factor=1.1), rule(id="b", measured="guy_anchors", least_m=1.0), rule(id="c", measured="guys", least_m=1.0)), land(own=own))
    assert outside["r"].value_m == pytest.approx(-20.0) and outside["r"].verdict == "fail"
    assert outside["b"].value_m == pytest.approx(-40.0) and "anchor" in outside["b"].measured
    assert outside["c"].value_m == pytest.approx(-40.0)  # the whole guy to B runs over other land
    inside = (("easement", "Wide", box(-10, -300, 50, 300)),)
    easement = found(rules(rule("easement", least_m=1.0), rule("easement", "guy_anchors", id="b", least_m=1.0), rule("easement", "guys", id="c", least_m=1.0)), land(things=inside))
    assert [round(f.value_m, 6) for f in easement.values()] == [-10.0, -28.0, -40.0]  # A0 stands 28 m inside, the guy to A its 40 m
    assert {f.verdict for f in easement.values()} == {"fail"}


def test_a_base_exactly_on_a_line_has_no_bearing_and_fails():
    finding = found(rules(rule(factor=1.1)), land(own=(box(0, -120, 90, 120),)))["r"]
    assert (finding.value_m, finding.bearing_deg, finding.verdict) == (0.0, None, "fail")
    on_road = found(rules(rule("road", factor=1.1)), land(things=(("road", "Track", LineString([(-9, 0), (9, 0)])),)))["r"]
    assert (on_road.value_m, on_road.verdict) == (0.0, "fail")


@pytest.mark.parametrize(("height_m", "verdict"), [(60.65, "pass"), (199 * FT, "pass"), (60.66, "fail")])
def test_the_greatest_height_of_a_rule_set(height_m, verdict):
    result = judged(fixture("northampton-va"), mast=replace(MAST, total_height_m=height_m))
    finding, column = result.findings(0)[-1], result.columns_of_base[-1]
    assert (finding.id, finding.verdict, column.check(0).verdict) == ("height", verdict, verdict)
    assert finding.how == "at most 199 ft (60.66 m)" and column.id == "rule:northampton-va:height"
    assert finding.margin_m == pytest.approx(199 * FT - height_m)


def test_a_height_counts_as_the_rule_says():
    """P5: total height holds the rod and the stub; mast height does not."""
    made = rules(rule(id="t", factor=1.0), rule(id="m", factor=1.0, height="mast"), rule(id="p", factor=1.0, plus_m=5 * FT, plus_ft=5.0, least_m=70.0))
    findings = found(made)
    assert [f.limit_m for f in findings.values()] == [60.0, 59.7, 70.0]
    assert findings["t"].how == "1 × 60.00 m total height"
    assert findings["m"].how == "1 × 59.70 m mast height from the hinge"
    assert findings["p"].how == "the larger of 1 × 60.00 m total height + 5 ft (1.52 m) = 61.52 m, and 70.00 m"


def test_no_rule_makes_another_smaller():
    """P4: the fall circle and an engineer's radius stand beside the setback, and leave it as it is."""
    made = rules(rule(id="setback", factor=1.5), rule(id="circle", measured="fall_circle"), rule(id="engineer", least_m=20.0))
    assert [f.limit_m for f in found(made).values()] == [90.0, 0.0, 20.0]
    assert found(rules(rule(id="setback", factor=1.5)))["setback"] == found(made)["setback"]


def test_texts_of_the_source():
    toquerville = found(fixture("toquerville-ut"))["line"]
    assert toquerville.source == "Toquerville UT 10-26-6, B.4; read 2026-11-25; check your local code"
    assert found(fixture("mussey-mi"))["line"].source == "Mussey Township MI 153.243; no date read given; check your local code"
    column = judged(fixture("toquerville-ut")).columns_of_base[0]
    assert column.limit.source == f"1.1 × 60.00 m total height; {toquerville.source}"
    assert column.check(0).place == "line to parcel east, 90.0° true from the base"


def test_two_sets_keep_their_own_names():
    result = judge_rules((fixture("maywood-il"), fixture("montpelier-oh")), land(), MAST, FRAME, azimuths())
    assert [c.id for c in result.columns_of_base] == ["rule:maywood-il:line", "rule:montpelier-oh:line"]
    assert [f.rule_set for f in result.findings(0)] == ["Maywood IL", "Montpelier OH"]


def test_a_rule_set_of_a_folder_is_called_by_its_file():
    for shown, key in (("rules/my.town.toml", "my.town"), ("met-mast-1.1", "met-mast-1.1"), ("a\\b.toml", "b")):
        assert replace(rules(), shown=shown).key == key


def test_the_fixtures_stay_out_of_the_package():
    assert not [p for p in (Path(__file__).parents[2] / "siting").rglob("*.toml") if "Fixture of the tests" in p.read_text(encoding="utf-8")]


def test_layers_of_the_user_take_kinds_too():
    things = (("r1", "R-1", box(100, -10, 200, 10)), ("r2", "R-2", box(50, -10, 60, 10)))
    on = replace(land(), layers={"zones": layer(things)})
    assert found(rules(rule("layer", layer="zones", least_m=10.0)), on)["r"].to == "R-2"
    assert found(rules(rule("layer", layer="zones", kinds=("r1",), least_m=10.0)), on)["r"].value_m == 100.0
